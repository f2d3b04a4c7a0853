//! Air pressure of a place from its elevation, where the weather record has none.
//!
//! ISO 2533:1975 (the standard atmosphere, the same as ICAO Doc 7488 in the troposphere): 15 °C and
//! 1013.25 hPa at sea level, 6.5 K colder each kilometre. Real weather departs from it by up to 5 %,
//! and cold winter air by a further 1 % at 1,000 m, which is of no account for heat flows.
//!
//! ```
//! use overwinter::weather::pressure::standard_pressure_pa;
//!
//! assert!((standard_pressure_pa(350.0) - 97_190.0).abs() < 20.0);
//! ```

/// Pressure at sea level, Pa (ISO 2533:1975).
pub const SEA_LEVEL_PRESSURE_PA: f64 = 101_325.0;

/// Temperature at sea level, K (ISO 2533:1975).
const SEA_LEVEL_TEMPERATURE_K: f64 = 288.15;

/// Fall of temperature with height, K/m (ISO 2533:1975).
const LAPSE_RATE_K_M: f64 = 0.0065;

/// Standard acceleration of free fall, m/s2 (ISO 2533:1975).
const GRAVITY_M_S2: f64 = 9.806_65;

/// Specific gas constant of air, J/kgK (ISO 2533:1975).
const GAS_CONSTANT_AIR_J_KGK: f64 = 287.052_87;

/// The elevations for which the troposphere's formula holds, m.
const VALID_ELEVATION_M: (f64, f64) = (-2_000.0, 11_000.0);

/// Pressure of the standard atmosphere at an elevation in metres above sea level, in Pa.
///
/// Valid from -2,000 to 11,000 m; an elevation beyond is brought to the nearest of the two. Geometric
/// height is used as geopotential height (0.03 % of the height at 2,000 m).
pub fn standard_pressure_pa(elevation_m: f64) -> f64 {
    let (lowest, highest) = VALID_ELEVATION_M;
    let height = elevation_m.clamp(lowest, highest);
    let exponent = GRAVITY_M_S2 / (GAS_CONSTANT_AIR_J_KGK * LAPSE_RATE_K_M);
    let ratio = 1.0 - LAPSE_RATE_K_M * height / SEA_LEVEL_TEMPERATURE_K;
    SEA_LEVEL_PRESSURE_PA * libm::pow(ratio, exponent)
}

/// Pressure at the station, in Pa, from one reduced to sea level, by the ratio of the standard
/// atmosphere (what an altimeter setting, QNH, means; a service's own reduction, QFF, uses the air
/// temperature of the day as well and differs by up to 1 % at 500 m in deep cold).
pub fn station_pressure_pa(sea_level_pressure_pa: f64, elevation_m: f64) -> f64 {
    sea_level_pressure_pa * standard_pressure_pa(elevation_m) / SEA_LEVEL_PRESSURE_PA
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pressure_falls_with_height_and_stays_finite_beyond_the_valid_range() {
        let heights = [-1e9, -400.0, 0.0, 350.0, 2_000.0, 5_000.0, 1e9];
        let pressures = heights.map(standard_pressure_pa);
        assert!(pressures.windows(2).all(|pair| pair[0] > pair[1]));
        assert!(pressures.iter().all(|p| p.is_finite() && *p > 0.0));
    }

    #[test]
    fn a_standard_day_at_sea_level_gives_the_standard_pressure_at_the_station() {
        let station = station_pressure_pa(SEA_LEVEL_PRESSURE_PA, 850.0);
        assert_eq!(station, standard_pressure_pa(850.0));
    }
}
