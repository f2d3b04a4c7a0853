//! Surface films: how air and surroundings couple to a surface.
//!
//! Source: ISO 6946:2017, annex C (convective coefficients from memory, checked in `tests/validation/heat.rs` against the
//! rounded resistances that the standard prints). Weak where the air is not still: inside, between comb and wall, the true
//! convective coefficient is not known and the standard's rooms are far larger.

use crate::lane::Number;
use serde::Serialize;

/// Stefan-Boltzmann constant, W/m2K4 (CODATA 2018, published).
pub const STEFAN_BOLTZMANN_W_M2K4: f64 = 5.670_374_419e-8;

/// Emissivity of wood, paint, wax and most building surfaces (ISO 6946, published).
pub const EMISSIVITY: f64 = 0.9;

/// Convective coefficient inside for heat flowing up, sideways and down, W/m2K (ISO 6946:2017 annex C).
pub const CONVECTION_UP_W_M2K: f64 = 5.0;
/// As [`CONVECTION_UP_W_M2K`], horizontal flow.
pub const CONVECTION_HORIZONTAL_W_M2K: f64 = 2.5;
/// As [`CONVECTION_UP_W_M2K`], downward flow.
pub const CONVECTION_DOWN_W_M2K: f64 = 0.7;

/// Convection outside without wind, W/m2K (ISO 6946:2017 annex C: `4 + 4 v`).
pub const CONVECTION_OUTSIDE_STILL_W_M2K: f64 = 4.0;
/// Rise of convection outside with wind, W/m2K for each m/s.
pub const CONVECTION_OUTSIDE_WIND_J_M3K: f64 = 4.0;

/// Conductivity of air at rest, W/mK (ISO 6946:2017 annex D).
const AIR_W_MK: f64 = 0.025;
/// Mean temperature of an air layer, degC (ISO 6946:2017: 10 degC unless known).
const AIR_LAYER_C: f64 = 10.0;

/// Half-width of the band round equal temperatures over which a level surface passes from upward to downward flow, K.
/// Own estimate: a numerical blend, small against the differences that matter.
const TURNOVER_K: f64 = 0.5;

const ZERO_C_K: f64 = 273.15;

/// Direction of the heat flow through a surface when the hive is warmer than the outside.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Orientation {
    /// A side.
    Vertical,
    /// A lid: heat goes up.
    Lid,
    /// A floor: heat goes down.
    Floor,
}

/// Radiative coefficient of a black surface at `temperature_c`, W/m2K: `4 sigma T^3` (ISO 6946:2017 eq. C.3).
///
/// ```
/// let h = overwinter::hive::film::black_radiation_w_m2k(10.0);
/// assert!((h - 5.149).abs() < 5e-4);
/// ```
#[must_use]
#[inline(always)]
pub fn black_radiation_w_m2k<N: Number>(temperature_c: N) -> N {
    let kelvin = temperature_c + ZERO_C_K;
    kelvin * (4.0 * STEFAN_BOLTZMANN_W_M2K4) * kelvin * kelvin
}

/// Film on an inside surface, W/m2K, between air and surface temperatures in degC: convection, and radiation to the combs and
/// other surfaces at the mean of the two temperatures.
#[must_use]
#[inline(always)]
pub fn inside_w_m2k<N: Number>(orientation: Orientation, air_c: N, surface_c: N) -> N {
    inside_convection_w_m2k(orientation, air_c, surface_c)
        + black_radiation_w_m2k((air_c + surface_c) * 0.5) * EMISSIVITY
}

/// Convection on an inside surface, W/m2K, by the direction of the heat flow, which a lid or floor warmer than the air reverses.
#[must_use]
#[inline(always)]
pub fn inside_convection_w_m2k<N: Number>(orientation: Orientation, air_c: N, surface_c: N) -> N {
    match orientation {
        Orientation::Vertical => air_c.splat(CONVECTION_HORIZONTAL_W_M2K),
        Orientation::Lid => {
            outward(air_c, surface_c) * (CONVECTION_UP_W_M2K - CONVECTION_DOWN_W_M2K)
                + CONVECTION_DOWN_W_M2K
        }
        Orientation::Floor => {
            outward(air_c, surface_c) * (CONVECTION_DOWN_W_M2K - CONVECTION_UP_W_M2K)
                + CONVECTION_UP_W_M2K
        }
    }
}

