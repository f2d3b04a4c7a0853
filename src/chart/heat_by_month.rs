//! Where the heat goes, by month: columns of the means of colonies alive.

use super::Look;
use super::axis::Axis;
use super::beside::{self, Beside};
use super::dates::{Dates, panel_of_days};
use super::mark::title;
use super::scale::{Ticks, px, signed};
use super::sheet::Sheet;
use super::words::{capital, percent};
use crate::units::System;
use maud::html;
use serde::{Deserialize, Serialize};

/// Ways that heat goes, each several paths of the ledger; in the order of columns from below.
pub const WAYS: [&str; 5] = ["walls", "lid", "floor", "air", "water vapour"];
/// How heat leaves by each, in a sentence.
const BY: [&str; WAYS.len()] = [
    "through the walls",
    "through the lid",
    "through the floor",
    "with air",
    "as water vapour",
];
/// Two ways whose shares lie nearer than this take about as much (own choice).
const ALIKE: f64 = 0.02;
/// Storage of this share of the heat made, or more, is told (own choice).
const TOLD: f64 = 0.005;
/// A month with less of its colony-days lived than this is told (own choice).
const WHOLE: f64 = 0.995;
/// Narrowest columns, px, with figures on them, in font sizes.
const FIGURE: f64 = 2.2;

/// Heat by month.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct HeatByMonth {
    /// The days.
    pub dates: Dates,
    /// Each month of them, in their order.
    pub months: Vec<MonthOfHeat>,
}

/// Heat of a month, as means over the time that colonies lived.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct MonthOfHeat {
    /// Share of the colony-days of the month that were lived; without any, the rest is nothing.
    pub lived: f64,
    /// Made by the bees, W.
    pub made_w: f64,
    /// Stored, W; negative when hives cooled.
    pub stored_w: f64,
    /// Lost by each of [`WAYS`], W; negative where the sun gave more than left.
    pub ways_w: [f64; WAYS.len()],
}

impl HeatByMonth {
    /// Shares of all heat made, by way: months count by their days and by how many lived.
    fn shares(&self) -> Option<[f64; WAYS.len()]> {
        let days = self
            .dates
            .months()
            .into_iter()
            .map(|month| (month.to - month.from) as f64);
        let weighed = days
            .zip(&self.months)
            .map(|(days, heat)| (days * heat.lived, heat));
        let made: f64 = weighed
            .clone()
            .map(|(weight, heat)| weight * heat.made_w)
            .sum();
        let lost = |way: usize| {
            weighed
                .clone()
                .map(|(weight, heat)| weight * heat.ways_w[way])
                .sum::<f64>()
        };
        (made > 0.0).then(|| std::array::from_fn(|way| lost(way) / made))
    }

    pub(super) fn finding(&self, _: System) -> String {
        let Some(shares) = self.shares() else {
            return "No colony lived long enough to tell where heat goes".to_owned();
        };
        let mut order: Vec<usize> = (0..WAYS.len()).collect();
        order.sort_by(|a, b| shares[*b].total_cmp(&shares[*a]));
        let (first, second) = (order[0], order[1]);
        let most = if shares[first] - shares[second] < ALIKE {
            format!(
                "Most heat leaves {} and {}, {} and {} of it",
                BY[first],
                BY[second],
                percent(shares[first]),
                percent(shares[second])
            )
        } else {
            format!(
                "Most heat leaves {}: {} of it",
                BY[first],
                percent(shares[first])
            )
        };
        let names = self.dates.months();
        let lived = names
            .iter()
            .zip(&self.months)
            .filter(|(_, heat)| heat.lived > 0.0);
        let by_made = lived.max_by(|a, b| a.1.made_w.total_cmp(&b.1.made_w));
        match by_made {
            Some((month, heat)) if names.len() > 1 => format!(
                "{most}; bees make most heat in {}, {:.1}\u{a0}W",
                month.name, heat.made_w
            ),
            _ => most,
        }
    }

