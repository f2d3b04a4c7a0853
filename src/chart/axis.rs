//! A panel with two axes: grid, round numbers, words with units.

use super::Look;
use super::label::{lines, width_em};
use super::scale::{Scale, Ticks, px};
use super::sheet::Area;
use maud::{Markup, html};

/// What an axis is of.
#[derive(Debug, Clone)]
pub(super) struct Axis {
    /// Words with the unit.
    pub words: String,
    /// Its round numbers; they set where it begins and ends.
    pub ticks: Ticks,
    /// What follows each number: "%".
    pub after: &'static str,
}

impl Axis {
    pub fn label(&self, tick: f64) -> String {
        self.ticks.text(tick) + self.after
    }

    /// Room for its numbers beside a panel, px.
    pub fn room(&self, font: f64) -> f64 {
        let widest = self
            .ticks
            .at
            .iter()
            .map(|tick| width_em(&self.label(*tick)));
        (widest.fold(0.0, f64::max) + 0.6) * font
    }

    /// Height that its words take level above a panel, px.
    pub fn head(&self, look: Look, width: f64) -> f64 {
        let font = look.font();
        1.3 * font * lines(&self.words, width / font).len() as f64 + 0.4 * font
    }

    /// As the upward axis of a panel from `left` to `right`: words level above it, lines of a grid and numbers.
    pub fn upward(&self, look: Look, area: Area, y: Scale, (left, right): (f64, f64)) -> Markup {
        let (font, ink) = (look.font(), look.theme.ink());
        let small = 0.9 * font;
        html! {
            @for (number, line) in lines(&self.words, area.width / font).iter().enumerate() {
                text x=(px(area.left)) y=(px(area.top + font * (1.0 + 1.3 * number as f64))) font-size=(px(font)) fill=(ink.text) { (line) }
            }
            g stroke=(ink.grid) stroke-width="1" {
                @for tick in &self.ticks.at {
                    line x1=(px(left)) x2=(px(right)) y1=(px(y.at(*tick))) y2=(px(y.at(*tick))) {}
                }
            }
            g font-size=(px(small)) fill=(ink.quiet) text-anchor="end" {
                @for tick in &self.ticks.at {
                    text x=(px(left - 0.4 * small)) y=(px(y.at(*tick) + 0.35 * small)) { (self.label(*tick)) }
                }
            }
        }
    }
}

/// A panel.
#[derive(Debug)]
pub(super) struct Panel {
    /// Along.
    pub x: Scale,
    /// Up.
    pub y: Scale,
    /// Where data are drawn.
    pub inner: Area,
    /// Grid, axes and their words.
    pub frame: Markup,
}

impl Panel {
    /// Data are drawn where the scales run.
    pub(super) fn new(x: Scale, y: Scale, frame: Markup) -> Self {
        let ((left, right), (bottom, top)) = (x.pixels, y.pixels);
        Self {
            x,
            y,
            inner: Area {
                left,
                top,
                width: right - left,
                height: bottom - top,
            },
            frame,
        }
    }
}

/// Lays a panel out in an area; the words of the upward axis stand level above it.
pub(super) fn panel(look: Look, area: Area, across: &Axis, up: &Axis) -> Panel {
    let (font, ink) = (look.font(), look.theme.ink());
    let small = 0.9 * font;
    let left = area.left + up.room(small);
    let top = area.top + up.head(look, area.width);
    let last = across.ticks.at.last().map(|tick| across.label(*tick));
    let right = area.left + area.width - 0.5 * small * width_em(&last.unwrap_or_default());
    let bottom = area.top + area.height - 3.1 * font;
    let x = Scale {
        values: across.ticks.ends(),
        pixels: (left, right),
    };
    let y = Scale {
        values: up.ticks.ends(),
        pixels: (bottom, top),
    };
    let frame = html! {
        (up.upward(look, area, y, (left, right)))
        g stroke=(ink.axis) stroke-width="1" {
            line x1=(px(left)) x2=(px(right)) y1=(px(bottom)) y2=(px(bottom)) {}
            @for tick in &across.ticks.at {
                line x1=(px(x.at(*tick))) x2=(px(x.at(*tick))) y1=(px(bottom)) y2=(px(bottom + 0.35 * font)) {}
            }
        }
        g font-size=(px(small)) fill=(ink.quiet) text-anchor="middle" {
            @for tick in &across.ticks.at {
                text x=(px(x.at(*tick))) y=(px(bottom + 0.4 * font + small)) { (across.label(*tick)) }
            }
        }
        text x=(px(0.5 * (left + right))) y=(px(bottom + 2.7 * font)) font-size=(px(font)) fill=(ink.text) text-anchor="middle" { (across.words) }
    };
    Panel::new(x, y, frame)
}
