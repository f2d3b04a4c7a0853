//! Words beside a panel, at the height of what they name: moved apart where they would touch, with a line to what they name.

use super::Look;
use super::label::width_em;
use super::scale::px;
use maud::{Markup, html};

/// Words and what they name.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Beside {
    /// Height of what they name, px.
    pub y: f64,
    /// The words, on one line.
    pub words: String,
    /// Colour of the line to them.
    pub color: String,
}

/// Size of the words, px.
fn size(look: Look) -> f64 {
    0.9 * look.font()
}

/// Length of the line from the panel to the words, px.
fn line(look: Look) -> f64 {
    1.1 * look.font()
}

/// Room that words take beside a panel, px.
pub(super) fn room<'a>(look: Look, words: impl Iterator<Item = &'a str>) -> f64 {
    line(look) + 0.3 * look.font() + size(look) * words.map(width_em).fold(0.0, f64::max)
}

/// Heights near those wished for, in their order, at least `gap` apart and within `least` and `most` where there is room.
fn apart(wished: &[f64], gap: f64, (least, most): (f64, f64)) -> Vec<f64> {
    let mut at: Vec<f64> = Vec::with_capacity(wished.len());
    for y in wished {
        let free = at.last().map_or(least, |last| last + gap);
        at.push(y.max(free));
    }
    let mut limit = most;
    for y in at.iter_mut().rev() {
        *y = y.min(limit);
        limit = *y - gap;
    }
    at
}

/// Draws words beside the right edge `x` of a panel that reaches from `top` to `bottom`.
pub(super) fn draw(
    look: Look,
    x: f64,
    (top, bottom): (f64, f64),
    mut words: Vec<Beside>,
) -> Markup {
    words.sort_by(|a, b| a.y.total_cmp(&b.y));
    let wished: Vec<f64> = words.iter().map(|words| words.y).collect();
    let size = size(look);
    let at = apart(
        &wished,
        1.25 * size,
        (top + 0.5 * size, bottom - 0.4 * size),
    );
    let (line, ink) = (line(look), look.theme.ink());
    html! {
        g font-size=(px(size)) fill=(ink.text) {
            @for (words, y) in words.iter().zip(&at) {
                path d={ "M" (px(x + 1.0)) "," (px(words.y)) "L" (px(x + 0.9 * line)) "," (px(*y)) } stroke=(words.color) stroke-width="1.5" fill="none" {}
                text x=(px(x + line + 0.1 * size)) y=(px(y + 0.35 * size)) { (words.words) }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_at_one_height_are_moved_apart_and_kept_in_the_panel() {
        let at = apart(&[100.0, 100.0, 100.0], 15.0, (0.0, 110.0));
        assert_eq!(at, [80.0, 95.0, 110.0]);
        let at = apart(&[0.0, 1.0, 50.0], 15.0, (5.0, 110.0));
        assert_eq!(at, [5.0, 20.0, 50.0]);
    }
}
