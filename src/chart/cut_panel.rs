//! One panel of the cuts through a hive: layers as bands, temperature as a line, levels named beside it.

use super::Look;
use super::axis::{Axis, panel};
use super::column::spread;
use super::cut::{Cut, CutAir, CutShell, degrees};
use super::label::width_em;
use super::layers::Hatches;
use super::scale::{Ticks, px};
use super::sheet::Area;
use crate::units::{Dimension, System, in_system};
use maud::{Markup, html};

/// Outside air drawn beyond a surface, m.
const BEYOND_M: f64 = 0.03;

/// One cut: what is passed, from left to right.
pub(super) struct Line<'a> {
    /// What the distance is.
    pub words: &'static str,
    /// What is left of the inside, and right of it; none of an open mesh.
    pub ends: [(&'static str, Option<&'a CutShell>, CutAir); 2],
    /// Zones of the inside: to where, m, and how warm, °C.
    pub zones: Vec<(f64, f64)>,
    /// Dew or frost point along the inside: distance, m, and temperature, °C.
    pub dew: Vec<(f64, f64)>,
    /// Length of the inside, m.
    pub inside_m: f64,
    /// The cluster and its core: from and to, m.
    pub cluster: [(f64, f64); 2],
}

impl Line<'_> {
    /// Distance from the inside's left end, m, and temperature, °C; a step stands as two points of one distance.
    pub fn course(&self, outside_c: f64, (left, right): (f64, f64)) -> Vec<(f64, f64)> {
        let mut course = vec![(left, outside_c)];
        match self.ends[0].1 {
            None => course.push((0.0, outside_c)),
            Some(shell) => {
                course.push((-shell.depth_m(), outside_c));
                let inward = shell.course().into_iter().rev();
                course.extend(inward.map(|(depth_m, c)| (-depth_m, c)));
            }
        }
        let mut from = 0.0;
        for (to, c) in &self.zones {
            course.extend([(from, *c), (*to, *c)]);
            from = *to;
        }
        match self.ends[1].1 {
            None => course.push((self.inside_m, outside_c)),
            Some(shell) => {
                let outward = shell.course().into_iter();
                course.extend(outward.map(|(depth_m, c)| (self.inside_m + depth_m, c)));
                if shell.touches {
                    return course;
                }
                course.push((self.inside_m + shell.depth_m(), outside_c));
            }
        }
        course.push((right, outside_c));
        course
    }

    fn depth_m(&self, end: usize) -> f64 {
        self.ends[end].1.map_or(0.0, CutShell::depth_m)
    }
}

impl Cut {
    /// Levels named beside a panel: words, temperature, and whether they get a line of their own.
    fn levels(&self, line: &Line<'_>) -> Vec<(String, f64, bool)> {
        let mut levels = vec![
            ("core".to_owned(), self.core_c, false),
            ("mantle".to_owned(), self.mantle_c, false),
            ("upper air".to_owned(), self.upper.air_c, false),
            ("dew point".to_owned(), self.upper.dew_c, true),
            ("outside".to_owned(), self.outside_c, false),
        ];
        if line.ends[0].0 == "Floor" {
            levels.push(("lower air".to_owned(), self.lower.air_c, false));
            let over = self
                .over
                .map(|over| ("over the cluster".to_owned(), over.air_c, false));
            levels.extend(over);
        }
        levels
    }

