//! The weather at one instant: what drives the balance.

use crate::hive::{Face, Side};
use crate::lane::{Number, per_lane};
use serde::Serialize;

/// The weather at one instant.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Weather<N = f64> {
    /// Outside air, degC.
    pub outside_c: N,
    /// Wind, m/s: at the station in a forcing, at the hive in the balance.
    pub wind_m_s: N,
    /// Air pressure, Pa.
    pub pressure_pa: N,
    /// Sun on each face, W/m2, in the order of [`SUNNY`].
    pub sun_w_m2: [N; SUNNY.len()],
    /// Vapour pressure of the outside air, Pa.
    pub vapour_pa: N,
    /// What a black level surface loses to the sky beyond surroundings at air temperature, W/m2.
    pub sky_w_m2: N,
    /// Snow, m: above the ground, or above the hive's floor where the keeper says so, in a forcing; above the floor in the balance.
    pub snow_m: N,
}

per_lane!(Weather {
    outside_c,
    wind_m_s,
    pressure_pa,
    sun_w_m2,
    vapour_pa,
    sky_w_m2,
    snow_m
});

/// Faces that the sun can reach.
pub const SUNNY: [Face; 5] = [
    Face::Side(Side::Front),
    Face::Side(Side::Right),
    Face::Side(Side::Back),
    Face::Side(Side::Left),
    Face::Lid,
];

impl<N: Number> Weather<N> {
    /// On the straight line from `self` to `next`, at a share of the way.
    #[must_use]
    #[inline(always)]
    pub fn towards(&self, next: &Self, share: f64) -> Self {
        let mut sun_w_m2 = self.sun_w_m2;
        for (own, next) in sun_w_m2.iter_mut().zip(&next.sun_w_m2) {
            *own = own.towards(*next, share);
        }
        Self {
            outside_c: self.outside_c.towards(next.outside_c, share),
            wind_m_s: self.wind_m_s.towards(next.wind_m_s, share),
            pressure_pa: self.pressure_pa.towards(next.pressure_pa, share),
            vapour_pa: self.vapour_pa.towards(next.vapour_pa, share),
            sun_w_m2,
            sky_w_m2: self.sky_w_m2.towards(next.sky_w_m2, share),
            snow_m: self.snow_m.towards(next.snow_m, share),
        }
    }
}
