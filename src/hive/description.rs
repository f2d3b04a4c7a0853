//! A hive as its keeper describes it, in SI.

use super::schedule::Change;
use crate::material::Material;
use serde::Serialize;
use thiserror::Error;

/// Most boxes of a hive.
pub const MOST_BOXES: usize = 10;

/// The space inside the boxes, each box alike.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cavity {
    /// Inside width across the combs, m.
    pub width_m: f64,
    /// Inside length along the combs, m; the entrance is in a `width` face.
    pub length_m: f64,
    /// Height of one box, m.
    pub box_height_m: f64,
    /// Number of boxes, 1 or more.
    pub boxes: u32,
}

impl Cavity {
    /// Height of all boxes, m.
    #[must_use]
    pub fn height_m(&self) -> f64 {
        self.box_height_m * f64::from(self.boxes)
    }

    /// Length of the joints between box and box, lid and box, box and floor, m.
    #[must_use]
    pub fn joints_m(&self) -> f64 {
        2.0 * (self.width_m + self.length_m) * f64::from(self.boxes + 1)
    }

    /// Area of the lid's or the floor's inside, m2.
    #[must_use]
    pub fn plan_m2(&self) -> f64 {
        self.width_m * self.length_m
    }
}

/// Studs, rails or battens inside a layer.
#[derive(Clone, Debug, PartialEq)]
pub struct Framing {
    /// Material of the framing.
    pub material: Material,
    /// Share of the layer's area that it takes, 0 to 1.
    pub share: f64,
}

/// One layer of a wall, lid or floor.
#[derive(Clone, Debug, PartialEq)]
pub struct Layer {
    /// What it is made of.
    pub material: Material,
    /// Its thickness, m, more than 0.
    pub thickness_m: f64,
    /// Framing that interrupts it.
    pub framing: Option<Framing>,
}

impl Layer {
    /// A layer without framing.
    #[must_use]
    pub fn new(material: Material, thickness_m: f64) -> Self {
        Self {
            material,
            thickness_m,
            framing: None,
        }
    }

    /// Scales the conductivity if it is of shavings, sawdust or straw.
    pub fn scale_loose_fill(&mut self, factor: f64) {
        if self.material.is_loose_fill() {
            self.material.conductivity_w_mk *= factor;
        }
    }
}

/// How far a screened floor is open.
#[derive(Clone, Debug, PartialEq)]
pub enum ScreenState {
    /// The whole mesh is open to the air below.
    Open,
    /// A board of these layers covers half of the mesh.
    Half(Vec<Layer>),
    /// A board of these layers, inside to outside, covers the mesh.
    Closed(Vec<Layer>),
}

/// The floor.
#[derive(Clone, Debug, PartialEq)]
pub enum Floor {
    /// Layers from inside to outside over the whole floor.
    Solid(Vec<Layer>),
    /// A mesh, with or without a board.
    Screened {
        /// Share of the mesh that is hole, 0 to 1.
        free_share: f64,
        /// How far it is open.
        state: ScreenState,
    },
}

impl Floor {
    /// The layers that close the floor, inside to outside, and the share of it that they cover; none over an open mesh.
    #[must_use]
    pub fn board(&self) -> Option<(&[Layer], f64)> {
        match self {
            Self::Solid(layers) => Some((layers, 1.0)),
            Self::Screened { state, .. } => match state {
                ScreenState::Open => None,
                ScreenState::Half(board) => Some((board, 0.5)),
                ScreenState::Closed(board) => Some((board, 1.0)),
            },
        }
    }

    /// The layers of [`Floor::board`], to change.
    pub fn board_mut(&mut self) -> Option<&mut Vec<Layer>> {
        match self {
            Self::Solid(layers)
            | Self::Screened {
                state: ScreenState::Half(layers) | ScreenState::Closed(layers),
                ..
            } => Some(layers),
            Self::Screened {
                state: ScreenState::Open,
                ..
            } => None,
        }
    }

    /// Share of the floor's area that is free for air, 0 to 1.
    #[must_use]
    pub fn free_share(&self) -> f64 {
        match self {
            Self::Solid(_) => 0.0,
            Self::Screened { free_share, .. } => {
                let covered = self.board().map_or(0.0, |(_, share)| share);
                free_share * (1.0 - covered)
            }
        }
    }
}

/// An opening in the wall, as its keeper measures it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Opening {
    /// Width, m.
    pub width_m: f64,
    /// Height, m.
    pub height_m: f64,
}

impl Opening {
    /// Free area, m2.
    #[must_use]
    pub fn area_m2(&self) -> f64 {
        self.width_m * self.height_m
    }
}

/// An opening from the upper air to the outside.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Vent {
    /// Its size.
    pub opening: Opening,
    /// Closed with a cork or a plug: no air passes.
    pub corked: bool,
}

