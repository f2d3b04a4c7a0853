//! One winter hour by hour: the air outside and in the hive, the cluster, its brood below, and the cold spells.

use super::Look;
use super::grammar::{Dates, Describe, Figure, SideBySide, name, width_em};
use super::words::{capital, degrees};
use crate::units::System;
use serde::{Deserialize, Serialize};
use std::cmp::Ordering;

/// Days whose mean is colder are a cold spell, °C.
pub const COLD_C: f64 = -10.0;
/// Spans that a winter is kept in at most.
const SPANS: usize = 600;
/// Rows of names of cold spells.
const ROWS: usize = 2;
/// Graphemes of the winter's label and of the colony's name that are shown.
const NAME: usize = 40;

/// A winter.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct WinterHours {
    /// Its label.
    pub winter: String,
    /// Whose it is: "member 12".
    pub colony: String,
    /// Its days.
    pub dates: Dates,
    /// Hours of a span.
    pub span_h: usize,
    /// Outside, lower air, upper air, mantle and core, while the colony lived.
    pub courses: Vec<TemperatureSeries>,
    /// Brood cells, day by day.
    pub brood: Vec<f64>,
    /// Cold spells, in their order.
    pub spells: Vec<ColdSpell>,
    /// The day on which the colony ended, and how, in words; none of one alive.
    pub end: Option<(usize, String)>,
}

/// A temperature over time.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TemperatureSeries {
    /// What is as warm.
    pub what: String,
    /// Lowest of each span, °C.
    pub low_c: Vec<f64>,
    /// Highest of each span, °C.
    pub high_c: Vec<f64>,
    /// Mean of each span, °C.
    pub mean_c: Vec<f64>,
    /// The last, °C.
    pub last_c: f64,
}

/// Days that follow each other and are all cold.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ColdSpell {
    /// Its first day, from 0.
    pub from: usize,
    /// The day after its last.
    pub to: usize,
    /// Its mean, °C.
    pub mean_c: f64,
}

impl WinterHours {
    /// Hours of a span, so that a winter has at most 600 of them: a part of a day.
    #[must_use]
    pub fn span_of(hours: usize) -> usize {
        let parts = [1, 2, 3, 4, 6, 8, 12, 24];
        let fits = |span: &usize| hours.div_ceil(*span) <= SPANS;
        parts.into_iter().find(fits).unwrap_or(24)
    }
}

impl TemperatureSeries {
    /// Of the temperatures of all hours; none without an hour.
    #[must_use]
    pub fn new(what: &str, hours_c: &[f64], span_h: usize) -> Option<Self> {
        let tenths = |c: f64| (10.0 * c).round() / 10.0;
        let spans = || hours_c.chunks(span_h.max(1));
        let least = |span: &[f64]| tenths(span.iter().copied().fold(f64::INFINITY, f64::min));
        let most = |span: &[f64]| tenths(span.iter().copied().fold(f64::NEG_INFINITY, f64::max));
        let mean = |span: &[f64]| tenths(span.iter().sum::<f64>() / span.len() as f64);
        Some(Self {
            what: what.to_owned(),
            mean_c: spans().map(mean).collect(),
            low_c: spans().map(least).collect(),
            high_c: spans().map(most).collect(),
            last_c: tenths(*hours_c.last()?),
        })
    }

    /// The lowest and its span.
    pub(super) fn least(&self) -> Option<(usize, f64)> {
        let spans = self.low_c.iter().copied().enumerate();
        spans.min_by(|a, b| a.1.total_cmp(&b.1))
    }

    pub(super) fn most_c(&self) -> f64 {
        self.high_c
            .iter()
            .copied()
            .fold(f64::NEG_INFINITY, f64::max)
    }
}

impl ColdSpell {
    /// The cold spells of days with these means, °C.
    #[must_use]
    pub fn all(means_c: &[f64]) -> Vec<Self> {
        let mut spells = Vec::new();
        let mut from = 0;
        for days in means_c.chunk_by(|a, b| (*a < COLD_C) == (*b < COLD_C)) {
            let to = from + days.len();
            if days[0] < COLD_C {
                spells.push(Self {
                    from,
                    to,
                    mean_c: days.iter().sum::<f64>() / days.len() as f64,
                });
            }
            from = to;
        }
        spells
    }

    /// "4 to 9 January", "30 January to 2 February".
    pub(super) fn dates(&self, dates: &Dates) -> String {
        let (first, last) = (dates.words(self.from), dates.words(self.to - 1));
        if first == last {
            return first;
        }
        let month = |words: &str| words.split_once(' ').map(|(_, month)| month.to_owned());
        match first.split_once(' ') {
            Some((day, of)) if month(&last).as_deref() == Some(of) => format!("{day} to {last}"),
            _ => format!("{first} to {last}"),
        }
    }
}

impl WinterHours {
    fn course(&self, what: &str) -> Option<&TemperatureSeries> {
        self.courses.iter().find(|course| course.what == what)
    }

