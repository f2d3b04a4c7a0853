//! Layers of walls, lids and floors in pictures: each material with a hatch and a tone of its own.

use super::Look;
use super::grammar::{name, px};
use crate::hive;
use crate::material::Material;
use crate::units::{Dimension, System, in_system};
use maud::{Markup, html};
use serde::{Deserialize, Serialize};

/// Graphemes of a material's name that are shown.
const NAME: usize = 28;
/// Least drawn thickness of a layer, px: thinner ones are hairlines.
const HAIRLINE_PX: f64 = 1.2;
/// Conductivity from which a material is a metal, W/mK.
const METAL_W_MK: f64 = 5.0;
/// Conductivity and density up to which a material is a foam, W/mK and kg/m3.
const FOAM: (f64, f64) = (0.045, 60.0);
/// Conductivity up to which a material is wool or cork, W/mK.
const WOOL_W_MK: f64 = 0.06;
/// Densities of wood, kg/m3.
const WOOD_KG_M3: std::ops::RangeInclusive<f64> = 300.0..=900.0;
/// Hatches that differ; with more solid materials in one hive, hatches repeat and labels alone tell them apart.
const HATCHES: usize = 8;
/// Colour of each hatch, by its number in the theme's series.
const TONES: [usize; HATCHES] = [4, 1, 0, 2, 3, 6, 5, 1];

/// What a material is like, for its hatch.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Kind {
    /// Wood.
    Wood,
    /// Plywood, fibre board, card.
    Board,
    /// Foam.
    Foam,
    /// Shavings, sawdust, straw.
    Loose,
    /// Wool, cork.
    Wool,
    /// Metal.
    Metal,
    /// Anything else.
    Other,
    /// A closed gap of air.
    Gap,
    /// A gap open to the outside.
    Vented,
}

impl Kind {
    fn of(material: &Material) -> Self {
        let (w_mk, kg_m3) = (material.conductivity_w_mk, material.density_kg_m3);
        let board = ["plywood", "wood-fibre-board", "corrugated-card"];
        if material.is_vented() {
            Self::Vented
        } else if material.is_gap() {
            Self::Gap
        } else if material.is_loose_fill() {
            Self::Loose
        } else if w_mk > METAL_W_MK {
            Self::Metal
        } else if board.iter().any(|board| material.name.starts_with(board)) {
            Self::Board
        } else if material.name.ends_with("wool") {
            Self::Wool
        } else if w_mk <= FOAM.0 && kg_m3 <= FOAM.1 {
            Self::Foam
        } else if w_mk <= WOOL_W_MK {
            Self::Wool
        } else if WOOD_KG_M3.contains(&kg_m3) {
            Self::Wood
        } else {
            Self::Other
        }
    }

    /// The hatch that suits it; none for air.
    fn hatch(self) -> Option<usize> {
        match self {
            Self::Wood => Some(0),
            Self::Board => Some(1),
            Self::Foam => Some(2),
            Self::Loose => Some(3),
            Self::Wool => Some(4),
            Self::Metal => Some(5),
            Self::Other => Some(6),
            Self::Gap | Self::Vented => None,
        }
    }
}

/// A layer.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DrawnLayer {
    /// Its material.
    pub material: String,
    /// What that is like.
    pub kind: Kind,
    /// Thickness, m.
    pub thickness_m: f64,
    /// Material of studs or battens in it, and the share of its area that they take.
    pub framing: Option<(String, f64)>,
}

impl DrawnLayer {
    /// Of a layer of a hive.
    #[must_use]
    pub fn of(layer: &hive::Layer) -> Self {
        let framing = layer.framing.as_ref();
        Self {
            material: layer.material.name.to_string(),
            kind: Kind::of(&layer.material),
            thickness_m: layer.thickness_m,
            framing: framing.map(|framing| (framing.material.name.to_string(), framing.share)),
        }
    }

    /// "19 mm softwood".
    pub(super) fn words(&self, units: System) -> String {
        let framing = self.framing.as_ref().map(|(material, share)| {
            format!(
                ", {:.0}\u{a0}% of it {} framing",
                100.0 * share,
                plain(material)
            )
        });
        format!(
            "{} {}{}",
            length(self.thickness_m, units),
            plain(&self.material),
            framing.unwrap_or_default()
        )
    }
}

