//! Least squares of an output on a few columns: what part of its spread hangs on them.

use super::statistics::mean;
use nalgebra::{Cholesky, DMatrix, DVector};

/// Ridge, as a share of the number of rows: only keeps columns that hang together from spoiling the solution (own choice).
const RIDGE: f64 = 1e-6;
/// Standard deviations of chance by which a share must exceed none before it counts (own choice).
const CHANCE_SD: f64 = 2.0;

/// What some columns say of an output.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Explained {
    /// The share of the output's variance that they explain, less what as many columns explain by chance; 0 where that is all.
    pub share: f64,
    /// The output as they say, drawn in about its mean so that its variance is that share.
    pub values: Vec<f64>,
}

/// Regresses an output on columns. Rows come in groups of `repeats` that share one independent draw of the output.
///
/// Columns that do not vary count for nothing. The share is the adjusted one (Ezekiel 1930, from memory): without it every column would seem to explain
/// something.
pub(super) fn explained(columns: &[Vec<f64>], output: &[f64], repeats: usize) -> Explained {
    let columns: Vec<Vec<f64>> = columns.iter().filter_map(|one| standard(one)).collect();
    let (rows, free) = (output.len(), columns.len());
    let middle = mean(output);
    let none = || Explained {
        share: 0.0,
        values: vec![middle; rows],
    };
    let independent = (rows / repeats.max(1)) as f64;
    let left = independent - 1.0 - free as f64;
    let variance = variance(output);
    if free == 0 || left <= 0.0 || variance <= 0.0 {
        return none();
    }
    let x = DMatrix::from_fn(rows, free, |row, column| columns[column][row]);
    let y = DVector::from_fn(rows, |row, _| output[row] - middle);
    let ridge = DMatrix::identity(free, free) * (RIDGE * rows as f64);
    let Some(root) = Cholesky::new(x.transpose() * &x + ridge) else {
        return none();
    };
    let slopes = root.solve(&(x.transpose() * y));
    let fitted = x * slopes;
    let of_fitted = fitted.norm_squared() / rows as f64;
    let raw = (of_fitted / variance).min(1.0);
    let share = 1.0 - (1.0 - raw) * (independent - 1.0) / left;
    let by_chance = (2.0 * free as f64).sqrt() / left;
    if share <= CHANCE_SD * by_chance {
        return none();
    }
    let drawn_in = (share / raw).sqrt();
    Explained {
        share,
        values: fitted.iter().map(|off| middle + drawn_in * off).collect(),
    }
}

/// First to third power of a column in its standard deviations about its mean: a smooth curve, not only a line.
pub(super) fn powers(column: &[f64]) -> Vec<Vec<f64>> {
    let Some(one) = standard(column) else {
        return Vec::new();
    };
    let power = |power: i32| one.iter().map(|value| value.powi(power)).collect();
    vec![power(1), power(2), power(3)]
}

/// Less its mean, in its standard deviations; none where it does not vary.
fn standard(column: &[f64]) -> Option<Vec<f64>> {
    let (middle, deviation) = (mean(column), variance(column).sqrt());
    let varies = deviation > 1e-12 * middle.abs().max(1e-12);
    varies.then(|| column.iter().map(|v| (v - middle) / deviation).collect())
}

/// Mean square about the mean.
pub(super) fn variance(values: &[f64]) -> f64 {
    let middle = mean(values);
    values
        .iter()
        .map(|v| (v - middle) * (v - middle))
        .sum::<f64>()
        / values.len() as f64
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ensemble::Draws;

    const ROWS: u64 = 128;

    fn draws(name: &str) -> Vec<f64> {
        let draws = Draws::new(11);
        (0..ROWS).map(|row| draws.uniform(row, name)).collect()
    }

    #[test]
    fn a_curve_is_explained_whole_by_its_own_column() {
        let x = draws("x");
        let y: Vec<f64> = x.iter().map(|x| 2.0 + x - 3.0 * x * x).collect();
        let found = explained(&powers(&x), &y, 1);
        assert!(found.share > 0.9999, "{}", found.share);
        let worst = found.values.iter().zip(&y).map(|(a, b)| (a - b).abs());
        assert!(worst.fold(0.0, f64::max) < 1e-3);
    }

    #[test]
    fn what_does_not_matter_explains_nothing() {
        let y = draws("y");
        let names = ["a", "b", "c", "d", "e", "f", "g", "h", "i", "j"];
        let told = names.map(|name| explained(&powers(&draws(name)), &y, 1).share);
        assert!(
            told.iter().filter(|share| **share > 0.0).count() <= 1,
            "{told:?}"
        );
        assert!(told.iter().all(|share| *share < 0.1), "{told:?}");
    }

    #[test]
    fn a_part_is_explained_by_its_part() {
        let (a, b) = (draws("a"), draws("b"));
        let y: Vec<f64> = a.iter().zip(&b).map(|(a, b)| 2.0 * a + b).collect();
        let found = explained(&powers(&a), &y, 1);
        assert!((found.share - 0.8).abs() < 0.08, "{}", found.share);
        assert!((variance(&found.values) / variance(&y) - found.share).abs() < 1e-6);
    }

    #[test]
    fn few_rows_and_columns_that_stand_still_explain_nothing() {
        let y = [1.0, 2.0, 3.0];
        assert_eq!(explained(&powers(&[1.0, 2.0, 3.5]), &y, 1).share, 0.0);
        assert_eq!(explained(&[vec![4.0; 3]], &y, 1).values, vec![2.0; 3]);
        assert!(powers(&[4.0; 3]).is_empty());
    }
}
