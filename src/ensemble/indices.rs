//! Shares of an output's variance that its uncertain inputs explain: first-order and total indices with intervals.
//!
//! Two tables A and B of independent rows are drawn; for each input a third, whose rows are those of A with that input from B. The first-order
//! index is the share of the variance that would go if the input were known; the total index is the share that would be left if all others were.
//!
//! - First order: Saltelli, Annoni, Azzini, Campolongo, Ratto & Tarantola 2010, Comput Phys Commun 181:259, table 2, estimator (b).
//! - Total: Jansen 1999, Comput Phys Commun 117:35; the same table, estimator (f).
//! - Intervals: percentiles of a bootstrap over rows (Efron & Tibshirani 1993, chapter 13; for these indices Archer, Saltelli & Sobol 1997,
//!   J Stat Comput Simul 58:99).
//!
//! All sources from memory; the analytic values of two known functions are held by tests. Estimates of small indices can be a little below zero: that is
//! noise, not an error. Inputs must be independent, as all draws are.

use super::draws::Draws;
use super::statistics::{CONFIDENCE, mean, quantile, sorted};
use serde::Serialize;

/// Bootstrap samples of the rows.
const RESAMPLES: u64 = 1000;

/// Outputs of a function over the two tables and the mixed ones.
#[derive(Clone, Debug, PartialEq)]
pub struct Mixed {
    /// Over the rows of A.
    pub a: Vec<f64>,
    /// Over the rows of B, as many.
    pub b: Vec<f64>,
    /// For each input, over the rows of A with that input from B.
    pub mixed: Vec<Vec<f64>>,
}

/// How much of an output's variance hangs on one input.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Indices {
    /// Share of the variance that the input explains alone.
    pub first: f64,
    /// Interval of it.
    pub first_interval: (f64, f64),
    /// Share of the variance that it has a part in, alone and together with others.
    pub total: f64,
    /// Interval of it.
    pub total_interval: (f64, f64),
}

impl Indices {
    /// Whether the interval of the first-order index holds nothing: it cannot be told from noise.
    #[must_use]
    pub fn first_may_be_none(&self) -> bool {
        self.first_interval.0 <= 0.0
    }
}

/// Indices of every input, in the order of [`Mixed::mixed`]; none where the output does not vary. `name` tells the bootstrap's draws from others of
/// the seed.
///
/// ```
/// use overwinter::ensemble::{Draws, Mixed, indices};
/// // y = 3 x1 + x2 of uniform inputs: nine tenths of the variance are of the first.
/// let draws = Draws::new(1);
/// let of = |row, name| draws.uniform(row, name);
/// let y = |x1: u64, x2: u64| 3.0 * of(x1, "x1") + of(x2, "x2");
/// let rows = || (0..2000_u64).map(|row| (2 * row, 2 * row + 1));
/// let mixed = Mixed {
///     a: rows().map(|(a, _)| y(a, a)).collect(),
///     b: rows().map(|(_, b)| y(b, b)).collect(),
///     mixed: vec![rows().map(|(a, b)| y(b, a)).collect(), rows().map(|(a, b)| y(a, b)).collect()],
/// };
/// let found = indices(&mixed, &draws, "y").expect("y varies");
/// assert!((found[0].first - 0.9).abs() < 0.06 && (found[0].total - 0.9).abs() < 0.06);
/// ```
#[must_use]
pub fn indices(outputs: &Mixed, draws: &Draws, name: &str) -> Option<Vec<Indices>> {
    let rows = outputs.a.len().min(outputs.b.len());
    let all: Vec<usize> = (0..rows).collect();
    let moments = Moments::of(outputs, &all)?;
    let inputs = outputs.mixed.len();
    let mut firsts = vec![Vec::new(); inputs];
    let mut totals = vec![Vec::new(); inputs];
    for resample in 0..RESAMPLES {
        let uniforms = draws.uniforms(resample, name).take(rows);
        let picked: Vec<usize> = uniforms
            .map(|probability| (probability * rows as f64) as usize)
            .collect();
        // A sample in which nothing varies, as of a yes or no that is rare, says nothing.
        let Some(moments) = Moments::of(outputs, &picked) else {
            continue;
        };
        for input in 0..inputs {
            firsts[input].push(moments.first(outputs, &picked, input));
            totals[input].push(moments.total(outputs, &picked, input));
        }
    }
    let tail = 0.5 * (1.0 - CONFIDENCE);
    let interval = |values: &Vec<f64>| {
        let values = sorted(values.clone());
        (quantile(&values, tail), quantile(&values, 1.0 - tail))
    };
    let of_input = |input: usize| Indices {
        first: moments.first(outputs, &all, input),
        first_interval: interval(&firsts[input]),
        total: moments.total(outputs, &all, input),
        total_interval: interval(&totals[input]),
    };
    Some((0..inputs).map(of_input).collect())
}

/// Mean and variance of an output over the rows of A and B together.
struct Moments {
    mean: f64,
    variance: f64,
}

impl Moments {
    fn of(outputs: &Mixed, rows: &[usize]) -> Option<Self> {
        let values: Vec<f64> = rows
            .iter()
            .flat_map(|row| [outputs.a[*row], outputs.b[*row]])
            .collect();
        let mean = mean(&values);
        let squares = values.iter().map(|value| (value - mean) * (value - mean));
        let variance = squares.sum::<f64>() / values.len() as f64;
        (variance > 0.0).then_some(Self { mean, variance })
    }

