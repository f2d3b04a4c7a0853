//! Temperature along two cuts through a hive at the coldest hour: from below its floor to above its lid, and from front to back.

use super::Look;
use super::grammar::{Describe, Figure, SideBySide, lines, name};
use super::layers::{DrawnLayer, Hatches, depth_m, list};
use super::profile::Profile;
use super::words::degrees;
use crate::units::System;
use jiff::civil::DateTime;
use serde::{Deserialize, Serialize};

/// Graphemes of names that are shown.
const NAME: usize = 40;

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
    /// Air between the combs over the cluster, which the lid's middle meets; none in results of older programs.
    #[serde(default)]
    pub over: Option<CutAir>,
    /// Air right beside the bees, °C.
    #[serde(default)]
    pub beside_c: Option<f64>,
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
    /// Whether it touches another hive, so that no heat passes its outside.
    pub touches: bool,
    /// Nodes of the model: depth from the inside surface, m, and temperature, °C.
    pub nodes: Vec<(f64, f64)>,
}

impl CutShell {
    pub(super) fn depth_m(&self) -> f64 {
        depth_m(&self.layers)
    }

    /// Depth and temperature from the inside surface to the outside one.
    pub(super) fn profile(&self) -> Vec<(f64, f64)> {
        let mut profile = vec![(0.0, self.inside_c)];
        profile.extend(&self.nodes);
        profile.push((self.depth_m(), self.outside_c));
        profile
    }
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

