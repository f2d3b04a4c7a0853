//! One winter hour by hour: the air outside and in the hive, the cluster, its brood below, and the cold spells.

use super::axis::{Axis, Panel};
use super::column::spread;
use super::dates::{Dates, panel_of_days};
use super::label::{name, width_em};
use super::mark::Style;
use super::scale::{Ticks, px, signed};
use super::sheet::{Area, Sheet};
use super::words::capital;
use super::{Look, Theme};
use crate::units::{Dimension, System, in_system};
use maud::{Markup, html};
use serde::{Deserialize, Serialize};
use std::cmp::Ordering;

/// Days whose mean is colder are a cold spell, °C.
pub const COLD_C: f64 = -10.0;
/// Spans that a winter is kept in at most.
const SPANS: usize = 600;
/// Least width of a span as drawn, px: narrower ones are put together.
const SPAN_PX: f64 = 1.0;
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
    pub courses: Vec<Course>,
    /// Brood cells, day by day.
    pub brood: Vec<f64>,
    /// Cold spells, in their order.
    pub spells: Vec<ColdSpell>,
    /// The day on which the colony ended, and how, in words; none of one alive.
    pub end: Option<(usize, String)>,
}

/// The course of a temperature.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Course {
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
    /// Hours of a span, so that a winter has at most [`SPANS`]: a part of a day.
    #[must_use]
    pub fn span_of(hours: usize) -> usize {
        let parts = [1, 2, 3, 4, 6, 8, 12, 24];
        let fits = |span: &usize| hours.div_ceil(*span) <= SPANS;
        parts.into_iter().find(fits).unwrap_or(24)
    }
}

impl Course {
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
    fn least(&self) -> Option<(usize, f64)> {
        let spans = self.low_c.iter().copied().enumerate();
        spans.min_by(|a, b| a.1.total_cmp(&b.1))
    }

