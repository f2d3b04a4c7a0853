//! Water in the hive: vapour in its air, condensate on its inside, moisture in its layers, and where all of it came from and went.

use super::zoned::Zoned;
use crate::hive::Zone;
use crate::lane::{Number, per_lane};
use serde::{Deserialize, Serialize};

/// Latent heat that water frees at one place as it condenses, freezes or is sorbed: given in the step after the one that freed it.
///
/// Where a place that warms would free so much less that steps would swing to and fro, the source is linearised in its temperature; heat that was held back
/// for that is given over the next hours.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub(crate) struct DeferredLatentHeat<N = f64> {
    /// At the temperature that the place had as the last step ended, W; below 0 while it dries.
    pub w: N,
    /// Fall with temperature, W/K.
    pub per_k: N,
    /// Freed and not yet given, J: that of the last step, which the next one gives, and what was held back.
    deferred_j: N,
}

per_lane!(DeferredLatentHeat {
    w,
    per_k,
    deferred_j
});

/// Time over which heat held back is given, s (own choice: at once would ring).
const DEFERRED_S: f64 = 6.0 * 3600.0;
/// Most that the heat of one step may move a temperature in the next, K; the rest is held back (own choice: only films that dry up or freeze at once on thin
/// layers reach it).
const MOST_GIVEN_K: f64 = 20.0;
/// Most that giving what was held back may move a temperature, K (own choice: seldom reached, so that what was deferred is given).
const MOST_DEFERRED_K: f64 = 10.0;

impl<N: Number> DeferredLatentHeat<N> {
    /// The part of its fall with temperature that must be linearised at a place that is held by `held_w_k`, W/K, when `share` of that may come a step late.
    #[inline(always)]
    pub(crate) fn source_slope_w_k(&self, held_w_k: N, share: f64) -> N {
        (self.per_k - held_w_k * share).positive()
    }

    /// What stands for it in a heat balance at a place that was at `at_c` as the last step ended, W: a conductance of that slope to some place that
    /// gives this much at 0 degC.
    #[inline(always)]
    pub(crate) fn source_w(&self, source_slope_w_k: N, at_c: N) -> N {
        self.w + source_slope_w_k * at_c
    }

    /// What it is after a step in which so much heat was freed and so much given, J; `per_k` as in the field. `held_w_k` is the
    /// least that holds the place.
    #[inline(always)]
    pub(crate) fn renewed(
        &self,
        (freed_j, given_j): (N, N),
        step_s: f64,
        (per_k, held_w_k): (N, N),
    ) -> Self {
        let deferred_j = self.deferred_j + (freed_j - given_j);
        let held_back_j = deferred_j - freed_j;
        let deferred_w = bounded(
            held_back_j * (1.0 / DEFERRED_S.max(step_s)),
            held_w_k * MOST_DEFERRED_K,
        );
        let given_w = bounded(freed_j * (1.0 / step_s), held_w_k * MOST_GIVEN_K);
        Self {
            w: given_w + deferred_w,
            per_k,
            deferred_j,
        }
    }
}

/// A value of either sign within a limit.
#[inline(always)]
fn bounded<N: Number>(value: N, limit: N) -> N {
    value.max(-limit).min(limit)
}

/// Water held by a hive, and the heat that it frees as it condenses or is sorbed.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Water<N = f64> {
    /// Water in the air over the cluster as the pressure that it would have as vapour, Pa: what exceeds saturation is mist.
    pub column_pa: N,
    /// The same of the upper air.
    pub upper_pa: N,
    /// The same of the lower air.
    pub lower_pa: N,
    /// Mist in each part of the air, kg; counted in its pressure too.
    pub mist_kg: Zoned<N>,
    /// Condensate or frost on the inside of each chain, and on the combs, kg.
    pub films_kg: Vec<N>,
    /// Water in each wall, lid and floor node, kg.
    pub nodes_kg: Vec<N>,
    /// Temperature of the inside of each chain, and of the combs, degC, which tells frost from dew.
    pub surfaces_c: Vec<N>,
    /// Heat freed at the inside of each chain, and on the combs.
    pub(crate) at_surfaces: Vec<DeferredLatentHeat<N>>,
    /// Heat freed in the air as mist forms, in the order of [`Zone::ALL`].
    pub(crate) at_air: [DeferredLatentHeat<N>; Zone::ALL.len()],
    /// Heat freed in each node.
    pub(crate) at_nodes: Vec<DeferredLatentHeat<N>>,
}

per_lane!(Water {
    column_pa,
    upper_pa,
    lower_pa,
    mist_kg,
    films_kg,
    nodes_kg,
    surfaces_c,
    at_surfaces,
    at_air,
    at_nodes
});

impl<N: Number> Water<N> {
    /// Water in the air as vapour would have it, mist counted in, Pa.
    #[must_use]
    #[inline(always)]
    pub fn air_pa(&self) -> Zoned<N> {
        Zoned {
            column: self.column_pa,
            upper: self.upper_pa,
            lower: self.lower_pa,
        }
    }

    /// Water on surfaces and in layers, kg: all but the vapour in the air.
    #[inline(always)]
    pub(crate) fn on_hive_kg(&self) -> N {
        let mut sum_kg = self.upper_pa.splat(0.0);
        for place_kg in &self.films_kg {
            sum_kg = sum_kg + *place_kg;
        }
        for place_kg in &self.nodes_kg {
            sum_kg = sum_kg + *place_kg;
        }
        sum_kg
    }
}

/// Where the water went since the start, kg: all that the bees gave off is stored or has left by a named way.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct WaterLedger<N = f64> {
    /// Given off by the bees as vapour.
    pub made_kg: N,
    /// Left as vapour with air, less what came in with it.
    pub air_kg: N,
    /// Left as vapour through walls, lid and floor, less what came in.
    pub layers_kg: N,
    /// Ran out of the hive as liquid, or left with a layer that was taken off, less what came with one put on.
    pub drained_kg: N,
    /// Stored in air, films and layers since the start; negative when they have dried.
    pub stored_kg: N,
}

per_lane!(WaterLedger {
    made_kg,
    air_kg,
    layers_kg,
    drained_kg,
    stored_kg
});

impl WaterLedger {
    /// What was made and is neither stored nor gone, as a share of what was made: rounding only.
    #[must_use]
    pub fn imbalance(&self) -> f64 {
        let gone_kg = self.air_kg + self.layers_kg + self.drained_kg;
        (self.made_kg - self.stored_kg - gone_kg) / self.made_kg.max(f64::MIN_POSITIVE)
    }
}
