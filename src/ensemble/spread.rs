//! What is uncertain: the colony, and parameters that a scenario sets.

use crate::colony::{Colony, Feed, Placement};
use crate::parameter::{Parameter, Parameters, Posterior, TABLE};
use serde::{Serialize, Serializer};

/// Size and stores of the colony on the first day of the season, and their spread.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ColonySpread {
    /// Adult bees, mean.
    pub bees: f64,
    /// Relative standard deviation of the bees, 0 to 0.5.
    pub bees_spread: f64,
    /// Honey, mean, kg.
    pub stores_kg: f64,
    /// Standard deviation of the honey, kg.
    pub stores_spread_kg: f64,
    /// Where it stands, and the cluster.
    pub placement: Placement,
    /// Feed in the course of the winter.
    pub feeds: Vec<Feed>,
}

impl ColonySpread {
    /// The colony at the middle of its spread.
    #[must_use]
    pub fn mean(&self) -> Colony {
        Colony {
            bees: self.bees,
            stores_kg: self.stores_kg,
            placement: self.placement.clone(),
            feeds: self.feeds.clone(),
        }
    }
}

/// A parameter with a value or range of the user's.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Override {
    /// Number of the row in [`TABLE`]; serialized by the row's name, which stays when others come.
    #[serde(serialize_with = "row_name")]
    pub row: usize,
    /// What replaces the row's value and range.
    pub value: OverrideValue,
}

fn row_name<S: Serializer>(row: &usize, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_str(TABLE[*row].name)
}

/// What replaces a parameter's value and range; in the unit of the row and within its range.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub enum OverrideValue {
    /// The same in every member.
    Fixed(f64),
    /// Drawn from a triangular distribution; in the logarithm where the row is.
    Range {
        /// Lowest value.
        low: f64,
        /// Most likely value.
        mode: f64,
        /// Highest value.
        high: f64,
    },
}

impl Override {
    /// The row that is overridden.
    #[must_use]
    pub fn parameter(&self) -> &'static Parameter {
        &TABLE[self.row]
    }

    /// The value at `probability` (0 to 1) of the user's distribution. A row that is fixed in the table is drawn too when the
    /// user gives a range.
    #[must_use]
    pub fn quantile(&self, probability: f64) -> f64 {
        match self.value {
            OverrideValue::Fixed(value) => value,
            OverrideValue::Range { low, mode, high } => {
                self.parameter()
                    .quantile_between(low, mode, high, probability)
            }
        }
    }

    /// The value, or the most likely one.
    #[must_use]
    pub fn most_likely(&self) -> f64 {
        match self.value {
            OverrideValue::Fixed(value) => value,
            OverrideValue::Range { mode, .. } => mode,
        }
    }
}

/// The value of every parameter in the middle of what is known: as overridden, else the median of the fit, else the table's.
pub fn most_likely(overrides: &[Override]) -> Parameters {
    let parameters = Parameters::from_rows(|row, parameter| {
        let set = overrides.iter().find(|set| set.row == row);
        let known = || Posterior::built_in().value(parameter.name, &|_| 0.5);
        set.map_or_else(
            || known().unwrap_or(parameter.default),
            Override::most_likely,
        )
    });
    with_set_date(parameters, overrides)
}

/// With the start of brood left where the user set it, if they did: no chance moves it then, unless the user sets that too.
pub(super) fn with_set_date(mut parameters: Parameters, overrides: &[Override]) -> Parameters {
    let is_set = |name| overrides.iter().any(|set| set.parameter().name == name);
    if is_set("brood_start_day") && !is_set("brood_start_per_day") {
        parameters.brood_start_per_day = 0.0;
    }
    parameters
}

#[cfg(test)]
mod tests {
    use super::*;

    fn set(name: &str, value: f64) -> Override {
        let row = TABLE.iter().position(|row| row.name == name);
        Override {
            row: row.expect("a parameter"),
            value: OverrideValue::Fixed(value),
        }
    }

    #[test]
    fn a_start_of_brood_that_the_user_sets_is_not_moved() {
        let p = most_likely(&[set("brood_start_day", -5.0)]);
        assert_eq!((p.brood_start_day, p.brood_start_per_day), (-5.0, 0.0));
        let both = most_likely(&[
            set("brood_start_day", 40.0),
            set("brood_start_per_day", 0.01),
        ]);
        assert_eq!(both.brood_start_per_day, 0.01);
        let fitted = most_likely(&[set("resting_w_kg", 3.0)]);
        assert_eq!(fitted.resting_w_kg, 3.0);
        let median = Posterior::built_in().value("resting_q10", &|_| 0.5);
        assert_eq!(Some(fitted.resting_q10), median);
    }
}
