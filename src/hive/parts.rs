//! The parts of a hive as its keeper describes them, in SI.

use crate::material::Material;
use serde::Serialize;

/// The space inside the boxes, each box alike.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
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
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Framing {
    /// Material of the framing.
    pub material: Material,
    /// Share of the layer's area that it takes, 0 to 1.
    pub share: f64,
}

/// One layer of a wall, lid or floor.
#[derive(Clone, Debug, PartialEq, Serialize)]
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
#[derive(Clone, Debug, PartialEq, Serialize)]
pub enum ScreenState {
    /// The whole mesh is open to the air below.
    Open,
    /// A board of these layers covers half of the mesh.
    Half(Vec<Layer>),
    /// A board of these layers, inside to outside, covers the mesh.
    Closed(Vec<Layer>),
}

/// The floor.
#[derive(Clone, Debug, PartialEq, Serialize)]
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
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
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
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Vent {
    /// Its size.
    pub opening: Opening,
    /// Closed with a cork or a plug: no air passes.
    pub corked: bool,
}

/// How the joints between boxes, lid and floor are closed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
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
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
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
