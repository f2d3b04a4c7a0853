//! The XY chart: one panel of marks over an axis of numbers, days or categories, with labels at the ends of its lines.

use super::category::{categories, fitted};
use super::{
    Area, Axis, Dates, Mark, Placer, Plot, Scale, Style, Unit, px, shortened, stack, width_em,
};
use crate::chart::Look;
use maud::{Markup, html};

/// What runs along the bottom of a panel.
pub enum Across {
    /// Numbers.
    Numbers(Axis),
    /// The days of a winter, from its first midnight.
    Days(Dates),
    /// Categories at even spaces, numbered from 0, and what they are.
    Categories(Vec<String>, String),
}

impl Across {
    /// Names of categories in lines that fit a panel so wide, and the lines of the longest.
    fn names(&self, look: Look, width: f64) -> (Vec<(usize, Vec<String>)>, f64) {
        let Self::Categories(names, _) = self else {
            return (Vec::new(), 0.0);
        };
        let fitted = fitted(
            names,
            width / names.len().max(1) as f64 / (0.9 * look.font()),
        );
        let deep = fitted
            .iter()
            .map(|(_, lines)| lines.len())
            .max()
            .unwrap_or(1) as f64;
        (fitted, deep)
    }

    /// Room below a panel so wide, px.
    pub fn foot(&self, look: Look, width: f64) -> f64 {
        let font = look.font();
        match self {
            Self::Numbers(_) => 3.1 * font,
            Self::Days(_) => Dates::room(look),
            Self::Categories(..) => 1.9 * font + 1.2 * 0.9 * font * self.names(look, width).1,
        }
    }

    /// Where cells join: between months, between categories.
    pub fn joints(&self) -> Vec<f64> {
        match self {
            Self::Days(dates) => dates
                .spans()
                .iter()
                .skip(1)
                .map(|(from, _)| *from as f64)
                .collect(),
            Self::Categories(names, _) => (1..names.len()).map(|at| at as f64 - 0.5).collect(),
            Self::Numbers(_) => Vec::new(),
        }
    }

    /// Scale, bottom of the panel and drawing; its foot ends at `foot`, and lines between months begin at `top`, where there are any.
    pub fn lay(
        &self,
        look: Look,
        area: Area,
        (left, right): (f64, f64),
        (foot, top): (f64, Option<f64>),
    ) -> (Scale, f64, Markup) {
        let (font, ink) = (look.font(), look.theme.ink());
        let bottom = foot - self.foot(look, right - left);
        let plain = |values, pixels| Scale {
            unit: Unit::Plain,
            values,
            pixels,
        };
        match self {
            Self::Numbers(axis) => {
                let x = axis.scale((left, right));
                (x, bottom, axis.along(look, x, bottom))
            }
            Self::Days(dates) => {
                let x = plain((0.0, dates.days.max(1) as f64), (left, right));
                (
                    x,
                    bottom,
                    dates.along(look, x, (top.unwrap_or(bottom), bottom)),
                )
            }
            Self::Categories(names, label) => {
                let x = plain((-0.5, names.len().max(1) as f64 - 0.5), (left, right));
                let (fitted, _) = self.names(look, right - left);
                let at = |number: usize| x.at(number as f64);
                let along = html! {
                    line x1=(px(left)) x2=(px(right)) y1=(px(bottom)) y2=(px(bottom)) stroke=(ink.axis) stroke-width="1" {}
                    (categories(area, &fitted, at, bottom + 0.25 * font, 0.9 * font, ink.quiet))
                    text x=(px(0.5 * (left + right))) y=(px(foot - 0.4 * font)) font-size=(px(font)) fill=(ink.text) text-anchor="middle" { (shortened(label, (right - left) / font)) }
                };
                (x, bottom, along)
            }
        }
    }
}

/// A label at the right end of a line.
#[derive(Debug, Clone)]
pub struct EndLabel {
    /// Height of what it names, in SI.
    pub y: f64,
    /// Its words, on one line.
    pub words: String,
    /// Colour of the line to it.
    pub color: &'static str,
    /// Symbol of the series before its words.
    pub symbol: Option<Style>,
}

impl EndLabel {
    /// Room that such labels take right of a panel, px.
    pub fn room(look: Look, ends: &[Self]) -> f64 {
        let symbol = |end: &Self| end.symbol.map_or(0.0, |_| 0.8);
        let width = |end: &Self| 1.4 + symbol(end) + 0.9 * width_em(&end.words);
        look.font() * ends.iter().map(width).fold(0.0, f64::max)
    }
}

/// A panel laid out.
#[derive(Debug)]
pub struct Panel {
    /// Along.
    pub x: Scale,
    /// Up.
    pub y: Scale,
    /// Where marks are drawn.
    pub inner: Area,
    /// Grid, axes and their labels.
    pub frame: Markup,
}

impl Panel {
    /// Marks are drawn where the scales run.
    pub fn new(x: Scale, y: Scale, frame: Markup) -> Self {
        let ((left, right), (bottom, top)) = (x.pixels, y.pixels);
        let inner = Area {
            left,
            top,
            width: right - left,
            height: bottom - top,
        };
        Self { x, y, inner, frame }
    }

    /// Its right edge, px.
    pub fn right(&self) -> f64 {
        self.inner.left + self.inner.width
    }

