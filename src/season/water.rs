//! Water in the hive: vapour in its air, condensate on its inside, moisture in its layers, and where all of it came from and went.

use serde::Serialize;

/// Heat that water frees at one place as it condenses or is sorbed.
///
/// It is what was freed in the last step. Where a place that warms would free so much less that steps would swing to and fro, the
/// fall is foreseen too; heat that was held back for it is given over the next hours.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Release {
    /// At [`Release::at_c`], W; below 0 while the place dries.
    pub w: f64,
    /// Fall with temperature, W/K.
    pub per_k: f64,
    /// Temperature of the place then, degC.
    pub at_c: f64,
    /// Freed and not yet given, J: that of the last step, which the next one gives, and what was held back.
    owed_j: f64,
}

/// Time over which heat held back is given, s (own choice: at once would ring).
const OWED_S: f64 = 6.0 * 3600.0;
/// Most that the heat of one step may move a temperature in the next, K; the rest is held back (own choice: only films that dry up or freeze at once on thin
/// layers reach it).
const MOST_GIVEN_K: f64 = 20.0;
/// Most that giving what was held back may move a temperature, K (own choice: seldom reached, so that what is owed is given).
const MOST_REPAID_K: f64 = 10.0;

impl Release {
    /// The part of its fall that must be foreseen at a place that is held by `held_w_k`, W/K, when `share` of that may come a step late.
    pub(crate) fn foreseen_w_k(&self, held_w_k: f64, share: f64) -> f64 {
        (self.per_k - share * held_w_k).max(0.0)
    }

    /// At a temperature, W, with the fall that is foreseen.
    pub(crate) fn at_w(&self, c: f64, foreseen_w_k: f64) -> f64 {
        self.w - foreseen_w_k * (c - self.at_c)
    }

    /// What stands for it in a heat balance, W: a conductance of what is foreseen to some place that gives this much at 0 degC.
    pub(crate) fn source_w(&self, foreseen_w_k: f64) -> f64 {
        self.w + foreseen_w_k * self.at_c
    }

    /// After a step in which so much heat was freed and so much given, J; `per_k` and `at_c` as in the fields. `held_w_k` is the
    /// least that holds the place.
    pub(crate) fn renew(
        &mut self,
        (freed_j, given_j): (f64, f64),
        step_s: f64,
        (per_k, held_w_k): (f64, f64),
        at_c: f64,
    ) {
        self.owed_j += freed_j - given_j;
        let held_back_j = self.owed_j - freed_j;
        let most_w = MOST_REPAID_K * held_w_k;
        let repaid_w = within(held_back_j / OWED_S.max(step_s), most_w);
        self.w = within(freed_j / step_s, MOST_GIVEN_K * held_w_k) + repaid_w;
        self.per_k = per_k;
        self.at_c = at_c;
    }
}

/// A value of either sign within a limit. Unlike `clamp` it does not panic where a temperature that was not found makes the limit no number.
fn within(value: f64, limit: f64) -> f64 {
    value.max(-limit).min(limit)
}

/// Water held by a hive, and the heat that it frees as it condenses or is sorbed.
#[derive(Debug, Default, PartialEq)]
pub struct Water {
    /// Vapour pressure of the upper air, Pa.
    pub upper_pa: f64,
    /// Vapour pressure of the lower air, Pa.
    pub lower_pa: f64,
    /// Condensate or frost on the inside of each chain, kg.
    pub films_kg: Vec<f64>,
    /// Water in each wall, lid and floor node, kg.
    pub nodes_kg: Vec<f64>,
    /// Temperature of the inside of each chain, degC, which tells frost from dew.
    pub surfaces_c: Vec<f64>,
    /// Heat freed at the inside of each chain.
    pub(crate) at_surfaces: Vec<Release>,
    /// Heat freed in each node.
    pub(crate) at_nodes: Vec<Release>,
}

impl Clone for Water {
    fn clone(&self) -> Self {
        let mut clone = Self::default();
        clone.clone_from(self);
        clone
    }

    /// Keeps the memory of the lists, as states are copied every hour.
    fn clone_from(&mut self, source: &Self) {
        let Self {
            upper_pa,
            lower_pa,
            films_kg,
            nodes_kg,
            surfaces_c,
            at_surfaces,
            at_nodes,
        } = source;
        self.upper_pa = *upper_pa;
        self.lower_pa = *lower_pa;
        self.films_kg.clone_from(films_kg);
        self.nodes_kg.clone_from(nodes_kg);
        self.surfaces_c.clone_from(surfaces_c);
        self.at_surfaces.clone_from(at_surfaces);
        self.at_nodes.clone_from(at_nodes);
    }
}

impl Water {
    /// Water on surfaces and in layers, kg: all but the vapour in the air.
    pub(crate) fn on_hive_kg(&self) -> f64 {
        self.films_kg.iter().chain(&self.nodes_kg).sum()
    }
}

/// Where the water went since the start, kg: all that the bees gave off is stored or has left by a named way.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct WaterLedger {
    /// Given off by the bees as vapour.
    pub made_kg: f64,
    /// Left as vapour with air, less what came in with it.
    pub air_kg: f64,
    /// Left as vapour through walls, lid and floor, less what came in.
    pub layers_kg: f64,
    /// Ran out of the hive as liquid, or left with a layer that was taken off, less what came with one put on.
    pub drained_kg: f64,
    /// Stored in air, films and layers since the start; negative when they have dried.
    pub stored_kg: f64,
}

impl WaterLedger {
    /// What was made and is neither stored nor gone, as a share of what was made: rounding only.
    #[must_use]
    pub fn imbalance(&self) -> f64 {
        let gone_kg = self.air_kg + self.layers_kg + self.drained_kg;
        (self.made_kg - self.stored_kg - gone_kg) / self.made_kg.max(f64::MIN_POSITIVE)
    }
}