    /// Mean of `f(B) (f(A with B's input) - f(A))` over the variance; outputs are centred first, which leaves the expectation and narrows the spread.
    fn first(&self, outputs: &Mixed, rows: &[usize], input: usize) -> f64 {
        let products = rows.iter().map(|row| {
            (outputs.b[*row] - self.mean) * (outputs.mixed[input][*row] - outputs.a[*row])
        });
        products.sum::<f64>() / rows.len() as f64 / self.variance
    }

    /// Half the mean of `(f(A) - f(A with B's input))^2` over the variance.
    fn total(&self, outputs: &Mixed, rows: &[usize], input: usize) -> f64 {
        let squares = rows.iter().map(|row| {
            let change = outputs.a[*row] - outputs.mixed[input][*row];
            change * change
        });
        0.5 * squares.sum::<f64>() / rows.len() as f64 / self.variance
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A function of uniform inputs over both tables and the mixed ones.
    fn outputs(names: &[&str], rows: u64, seed: u64, f: impl Fn(&[f64]) -> f64) -> Mixed {
        let draws = Draws::new(seed);
        let row = |of: &dyn Fn(usize) -> u64| {
            let x: Vec<f64> = (0..names.len())
                .map(|input| draws.uniform(of(input), names[input]))
                .collect();
            f(&x)
        };
        let over = |of: &dyn Fn(u64, usize) -> u64| {
            (0..rows)
                .map(|place| row(&|input| of(place, input)))
                .collect()
        };
        let mixed = (0..names.len())
            .map(|own| over(&|place, input| 2 * place + u64::from(input == own)))
            .collect();
        Mixed {
            a: over(&|place, _| 2 * place),
            b: over(&|place, _| 2 * place + 1),
            mixed,
        }
    }

    /// Ishigami & Homma 1990 with a = 7 and b = 0.1.
    fn ishigami(uniform: &[f64]) -> f64 {
        let x: Vec<f64> = uniform
            .iter()
            .map(|u| std::f64::consts::PI * (2.0 * u - 1.0))
            .collect();
        let sin = libm::sin;
        sin(x[0]) + 7.0 * sin(x[1]) * sin(x[1]) + 0.1 * x[2].powi(4) * sin(x[0])
    }

    /// Analytic values of that function, as given in Saltelli et al. 2008, Global Sensitivity Analysis: The Primer (from memory), and from its variances
    /// `a^2/8 + b pi^4/5 + b^2 pi^8/18 + 1/2`, `1/2 (1 + b pi^4/5)^2`, `a^2/8` and `8 b^2 pi^8/225`.
    const FIRST: [f64; 3] = [0.3139, 0.4424, 0.0];
    const TOTAL: [f64; 3] = [0.5576, 0.4424, 0.2437];

    #[test]
    fn the_indices_of_the_ishigami_function_are_the_analytic_ones() {
        let outputs = outputs(&["x1", "x2", "x3"], 20_000, 3, ishigami);
        let found = indices(&outputs, &Draws::new(3), "ishigami").unwrap();
        for (input, found) in found.iter().enumerate() {
            // A standard deviation of these estimates is below 0.013 and 0.009 at 20,000 rows.
            assert!(
                (found.first - FIRST[input]).abs() < 0.035,
                "{input}: {found:?}"
            );
            assert!(
                (found.total - TOTAL[input]).abs() < 0.025,
                "{input}: {found:?}"
            );
        }
        assert!(found[2].first_may_be_none() && !found[0].first_may_be_none());
    }

    #[test]
    fn intervals_hold_the_analytic_values_about_as_often_as_said() {
        let (mut held, mut of) = (0, 0);
        for seed in 0..60 {
            let outputs = outputs(&["x1", "x2", "x3"], 400, seed, ishigami);
            let found = indices(&outputs, &Draws::new(seed), "ishigami").unwrap();
            for (input, found) in found.iter().enumerate() {
                let within = |value: f64, (low, high): (f64, f64)| low <= value && value <= high;
                held += usize::from(within(FIRST[input], found.first_interval));
                held += usize::from(within(TOTAL[input], found.total_interval));
                of += 2;
            }
        }
        // 95 % of 360, give or take: six of each repeat hang together, and percentile intervals are a little narrow at 400 rows.
        let share = f64::from(u32::try_from(held).unwrap()) / f64::from(of);
        assert!((0.89..=0.99).contains(&share), "{share}");
    }

    #[test]
    fn a_sum_has_the_shares_of_its_terms_and_nothing_together() {
        let weights = [4.0, 2.0, 1.0, 0.0];
        let names = ["a", "b", "c", "d"];
        let sum = |x: &[f64]| x.iter().zip(weights).map(|(x, weight)| weight * x).sum();
        let outputs = outputs(&names, 4000, 1, sum);
        let found = indices(&outputs, &Draws::new(1), "sum").unwrap();
        for (input, found) in found.iter().enumerate() {
            let share = weights[input] * weights[input] / 21.0;
            assert!((found.first - share).abs() < 0.05, "{input}: {found:?}");
            assert!((found.total - share).abs() < 0.05, "{input}: {found:?}");
        }
        // What does not act has no part at all, not a small one.
        assert_eq!((found[3].first, found[3].total), (0.0, 0.0));
    }

    #[test]
    fn an_output_that_does_not_vary_has_no_indices() {
        let outputs = outputs(&["a"], 50, 1, |_| 2.0);
        assert_eq!(indices(&outputs, &Draws::new(1), "same"), None);
    }

    #[test]
    fn the_same_seed_gives_the_same_bits() {
        let outputs = outputs(&["x1", "x2", "x3"], 100, 8, ishigami);
        let again = || indices(&outputs, &Draws::new(8), "ishigami");
        assert_eq!(again(), again());
    }
}