    /// Its lower edge, px.
    pub fn bottom(&self) -> f64 {
        self.inner.top + self.inner.height
    }

    /// Draws marks one upon the other, then their labels.
    pub fn marks(&self, look: Look, marks: &[Mark<'_>]) -> Markup {
        let labels: Vec<_> = marks
            .iter()
            .filter_map(Mark::as_labels)
            .flatten()
            .cloned()
            .collect();
        html! {
            @for mark in marks { (mark.draw(look, self)) }
            @if !labels.is_empty() { (Placer::new(self, marks).draw(look, self, &labels)) }
        }
    }
}

/// The chart.
pub struct Xy<'a> {
    /// Along.
    pub across: Across,
    /// Up; without one, marks place themselves and nothing stands left of the panel.
    pub up: Option<Axis>,
    /// Height, px.
    pub height: f64,
    /// Marks below the grid.
    pub under: Vec<Mark<'a>>,
    /// Marks, in the order in which they lie on each other.
    pub marks: Vec<Mark<'a>>,
    /// Labels at the right ends of lines.
    pub ends: Vec<EndLabel>,
    /// Where along lines end; none at the right edge.
    pub ends_at: Option<f64>,
    /// Least room left of the panel, px, so that panels below each other begin at one place.
    pub left_px: f64,
    /// Least room right of the panel, px.
    pub right_px: f64,
    /// Room that marks use below the axis, px.
    pub below_px: f64,
}

impl<'a> Xy<'a> {
    /// With these marks, as high as most charts are.
    pub fn new(look: Look, across: Across, up: Axis, marks: Vec<Mark<'a>>) -> Self {
        Self {
            across,
            up: Some(up),
            height: (26.0 * look.font()).min(0.75 * look.width()),
            under: Vec::new(),
            marks,
            ends: Vec::new(),
            ends_at: None,
            left_px: 0.0,
            right_px: 0.0,
            below_px: 0.0,
        }
    }

    /// Over an axis along its foot alone; marks place themselves.
    pub fn flat(look: Look, axis: Axis, height: f64, marks: Vec<Mark<'a>>) -> Self {
        let own = Self::new(look, Across::Numbers(axis.clone()), axis, marks);
        Self {
            up: None,
            height,
            ..own
        }
    }

    /// With labels at the ends of its lines.
    pub fn ends(mut self, ends: Vec<EndLabel>) -> Self {
        self.ends = ends;
        self
    }

    /// Lays the panel out in an area.
    pub fn panel(&self, look: Look, area: Area) -> Panel {
        let small = 0.9 * look.font();
        let right_px = EndLabel::room(look, &self.ends).max(self.right_px);
        let (mut left, mut right) = (area.left, area.left + area.width - right_px);
        let (mut top, foot) = (area.top, area.top + area.height - self.below_px);
        if let Some(up) = &self.up {
            left += up.room(small).max(self.left_px);
            top += up.head(look, area.width);
        }
        if let Across::Numbers(axis) = &self.across {
            let (first, last) = axis.overhang(small);
            left += self.up.as_ref().map_or(first, |_| 0.0);
            right -= last;
        }
        let (x, bottom, along) = self
            .across
            .lay(look, area, (left, right), (foot, Some(top)));
        let bare = Scale {
            unit: Unit::Plain,
            values: (0.0, 1.0),
            pixels: (bottom, top),
        };
        let y = self.up.as_ref().map_or(bare, |up| up.scale((bottom, top)));
        let up = self
            .up
            .as_ref()
            .map(|up| up.upward(look, area, y, x.pixels));
        Panel::new(x, y, html! { @if let Some(up) = up { (up) } (along) })
    }

    fn end_labels(&self, look: Look, panel: &Panel) -> Markup {
        let font = look.font();
        let size = 0.9 * font;
        let mut ends: Vec<(&EndLabel, f64)> = self
            .ends
            .iter()
            .map(|end| (end, panel.y.at(end.y)))
            .collect();
        ends.sort_by(|a, b| a.1.total_cmp(&b.1));
        let wished: Vec<_> = ends.iter().map(|(_, y)| (*y, 1.25 * size)).collect();
        let tops = stack(&wished, panel.inner.top, panel.bottom());
        let from = self.ends_at.map_or(panel.right(), |x| panel.x.at(x));
        let to = from + 0.99 * font;
        html! {
            @for ((end, y), top) in ends.iter().zip(tops) {
                @let middle = top + 0.625 * size;
                path d=(format!("M{},{}L{},{}", px(from + 1.0), px(*y), px(to), px(middle))) stroke=(end.color) stroke-width="1.5" fill="none" {}
                @if let Some(style) = end.symbol { (style.mark((to + 0.3 * font, middle), None)) }
                @let symbol = if end.symbol.is_some() { 0.8 * font } else { 0.0 };
                (super::halo(look, (to + 0.2 * font + symbol, middle + 0.35 * size), size, "start", false, &end.words))
            }
        }
    }
}

impl Plot for Xy<'_> {
    fn height(&self, _: Look, _: f64) -> f64 {
        self.height
    }

    fn draw(&self, look: Look, area: Area, _: &str) -> Markup {
        let panel = self.panel(look, area);
        html! {
            (panel.marks(look, &self.under))
            (panel.frame)
            (panel.marks(look, &self.marks))
            (self.end_labels(look, &panel))
        }
    }
}
