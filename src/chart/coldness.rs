//! Honey needed against how cold a winter was: a dot a winter.

use super::Look;
use super::district_finding::is_told;
use super::grammar::{Across, Axis, Describe, Figure, Label, Mark, Xy, extent, name, signed};
use super::words::mass;
use crate::units::{Dimension, System, in_system};
use serde::{Deserialize, Serialize};

/// Winters up to which each is named beside its dot.
const NAMED: usize = 40;
/// Graphemes of a winter's label that are shown.
const LABEL: usize = 16;

/// Winters of a record, or made ones.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Coldness {
    /// The winters, one or more.
    pub winters: Vec<ColdWinter>,
}

/// One winter.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ColdWinter {
    /// Its label.
    pub label: String,
    /// Mean of its outside air, °C.
    pub mean_c: f64,
    /// Median of the honey that its members needed, kg.
    pub need_kg: f64,
    /// Share of its members that starved.
    pub starved: f64,
}

/// Slope, value at zero and explained share of a line of least squares; none through fewer than two different values.
fn line(points: &[(f64, f64)]) -> Option<(f64, f64, f64)> {
    let n = points.len() as f64;
    let (x, y) = points.iter().fold((0.0, 0.0), |(x, y), point| {
        (x + point.0 / n, y + point.1 / n)
    });
    let sum = |of: &dyn Fn(f64, f64) -> f64| -> f64 {
        points
            .iter()
            .map(|point| of(point.0 - x, point.1 - y))
            .sum()
    };
    let (xx, yy, xy) = (sum(&|x, _| x * x), sum(&|_, y| y * y), sum(&|x, y| x * y));
    (xx > 0.0).then(|| {
        (
            xy / xx,
            y - xy / xx * x,
            if yy > 0.0 { xy * xy / (xx * yy) } else { 0.0 },
        )
    })
}

impl Coldness {
    fn points(&self) -> Vec<(f64, f64)> {
        let points = self.winters.iter();
        points
            .map(|winter| (winter.mean_c, winter.need_kg))
            .collect()
    }

    /// The line, where Student's test at 95 % tells its slope from none.
    fn told(&self) -> Option<(f64, f64)> {
        let points = self.points();
        let (slope, at_zero, r2) = line(&points)?;
        is_told(r2, points.len()).then_some((slope, at_zero))
    }
}

impl Describe for Coldness {
    fn finding(&self, units: System) -> String {
        let count = self.winters.len();
        let Some((slope, _)) = self.told() else {
            return match count {
                1 => "One winter cannot tell whether colder ones take more honey".to_owned(),
                _ => {
                    format!("These {count} winters cannot tell whether colder ones take more honey")
                }
            };
        };
        // A kelvin is 1.8 degrees Fahrenheit.
        let (per, unit) = match units {
            System::Metric => (slope.abs(), "°C"),
            System::Us => (slope.abs() / 1.8, "°F"),
        };
        let (per, symbol) = in_system(per, Dimension::Mass, units);
        let word = if slope < 0.0 { "more" } else { "less" };
        format!("Colder winters take {word} honey: {per:.2}\u{a0}{symbol} for each {unit}")
    }

    fn figure(&self, look: Look) -> Figure<'_> {
        let temperature = look.unit(Dimension::Temperature);
        let style = look.style(0, 0.36);
        let points = self.points();
        let (coldest, mildest) = extent(points.iter().map(|point| point.0));
        let spread = 0.03 * (mildest - coldest);
        let fit = self.told().map(|(slope, at_zero)| {
            let end = |c: f64| (c, (at_zero + slope * c).max(0.0));
            Mark::line(vec![end(coldest), end(mildest)]).pale(style.color(), 2.0, 0.6)
        });
        let dots = self.winters.iter().map(|winter| {
            let mean = signed(temperature.shown(winter.mean_c), 1);
            let words = format!(
                "{}: mean {mean} {}, {} needed, {:.0} % starved",
                name(&winter.label, LABEL),
                temperature.symbol(),
                mass(winter.need_kg, look.units),
                100.0 * winter.starved
            );
            Mark::symbol((winter.mean_c, winter.need_kg), style).says(words)
        });
        let named = Some(&self.winters).filter(|winters| winters.len() <= NAMED);
        let label = |winter: &ColdWinter| {
            let at = (winter.mean_c, winter.need_kg);
            Label::beside(at, name(&winter.label, LABEL), 0.56 * look.font())
        };
        let labels = Mark::labels(named.into_iter().flatten().map(label).collect());
        let across = Axis::new(
            "Mean outside air of the winter",
            temperature,
            [coldest - spread, mildest + spread],
            8,
        );
        let needs = points.iter().map(|point| point.1);
        let up = Axis::new(
            "Honey needed",
            look.unit(Dimension::Mass),
            needs.chain([0.0, 1e-3]),
            7,
        );
        let note = "Line: least squares over the winters, drawn as Student's test at 95 % tells its slope from none.";
        Figure {
            shown: match self.winters.len() {
                1 => "Median honey needed in one winter against the mean of its outside air."
                    .to_owned(),
                count => format!(
                    "Median honey needed in each of {count} winters against the mean of its outside air."
                ),
            },
            described: "A panel with a dot for each winter.".to_owned(),
            legend: Vec::new(),
            notes: fit.iter().map(|_| note.to_owned()).collect(),
            plot: Box::new(Xy::new(
                look,
                Across::Numbers(across),
                up,
                fit.into_iter().chain(dots).chain([labels]).collect(),
            )),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::metric;
    use super::*;

    fn winters(needs: &[f64]) -> Coldness {
        let winter = |(number, need_kg): (usize, &f64)| ColdWinter {
            label: format!("20{number:02}"),
            mean_c: number as f64 - 6.0,
            need_kg: *need_kg,
            starved: 0.1,
        };
        Coldness {
            winters: needs.iter().enumerate().map(winter).collect(),
        }
    }

    #[test]
    fn the_title_says_by_how_much_only_where_winters_tell() {
        let falling = winters(&[14.0, 13.4, 13.1, 12.4, 12.1, 11.4]);
        assert_eq!(
            metric(&falling),
            "Colder winters take more honey: 0.50\u{a0}kg for each °C"
        );
        assert!(
            falling
                .finding(System::Us)
                .contains("0.62\u{a0}lb for each °F")
        );
        let unsure = winters(&[12.0, 13.0, 12.0, 13.0, 12.0]);
        assert!(metric(&unsure).contains("cannot tell"));
        assert!(metric(&winters(&[12.0])).starts_with("One winter"));
    }

    #[test]
    fn one_winter_and_winters_all_alike_can_be_drawn() {
        for winters in [winters(&[12.0]), winters(&[12.0; 9])] {
            assert!(
                winters
                    .draw("coldness", Look::default(), "")
                    .contains("</svg>")
            );
        }
    }
}
