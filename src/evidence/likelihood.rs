//! How likely measurements are under the model.
//!
//! A row is `observed = model + discrepancy + effect of its source + error of measurement`, each normal with mean 0:
//!
//! | term | variance | shared by |
//! |---|---|---|
//! | error | `sd^2`, as the row says: poor quality widens it, and never weights the likelihood | none |
//! | discrepancy | `(d_kind u)^2`, `u` the row's unit or its observed value | none |
//! | emulator | the mean square of its cross-validated error, where the model is emulated | none |
//! | source | `(w sd)^2` | all rows of one source |
//!
//! `d` of each kind has a half-normal prior, and so has `w`. The effect of a source is integrated out: rows of a source have the covariance `D + w^2 s s'`, whose inverse and determinant
//! are those of Sherman & Morrison 1950. Why a discrepancy: DEVELOPERS.md; Kennedy & O'Hagan 2001, J R Stat Soc B 63:425.

use super::row::Evidence;

/// Standard deviation of the half-normal prior of the effect of a source, in standard deviations of the row (own choice: half of an error may be the laboratory's).
pub const SOURCE_EFFECT: f64 = 0.5;

/// How far the model and sources are off.
#[derive(Clone, Debug, PartialEq)]
pub struct Discrepancy {
    /// By kind of row, in the order of [`Evidence::kinds`].
    pub by_kind: Vec<f64>,
    /// Effect of a source, in standard deviations of its rows.
    pub source: f64,
}

/// Parts of a row's variance that are its own: error, discrepancy and emulator, in the row's unit squared.
#[must_use]
pub fn own_variance(
    evidence: &Evidence,
    row: usize,
    discrepancy: &Discrepancy,
    emulator_sd: f64,
) -> f64 {
    let row = &evidence.rows[row];
    let off = discrepancy.by_kind[row.kind] * evidence.discrepancy_unit(row);
    row.sd * row.sd + off * off + emulator_sd * emulator_sd
}

/// Logarithm of the likelihood of the rows of one source; `predicted` and `emulator_sd` by number of row. Without a prediction they are impossible.
#[must_use]
pub fn log_likelihood(
    evidence: &Evidence,
    rows: &[usize],
    predicted: &[Option<f64>],
    emulator_sd: &[f64],
    discrepancy: &Discrepancy,
) -> f64 {
    let (mut ln_own, mut square) = (0.0, 0.0);
    let (mut shared, mut across) = (0.0, 0.0);
    for &number in rows {
        let row = &evidence.rows[number];
        let Some(predicted) = predicted[number] else {
            return f64::NEG_INFINITY;
        };
        let off = row.observed - predicted;
        let own = own_variance(evidence, number, discrepancy, emulator_sd[number]);
        ln_own += libm::log(std::f64::consts::TAU * own);
        square += off * off / own;
        shared += row.sd * row.sd / own;
        across += row.sd * off / own;
    }
    let effect = discrepancy.source * discrepancy.source;
    let widened = 1.0 + effect * shared;
    -0.5 * (ln_own + libm::log(widened) + square - effect * across * across / widened)
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::{DMatrix, DVector};

    #[test]
    fn the_likelihood_of_a_source_is_that_of_its_covariance() {
        let evidence = Evidence::built_in();
        let (_, rows) = evidence
            .sources()
            .into_iter()
            .max_by_key(|(_, rows)| rows.len())
            .expect("a source");
        assert!(rows.len() > 2);
        let predicted: Vec<Option<f64>> = evidence
            .rows
            .iter()
            .enumerate()
            .map(|(number, row)| Some(row.observed + row.sd * (number as f64 * 0.7).sin()))
            .collect();
        let discrepancy = Discrepancy {
            by_kind: vec![0.08; evidence.kinds.len()],
            source: 0.6,
        };
        let emulator_sd = vec![0.01; evidence.rows.len()];
        let n = rows.len();
        let sd = DVector::from_iterator(n, rows.iter().map(|row| evidence.rows[*row].sd));
        let off = DVector::from_iterator(
            n,
            rows.iter()
                .map(|row| evidence.rows[*row].observed - predicted[*row].expect("a value")),
        );
        let own = DVector::from_iterator(
            n,
            rows.iter()
                .map(|row| own_variance(evidence, *row, &discrepancy, emulator_sd[*row])),
        );
        let covariance = DMatrix::from_diagonal(&own) + &sd * sd.transpose() * 0.36;
        let factor = covariance.cholesky().expect("positive");
        let square = off.dot(&factor.solve(&off));
        let expected =
            -0.5 * (n as f64 * std::f64::consts::TAU.ln() + factor.determinant().ln() + square);
        let found = log_likelihood(evidence, &rows, &predicted, &emulator_sd, &discrepancy);
        assert!((found - expected).abs() < 1e-9, "{found}, {expected}");
    }

    #[test]
    fn a_row_that_the_model_has_no_state_for_is_impossible() {
        let evidence = Evidence::built_in();
        let nothing = vec![None; evidence.rows.len()];
        let discrepancy = Discrepancy {
            by_kind: vec![0.1; evidence.kinds.len()],
            source: 0.5,
        };
        let zero = vec![0.0; evidence.rows.len()];
        let found = log_likelihood(evidence, &[0], &nothing, &zero, &discrepancy);
        assert_eq!(found, f64::NEG_INFINITY);
    }
}
