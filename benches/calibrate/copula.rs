//! The chain as a posterior that can be committed: quantiles of each unknown and the Cholesky factor of the correlation of their normal scores.

use crate::diagnostics::ranks;
use crate::unknowns::Unknowns;
use nalgebra::DMatrix;
use overwinter::normal;
use overwinter::parameter::posterior::{ChainRow, PosteriorFile, Unknown, VERSION};

/// Probabilities of the tables: 33, closer at the ends.
const INNER: usize = 27;
const OUTER: [f64; 3] = [0.0, 0.005, 0.02];
/// Digits that are kept.
const DIGITS: i32 = 6;

fn probabilities() -> Vec<f64> {
    let inner = (0..INNER).map(|i| 0.05 + 0.9 * i as f64 / (INNER - 1) as f64);
    let upper = OUTER.iter().rev().map(|p| 1.0 - p);
    let all = OUTER.iter().copied().chain(inner).chain(upper);
    all.map(rounded).collect()
}

/// To six significant digits, so that the file is small and the same everywhere.
pub fn rounded(value: f64) -> f64 {
    format!("{value:.*e}", (DIGITS - 1) as usize)
        .parse()
        .unwrap_or(value)
}

/// The posterior of pooled draws (scores under the prior) with what rows they gave.
pub fn posterior(
    unknowns: &Unknowns,
    draws: &[Vec<f64>],
    row: Vec<ChainRow>,
) -> Option<PosteriorFile> {
    let probabilities = probabilities();
    let count = unknowns.count();
    let unknown = (0..count).map(|number| {
        let mut scores: Vec<f64> = draws.iter().map(|draw| draw[number]).collect();
        scores.sort_by(f64::total_cmp);
        let quantiles = probabilities.iter().map(|p| {
            let value = rounded(unknowns.value(number, quantile(&scores, *p)));
            // Rounding must not leave the range.
            match unknowns.parameter(number) {
                Some(row) => value.clamp(row.low, row.high),
                None => value,
            }
        });
        Unknown {
            name: unknowns.names()[number].clone(),
            quantiles: quantiles.collect(),
        }
    });
    let factor = correlation(draws, count).cholesky()?.l();
    let factor = (0..count).map(|row| {
        (0..=row)
            .map(|column| rounded(factor[(row, column)]))
            .collect()
    });
    Some(PosteriorFile {
        version: VERSION,
        unknown: unknown.collect(),
        factor: factor.collect(),
        probabilities,
        row,
    })
}

/// Correlation of the normal scores of the draws' ranks.
fn correlation(draws: &[Vec<f64>], count: usize) -> DMatrix<f64> {
    let n = draws.len() as f64;
    let columns: Vec<Vec<f64>> = (0..count)
        .map(|number| {
            let values: Vec<f64> = draws.iter().map(|draw| draw[number]).collect();
            let scores = ranks(&values).into_iter();
            scores
                .map(|rank| normal::quantile((rank - 0.5) / n))
                .collect()
        })
        .collect();
    let product = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(x, y)| x * y).sum::<f64>();
    let squares: Vec<f64> = columns
        .iter()
        .map(|column| product(column, column))
        .collect();
    DMatrix::from_fn(count, count, |row, column| {
        if row == column {
            1.0
        } else {
            product(&columns[row], &columns[column]) / (squares[row] * squares[column]).sqrt()
        }
    })
}

/// Type 7 of values in rising order.
pub fn quantile(values: &[f64], probability: f64) -> f64 {
    let last = values.len() - 1;
    let at = probability * last as f64;
    let low = at as usize;
    values[low] + (at - low as f64) * (values[(low + 1).min(last)] - values[low])
}

