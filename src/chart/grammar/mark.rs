//! Marks: what stands in a panel, at values in SI.

use super::{Label, Panel, Style, px, title};
use crate::chart::Look;
use maud::{Markup, html};

/// Longest piece that a line is cut into where labels look for room, px.
const PIECE_PX: f64 = 8.0;

type Point = (f64, f64);
/// Left, top, right and bottom, px.
type Bounds = (f64, f64, f64, f64);
type Custom<'a> = Box<dyn Fn(&Panel) -> Markup + 'a>;

/// A mark; infinite values stand for the edges of its panel.
pub struct Mark<'a> {
    shape: Shape<'a>,
    fill: Option<(&'static str, f64)>,
    stroke: Option<(&'static str, f64, f64)>,
    dash: Option<&'static str>,
    shift_px: f64,
    words: Option<String>,
}

enum Shape<'a> {
    Line(Vec<Point>),
    Band(Vec<(f64, f64, f64)>),
    Bar((f64, f64), (f64, f64)),
    Symbol(Point, Style),
    Dot(Point, f64, String),
    /// From and to, with caps so high.
    Interval(Point, Point, f64),
    Labels(Vec<Label>),
    Custom(Custom<'a>),
}

impl<'a> Mark<'a> {
    fn new(shape: Shape<'a>) -> Self {
        Self {
            shape,
            fill: None,
            stroke: None,
            dash: None,
            shift_px: 0.0,
            words: None,
        }
    }

    /// A line through points.
    pub fn line(points: Vec<Point>) -> Self {
        Self::new(Shape::Line(points))
    }

    /// A level line through the panel.
    pub fn rule(y: f64) -> Self {
        Self::line(vec![(f64::NEG_INFINITY, y), (f64::INFINITY, y)])
    }

    /// A band between two lines: place, low and high.
    pub fn band(points: Vec<(f64, f64, f64)>) -> Self {
        Self::new(Shape::Band(points))
    }

    /// An upright rectangle from and to along, from and to upward.
    pub fn bar(x: (f64, f64), y: (f64, f64)) -> Self {
        Self::new(Shape::Bar(x, y))
    }

    /// The symbol of a series.
    pub fn symbol(at: Point, style: Style) -> Self {
        Self::new(Shape::Symbol(at, style))
    }

    /// A dot of any colour, with an outline.
    pub fn dot(at: Point, radius_px: f64, color: String) -> Self {
        Self::new(Shape::Dot(at, radius_px, color))
    }

    /// An upright error bar.
    pub fn interval(at: f64, ends: (f64, f64)) -> Self {
        Self::new(Shape::Interval((at, ends.0), (at, ends.1), 0.0))
    }

    /// A level error bar with caps.
    pub fn level_interval(at: f64, ends: (f64, f64), cap_px: f64) -> Self {
        Self::new(Shape::Interval((ends.0, at), (ends.1, at), cap_px))
    }

    /// Labels, each placed where nothing is in the way.
    pub fn labels(labels: Vec<Label>) -> Self {
        Self::new(Shape::Labels(labels))
    }

    /// Whatever no other mark is.
    pub fn custom(draw: impl Fn(&Panel) -> Markup + 'a) -> Self {
        Self::new(Shape::Custom(Box::new(draw)))
    }

    /// Filled, with an opacity.
    pub fn fill(mut self, color: &'static str, opacity: f64) -> Self {
        self.fill = Some((color, opacity));
        self
    }

    /// Outlined, or drawn, with a width in px.
    pub fn stroke(mut self, color: &'static str, width_px: f64) -> Self {
        self.stroke = Some((color, width_px, 1.0));
        self
    }

    /// Drawn with an opacity: a range over what is not known about bees, a line of less weight.
    pub fn pale(mut self, color: &'static str, width_px: f64, opacity: f64) -> Self {
        self.stroke = Some((color, width_px, opacity));
        self
    }

    /// Dashed.
    pub fn dash(mut self, dash: &'static str) -> Self {
        self.dash = Some(dash);
        self
    }

    /// Moved to the right, px.
    pub fn shift(mut self, px: f64) -> Self {
        self.shift_px = px;
        self
    }

    /// With words for a pointer that rests on it.
    pub fn says(mut self, words: impl Into<String>) -> Self {
        self.words = Some(words.into());
        self
    }

    pub(super) fn as_labels(&self) -> Option<&[Label]> {
        match &self.shape {
            Shape::Labels(labels) => Some(labels),
            _ => None,
        }
    }

    fn pixel(&self, panel: &Panel, (x, y): Point) -> Point {
        (panel.x.at(x) + self.shift_px, panel.y.at(y))
    }

    /// Corners of a line or a band, px.
    fn corners(&self, panel: &Panel) -> Vec<Point> {
        let spot = |x: f64, y: f64| self.pixel(panel, (x, y));
        match &self.shape {
            Shape::Line(points) => points.iter().map(|(x, y)| spot(*x, *y)).collect(),
            Shape::Band(points) => {
                let low = points.iter().map(|(x, low, _)| spot(*x, *low));
                low.chain(points.iter().rev().map(|(x, _, high)| spot(*x, *high)))
                    .collect()
            }
            _ => Vec::new(),
        }
    }

    /// Adds what it takes of a panel: what no label may lie on, and what a label had better not.
    pub(super) fn takes(&self, panel: &Panel, hard: &mut Vec<Bounds>, soft: &mut Vec<Bounds>) {
        let round = |at: Point, r: f64| {
            let (x, y) = self.pixel(panel, at);
            (x - r, y - r, x + r, y + r)
        };
        match &self.shape {
            Shape::Symbol(at, style) => hard.push(round(*at, 1.1 * style.radius_px)),
            Shape::Dot(at, radius_px, _) => hard.push(round(*at, *radius_px)),
            Shape::Band(points) => {
                let spots = points.windows(2).map(|pair| {
                    let [(left, a, b), (right, c, d)] = [pair[0], pair[1]].map(|(x, low, high)| {
                        let (x, low) = self.pixel(panel, (x, low));
                        (x, low, panel.y.at(high))
                    });
                    (left, a.min(b).min(c.min(d)), right, a.max(b).max(c.max(d)))
                });
                hard.extend(spots);
            }
            Shape::Line(_) => {
                for pair in self.corners(panel).windows(2) {
                    let ((x0, y0), (x1, y1)) = (pair[0], pair[1]);
                    let pieces = (libm::hypot(x1 - x0, y1 - y0) / PIECE_PX).ceil().max(1.0);
                    let (dx, dy) = ((x1 - x0) / pieces, (y1 - y0) / pieces);
                    soft.extend((0..pieces as usize).map(|piece| {
                        let (x, y) = (x0 + dx * piece as f64, y0 + dy * piece as f64);
                        (
                            x + dx.min(0.0),
                            y + dy.min(0.0),
                            x + dx.max(0.1),
                            y + dy.max(0.1),
                        )
                    }));
                }
            }
            _ => {}
        }
    }

    /// Draws it; labels are the placer's.
    pub(super) fn draw(&self, look: Look, panel: &Panel) -> Markup {
        let words = self.words.as_deref();
        match &self.shape {
            Shape::Line(_) | Shape::Band(_) => {
                let corners = self.corners(panel).into_iter();
                let corners: Vec<String> = corners
                    .map(|(x, y)| format!("{},{}", px(x), px(y)))
                    .collect();
                let close = matches!(self.shape, Shape::Band(_)).then_some("Z");
                self.path(&format!(
                    "M{}{}",
                    corners.join("L"),
                    close.unwrap_or_default()
                ))
            }
            Shape::Symbol(at, style) => html! { (style.mark(self.pixel(panel, *at), words)) "\n" },
            Shape::Dot(at, radius_px, color) => {
                let (x, y) = self.pixel(panel, *at);
                html! { circle cx=(px(x)) cy=(px(y)) r=(px(*radius_px)) fill=(color) stroke=(look.theme.ink().text) stroke-width="0.8" { (title(words)) } "\n" }
            }
            Shape::Bar((from, to), (low, high)) => {
                let ((left, bottom), (right, top)) = (
                    self.pixel(panel, (*from, *low)),
                    self.pixel(panel, (*to, *high)),
                );
                let (wide, top, high) = (right - left, top.min(bottom), (bottom - top).abs());
                let (fill, opacity, stroke, width, ..) = self.paint();
                html! { rect x=(px(left)) y=(px(top)) width=(px(wide)) height=(px(high)) fill=(fill) fill-opacity=[opacity] stroke=[stroke] stroke-width=[width] { (title(words)) } "\n" }
            }
            Shape::Interval(from, to, cap_px) => {
                let ((x0, y0), (x1, y1)) = (self.pixel(panel, *from), self.pixel(panel, *to));
                let cap = |x: f64| format!("M{},{}v{}", px(x), px(y0 - cap_px), px(2.0 * cap_px));
                let ends = [x0, x1].into_iter().filter(|_| *cap_px > 0.0);
                let caps: String = ends.map(cap).collect();
                let [x0, y0, x1, y1] = [x0, y0, x1, y1].map(px);
                self.path(&format!("M{x0},{y0}L{x1},{y1}{caps}"))
            }
            Shape::Custom(draw) => draw(panel),
            Shape::Labels(_) => html! {},
        }
    }

    /// Fill with its opacity, stroke with its width and opacity.
    #[allow(clippy::type_complexity)]
    fn paint(&self) -> (&str, Option<f64>, Option<&str>, Option<String>, Option<f64>) {
        let (fill, opacity) = self.fill.unwrap_or(("none", 1.0));
        let part = |share: f64| (share < 1.0).then_some(share);
        let stroke = self.stroke;
        (
            fill,
            part(opacity),
            stroke.map(|stroke| stroke.0),
            stroke.map(|stroke| px(stroke.1)),
            stroke.and_then(|stroke| part(stroke.2)),
        )
    }

    fn path(&self, d: &str) -> Markup {
        let (fill, opacity, stroke, wide, faint) = self.paint();
        html! { path d=(d) fill=(fill) fill-opacity=[opacity] stroke=[stroke] stroke-width=[wide] stroke-opacity=[faint] stroke-dasharray=[self.dash] stroke-linejoin="round" { (title(self.words.as_deref())) } "\n" }
    }
}

/// Text that stays readable on marks: outlined in the ground's colour.
pub fn halo(look: Look, (x, y): Point, size: f64, anchor: &str, bold: bool, words: &str) -> Markup {
    let ink = look.theme.ink();
    html! {
        text x=(px(x)) y=(px(y)) font-size=(px(size)) font-weight=[bold.then_some("bold")] fill=(ink.text) text-anchor=(anchor) paint-order="stroke" stroke=(ink.ground) stroke-width="3" stroke-linejoin="round" { (words) }
    }
}