    fn notes(&self) -> Vec<String> {
        let mut notes = vec![
            "Air: through entrance, open floor, vents and joints, and what bees fan out. Walls, lid and floor are net of the sun that they take up.".to_owned(),
        ];
        if self
            .months
            .iter()
            .any(|heat| heat.ways_w.iter().any(|w| *w < 0.0))
        {
            notes.push("Below zero: the sun gave more there than left, so the column's top stands above the heat made by as much.".to_owned());
        }
        let names = self.dates.months();
        let stored = names
            .iter()
            .zip(&self.months)
            .filter(|(_, heat)| heat.stored_w.abs() > TOLD * heat.made_w);
        let stored: Vec<String> = stored
            .map(|(month, heat)| format!("{} W in {}", signed(heat.stored_w, 2), month.name))
            .collect();
        if !stored.is_empty() {
            notes.push(format!(
                "Heat made is what leaves and what bees, combs and hive store as they warm, below zero as they cool: {}.",
                stored.join(", ")
            ));
        }
        let lived = names
            .iter()
            .zip(&self.months)
            .filter(|(_, heat)| heat.lived < WHOLE);
        let lived: Vec<String> = lived
            .map(|(month, heat)| format!("{} in {}", percent(heat.lived), month.name))
            .collect();
        if !lived.is_empty() {
            notes.push(format!(
                "Means of colonies while they live; of all colony-days these were lived: {}.",
                lived.join(", ")
            ));
        }
        notes
    }

    /// From and to of each way's piece of a column, W: upward from zero, or downward where below it.
    fn pieces(heat: &MonthOfHeat) -> [(f64, f64); WAYS.len()] {
        let (mut above, mut below) = (0.0, 0.0);
        heat.ways_w.map(|w| {
            let end = if w < 0.0 { &mut below } else { &mut above };
            let from = *end;
            *end += w;
            (from, *end)
        })
    }

    pub(super) fn draw(&self, key: &str, look: Look, source: &str) -> String {
        let (font, ink) = (look.font(), look.theme.ink());
        let ends = || {
            self.months
                .iter()
                .flat_map(Self::pieces)
                .map(|(_, end)| end)
        };
        let made = self.months.iter().map(|heat| heat.made_w);
        let up = Axis {
            words: "Mean heat of colonies alive, W".to_owned(),
            ticks: Ticks::over(
                ends().fold(0.0, f64::min),
                1.06 * ends().chain(made).fold(1e-3, f64::max),
                9,
            ),
            after: "",
        };
        let sheet = Sheet {
            id: key,
            look,
            title: self.finding(look.units),
            shown: "Heat by the way that it leaves the hive, month by month; the line across a column is the heat that bees made. Shares at the right are of the whole winter.".to_owned(),
            described: format!("A column for each month, from below made of {}.", WAYS.join(", ")),
            key: Vec::new(),
            notes: self.notes(),
            source,
        };
        let months = self.dates.months();
        sheet.draw((26.0 * font).min(0.75 * look.width()), |area| {
            let labels = self.labels();
            let right = beside::room(look, labels.iter().map(|(_, words)| words.as_str()));
            let panel = panel_of_days(look, area, &self.dates, &up, right);
            let inner = panel.inner;
            let (x, y) = (|day: f64| panel.x.at(day), |w: f64| panel.y.at(w));
            let beside = labels.iter().map(|(way, words)| {
                let last = self.months.iter().rfind(|heat| heat.lived > 0.0).map(Self::pieces);
                let (from, to) = last.map_or((0.0, 0.0), |pieces| pieces[*way]);
                Beside {
                    y: y(0.5 * (from + to)),
                    words: words.clone(),
                    color: look.theme.series(*way).to_owned(),
                }
            });
            let columns = months.iter().zip(&self.months).filter(|(_, heat)| heat.lived > 0.0);
            html! {
                (panel.frame)
                @for (month, heat) in columns {
                    @let (from, to) = (x(month.from as f64), x(month.to as f64));
                    @let gap = (0.06 * (to - from)).min(0.3 * font);
                    @let (left, wide) = (from + gap, to - from - 2.0 * gap);
                    @for (way, (start, end)) in Self::pieces(heat).into_iter().enumerate() {
                        @let words = format!("{}: {} W by {}", month.name, signed(end - start, 2), WAYS[way]);
                        rect x=(px(left)) y=(px(y(start.max(end)))) width=(px(wide)) height=(px((y(start) - y(end)).abs())) fill=(look.theme.series(way)) stroke=(ink.ground) stroke-width="1" { (title(Some(&words))) } "\n"
                    }
                    @let words = format!("{}: {:.2} W made, {} W stored", month.name, heat.made_w, signed(heat.stored_w, 2));
                    line x1=(px(left - 0.8 * gap)) x2=(px(left + wide + 0.8 * gap)) y1=(px(y(heat.made_w))) y2=(px(y(heat.made_w))) stroke=(ink.text) stroke-width="2.5" { (title(Some(&words))) } "\n"
                    @if wide > FIGURE * font {
                        @let top = Self::pieces(heat).iter().fold(heat.made_w, |top, (_, end)| top.max(*end));
                        text x=(px(left + 0.5 * wide)) y=(px(y(top) - 0.4 * font)) font-size=(px(0.9 * font)) fill=(ink.text) text-anchor="middle" { (signed(heat.made_w, 1)) }
                    }
                }
                @if up.ticks.ends().0 < 0.0 {
                    line x1=(px(inner.left)) x2=(px(inner.left + inner.width)) y1=(px(y(0.0))) y2=(px(y(0.0))) stroke=(ink.axis) stroke-width="1.2" {}
                }
                (beside::draw(look, inner.left + inner.width, (inner.top, inner.top + inner.height), beside.collect()))
            }
        })
    }

