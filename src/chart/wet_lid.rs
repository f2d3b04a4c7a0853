//! A calendar of the wet lid: a row a winter, a column a day.

use super::Look;
use super::grammar::{
    Across, Cell, Cells, ColorBar, Dates, Describe, Figure, Month, between, name,
};
use crate::units::System;
use serde::{Deserialize, Serialize};

/// Rows that are kept; more would be too thin to see.
pub const MOST_ROWS: usize = 40;
/// Hours of a day, in tenths.
const DAY: u8 = 240;
/// Hours a day below which a month counts as dry (own choice).
const DRY_H: f64 = 0.5;
/// Share of the wettest month from which a month belongs to the wet part (own choice).
const WET_PART: f64 = 0.5;
/// Days from which a part of a month tells something of it (own choice).
const TELLING: usize = 10;
/// Colours are drawn in steps of so many tenths of an hour.
const STEP: u8 = 10;
/// Graphemes of a winter's label.
const LABEL: usize = 14;

/// Hours with a wet lid.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct WetLid {
    /// The days.
    pub dates: Dates,
    /// The first winters, [`MOST_ROWS`] at most.
    pub winters: Vec<WetWinter>,
    /// How many there are.
    pub of_winters: usize,
    /// Mean hours a day in each month of the dates over all winters, of colonies alive; none where none lived.
    pub months_h: Vec<Option<f64>>,
}

/// A winter.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct WetWinter {
    /// Its label.
    pub label: String,
    /// Mean hours of each day with a wet or frosted lid, of colonies alive, in tenths of an hour; none where none lived.
    pub days: Vec<Option<u8>>,
}

impl WetWinter {
    /// From mean hours.
    #[must_use]
    pub fn new(label: &str, days_h: impl Iterator<Item = Option<f64>>) -> Self {
        Self {
            label: label.to_owned(),
            days: days_h
                .map(|hours| {
                    hours.map(|hours| (10.0 * hours).round().clamp(0.0, f64::from(DAY)) as u8)
                })
                .collect(),
        }
    }

    /// Mean of some days, h.
    fn mean_h(&self, month: &Month) -> Option<f64> {
        let days = self.days.iter().take(month.to).skip(month.from).flatten();
        let (sum, count) = days.fold((0.0, 0.0), |(sum, count), tenths| {
            (sum + f64::from(*tenths) / 10.0, count + 1.0)
        });
        (count > 0.0).then_some(sum / count)
    }

    /// Days of a month in runs of one colour: first day, day after the last, tenths of an hour; without those on which none lived.
    fn runs(&self, month: &Month) -> Vec<(usize, usize, Option<u8>)> {
        let mut runs: Vec<(usize, usize, Option<u8>)> = Vec::new();
        for (day, tenths) in self.days.iter().enumerate().take(month.to).skip(month.from) {
            let step = tenths.map(|tenths| (tenths + STEP / 2) / STEP * STEP);
            match runs.last_mut() {
                Some((_, to, last)) if *last == step => *to = day + 1,
                _ => runs.push((day, day + 1, step)),
            }
        }
        runs
    }
}

/// The colour of a share of the day that is wet: from one that hardly stands out to one that does.
fn color(look: Look, share: f64) -> String {
    between(look.theme.ink().grid, look.theme.series(0), share)
}

impl WetLid {
    fn notes(&self) -> Vec<String> {
        let mut notes = Vec::new();
        if self.of_winters > self.winters.len() {
            notes.push(format!(
                "The first {} of {} winters are drawn; the title is of all.",
                self.winters.len(),
                self.of_winters
            ));
        }
        if self
            .winters
            .iter()
            .any(|winter| winter.days.contains(&None))
        {
            notes.push(
                "Days on which no colony of a winter lived are left blank, with a thin line."
                    .to_owned(),
            );
        }
        notes.push("Each day is the mean of the colonies of that winter that lived on it. Rain that gets in and water that creeps in wood are not in the model: look under the lid.".to_owned());
        notes
    }

