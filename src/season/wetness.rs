//! What the water in a hive means to its keeper: wet lid and walls, frost, drip above the cluster, a damp filling, humid air.

use super::balance::{Balance, State};
use super::moisture::Moisture;
use crate::hive::film::Orientation;
use crate::weather::humidity::saturation_pressure_over_water_pa;
use serde::Serialize;

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
    /// Relative humidity of the upper air over liquid water, as hygrometers show it, 0 to 1 and in frost a little more.
    pub upper_humidity: f64,
    /// The same of the lower air.
    pub lower_humidity: f64,
    /// Underside of the lid.
    pub lid: SurfaceWater,
    /// Insides of the four sides.
    pub walls: SurfaceWater,
    /// Floor.
    pub floor: SurfaceWater,
    /// Water in all layers of walls, lid and floor, kg.
    pub layers_kg: f64,
    /// Water a kilogram of dry loose filling in the lid, kg/kg; none without such a filling.
    pub filling_kg_kg: Option<f64>,
}

impl Dampness {
    /// Of a state of a hive.
    #[must_use]
    pub fn of(balance: &Balance, state: &State) -> Self {
        let humidity = |pa: f64, c: f64| pa / saturation_pressure_over_water_pa(c);
        let moisture = &balance.moisture;
        let water = &state.water;
        let on = |orientation| moisture.surface_water(orientation, water);
        Self {
            upper_humidity: humidity(water.upper_pa, state.upper_c),
            lower_humidity: humidity(water.lower_pa, state.lower_c),
            lid: on(Orientation::Lid),
            walls: on(Orientation::Vertical),
            floor: on(Orientation::Floor),
            layers_kg: water.nodes_kg.iter().sum(),
            filling_kg_kg: moisture.filling_kg_kg(water),
        }
    }
}

/// What a winter's water came to.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
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
    hours: f64,
}

impl Wetness {
    /// Counts an hour of a day.
    pub(crate) fn count(&mut self, day: usize, now: &Dampness, dripped_kg: f64, limit_kg_kg: f64) {
        let hour = |is: bool| f64::from(u8::from(is));
        self.wet_lid_h += hour(now.lid.wet);
        self.frost_lid_h += hour(now.lid.wet && now.lid.frost);
        self.lid_most_kg = self.lid_most_kg.max(now.lid.film_kg);
        self.wet_walls_h += hour(now.walls.wet);
        self.frost_walls_h += hour(now.walls.wet && now.walls.frost);
        self.walls_most_kg = self.walls_most_kg.max(now.walls.film_kg);
        self.drip_h += hour(dripped_kg > 0.0);
        self.dripped_kg += dripped_kg;
        self.hours += 1.0;
        let mean = |mean: f64, value: f64| mean + (value - mean) / self.hours;
        self.upper_humidity = mean(self.upper_humidity, now.upper_humidity);
        self.lower_humidity = mean(self.lower_humidity, now.lower_humidity);
        if let Some(filling) = now.filling_kg_kg {
            self.filling_most_kg_kg = Some(self.filling_most_kg_kg.unwrap_or(0.0).max(filling));
            if filling >= limit_kg_kg {
                self.filling_damp_day.get_or_insert(day);
            }
        }
    }
}

impl Moisture {
    fn surface_water(&self, orientation: Orientation, water: &super::Water) -> SurfaceWater {
        let mut sum = SurfaceWater::default();
        let mut frosted = true;
        for (number, path) in self.paths().enumerate() {
            if path.orientation != orientation {
                continue;
            }
            let film_kg = water.films_kg[number];
            sum.film_kg += film_kg;
            if film_kg >= WET_KG_M2 * path.inside_m2 {
                sum.wet = true;
                frosted &= water.surfaces_c[number] < 0.0;
            }
        }
        sum.frost = sum.wet && frosted;
        sum
    }

    fn filling_kg_kg(&self, water: &super::Water) -> Option<f64> {
        let (mut water_kg, mut dry_kg) = (0.0, 0.0);
        for (cell, node_kg) in self.lid_cells(&water.nodes_kg) {
            if cell.filling {
                water_kg += node_kg;
                dry_kg += cell.wood_kg;
            }
        }
        (dry_kg > 0.0).then(|| water_kg / dry_kg)
    }
}
