//! A temperature profile: one cut through a hive, layers as bands, temperature as a line, levels named beside it.

use super::Look;
use super::cut::{Cut, CutAir, CutShell};
use super::grammar::{Across, Axis, EndLabel, Mark, Panel, Plot, Xy, px};
use super::layers::Hatches;
use super::words::degrees;
use crate::units::{Dimension, System};
use maud::{Markup, html};
use std::rc::Rc;

/// Outside air drawn beyond a surface, m.
const BEYOND_M: f64 = 0.03;

/// One cut: what is passed, from left to right.
pub(super) struct Profile<'a> {
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

impl Profile<'_> {
    /// Distance from the inside's left end, m, and temperature, °C; a step stands as two points of one distance.
    pub fn profile(&self, outside_c: f64, (left, right): (f64, f64)) -> Vec<(f64, f64)> {
        let mut profile = vec![(left, outside_c)];
        match self.ends[0].1 {
            None => profile.push((0.0, outside_c)),
            Some(shell) => {
                profile.push((-shell.depth_m(), outside_c));
                let inward = shell.profile().into_iter().rev();
                profile.extend(inward.map(|(depth_m, c)| (-depth_m, c)));
            }
        }
        let mut from = 0.0;
        for (to, c) in &self.zones {
            profile.extend([(from, *c), (*to, *c)]);
            from = *to;
        }
        match self.ends[1].1 {
            None => profile.push((self.inside_m, outside_c)),
            Some(shell) => {
                let outward = shell.profile().into_iter();
                profile.extend(outward.map(|(depth_m, c)| (self.inside_m + depth_m, c)));
                if shell.touches {
                    return profile;
                }
                profile.push((self.inside_m + shell.depth_m(), outside_c));
            }
        }
        profile.push((right, outside_c));
        profile
    }

    fn depth_m(&self, end: usize) -> f64 {
        self.ends[end].1.map_or(0.0, CutShell::depth_m)
    }
}

impl Cut {
    /// Labels of levels: words, temperature, and whether it is the dew point.
    fn end_labels(&self, look: Look, profile: &Profile<'_>) -> Vec<EndLabel> {
        let mut levels = vec![
            ("core", self.core_c),
            ("mantle", self.mantle_c),
            ("upper air", self.upper.air_c),
            ("dew point", self.upper.dew_c),
            ("outside", self.outside_c),
        ];
        if profile.ends[0].0 == "Floor" {
            levels.push(("lower air", self.lower.air_c));
            levels.extend(self.over.map(|over| ("over the cluster", over.air_c)));
        }
        let label = |(what, y): (&str, f64)| EndLabel {
            y,
            words: format!("{what} {}", degrees(y, look.units)),
            color: if what == "dew point" {
                look.theme.series(0)
            } else {
                look.theme.ink().axis
            },
            symbol: None,
        };
        levels.into_iter().map(label).collect()
    }

    pub(super) fn panel<'a>(
        &'a self,
        look: Look,
        profile: Profile<'a>,
        texts: Vec<String>,
        hatches: &Rc<Hatches>,
    ) -> Box<dyn Plot + 'a> {
        let (font, ink) = (look.font(), look.theme.ink());
        let (warm, length) = (look.theme.series(1), look.unit(Dimension::Length));
        let edges = [
            -profile.depth_m(0) - BEYOND_M,
            profile.inside_m + profile.depth_m(1) + BEYOND_M,
        ];
        let across = Axis::new(profile.words, length, edges, look.ticks(5, 9));
        let (first, last) = across.ticks.ends();
        let unit_m = length.shown(1.0);
        let line = profile.profile(self.outside_c, (first / unit_m, last / unit_m));
        let all = line.iter().chain(&profile.dew).map(|point| point.1);
        let up = Axis::new("Temperature", look.unit(Dimension::Temperature), all, 9);
        let [ball, core] = profile.cluster;
        let zone = |ends, words: &str| {
            Mark::bar(ends, (f64::NEG_INFINITY, f64::INFINITY))
                .fill(warm, 0.14)
                .says(words)
        };
        let freezing = up.unit.shown(0.0);
        let freezes = up.ticks.ends().0 < freezing && freezing < up.ticks.ends().1;
        let freezing = Mark::rule(0.0)
            .stroke(ink.text, 1.0)
            .dash("2 3")
            .says("freezing point");
        let dew = Mark::line(profile.dew.clone())
            .stroke(look.theme.series(0), 1.6)
            .dash("7 4");
        let mut marks: Vec<Mark<'a>> = freezes.then_some(freezing).into_iter().collect();
        marks.push(dew.says("dew or frost point"));
        marks.push(Mark::line(line).stroke(warm, 0.2 * font));
        for (end, (what, shell, _)) in profile.ends.iter().enumerate() {
            for (depth_m, c) in shell.iter().flat_map(|shell| shell.profile()) {
                let x = if end == 0 {
                    -depth_m
                } else {
                    profile.inside_m + depth_m
                };
                let says = format!("{what} {}", degrees(c, look.units));
                marks.push(Mark::dot((x, c), 0.13 * font, ink.text.to_owned()).says(says));
            }
        }
        let below_px = 1.25 * font * (texts.len() as f64 + 1.0);
        marks.push(Mark::custom(move |panel| lines_below(look, panel, &texts)));
        let ends = self.end_labels(look, &profile);
        let hatches = Rc::clone(hatches);
        let under = vec![
            zone(ball, "mantle"),
            zone(core, "core"),
            Mark::custom(move |panel| bands(&profile, &hatches, panel, look.units)),
        ];
        let height = (23.0 * font).min(0.85 * look.width()) + below_px;
        Box::new(Xy {
            height,
            under,
            ends,
            below_px,
            ..Xy::new(look, Across::Numbers(across), up, marks)
        })
    }
}

/// Words of the ends below a panel's axis.
fn lines_below(look: Look, panel: &Panel, texts: &[String]) -> Markup {
    let font = look.font();
    html! {
        g font-size=(px(0.9 * font)) fill=(look.theme.ink().quiet) {
            @for (number, text) in texts.iter().enumerate() {
                text x=(px(font)) y=(px(panel.bottom() + font * (3.1 + 1.25 * (number as f64 + 0.9)))) { (text) }
            }
        }
    }
}

/// Layers of both ends as hatched bands, with what draws their hatches.
fn bands(profile: &Profile<'_>, hatches: &Hatches, panel: &Panel, units: System) -> Markup {
    let mut bands = Vec::new();
    for (end, (what, shell, _)) in profile.ends.iter().enumerate() {
        let mut depth = 0.0;
        for layer in shell.iter().flat_map(|shell| &shell.layers) {
            let (near, next) = (depth, depth + layer.thickness_m);
            depth = next;
            let (from, to) = match end {
                0 => (-next, -near),
                _ => (profile.inside_m + near, profile.inside_m + next),
            };
            let (left, right) = (panel.x.at(from), panel.x.at(to));
            let place = (left, panel.inner.top, right - left, panel.inner.height);
            bands.push(hatches.draw(layer, place, &format!("{what}: {}", layer.words(units))));
        }
    }
    html! {
        @if profile.ends[0].0 == "Floor" { (hatches.defs()) }
        @for band in &bands { (band) }
    }
}