/// As it is committed: one line a table, so that differences can be read.
pub fn text(file: &PosteriorFile, made_by: &str) -> String {
    let list = |values: &[f64]| {
        let values = values.iter().map(|value| format!("{value:?}"));
        format!("[{}]", values.collect::<Vec<_>>().join(", "))
    };
    let mut text = format!(
        "# Written by {made_by}; do not edit.\nversion = {}\nprobabilities = {}\nfactor = [\n",
        file.version,
        list(&file.probabilities)
    );
    for row in &file.factor {
        text += &format!("  {},\n", list(row));
    }
    text += "]\n";
    for unknown in &file.unknown {
        text += &format!(
            "\n[[unknown]]\nname = {:?}\nquantiles = {}\n",
            unknown.name,
            list(&unknown.quantiles)
        );
    }
    for row in &file.row {
        text += &format!(
            "\n[[row]]\nid = {:?}\nmean = {:?}\nsd = {:?}\n",
            row.id, row.mean, row.sd
        );
        if let Some(without) = &row.without {
            text += &format!("without = {}\n", list(without));
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use overwinter::evidence::Evidence;
    use overwinter::parameter::{Posterior, TABLE};

    /// Draws of two parameters whose scores correlate by 0.7: the committed posterior draws them alike.
    #[test]
    fn a_chain_comes_back_from_its_copula() {
        let number = |name| {
            TABLE
                .iter()
                .position(|row| row.name == name)
                .expect("a parameter")
        };
        let rows = vec![number("tight_film_w_m2k"), number("resting_w_kg")];
        let evidence = Evidence::parse(
            "version = 1\nrow = []\n[[kind]]\nname = \"heat\"\ndiscrepancy = 0.1\nwhy = \"test\"\n",
        )
        .expect("evidence");
        let unknowns = Unknowns::new(&evidence, rows);
        let uniform = |index: u32, dimension| {
            f64::from(sobol_burley::sample(index, dimension, 9)) + 0.5 / f64::from(1_u32 << 24)
        };
        let draws: Vec<Vec<f64>> = (0..4096)
            .map(|index| {
                let z: Vec<f64> = (0..4)
                    .map(|d| normal::quantile(uniform(index, d)))
                    .collect();
                let both = 0.7 * z[0] + (1.0_f64 - 0.49).sqrt() * z[1];
                vec![0.5 * z[0] + 0.3, 0.5 * both, z[2], z[3]]
            })
            .collect();
        let file = posterior(&unknowns, &draws, Vec::new()).expect("a posterior");
        let read = Posterior::parse(&text(&file, "a test")).expect("it can be read");
        assert_eq!(read.file(), &file);
        let of = |number: usize| {
            let name = unknowns.names()[number].clone();
            let drawn: Vec<f64> = (0..4096)
                .map(|index| {
                    let uniforms = |name: &str| {
                        let names = unknowns.names();
                        let dimension = names.iter().position(|own| own == name).expect("a name");
                        uniform(index, 10 + dimension as u32)
                    };
                    read.value(&name, &uniforms).expect("a value")
                })
                .collect();
            let chain = draws
                .iter()
                .map(|draw| unknowns.value(number, draw[number]));
            (drawn, chain.collect::<Vec<f64>>())
        };
        let moments = |values: &[f64]| {
            let mean = values.iter().sum::<f64>() / values.len() as f64;
            let square = values.iter().map(|x| (x - mean).powi(2)).sum::<f64>();
            (mean, (square / values.len() as f64).sqrt())
        };
        for number in 0..unknowns.count() {
            let (drawn, chain) = of(number);
            let ((a, sd_a), (b, sd_b)) = (moments(&drawn), moments(&chain));
            assert!((a - b).abs() < 0.03 * sd_b, "{number}: {a}, {b}");
            assert!((sd_a / sd_b - 1.0).abs() < 0.03, "{number}: {sd_a}, {sd_b}");
        }
        let ((a, _), (b, _)) = (of(0), of(1));
        let ((mean_a, sd_a), (mean_b, sd_b)) = (moments(&a), moments(&b));
        let product: f64 = a
            .iter()
            .zip(&b)
            .map(|(x, y)| (x - mean_a) * (y - mean_b))
            .sum();
        let correlation = product / a.len() as f64 / sd_a / sd_b;
        assert!((correlation - 0.7).abs() < 0.04, "{correlation}");
    }
}