/// How the joints between boxes, lid and floor are closed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Joints {
    /// Taped over, or under a wrap that covers them.
    Tight,
    /// Glued with propolis by the bees and not broken since, as a hive left alone in autumn is.
    #[default]
    Propolised,
    /// Broken late and not glued again, warped, or with grit and comb between.
    Loose,
}

impl Joints {
    /// Gap as a multiple of that of propolised joints ([`Parameters::joint_gap_m`](crate::parameter::Parameters::joint_gap_m)).
    ///
    /// Own estimate, from memory of tables of building components (AIVC Technical Note 44): an unsealed window sash leaks some five
    /// to ten times as much as a weather-stripped one, and that several times as much as a caulked frame.
    #[must_use]
    pub fn gap_scale(self) -> f64 {
        match self {
            Self::Tight => 0.2,
            Self::Propolised => 1.0,
            Self::Loose => 10.0,
        }
    }
}

/// The four sides of the boxes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Side {
    /// The side with the entrance.
    Front,
    /// Right, seen from behind the hive.
    Right,
    /// Opposite the entrance.
    Back,
    /// Left, seen from behind the hive.
    Left,
}

impl Side {
    /// All four, clockwise seen from above.
    pub const ALL: [Self; 4] = [Self::Front, Self::Right, Self::Back, Self::Left];

    /// Clockwise angle from the front, degrees.
    #[must_use]
    pub fn turn_deg(self) -> f64 {
        match self {
            Self::Front => 0.0,
            Self::Right => 90.0,
            Self::Back => 180.0,
            Self::Left => 270.0,
        }
    }
}

/// How a surface takes up sun and gives off heat.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Finish {
    /// Share of the sun's radiation that it absorbs, 0 to 1.
    pub absorptance: f64,
    /// Emissivity for heat radiation, 0 to 1.
    pub emissivity: f64,
}

/// Finishes by name. Absorptances from memory of building tables (ASHRAE Fundamentals, solar optical properties), rounded; paint fades
/// and soils, so each may be off by 0.1.
pub const FINISHES: [(&str, Finish); 8] = [
    ("white", finish(0.25, 0.9)),
    ("light", finish(0.4, 0.9)),
    ("bare-wood", finish(0.6, 0.9)),
    ("medium", finish(0.65, 0.9)),
    ("dark", finish(0.85, 0.9)),
    ("black", finish(0.95, 0.9)),
    ("bright-metal", finish(0.4, 0.25)),
    ("aluminium-paint", finish(0.35, 0.5)),
];

const fn finish(absorptance: f64, emissivity: f64) -> Finish {
    Finish {
        absorptance,
        emissivity,
    }
}

/// A hive with its frames, layers and openings.
#[derive(Clone, Debug, PartialEq)]
pub struct Hive {
    /// What its keeper calls it.
    pub name: String,
    /// The space inside.
    pub cavity: Cavity,
    /// Frames across the width; so many combs, and seams between and beside them.
    pub frames: u32,
    /// Distance from comb to comb, m.
    pub comb_pitch_m: f64,
    /// Compass direction that the front faces, degrees clockwise from north.
    pub faces_deg: f64,
    /// Layers of the four sides, inside to outside.
    pub wall: Vec<Layer>,
    /// Layers of the lid with all that lies under it, inside to outside.
    pub lid: Vec<Layer>,
    /// The floor.
    pub floor: Floor,
    /// Openings at the level of the floor.
    pub entrances: Vec<Opening>,
    /// Entrances of the upper air, beside those at the floor or instead of them.
    pub upper_entrances: Vec<Opening>,
    /// Other openings of the upper air.
    pub vents: Vec<Vent>,
    /// How the joints between boxes, lid and floor are closed.
    pub joints: Joints,
    /// Sides that touch another wintering hive and so pass no heat.
    pub shared_sides: Vec<Side>,
    /// Sides that a hive, fence or wall stands close before: they see neither sun nor sky.
    pub shaded_sides: Vec<Side>,
    /// Outside of the sides.
    pub side_finish: Finish,
    /// Outside of the lid.
    pub lid_finish: Finish,
    /// What it weighs empty, with frames and empty comb and whatever else stands on the scale, before any of its changes, kg: as weighed; none
    /// to take the sum of its layers and frames.
    pub tare_kg: Option<f64>,
    /// What its keeper changes in the course of a winter, at most [`MOST_CHANGES`](super::MOST_CHANGES); later ones win over earlier.
    pub changes: Vec<Change>,
}

/// Why a description is no hive. Every field is named as in [`Hive`].
#[derive(Clone, Debug, Error, PartialEq)]
pub enum HiveError {
    /// A number outside what a hive can have.
    #[error("{field} is {value}; it must be {allowed}")]
    OutOfRange {
        /// Field.
        field: String,
        /// Its value, SI.
        value: f64,
        /// What is allowed.
        allowed: &'static str,
    },
    /// A surface without a layer.
    #[error("{field} has no layer; give at least one, from the inside out")]
    NoLayer {
        /// Surface.
        field: String,
    },
    /// A vented gap that lies open to the bees.
    #[error(
        "{field} begins with vented-air, which would open the hive to the outside; put a layer inside of it, or describe the opening as a vent"
    )]
    VentedInside {
        /// Surface.
        field: String,
    },
    /// A change that is none.
    #[error("{field} {problem}")]
    Change {
        /// Which, counted from 1.
        field: String,
        /// What is wrong with it and what is needed.
        problem: &'static str,
    },
}