/// A material's name as it is said.
fn plain(material: &str) -> String {
    match material {
        "xps" | "eps" | "pur" | "pir" => material.to_uppercase(),
        "air" => "air gap, closed".to_owned(),
        "vented-air" => "air gap, open to the outside".to_owned(),
        other => name(&other.replace('-', " "), NAME),
    }
}

/// A length to a tenth of a millimetre, or of an inch below five to a thousandth, without trailing zeros.
pub(super) fn length(m: f64, units: System) -> String {
    let (value, unit) = in_system(m, Dimension::Length, units);
    let decimals = match units {
        System::Us if value < 5.0 => 3,
        _ => 1,
    };
    let number = format!("{value:.decimals$}");
    let number = number.trim_end_matches('0').trim_end_matches('.');
    format!("{number}\u{a0}{unit}")
}

/// Layers as a list: "19 mm softwood, 38 mm XPS".
pub(super) fn list<'a>(layers: impl Iterator<Item = &'a DrawnLayer>, units: System) -> String {
    let words: Vec<String> = layers.map(|layer| layer.words(units)).collect();
    words.join(", ")
}

/// Thickness of all layers, m.
pub(super) fn depth_m(layers: &[DrawnLayer]) -> f64 {
    layers.iter().map(|layer| layer.thickness_m).sum()
}

/// Left, top, width and height, px.
pub(super) type Rect = (f64, f64, f64, f64);

/// Hatches of the materials of one picture.
#[derive(Debug)]
pub(super) struct Hatches {
    look: Look,
    id: String,
    /// Materials with the hatch of each, in the order of use.
    of: Vec<(String, usize)>,
}

impl Hatches {
    /// For all these layers; `id` begins the names of the hatches, which no other picture of a page has.
    pub fn new<'a>(id: &str, look: Look, layers: impl Iterator<Item = &'a DrawnLayer>) -> Self {
        let mut of: Vec<(String, usize)> = Vec::new();
        for layer in layers {
            let Some(suits) = layer.kind.hatch() else {
                continue;
            };
            if of.iter().any(|(material, _)| *material == layer.material) {
                continue;
            }
            let free = |hatch: &usize| of.iter().all(|(_, taken)| taken != hatch);
            let hatch = (0..HATCHES)
                .map(|turn| (suits + turn) % HATCHES)
                .find(free)
                .unwrap_or(suits);
            of.push((layer.material.clone(), hatch));
        }
        Self {
            look,
            id: format!("{id}-hatch"),
            of,
        }
    }

    /// The hatches, to stand before what uses them.
    pub fn defs(&self) -> Markup {
        let vented = self.look.theme.ink().axis;
        let s = 0.5 * self.look.font();
        let scaled = format!("scale({s})");
        html! {
            defs {
                @for (_, hatch) in &self.of {
                    pattern id={ (self.id) "-" (hatch) } patternUnits="userSpaceOnUse" width="2" height="2" patternTransform=(scaled) {
                        path d=(strokes(*hatch)) stroke=(self.look.theme.series(TONES[*hatch])) stroke-width=(format!("{:.3}", 1.1 / s)) fill="none" stroke-linecap="round" {}
                    }
                }
                pattern id={ (self.id) "-vented" } patternUnits="userSpaceOnUse" width=(px(2.0 * s)) height=(px(s)) {
                    path d=(format!("M{} {}H{}", px(0.3 * s), px(0.5 * s), px(1.4 * s))) stroke=(vented) stroke-width="0.9" fill="none" {}
                }
            }
        }
    }

    /// A layer in its place; one that is too thin to see is a hairline round its middle.
    pub fn draw(&self, layer: &DrawnLayer, place: Rect, words: &str) -> Markup {
        let ink = self.look.theme.ink();
        let (left, top, width, height) = seen(place);
        let hatch = self
            .of
            .iter()
            .find(|(material, _)| *material == layer.material);
        let tone = hatch.map(|(_, hatch)| self.look.theme.series(TONES[*hatch]));
        let opacity = if layer.kind == Kind::Metal {
            "0.9"
        } else {
            "0.25"
        };
        let over = match (hatch, layer.kind) {
            (Some((_, hatch)), _) => Some(format!("url(#{}-{hatch})", self.id)),
            (None, Kind::Vented) => Some(format!("url(#{}-vented)", self.id)),
            _ => None,
        };
        let thin = width.min(height) < 3.0;
        html! {
            g {
                title { (words) }
                rect x=(px(left)) y=(px(top)) width=(px(width)) height=(px(height)) fill=(ink.ground) {}
                @if let Some(tone) = tone {
                    rect x=(px(left)) y=(px(top)) width=(px(width)) height=(px(height)) fill=(tone) fill-opacity=(if thin { "0.9" } else { opacity }) {}
                }
                @if !thin {
                    @if let Some(over) = over { rect x=(px(left)) y=(px(top)) width=(px(width)) height=(px(height)) fill=(over) {} }
                    rect x=(px(left)) y=(px(top)) width=(px(width)) height=(px(height)) fill="none" stroke=(ink.axis) stroke-width="0.8" {}
                }
            }
        }
    }
}

