//! Every number of the model that is not the user's: its unit, default, range, source and mark, in one table.
//!
//! [`Parameters`] holds one value of each; [`TABLE`] says what each means and how far it is uncertain. A scenario may
//! override any of them and the ensemble draws those with a [`Spread`].

pub mod posterior;
mod table;

pub use posterior::{Posterior, PosteriorError};
pub use table::{Parameters, TABLE};

use std::fmt;

use serde::Serialize;
use sha2::{Digest, Sha256};

use crate::source::Mark;

/// How the ensemble draws a parameter between [`Parameter::low`] and [`Parameter::high`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Spread {
    /// Never drawn: the same in every member.
    Fixed,
    /// Anything in the range alike.
    Uniform,
    /// Triangular, with the default as its most likely value.
    Triangular,
    /// Triangular in the logarithm, for factors that are uncertain by a ratio.
    LogTriangular,
}

/// Whom a parameter's value belongs to, which decides how far more colonies teach of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Scope {
    /// One value for all bees and hives, not well known: conductances, set points, rules of behaviour. However many colonies are run,
    /// they share it.
    Shared,
    /// Differs from colony to colony and hive to hive: dates, deaths, moves, gaps.
    Colony,
}

/// "fixed", "uniform", "triangular" or "log-triangular".
impl fmt::Display for Spread {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Spread::Fixed => "fixed",
            Spread::Uniform => "uniform",
            Spread::Triangular => "triangular",
            Spread::LogTriangular => "log-triangular",
        })
    }
}

/// One row of the parameter table.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct Parameter {
    /// Name in the scenario file and in outputs; the unit is its last part.
    pub name: &'static str,
    /// Unit of the value, as printed; SI.
    pub unit: &'static str,
    /// Most likely value.
    pub default: f64,
    /// Lowest value that is thought possible; also the lowest that a scenario may set.
    pub low: f64,
    /// Highest value that is thought possible; also the highest that a scenario may set.
    pub high: f64,
    /// How the ensemble draws it.
    pub spread: Spread,
    /// Whether all colonies share its value.
    pub scope: Scope,
    /// Where the number comes from.
    pub source: &'static str,
    /// How well the source is known.
    pub mark: Mark,
    /// What it means.
    pub meaning: &'static str,
}

impl Parameter {
    /// The value at `probability` (0 to 1) of this parameter's distribution: its inverse cumulative distribution.
    ///
    /// One uniform number makes one draw, so that members keep their draws when other parameters change.
    #[must_use]
    pub fn quantile(&self, probability: f64) -> f64 {
        match self.spread {
            Spread::Fixed => self.default,
            _ => self.quantile_between(self.low, self.default, self.high, probability),
        }
    }

    /// As [`Parameter::quantile`], with a range and most likely value given by the user instead of the table's; a fixed row is
    /// drawn too.
    #[must_use]
    pub fn quantile_between(&self, low: f64, mode: f64, high: f64, probability: f64) -> f64 {
        match self.spread {
            Spread::Fixed | Spread::Triangular => triangular(low, mode, high, probability),
            Spread::Uniform => low + probability * (high - low),
            Spread::LogTriangular => libm::exp(triangular(
                libm::log(low),
                libm::log(mode),
                libm::log(high),
                probability,
            )),
        }
    }
}

/// Inverse cumulative distribution of the triangular distribution on `low..=high` with its peak at `mode`.
///
/// ```
/// use overwinter::parameter::triangular;
/// assert_eq!(triangular(0.0, 1.0, 2.0, 0.5), 1.0);
/// ```
#[must_use]
pub fn triangular(low: f64, mode: f64, high: f64, probability: f64) -> f64 {
    let width = high - low;
    if width <= 0.0 {
        return mode;
    }
    let rise = (mode - low) / width;
    if probability < rise {
        low + (probability * width * (mode - low)).sqrt()
    } else {
        high - ((1.0 - probability) * width * (high - mode)).sqrt()
    }
}

/// The row of that name, or `None`.
#[must_use]
pub fn find(name: &str) -> Option<&'static Parameter> {
    TABLE.iter().find(|row| row.name == name)
}

/// Sixteen hex digits that change with any name, unit, default, range or spread of [`TABLE`]: what was learned of one table says nothing of another.
#[must_use]
pub fn fingerprint() -> String {
    let mut hash = Sha256::new();
    for row in TABLE {
        let Parameter {
            name,
            unit,
            default,
            low,
            high,
            spread,
            scope,
            source: _,
            mark: _,
            meaning: _,
        } = row;
        hash.update(format!(
            "{name} {unit} {default:e} {low:e} {high:e} {spread:?} {scope:?}\n"
        ));
    }
    let bytes = hash.finalize();
    bytes
        .iter()
        .take(8)
        .fold(String::new(), |hex, byte| hex + &format!("{byte:02x}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_has_a_range_round_its_default_and_says_where_it_comes_from() {
        for row in TABLE {
            assert!(
                row.low <= row.default && row.default <= row.high,
                "{}",
                row.name
            );
            assert!(
                !row.source.is_empty() && !row.meaning.is_empty(),
                "{}",
                row.name
            );
            if row.spread != Spread::Fixed {
                assert!(row.low < row.high, "{} is drawn but has no width", row.name);
            }
            if row.spread == Spread::LogTriangular {
                assert!(row.low > 0.0, "{}", row.name);
            }
        }
    }

    #[test]
    fn a_triangular_draw_has_the_mean_of_its_corners() {
        let n = 10_000;
        let sum: f64 = (0..n)
            .map(|i| triangular(1.0, 2.0, 6.0, (f64::from(i) + 0.5) / f64::from(n)))
            .sum();
        assert!((sum / f64::from(n) - 3.0).abs() < 1e-3);
    }

    #[test]
    fn the_ends_of_every_distribution_are_its_range() {
        for row in TABLE.iter().filter(|row| row.spread != Spread::Fixed) {
            assert!((row.quantile(0.0) - row.low).abs() <= 1e-9 * row.low.abs().max(1e-9));
            assert!((row.quantile(1.0) - row.high).abs() <= 1e-9 * row.high.abs());
        }
    }
}