/// 1 where heat flows from the air to the surface, 0 where it flows back, and between the two near equal temperatures.
#[inline(always)]
fn outward<N: Number>(air_c: N, surface_c: N) -> N {
    ((air_c - surface_c) * (1.0 / TURNOVER_K)).within(-1.0, 1.0) * 0.5 + 0.5
}

/// Film on an outside surface, W/m2K: wind at the hive in m/s, radiation to surroundings at the air's temperature in degC.
///
/// What sun and sky add is no part of a film: see [`sky_deficit_w_m2`].
#[must_use]
pub fn outside_w_m2k(wind_m_s: f64, air_c: f64, emissivity: f64) -> f64 {
    outside_convection_w_m2k(wind_m_s) + emissivity * black_radiation_w_m2k(air_c)
}

/// Convection outside, W/m2K: `4 + 4 v` (ISO 6946:2017 annex C).
#[must_use]
#[inline(always)]
pub fn outside_convection_w_m2k<N: Number>(wind_m_s: N) -> N {
    wind_m_s * CONVECTION_OUTSIDE_WIND_J_M3K + CONVECTION_OUTSIDE_STILL_W_M2K
}

/// Heat that a black level surface at air temperature loses to the sky above what surroundings at that temperature would take, W/m2:
/// `(1 - e) sigma T^4` under a sky of emissivity `e`.
///
/// ```
/// let clear = overwinter::hive::film::sky_deficit_w_m2(0.0, 0.70);
/// assert!((clear - 94.7).abs() < 0.1);
/// ```
#[must_use]
pub fn sky_deficit_w_m2(air_c: f64, sky_emissivity: f64) -> f64 {
    let kelvin = air_c + ZERO_C_K;
    (1.0 - sky_emissivity) * STEFAN_BOLTZMANN_W_M2K4 * kelvin * kelvin * kelvin * kelvin
}

/// Thermal resistance of an unventilated air layer, m2K/W, of a thickness in m: `1 / (h_a + h_r)` with surfaces of emissivity 0.9 at
/// 10 degC (ISO 6946:2017 annex D; coefficients from memory, checked against the rounded values that the standard prints).
///
/// For gaps wider than some 300 mm, open ones and bright foils it does not hold.
///
/// ```
/// use overwinter::hive::film::{Orientation, air_layer_m2k_w};
/// assert!((air_layer_m2k_w(0.025, Orientation::Vertical) - 0.183).abs() < 5e-4);
/// ```
#[must_use]
pub fn air_layer_m2k_w(thickness_m: f64, orientation: Orientation) -> f64 {
    let conduction = AIR_W_MK / thickness_m;
    let convection = match orientation {
        Orientation::Vertical => 1.25,
        Orientation::Lid => 1.95,
        Orientation::Floor => 0.12 * libm::pow(thickness_m, -0.44),
    };
    let between = 1.0 / (2.0 / EMISSIVITY - 1.0);
    let radiation = between * black_radiation_w_m2k(AIR_LAYER_C);
    1.0 / (conduction.max(convection) + radiation)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_lid_warmer_than_the_air_under_it_takes_the_downward_film() {
        let down = inside_w_m2k(Orientation::Lid, 0.0, 5.0);
        let up = inside_w_m2k(Orientation::Lid, 5.0, 0.0);
        assert!((up - down - (CONVECTION_UP_W_M2K - CONVECTION_DOWN_W_M2K)).abs() < 1e-12);
    }

    #[test]
    fn a_floor_is_a_lid_turned_over() {
        let floor = inside_w_m2k(Orientation::Floor, 3.0, 1.0);
        let lid = inside_w_m2k(Orientation::Lid, 1.0, 3.0);
        assert_eq!(floor, lid);
    }
}
