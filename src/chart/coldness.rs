//! Honey needed against how cold a winter was: a dot a winter.

use super::Look;
use super::axis::{Axis, panel};
use super::district_finding::told;
use super::label::{name, width_em};
use super::mark::Style;
use super::scale::{Ticks, px, signed};
use super::sheet::Sheet;
use super::words::mass;
use crate::units::{Dimension, System, in_system};
use maud::html;
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
        told(r2, points.len()).then_some((slope, at_zero))
    }

    pub(super) fn finding(&self, units: System) -> String {
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

    pub(super) fn draw(&self, key: &str, look: Look, source: &str) -> String {
        let units = look.units;
        let degrees = |c: f64| in_system(c, Dimension::Temperature, units);
        let honey = |kg: f64| in_system(kg, Dimension::Mass, units);
        let points = self.points();
        let ends = |values: &mut dyn Iterator<Item = f64>| {
            values.fold(
                (f64::INFINITY, f64::NEG_INFINITY),
                |(least, most), value| (least.min(value), most.max(value)),
            )
        };
        let (coldest, mildest) = ends(&mut points.iter().map(|point| degrees(point.0).0));
        let (_, most) = ends(&mut points.iter().map(|point| honey(point.1).0));
        let spread = 0.03 * (mildest - coldest);
        let sheet = Sheet {
            id: key,
            look,
            title: self.finding(units),
            shown: match self.winters.len() {
                1 => "Median honey needed in one winter against the mean of its outside air.".to_owned(),
                count => format!(
                    "Median honey needed in each of {count} winters against the mean of its outside air."
                ),
            },
            described: "A panel with a dot for each winter.".to_owned(),
            key: Vec::new(),
            notes: self.told().map(|_| "Line: least squares over the winters, drawn as Student's test at 95 % tells its slope from none.".to_owned()).into_iter().collect(),
            source,
        };
        let font = look.font();
        let height = (26.0 * font).min(0.75 * look.width());
        sheet.draw(height, |area| {
            let across = Axis {
                words: format!("Mean outside air of the winter, {}", degrees(0.0).1),
                ticks: Ticks::over(coldest - spread, mildest + spread, 8),
                after: "",
            };
            let up = Axis {
                words: format!("Honey needed, {}", honey(0.0).1),
                ticks: Ticks::over(0.0, most.max(1e-3), 7),
                after: "",
            };
            let panel = panel(look, area, &across, &up);
            let ink = look.theme.ink();
            let style = Style {
                number: 0,
                theme: look.theme,
                radius_px: 0.36 * font,
            };
            let spot = |winter: &ColdWinter| {
                (
                    panel.x.at(degrees(winter.mean_c).0),
                    panel.y.at(honey(winter.need_kg).0),
                )
            };
            let small = 0.8 * font;
            html! {
                (panel.frame)
                @if let Some((slope, at_zero)) = self.told() {
                    @let end = |c: f64| (px(panel.x.at(degrees(c).0)), px(panel.y.at(honey((at_zero + slope * c).max(0.0)).0)));
                    @let (from, to) = ends(&mut points.iter().map(|point| point.0));
                    @let (from, to) = (end(from), end(to));
                    line x1=(from.0) y1=(from.1) x2=(to.0) y2=(to.1) stroke=(style.color()) stroke-width="2" stroke-opacity="0.6" {}
                }
                @for winter in &self.winters {
                    @let words = format!("{}: mean {} {}, {} needed, {:.0} % starved", name(&winter.label, LABEL), signed(degrees(winter.mean_c).0, 1), degrees(0.0).1, mass(winter.need_kg, units), 100.0 * winter.starved);
                    (style.mark(spot(winter), Some(&words))) "\n"
                }
                @if self.winters.len() <= NAMED {
                    g font-size=(px(small)) fill=(ink.quiet) paint-order="stroke" stroke=(ink.ground) stroke-width="3" stroke-linejoin="round" {
                        @for (x, y, words) in self.labels(spot, small, panel.inner.left + panel.inner.width) { text x=(px(x)) y=(px(y)) { (words) } }
                    }
                }
            }
        })
    }

    /// Labels beside their dots: right of them, or left, above or below where another label or dot is; left out where no place is free.
    fn labels(
        &self,
        spot: impl Fn(&ColdWinter) -> (f64, f64),
        size: f64,
        right: f64,
    ) -> Vec<(f64, f64, String)> {
        let dots: Vec<(f64, f64)> = self.winters.iter().map(&spot).collect();
        let mut taken: Vec<(f64, f64, f64)> = Vec::new();
        let mut labels = Vec::new();
        for (number, winter) in self.winters.iter().enumerate() {
            let words = name(&winter.label, LABEL);
            let width = width_em(&words) * size;
            let (x, y) = dots[number];
            let places = [
                (x + 0.7 * size, y + 0.35 * size),
                (x - 0.7 * size - width, y + 0.35 * size),
                (x - 0.5 * width, y - 0.8 * size),
                (x - 0.5 * width, y + 1.5 * size),
            ];
            let free = |(left, base): &&(f64, f64)| {
                let over = |l: f64, w: f64, b: f64| {
                    *left < l + w && l < left + width && (base - b).abs() < 1.1 * size
                };
                left + width <= right
                    && taken.iter().all(|(l, w, b)| !over(*l, *w, *b))
                    && dots.iter().enumerate().all(|(other, (dx, dy))| {
                        other == number || !over(dx - 0.4 * size, 0.8 * size, dy + 0.35 * size)
                    })
            };
            if let Some((left, base)) = places.iter().find(free) {
                taken.push((*left, width, *base));
                labels.push((*left, *base, words));
            }
        }
        labels
    }
}

#[cfg(test)]
mod tests {
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
            falling.finding(System::Metric),
            "Colder winters take more honey: 0.50\u{a0}kg for each °C"
        );
        assert!(
            falling
                .finding(System::Us)
                .contains("0.62\u{a0}lb for each °F")
        );
        let unsure = winters(&[12.0, 13.0, 12.0, 13.0, 12.0]);
        assert!(unsure.finding(System::Metric).contains("cannot tell"));
        assert!(
            winters(&[12.0])
                .finding(System::Metric)
                .starts_with("One winter")
        );
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