    pub(super) fn panel(
        &self,
        look: Look,
        area: Area,
        line: &Line<'_>,
        texts: &[String],
        hatches: &Hatches,
    ) -> Markup {
        let (font, ink, units) = (look.font(), look.theme.ink(), look.units);
        let value = |c: f64| in_system(c, Dimension::Temperature, units).0;
        let far = |m: f64| in_system(m, Dimension::Length, units).0;
        let across = Axis {
            words: format!(
                "{}, {}",
                line.words,
                in_system(0.0, Dimension::Length, units).1
            ),
            ticks: Ticks::over(
                far(-line.depth_m(0) - BEYOND_M),
                far(line.inside_m + line.depth_m(1) + BEYOND_M),
                if look.width() < 500.0 { 5 } else { 9 },
            ),
            after: "",
        };
        let unit_m = far(1.0);
        let ends = across.ticks.ends();
        let course = line.course(self.outside_c, (ends.0 / unit_m, ends.1 / unit_m));
        let temperatures = || course.iter().chain(&line.dew).map(|point| point.1);
        let up = Axis {
            words: format!(
                "Temperature, {}",
                in_system(0.0, Dimension::Temperature, units).1
            ),
            ticks: Ticks::over(
                value(temperatures().fold(f64::INFINITY, f64::min)),
                value(temperatures().fold(f64::NEG_INFINITY, f64::max)),
                9,
            ),
            after: "",
        };
        let words = self.levels(line);
        let labels: Vec<String> = words
            .iter()
            .map(|(what, c, _)| format!("{what} {}", degrees(*c, units)))
            .collect();
        let widest = labels
            .iter()
            .map(|label| width_em(label))
            .fold(0.0, f64::max);
        let column = 0.95 * font * widest + 1.8 * font;
        let told = 1.25 * font * (texts.len() as f64 + 1.0);
        let inside = Area {
            width: area.width - column,
            height: area.height - told,
            ..area
        };
        let panel = panel(look, inside, &across, &up);
        let x = |m: f64| panel.x.at(far(m));
        let y = |c: f64| panel.y.at(value(c));
        let (top, bottom) = (panel.inner.top, panel.inner.top + panel.inner.height);
        let points: Vec<String> = course
            .iter()
            .map(|(m, c)| format!("{},{}", px(x(*m)), px(y(*c))))
            .collect();
        let dew: Vec<String> = line
            .dew
            .iter()
            .map(|(m, c)| format!("{},{}", px(x(*m)), px(y(*c))))
            .collect();
        let right = panel.inner.left + panel.inner.width;
        let [ball, core] = line.cluster;
        let warm = look.theme.series(1);
        html! {
            @for (from, to, words) in [(ball.0, ball.1, "mantle"), (core.0, core.1, "core")] {
                rect x=(px(x(from))) y=(px(top)) width=(px(x(to) - x(from))) height=(px(bottom - top)) fill=(warm) fill-opacity="0.14" { title { (words) } }
            }
            (self.bands(line, hatches, (top, bottom), &x, units))
            (panel.frame)
            @if up.ticks.ends().0 < value(0.0) && value(0.0) < up.ticks.ends().1 {
                line x1=(px(panel.inner.left)) x2=(px(right)) y1=(px(y(0.0))) y2=(px(y(0.0))) stroke=(ink.text) stroke-width="1" stroke-dasharray="2 3" { title { "freezing point" } }
            }
            polyline points=(dew.join(" ")) fill="none" stroke=(look.theme.series(0)) stroke-width="1.6" stroke-dasharray="7 4" { title { "dew or frost point" } }
            polyline points=(points.join(" ")) fill="none" stroke=(warm) stroke-width=(px(0.2 * font)) stroke-linejoin="round" {}
            (nodes(line, look, &x, &y))
            (levels(look, (&words, &labels), right, (top, bottom), &y))
            g font-size=(px(0.9 * font)) fill=(ink.quiet) {
                @for (number, text) in texts.iter().enumerate() {
                    text x=(px(area.left)) y=(px(area.top + area.height - told + 1.25 * font * (number as f64 + 0.9))) { (text) }
                }
            }
        }
    }

    /// Layers of both ends as hatched bands.
    fn bands(
        &self,
        line: &Line<'_>,
        hatches: &Hatches,
        (top, bottom): (f64, f64),
        x: &dyn Fn(f64) -> f64,
        units: System,
    ) -> Markup {
        let mut bands = Vec::new();
        for (end, (what, shell, _)) in line.ends.iter().enumerate() {
            let mut depth = 0.0;
            for layer in shell.iter().flat_map(|shell| &shell.layers) {
                let (near, next) = (depth, depth + layer.thickness_m);
                depth = next;
                let (from, to) = match end {
                    0 => (-next, -near),
                    _ => (line.inside_m + near, line.inside_m + next),
                };
                let place = (x(from), top, x(to) - x(from), bottom - top);
                let words = format!("{what}: {}", layer.words(units));
                bands.push(hatches.draw(layer, place, &words));
            }
        }
        html! { @for band in &bands { (band) } }
    }
}

/// The model's nodes as dots on the line.
fn nodes(line: &Line<'_>, look: Look, x: &dyn Fn(f64) -> f64, y: &dyn Fn(f64) -> f64) -> Markup {
    let ink = look.theme.ink();
    let at = |end: usize, depth_m: f64| match end {
        0 => x(-depth_m),
        _ => x(line.inside_m + depth_m),
    };
    html! {
        @for (end, (what, shell, _)) in line.ends.iter().enumerate() {
            @for (depth_m, c) in shell.iter().flat_map(|shell| shell.course()) {
                circle cx=(px(at(end, depth_m))) cy=(px(y(c))) r=(px(0.16 * look.font())) fill=(ink.text) { title { (what) ": " (degrees(c, look.units)) } }
            }
        }
    }
}

/// Names of levels in a column beside the panel.
fn levels(
    look: Look,
    (levels, labels): (&[(String, f64, bool)], &[String]),
    right: f64,
    (top, bottom): (f64, f64),
    y: &dyn Fn(f64) -> f64,
) -> Markup {
    let (font, ink) = (look.font(), look.theme.ink());
    let size = 0.95 * font;
    let mut order: Vec<usize> = (0..levels.len()).collect();
    order.sort_by(|a, b| levels[*b].1.total_cmp(&levels[*a].1));
    let wished: Vec<(f64, f64)> = order
        .iter()
        .map(|number| (y(levels[*number].1), 1.3 * size))
        .collect();
    let tops = spread(&wished, top, bottom);
    html! {
        @for (number, at) in order.iter().zip(&tops) {
            @let (_, c, dew) = &levels[*number];
            @let color = if *dew { look.theme.series(0) } else { ink.axis };
            @let middle = at + 0.65 * size;
            path d=(format!("M{} {}L{} {}", px(right), px(y(*c)), px(right + 1.2 * font), px(middle))) stroke=(color) stroke-width="1" fill="none" {}
            text x=(px(right + 1.5 * font)) y=(px(middle + 0.36 * size)) font-size=(px(size)) fill=(if *dew { color } else { ink.text }) { (labels[*number]) }
        }
    }
}