    /// Days of a winter as cells.
    fn row(&self, look: Look, number: usize, winter: &WetWinter) -> Vec<Cell> {
        let mut cells = Vec::new();
        for month in self.dates.months() {
            let hours = winter.mean_h(&month);
            let hours = hours.map_or("no colony lived".to_owned(), |hours| {
                format!("lid wet {hours:.1} h a day")
            });
            let says = format!("{}, {}: {hours}", name(&winter.label, LABEL), month.name);
            cells.extend(
                winter
                    .runs(&month)
                    .into_iter()
                    .map(|(from, to, tenths)| Cell {
                        row: number,
                        along: (from as f64, to as f64),
                        color: tenths.map(|tenths| color(look, f64::from(tenths) / f64::from(DAY))),
                        figure: (String::new(), ""),
                        says: says.clone(),
                    }),
            );
        }
        cells
    }
}

impl Describe for WetLid {
    fn finding(&self, _: System) -> String {
        let months = self.dates.months();
        let known: Vec<(&Month, f64)> = months
            .iter()
            .zip(&self.months_h)
            .filter_map(|(month, hours)| hours.map(|hours| (month, hours)))
            .collect();
        let telling = |(month, _): &&(&Month, f64)| month.to - month.from >= TELLING;
        let tell: Vec<(&Month, f64)> = match known
            .iter()
            .copied()
            .filter(|known| telling(&known))
            .collect::<Vec<_>>()
        {
            none if none.is_empty() => known,
            some => some,
        };
        let Some(most) = tell.iter().map(|(_, hours)| *hours).reduce(f64::max) else {
            return "No colony lived long enough to tell how wet the lid is".to_owned();
        };
        if most <= 0.0 {
            return "The lid stays dry all winter".to_owned();
        }
        if most < DRY_H {
            return "The lid stays nearly dry all winter: under half an hour a day in every month"
                .to_owned();
        }
        let wet: Vec<bool> = tell
            .iter()
            .map(|(_, hours)| *hours >= WET_PART * most)
            .collect();
        let mean = |is: bool| {
            let own = tell.iter().zip(&wet).filter(|(_, wet)| **wet == is);
            let (hours, days) = own.fold((0.0, 0.0), |(hours, days), ((month, h), _)| {
                let of = (month.to - month.from) as f64;
                (hours + of * h, days + of)
            });
            (days > 0.0).then(|| hours / days)
        };
        let h = |hours: f64| format!("{hours:.0}\u{a0}h a\u{a0}day");
        let wet_h = mean(true).unwrap_or(most);
        let first = wet.iter().position(|wet| *wet).unwrap_or(0);
        let last = wet.iter().rposition(|wet| *wet).unwrap_or(0);
        let when = if first == last {
            format!("in {}", tell[first].0.name)
        } else {
            format!("from {} to {}", tell[first].0.name, tell[last].0.name)
        };
        match mean(false) {
            None => format!(
                "The lid is wet or frosted all winter: {} on average",
                h(wet_h)
            ),
            // A drier month between wet ones leaves no stretch to name.
            Some(_) if wet[first..=last].contains(&false) => {
                let wettest = tell.iter().max_by(|a, b| a.1.total_cmp(&b.1));
                format!(
                    "The lid is wettest in {}: {}",
                    wettest.map_or("", |(month, _)| &month.name),
                    h(most)
                )
            }
            Some(rest_h) => {
                let rest = if rest_h < DRY_H {
                    "hardly ever".to_owned()
                } else {
                    h(rest_h)
                };
                format!(
                    "The lid is wet or frosted mostly {when}: {}, in other months {rest}",
                    h(wet_h)
                )
            }
        }
    }

