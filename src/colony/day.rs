//! What a day tells a colony, and what its honey went to.

use serde::{Deserialize, Serialize};

/// What the energy balance of a day tells the colony.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Day {
    /// Day of the year; 1 January of the winter's second year is 1, days before it 0 and below.
    pub day: f64,
    /// From sunrise to sunset, h.
    pub daylight_h: f64,
    /// Mean outside air, degC.
    pub outside_c: f64,
    /// Hours in which bees could fly.
    pub flight_h: f64,
    /// Hours in which they could fly out to void; they do so in cooler air.
    pub cleansing_h: f64,
    /// Hours in which bees take syrup.
    pub syrup_h: f64,
    /// Heat made by the bees, J.
    pub heat_j: f64,
    /// The part of it in hours of flight, J.
    pub flight_heat_j: f64,
    /// Mean seams that the cluster covered.
    pub seams: f64,
    /// Mean air over the cluster, degC.
    pub nest_c: f64,
    /// The cluster could climb.
    pub could_climb: bool,
    /// It could cross to other combs.
    pub could_cross: bool,
    /// The cold was too long for it.
    pub chilled: bool,
}

/// Use of honey by purpose, kg, since the start.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct HoneyUse {
    /// Burnt as heat.
    pub heat_kg: f64,
    /// Fed to brood.
    pub brood_kg: f64,
    /// Flight and housework on warm days.
    pub activity_kg: f64,
}

impl HoneyUse {
    /// All of it.
    #[must_use]
    pub fn total_kg(&self) -> f64 {
        self.heat_kg + self.brood_kg + self.activity_kg
    }
}
