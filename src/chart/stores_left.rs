//! Honey left over the winter: its median and spread, and where each colony ended.

use super::Look;
use super::axis::Axis;
use super::beside::{self, Beside};
use super::dates::{Dates, panel_of_days};
use super::mark::{Style, title};
use super::scale::{Ticks, px};
use super::sheet::Sheet;
use super::words::{capital, mass, percent};
use crate::colony::End;
use crate::units::{Dimension, System, in_system};
use maud::html;
use serde::{Deserialize, Serialize};

/// Marks of ends that are kept: more would hide each other and make heavy files.
pub const MOST_ENDS: usize = 300;

/// Honey left over the winter.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct StoresLeft {
    /// The days.
    pub dates: Dates,
    /// Colonies.
    pub colonies: usize,
    /// For each day, honey at its end that a twentieth, a quarter, half, three quarters and nineteen twentieths of colonies have not more than, kg; those that
    /// have died count with what they left.
    pub days_kg: Vec<[f64; 5]>,
    /// Ends of colonies, by kind and day, 300 at most.
    pub ends: Vec<ColonyEnd>,
    /// How many colonies stood behind them, by kind: ran out, stranded, chilled.
    pub counts: [usize; 3],
}

/// Where a colony ended.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct ColonyEnd {
    /// How; never alive.
    pub end: End,
    /// On which day, counted from 0.
    pub day: usize,
    /// Honey that it left, kg.
    pub left_kg: f64,
}

/// Ends that are drawn, in the order of [`StoresLeft::counts`], with their names.
const KINDS: [(End, &str); 3] = [
    (End::StoresRanOut, "stores ran out"),
    (End::Stranded, "stranded: honey out of reach"),
    (End::Chilled, "chilled or too few bees"),
];

impl StoresLeft {
    /// From the ends of all colonies.
    #[must_use]
    pub fn new(
        dates: Dates,
        colonies: usize,
        days_kg: Vec<[f64; 5]>,
        mut ends: Vec<ColonyEnd>,
    ) -> Self {
        let counts = KINDS.map(|(kind, _)| ends.iter().filter(|end| end.end == kind).count());
        ends.sort_by(|a, b| {
            let by_day = (a.end, a.day).cmp(&(b.end, b.day));
            by_day.then(a.left_kg.total_cmp(&b.left_kg))
        });
        if ends.len() > MOST_ENDS {
            // The middle one of each of so many equal parts.
            let of = ends.len();
            ends = (0..MOST_ENDS)
                .map(|part| ends[(2 * part + 1) * of / (2 * MOST_ENDS)])
                .collect();
        }
        Self {
            dates,
            colonies,
            days_kg,
            ends,
            counts,
        }
    }

    fn ended(&self) -> usize {
        self.counts.iter().sum()
    }

    /// The day by which half of those with a fate had met it, of those kept.
    fn half_by(&self, is: impl Fn(End) -> bool) -> Option<usize> {
        let mut days: Vec<usize> = self
            .ends
            .iter()
            .filter(|end| is(end.end))
            .map(|end| end.day)
            .collect();
        days.sort_unstable();
        days.get(days.len().saturating_sub(1) / 2).copied()
    }

    pub(super) fn finding(&self, units: System) -> String {
        let last = kept_together(self.dates.words(self.dates.days.saturating_sub(1)));
        let kg = self.days_kg.last().map_or(0.0, |day| day[2]);
        let share = |count: usize| count as f64 / self.colonies.max(1) as f64;
        let starved = self.counts[0] + self.counts[1];
        if self.colonies == 1 {
            return match self.ends.first() {
                None => format!(
                    "The one colony has {} of honey left on {last}",
                    mass(kg, units)
                ),
                Some(end) => {
                    let how = match end.end {
                        End::Stranded => "is stranded",
                        End::Chilled => "dies of cold or too few bees",
                        _ => "runs out of honey",
                    };
                    format!("The one colony {how} on {}", self.dates.words(end.day))
                }
            };
        }
        let by = |is: fn(End) -> bool| {
            let day = self.half_by(is);
            day.map_or_else(String::new, |day| {
                format!(", half of them by {}", kept_together(self.dates.words(day)))
            })
        };
        let (count, verb, when) = if starved == 0 && self.ended() > 0 {
            (
                self.counts[2],
                "die of cold or too few bees",
                by(|end| end == End::Chilled),
            )
        } else {
            (starved, "starve", by(|end| end != End::Chilled))
        };
        let left = format!(
            "half of all colonies have {} or more left on {last}",
            mass(kg, units)
        );
        if count == 0 {
            return format!("No colony starves: {left}");
        }
        if count == self.colonies {
            return format!("All colonies {verb}{when}");
        }
        // With the honey left only where half still have some.
        if 2 * self.ended() < self.colonies {
            return format!(
                "{} and {} {verb}{when}",
                capital(left),
                percent(share(count))
            );
        }
        format!("{} of colonies {verb}{when}", percent(share(count)))
    }

