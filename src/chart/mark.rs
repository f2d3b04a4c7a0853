//! Marks of series: a shape as well as a colour, so that they differ in grey too.

use super::scale::px;
use super::{Theme, color::Ink};
use maud::{Markup, html};

/// How the marks of a series look.
#[derive(Debug, Clone, Copy)]
pub(super) struct Style {
    /// Number of the series; shapes repeat after six, colours after seven, both after 42.
    pub number: usize,
    /// Theme.
    pub theme: Theme,
    /// Half of a mark's width, px.
    pub radius_px: f64,
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
        let closed = |corners: &[(f64, f64)]| -> String {
            let corners = corners
                .iter()
                .map(|(dx, dy)| format!("{},{}", px(x + r * dx), px(y + r * dy)));
            format!("M{}Z", corners.collect::<Vec<_>>().join("L"))
        };
        let outline = match self.number % 6 {
            0 => None,
            1 => Some(closed(&[(0.0, -1.2), (1.1, 0.8), (-1.1, 0.8)])),
            2 => Some(closed(&[
                (-0.9, -0.9),
                (0.9, -0.9),
                (0.9, 0.9),
                (-0.9, 0.9),
            ])),
            3 => Some(closed(&[(0.0, -1.3), (1.1, 0.0), (0.0, 1.3), (-1.1, 0.0)])),
            4 => Some(closed(&[(0.0, 1.2), (1.1, -0.8), (-1.1, -0.8)])),
            _ => Some(closed(&[
                (-0.4, -1.2),
                (0.4, -1.2),
                (0.4, -0.4),
                (1.2, -0.4),
                (1.2, 0.4),
                (0.4, 0.4),
                (0.4, 1.2),
                (-0.4, 1.2),
                (-0.4, 0.4),
                (-1.2, 0.4),
                (-1.2, -0.4),
                (-0.4, -0.4),
            ])),
        };
        html! {
            @match outline {
                None => circle cx=(px(x)) cy=(px(y)) r=(px(r)) fill=(self.color()) stroke=(ground) stroke-width="0.8" { (title(words)) },
                Some(path) => path d=(path) fill=(self.color()) stroke=(ground) stroke-width="0.8" { (title(words)) },
            }
        }
    }
}

/// The words of a mark.
pub(super) fn title(words: Option<&str>) -> Markup {
    html! { @if let Some(words) = words { title { (words) } } }
}
