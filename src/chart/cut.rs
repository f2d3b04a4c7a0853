//! Temperature along two cuts through a hive at the coldest hour: from below its floor to above its lid, and from front to back.

use super::Look;
use super::axis::{Axis, panel};
use super::column::spread;
use super::label::{lines, name, width_em};
use super::layers::{DrawnLayer, Hatches, depth_m, list};
use super::scale::{Ticks, px, signed};
use super::sheet::{Area, Sheet};
use crate::units::{Dimension, System, in_system};
use jiff::civil::DateTime;
use maud::{Markup, html};
use serde::{Deserialize, Serialize};

/// Graphemes of names that are shown.
const NAME: usize = 40;
/// Outside air drawn beyond a surface, m.
const BEYOND_M: f64 = 0.03;

/// A hive at one hour.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Cut {
    /// Label of the winter.
    pub winter: String,
    /// Whose it is: "member 12".
    pub colony: String,
    /// Local standard time.
    pub time: DateTime,
    /// Outside air, °C.
    pub outside_c: f64,
    /// Air below the cluster.
    pub lower: CutAir,
    /// Air round and above it.
    pub upper: CutAir,
    /// Mantle, °C.
    pub mantle_c: f64,
    /// Core, °C.
    pub core_c: f64,
    /// Radius of the cluster, m.
    pub radius_m: f64,
    /// Radius of its core, m.
    pub core_radius_m: f64,
    /// Upper end of the cluster above the floor, m.
    pub crown_m: f64,
    /// Inside of the hive from front to back, m.
    pub length_m: f64,
    /// Its height, m.
    pub height_m: f64,
    /// Height at which lower air ends, m.
    pub lower_m: f64,
    /// Floor; none of an open mesh.
    pub floor: Option<CutShell>,
    /// Lid.
    pub lid: CutShell,
    /// Front beside the cluster.
    pub front: CutShell,
    /// Back beside the cluster.
    pub back: CutShell,
}

/// One of the two airs of a hive.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct CutAir {
    /// Temperature, °C.
    pub air_c: f64,
    /// Dew point, or frost point below freezing, °C.
    pub dew_c: f64,
}

/// A wall, lid or floor.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CutShell {
    /// Layers, inside to outside.
    pub layers: Vec<DrawnLayer>,
    /// Inside surface, °C.
    pub inside_c: f64,
    /// Outside surface, °C.
    pub outside_c: f64,
    /// Nodes of the model: depth from the inside surface, m, and temperature, °C.
    pub nodes: Vec<(f64, f64)>,
}

impl CutShell {
    fn depth_m(&self) -> f64 {
        depth_m(&self.layers)
    }

    /// Depth and temperature from the inside surface to the outside one.
    fn course(&self) -> Vec<(f64, f64)> {
        let mut course = vec![(0.0, self.inside_c)];
        course.extend(&self.nodes);
        course.push((self.depth_m(), self.outside_c));
        course
    }
}

/// One cut: what is passed, from left to right.
struct Line<'a> {
    words: &'static str,
    /// What is left of the inside, and right of it; none of an open mesh.
    ends: [(&'static str, Option<&'a CutShell>, CutAir); 2],
    /// Zones of the inside: to where, m, and how warm, °C.
    zones: Vec<(f64, f64)>,
    /// Length of the inside, m.
    inside_m: f64,
    /// The cluster and its core: from and to, m.
    cluster: [(f64, f64); 2],
}

