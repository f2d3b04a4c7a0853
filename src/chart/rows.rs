//! Rows under each other on one scale across: words above the marks of each, so that long names have the whole width.

use super::Look;
use super::axis::Axis;
use super::label::{lines, width_em};
use super::scale::{Scale, px};
use super::sheet::Area;
use maud::{Markup, html};

/// Narrowest part of a row that words share with a figure, sizes of the font.
const SHARED_EM: f64 = 12.0;
/// Space between rows, sizes of the font.
const BETWEEN_EM: f64 = 0.55;
/// Height of a line of words, sizes of the font.
const LINE_EM: f64 = 1.3;

/// A row's words.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Row {
    /// What it is of.
    pub words: String,
    /// Figures, at its right end.
    pub figure: String,
}

/// Rows with their axis.
#[derive(Debug)]
pub(super) struct Rows {
    /// How they are drawn.
    pub look: Look,
    /// The scale across.
    pub axis: Axis,
    /// The rows.
    pub rows: Vec<Row>,
    /// Height of the marks, sizes of the font.
    pub lane_em: f64,
}

impl Rows {
    /// Lines of words and of figures; figures stand beside the first line of words where there is room.
    fn head(&self, row: &Row, width: f64) -> (Vec<String>, Vec<String>, bool) {
        let wide = width / self.look.font();
        let beside = wide - width_em(&row.figure) - 1.0;
        if beside >= SHARED_EM || row.figure.is_empty() {
            let figure = Some(row.figure.clone()).filter(|figure| !figure.is_empty());
            let room = if figure.is_some() { beside } else { wide };
            (lines(&row.words, room), figure.into_iter().collect(), true)
        } else {
            (lines(&row.words, wide), lines(&row.figure, wide), false)
        }
    }

    /// Lines above the marks of each row in a panel of this width, px.
    pub fn heads(&self, width: f64) -> Vec<usize> {
        let count = |row: &Row| {
            let (words, figures, beside) = self.head(row, width);
            if beside {
                words.len().max(figures.len())
            } else {
                words.len() + figures.len()
            }
        };
        self.rows.iter().map(count).collect()
    }

    /// Height of a panel of this width, px.
    pub fn height(&self, width: f64, heads: &[usize]) -> f64 {
        let font = self.look.font();
        let title = lines(&self.axis.words, width / font).len() as f64;
        let rows = heads
            .iter()
            .map(|count| LINE_EM * *count as f64 + self.lane_em + BETWEEN_EM);
        font * (LINE_EM * title + 0.5 + rows.sum::<f64>() + 1.9)
    }

