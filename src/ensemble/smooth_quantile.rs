//! A smooth quantile of few values: every value counts, those near the place most.

use libm::{exp, lgamma, log, log1p};

/// Terms of the continued fraction at most; some root of the larger exponent are needed.
const MOST_TERMS: usize = 10_000;

/// Weights of sorted values, as of Harrell & Davis 1982, Biometrika 69:635: the chance that the order statistic at the probability, of as many fresh draws from the
/// values themselves, is that value.
pub(super) struct Weights(Vec<f64>);

impl Weights {
    /// For so many values, one or more, at a probability above 0 and below 1.
    pub fn new(values: usize, probability: f64) -> Self {
        let n = values as f64;
        let (a, b) = ((n + 1.0) * probability, (n + 1.0) * (1.0 - probability));
        let below: Vec<f64> = (0..=values)
            .map(|rank| incomplete_beta(a, b, rank as f64 / n))
            .collect();
        Self(below.windows(2).map(|ends| ends[1] - ends[0]).collect())
    }

    /// The quantile of so many values, from least to most.
    pub fn of(&self, sorted: impl Iterator<Item = f64>) -> f64 {
        self.0.iter().zip(sorted).map(|(w, value)| w * value).sum()
    }
}

/// Regularized incomplete beta function, by the continued fraction of DLMF 8.17.22 in Lentz's form.
fn incomplete_beta(a: f64, b: f64, x: f64) -> f64 {
    if x <= 0.0 || x >= 1.0 {
        return x.clamp(0.0, 1.0);
    }
    // It converges fast below the mean only.
    if x > (a + 1.0) / (a + b + 2.0) {
        return 1.0 - incomplete_beta(b, a, 1.0 - x);
    }
    let before = exp(lgamma(a + b) - lgamma(a) - lgamma(b) + a * log(x) + b * log1p(-x)) / a;
    let not_zero = |value: f64| {
        if value.abs() < f64::MIN_POSITIVE {
            f64::MIN_POSITIVE
        } else {
            value
        }
    };
    let mut c = 1.0;
    let mut d = 1.0 / not_zero(1.0 - (a + b) * x / (a + 1.0));
    let mut fraction = d;
    for term in 1..MOST_TERMS {
        let m = term as f64;
        let even = m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m));
        let odd = -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0));
        let mut factor = 1.0;
        for numerator in [even, odd] {
            d = 1.0 / not_zero(1.0 + numerator * d);
            c = not_zero(1.0 + numerator / c);
            factor *= c * d;
        }
        fraction *= factor;
        if (factor - 1.0).abs() < 1e-14 {
            break;
        }
    }
    before * fraction
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_incomplete_beta_function_is_that_of_whole_numbers() {
        // I_x(a, b) of whole numbers is a binomial sum: two or more of three, and four of four.
        for x in [0.1, 0.3, 0.5, 0.8, 0.95] {
            let two_of_three = 3.0 * x * x * (1.0 - x) + x * x * x;
            assert!((incomplete_beta(2.0, 2.0, x) - two_of_three).abs() < 1e-13);
            assert!((incomplete_beta(4.0, 1.0, x) - x.powi(4)).abs() < 1e-13);
            // The arcsine law.
            let arcsine = std::f64::consts::FRAC_2_PI * libm::asin(x.sqrt());
            assert!((incomplete_beta(0.5, 0.5, x) - arcsine).abs() < 1e-12);
        }
    }

    #[test]
    fn weights_add_to_one_and_the_median_of_symmetric_values_is_their_middle() {
        for (values, probability) in [
            (1, 0.5),
            (10, 0.95),
            (11, 0.5),
            (1000, 0.99),
            (100_000, 0.8),
        ] {
            let weights = Weights::new(values, probability);
            assert!((weights.0.iter().sum::<f64>() - 1.0).abs() < 1e-10);
        }
        let median = Weights::new(5, 0.5).of([1.0, 2.0, 4.0, 6.0, 7.0].into_iter());
        assert!((median - 4.0).abs() < 1e-12);
    }

    #[test]
    fn of_many_values_it_is_the_quantile() {
        let n = 4000;
        let values = (0..n).map(|rank| f64::from(rank) / f64::from(n - 1));
        let found = Weights::new(n as usize, 0.8).of(values);
        assert!((found - 0.8).abs() < 1e-3, "{found}");
    }
}
