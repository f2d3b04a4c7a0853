//! The panels of a winter hour by hour: temperatures with cold spells, and brood.

use super::grammar::{
    Across, Axis, EndLabel, Mark, Panel, Plot, Style, Unit, Xy, extent, halo, px, width_em,
};
use super::winter_hours::{ColdSpell, TemperatureSeries, WinterHours};
use super::words::{capital, degrees};
use super::{Look, Theme};
use crate::units::Dimension;
use maud::{Markup, html};

/// Least width of a span as drawn, px: narrower ones are put together.
const SPAN_PX: f64 = 1.0;

/// A tone of cold that stands out from the ground.
fn cool(look: Look) -> &'static str {
    look.theme.series(match look.theme {
        Theme::Light => 5,
        Theme::Dark => 0,
    })
}

/// A cold spell's name: its row, where along the panel its middle stands, and its words.
type Named<'a> = (usize, f64, &'a ColdSpell, String);

impl WinterHours {
    /// Coldest and warmest of all, with zero, °C.
    fn ends_c(&self) -> (f64, f64) {
        let lows = self.courses.iter().filter_map(TemperatureSeries::least);
        let highs = self.courses.iter().map(TemperatureSeries::most_c);
        let (least, _) = extent(lows.map(|low| low.1).chain([0.0]));
        (least, highs.fold(10.0, f64::max))
    }

    /// Labels of the series at their ends.
    fn end_labels(&self, look: Look) -> Vec<EndLabel> {
        let label = |(number, series): (usize, &TemperatureSeries)| EndLabel {
            y: series.last_c,
            words: series.what.clone(),
            color: style(look, number).color(),
            symbol: Some(style(look, number)),
        };
        self.courses.iter().enumerate().map(label).collect()
    }

    /// Room right of the panels, px.
    pub(super) fn end_room(&self, look: Look) -> f64 {
        EndLabel::room(look, &self.end_labels(look))
    }