    fn key(&self, look: Look) -> Vec<(Style, String)> {
        let kinds = KINDS.iter().zip(self.counts).enumerate();
        kinds
            .filter(|(_, (_, count))| *count > 0)
            .map(|(number, ((_, words), count))| {
                (style(look, number), format!("{words} ({count})"))
            })
            .collect()
    }

    fn notes(&self) -> Vec<String> {
        let mut notes = Vec::new();
        if self.colonies > 1 {
            notes.push("Each day is taken by itself, so no one colony follows a line.".to_owned());
        }
        if self.ended() > 0 {
            notes.push("Colonies that have died count with what they left.".to_owned());
        }
        if self.ended() > self.ends.len() {
            notes.push(format!(
                "Of the {} ends {} are drawn, evenly chosen by kind and day.",
                self.ended(),
                self.ends.len()
            ));
        }
        notes
    }

    pub(super) fn draw(&self, key: &str, look: Look, source: &str) -> String {
        let units = look.units;
        let honey = |kg: f64| in_system(kg, Dimension::Mass, units);
        let sheet = Sheet {
            id: key,
            look,
            title: self.finding(units),
            shown: match self.colonies {
                1 => "Honey left in the one colony that was run.".to_owned(),
                count => format!(
                    "Honey left in {count} colonies: the middle one, the middle half and the middle 90 %{}.",
                    if self.ends.is_empty() {
                        ""
                    } else {
                        "; marks where colonies ended"
                    }
                ),
            },
            described: "Dates run to the right, honey upward; a line with two bands round it."
                .to_owned(),
            key: self.key(look),
            notes: self.notes(),
            source,
        };
        let font = look.font();
        let most_kg = self.days_kg.iter().map(|day| day[4]).fold(0.0, f64::max);
        let most_kg = self
            .ends
            .iter()
            .map(|end| end.left_kg)
            .fold(most_kg, f64::max);
        let up = Axis {
            words: format!("Honey left, {}", honey(0.0).1),
            ticks: Ticks::over(0.0, honey(most_kg).0.max(1e-3), 7),
            after: "",
        };
        let color = look.theme.series(0);
        let labels = self.labels(look);
        sheet.draw((26.0 * font).min(0.75 * look.width()), |area| {
            let right = beside::room(look, labels.iter().map(|(_, words)| words.as_str()));
            let panel = panel_of_days(look, area, &self.dates, &up, right);
            let x = |day: usize| px(panel.x.at((day + 1).min(self.dates.days) as f64));
            let y = |kg: f64| panel.y.at(honey(kg).0);
            let line = |quantile: usize, back: bool| {
                let point = |(day, kg): (usize, &[f64; 5])| format!("{},{}", x(day), px(y(kg[quantile])));
                let days = self.days_kg.iter().enumerate();
                let points: Vec<String> = if back { days.rev().map(point).collect() } else { days.map(point).collect() };
                points.join("L")
            };
            let beside = labels.iter().map(|(kg, words)| Beside {
                y: y(*kg),
                words: words.clone(),
                color: color.to_owned(),
            });
            let inner = panel.inner;
            html! {
                (panel.frame)
                @if !self.days_kg.is_empty() {
                    @for (low, high, words) in [(0, 4, "the middle 90 % of colonies"), (1, 3, "the middle half of colonies")] {
                        path d={ "M" (line(low, false)) "L" (line(high, true)) "Z" } fill=(color) fill-opacity="0.22" { (title(Some(words))) } "\n"
                    }
                    path d={ "M" (line(2, false)) } fill="none" stroke=(color) stroke-width="2.5" stroke-linejoin="round" { (title(Some("the middle colony"))) } "\n"
                }
                @for end in &self.ends {
                    @for (number, (kind, words)) in KINDS.iter().enumerate() {
                        @if end.end == *kind {
                            @let words = format!("{words} on {}, {} left", self.dates.words(end.day), mass(end.left_kg, units));
                            (style(look, number).mark((panel.x.at((end.day + 1).min(self.dates.days) as f64), y(end.left_kg)), Some(&words))) "\n"
                        }
                    }
                }
                (beside::draw(look, inner.left + inner.width, (inner.top, inner.top + inner.height), beside.collect()))
            }
        })
    }

