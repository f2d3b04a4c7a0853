//! The cell chart: rows of coloured cells over days or categories, with the scale of their colours above.

use super::{Across, Area, Plot, Scale, lines, px, shortened, title, width_em};
use crate::chart::Look;
use maud::{Markup, html};

/// Height of a scale of colours, sizes of the font.
const BAR_EM: f64 = 3.2;
/// Widest part of the picture that names of rows may have.
const NAMES: f64 = 0.3;

/// A scale of colours.
pub struct ColorBar {
    /// What is coloured, left of it; nothing where the title of the picture says so.
    pub label: String,
    /// Colours at shares of the way along; fewer than two where all values are alike.
    pub stops: Vec<(f64, String)>,
    /// Words at shares of the way along.
    pub ticks: Vec<(f64, String)>,
}

impl ColorBar {
    /// Its height, px.
    pub fn height(look: Look) -> f64 {
        BAR_EM * look.font()
    }

    /// Draws it from the upper left corner of an area on.
    pub fn draw(&self, look: Look, area: Area, id: &str) -> Markup {
        let (font, ink) = (look.font(), look.theme.ink());
        let small = 0.85 * font;
        let label_px = if self.label.is_empty() {
            0.0
        } else {
            (width_em(&self.label) + 1.0) * font
        };
        let left = area.left + label_px;
        let wide = (20.0 * font).min(0.7 * (area.width - label_px));
        let anchor = |share: f64| match share {
            _ if self.stops.len() < 2 => "start",
            first if first <= 0.0 => "start",
            last if last >= 1.0 => "end",
            _ => "middle",
        };
        html! {
            @if self.stops.len() > 1 {
                defs { linearGradient id={ (id) "-scale" } { @for (at, color) in &self.stops { stop offset=(format!("{at:.1}")) stop-color=(color) {} } } }
                rect x=(px(left)) y=(px(area.top)) width=(px(wide)) height=(px(0.9 * font)) fill={ "url(#" (id) "-scale)" } {}
            }
            text x=(px(area.left)) y=(px(area.top + 0.85 * font)) font-size=(px(font)) fill=(ink.text) { (self.label) }
            g font-size=(px(small)) fill=(ink.quiet) {
                @for (share, words) in &self.ticks {
                    text x=(px(left + wide * share)) y=(px(area.top + 1.9 * font)) text-anchor=(anchor(*share)) { (words) }
                }
            }
        }
    }
}

/// A cell.
pub struct Cell {
    /// Number of its row.
    pub row: usize,
    /// From and to along.
    pub along: (f64, f64),
    /// Its colour; none of one without a value, which is a thin line.
    pub color: Option<String>,
    /// Its figure and the colour of that; nothing where there is none.
    pub figure: (String, &'static str),
    /// Words for a pointer that rests on it; cells that follow each other with the same words are one.
    pub says: String,
}

/// The chart.
pub struct Cells {
    /// Along.
    pub across: Across,
    /// What the rows are; nothing where that needs no words.
    pub down: String,
    /// Names of the rows.
    pub rows: Vec<String>,
    /// Height of a row, px.
    pub row_px: f64,
    /// Space round cells, px.
    pub gap_px: f64,
    /// The cells, row by row.
    pub cells: Vec<Cell>,
    /// The scale of their colours.
    pub bar: ColorBar,
}

impl Cells {
    /// Room for the names of rows, px.
    pub fn names_px(look: Look, rows: &[String], width: f64) -> f64 {
        let widest = rows.iter().map(|row| width_em(row)).fold(0.0, f64::max);
        (0.9 * look.font() * (widest + 0.6)).min(NAMES * width)
    }

    /// Lines of what the rows are and the height that they and the scale of colours take.
    fn head(&self, look: Look, width: f64) -> (Vec<String>, f64) {
        let font = look.font();
        let down = lines(&self.down, width / font);
        let words = if down.is_empty() {
            0.0
        } else {
            1.3 * down.len() as f64 + 0.4
        };
        (down, ColorBar::height(look) + words * font)
    }

    fn cell(&self, look: Look, cell: &Cell, x: Scale, top: f64) -> Markup {
        let (font, ink) = (look.font(), look.theme.ink());
        let (left, right) = (x.at(cell.along.0), x.at(cell.along.1));
        let (wide, y) = (right - left, top + self.row_px * cell.row as f64);
        let middle = y + 0.5 * self.row_px;
        let (figure, fill) = &cell.figure;
        let size = (0.85 * wide / width_em(figure).max(0.1)).min(font);
        html! {
            @match &cell.color {
                Some(color) => rect x=(px(left)) y=(px(y + self.gap_px)) width=(px(wide + 0.1)) height=(px(self.row_px - 2.0 * self.gap_px)) fill=(color) {},
                None => line x1=(px(left)) x2=(px(right)) y1=(px(middle)) y2=(px(middle)) stroke=(ink.axis) stroke-width="1" {},
            }
            @if !figure.is_empty() && size >= 0.62 * font {
                text x=(px(left + 0.5 * wide)) y=(px(middle + 0.35 * size)) font-size=(px(size)) fill=(fill) text-anchor="middle" { (figure) }
            }
        }
    }
}

impl Plot for Cells {
    fn height(&self, look: Look, width: f64) -> f64 {
        let names = Self::names_px(look, &self.rows, width);
        let (_, head) = self.head(look, width);
        head + self.row_px * self.rows.len().max(1) as f64 + self.across.foot(look, width - names)
    }

    fn draw(&self, look: Look, area: Area, id: &str) -> Markup {
        let (font, ink) = (look.font(), look.theme.ink());
        let small = 0.9 * font;
        let left = area.left + Self::names_px(look, &self.rows, area.width);
        let (down, head) = self.head(look, area.width);
        let (top, right) = (area.top + head, area.left + area.width);
        let (x, bottom, along) =
            self.across
                .lay(look, area, (left, right), (area.top + area.height, None));
        // Every name where rows are high enough, else every second or third.
        let every = (1.15 * small / self.row_px).ceil().max(1.0) as usize;
        let same = |a: &Cell, b: &Cell| a.row == b.row && a.says == b.says;
        html! {
            (self.bar.draw(look, area, id))
            @for (number, line) in down.iter().enumerate() {
                text x=(px(area.left)) y=(px(area.top + ColorBar::height(look) + font * (0.9 + 1.3 * number as f64))) font-size=(px(font)) fill=(ink.text) { (line) }
            }
            (along)
            g font-size=(px(small)) fill=(ink.quiet) text-anchor="end" {
                @for (number, row) in self.rows.iter().enumerate().step_by(every) {
                    text x=(px(left - 0.5 * small)) y=(px(top + self.row_px * (number as f64 + 0.5) + 0.35 * small)) { (shortened(row, (left - area.left) / small - 0.55)) }
                }
            }
            @for group in self.cells.chunk_by(same) {
                g {
                    (title(Some(&group[0].says)))
                    @for cell in group { (self.cell(look, cell, x, top)) }
                } "\n"
            }
            g stroke=(ink.ground) stroke-width="1.5" {
                @for at in self.across.joints() { line x1=(px(x.at(at))) x2=(px(x.at(at))) y1=(px(top)) y2=(px(bottom)) {} }
            }
        }
    }
}