    /// The panel; `marks` draws those of a row on the scale at the height of its middle, px.
    pub fn draw(
        &self,
        area: Area,
        heads: &[usize],
        marks: impl Fn(usize, &Scale, f64) -> Markup,
    ) -> Markup {
        let (font, ink) = (self.look.font(), self.look.theme.ink());
        let small = 0.9 * font;
        let right = area.left + area.width;
        let half = |tick: Option<&f64>| {
            tick.map_or(0.0, |tick| 0.5 * small * width_em(&self.axis.label(*tick)))
        };
        let scale = Scale {
            values: self.axis.ticks.ends(),
            pixels: (
                area.left + half(self.axis.ticks.at.first()),
                right - half(self.axis.ticks.at.last()),
            ),
        };
        let title = lines(&self.axis.words, area.width / font);
        let top = area.top + font * (LINE_EM * title.len() as f64 + 0.5);
        let mut y = top;
        let half_lane = 0.5 * self.lane_em * font + 0.1 * font;
        let mut body = Vec::new();
        for (number, row) in self.rows.iter().enumerate() {
            let (words, figures, beside) = self.head(row, area.width);
            let count = heads.get(number).copied().unwrap_or_default();
            let line = |number: usize| y + font * (0.95 + LINE_EM * number as f64);
            let below = if beside { 0 } else { words.len() };
            let middle = y + font * (LINE_EM * count as f64 + 0.5 * self.lane_em);
            body.push(html! {
                g font-size=(px(font)) {
                    @for (at, words) in words.iter().enumerate() { text x=(px(area.left)) y=(px(line(at))) fill=(ink.text) { (words) } }
                    @for (at, words) in figures.iter().enumerate() {
                        @if beside { text x=(px(right)) y=(px(line(at))) fill=(ink.quiet) text-anchor="end" { (words) } }
                        @else { text x=(px(area.left)) y=(px(line(below + at))) fill=(ink.quiet) { (words) } }
                    }
                }
                // The grid leaves words alone.
                g stroke-width="1" {
                    @for tick in &self.axis.ticks.at {
                        @let x = px(scale.at(*tick));
                        line x1=(x) x2=(x) y1=(px(middle - half_lane)) y2=(px(middle + half_lane)) stroke=(if *tick == 0.0 { ink.axis } else { ink.grid }) {}
                    }
                }
                (marks(number, &scale, middle)) "\n"
            });
            y += font * (LINE_EM * count as f64 + self.lane_em + BETWEEN_EM);
        }
        html! {
            @for (number, line) in title.iter().enumerate() {
                text x=(px(area.left)) y=(px(area.top + font * (1.0 + LINE_EM * number as f64))) font-size=(px(font)) font-weight="bold" fill=(ink.text) { (line) }
            }
            line x1=(px(scale.pixels.0)) x2=(px(scale.pixels.1)) y1=(px(y)) y2=(px(y)) stroke=(ink.axis) stroke-width="1" {}
            g font-size=(px(small)) fill=(ink.quiet) text-anchor="middle" {
                @for tick in &self.axis.ticks.at { text x=(px(scale.at(*tick))) y=(px(y + 0.4 * font + small)) { (self.axis.label(*tick)) } }
            }
            @for part in &body { (part) }
        }
    }
}

/// A level whisker with caps.
pub(super) fn whisker(
    scale: &Scale,
    y: f64,
    (low, high): (f64, f64),
    color: &str,
    cap_px: f64,
) -> Markup {
    let (from, to) = (px(scale.at(low)), px(scale.at(high)));
    html! {
        path d={ "M" (from) "," (px(y)) "H" (to) "M" (from) "," (px(y - cap_px)) "v" (px(2.0 * cap_px)) "M" (to) "," (px(y - cap_px)) "v" (px(2.0 * cap_px)) } stroke=(color) stroke-width="1.6" fill="none" {}
    }
}

/// A level pale bar: the range over what is not known about bees.
pub(super) fn pale(
    scale: &Scale,
    y: f64,
    (low, high): (f64, f64),
    color: &str,
    thick_px: f64,
) -> Markup {
    let (from, to) = (px(scale.at(low)), px(scale.at(high)));
    html! {
        path d={ "M" (from) "," (px(y)) "H" (to) } stroke=(color) stroke-width=(px(thick_px)) stroke-opacity="0.25" fill="none" {}
    }
}

/// Two panels: beside each other where there is room for `least_em` sizes of the font each, else under each other. Gives the width of each and whether they
/// stand beside each other.
pub(super) fn two(look: Look, width: f64, least_em: f64) -> (f64, bool) {
    let gap = 2.0 * look.font();
    let half = 0.5 * (width - gap);
    if half >= least_em * look.font() {
        (half, true)
    } else {
        (width, false)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chart::scale::Ticks;

    #[test]
    fn figures_stand_beside_short_words_and_below_long_ones_in_narrow_panels() {
        let rows = Rows {
            look: Look::default(),
            axis: Axis {
                words: "Honey, kg".to_owned(),
                ticks: Ticks::over(0.0, 10.0, 5),
                after: "",
            },
            rows: vec![Row {
                words: "Wood".to_owned(),
                figure: "11.2, 13.4 and 16.0 kg".to_owned(),
            }],
            lane_em: 1.0,
        };
        assert_eq!(rows.heads(600.0), [1]);
        assert_eq!(rows.heads(150.0), [3]);
        assert!(rows.height(150.0, &[3]) > rows.height(600.0, &[1]));
    }
}