    /// Temperatures and, where there is any, brood below them.
    pub(super) fn panels<'a>(
        &'a self,
        look: Look,
        names: Vec<Named<'a>>,
    ) -> Vec<Box<dyn Plot + 'a>> {
        let font = look.font();
        let rows = names.iter().map(|(row, ..)| row + 1).max().unwrap_or(0);
        let (least, most) = self.ends_c();
        // Names of cold spells stand above all that is drawn.
        let above = most + (0.03 + 0.06 * rows as f64) * (most - least);
        let unit = look.unit(Dimension::Temperature);
        let temperature = Axis::new("Temperature", unit, [least, above], 12);
        let cells = self.brood.iter().copied().fold(1.0, f64::max);
        let brood = Axis::new("Brood, cells", Unit::Plain, [0.0, cells], 4);
        let left_px = temperature.room(0.9 * font).max(brood.room(0.9 * font));
        let panel = |up, height, marks| Xy {
            height,
            left_px,
            right_px: self.end_room(look),
            ..Xy::new(look, Across::Days(self.dates), up, marks)
        };
        let mut marks = Vec::new();
        if least < 0.0 {
            marks.push(
                Mark::rule(0.0)
                    .stroke(look.theme.ink().axis, 1.0)
                    .dash("4 3")
                    .says("Freezing point"),
            );
        }
        marks.extend(
            self.courses
                .iter()
                .enumerate()
                .flat_map(|(number, series)| self.band(look, number, series)),
        );
        marks.push(Mark::custom(move |panel| {
            spell_names(look, panel, &names, rows)
        }));
        marks.push(Mark::custom(move |panel| self.ended(look, panel)));
        let spell = |spell: &ColdSpell| {
            let (from, to) = (spell.from as f64, spell.to as f64);
            let says = format!(
                "{}, mean {}",
                spell.dates(&self.dates),
                degrees(spell.mean_c, look.units)
            );
            Mark::bar((from, to), (f64::NEG_INFINITY, f64::INFINITY))
                .fill(cool(look), 0.22)
                .says(says)
        };
        let temperatures = Xy {
            under: self.spells.iter().map(spell).collect(),
            ends: self.end_labels(look),
            ends_at: Some(self.last_day()),
            ..panel(temperature, (27.0 * font).min(0.8 * look.width()), marks)
        };
        let mut panels: Vec<Box<dyn Plot + 'a>> = vec![Box::new(temperatures)];
        if self.breeds() {
            let days = self.brood.iter().enumerate();
            let band = Mark::band(
                days.map(|(day, cells)| (day as f64 + 0.5, 0.0, *cells))
                    .collect(),
            );
            let color = look.theme.series(4);
            let says = format!("Brood: at most {cells:.0} cells");
            let band = band.fill(color, 0.6).stroke(color, 1.2).says(says);
            panels.push(Box::new(panel(brood, 8.0 * font, vec![band])));
        }
        panels
    }

    /// From lowest to highest of each span, and the mean; spans narrower than [`SPAN_PX`] are put together, so that a spike is never lost.
    fn band(&self, look: Look, number: usize, series: &TemperatureSeries) -> [Mark<'static>; 2] {
        let days = self.span_h as f64 / 24.0;
        let span_px =
            days * Self::panel_px(look, self.end_room(look)) / self.dates.days.max(1) as f64;
        let joined = (SPAN_PX / span_px.max(1e-6)).ceil().max(1.0) as usize;
        let middle = |at: usize, spans: usize| days * ((joined * at) as f64 + 0.5 * spans as f64);
        let lows = series.low_c.chunks(joined);
        let ends = lows
            .zip(series.high_c.chunks(joined))
            .enumerate()
            .map(|(at, (low, high))| {
                let most = high.iter().copied().fold(f64::NEG_INFINITY, f64::max);
                (
                    middle(at, low.len()),
                    low.iter().copied().fold(f64::INFINITY, f64::min),
                    most,
                )
            });
        let means = series.mean_c.chunks(joined).enumerate();
        let means = means.map(|(at, mean)| {
            (
                middle(at, mean.len()),
                mean.iter().sum::<f64>() / mean.len() as f64,
            )
        });
        let color = style(look, number).color();
        let least = series.least().map_or(series.last_c, |(_, least_c)| least_c);
        let [least, most] = [least, series.most_c()].map(|c| degrees(c, look.units));
        let says = format!("{}: {least} to {most}", series.what);
        let band = Mark::band(ends.collect())
            .fill(color, 0.3)
            .pale(color, 0.6, 0.5);
        let line = Mark::line(means.collect()).stroke(color, 0.12 * look.font());
        [band.says(says.clone()), line.says(says)]
    }

    /// Day, with its part, on which the series end.
    fn last_day(&self) -> f64 {
        let spans = self.courses.iter().map(|series| series.low_c.len());
        let days = spans.max().unwrap_or(0) as f64 * self.span_h as f64 / 24.0;
        days.min(self.dates.days as f64)
    }

    /// The end of the colony.
    fn ended(&self, look: Look, panel: &Panel) -> Markup {
        let font = look.font();
        let x = panel.x.at(self.last_day());
        html! {
            @if let Some((day, words)) = &self.end {
                @let words = capital(format!("{words}, {}", self.dates.words(*day)));
                @let wide = width_em(&words) * font;
                @let left = (x + 0.5 * font).min(panel.right() + 4.0 * font - wide).max(panel.inner.left);
                line x1=(px(x)) x2=(px(x)) y1=(px(panel.inner.top)) y2=(px(panel.bottom())) stroke=(look.theme.ink().text) stroke-width="1.5" {}
                (halo(look, (left, panel.bottom() - 0.5 * font), font, "start", true, &words))
            }
        }
    }
}

fn style(look: Look, number: usize) -> Style {
    // Grey, blue, green, pink and the strongest for the core.
    const COLOURS: [usize; 5] = [6, 0, 2, 3, 1];
    look.style(COLOURS[number % COLOURS.len()], 0.3)
}

/// Names of cold spells in rows at the head of a panel, a stem from each to its days.
fn spell_names(look: Look, panel: &Panel, names: &[Named<'_>], rows: usize) -> Markup {
    let (ink, inner, size) = (look.theme.ink(), panel.inner, 0.85 * look.font());
    let at = |row: usize| inner.top + 1.25 * size * row as f64;
    html! {
        @for (row, share, spell, _) in names {
            @let bar = at(rows) + 0.45 * size;
            @let (from, to) = (panel.x.at(spell.from as f64), panel.x.at(spell.to as f64));
            path d=(format!("M{} {}L{} {}M{} {}H{}", px(inner.left + share * inner.width), px(at(*row) + 1.3 * size), px(0.5 * (from + to)), px(bar), px(from), px(bar), px(to))) fill="none" stroke=(ink.text) stroke-width="1.2" {}
        }
        @for (row, share, _, words) in names {
            (halo(look, (inner.left + share * inner.width, at(*row) + 1.1 * size), size, "middle", false, words))
        }
    }
}