impl HiveError {
    /// The same of a part of the hive: the field with the name of the part before it.
    pub(super) fn within(mut self, part: &str) -> Self {
        let (Self::OutOfRange { field, .. }
        | Self::NoLayer { field }
        | Self::VentedInside { field }
        | Self::Change { field, .. }) = &mut self;
        *field = format!("{part}: {field}");
        self
    }
}

impl Hive {
    /// Scales the conductivity of shavings, sawdust and straw in every layer, those of changes too.
    pub fn scale_loose_fill(&mut self, factor: f64) {
        let changes = self.changes.iter_mut();
        let changed = changes.flat_map(|change| change.what.surfaces_mut());
        let own = [&mut self.wall, &mut self.lid];
        let layers = own.into_iter().chain(self.floor.board_mut()).chain(changed);
        for layer in layers.flatten() {
            layer.scale_loose_fill(factor);
        }
    }

    /// Checks every number of the description, with and without its changes.
    ///
    /// # Errors
    /// The first [`HiveError`] found, from the cavity outward, changes last.
    pub fn validate(&self) -> Result<(), HiveError> {
        let c = &self.cavity;
        within("cavity.width", c.width_m, 0.05, 2.0, "0.05 to 2 m")?;
        within("cavity.length", c.length_m, 0.05, 2.0, "0.05 to 2 m")?;
        within(
            "cavity.height",
            c.box_height_m,
            0.05,
            2.0,
            "0.05 to 2 m a box",
        )?;
        let most = MOST_BOXES as f64;
        within("boxes", f64::from(c.boxes), 1.0, most, "1 to 10")?;
        within("frames", f64::from(self.frames), 1.0, 40.0, "1 to 40")?;
        within("comb_pitch", self.comb_pitch_m, 0.025, 0.06, "25 to 60 mm")?;
        within("faces", self.faces_deg, 0.0, 360.0, "0 to 360 degrees")?;
        layers("wall", &self.wall)?;
        layers("lid", &self.lid)?;
        match &self.floor {
            Floor::Solid(floor) => layers("floor", floor)?,
            Floor::Screened { free_share, state } => {
                within("floor.free_share", *free_share, 0.05, 0.95, "0.05 to 0.95")?;
                match state {
                    ScreenState::Open => {}
                    ScreenState::Half(board) | ScreenState::Closed(board) => {
                        layers("floor.board", board)?;
                    }
                }
            }
        }
        for (field, finish) in [
            ("colour", self.side_finish),
            ("lid_colour", self.lid_finish),
        ] {
            within(field, finish.absorptance, 0.0, 1.0, "0 to 1")?;
            within(field, finish.emissivity, 0.05, 1.0, "0.05 to 1")?;
        }
        let vents = self.vents.iter().map(|vent| ("vent", &vent.opening));
        let entrances = self.entrances.iter().map(|opening| ("entrance", opening));
        let upper = self.upper_entrances.iter();
        let upper = upper.map(|opening| ("upper_entrance", opening));
        for (field, opening) in entrances.chain(upper).chain(vents) {
            let widest_m = c.width_m.max(c.length_m);
            within(
                field,
                opening.width_m,
                0.0,
                widest_m,
                "no wider than the hive",
            )?;
            within(
                field,
                opening.height_m,
                0.0,
                c.height_m().min(0.5),
                "no higher than the boxes, and at most 0.5 m",
            )?;
        }
        if self.changes.is_empty() {
            return Ok(());
        }
        self.validate_changes()
    }
}

fn within(
    field: &str,
    value: f64,
    low: f64,
    high: f64,
    allowed: &'static str,
) -> Result<(), HiveError> {
    if (low..=high).contains(&value) {
        return Ok(());
    }
    Err(HiveError::OutOfRange {
        field: field.to_owned(),
        value,
        allowed,
    })
}

fn layers(field: &str, layers: &[Layer]) -> Result<(), HiveError> {
    if layers.is_empty() {
        return Err(HiveError::NoLayer {
            field: field.to_owned(),
        });
    }
    if layers[0].material.is_vented() {
        return Err(HiveError::VentedInside {
            field: field.to_owned(),
        });
    }
    for (number, layer) in layers.iter().enumerate() {
        let thickness = format!("{field}[{}].thickness", number + 1);
        within(&thickness, layer.thickness_m, 1e-4, 1.0, "0.1 mm to 1 m")?;
        if let Some(framing) = &layer.framing {
            let share = format!("{field}[{}].framing.share", number + 1);
            within(&share, framing.share, 0.0, 0.9, "0 to 0.9")?;
        }
    }
    Ok(())
}
