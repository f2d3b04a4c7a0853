//! Where the heat went: every joule that the bees made is stored or has left by a named path.

use super::water::WaterLedger;
use crate::lane::{Number, per_lane};
use serde::{Deserialize, Serialize};

/// A path by which heat leaves the hive.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum LossPath {
    /// Outside of the front, net of the sun that it takes up; so all faces.
    Front,
    /// Outside of the right side.
    Right,
    /// Outside of the back.
    Back,
    /// Outside of the left side.
    Left,
    /// Outside of the lid.
    Lid,
    /// Outside of the floor.
    Floor,
    /// Air through entrances and open mesh.
    LowerAir,
    /// Air through upper vents, with what enters below and leaves there.
    UpperAir,
    /// Air fanned out by bees.
    Fanning,
    /// Water vapour that has left the hive's air and layers, or is in its air: given off by the bees, less what has condensed or
    /// been sorbed and so has given its heat back.
    Vapour,
}

impl LossPath {
    /// All paths, in the order of [`Ledger::paths_j`].
    pub const ALL: [Self; 10] = [
        Self::Front,
        Self::Right,
        Self::Back,
        Self::Left,
        Self::Lid,
        Self::Floor,
        Self::LowerAir,
        Self::UpperAir,
        Self::Fanning,
        Self::Vapour,
    ];

    /// Its key in JSON and, with the unit behind it, in CSV.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::Front => "front",
            Self::Right => "right",
            Self::Back => "back",
            Self::Left => "left",
            Self::Lid => "lid",
            Self::Floor => "floor",
            Self::LowerAir => "lower_air",
            Self::UpperAir => "upper_air",
            Self::Fanning => "fanning",
            Self::Vapour => "vapour",
        }
    }

    /// In words, for tables.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Front => "front",
            Self::Right => "right side",
            Self::Back => "back",
            Self::Left => "left side",
            Self::Lid => "lid",
            Self::Floor => "floor",
            Self::LowerAir => "entrance and open floor",
            Self::UpperAir => "upper vents and joints",
            Self::Fanning => "fanning by bees",
            Self::Vapour => "water vapour",
        }
    }
}

/// Heat made, stored and lost since the start, J.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Ledger<N = f64> {
    /// Made by the bees.
    pub made_j: N,
    /// Stored in bees, air, combs, walls, lid and floor; negative when they have cooled. Honey eaten and bees lost take what
    /// they hold with them: storage counts changes of temperature only.
    pub stored_j: N,
    /// What sun less cold sky put into the outsides of the hive, beyond air at its temperature: a part of the faces' paths, which
    /// are net of it. Most of it leaves again at once.
    pub sun_and_sky_j: N,
    /// Lost, in the order of [`LossPath::ALL`].
    pub paths_j: [N; LossPath::ALL.len()],
    /// Where the water went.
    pub water: WaterLedger<N>,
}

per_lane!(Ledger {
    made_j,
    stored_j,
    sun_and_sky_j,
    paths_j,
    water
});

impl Ledger {
    /// Lost by one path, J.
    #[must_use]
    pub fn lost_j(&self, path: LossPath) -> f64 {
        self.paths_j[path as usize]
    }

    /// What was made and is neither stored nor lost, as a share of what was made: rounding only.
    #[must_use]
    pub fn imbalance(&self) -> f64 {
        let lost_j: f64 = self.paths_j.iter().sum();
        (self.made_j - self.stored_j - lost_j) / self.made_j.max(f64::MIN_POSITIVE)
    }
}

impl<N: Number> Ledger<N> {
    /// Adds to one path.
    #[inline(always)]
    pub(crate) fn lose(&mut self, path: LossPath, heat_j: N) {
        let path_j = &mut self.paths_j[path as usize];
        *path_j = *path_j + heat_j;
    }
}
