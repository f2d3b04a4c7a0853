//! The ranked chart: rows under each other on one scale across, words above the marks of each, so that long names have the whole width.

use super::{Area, Axis, Mark, Panel, Plot, Scale, Style, Unit, lines, px, width_em};
use crate::chart::Look;
use maud::{Markup, html};

/// Narrowest part of a row that words share with a figure, sizes of the font.
const SHARED_EM: f64 = 12.0;
/// Space between rows, sizes of the font.
const BETWEEN_EM: f64 = 0.55;
/// Height of a line of words, sizes of the font.
const LINE_EM: f64 = 1.3;

/// A row.
pub struct Row<'a> {
    /// What it is of.
    pub words: String,
    /// Figures, at its right end.
    pub figure: String,
    /// Its marks, at sizes of the font below the middle of the row.
    pub marks: Vec<Mark<'a>>,
}

impl<'a> Row<'a> {
    /// Without marks yet.
    pub fn new(words: String, figure: String) -> Self {
        Self {
            words,
            figure,
            marks: Vec::new(),
        }
    }

    /// With one more mark.
    pub fn mark(mut self, mark: Mark<'a>) -> Self {
        self.marks.push(mark);
        self
    }

    /// With a value and its interval, so far below the middle, and words for both.
    pub fn estimate(
        self,
        (value, below_em): (f64, f64),
        ends: Option<(f64, f64)>,
        style: Style,
        cap_px: f64,
        words: String,
    ) -> Self {
        let bar = ends
            .map(|ends| Mark::level_interval(below_em, ends, cap_px).stroke(style.color(), 1.6));
        let mut own = self;
        own.marks.extend(bar);
        own.mark(Mark::symbol((value, below_em), style).says(words))
    }

    /// With a pale bar: a range over what is not known about bees.
    pub fn pale(
        self,
        below_em: f64,
        ends: Option<(f64, f64)>,
        color: &'static str,
        thick_px: f64,
    ) -> Self {
        let bar = |ends| Mark::level_interval(below_em, ends, 0.0).pale(color, thick_px, 0.25);
        match ends {
            Some(ends) => self.mark(bar(ends)),
            None => self,
        }
    }
}

/// The chart.
pub struct Ranked<'a> {
    /// The scale across.
    pub axis: Axis,
    /// The rows.
    pub rows: Vec<Row<'a>>,
    /// Height of the marks, sizes of the font.
    pub lane_em: f64,
    /// Least lines of words of each row, so that charts beside each other have rows at one height.
    pub least_lines: Vec<usize>,
}

impl<'a> Ranked<'a> {
    /// Rows with marks so high.
    pub fn new(axis: Axis, lane_em: f64, rows: Vec<Row<'a>>) -> Self {
        Self {
            axis,
            rows,
            lane_em,
            least_lines: Vec::new(),
        }
    }

    /// Lines of words and of figures; figures stand beside the first line of words where there is room.
    fn head(&self, look: Look, row: &Row<'_>, width: f64) -> (Vec<String>, Vec<String>, bool) {
        let wide = width / look.font();
        let beside = wide - width_em(&row.figure) - 1.0;
        if row.figure.is_empty() {
            (lines(&row.words, wide), Vec::new(), true)
        } else if beside >= SHARED_EM {
            (lines(&row.words, beside), vec![row.figure.clone()], true)
        } else {
            (lines(&row.words, wide), lines(&row.figure, wide), false)
        }
    }

    /// Lines above the marks of each row in a panel of this width, px.
    pub fn row_lines(&self, look: Look, width: f64) -> Vec<usize> {
        let count = |(number, row): (usize, &Row<'_>)| {
            let (words, figures, beside) = self.head(look, row, width);
            let own = if beside {
                words.len().max(figures.len())
            } else {
                words.len() + figures.len()
            };
            own.max(self.least_lines.get(number).copied().unwrap_or(0))
        };
        self.rows.iter().enumerate().map(count).collect()
    }
}

impl Plot for Ranked<'_> {
    fn height(&self, look: Look, width: f64) -> f64 {
        let font = look.font();
        let title = lines(&self.axis.label, width / font).len() as f64;
        let heads = self.row_lines(look, width);
        let rows = heads
            .iter()
            .map(|count| LINE_EM * *count as f64 + self.lane_em + BETWEEN_EM);
        font * (LINE_EM * title + 0.5 + rows.sum::<f64>() + 1.9)
    }

    fn draw(&self, look: Look, area: Area, _: &str) -> Markup {
        let (font, ink) = (look.font(), look.theme.ink());
        let small = 0.9 * font;
        let right = area.left + area.width;
        let (first, last) = self.axis.overhang(small);
        let scale = self.axis.scale((area.left + first, right - last));
        let title = lines(&self.axis.label, area.width / font);
        let mut y = area.top + font * (LINE_EM * title.len() as f64 + 0.5);
        let half_lane = 0.5 * self.lane_em * font + 0.1 * font;
        let mut body = Vec::new();
        for (row, count) in self.rows.iter().zip(self.row_lines(look, area.width)) {
            let (words, figures, beside) = self.head(look, row, area.width);
            let line = |number: usize| y + font * (0.95 + LINE_EM * number as f64);
            let below = if beside { 0 } else { words.len() };
            let middle = y + font * (LINE_EM * count as f64 + 0.5 * self.lane_em);
            let lane = Scale {
                unit: Unit::Plain,
                values: (0.0, 1.0),
                pixels: (middle, middle + font),
            };
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
                        @let x = px(scale.at_shown(*tick));
                        line x1=(x) x2=(x) y1=(px(middle - half_lane)) y2=(px(middle + half_lane)) stroke=(if *tick == 0.0 { ink.axis } else { ink.grid }) {}
                    }
                }
                (Panel::new(scale, lane, html! {}).marks(look, &row.marks))
            });
            y += font * (LINE_EM * count as f64 + self.lane_em + BETWEEN_EM);
        }
        html! {
            @for (number, line) in title.iter().enumerate() {
                text x=(px(area.left)) y=(px(area.top + font * (1.0 + LINE_EM * number as f64))) font-size=(px(font)) font-weight="bold" fill=(ink.text) { (line) }
            }
            line x1=(px(scale.pixels.0)) x2=(px(scale.pixels.1)) y1=(px(y)) y2=(px(y)) stroke=(ink.axis) stroke-width="1" {}
            g font-size=(px(small)) fill=(ink.quiet) text-anchor="middle" {
                @for tick in &self.axis.ticks.at { text x=(px(scale.at_shown(*tick))) y=(px(y + 0.4 * font + small)) { (self.axis.tick(*tick)) } }
            }
            @for part in &body { (part) }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_stand_beside_short_words_and_below_long_ones_in_narrow_panels() {
        let look = Look::default();
        let row = Row {
            words: "Wood".to_owned(),
            figure: "11.2, 13.4 and 16.0 kg".to_owned(),
            marks: Vec::new(),
        };
        let ranked = Ranked::new(
            Axis::new("Honey", Unit::Plain, [0.0, 10.0], 5),
            1.0,
            vec![row],
        );
        assert_eq!(ranked.row_lines(look, 600.0), [1]);
        assert_eq!(ranked.row_lines(look, 150.0), [3]);
        assert!(ranked.height(look, 150.0) > ranked.height(look, 600.0));
    }
}
