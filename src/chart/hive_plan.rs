//! Where the parts of a hive's section are drawn, to scale, and its scale bar.

use super::Look;
use super::grammar::{Area, BOLD, lines, px};
use super::hive_section::{HiveSection, Hole};
use super::layers::{DrawnLayer, Rect, depth_m, length};
use crate::units::System;
use maud::{Markup, html};

/// Height of the names of the sides and the scale bar, in sizes of the font.
const FOOT: f64 = 4.4;
/// Lengths that a scale bar may have, mm and in.
const BARS: [(f64, f64); 6] = [
    (20.0, 1.0),
    (50.0, 2.0),
    (100.0, 4.0),
    (200.0, 8.0),
    (300.0, 12.0),
    (500.0, 20.0),
];

/// A label and the point that it is of, m; a head has none.
pub(super) struct Label {
    /// What it says.
    pub words: String,
    /// The point.
    pub at_m: Option<(f64, f64)>,
}

impl Label {
    pub fn head(words: String) -> Self {
        Self { words, at_m: None }
    }

    pub fn of(words: String, at_m: (f64, f64)) -> Self {
        Self {
            words,
            at_m: Some(at_m),
        }
    }
}

/// Where everything is: metres from the upper left corner of the hive's outside, and how they become pixels.
pub(super) struct Plan {
    /// How it is drawn.
    pub look: Look,
    px_m: f64,
    /// Depth of a side, m.
    pub wall_m: f64,
    /// Depth of the lid, m.
    pub lid_m: f64,
    outer_m: (f64, f64),
    length_m: f64,
    inside_high_m: f64,
    /// Width of the column of labels, px.
    pub column_px: f64,
    /// Size of its text, px.
    pub label_px: f64,
    /// Height of drawing and labels, px.
    pub height: f64,
}

impl Plan {
    pub fn new(hive: &HiveSection, look: Look) -> Self {
        let font = look.font();
        let wide = look.width() - 2.0 * font;
        let column_px = (0.45 * wide).min(22.0 * font);
        let leaders_px = 2.6 * font;
        let (wall_m, lid_m) = (depth_m(&hive.wall), depth_m(&hive.lid));
        let outer_m = (
            hive.length_m + 2.0 * wall_m,
            lid_m + hive.inside_m() + depth_m(&hive.floor),
        );
        let most_px = (34.0 * font).min(0.95 * look.width());
        let px_m = ((wide - column_px - leaders_px) / outer_m.0).min(most_px / outer_m.1);
        let mut plan = Self {
            look,
            px_m,
            wall_m,
            lid_m,
            outer_m,
            length_m: hive.length_m,
            inside_high_m: hive.inside_m(),
            column_px,
            label_px: 0.92 * font,
            height: 0.0,
        };
        let labels = hive.labelled(&plan, look.units);
        let column: f64 = labels.iter().map(|label| plan.height_of(label)).sum();
        plan.height = column.max(px_m * outer_m.1 + FOOT * font);
        plan
    }

    pub fn lines_of(&self, label: &Label) -> Vec<String> {
        let wider = if label.at_m.is_none() { BOLD } else { 1.0 };
        lines(&label.words, self.column_px / (self.label_px * wider))
    }

    pub fn height_of(&self, label: &Label) -> f64 {
        let head = if label.at_m.is_none() { 0.5 } else { 0.15 };
        self.label_px * (1.2 * self.lines_of(label).len() as f64 + head)
    }

    /// A point of the drawing, px; the drawing stands beside the middle of the column and next to it.
    pub fn point(&self, area: Area, (x_m, y_m): (f64, f64)) -> (f64, f64) {
        let room = area.width - self.column_px - 2.6 * self.look.font();
        let left = area.left + 0.5 * (room - self.px_m * self.outer_m.0).max(0.0);
        let drawing = self.px_m * self.outer_m.1 + FOOT * self.look.font();
        let top = area.top + 0.5 * (self.height - drawing).max(0.0);
        (left + self.px_m * x_m, top + self.px_m * y_m)
    }

    pub fn rect(&self, area: Area, (x_m, y_m, width_m, height_m): Rect) -> Rect {
        let (left, top) = self.point(area, (x_m, y_m));
        (left, top, self.px_m * width_m, self.px_m * height_m)
    }

