//! Weighted draws of what all colonies share: what is known of it after a measurement, values that hang together drawn together.

use crate::parameter::{Parameter, Scope, TABLE, find};
use thiserror::Error;

/// Most that weights may be off one in sum.
const SUM_OFF: f64 = 1e-6;

/// Draws of shared parameters, each with a weight.
#[derive(Clone, Debug)]
pub struct SharedDraws {
    /// Where they are from, in words, for what is made with them.
    source: String,
    rows: Vec<&'static Parameter>,
    values: Vec<Vec<f64>>,
    /// Sum of the weights up to each draw and with it.
    until: Vec<f64>,
}

/// Why draws cannot be used; `row` counts from 1.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum SharedDrawsError {
    /// A name is no shared parameter.
    #[error("'{0}' is no parameter that all colonies share")]
    Unknown(String),
    /// A name stands twice.
    #[error("'{0}' stands twice among the names")]
    Twice(String),
    /// A value that cannot be.
    #[error("row {row}: {name} is {value}, outside {low} to {high} {unit}")]
    Range {
        /// Number of the draw.
        row: usize,
        /// Its parameter.
        name: &'static str,
        /// Its value.
        value: f64,
        /// Lowest allowed.
        low: f64,
        /// Highest allowed.
        high: f64,
        /// Unit of all three.
        unit: &'static str,
    },
    /// Too few or too many values.
    #[error("row {row}: has {values} values for {names} names")]
    Values {
        /// Number of the draw.
        row: usize,
        /// Its values.
        values: usize,
        /// Names.
        names: usize,
    },
    /// A weight that cannot be.
    #[error("row {row}: a weight of {weight} cannot be; it must be above 0")]
    Weight {
        /// Number of the draw.
        row: usize,
        /// Its weight.
        weight: f64,
    },
    /// Weights that are none.
    #[error("the weights sum to {0}; they must sum to 1")]
    Sum(f64),
}

impl SharedDraws {
    /// Draws of the parameters of these names, each a weight and its values in the order of names; weights sum to one.
    ///
    /// # Errors
    /// [`SharedDrawsError`].
    pub fn new(
        source: &str,
        names: &[String],
        draws: impl IntoIterator<Item = (f64, Vec<f64>)>,
    ) -> Result<Self, SharedDrawsError> {
        let mut rows: Vec<&'static Parameter> = Vec::new();
        for name in names {
            let row = find(name).filter(|row| row.scope == Scope::Shared);
            let row = row.ok_or_else(|| SharedDrawsError::Unknown(name.clone()))?;
            if rows.iter().any(|before| before.name == row.name) {
                return Err(SharedDrawsError::Twice(name.clone()));
            }
            rows.push(row);
        }
        let (mut values, mut until, mut sum) = (Vec::new(), Vec::new(), 0.0);
        for (number, (weight, own)) in (1..).zip(draws) {
            if own.len() != rows.len() {
                return Err(SharedDrawsError::Values {
                    row: number,
                    values: own.len(),
                    names: rows.len(),
                });
            }
            let outside = rows
                .iter()
                .zip(&own)
                .find(|(row, value)| !(row.low..=row.high).contains(*value));
            if let Some((row, value)) = outside {
                return Err(SharedDrawsError::Range {
                    row: number,
                    name: row.name,
                    value: *value,
                    low: row.low,
                    high: row.high,
                    unit: row.unit,
                });
            }
            if !(weight.is_finite() && weight > 0.0) {
                return Err(SharedDrawsError::Weight {
                    row: number,
                    weight,
                });
            }
            sum += weight;
            until.push(sum);
            values.push(own);
        }
        if (sum - 1.0).abs() > SUM_OFF {
            return Err(SharedDrawsError::Sum(sum));
        }
        Ok(Self {
            source: source.to_owned(),
            rows,
            values,
            until,
        })
    }

