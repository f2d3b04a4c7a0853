//! A hive to scale, as a section through its middle from back to front, with the U value and the share of each part.

use super::Look;
use super::grammar::{Area, Describe, Drawing, Figure, name, px};
use super::hive_plan::{Plan, foot};
use super::layers::{DrawnLayer, Hatches, length, list};
use super::words::{capital, percent};
use crate::scenario::MonthDay;
use crate::units::{Dimension, Round, System, in_system, show};
use maud::{Markup, html};
use serde::{Deserialize, Serialize};

/// Graphemes of a hive's name that are shown.
const NAME: usize = 60;
/// Shares that differ by less than this are said to be alike: they are rounded to whole per cent.
const ALIKE: f64 = 0.005;
/// Drawn space round a comb, m: a bee's way.
const BEE_WAY_M: f64 = 0.008;

/// A hive.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct HiveSection {
    /// What its keeper calls it.
    pub name: String,
    /// Inside length from back to front, m.
    pub length_m: f64,
    /// Inside width across the combs, m.
    pub width_m: f64,
    /// Height of a box, m.
    pub box_height_m: f64,
    /// Boxes, one or more.
    pub boxes: u32,
    /// Frames across the width.
    pub frames: u32,
    /// Layers of a side, inside to outside.
    pub wall: Vec<DrawnLayer>,
    /// Layers of the lid, inside to outside.
    pub lid: Vec<DrawnLayer>,
    /// Layers of the floor or of the board below its mesh, inside to outside; none below an open mesh.
    pub floor: Vec<DrawnLayer>,
    /// Share of the floor that those cover.
    pub covered: f64,
    /// Share of the mesh that is hole; none of a floor without mesh.
    pub mesh: Option<f64>,
    /// Openings at the level of the floor.
    pub entrances: Vec<Hole>,
    /// Openings of the upper air.
    pub upper: Vec<Hole>,
    /// Sides that touch another hive, in words.
    pub shared: Vec<String>,
    /// Changes in the course of the winter.
    pub changes: Vec<SectionChange>,
    /// Heat loss.
    pub loss: SectionLoss,
}

/// An opening.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Hole {
    /// "entrance", "vent, corked".
    pub what: String,
    /// Width, m.
    pub width_m: f64,
    /// Height, m.
    pub height_m: f64,
    /// Closed with a cork.
    pub corked: bool,
}

/// A change of the hive and when it holds.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SectionChange {
    /// First day, month and day.
    pub from: Option<(i8, i8)>,
    /// Day on which it is undone.
    pub until: Option<(i8, i8)>,
    /// It holds in means colder than this, °C.
    pub below_c: Option<f64>,
    /// It holds in means warmer than this, °C.
    pub above_c: Option<f64>,
    /// What it alters, with its layers where it has some.
    pub alters: Vec<(String, Vec<DrawnLayer>)>,
}

/// Heat loss at a stated pair of temperatures.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SectionLoss {
    /// Air inside, °C.
    pub inside_c: f64,
    /// Air outside, °C.
    pub outside_c: f64,
    /// Wind, m/s.
    pub wind_m_s: f64,
    /// Transmittance of sides, lid and floor with their films, W/m2K; none of an open mesh.
    pub u_w_m2k: [Option<f64>; 3],
    /// Conductance of all sides, lid, floor, and of openings and joints, W/K.
    pub parts_w_k: [f64; 4],
}

const PARTS: [&str; 4] = ["the sides", "the lid", "the floor", "openings and joints"];

impl SectionLoss {
    /// Share of each part; nothing where no heat goes.
    fn shares(&self) -> Option<[f64; 4]> {
        let whole: f64 = self.parts_w_k.iter().sum();
        (whole > 0.0).then(|| self.parts_w_k.map(|part| part / whole))
    }
}

impl HiveSection {
    fn layers(&self) -> impl Iterator<Item = &DrawnLayer> {
        self.lid.iter().chain(&self.wall).chain(&self.floor)
    }

    fn shown(&self, units: System) -> String {
        let loss = &self.loss;
        let degrees = |c| {
            show(c, Dimension::Temperature, units, Round::Usual)
                .replace(' ', "\u{a0}")
                .replace('-', "\u{2212}")
        };
        let boxes = match self.boxes {
            1 => "one box".to_owned(),
            more => format!("{more} boxes"),
        };
        format!(
            "Section from back (left) to front (right), to scale: {boxes} of {} frames, inside {} long, {} wide, {} high. Shares are of the whole hive's conductance at {} inside, {} outside and a wind of {}.",
            self.frames,
            length(self.length_m, units),
            length(self.width_m, units),
            length(self.inside_m(), units),
            degrees(loss.inside_c),
            degrees(loss.outside_c),
            show(loss.wind_m_s, Dimension::Speed, units, Round::Usual).replace(' ', "\u{a0}"),
        )
    }