/// A place at least a hairline wide and high.
fn seen((left, top, width, height): Rect) -> Rect {
    let (wide, high) = (width.max(HAIRLINE_PX), height.max(HAIRLINE_PX));
    (
        left - 0.5 * (wide - width),
        top - 0.5 * (high - height),
        wide,
        high,
    )
}

/// Slanting strokes in a tile two wide, with what of their neighbours reaches into it, so that they meet at its corners.
const RISING: &str = "M0 2L2 0M-.5 .5L.5 -.5M1.5 2.5L2.5 1.5";
const FALLING: &str = "M0 0L2 2M-.5 1.5L.5 2.5M1.5 -.5L2.5 .5";

/// Strokes of a hatch in a tile two wide and high.
fn strokes(hatch: usize) -> String {
    match hatch {
        // Slanting grain.
        0 => RISING.to_owned(),
        // Plies.
        1 => "M0 .35L2 .35M0 1.35L2 1.35".to_owned(),
        // Beads.
        2 => "M.5 .5L.52 .5M1.5 1.5L1.52 1.5".to_owned(),
        // Shavings.
        3 => "M.2 .5L.8 .2M1.2 .4L1.6 .9M.4 1.6L1 1.4M1.4 1.3L1.5 1.9".to_owned(),
        // Wool.
        4 => "M0 1.4L.5 .6L1 1.4L1.5 .6L2 1.4".to_owned(),
        // Grain the other way, for metal and what else falls to it.
        5 => FALLING.to_owned(),
        // Crossed.
        6 => [RISING, FALLING].concat(),
        // Upright.
        _ => "M1 0L1 2".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::material::find;

    fn layer(material: &str, thickness_m: f64) -> DrawnLayer {
        let material = find(material).expect("a material").clone();
        DrawnLayer::of(&hive::Layer::new(material, thickness_m))
    }

    #[test]
    fn materials_are_told_apart_by_what_they_are_like() {
        for (material, kind) in [
            ("softwood", Kind::Wood),
            ("plywood", Kind::Board),
            ("xps", Kind::Foam),
            ("shavings", Kind::Loose),
            ("sheep-wool", Kind::Wool),
            ("cork", Kind::Wool),
            ("steel", Kind::Metal),
            ("bitumen-felt", Kind::Other),
            ("air", Kind::Gap),
            ("vented-air", Kind::Vented),
        ] {
            assert_eq!(layer(material, 0.01).kind, kind, "{material}");
        }
    }

    #[test]
    fn two_foams_of_one_hive_have_different_hatches() {
        let layers = [layer("xps", 0.05), layer("eps", 0.04), layer("xps", 0.02)];
        let hatches = Hatches::new("hive", Look::default(), layers.iter());
        let numbers: Vec<usize> = hatches.of.iter().map(|(_, hatch)| *hatch).collect();
        assert_eq!(numbers, [2, 3]);
    }

    #[test]
    fn a_layer_too_thin_to_see_is_a_hairline_round_its_middle() {
        assert_eq!(seen((10.0, 5.0, 100.0, 0.2)), (10.0, 4.5, 100.0, 1.2));
        assert_eq!(seen((10.0, 5.0, 100.0, 9.0)), (10.0, 5.0, 100.0, 9.0));
    }

    #[test]
    fn lengths_have_no_trailing_zeros() {
        assert_eq!(length(0.019, System::Metric), "19\u{a0}mm");
        assert_eq!(length(0.0005, System::Metric), "0.5\u{a0}mm");
        assert_eq!(length(0.01905, System::Us), "0.75\u{a0}in");
    }
}