    /// Ways with their shares of the winter's heat.
    fn labels(&self) -> Vec<(usize, String)> {
        let Some(shares) = self.shares() else {
            return Vec::new();
        };
        let words = |way: usize| match shares[way] {
            share if share < 0.0 => format!(
                "{} {}",
                capital(WAYS[way].to_owned()),
                signed(100.0 * share, 0) + "\u{a0}%"
            ),
            share => format!("{} {}", capital(WAYS[way].to_owned()), percent(share)),
        };
        // From above, as in the column.
        (0..WAYS.len()).rev().map(|way| (way, words(way))).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    fn heat(ways_w: [f64; 5], lived: f64) -> MonthOfHeat {
        let made_w = ways_w.iter().sum();
        MonthOfHeat {
            lived,
            made_w,
            stored_w: 0.0,
            ways_w,
        }
    }

    fn winter(months: Vec<MonthOfHeat>) -> HeatByMonth {
        let dates = Dates {
            start: date(2001, 10, 1),
            days: 31 + 30 + 31,
        };
        HeatByMonth { dates, months }
    }

    #[test]
    fn the_title_says_by_which_way_and_in_which_month() {
        let data = winter(vec![
            heat([4.0, 1.0, 1.0, 2.0, 2.0], 1.0),
            heat([5.0, 1.0, 1.0, 2.0, 2.0], 1.0),
            heat([6.0, 1.0, 1.0, 2.0, 2.0], 1.0),
        ]);
        assert_eq!(
            data.finding(System::Metric),
            "Most heat leaves through the walls: 45\u{a0}% of it; bees make most heat in December, 12.0\u{a0}W"
        );
        let alike = winter(vec![heat([3.0, 1.0, 1.0, 2.0, 3.0], 1.0); 3]);
        assert!(alike.finding(System::Metric).starts_with(
            "Most heat leaves through the walls and as water vapour, 30\u{a0}% and 30\u{a0}%"
        ));
    }

    #[test]
    fn months_without_a_colony_have_no_column_and_no_weight() {
        let none = heat([0.0; 5], 0.0);
        let data = winter(vec![heat([4.0, 1.0, 1.0, 2.0, 2.0], 1.0), none, none]);
        let drawn = data.draw("heat-by-month", Look::default(), "");
        assert!(
            data.finding(System::Metric)
                .contains("the walls: 40\u{a0}%")
        );
        assert_eq!(drawn.matches("W made").count(), 1);
        assert!(drawn.contains("0\u{a0}% in November"));
        assert!(
            winter(vec![none; 3])
                .finding(System::Metric)
                .starts_with("No colony lived")
        );
    }

    #[test]
    fn what_the_sun_gave_hangs_below_zero_and_is_explained() {
        let data = winter(vec![heat([4.0, -1.0, 1.0, 2.0, 2.0], 1.0); 3]);
        assert_eq!(HeatByMonth::pieces(&data.months[0])[1], (0.0, -1.0));
        assert_eq!(HeatByMonth::pieces(&data.months[0])[2], (4.0, 5.0));
        let drawn = data.draw("heat-by-month", Look::default(), "");
        assert!(drawn.contains("\u{2212}1.00 W by lid") && drawn.contains("Below zero"));
    }

    #[test]
    fn storage_is_told_where_it_counts() {
        let mut october = heat([4.0, 1.0, 1.0, 2.0, 2.0], 1.0);
        october.stored_w = -0.3;
        let mut rest = october;
        rest.stored_w = 0.01;
        let drawn = winter(vec![october, rest, rest]).draw("heat-by-month", Look::default(), "");
        assert!(drawn.contains("as they cool: \u{2212}0.30 W in October."));
    }
}