    fn described(&self, units: System) -> String {
        let group = |part: usize, layers: &[DrawnLayer], order: &str| {
            let layers = if layers.is_empty() {
                "no layer".to_owned()
            } else {
                list(layers.iter(), units)
            };
            format!("{} {order}: {layers}.", self.head(part, units))
        };
        let holes = self.upper.iter().chain(&self.entrances);
        let holes: Vec<String> = holes.map(|hole| hole.words(units)).collect();
        let holes = if holes.is_empty() {
            String::new()
        } else {
            format!(" {}.", capital(holes.join(", ")))
        };
        format!(
            "A drawing with a column of labels. {} {} {}{holes}",
            group(1, &self.lid, "From inside out"),
            group(0, &self.wall, "From inside out"),
            group(2, &self.floor, "From inside out"),
        )
    }

    fn notes(&self, units: System) -> Vec<String> {
        let mut notes = vec![
            match units {
                System::Metric => "U: of layers and air films, without the edges of the box; shares are with them.",
                System::Us => "R: of layers and air films, without the edges of the box; shares are with them.",
            }
            .to_owned(),
        ];
        if !(self.entrances.is_empty() && self.upper.is_empty()) {
            notes.push(
                "Openings are drawn to scale in height; their place in the front is not known."
                    .to_owned(),
            );
        }
        if !self.shared.is_empty() {
            notes.push(format!(
                "No heat passes where it touches another hive: {}.",
                self.shared.join(", ")
            ));
        }
        if !self.changes.is_empty() {
            notes.push("Drawn, and its heat counted, without its changes:".to_owned());
        }
        for (number, change) in self.changes.iter().enumerate() {
            notes.push(format!("{}. {}", number + 1, change.words(units)));
        }
        notes
    }

    /// Height of the inside, m.
    pub(super) fn inside_m(&self) -> f64 {
        self.box_height_m * f64::from(self.boxes)
    }

    /// "Lid: U 0.52 W/m²K, 18 %"; parts are numbered as in [`SectionLoss`].
    pub(super) fn head(&self, part: usize, units: System) -> String {
        let word = ["Sides", "Lid", "Floor", "Openings and joints"][part.min(3)];
        let u = self.loss.u_w_m2k.get(part).copied().flatten();
        let u = u.map(|u| match units {
            System::Metric => format!("U\u{a0}{u:.2}\u{a0}W/m²K"),
            System::Us => {
                let r = in_system(1.0 / u, Dimension::Resistance, units).0;
                format!("R-{r:.1}")
            }
        });
        let open = (part == 2 && self.floor.is_empty()).then(|| "open".to_owned());
        let share = self
            .loss
            .shares()
            .map(|shares| percent(shares[part.min(3)]));
        let figures: Vec<String> = [u, open, share].into_iter().flatten().collect();
        format!("{word}: {}", figures.join(", "))
    }

    /// The drawing.
    fn body(&self, plan: &Plan, hatches: &Hatches, area: Area, units: System) -> Markup {
        let ink = plan.look.theme.ink();
        let inside = plan.rect(area, plan.inside_m());
        let sides = plan.sides_m(self);
        html! {
            @for (layer, place) in plan.lid_m(self).into_iter().chain(plan.floor_m(self)).chain(sides) {
                (hatches.draw(layer, plan.rect(area, place), &layer.words(units))) "\n"
            }
            @for number in 0..self.boxes { (self.comb(plan, area, number)) }
            g stroke=(ink.axis) stroke-width="0.8" {
                @for number in 1..self.boxes {
                    @let y = inside.1 + inside.3 * f64::from(number) / f64::from(self.boxes);
                    @let outer = plan.rect(area, plan.outer_m());
                    line x1=(px(outer.0)) x2=(px(inside.0)) y1=(px(y)) y2=(px(y)) {}
                    line x1=(px(inside.0 + inside.2)) x2=(px(outer.0 + outer.2)) y1=(px(y)) y2=(px(y)) {}
                }
            }
            @if let Some(free) = self.mesh {
                line x1=(px(inside.0)) x2=(px(inside.0 + inside.2)) y1=(px(inside.1 + inside.3)) y2=(px(inside.1 + inside.3)) stroke=(ink.text) stroke-width="2" stroke-dasharray="3 3" {
                    title { (mesh(free)) }
                }
            }
            @for (hole, place) in plan.holes_m(self) {
                @let (left, top, width, height) = plan.rect(area, place);
                rect x=(px(left)) y=(px(top)) width=(px(width)) height=(px(height.max(1.2))) fill=(if hole.corked { ink.quiet } else { ink.ground }) stroke=(ink.text) stroke-width="0.8" {
                    title { (hole.words(units)) }
                }
            }
        }
    }

