//! How far the model is off each row when the row's source is left out of the fit.

use super::likelihood::{Discrepancy, log_likelihood};
use super::psis::{Smoothed, smoothed};
use super::row::Evidence;
use crate::normal;

/// A draw from the posterior with what the model gives for every row.
#[derive(Clone, Debug, PartialEq)]
pub struct Draw {
    /// The model's figures by number of row; none where it finds no state.
    pub predicted: Vec<Option<f64>>,
    /// How far model and sources are off in this draw.
    pub discrepancy: Discrepancy,
}

/// How far the model is off a row.
#[derive(Clone, Debug, PartialEq)]
pub struct Miss {
    /// Number of the row.
    pub row: usize,
    /// Figures of the model, its 5, 50 and 95 % quantiles over the posterior, its own source fitted too.
    pub model: [f64; 3],
    /// Mean of the prediction without the row's source.
    pub mean: f64,
    /// Standard deviation of that prediction, discrepancy and effect of the source counted in, error of measurement not.
    pub predictive_sd: f64,
    /// Observed less mean, in standard deviations of prediction and measurement together.
    pub z: f64,
    /// Shape of the tail of the weights; none where none are needed or fitted.
    pub k: Option<f64>,
}

/// Misses of all rows, in their order; `emulator_sd` by number of row, zero where the model itself was run.
///
/// Weights of draws are one over the likelihood of the left-out source, Pareto-smoothed. Rows that were not fitted need none.
#[must_use]
pub fn misses(evidence: &Evidence, draws: &[Draw], emulator_sd: &[f64]) -> Vec<Miss> {
    let even = vec![1.0 / draws.len() as f64; draws.len()];
    let mut weights: Vec<Smoothed> = vec![
        Smoothed {
            weights: even,
            k: None,
        };
        evidence.rows.len()
    ];
    for (_, rows) in evidence.sources() {
        let of_source = without(evidence, &rows, draws, emulator_sd);
        for row in rows {
            weights[row].clone_from(&of_source);
        }
    }
    let rows = weights.iter().enumerate();
    rows.map(|(row, smooth)| miss(evidence, row, draws, emulator_sd[row], smooth))
        .collect()
}

/// Weights of draws without rows of one source.
fn without(evidence: &Evidence, rows: &[usize], draws: &[Draw], emulator_sd: &[f64]) -> Smoothed {
    let ratios = draws.iter().map(|draw| {
        -log_likelihood(
            evidence,
            rows,
            &draw.predicted,
            emulator_sd,
            &draw.discrepancy,
        )
    });
    smoothed(&ratios.collect::<Vec<_>>())
}

/// The miss of a row under weights of draws.
#[must_use]
pub fn miss(
    evidence: &Evidence,
    number: usize,
    draws: &[Draw],
    emulator_sd: f64,
    smooth: &Smoothed,
) -> Miss {
    let row = &evidence.rows[number];
    let unit = evidence.discrepancy_unit(row);
    let (mut sum, mut mean, mut square, mut off) = (0.0, 0.0, 0.0, 0.0);
    let mut values = Vec::new();
    for (draw, weight) in draws.iter().zip(&smooth.weights) {
        let Some(value) = draw.predicted[number] else {
            continue;
        };
        let discrepancy = draw.discrepancy.by_kind[row.kind] * unit;
        let source = draw.discrepancy.source * row.sd;
        sum += weight;
        mean += weight * value;
        square += weight * value * value;
        off += weight * (discrepancy * discrepancy + source * source);
        values.push(value);
    }
    let mean = mean / sum;
    let spread = (square / sum - mean * mean).max(0.0);
    let predictive = spread + off / sum + emulator_sd * emulator_sd;
    values.sort_by(f64::total_cmp);
    Miss {
        row: number,
        model: [0.05, 0.5, 0.95].map(|p| quantile(&values, p)),
        mean,
        predictive_sd: predictive.sqrt(),
        z: (row.observed - mean) / (predictive + row.sd * row.sd).sqrt(),
        k: smooth.k,
    }
}

/// Type 7 of values in rising order; no number without any.
fn quantile(values: &[f64], probability: f64) -> f64 {
    let Some(last) = values.len().checked_sub(1) else {
        return f64::NAN;
    };
    let at = probability * last as f64;
    let low = at as usize;
    let high = (low + 1).min(last);
    values[low] + (at - low as f64) * (values[high] - values[low])
}

/// Shares of fitted rows that lie within the ranges that hold these shares of the predictive distribution.
#[must_use]
pub fn coverage(evidence: &Evidence, misses: &[Miss], share: f64) -> (usize, usize) {
    let widest = normal::quantile(0.5 + 0.5 * share);
    let fitted = misses
        .iter()
        .filter(|miss| evidence.rows[miss.row].is_fitted());
    let within = fitted.clone().filter(|miss| miss.z.abs() <= widest).count();
    (within, fitted.count())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// One unknown `t` of prior N(0, 1), two sources that measure it with sd 1 as `y1` and `y2`: without the second, `t` is N(y1 / 2, 1 / 2).
    #[test]
    fn leaving_a_source_out_gives_the_posterior_without_it() {
        let text = |id: &str, observed: f64, source: &str| {
            format!(
                "[[row]]\nid = \"{id}\"\nquantity = \"q\"\npublished = \"p\"\nconditions = \"c\"\nobserved = {observed:?}\nsd = 1.0\nsd_from = \"f\"\nunit = \"-\"\n\
                 source = \"{source}\"\nmark = \"read\"\nrole = \"fitted\"\nkind = \"k\"\nmeasure = {{ least-use = {{ kg = 1.0 }} }}\n"
            )
        };
        let head = "version = 1\n[[kind]]\nname = \"k\"\ndiscrepancy = 0.1\nwhy = \"w\"\n";
        let table = format!("{head}{}{}", text("a", 1.0, "A"), text("b", 2.0, "B"));
        let evidence = Evidence::parse(&table).expect("evidence");
        // The full posterior: N(1, 1 / 3).
        let draws: Vec<Draw> = (0..4000)
            .map(|i| {
                let t = 1.0 + normal::quantile((f64::from(i) + 0.5) / 4000.0) / 3.0_f64.sqrt();
                Draw {
                    predicted: vec![Some(t), Some(t)],
                    discrepancy: Discrepancy {
                        by_kind: vec![0.0],
                        source: 0.0,
                    },
                }
            })
            .collect();
        let found = &misses(&evidence, &draws, &[0.0, 0.0])[1];
        assert!((found.mean - 0.5).abs() < 0.03, "{}", found.mean);
        assert!(
            (found.predictive_sd - 0.5_f64.sqrt()).abs() < 0.03,
            "{}",
            found.predictive_sd
        );
        assert!((found.z - 1.5 / 1.5_f64.sqrt()).abs() < 0.05, "{}", found.z);
        assert!((found.model[1] - 1.0).abs() < 1e-3);
        assert!(found.k.expect("a tail") < 0.7);
        assert_eq!(
            coverage(&evidence, std::slice::from_ref(found), 0.9),
            (1, 1)
        );
    }
}
