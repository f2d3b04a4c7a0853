//! An axis bound to a unit: its label, its round numbers, its grid.

use super::{Area, Scale, Ticks, Unit, extent, lines, px, width_em};
use crate::chart::Look;
use maud::{Markup, html};

/// What an axis is of.
#[derive(Debug, Clone)]
pub struct Axis {
    /// Its label with the unit.
    pub label: String,
    /// What its values are shown in.
    pub unit: Unit,
    /// Its round numbers; they set where it begins and ends.
    pub ticks: Ticks,
    /// What follows each number: "%".
    pub suffix: &'static str,
}

impl Axis {
    /// Over these values in SI, with at most `most` round numbers; the unit's symbol follows the label.
    pub fn new(
        label: &str,
        unit: Unit,
        values: impl IntoIterator<Item = f64>,
        most: usize,
    ) -> Self {
        let finite = values.into_iter().filter(|value| value.is_finite());
        let (least, greatest) = extent(finite.map(|value| unit.shown(value)));
        let symbol = unit.symbol();
        let comma = if symbol.is_empty() { "" } else { ", " };
        Self {
            label: format!("{label}{comma}{symbol}"),
            unit,
            ticks: if least <= greatest {
                Ticks::over(least, greatest, most)
            } else {
                Ticks::over(0.0, 1.0, most)
            },
            suffix: "",
        }
    }

    /// A round number as text.
    pub fn tick(&self, tick: f64) -> String {
        self.ticks.text(tick) + self.suffix
    }

    /// Half of the width of the first and of the last number, px.
    pub fn overhang(&self, size: f64) -> (f64, f64) {
        let (first, last) = self.ticks.ends();
        let half = |tick: f64| 0.5 * size * width_em(&self.tick(tick));
        (half(first), half(last))
    }

    /// Its scale between two pixels.
    pub fn scale(&self, pixels: (f64, f64)) -> Scale {
        Scale {
            unit: self.unit,
            values: self.ticks.ends(),
            pixels,
        }
    }

    /// Room for its numbers beside a panel, px.
    pub fn room(&self, size: f64) -> f64 {
        let widths = self.ticks.at.iter().map(|tick| width_em(&self.tick(*tick)));
        (widths.fold(0.0, f64::max) + 0.6) * size
    }

    /// Height that its label takes level above a panel, px.
    pub fn head(&self, look: Look, width: f64) -> f64 {
        let font = look.font();
        1.3 * font * lines(&self.label, width / font).len() as f64 + 0.4 * font
    }

    /// As the upward axis of a panel: label level above it, grid and numbers.
    pub fn upward(&self, look: Look, area: Area, y: Scale, (left, right): (f64, f64)) -> Markup {
        let (font, ink) = (look.font(), look.theme.ink());
        let small = 0.9 * font;
        let ticks = || {
            self.ticks
                .at
                .iter()
                .map(|tick| (y.at_shown(*tick), self.tick(*tick)))
        };
        html! {
            @for (number, line) in lines(&self.label, area.width / font).iter().enumerate() {
                text x=(px(area.left)) y=(px(area.top + font * (1.0 + 1.3 * number as f64))) font-size=(px(font)) fill=(ink.text) { (line) }
            }
            g stroke=(ink.grid) stroke-width="1" {
                @for (y, _) in ticks() { line x1=(px(left)) x2=(px(right)) y1=(px(y)) y2=(px(y)) {} }
            }
            g font-size=(px(small)) fill=(ink.quiet) text-anchor="end" {
                @for (y, tick) in ticks() { text x=(px(left - 0.4 * small)) y=(px(y + 0.35 * small)) { (tick) } }
            }
        }
    }

    /// As the axis along the bottom of a panel: line, ticks, numbers and label.
    pub fn along(&self, look: Look, x: Scale, bottom: f64) -> Markup {
        let (font, ink) = (look.font(), look.theme.ink());
        let small = 0.9 * font;
        let (left, right) = x.pixels;
        html! {
            g stroke=(ink.axis) stroke-width="1" {
                line x1=(px(left)) x2=(px(right)) y1=(px(bottom)) y2=(px(bottom)) {}
                @for tick in &self.ticks.at {
                    @let at = px(x.at_shown(*tick));
                    line x1=(at) x2=(at) y1=(px(bottom)) y2=(px(bottom + 0.35 * font)) {}
                }
            }
            g font-size=(px(small)) fill=(ink.quiet) text-anchor="middle" {
                @for tick in &self.ticks.at { text x=(px(x.at_shown(*tick))) y=(px(bottom + 0.4 * font + small)) { (self.tick(*tick)) } }
            }
            text x=(px(0.5 * (left + right))) y=(px(bottom + 2.7 * font)) font-size=(px(font)) fill=(ink.text) text-anchor="middle" { (self.label) }
        }
    }
}