    fn most_c(&self) -> f64 {
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
    fn dates(&self, dates: &Dates) -> String {
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

/// An area whose panel begins where the other's does: numbers of one axis may be wider than those of the other.
fn level(look: Look, area: Area, own: &Axis, other: &Axis) -> Area {
    let small = 0.9 * look.font();
    let short = (other.room(small) - own.room(small)).max(0.0);
    Area {
        left: area.left + short,
        width: area.width - short,
        ..area
    }
}

/// A tone of cold that stands out from the ground.
fn cool(look: Look) -> &'static str {
    look.theme.series(match look.theme {
        Theme::Light => 5,
        Theme::Dark => 0,
    })
}

/// A temperature with its unit and no decimal.
fn degrees(c: f64, units: System) -> String {
    let (value, unit) = in_system(c, Dimension::Temperature, units);
    format!("{}\u{a0}{unit}", signed(value, 0))
}

impl WinterHours {
    fn course(&self, what: &str) -> Option<&Course> {
        self.courses.iter().find(|course| course.what == what)
    }

    pub(super) fn finding(&self, units: System) -> String {
        let winter = format!("Winter {}", name(&self.winter, NAME));
        let outside = self.course("outside").and_then(Course::least);
        let core = self.course("core").and_then(Course::least);
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

    pub(super) fn draw(&self, key: &str, look: Look, source: &str) -> String {
        let font = look.font();
        let units = look.units;
        let widest = self.courses.iter().map(|course| width_em(&course.what));
        let right = (widest.fold(3.0, f64::max) + 1.6) * font;
        let upper = (27.0 * font).min(0.8 * look.width());
        let lower = if self.breeds() { 9.0 * font } else { 0.0 };
        let names = self.spell_names(look, right);
        let sheet = Sheet {
            id: key,
            look,
            title: self.finding(units),
            shown: self.shown(),
            described: self.described(units),
            key: Vec::new(),
            notes: self.notes(units, names.len()),
            source,
        };
        sheet.draw(upper + lower, |area| {
            let above = Area {
                height: upper,
                ..area
            };
            let below = Area {
                top: area.top + upper + font,
                height: lower - font,
                ..area
            };
            html! {
                (self.temperatures(look, above, right, &names))
                @if self.breeds() { (self.nest(look, below, right, names.iter().map(|(row, ..)| row + 1).max().unwrap_or(0))) }
            }
        })
    }

    fn breeds(&self) -> bool {
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
            note += &format!(" Spells without room for their name: {nameless}.");
        }
        vec![
            note,
            "Core and mantle are the model's two zones of the cluster, upper and lower air its two of the hive: each is a mean, not a place.".to_owned(),
        ]
    }

    /// Words of cold spells, with the row and the day in the middle of each, the coldest first; those without room are left out.
    fn spell_names(&self, look: Look, right: f64) -> Vec<(usize, f64, &ColdSpell, String)> {
        let size = 0.85 * look.font();
        // As wide as the panel will be, less its numbers, rather too little than too much.
        let panel = look.width() - right - 7.0 * look.font();
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

    /// Temperatures, and brood, as upward axes.
    fn up(&self, look: Look, rows: usize) -> [Axis; 2] {
        let value = |c: f64| in_system(c, Dimension::Temperature, look.units).0;
        let (least, most) = self.ends_c();
        // Names of cold spells stand above all that is drawn.
        let most = most + (0.03 + 0.06 * rows as f64) * (most - least);
        let unit = in_system(0.0, Dimension::Temperature, look.units).1;
        let cells = self.brood.iter().copied().fold(1.0, f64::max);
        [
            Axis {
                words: format!("Temperature, {unit}"),
                ticks: Ticks::over(value(least), value(most), 12),
                after: "",
            },
            Axis {
                words: "Brood, cells".to_owned(),
                ticks: Ticks::over(0.0, cells, 4),
                after: "",
            },
        ]
    }

    /// Coldest and warmest of all, with zero, °C.
    fn ends_c(&self) -> (f64, f64) {
        let lows = self.courses.iter().filter_map(Course::least);
        let highs = self.courses.iter().map(Course::most_c);
        (
            lows.fold(0.0, |least: f64, low| least.min(low.1)),
            highs.fold(10.0, f64::max),
        )
    }

    fn temperatures(
        &self,
        look: Look,
        area: Area,
        right: f64,
        names: &[(usize, f64, &ColdSpell, String)],
    ) -> Markup {
        let (font, ink) = (look.font(), look.theme.ink());
        let value = |c: f64| in_system(c, Dimension::Temperature, look.units).0;
        let rows = names.iter().map(|(row, ..)| row + 1).max().unwrap_or(0);
        let ([up, below], (least, most)) = (self.up(look, rows), self.ends_c());
        let area = level(look, area, &up, &below);
        let panel = panel_of_days(look, area, &self.dates, &up, right);
        let inner = panel.inner;
        let size = 0.85 * font;
        html! {
            @for spell in &self.spells {
                @let (from, to) = (panel.x.at(spell.from as f64), panel.x.at(spell.to as f64));
                rect x=(px(from)) y=(px(inner.top)) width=(px(to - from)) height=(px(inner.height)) fill=(cool(look)) fill-opacity="0.22" {
                    title { (spell.dates(&self.dates)) ", mean " (degrees(spell.mean_c, look.units)) }
                }
            }
            (panel.frame)
            @if least < 0.0 && most > 0.0 {
                line x1=(px(inner.left)) x2=(px(inner.left + inner.width)) y1=(px(panel.y.at(value(0.0)))) y2=(px(panel.y.at(value(0.0)))) stroke=(ink.axis) stroke-width="1" stroke-dasharray="4 3" {
                    title { "Freezing point" }
                }
            }
            @for (number, course) in self.courses.iter().enumerate() { (self.band(look, &panel, number, course)) "\n" }
            @for (row, share, spell, _) in names {
                @let base = inner.top + size * (1.3 + 1.25 * *row as f64);
                @let bar = inner.top + size * (1.7 + 1.25 * rows as f64 - 1.25);
                @let (from, to) = (panel.x.at(spell.from as f64), panel.x.at(spell.to as f64));
                path d=(format!("M{} {}L{} {}M{} {}H{}", px(inner.left + share * inner.width), px(base), px(0.5 * (from + to)), px(bar), px(from), px(bar), px(to))) fill="none" stroke=(ink.text) stroke-width="1.2" {}
            }
            g font-size=(px(size)) fill=(ink.text) text-anchor="middle" paint-order="stroke" stroke=(ink.ground) stroke-width="3" stroke-linejoin="round" {
                @for (row, share, _, words) in names {
                    @let y = inner.top + size * (1.1 + 1.25 * *row as f64);
                    text x=(px(inner.left + share * inner.width)) y=(px(y)) { (words) }
                }
            }
            (self.ended(look, &panel))
            (self.ends(look, &panel))
        }
    }

    fn style(look: Look, number: usize) -> Style {
        // Grey, blue, green, pink and the strongest for the core.
        const COLOURS: [usize; 5] = [6, 0, 2, 3, 1];
        Style {
            number: COLOURS[number % COLOURS.len()],
            theme: look.theme,
            radius_px: 0.3 * look.font(),
        }
    }

    /// From lowest to highest of each span; spans narrower than [`SPAN_PX`] are put together, so that a spike is never lost.
    fn band(&self, look: Look, panel: &Panel, number: usize, course: &Course) -> Markup {
        let value = |c: f64| in_system(c, Dimension::Temperature, look.units).0;
        let days = self.span_h as f64 / 24.0;
        let span_px = panel.x.at(days) - panel.x.at(0.0);
        let joined = (SPAN_PX / span_px.max(1e-6)).ceil().max(1.0) as usize;
        let lows = course.low_c.chunks(joined);
        let spans: Vec<[f64; 4]> = lows
            .zip(course.high_c.chunks(joined))
            .zip(course.mean_c.chunks(joined))
            .enumerate()
            .map(|(at, ((low, high), mean))| {
                let middle = days * (joined * at) as f64 + 0.5 * days * low.len() as f64;
                let least = low.iter().copied().fold(f64::INFINITY, f64::min);
                let most = high.iter().copied().fold(f64::NEG_INFINITY, f64::max);
                let mean = mean.iter().sum::<f64>() / mean.len().max(1) as f64;
                let [least, most, mean] = [least, most, mean].map(|c| panel.y.at(value(c)));
                [panel.x.at(middle), least, most, mean]
            })
            .collect();
        let highs = spans.iter().map(|[x, _, high, _]| (x, high));
        let lows = spans.iter().rev().map(|[x, low, ..]| (x, low));
        let corner = |(x, y): (&f64, &f64)| format!("{} {}", px(*x), px(*y));
        let corners: Vec<String> = highs.chain(lows).map(corner).collect();
        let means = spans.iter().map(|[x, _, _, mean]| (x, mean));
        let means: Vec<String> = means.map(corner).collect();
        let color = Self::style(look, number).color();
        let least = course.least().map_or(course.last_c, |(_, least_c)| least_c);
        html! {
            g {
                title { (course.what) ": " (degrees(least, look.units)) " to " (degrees(course.most_c(), look.units)) }
                path d=(format!("M{}Z", corners.join("L"))) fill=(color) fill-opacity="0.3" stroke=(color) stroke-width="0.6" stroke-opacity="0.5" stroke-linejoin="round" {}
                path d=(format!("M{}", means.join("L"))) fill="none" stroke=(color) stroke-width=(px(0.12 * look.font())) stroke-linejoin="round" {}
            }
        }
    }

    /// Day, with its part, on which the courses end.
    fn last_day(&self) -> f64 {
        let spans = self.courses.iter().map(|course| course.low_c.len());
        let days = spans.max().unwrap_or(0) as f64 * self.span_h as f64 / 24.0;
        days.min(self.dates.days as f64)
    }

    /// Names of the courses beside their ends, each with its mark.
    fn ends(&self, look: Look, panel: &Panel) -> Markup {
        let font = look.font();
        let ink = look.theme.ink();
        let value = |c: f64| in_system(c, Dimension::Temperature, look.units).0;
        let x = panel.x.at(self.last_day());
        let mut ends: Vec<(usize, &Course, f64)> = self
            .courses
            .iter()
            .enumerate()
            .map(|(number, course)| (number, course, panel.y.at(value(course.last_c))))
            .collect();
        ends.sort_by(|a, b| a.2.total_cmp(&b.2));
        let wished: Vec<(f64, f64)> = ends.iter().map(|(_, _, y)| (*y, 1.25 * font)).collect();
        let (top, bottom) = (panel.inner.top, panel.inner.top + panel.inner.height);
        let tops = spread(&wished, top, bottom);
        html! {
            @for ((number, course, y), top) in ends.iter().zip(&tops) {
                @let style = Self::style(look, *number);
                @let middle = top + 0.625 * font;
                line x1=(px(x)) y1=(px(*y)) x2=(px(x + font)) y2=(px(middle)) stroke=(style.color()) stroke-width="1" {}
                (style.mark((x + font, middle), None))
                text x=(px(x + 1.5 * font)) y=(px(middle + 0.36 * font)) font-size=(px(font)) fill=(ink.text) paint-order="stroke" stroke=(ink.ground) stroke-width="3" stroke-linejoin="round" { (course.what) }
            }
        }
    }

    /// The end of the colony.
    fn ended(&self, look: Look, panel: &Panel) -> Markup {
        let (font, ink) = (look.font(), look.theme.ink());
        let x = panel.x.at(self.last_day());
        let inner = panel.inner;
        html! {
            @if let Some((day, words)) = &self.end {
                @let words = format!("{words}, {}", self.dates.words(*day));
                @let wide = width_em(&words) * font;
                @let left = (x + 0.5 * font).min(inner.left + inner.width + 4.0 * font - wide).max(inner.left);
                line x1=(px(x)) x2=(px(x)) y1=(px(inner.top)) y2=(px(inner.top + inner.height)) stroke=(ink.text) stroke-width="1.5" {}
                text x=(px(left)) y=(px(inner.top + inner.height - 0.5 * font)) font-size=(px(font)) font-weight="bold" fill=(ink.text) paint-order="stroke" stroke=(ink.ground) stroke-width="4" stroke-linejoin="round" { (capital(words)) }
            }
        }
    }

    fn nest(&self, look: Look, area: Area, right: f64, rows: usize) -> Markup {
        let most = self.brood.iter().copied().fold(1.0, f64::max);
        let [above, up] = self.up(look, rows);
        let area = level(look, area, &up, &above);
        let panel = panel_of_days(look, area, &self.dates, &up, right);
        let at = |(day, cells): (usize, &f64)| {
            format!(
                "L{} {}",
                px(panel.x.at(day as f64 + 0.5)),
                px(panel.y.at(*cells))
            )
        };
        let line: String = self.brood.iter().enumerate().map(at).collect();
        let foot = panel.y.at(0.0);
        let end = panel.x.at(self.brood.len() as f64 - 0.5);
        let color = look.theme.series(4);
        html! {
            (panel.frame)
            path d=(format!("M{} {}{line}L{} {}Z", px(panel.x.at(0.5)), px(foot), px(end), px(foot))) fill=(color) fill-opacity="0.6" stroke=(color) stroke-width="1.2" {
                title { "Brood: at most " (format!("{most:.0}")) " cells" }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    fn winter(days: usize, lived: usize) -> WinterHours {
        let hours = 24 * lived;
        let span_h = WinterHours::span_of(24 * days);
        let course = |what: &str, base_c: f64| {
            let hours_c: Vec<f64> = (0..hours)
                .map(|hour| base_c - if hour == 50 { 12.0 } else { 0.0 })
                .collect();
            Course::new(what, &hours_c, span_h)
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
        assert!(winter(200, 0).finding(System::Metric).contains("no hour"));
    }

    #[test]
    fn a_spike_of_an_hour_is_kept_in_a_winter_of_thousands() {
        let winter = winter(200, 200);
        assert!(winter.span_h > 1);
        let outside = &winter.courses[0];
        assert_eq!(outside.least(), Some((50 / winter.span_h, -20.0)));
        assert!(outside.low_c.len() <= SPANS);
        for width_px in [320, 4000] {
            let look = Look {
                width_px,
                ..Look::default()
            };
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
            let look = Look {
                width_px,
                ..Look::default()
            };
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
