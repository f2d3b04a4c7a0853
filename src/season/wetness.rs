//! What the water in a hive means to its keeper: wet lid and walls, frost, drip above the cluster, a damp filling, humid air.

use super::balance::Balance;
use super::moisture::Moisture;
use super::state::State;
use crate::hive::film::Orientation;
use crate::hive::vapour::saturation_over_water_pa;
use crate::lane::{Number, per_lane};
use serde::{Deserialize, Serialize};

/// Condensate from which a surface counts as wet, kg/m2: dew that a finger feels (own estimate).
pub const WET_KG_M2: f64 = 0.005;

/// Condensate on one kind of surface.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct SurfaceWater {
    /// Liquid or frost on it, kg.
    pub film_kg: f64,
    /// Whether any such surface bears [`WET_KG_M2`] or more.
    pub wet: bool,
    /// Whether what makes it wet is frost.
    pub frost: bool,
}

/// The water of one instant, as a keeper would find it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Dampness {
    /// Relative humidity of the upper air over liquid water, as hygrometers show it, 0 to 1.
    pub upper_humidity: f64,
    /// The same of the lower air.
    pub lower_humidity: f64,
    /// Underside of the lid.
    pub lid: SurfaceWater,
    /// Insides of the four sides.
    pub walls: SurfaceWater,
    /// Floor.
    pub floor: SurfaceWater,
    /// Dew or frost on the combs, kg.
    pub combs_kg: f64,
    /// Water in all layers of walls, lid and floor, kg.
    pub layers_kg: f64,
    /// Water a kilogram of dry loose filling in the lid, kg/kg; none without such a filling.
    pub filling_kg_kg: Option<f64>,
}

impl Dampness {
    /// Of a state of a hive.
    #[must_use]
    pub fn of(balance: &Balance, state: &State) -> Self {
        let (upper_humidity, lower_humidity) = humidities(state);
        let moisture = &balance.moisture;
        let water = &state.water;
        let on = |orientation| {
            let (film_kg, wet, frost) = moisture.surface_water(orientation, water);
            SurfaceWater {
                film_kg,
                wet,
                frost,
            }
        };
        Self {
            upper_humidity,
            lower_humidity,
            lid: on(Orientation::Lid),
            walls: on(Orientation::Vertical),
            floor: on(Orientation::Floor),
            combs_kg: water.films_kg.last().copied().unwrap_or_default(),
            layers_kg: water.nodes_kg.iter().sum(),
            filling_kg_kg: moisture.filling_kg_kg(water),
        }
    }
}

/// Relative humidity of upper and lower air over liquid water, 0 to 1: what would exceed it is mist.
#[inline(always)]
fn humidities<N: Number>(state: &State<N>) -> (N, N) {
    let water = &state.water;
    let one = water.upper_pa.splat(1.0);
    (
        (water.upper_pa / saturation_over_water_pa(state.upper_c)).min(one),
        (water.lower_pa / saturation_over_water_pa(state.lower_c)).min(one),
    )
}

/// What a winter's water came to.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Wetness {
    /// Hours with a wet or frosted lid.
    pub wet_lid_h: f64,
    /// Those of them with frost.
    pub frost_lid_h: f64,
    /// Most water on the lid, kg.
    pub lid_most_kg: f64,
    /// Hours with a wet or frosted wall.
    pub wet_walls_h: f64,
    /// Those of them with frost.
    pub frost_walls_h: f64,
    /// Most water on the walls, kg.
    pub walls_most_kg: f64,
    /// Hours in which water fell from the lid.
    pub drip_h: f64,
    /// Water that fell from the lid, kg.
    pub dripped_kg: f64,
    /// Mean relative humidity of the upper air, 0 to 1.
    pub upper_humidity: f64,
    /// Mean relative humidity of the lower air, 0 to 1.
    pub lower_humidity: f64,
    /// Most water a kilogram of dry filling in the lid, kg/kg; none without a filling.
    pub filling_most_kg_kg: Option<f64>,
    /// Day, counted from 0, on which the filling first held as much as calls for a change.
    pub filling_damp_day: Option<usize>,
}

/// A winter's water as it is counted hour by hour.
#[derive(Clone, Copy, Debug)]
pub(super) struct WetCount<N = f64> {
    lid: KindCount<N>,
    walls: KindCount<N>,
    drip_h: N,
    dripped_kg: N,
    /// Sums of the humidities over all hours.
    upper_humidity: N,
    lower_humidity: N,
    hours: N,
    filling_most_kg_kg: N,
    /// The first day on which the filling was damp; no number before.
    filling_damp_day: N,
    /// Water that calls for a change of the filling, kg/kg.
    filling_limit_kg_kg: N,
}

/// Of one kind of surface.
#[derive(Clone, Copy, Debug)]
struct KindCount<N = f64> {
    wet_h: N,
    frost_h: N,
    most_kg: N,
}

per_lane!(KindCount {
    wet_h,
    frost_h,
    most_kg
});
per_lane!(WetCount {
    lid,
    walls,
    drip_h,
    dripped_kg,
    upper_humidity,
    lower_humidity,
    hours,
    filling_most_kg_kg,
    filling_damp_day,
    filling_limit_kg_kg,
});