impl Line<'_> {
    /// Distance from the inside's left end, m, and temperature, °C; a step stands as two points of one distance.
    fn course(&self, outside_c: f64, (left, right): (f64, f64)) -> Vec<(f64, f64)> {
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

/// A temperature with its unit.
fn degrees(c: f64, units: System) -> String {
    let (value, unit) = in_system(c, Dimension::Temperature, units);
    format!("{}\u{a0}{unit}", signed(value, 0))
}

/// Zones without those of no length.
fn zones(zones: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let mut from = 0.0;
    let mut kept = Vec::new();
    for (to, c) in zones {
        if *to > from + 1e-9 {
            kept.push((*to, *c));
            from = *to;
        }
    }
    kept
}

impl Cut {
    /// A span within the inside.
    fn within(from: f64, to: f64, most: f64) -> (f64, f64) {
        (from.clamp(0.0, most), to.clamp(0.0, most))
    }

    fn upright(&self) -> Line<'_> {
        let middle = self.crown_m - self.radius_m;
        let span =
            |radius_m: f64| Self::within(middle - radius_m, middle + radius_m, self.height_m);
        let (ball, core) = (span(self.radius_m), span(self.core_radius_m));
        Line {
            words: "Height above the floor",
            ends: [
                ("Floor", self.floor.as_ref(), self.lower),
                ("Lid", Some(&self.lid), self.upper),
            ],
            zones: zones(&[
                (self.lower_m.min(ball.0), self.lower.air_c),
                (ball.0, self.upper.air_c),
                (core.0, self.mantle_c),
                (core.1, self.core_c),
                (ball.1, self.mantle_c),
                (self.height_m, self.upper.air_c),
            ]),
            inside_m: self.height_m,
            cluster: [ball, core],
        }
    }

    fn level(&self) -> Line<'_> {
        let middle = 0.5 * self.length_m;
        let span =
            |radius_m: f64| Self::within(middle - radius_m, middle + radius_m, self.length_m);
        let (ball, core) = (span(self.radius_m), span(self.core_radius_m));
        Line {
            words: "Distance from the inside of the front",
            ends: [
                ("Front", Some(&self.front), self.upper),
                ("Back", Some(&self.back), self.upper),
            ],
            zones: zones(&[
                (ball.0, self.upper.air_c),
                (core.0, self.mantle_c),
                (core.1, self.core_c),
                (ball.1, self.mantle_c),
                (self.length_m, self.upper.air_c),
            ]),
            inside_m: self.length_m,
            cluster: [ball, core],
        }
    }

    /// Inside surfaces that are colder than the dew point of the air before them.
    fn damp(&self) -> Vec<&'static str> {
        let upright = self.upright();
        let level = self.level();
        let ends = upright.ends.iter().rev().chain(&level.ends);
        let damp =
            ends.filter(|(_, shell, air)| shell.is_some_and(|shell| shell.inside_c < air.dew_c));
        damp.map(|(what, ..)| *what).collect()
    }

    pub(super) fn finding(&self, units: System) -> String {
        let cold = format!(
            "Coldest hour, {} outside: the core at {}",
            degrees(self.outside_c, units),
            degrees(self.core_c, units)
        );
        let damp = self.damp();
        let words: Vec<String> = damp.iter().map(|part| part.to_lowercase()).collect();
        match &words[..] {
            [] => format!("{cold}, no inside surface below the dew point"),
            [one] => format!("{cold}, the inside of the {one} below the dew point"),
            [first @ .., last] => format!(
                "{cold}, the insides of {} and {last} below the dew point",
                first.join(", ")
            ),
        }
    }

    pub(super) fn draw(&self, key: &str, look: Look, source: &str) -> String {
        let font = look.font();
        let one = (23.0 * font).min(0.85 * look.width());
        let (upright, level) = (self.upright(), self.level());
        let texts = [&upright, &level].map(|line| self.ends_told(line, look));
        let heights = [0, 1].map(|part| one + 1.25 * font * (texts[part].len() as f64 + 1.0));
        let sheet = Sheet {
            id: key,
            look,
            title: self.finding(look.units),
            shown: self.shown(),
            described: format!(
                "Two panels, a cut from below the floor to above the lid and one from front to back. Core {}, mantle {}, upper air {}, lower air {}, outside {}. Core and mantle are zones of one temperature each. {} {}",
                degrees(self.core_c, look.units),
                degrees(self.mantle_c, look.units),
                degrees(self.upper.air_c, look.units),
                degrees(self.lower.air_c, look.units),
                degrees(self.outside_c, look.units),
                texts[0].join(" "),
                texts[1].join(" "),
            ),
            key: Vec::new(),
            notes: vec![
                "Distances are to scale. Core, mantle, upper and lower air are zones of one temperature each in the model, so the steps between them are not places where it jumps. In layers the line is straight between the model's nodes; the steps at surfaces are films of air.".to_owned(),
                "Where the cluster sits between front and back is not in the model: it is drawn in the middle. The cut from front to back runs through the upper half of the walls.".to_owned(),
            ],
            source,
        };
        let every: Vec<&CutShell> = self.shells().collect();
        let hatches = Hatches::new(key, look, every.iter().flat_map(|shell| &shell.layers));
        sheet.draw(heights[0] + heights[1], |area| {
            html! {
                (hatches.defs())
                (self.panel(look, Area { height: heights[0], ..area }, &upright, &texts[0], &hatches))
                (self.panel(look, Area { top: area.top + heights[0], height: heights[1], ..area }, &level, &texts[1], &hatches))
            }
        })
    }

    fn shells(&self) -> impl Iterator<Item = &CutShell> {
        [&self.front, &self.back, &self.lid]
            .into_iter()
            .chain(&self.floor)
    }

    fn shown(&self) -> String {
        format!(
            "Winter {}, {}: {}, local standard time. Above, from below the floor (left) to above the lid (right); below, from front (left) to back (right).",
            name(&self.winter, NAME),
            name(&self.colony, NAME),
            self.time.strftime("%-d %B %Y, %H:%M"),
        )
    }

    /// Layers of both ends, and whether their insides are damp, in lines.
    fn ends_told(&self, line: &Line<'_>, look: Look) -> Vec<String> {
        let units = look.units;
        let told = line.ends.iter().flat_map(|(what, shell, air)| {
            let words = match shell {
                None => format!("{what}: open mesh."),
                Some(shell) => {
                    let place = if shell.inside_c < air.dew_c {
                        "below: dew or frost forms there"
                    } else {
                        "above"
                    };
                    format!(
                        "{what}, inside to outside: {}. Its inside is at {}, the dew point of the air before it at {}: {place}. Its outside is at {}.",
                        list(shell.layers.iter(), units),
                        degrees(shell.inside_c, units),
                        degrees(air.dew_c, units),
                        degrees(shell.outside_c, units)
                    )
                }
            };
            lines(&words, look.width() / (0.9 * look.font()) - 2.5)
        });
        told.collect()
    }

    /// Levels named beside a panel: words, temperature, and whether they get a line of their own.
    fn levels(&self, line: &Line<'_>) -> Vec<(String, f64, bool)> {
        let mut levels = vec![
            ("core".to_owned(), self.core_c, false),
            ("mantle".to_owned(), self.mantle_c, false),
            ("upper air".to_owned(), self.upper.air_c, false),
            ("its dew point".to_owned(), self.upper.dew_c, true),
            ("outside".to_owned(), self.outside_c, false),
        ];
        if line.ends[0].0 == "Floor" {
            levels.push(("lower air".to_owned(), self.lower.air_c, false));
        }
        levels
    }

    fn panel(
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
        let temperatures = || course.iter().map(|point| point.1).chain([self.upper.dew_c]);
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
        let right = panel.inner.left + panel.inner.width;
        let [ball, core] = line.cluster;
        let warm = look.theme.series(1);
        html! {
            @for (from, to, words) in [(ball.0, ball.1, "mantle"), (core.0, core.1, "core")] {
                rect x=(px(x(from))) y=(px(top)) width=(px(x(to) - x(from))) height=(px(bottom - top)) fill=(warm) fill-opacity="0.14" { title { (words) } }
            }
            (self.bands(line, hatches, (top, bottom), &x, units))
            (panel.frame)
            @if value(0.0) != 0.0 || (up.ticks.ends().0 < 0.0 && up.ticks.ends().1 > 0.0) {
                line x1=(px(panel.inner.left)) x2=(px(right)) y1=(px(y(0.0))) y2=(px(y(0.0))) stroke=(ink.text) stroke-width="1" stroke-dasharray="2 3" { title { "freezing point" } }
            }
            line x1=(px(x(0.0))) x2=(px(x(line.inside_m))) y1=(px(y(self.upper.dew_c))) y2=(px(y(self.upper.dew_c))) stroke=(look.theme.series(0)) stroke-width="1.6" stroke-dasharray="7 4" { title { "dew or frost point of the upper air" } }
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chart::Kind;

    fn shell(inside_c: f64) -> CutShell {
        CutShell {
            layers: vec![DrawnLayer {
                material: "softwood".to_owned(),
                kind: Kind::Wood,
                thickness_m: 0.02,
                framing: None,
            }],
            inside_c,
            outside_c: -19.0,
            nodes: vec![(0.005, inside_c - 2.0), (0.015, -17.0)],
        }
    }

    fn cut() -> Cut {
        Cut {
            winter: "2020-21".to_owned(),
            colony: "member 3".to_owned(),
            time: jiff::civil::date(2021, 1, 22).at(6, 0, 0, 0),
            outside_c: -20.0,
            lower: CutAir {
                air_c: -15.0,
                dew_c: -18.0,
            },
            upper: CutAir {
                air_c: -8.0,
                dew_c: -11.0,
            },
            mantle_c: 10.0,
            core_c: 21.0,
            radius_m: 0.1,
            core_radius_m: 0.06,
            crown_m: 0.4,
            length_m: 0.46,
            height_m: 0.5,
            lower_m: 0.25,
            floor: None,
            lid: shell(-12.0),
            front: shell(-13.0),
            back: shell(-9.0),
        }
    }

    #[test]
    fn the_title_names_the_inside_surfaces_below_the_dew_point_and_says_when_there_is_none() {
        let mut cut = cut();
        assert_eq!(
            cut.finding(System::Metric),
            "Coldest hour, \u{2212}20\u{a0}°C outside: the core at 21\u{a0}°C, the insides of lid and front below the dew point"
        );
        cut.front.inside_c = -9.0;
        assert!(
            cut.finding(System::Us)
                .ends_with("the inside of the lid below the dew point")
        );
        cut.lid.inside_c = -9.0;
        assert!(
            cut.finding(System::Metric)
                .ends_with("no inside surface below the dew point")
        );
    }

    #[test]
    fn a_cut_passes_what_the_model_has_and_nothing_between() {
        let cut = cut();
        let line = cut.upright();
        let expected = [
            (0.2, -15.0),
            (0.24, 10.0),
            (0.36, 21.0),
            (0.4, 10.0),
            (0.5, -8.0),
        ];
        assert_eq!(line.zones.len(), expected.len());
        for ((to, c), (by_hand_m, by_hand_c)) in line.zones.iter().zip(expected) {
            assert!((to - by_hand_m).abs() < 1e-9 && *c == by_hand_c, "{to} {c}");
        }
        let course = line.course(cut.outside_c, (-0.1, 0.6));
        // Through the open mesh from the outside to the lower air.
        assert_eq!(course[..3], [(-0.1, -20.0), (0.0, -20.0), (0.0, -15.0)]);
        let end = &course[course.len() - 6..];
        let by_hand = [-12.0, -14.0, -17.0, -19.0, -20.0, -20.0];
        assert!(end.iter().zip(by_hand).all(|(point, c)| point.1 == c));
        assert!(course.windows(2).all(|pair| pair[0].0 <= pair[1].0));
    }

    #[test]
    fn a_cluster_on_the_floor_or_wider_than_its_hive_stays_inside() {
        let mut cut = cut();
        cut.crown_m = 0.12;
        cut.radius_m = 0.3;
        for line in [cut.upright(), cut.level()] {
            let course = line.course(cut.outside_c, (-0.1, 0.7));
            assert!(course.windows(2).all(|pair| pair[0].0 <= pair[1].0));
        }
        let svg = cut.draw("cut", Look::default(), "");
        assert!(svg.contains("open mesh") && !svg.contains("NaN"));
    }
}
