//! Marks of series: a shape as well as a colour, so that they differ in grey too.

use super::{Ink, px};
use crate::chart::Theme;
use maud::{Markup, html};

/// Corners of shapes in radii: a triangle, a square, a diamond, a triangle on its point, a cross.
#[rustfmt::skip]
const SHAPES: [&[(f64, f64)]; 5] = [
    &[(0.0, -1.2), (1.1, 0.8), (-1.1, 0.8)],
    &[(-0.9, -0.9), (0.9, -0.9), (0.9, 0.9), (-0.9, 0.9)],
    &[(0.0, -1.3), (1.1, 0.0), (0.0, 1.3), (-1.1, 0.0)],
    &[(0.0, 1.2), (1.1, -0.8), (-1.1, -0.8)],
    &[
        (-0.4, -1.2), (0.4, -1.2), (0.4, -0.4), (1.2, -0.4), (1.2, 0.4), (0.4, 0.4),
        (0.4, 1.2), (-0.4, 1.2), (-0.4, 0.4), (-1.2, 0.4), (-1.2, -0.4), (-0.4, -0.4),
    ],
];

/// How the marks of a series look.
#[derive(Debug, Clone, Copy)]
pub struct Style {
    /// Number of the series; shapes repeat after six, colours after seven, both after 42.
    pub number: usize,
    /// Theme.
    pub theme: Theme,
    /// Half of a mark's width, px.
    pub radius_px: f64,
    /// Opacity of its fill.
    pub opacity: f64,
}

impl Style {
    /// Its colour.
    pub fn color(self) -> &'static str {
        self.theme.series(self.number)
    }

    /// A mark with words for a pointer that rests on it.
    pub fn mark(self, (x, y): (f64, f64), words: Option<&str>) -> Markup {
        let Ink { ground, .. } = self.theme.ink();
        let r = self.radius_px;
        let opacity = (self.opacity < 1.0).then_some(self.opacity);
        let corner = |(dx, dy): &(f64, f64)| format!("{},{}", px(x + r * dx), px(y + r * dy));
        let closed = |corners: &[(f64, f64)]| {
            let corners: Vec<String> = corners.iter().map(corner).collect();
            format!("M{}Z", corners.join("L"))
        };
        let outline = match self.number % 6 {
            0 => None,
            shape => Some(closed(SHAPES[shape - 1])),
        };
        html! {
            @match outline {
                None => circle cx=(px(x)) cy=(px(y)) r=(px(r)) fill=(self.color()) fill-opacity=[opacity] stroke=(ground) stroke-width="0.8" { (title(words)) },
                Some(path) => path d=(path) fill=(self.color()) fill-opacity=[opacity] stroke=(ground) stroke-width="0.8" { (title(words)) },
            }
        }
    }
}

/// The words of a mark.
pub fn title(words: Option<&str>) -> Markup {
    html! { @if let Some(words) = words { title { (words) } } }
}
