//! Where the heat goes, by month: columns of the means of colonies alive.

use super::Look;
use super::grammar::{
    Across, Axis, Dates, Describe, EndLabel, Figure, Mark, Month, Unit, Xy, px, signed,
};
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

    /// A column and the line of the heat made across it.
    fn column(&self, look: Look, month: &Month, heat: &MonthOfHeat) -> Vec<Mark<'_>> {
        let (ink, font) = (look.theme.ink(), look.font());
        let wide = (month.to - month.from) as f64;
        let gap = 0.06 * wide;
        let (left, right) = (month.from as f64 + gap, month.to as f64 - gap);
        let pieces = Self::pieces(heat);
        let top = pieces
            .iter()
            .fold(heat.made_w, |top, (_, end)| top.max(*end));
        let piece = |(way, (start, end)): (usize, (f64, f64))| {
            let words = format!(
                "{}: {} W by {}",
                month.name,
                signed(end - start, 2),
                WAYS[way]
            );
            let bar = Mark::bar((left, right), (start, end)).fill(look.theme.series(way), 1.0);
            bar.stroke(ink.ground, 1.0).says(words)
        };
        let made = [
            (left - 0.8 * gap, heat.made_w),
            (right + 0.8 * gap, heat.made_w),
        ];
        let words = format!(
            "{}: {:.2} W made, {} W stored",
            month.name,
            heat.made_w,
            signed(heat.stored_w, 2)
        );
        let figure = signed(heat.made_w, 1);
        let figure = Mark::custom(move |panel| {
            let (x, y) = (
                panel.x.at(0.5 * (left + right)),
                panel.y.at(top) - 0.4 * font,
            );
            let room = panel.x.at(right) - panel.x.at(left);
            html! { @if room > FIGURE * font { text x=(px(x)) y=(px(y)) font-size=(px(0.9 * font)) fill=(ink.text) text-anchor="middle" { (figure) } } }
        });
        let made = Mark::line(made.into()).stroke(ink.text, 2.5).says(words);
        pieces
            .into_iter()
            .enumerate()
            .map(piece)
            .chain([made, figure])
            .collect()
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

impl Describe for HeatByMonth {
    fn finding(&self, _: System) -> String {
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

    fn figure(&self, look: Look) -> Figure<'_> {
        let made = self.months.iter().map(|heat| heat.made_w);
        let ends = self
            .months
            .iter()
            .flat_map(Self::pieces)
            .map(|(_, end)| end);
        let most = 1.06 * ends.clone().chain(made).fold(1e-3, f64::max);
        let up = Axis::new(
            "Mean heat of colonies alive, W",
            Unit::Plain,
            ends.chain([0.0, most]),
            9,
        );
        let months = self.dates.months();
        let columns = months
            .iter()
            .zip(&self.months)
            .filter(|(_, heat)| heat.lived > 0.0);
        let mut marks: Vec<_> = columns
            .flat_map(|(month, heat)| self.column(look, month, heat))
            .collect();
        if up.ticks.ends().0 < 0.0 {
            marks.push(Mark::rule(0.0).stroke(look.theme.ink().axis, 1.2));
        }
        let last = self
            .months
            .iter()
            .rfind(|heat| heat.lived > 0.0)
            .map(Self::pieces);
        let label = |(way, words): (usize, String)| {
            let (from, to) = last.map_or((0.0, 0.0), |pieces| pieces[way]);
            EndLabel {
                y: 0.5 * (from + to),
                words,
                color: look.theme.series(way),
                symbol: None,
            }
        };
        Figure {
            shown: "Heat by the way that it leaves the hive, month by month; the line across a column is the heat that bees made. Shares at the right are of the whole winter.".to_owned(),
            described: format!("A column for each month, from below made of {}.", WAYS.join(", ")),
            legend: Vec::new(),
            notes: self.notes(),
            plot: Box::new(Xy::new(look, Across::Days(self.dates), up, marks).ends(self.labels().into_iter().map(label).collect())),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::metric;
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
            metric(&data),
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
        assert!(metric(&data).contains("the walls: 40\u{a0}%"));
        assert_eq!(drawn.matches("W made").count(), 1);
        assert!(drawn.contains("0\u{a0}% in November"));
        assert!(metric(&winter(vec![none; 3])).starts_with("No colony lived"));
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