    fn upright(&self) -> Profile<'_> {
        let middle = self.crown_m - self.radius_m;
        let span =
            |radius_m: f64| Self::within(middle - radius_m, middle + radius_m, self.height_m);
        let (ball, core) = (span(self.radius_m), span(self.core_radius_m));
        Profile {
            words: "Height above floor",
            ends: [
                ("Floor", self.floor.as_ref(), self.lower),
                ("Lid", Some(&self.lid), self.over()),
            ],
            zones: zones(&[
                (self.lower_m.min(ball.0), self.lower.air_c),
                (ball.0, self.upper.air_c),
                (core.0, self.mantle_c),
                (core.1, self.core_c),
                (ball.1, self.mantle_c),
                (self.height_m, self.over().air_c),
            ]),
            dew: vec![
                (0.0, self.lower.dew_c),
                (self.lower_m.min(ball.0), self.lower.dew_c),
                (self.lower_m.min(ball.0), self.upper.dew_c),
                (ball.0.max(self.lower_m.min(ball.0)), self.upper.dew_c),
                (ball.0.max(self.lower_m.min(ball.0)), self.over().dew_c),
                (self.height_m, self.over().dew_c),
            ],
            inside_m: self.height_m,
            cluster: [ball, core],
        }
    }

    fn level(&self) -> Profile<'_> {
        let middle = 0.5 * self.length_m;
        let span =
            |radius_m: f64| Self::within(middle - radius_m, middle + radius_m, self.length_m);
        let (ball, core) = (span(self.radius_m), span(self.core_radius_m));
        Profile {
            words: "From front to back",
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
            dew: vec![(0.0, self.upper.dew_c), (self.length_m, self.upper.dew_c)],
            inside_m: self.length_m,
            cluster: [ball, core],
        }
    }

    fn over(&self) -> CutAir {
        self.over.unwrap_or(self.upper)
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

    fn notes(&self, units: System) -> Vec<String> {
        let mut notes = vec![
            "Distances are to scale. Core, mantle and air are zones of one temperature each in the model, so the steps between them are not places where it jumps. In layers the line is straight between the model's nodes, the dots; the steps at surfaces are films of air.",
            "Where the cluster sits between front and back is not in the model: it is drawn in the middle. The cut from front to back runs through the upper half of the walls.",
        ];
        let airs = [self.upper, self.lower, self.over()];
        if airs.iter().any(|air| air.dew_c > air.air_c) {
            notes.push("A frost point above the air's own temperature: the air is full of vapour as over water, which is more than over ice.");
        }
        if self
            .shells()
            .any(|shell| shell.outside_c < self.outside_c - 0.5)
        {
            notes.push(
                "An outside surface that is colder than the air outside loses heat to the sky.",
            );
        }
        let air = self.over.zip(self.beside_c).map(|(over, beside_c)| {
            format!(
                "Between the combs the air over the cluster is at {}, right beside the bees at {}.",
                degrees(over.air_c, units),
                degrees(beside_c, units)
            )
        });
        let notes = notes.into_iter().map(str::to_owned);
        air.into_iter().chain(notes).collect()
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
    fn ends_told(&self, line: &Profile<'_>, look: Look) -> Vec<String> {
        let units = look.units;
        let told = line.ends.iter().flat_map(|(what, shell, air)| {
            let first = line.ends[0].1.filter(|_| *what != line.ends[0].0);
            let words = match shell {
                None => format!("{what}: open mesh."),
                Some(shell) => {
                    let layers = if first.is_some_and(|first| first.layers == shell.layers) {
                        "the same layers".to_owned()
                    } else {
                        list(shell.layers.iter(), units)
                    };
                    let (place, then) = if shell.inside_c < air.dew_c {
                        ("below", ": dew or frost forms there")
                    } else {
                        ("above", "")
                    };
                    let touches = if shell.touches {
                        ", touching another hive"
                    } else {
                        ""
                    };
                    format!(
                        "{what}, inside to outside: {layers}. Its inside, {}, is {place} the dew point of the air before it, {}{then}. Its outside is at {}{touches}.",
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
}

impl Describe for Cut {
    fn finding(&self, units: System) -> String {
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

    fn figure(&self, look: Look) -> Figure<'_> {
        let profiles = [self.upright(), self.level()];
        let texts = [0, 1].map(|number| self.ends_told(&profiles[number], look));
        let zones = [
            ("Core", self.core_c),
            ("mantle", self.mantle_c),
            ("upper air", self.upper.air_c),
            ("lower air", self.lower.air_c),
            ("outside", self.outside_c),
        ];
        let zones = zones.map(|(what, c)| format!("{what} {}", degrees(c, look.units)));
        let described = format!(
            "Two panels, a cut from below the floor to above the lid and one from front to back. {}. Core and mantle are zones of one temperature each. {} {}",
            zones.join(", "),
            texts[0].join(" "),
            texts[1].join(" "),
        );
        let hatches = Hatches::new("cut", look, self.shells().flat_map(|shell| &shell.layers));
        let hatches = std::rc::Rc::new(hatches);
        let panels = profiles.into_iter().zip(texts);
        let panel = |(profile, texts)| self.panel(look, profile, texts, &hatches);
        Figure {
            shown: self.shown(),
            described,
            legend: Vec::new(),
            notes: self.notes(look.units),
            plot: Box::new(SideBySide::stacked(0.0, panels.map(panel).collect())),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::metric;
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
            touches: false,
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
            over: None,
            beside_c: None,
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
            metric(&cut),
            "Coldest hour, \u{2212}20\u{a0}°C outside: the core at 21\u{a0}°C, the insides of lid and front below the dew point"
        );
        cut.front.inside_c = -9.0;
        assert!(
            cut.finding(System::Us)
                .ends_with("the inside of the lid below the dew point")
        );
        cut.lid.inside_c = -9.0;
        assert!(metric(&cut).ends_with("no inside surface below the dew point"));
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
        let profile = line.profile(cut.outside_c, (-0.1, 0.6));
        // Through the open mesh from the outside to the lower air.
        assert_eq!(profile[..3], [(-0.1, -20.0), (0.0, -20.0), (0.0, -15.0)]);
        let end = &profile[profile.len() - 6..];
        let by_hand = [-12.0, -14.0, -17.0, -19.0, -20.0, -20.0];
        assert!(end.iter().zip(by_hand).all(|(point, c)| point.1 == c));
        assert!(profile.windows(2).all(|pair| pair[0].0 <= pair[1].0));
    }

    #[test]
    fn the_profile_ends_at_a_side_that_touches_another_hive() {
        let mut cut = cut();
        cut.back.touches = true;
        let profile = cut.level().profile(cut.outside_c, (-0.1, 0.6));
        assert_eq!(profile.last(), Some(&(0.46 + 0.02, -19.0)));
        assert!(
            cut.draw("cut", Look::default(), "")
                .contains("another hive")
        );
    }

    #[test]
    fn drawn_distances_are_to_each_other_as_real_ones() {
        let svg = cut().draw("cut", Look::default(), "");
        let page = roxmltree::Document::parse(&svg).expect("XML");
        let span = |words: &str| -> f64 {
            let title = page
                .descendants()
                .find(|node| node.has_tag_name("title") && node.text() == Some(words));
            let rect = title.and_then(|title| title.parent()).expect("a zone");
            let width = rect.attribute("width").expect("a width");
            width.parse().expect("a number")
        };
        let ratio = span("mantle") / span("core");
        assert!((ratio - 0.1 / 0.06).abs() < 0.01, "{ratio}");
    }

    #[test]
    fn a_cluster_on_the_floor_or_wider_than_its_hive_stays_inside() {
        let mut cut = cut();
        cut.crown_m = 0.12;
        cut.radius_m = 0.3;
        for line in [cut.upright(), cut.level()] {
            let profile = line.profile(cut.outside_c, (-0.1, 0.7));
            assert!(profile.windows(2).all(|pair| pair[0].0 <= pair[1].0));
        }
        let svg = cut.draw("cut", Look::default(), "");
        assert!(svg.contains("open mesh") && !svg.contains("NaN"));
    }
}