    pub(super) fn breeds(&self) -> bool {
        self.brood.iter().any(|cells| *cells >= 0.5)
    }

    fn shown(&self) -> String {
        let colony = capital(name(&self.colony, NAME));
        let brood = if self.breeds() {
            "Below, its brood."
        } else {
            "It had no brood."
        };
        let spans = match self.span_h {
            1 => "every hour".to_owned(),
            more => format!("the lowest and highest hour in every {more}"),
        };
        format!("{colony}. Temperatures: {spans}. {brood}")
    }

    fn described(&self, units: System) -> String {
        let courses = self.courses.iter().filter_map(|course| {
            let (_, least_c) = course.least()?;
            let span = [least_c, course.most_c()].map(|c| degrees(c, units));
            Some(format!("{}: {}", course.what, span.join(" to ")))
        });
        let courses: Vec<String> = courses.collect();
        let spells: Vec<String> = self
            .spells
            .iter()
            .map(|spell| spell.dates(&self.dates))
            .collect();
        let spells = if spells.is_empty() {
            "No cold spell.".to_owned()
        } else {
            format!("Cold spells: {}.", spells.join(", "))
        };
        format!(
            "Bands of temperature over the days of the winter. {}. {spells}",
            capital(courses.join("; "))
        )
    }

    fn notes(&self, units: System, named: usize) -> Vec<String> {
        let limit = degrees(COLD_C, units);
        let mut note = match self.spells.len() {
            0 => format!("No day's mean outside was below {limit} while the colony lived."),
            _ => format!(
                "Shaded: days whose mean outside was below {limit} while the colony lived, with the mean of the spell."
            ),
        };
        let nameless = self.spells.len() - named.min(self.spells.len());
        if nameless > 0 {
            note += &format!(" Cold spells not labelled, for want of room: {nameless}.");
        }
        vec![
            note,
            "Core and mantle are the model's two zones of the cluster, upper and lower air its two of the hive: each is a mean, not a place.".to_owned(),
        ]
    }

    /// Width of the panels, rather too little than too much, px.
    pub(super) fn panel_px(look: Look, right: f64) -> f64 {
        look.width() - right - 7.0 * look.font()
    }

    /// Words of cold spells, with the row and the day in the middle of each, the coldest first; those without room are left out.
    fn spell_names(&self, look: Look, right: f64) -> Vec<(usize, f64, &ColdSpell, String)> {
        let size = 0.85 * look.font();
        let panel = Self::panel_px(look, right);
        let day_px = panel / self.dates.days.max(1) as f64;
        let mut spells: Vec<&ColdSpell> = self.spells.iter().collect();
        let cold = |spell: &ColdSpell| (spell.to - spell.from) as f64 * (COLD_C - spell.mean_c);
        spells.sort_by(|a, b| cold(b).total_cmp(&cold(a)));
        let mut taken: Vec<(usize, f64, f64, f64)> = Vec::new();
        let mut names = Vec::new();
        for spell in spells {
            let words = format!(
                "{}, {}",
                spell.dates(&self.dates),
                degrees(spell.mean_c, look.units)
            );
            let half = 0.5 * (width_em(&words) + 0.8) * size;
            let middle = 0.5 * day_px * (spell.from + spell.to) as f64;
            let middle = middle.min(panel - half).max(half);
            // A stem leads from each name down to its spell, past the names of lower rows.
            let stem = 0.5 * day_px * (spell.from + spell.to) as f64;
            let free = |row: &usize| {
                taken.iter().all(|(other, from, to, its_stem)| {
                    let beside = middle + half <= *from || middle - half >= *to;
                    match other.cmp(row) {
                        Ordering::Equal => beside,
                        Ordering::Less => (its_stem - middle).abs() > half,
                        Ordering::Greater => stem < *from || stem > *to,
                    }
                })
            };
            if 2.0 * half > panel {
                continue;
            }
            if let Some(row) = (0..ROWS).find(free) {
                taken.push((row, middle - half, middle + half, stem));
                names.push((row, middle / panel, spell, words));
            }
        }
        names
    }
}

impl Describe for WinterHours {
    fn finding(&self, units: System) -> String {
        let winter = format!("Winter {}", name(&self.winter, NAME));
        let outside = self.course("outside").and_then(TemperatureSeries::least);
        let core = self.course("core").and_then(TemperatureSeries::least);
        let (Some((span, outside_c)), Some((_, core_c))) = (outside, core) else {
            return format!("{winter}: the colony lived no hour of it");
        };
        let day = self.dates.words(span * self.span_h / 24);
        let cold = format!("{} outside on {day}", degrees(outside_c, units));
        match &self.end {
            None => format!(
                "{winter}: down to {cold}, the core never colder than {}",
                degrees(core_c, units)
            ),
            Some((end, words)) => format!(
                "{winter}: {words} on {}; before, it fell to {cold} and to {} in the core",
                self.dates.words(*end),
                degrees(core_c, units)
            ),
        }
    }