    /// Where they are from.
    #[must_use]
    pub fn source(&self) -> &str {
        &self.source
    }

    /// The name whose uniform number chooses the draw; none without parameters.
    #[must_use]
    pub fn chooser(&self) -> Option<&'static str> {
        self.rows.first().map(|row| row.name)
    }

    /// The value of a parameter, by its number in the table, in the draw that a uniform number chooses: evenly spread numbers take each draw as often as it weighs
    /// (systematic resampling, Kitagawa 1996, from memory). None where it is none of theirs.
    #[must_use]
    pub fn value(&self, number: usize, uniform: f64) -> Option<f64> {
        let name = TABLE.get(number)?.name;
        let of = self.rows.iter().position(|row| row.name == name)?;
        let draw = self.until.partition_point(|until| *until < uniform);
        self.values
            .get(draw.min(self.values.len().saturating_sub(1)))?
            .get(of)
            .copied()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names() -> Vec<String> {
        ["resting_w_kg", "core_set_c"].map(str::to_owned).to_vec()
    }

    fn number(name: &str) -> usize {
        TABLE
            .iter()
            .position(|row| row.name == name)
            .expect("a row")
    }

    /// Two values within the ranges of the table, whatever they are.
    fn inside(at: f64) -> Vec<f64> {
        let of = |name: &String| {
            let row = find(name).expect("a row");
            row.low + at * (row.high - row.low)
        };
        names().iter().map(of).collect()
    }

    #[test]
    fn evenly_spread_numbers_take_each_draw_as_often_as_it_weighs_and_whole() {
        let given = [(0.25, inside(0.1)), (0.75, inside(0.9))];
        let draws = SharedDraws::new("a fit", &names(), given).expect("draws");
        let taken = |of: usize| -> Vec<f64> {
            let at = |place: i32| (f64::from(place) + 0.5) / 100.0;
            (0..100)
                .map(|place| {
                    draws
                        .value(number(&names()[of]), at(place))
                        .expect("a value")
                })
                .collect()
        };
        let (first, second) = (taken(0), taken(1));
        let low =
            |values: &[f64], of: usize| values.iter().filter(|v| **v == inside(0.1)[of]).count();
        assert_eq!((low(&first, 0), low(&second, 1)), (25, 25));
        let together = first
            .iter()
            .zip(&second)
            .filter(|(a, b)| (**a == inside(0.1)[0]) == (**b == inside(0.1)[1]));
        assert_eq!(together.count(), 100);
        assert_eq!(draws.value(number("brood_start_day"), 0.5), None);
    }

    #[test]
    fn what_cannot_be_is_refused_with_its_row() {
        let new = |names: &[&str], draws: Vec<(f64, Vec<f64>)>| {
            let names: Vec<String> = names.iter().map(|name| (*name).to_owned()).collect();
            SharedDraws::new("a fit", &names, draws)
                .expect_err("refused")
                .to_string()
        };
        let two = ["resting_w_kg", "core_set_c"];
        assert!(new(&["brood_start_day"], vec![]).contains("'brood_start_day' is no parameter"));
        assert!(new(&["resting_w_kg", "resting_w_kg"], vec![]).contains("twice"));
        let far = vec![(0.5, inside(0.5)), (0.5, vec![inside(0.5)[0], 400.0])];
        assert!(new(&two, far).starts_with("row 2: core_set_c is 400, outside"));
        assert!(
            new(&two, vec![(1.0, vec![f64::NAN, 20.0])]).starts_with("row 1: resting_w_kg is NaN")
        );
        assert!(new(&two, vec![(1.0, vec![2.0])]).starts_with("row 1: has 1 values for 2 names"));
        assert!(new(&two, vec![(-1.0, inside(0.5))]).starts_with("row 1: a weight of -1"));
        assert!(new(&two, vec![(0.5, inside(0.5))]).contains("sum to 0.5"));
        assert!(new(&two, vec![]).contains("sum to 0"));
    }
}
