//! What a hive with its colony holds at an instant: temperatures and water.

use super::water::Water;
use super::zoned::Zoned;
use crate::lane::{Number, per_lane};
use serde::Serialize;

/// Temperatures of all nodes, degC, and the tightness of the cluster.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct State<N = f64> {
    /// Core of the cluster.
    pub core_c: N,
    /// Mantle of the cluster.
    pub mantle_c: N,
    /// Air over the cluster, up to the lid.
    pub column_c: N,
    /// Air beside and above it.
    pub upper_c: N,
    /// Air below it.
    pub lower_c: N,
    /// Combs and stores.
    pub comb_c: N,
    /// 0 loose to 1 tight.
    pub tightness: N,
    /// Wall, lid and floor nodes, chain by chain from inside to outside.
    pub walls_c: Vec<N>,
    /// Water in air, on surfaces and in layers.
    pub water: Water<N>,
    /// How core, mantle and the three parts of the air moved in the last stage, K/s: where the next begins to search. No part of the equations.
    pub(crate) predictor_k_s: [N; 5],
}

per_lane!(State {
    core_c,
    mantle_c,
    column_c,
    upper_c,
    lower_c,
    comb_c,
    tightness,
    walls_c,
    water,
    predictor_k_s
});

impl<N: Number> State<N> {
    /// Temperatures of the air, degC.
    #[must_use]
    #[inline(always)]
    pub fn air_c(&self) -> Zoned<N> {
        Zoned {
            column: self.column_c,
            upper: self.upper_c,
            lower: self.lower_c,
        }
    }
}

/// Heat capacities of the lumped nodes, J/K.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Capacities<N = f64> {
    /// Core.
    pub core_j_k: N,
    /// Mantle.
    pub mantle_j_k: N,
    /// Each air zone.
    pub air_j_k: N,
    /// Combs and stores.
    pub comb_j_k: N,
}

per_lane!(Capacities {
    core_j_k,
    mantle_j_k,
    air_j_k,
    comb_j_k
});