impl WetCount {
    /// Before the first hour; the filling's limit in kg/kg.
    pub(super) fn new(filling_limit_kg_kg: f64) -> Self {
        let zero = KindCount {
            wet_h: 0.0,
            frost_h: 0.0,
            most_kg: 0.0,
        };
        Self {
            lid: zero,
            walls: zero,
            drip_h: 0.0,
            dripped_kg: 0.0,
            upper_humidity: 0.0,
            lower_humidity: 0.0,
            hours: 0.0,
            // Below nothing while there is no filling.
            filling_most_kg_kg: f64::NEG_INFINITY,
            filling_damp_day: f64::NAN,
            filling_limit_kg_kg,
        }
    }

    /// Hours with a wet or frosted lid so far.
    pub(super) fn wet_lid_h(&self) -> f64 {
        self.lid.wet_h
    }

    /// What it came to.
    pub(super) fn wetness(&self) -> Wetness {
        let hours = self.hours.max(1.0);
        let is_filled = self.filling_most_kg_kg >= 0.0;
        let was_damp = self.filling_damp_day >= 0.0;
        Wetness {
            wet_lid_h: self.lid.wet_h,
            frost_lid_h: self.lid.frost_h,
            lid_most_kg: self.lid.most_kg,
            wet_walls_h: self.walls.wet_h,
            frost_walls_h: self.walls.frost_h,
            walls_most_kg: self.walls.most_kg,
            drip_h: self.drip_h,
            dripped_kg: self.dripped_kg,
            upper_humidity: self.upper_humidity / hours,
            lower_humidity: self.lower_humidity / hours,
            filling_most_kg_kg: is_filled.then_some(self.filling_most_kg_kg),
            filling_damp_day: was_damp.then_some(self.filling_damp_day as usize),
        }
    }
}

impl<N: Number> KindCount<N> {
    /// Counts an hour with so much water on it, kg, where it is wet, and where by frost alone.
    #[inline(always)]
    fn count(&mut self, (film_kg, wet, frost): (N, N::Mask, N::Mask)) {
        self.wet_h = self.wet_h + film_kg.one_where(wet);
        self.frost_h = self.frost_h + film_kg.one_where(frost);
        self.most_kg = film_kg.max(self.most_kg);
    }
}

impl<N: Number> WetCount<N> {
    /// Counts an hour of a day.
    #[inline(always)]
    pub(super) fn count(&mut self, day: N, balance: &Balance<N>, state: &State<N>, dripped_kg: N) {
        let (moisture, water) = (&balance.moisture, &state.water);
        self.lid
            .count(moisture.surface_water(Orientation::Lid, water));
        self.walls
            .count(moisture.surface_water(Orientation::Vertical, water));
        self.drip_h = self.drip_h + day.one_where(dripped_kg.gt(day.splat(0.0)));
        self.dripped_kg = self.dripped_kg + dripped_kg;
        self.hours = self.hours + 1.0;
        let (upper, lower) = humidities(state);
        self.upper_humidity = self.upper_humidity + upper;
        self.lower_humidity = self.lower_humidity + lower;
        if let Some(filling_kg_kg) = moisture.filling_kg_kg(water) {
            self.filling_most_kg_kg = filling_kg_kg.max(self.filling_most_kg_kg);
            let never = !self.filling_damp_day.finite();
            let damp = never & filling_kg_kg.ge(self.filling_limit_kg_kg);
            self.filling_damp_day = N::choose(damp, day, self.filling_damp_day);
        }
    }
}

impl<N: Number> Moisture<N> {
    /// Condensate on one kind of surface, kg, and where it makes such a surface wet, and wet by frost alone.
    #[inline(always)]
    fn surface_water(
        &self,
        orientation: Orientation,
        water: &super::Water<N>,
    ) -> (N, N::Mask, N::Mask) {
        let zero = water.upper_pa.splat(0.0);
        let mut sum_kg = zero;
        let (mut wet, mut thawed) = (zero.mask(false), zero.mask(false));
        for (number, path) in self.paths().enumerate() {
            if path.orientation != Some(orientation) {
                continue;
            }
            let film_kg = water.films_kg[number];
            sum_kg = sum_kg + film_kg;
            let is_wet = film_kg.ge(path.inside_m2 * WET_KG_M2);
            wet = wet | is_wet;
            thawed = thawed | (is_wet & water.surfaces_c[number].ge(zero));
        }
        (sum_kg, wet, wet & !thawed)
    }

    /// Water a kilogram of dry loose filling in the lid, kg/kg; none without such a filling.
    #[inline(always)]
    fn filling_kg_kg(&self, water: &super::Water<N>) -> Option<N> {
        let mut filling: Option<(N, N)> = None;
        for (cell, node_kg) in self.lid_cells(&water.nodes_kg) {
            if cell.filling {
                filling = Some(match filling {
                    None => (node_kg, cell.wood_kg),
                    Some((water_kg, dry_kg)) => (water_kg + node_kg, dry_kg + cell.wood_kg),
                });
            }
        }
        let (water_kg, dry_kg) = filling?;
        Some(water_kg / dry_kg)
    }
}
