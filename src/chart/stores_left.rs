//! Honey left over the winter: its median and spread, and where each colony ended.

use super::Look;
use super::grammar::{Across, Axis, Dates, Describe, EndLabel, Figure, Mark, Style, Xy};
use super::words::{capital, mass, percent};
use crate::colony::End;
use crate::units::{Dimension, System};
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

    fn legend(&self, look: Look) -> Vec<(Style, String)> {
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

    /// Labels at the ends of the lines.
    fn end_labels(&self, look: Look) -> Vec<EndLabel> {
        let Some(last) = self.days_kg.last() else {
            return Vec::new();
        };
        let middle = mass(last[2], look.units);
        let labels = if self.colonies == 1 {
            vec![(last[2], middle)]
        } else {
            vec![
                (0.5 * (last[3] + last[4]), "middle 90\u{a0}%".to_owned()),
                (0.5 * (last[2] + last[3]), "middle half".to_owned()),
                (last[2], format!("median {middle}")),
            ]
        };
        let color = look.theme.series(0);
        let label = |(y, words)| EndLabel {
            y,
            words,
            color,
            symbol: None,
        };
        labels.into_iter().map(label).collect()
    }

    /// Bands, line and where colonies ended.
    fn marks(&self, look: Look) -> Vec<Mark<'_>> {
        let color = look.theme.series(0);
        let at = |day: usize| (day + 1).min(self.dates.days) as f64;
        let days = || self.days_kg.iter().enumerate();
        let bands = [
            (0, 4, "the middle 90 % of colonies"),
            (1, 3, "the middle half of colonies"),
        ];
        let bands = bands.map(|(low, high, words)| {
            let points = days().map(|(day, kg)| (at(day), kg[low], kg[high]));
            Mark::band(points.collect()).fill(color, 0.22).says(words)
        });
        let line = Mark::line(days().map(|(day, kg)| (at(day), kg[2])).collect());
        let line = line.stroke(color, 2.5).says("the middle colony");
        let mut marks: Vec<Mark<'_>> = bands.into_iter().chain([line]).collect();
        marks.retain(|_| !self.days_kg.is_empty());
        for end in &self.ends {
            let kind = KINDS.iter().position(|(kind, _)| *kind == end.end);
            marks.extend(kind.map(|kind| {
                let (words, on) = (KINDS[kind].1, self.dates.words(end.day));
                let says = format!("{words} on {on}, {} left", mass(end.left_kg, look.units));
                Mark::symbol((at(end.day), end.left_kg), style(look, kind)).says(says)
            }));
        }
        marks
    }
}

impl Describe for StoresLeft {
    fn finding(&self, units: System) -> String {
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

    fn figure(&self, look: Look) -> Figure<'_> {
        let all = self.days_kg.iter().map(|day| day[4]);
        let all = all
            .chain(self.ends.iter().map(|end| end.left_kg))
            .chain([0.0, 1e-3]);
        let up = Axis::new("Honey left", look.unit(Dimension::Mass), all, 7);
        let ended = if self.ends.is_empty() {
            ""
        } else {
            "; marks where colonies ended"
        };
        Figure {
            shown: match self.colonies {
                1 => "Honey left in the one colony that was run.".to_owned(),
                count => format!(
                    "Honey left in {count} colonies: the middle one, the middle half and the middle 90 %{ended}."
                ),
            },
            described: "Dates run to the right, honey upward; a line with two bands round it."
                .to_owned(),
            legend: self.legend(look),
            notes: self.notes(),
            plot: Box::new(
                Xy::new(look, Across::Days(self.dates), up, self.marks(look))
                    .ends(self.end_labels(look)),
            ),
        }
    }
}

/// A date whose day and month no line's end parts.
fn kept_together(date: String) -> String {
    date.replace(' ', "\u{a0}")
}

/// Marks of a kind of end; the first colour is that of the bands.
fn style(look: Look, kind: usize) -> Style {
    look.style(kind + 1, 0.32)
}

#[cfg(test)]
mod tests {
    use super::super::metric;
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
            metric(&few),
            "Half of all colonies have 4.0\u{a0}kg or more left on 20\u{a0}April and 10\u{a0}% starve, half of them by 10\u{a0}March"
        );
        assert!(few.finding(System::Us).contains("8.8\u{a0}lb"));
        assert!(metric(&winter(20, 4.0, &[])).starts_with("No colony starves: half"));
        let all = winter(
            2,
            0.0,
            &[(End::StoresRanOut, 31, 0.0), (End::StoresRanOut, 91, 0.0)],
        );
        assert_eq!(
            metric(&all),
            "All colonies starve, half of them by 1\u{a0}November"
        );
        let cold = winter(3, 9.0, &[(End::Chilled, 31, 9.0); 2]);
        assert_eq!(
            metric(&cold),
            "67\u{a0}% of colonies die of cold or too few bees, half of them by 1\u{a0}November"
        );
    }

    #[test]
    fn one_colony_is_told_by_its_end() {
        assert!(metric(&winter(1, 4.0, &[])).contains("has 4.0\u{a0}kg of honey left"));
        let stranded = winter(1, 4.0, &[(End::Stranded, 0, 3.0)]);
        assert_eq!(metric(&stranded), "The one colony is stranded on 1 October");
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