    fn figure(&self, look: Look) -> Figure<'_> {
        let font = look.font();
        let row_px =
            (0.55 * look.width() / self.winters.len().max(1) as f64).clamp(0.7 * font, 2.4 * font);
        let rows = self.winters.iter().enumerate();
        let ticks = [(0.0, "0\u{a0}h, dry"), (0.5, "12"), (1.0, "24\u{a0}h, wet")];
        let cells = Cells {
            across: Across::Days(self.dates),
            down: String::new(),
            rows: self
                .winters
                .iter()
                .map(|winter| name(&winter.label, LABEL))
                .collect(),
            row_px,
            gap_px: (0.08 * row_px).min(1.5),
            cells: rows
                .flat_map(|(number, winter)| self.row(look, number, winter))
                .collect(),
            bar: ColorBar {
                label: String::new(),
                stops: [0.0, 1.0].map(|share| (share, color(look, share))).into(),
                ticks: ticks.map(|(share, words)| (share, words.to_owned())).into(),
            },
        };
        Figure {
            shown: "Hours of each day with a wet or frosted lid; a row is a winter, a column a day.".to_owned(),
            described: "A calendar with a row for each winter, dates to the right, in a stronger colour where the lid is wet for longer.".to_owned(),
            legend: Vec::new(),
            notes: self.notes(),
            plot: Box::new(cells),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::metric;
    use super::*;
    use jiff::civil::date;

    /// October to December, with so many hours a day in each.
    fn winter(months_h: [Option<f64>; 3], winters: usize) -> WetLid {
        let dates = Dates {
            start: date(2001, 10, 1),
            days: 31 + 30 + 31,
        };
        let of_day = |day: usize| months_h[usize::from(day >= 31) + usize::from(day >= 61)];
        let row =
            |number: usize| WetWinter::new(&format!("w{number}"), (0..dates.days).map(of_day));
        WetLid {
            dates,
            winters: (0..winters.min(MOST_ROWS)).map(row).collect(),
            of_winters: winters,
            months_h: months_h.to_vec(),
        }
    }

    #[test]
    fn the_title_says_when_the_lid_is_wet() {
        let finding = |months_h: [f64; 3]| winter(months_h.map(Some), 3).finding(System::Metric);
        assert_eq!(
            finding([2.0, 12.0, 14.0]),
            "The lid is wet or frosted mostly from November to December: 13\u{a0}h a\u{a0}day, in other months 2\u{a0}h a\u{a0}day"
        );
        assert!(
            finding([0.1, 0.2, 14.0])
                .ends_with("mostly in December: 14\u{a0}h a\u{a0}day, in other months hardly ever")
        );
        assert!(
            finding([12.0, 12.0, 14.0])
                .starts_with("The lid is wet or frosted all winter: 13\u{a0}h a\u{a0}day")
        );
        assert_eq!(
            finding([9.0, 1.0, 14.0]),
            "The lid is wettest in December: 14\u{a0}h a\u{a0}day"
        );
        assert_eq!(finding([0.0; 3]), "The lid stays dry all winter");
        assert!(finding([0.0, 0.2, 0.3]).starts_with("The lid stays nearly dry"));
    }

    #[test]
    fn days_without_a_colony_are_blank_and_explained() {
        let data = winter([Some(3.0), None, None], 1);
        let drawn = data.draw("wet-lid", Look::default(), "");
        assert!(drawn.contains("left blank") && drawn.contains("w0, November: no colony lived"));
        assert!(drawn.contains("w0, October: lid wet 3.0 h a day"));
        assert!(metric(&winter([None; 3], 1)).starts_with("No colony lived"));
    }

    #[test]
    fn more_winters_than_rows_are_said() {
        let drawn = winter([Some(3.0); 3], 60).draw("wet-lid", Look::default(), "");
        assert!(drawn.contains("The first 40 of 60 winters are drawn"));
        assert!(drawn.contains("w39,") && !drawn.contains("w40,"));
    }

    #[test]
    fn days_of_one_colour_make_one_run_and_none_is_lost() {
        let days = [Some(1.0), Some(1.04), Some(9.0), None, None].into_iter();
        let month = Month {
            name: "October".to_owned(),
            from: 0,
            to: 5,
        };
        let runs = WetWinter::new("", days).runs(&month);
        assert_eq!(runs, [(0, 2, Some(10)), (2, 3, Some(90)), (3, 5, None)]);
    }
}