    fn figure(&self, look: Look) -> Figure<'_> {
        let names = self.spell_names(look, self.end_room(look));
        let named = names.len();
        Figure {
            shown: self.shown(),
            described: self.described(look.units),
            legend: Vec::new(),
            notes: self.notes(look.units, named),
            plot: Box::new(SideBySide::stacked(1.0, self.panels(look, names))),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::metric;
    use super::*;
    use jiff::civil::date;

    fn winter(days: usize, lived: usize) -> WinterHours {
        let hours = 24 * lived;
        let span_h = WinterHours::span_of(24 * days);
        let course = |what: &str, base_c: f64| {
            let hours_c: Vec<f64> = (0..hours)
                .map(|hour| base_c - if hour == 50 { 12.0 } else { 0.0 })
                .collect();
            TemperatureSeries::new(what, &hours_c, span_h)
        };
        let courses = [
            ("outside", -8.0),
            ("lower air", -6.0),
            ("upper air", 2.0),
            ("mantle", 9.0),
            ("core", 31.0),
        ];
        WinterHours {
            winter: "1993".to_owned(),
            colony: "member 3".to_owned(),
            dates: Dates {
                start: date(1993, 10, 1),
                days,
            },
            span_h,
            courses: courses
                .into_iter()
                .filter_map(|(what, c)| course(what, c))
                .collect(),
            brood: vec![0.0; lived],
            spells: vec![],
            end: (lived < days).then(|| (lived.saturating_sub(1), "stranded".to_owned())),
        }
    }

    #[test]
    fn the_title_says_how_cold_it_was_and_whether_the_colony_lived() {
        assert_eq!(
            winter(200, 200).finding(System::Metric),
            "Winter 1993: down to \u{2212}20\u{a0}°C outside on 3 October, the core never colder than 19\u{a0}°C"
        );
        let ended = winter(200, 40).finding(System::Us);
        assert!(
            ended.contains("stranded on 9 November") && ended.contains("\u{2212}4\u{a0}°F"),
            "{ended}"
        );
        assert!(metric(&winter(200, 0)).contains("no hour"));
    }

    #[test]
    fn a_spike_of_an_hour_is_kept_in_a_winter_of_thousands() {
        let winter = winter(200, 200);
        assert!(winter.span_h > 1);
        let outside = &winter.courses[0];
        assert_eq!(outside.least(), Some((50 / winter.span_h, -20.0)));
        assert!(outside.low_c.len() <= SPANS);
        for width_px in [320, 4000] {
            let look = Look::wide(width_px);
            let svg = winter.draw("winter-hours", look, "");
            assert!(svg.len() < 150_000 && svg.contains("outside: \u{2212}20"));
        }
    }

    #[test]
    fn cold_spells_are_days_together_that_are_all_cold() {
        let spells = ColdSpell::all(&[0.0, -12.0, -14.0, -10.0, -11.0, 3.0, -20.0]);
        let days: Vec<(usize, usize, f64)> = spells
            .iter()
            .map(|spell| (spell.from, spell.to, spell.mean_c))
            .collect();
        assert_eq!(days, [(1, 3, -13.0), (4, 5, -11.0), (6, 7, -20.0)]);
        assert_eq!(ColdSpell::all(&[]), []);
        let dates = Dates {
            start: date(1993, 10, 30),
            days: 10,
        };
        assert_eq!(spells[0].dates(&dates), "31 October to 1 November");
        assert_eq!(spells[1].dates(&dates), "3 November");
    }

    #[test]
    fn names_of_cold_spells_do_not_meet() {
        let mut winter = winter(200, 200);
        winter.spells = (0..20)
            .map(|spell| ColdSpell {
                from: 9 * spell,
                to: 9 * spell + 3,
                mean_c: -12.0,
            })
            .collect();
        for width_px in [320, 640, 1280] {
            let look = Look::wide(width_px);
            let right = 8.0 * look.font();
            let names = winter.spell_names(look, right);
            assert!(!names.is_empty() && names.len() < 20);
            let panel = look.width() - right - 7.0 * look.font();
            let half = |words: &str| 0.5 * width_em(words) * 0.85 * look.font();
            for (number, (row, share, _, words)) in names.iter().enumerate() {
                for (other, at, _, of) in &names[..number] {
                    let apart = panel * (share - at).abs();
                    assert!(row != other || apart >= half(words) + half(of));
                }
            }
        }
    }

    #[test]
    fn winters_of_a_day_and_colonies_that_lived_no_hour_are_drawn() {
        for winter in [winter(1, 1), winter(30, 0), winter(360, 360)] {
            let svg = winter.draw("winter-hours", Look::default(), "");
            assert!(svg.contains("</svg>") && !svg.contains("NaN") && !svg.contains("inf"));
        }
    }
}