    /// A hint of the comb in a box, counted from the top.
    fn comb(&self, plan: &Plan, area: Area, number: u32) -> Markup {
        let ink = plan.look.theme.ink();
        let way = BEE_WAY_M
            .min(0.1 * self.length_m)
            .min(0.1 * self.box_height_m);
        let at = (
            plan.wall_m + way,
            plan.lid_m + self.box_height_m * f64::from(number) + way,
            self.length_m - 2.0 * way,
            self.box_height_m - 2.0 * way,
        );
        let (left, top, width, height) = plan.rect(area, at);
        let small = 0.85 * plan.look.font();
        let words = match self.boxes {
            1 => "comb".to_owned(),
            _ => format!("box {}", self.boxes - number),
        };
        html! {
            rect x=(px(left)) y=(px(top)) width=(px(width)) height=(px(height)) rx="3" fill=(ink.grid) fill-opacity="0.45" stroke=(ink.grid) {}
            @if width > 5.0 * small && height > 1.6 * small {
                text x=(px(left + 0.5 * width)) y=(px(top + 0.5 * height + 0.35 * small)) font-size=(px(small)) fill=(ink.quiet) text-anchor="middle" { (words) }
            }
        }
    }
}

impl Describe for HiveSection {
    fn finding(&self, _units: System) -> String {
        let name = name(&self.name, NAME);
        let Some(shares) = self.loss.shares() else {
            return format!("{name}: no heat would leave it");
        };
        let most = shares.iter().copied().fold(0.0, f64::max);
        let first: Vec<&str> = PARTS
            .iter()
            .zip(shares)
            .filter(|(_, share)| most - share < ALIKE)
            .map(|(part, _)| *part)
            .collect();
        let share = percent(most);
        match first[..] {
            [part] if most > 0.5 => {
                format!("{name}: most heat would go through {part}, {share}")
            }
            [part] => format!("{name}: most of all would go through {part}, {share} of the heat"),
            _ => format!(
                "{name}: {} would lose most, {share} of the heat each",
                first.join(" and ")
            ),
        }
    }

    fn figure(&self, look: Look) -> Figure<'_> {
        let plan = Plan::new(self, look);
        let height = plan.height;
        let draw = move |area: Area, id: &str| {
            let hatches = Hatches::new(id, look, self.layers());
            html! {
                (hatches.defs())
                (self.body(&plan, &hatches, area, look.units))
                (self.labels(&plan, area, look))
                (foot(&plan, area, look))
            }
        };
        Figure {
            shown: self.shown(look.units),
            described: self.described(look.units),
            legend: Vec::new(),
            notes: self.notes(look.units),
            plot: Box::new(Drawing { height, draw }),
        }
    }
}

impl Hole {
    pub(super) fn words(&self, units: System) -> String {
        let what = name(&self.what, NAME);
        let free = show(
            self.width_m * self.height_m,
            Dimension::OpeningArea,
            units,
            Round::Decimals(1),
        );
        // Round openings are kept as oblong ones as high and as large.
        let size = format!(
            "{what}, {} high, {} free",
            length(self.height_m, units),
            free.replace(' ', "\u{a0}")
        );
        if self.corked { size + ", corked" } else { size }
    }
}

impl SectionChange {
    fn words(&self, units: System) -> String {
        let day = |word: &str, day: Option<(i8, i8)>| {
            let day = day.and_then(|(month, day)| MonthDay::new(month, day))?;
            Some(format!("{word} {day}"))
        };
        let degrees = |word: &str, c: Option<f64>| {
            let c = show(c?, Dimension::Temperature, units, Round::Usual);
            Some(format!("{word} {}", c.replace('-', "\u{2212}")))
        };
        let when = [
            day("from", self.from),
            day("until", self.until),
            degrees("while colder than", self.below_c),
            degrees("while warmer than", self.above_c),
        ];
        let when: Vec<String> = when.into_iter().flatten().collect();
        let what = self.alters.iter().map(|(part, layers)| {
            if layers.is_empty() {
                name(part, NAME)
            } else {
                format!("{} of {}", name(part, NAME), list(layers.iter(), units))
            }
        });
        let what: Vec<String> = what.collect();
        format!("{}: {}", capital(when.join(" ")), what.join("; "))
    }
}

pub(super) fn mesh(free: f64) -> String {
    format!("mesh, {:.0}\u{a0}% of it holes", 100.0 * free)
}

#[cfg(test)]
mod tests;