    pub fn outer_m(&self) -> Rect {
        (0.0, 0.0, self.outer_m.0, self.outer_m.1)
    }

    pub fn inside_m(&self) -> Rect {
        (self.wall_m, self.lid_m, self.length_m, self.inside_high_m)
    }

    /// Layers of the lid, inside to outside.
    pub fn lid_m<'a>(&self, hive: &'a HiveSection) -> Vec<(&'a DrawnLayer, Rect)> {
        let mut y = self.lid_m;
        let place = |layer: &'a DrawnLayer| {
            y -= layer.thickness_m;
            (layer, (0.0, y, self.outer_m.0, layer.thickness_m))
        };
        hive.lid.iter().map(place).collect()
    }

    /// Layers of the floor, inside to outside; a board below half a mesh is at the back.
    pub fn floor_m<'a>(&self, hive: &'a HiveSection) -> Vec<(&'a DrawnLayer, Rect)> {
        let mut y = self.lid_m + self.inside_high_m;
        let place = |layer: &'a DrawnLayer| {
            let at = (0.0, y, self.outer_m.0 * hive.covered, layer.thickness_m);
            y += layer.thickness_m;
            (layer, at)
        };
        hive.floor.iter().map(place).collect()
    }

    /// Layers of back and front.
    pub fn sides_m<'a>(&self, hive: &'a HiveSection) -> Vec<(&'a DrawnLayer, Rect)> {
        let mut depth = 0.0;
        let mut places = Vec::new();
        for layer in &hive.wall {
            let size = (layer.thickness_m, self.inside_high_m);
            let back = self.wall_m - depth - layer.thickness_m;
            let front = self.wall_m + self.length_m + depth;
            places.push((layer, (back, self.lid_m, size.0, size.1)));
            places.push((layer, (front, self.lid_m, size.0, size.1)));
            depth += layer.thickness_m;
        }
        places
    }

    /// Openings of the front: upper ones below each other from the lid down, then the entrances from the floor up, each kind within its half.
    pub fn holes_m<'a>(&self, hive: &'a HiveSection) -> Vec<(&'a Hole, Rect)> {
        let x = self.wall_m + self.length_m;
        let gap = 0.02 * self.inside_high_m;
        let mut places = Vec::new();
        let mut y = self.lid_m + gap;
        for hole in &hive.upper {
            places.push((hole, (x, y, self.wall_m, hole.height_m)));
            y += hole.height_m + gap;
        }
        let mut y = self.lid_m + self.inside_high_m;
        for hole in &hive.entrances {
            y -= hole.height_m;
            places.push((hole, (x, y, self.wall_m, hole.height_m)));
            y -= gap;
        }
        places
    }
}

/// Which side is which, and a scale bar.
pub(super) fn foot(plan: &Plan, area: Area, look: Look) -> Markup {
    let (font, ink) = (look.font(), look.theme.ink());
    let (left, top, width, height) = plan.rect(area, plan.outer_m());
    let y = top + height + 1.3 * font;
    let (bar_m, words) = bar(width / plan.px_m, look.units);
    let bar_px = plan.px_m * bar_m;
    let bar_y = y + 1.2 * font;
    html! {
        g font-size=(px(0.9 * font)) fill=(ink.quiet) {
            text x=(px(left)) y=(px(y)) { "back" }
            text x=(px(left + width)) y=(px(y)) text-anchor="end" { "front" }
            text x=(px(left + 0.5 * bar_px)) y=(px(bar_y + 1.2 * font)) text-anchor=(if bar_px < 4.0 * font { "start" } else { "middle" }) { (words) }
        }
        path d=(format!("M{0} {1}v{2}h{3}v-{2}", px(left), px(bar_y - 0.3 * font), px(0.3 * font), px(bar_px))) fill="none" stroke=(ink.text) stroke-width="1.2" {}
    }
}

/// A round length of at most two fifths of a width, m, with its words.
fn bar(width_m: f64, units: System) -> (f64, String) {
    let of = |(mm, inch): (f64, f64)| match units {
        System::Metric => 0.001 * mm,
        System::Us => 0.0254 * inch,
    };
    let fits = BARS.iter().rev().find(|bar| of(**bar) <= 0.4 * width_m);
    let bar_m = of(*fits.unwrap_or(&BARS[0]));
    (bar_m, length(bar_m, units))
}
