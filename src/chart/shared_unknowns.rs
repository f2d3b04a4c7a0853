//! What measurements leave of the prior of each unknown that all colonies share.

use super::Look;
use super::axis::Axis;
use super::mark::Style;
use super::rows::{Row, Rows, whisker};
use super::scale::{Scale, Ticks};
use super::sheet::Sheet;
use super::words::capital;
use crate::parameter::Parameter;
use crate::units::{System, three_digits as three};
use maud::{Markup, html};
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

    /// Percent of the range.
    fn at(&self, value: f64) -> f64 {
        100.0 * (value - self.range.0) / (self.range.1 - self.range.0)
    }
}

impl SharedUnknowns {
    pub(super) fn finding(&self, _: System) -> String {
        let learnt = self.unknowns.iter().filter(|of| of.narrowed() > LEARNT);
        format!(
            "Measurements narrow {} of {} unknowns by more than a quarter",
            learnt.count(),
            self.unknowns.len()
        )
    }

    pub(super) fn draw(&self, key: &str, look: Look, source: &str) -> String {
        let style = |number| Style {
            number,
            theme: look.theme,
            radius_px: 0.34 * look.font(),
        };
        let sheet = Sheet {
            id: key,
            look,
            title: self.finding(look.units),
            shown: "Unknowns that all colonies share: 5 to 95 % and middle, before measurements and after.".to_owned(),
            described: format!("Rows with two ranges each. {}", self.finding(look.units)),
            key: vec![(style(0), "after".to_owned()), (style(1), "before".to_owned())],
            notes: vec!["After: the marginal of each; many hang together, so not every mix of values within these ranges is likely.".to_owned()],
            source,
        };
        let rows = Rows {
            look,
            axis: Axis {
                words: "Share of the range thought possible, %".to_owned(),
                ticks: Ticks::over(0.0, 100.0, 5),
                after: "",
            },
            rows: self
                .unknowns
                .iter()
                .map(|of| Row {
                    words: capital(of.words.clone()),
                    figure: of.figures(),
                })
                .collect(),
            lane_em: 1.3,
        };
        let width = look.width() - 2.0 * look.font();
        let heads = rows.heads(width);
        sheet.draw(rows.height(width, &heads), |area| {
            rows.draw(area, &heads, |number, scale, y| {
                let of = &self.unknowns[number];
                html! {
                    (range(of, &of.posterior, scale, y - 0.32 * look.font(), style(0), "after"))
                    (range(of, &of.prior, scale, y + 0.36 * look.font(), style(1), "before"))
                }
            })
        })
    }
}

impl SharedUnknown {
    fn figures(&self) -> String {
        let unit = match self.unit.as_str() {
            "-" => String::new(),
            unit => format!(" {}", unit.replace("degC", "°C")),
        };
        let [low, middle, high] = self.posterior.map(three);
        format!("{middle} ({low} to {high}){unit}")
    }
}

fn range(
    of: &SharedUnknown,
    values: &[f64; 3],
    scale: &Scale,
    y: f64,
    style: Style,
    when: &str,
) -> Markup {
    let [low, middle, high] = values.map(|value| of.at(value));
    let words = format!(
        "{} {when}: {} ({} to {})",
        of.words,
        three(values[1]),
        three(values[0]),
        three(values[2])
    );
    html! {
        (whisker(scale, y, (low, high), style.color(), 0.2 * style.radius_px))
        (style.mark((scale.at(middle), y), Some(&words)))
    }
}

#[cfg(test)]
mod tests {
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
        assert!(both.finding(System::Metric).contains("narrow 1 of 2"));
        let svg = both.draw("shared", Look::default(), "");
        assert!(svg.contains("2.6 (2.5 to 2.7) W/kg"), "{svg}");
        assert_eq!(svg.matches(" before: ").count(), 2);
    }
}
