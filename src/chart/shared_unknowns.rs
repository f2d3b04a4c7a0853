//! What measurements leave of the prior of each unknown that all colonies share.

use super::Look;
use super::grammar::{Axis, Describe, Figure, Ranked, Row, Unit};
use super::words::capital;
use crate::parameter::Parameter;
use crate::units::{System, three_digits as three};
use serde::{Deserialize, Serialize};

/// Probabilities of the ranges.
pub const PROBABILITIES: [f64; 3] = [0.05, 0.5, 0.95];
/// Share of its prior's range that an unknown must lose to count as learnt.
const LEARNT: f64 = 0.25;

/// Unknowns before and after measurements.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SharedUnknowns {
    /// The unknowns.
    pub unknowns: Vec<SharedUnknown>,
}

/// One of them.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SharedUnknown {
    /// What it means.
    pub words: String,
    /// Its unit.
    pub unit: String,
    /// Lowest and highest that is thought possible.
    pub range: (f64, f64),
    /// Its 5, 50 and 95 % quantiles before.
    pub prior: [f64; 3],
    /// The same after.
    pub posterior: [f64; 3],
}

impl SharedUnknown {
    /// Of a parameter, with its quantiles at [`PROBABILITIES`] after measurements.
    #[must_use]
    pub fn new(row: &Parameter, posterior: [f64; 3]) -> Self {
        Self {
            words: row.meaning.to_owned(),
            unit: row.unit.to_owned(),
            range: (row.low, row.high),
            prior: PROBABILITIES.map(|probability| row.quantile(probability)),
            posterior,
        }
    }

    /// How much narrower its range is after, as a share.
    fn narrowed(&self) -> f64 {
        1.0 - (self.posterior[2] - self.posterior[0]) / (self.prior[2] - self.prior[0])
    }

    /// Share of the range thought possible.
    fn at(&self, value: f64) -> f64 {
        (value - self.range.0) / (self.range.1 - self.range.0)
    }

    fn row(&self, look: Look) -> Row<'_> {
        let unit = match self.unit.as_str() {
            "-" => String::new(),
            unit => format!(" {}", unit.replace("degC", "°C")),
        };
        let figure = |values: &[f64; 3]| {
            let [low, middle, high] = values.map(three);
            format!("{middle} ({low} to {high})")
        };
        let row = Row::new(capital(self.words.clone()), figure(&self.posterior) + &unit);
        let ranges = [
            (&self.posterior, -0.32, "after"),
            (&self.prior, 0.36, "before"),
        ];
        ranges
            .into_iter()
            .enumerate()
            .fold(row, |row, (number, (values, below, when))| {
                let [low, middle, high] = values.map(|value| self.at(value));
                let style = look.style(number, 0.34);
                let words = format!("{} {when}: {}", self.words, figure(values));
                row.estimate(
                    (middle, below),
                    Some((low, high)),
                    style,
                    0.2 * style.radius_px,
                    words,
                )
            })
    }
}

impl Describe for SharedUnknowns {
    fn finding(&self, _: System) -> String {
        let learnt = self.unknowns.iter().filter(|of| of.narrowed() > LEARNT);
        format!(
            "Measurements narrow {} of {} unknowns by more than a quarter",
            learnt.count(),
            self.unknowns.len()
        )
    }

    fn figure(&self, look: Look) -> Figure<'_> {
        let axis = Axis::new(
            "Share of the range thought possible",
            Unit::Percent,
            [0.0, 1.0],
            5,
        );
        let names = ["after", "before"].into_iter().enumerate();
        Figure {
            shown: "Unknowns that all colonies share: 5 to 95 % and middle, before measurements and after.".to_owned(),
            described: format!("Rows with two ranges each. {}", self.finding(look.units)),
            legend: names.map(|(number, name)| (look.style(number, 0.34), name.to_owned())).collect(),
            notes: vec!["After: the marginal of each; many hang together, so not every mix of values within these ranges is likely.".to_owned()],
            plot: Box::new(Ranked::new(axis, 1.3, self.unknowns.iter().map(|own| own.row(look)).collect())),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::metric;
    use super::*;
    use crate::parameter::find;

    #[test]
    fn an_unknown_that_is_narrowed_counts_and_its_figures_are_the_later_ones() {
        let row = find("resting_w_kg").expect("a parameter");
        let sharp = SharedUnknown::new(row, [2.5, 2.6, 2.7]);
        let vague = SharedUnknown::new(row, PROBABILITIES.map(|p| row.quantile(p)));
        let both = SharedUnknowns {
            unknowns: vec![sharp, vague],
        };
        assert!(metric(&both).contains("narrow 1 of 2"));
        let svg = both.draw("shared", Look::default(), "");
        assert!(svg.contains("2.6 (2.5 to 2.7) W/kg"), "{svg}");
        assert_eq!(svg.matches(" before: ").count(), 2);
    }
}