    /// Heights on the last day, kg, and words for them.
    fn labels(&self, look: Look) -> Vec<(f64, String)> {
        let Some(last) = self.days_kg.last() else {
            return Vec::new();
        };
        let middle = mass(last[2], look.units);
        if self.colonies == 1 {
            return vec![(last[2], middle)];
        }
        vec![
            (0.5 * (last[3] + last[4]), "middle 90\u{a0}%".to_owned()),
            (0.5 * (last[2] + last[3]), "middle half".to_owned()),
            (last[2], format!("median {middle}")),
        ]
    }
}

/// A date whose day and month no line's end parts.
fn kept_together(date: String) -> String {
    date.replace(' ', "\u{a0}")
}

/// Marks of a kind of end; the first colour is that of the bands.
fn style(look: Look, kind: usize) -> Style {
    Style {
        number: kind + 1,
        theme: look.theme,
        radius_px: 0.32 * look.font(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    fn winter(colonies: usize, left_kg: f64, ends: &[(End, usize, f64)]) -> StoresLeft {
        let dates = Dates {
            start: date(2001, 10, 1),
            days: 202,
        };
        let day = |day: usize| {
            let middle = 15.0 - (15.0 - left_kg) * day as f64 / 201.0;
            [0.5, 0.8, 1.0, 1.2, 1.5].map(|part| part * middle)
        };
        let ends = ends.iter().map(|(end, day, left_kg)| ColonyEnd {
            end: *end,
            day: *day,
            left_kg: *left_kg,
        });
        StoresLeft::new(dates, colonies, (0..202).map(day).collect(), ends.collect())
    }

    #[test]
    fn the_title_says_what_is_left_and_who_starves() {
        let few = winter(
            20,
            4.0,
            &[(End::StoresRanOut, 160, 0.0), (End::Stranded, 170, 3.0)],
        );
        assert_eq!(
            few.finding(System::Metric),
            "Half of all colonies have 4.0\u{a0}kg or more left on 20\u{a0}April and 10\u{a0}% starve, half of them by 10\u{a0}March"
        );
        assert!(few.finding(System::Us).contains("8.8\u{a0}lb"));
        assert!(
            winter(20, 4.0, &[])
                .finding(System::Metric)
                .starts_with("No colony starves: half")
        );
        let all = winter(
            2,
            0.0,
            &[(End::StoresRanOut, 31, 0.0), (End::StoresRanOut, 91, 0.0)],
        );
        assert_eq!(
            all.finding(System::Metric),
            "All colonies starve, half of them by 1\u{a0}November"
        );
        let cold = winter(3, 9.0, &[(End::Chilled, 31, 9.0); 2]);
        assert_eq!(
            cold.finding(System::Metric),
            "67\u{a0}% of colonies die of cold or too few bees, half of them by 1\u{a0}November"
        );
    }

    #[test]
    fn one_colony_is_told_by_its_end() {
        assert!(
            winter(1, 4.0, &[])
                .finding(System::Metric)
                .contains("has 4.0\u{a0}kg of honey left")
        );
        let stranded = winter(1, 4.0, &[(End::Stranded, 0, 3.0)]);
        assert_eq!(
            stranded.finding(System::Metric),
            "The one colony is stranded on 1 October"
        );
    }

    #[test]
    fn of_many_ends_some_are_kept_evenly_and_no_common_kind_is_lost() {
        let mut ends = vec![(End::StoresRanOut, 150, 0.0); 2900];
        ends.extend([(End::Chilled, 90, 5.0); 100]);
        let many = winter(5000, 2.0, &ends);
        assert_eq!(many.ends.len(), MOST_ENDS);
        assert_eq!(many.counts, [2900, 0, 100]);
        let chilled = many.ends.iter().filter(|end| end.end == End::Chilled);
        assert_eq!(chilled.count(), 10);
        let drawn = many.draw("stores-left", Look::default(), "");
        assert!(drawn.contains("Of the 3000 ends 300 are drawn"));
        assert!(drawn.contains("stores ran out (2900)"));
    }

    #[test]
    fn every_end_has_its_mark_with_day_and_honey() {
        let few = winter(
            20,
            4.0,
            &[(End::StoresRanOut, 160, 0.0), (End::Stranded, 170, 3.0)],
        );
        let drawn = few.draw("stores-left", Look::default(), "");
        assert!(drawn.contains("stranded: honey out of reach on 20 March, 3.0\u{a0}kg left"));
        assert!(drawn.contains("stores ran out on 10 March, 0.0\u{a0}kg left"));
        assert!(drawn.contains("median 4.0\u{a0}kg"));
    }
}
