//! The combs of a hive, and where honey and cluster are on them.

use serde::Serialize;

/// Bands of honey in each box, bottom to top: 6 cm each in a deep box. Own choice: fine enough for a cluster to climb through a box.
pub const BANDS: usize = 4;

/// The combs of a hive, as far as honey stands in them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Combs {
    /// Seams between combs, which go through all boxes; 1 or more.
    pub seams: u32,
    /// Boxes; 1 or more.
    pub boxes: u32,
    /// From comb to comb, m.
    pub pitch_m: f64,
    /// Height of a box, m.
    pub box_height_m: f64,
    /// Length of a comb, m.
    pub length_m: f64,
}

impl Combs {
    /// Bands of all boxes.
    pub(super) fn bands(&self) -> usize {
        self.boxes.max(1) as usize * BANDS
    }

    /// Height of a band, m.
    pub(super) fn band_m(&self) -> f64 {
        self.box_height_m / BANDS as f64
    }
}

/// Where honey stands and the cluster sits at the start of winter, as far as a keeper has looked.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Placement {
    /// Honey in each box from the bottom up, in proportion; empty where nobody knows: then it fills the hive from the top.
    pub boxes: Vec<f64>,
    /// Honey in each seam from the left, in proportion; empty where nobody knows: then all hold alike.
    pub seams: Vec<f64>,
    /// The box, counted from 0 at the bottom, at whose top the crown of the cluster hangs; without it, it has its crown in the lowest honey.
    pub cluster_box: Option<u32>,
    /// Middle of the cluster in seams from the left; without it, the middle of the hive.
    pub cluster_seam: Option<f64>,
}

/// Where the cluster is and what it has there.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Place {
    /// Its middle, in seams from the left.
    pub seam: f64,
    /// Its crown above the floor, m.
    pub crown_m: f64,
    /// Honey in its reach, kg.
    pub in_reach_kg: f64,
}
