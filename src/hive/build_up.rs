//! The build-ups of a hive: the sides share one, lid and floor have their own.

use super::description::Hive;
use super::film::Orientation;
use super::parts::Layer;
use super::surface::{
    Face, ResistanceLimits, STANDARD_OUTSIDE_M2K_W, resistance_limits, standard_inside_m2k_w,
};

/// Which layers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BuildUp {
    /// Of all four sides.
    Sides,
    /// Of the lid.
    Lid,
    /// Of the floor, or of the board of a screened one.
    Floor,
}

impl BuildUp {
    /// All three.
    pub const ALL: [Self; 3] = [Self::Sides, Self::Lid, Self::Floor];

    /// That of a surface.
    #[must_use]
    pub fn of_face(face: Face) -> Self {
        match face {
            Face::Side(_) => Self::Sides,
            Face::Lid => Self::Lid,
            Face::Floor => Self::Floor,
        }
    }

    /// In words, for tables.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Sides => "all four sides",
            Self::Lid => "lid",
            Self::Floor => "floor",
        }
    }

    /// How it lies.
    #[must_use]
    pub fn orientation(self) -> Orientation {
        match self {
            Self::Sides => Orientation::Vertical,
            Self::Lid => Orientation::Lid,
            Self::Floor => Orientation::Floor,
        }
    }

    /// Its layers, inside to outside; none of an open mesh.
    #[must_use]
    pub fn layers(self, hive: &Hive) -> &[Layer] {
        match self {
            Self::Sides => &hive.wall,
            Self::Lid => &hive.lid,
            Self::Floor => hive.floor.board().map_or(&[], |(layers, _)| layers),
        }
    }

    /// Its layers, to change; `None` for an open mesh.
    pub fn layers_mut(self, hive: &mut Hive) -> Option<&mut Vec<Layer>> {
        match self {
            Self::Sides => Some(&mut hive.wall),
            Self::Lid => Some(&mut hive.lid),
            Self::Floor => hive.floor.board_mut(),
        }
    }

    /// Limits of its resistance between the standard films (ISO 6946:2017, 6.7.2).
    #[must_use]
    pub fn resistance_limits(self, hive: &Hive) -> ResistanceLimits {
        resistance_limits(
            self.layers(hive),
            self.orientation(),
            standard_inside_m2k_w(self.orientation()),
            STANDARD_OUTSIDE_M2K_W,
        )
    }
}
