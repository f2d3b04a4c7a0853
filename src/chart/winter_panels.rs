//! The panels of a winter hour by hour: temperatures with cold spells, and brood.

use super::axis::{Axis, Panel};
use super::column::spread;
use super::dates::panel_of_days;
use super::label::width_em;
use super::mark::Style;
use super::scale::{Ticks, px};
use super::sheet::Area;
use super::winter_hours::{ColdSpell, Course, WinterHours, degrees};
use super::words::capital;
use super::{Look, Theme};
use crate::units::{Dimension, in_system};
use maud::{Markup, html};

/// Least width of a span as drawn, px: narrower ones are put together.
const SPAN_PX: f64 = 1.0;

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

impl WinterHours {
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

    pub(super) fn temperatures(
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

    pub(super) fn nest(&self, look: Look, area: Area, right: f64, rows: usize) -> Markup {
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
