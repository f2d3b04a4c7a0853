//! Moist air: saturation pressure, dew point, relative humidity, humidity ratio, latent heat, density.
//!
//! Relative humidity and dew point are taken **over liquid water at every temperature**, also below
//! 0 °C. That is the convention of nearly every weather service and of the WMO Guide to Instruments
//! (WMO-No. 8, part I, chapter 4), and it matters: at -20 °C the saturation pressure over water is 22 %
//! above the one over ice. [`saturation_pressure_over_ice_pa`] is for frost on cold surfaces.
//!
//! Saturation pressures are those of Murphy & Koop 2005, "Review of the vapour pressures of ice and
//! supercooled water for atmospheric applications", Q. J. R. Meteorol. Soc. 131:1539-1565, equations 7
//! and 10 (coefficients from memory; checked in `tests/validation/moist_air.rs` against the correlation of
//! the ASHRAE Handbook and the values of Murphy & Koop). One formula serves supercooled and warm water, so
//! nothing jumps at 0 °C. The pressure enhancement of moist air (0.4 % at sea level) is left out, as in
//! most weather files.
//!
//! ```
//! use overwinter::weather::humidity::{dew_point_c, relative_humidity_fraction};
//!
//! let dew_point = dew_point_c(20.0, 0.60);
//! assert!((dew_point - 12.0).abs() < 0.02);
//! assert!((relative_humidity_fraction(20.0, dew_point) - 0.60).abs() < 1e-9);
//! ```

/// 0 °C in kelvin (ITS-90, exact).
const ZERO_CELSIUS_K: f64 = 273.15;

/// Molar mass of water over that of dry air (ASHRAE Handbook, Fundamentals 2017, chapter 1).
const MASS_RATIO_WATER_TO_AIR: f64 = 0.621_945;

/// Gas constant of dry air, J/kgK (ASHRAE Handbook, Fundamentals 2017, chapter 1, equation 1).
const GAS_CONSTANT_DRY_AIR_J_KGK: f64 = 287.042;

/// Molar mass of water, kg/mol (CODATA atomic masses; from memory).
const MOLAR_MASS_WATER_KG_MOL: f64 = 0.018_015_28;

/// Air drier than this is treated as this dry, so that a humidity of 0 % has a finite dew point.
pub const DRIEST_RELATIVE_HUMIDITY: f64 = 0.001;

/// Saturation vapour pressure over liquid water, supercooled below 0 °C, in Pa.
///
/// Murphy & Koop 2005, equation 10. Valid from -150 to 59 °C.
pub fn saturation_pressure_over_water_pa(temperature_c: f64) -> f64 {
    libm::exp(ln_saturation_over_water(temperature_c + ZERO_CELSIUS_K))
}

/// Saturation vapour pressure over ice, in Pa.
///
/// Murphy & Koop 2005, equation 7. Valid from -163 to 0 °C.
pub fn saturation_pressure_over_ice_pa(temperature_c: f64) -> f64 {
    let t = temperature_c + ZERO_CELSIUS_K;
    libm::exp(9.550_426 - 5_723.265 / t + 3.530_68 * libm::log(t) - 0.007_283_32 * t)
}

/// Natural logarithm of the saturation pressure over water, in ln(Pa); temperature in K.
fn ln_saturation_over_water(t: f64) -> f64 {
    let ln_t = libm::log(t);
    54.842_763 - 6_763.22 / t - 4.210 * ln_t
        + 0.000_367 * t
        + libm::tanh(0.041_5 * (t - 218.8))
            * (53.878 - 1_331.22 / t - 9.445_23 * ln_t + 0.014_025 * t)
}

/// Dew point over water in °C of air at `temperature_c` and a relative humidity over water, as a
/// fraction.
///
/// A humidity above 1 gives `temperature_c`; one below [`DRIEST_RELATIVE_HUMIDITY`] is raised to it.
/// Valid for temperatures from -90 to 59 °C. The inverse of [`relative_humidity_fraction`] to 1e-9.
pub fn dew_point_c(temperature_c: f64, relative_humidity_fraction: f64) -> f64 {
    let fraction = relative_humidity_fraction.clamp(DRIEST_RELATIVE_HUMIDITY, 1.0);
    let saturation = ln_saturation_over_water(temperature_c + ZERO_CELSIUS_K);
    dew_point_from_ln_pressure_c(saturation + libm::log(fraction)).min(temperature_c)
}

/// Dew point over water in °C of air that holds a vapour pressure, in Pa.
///
/// Valid from 0.01 Pa (about -90 °C) to 19 kPa (59 °C); a lower pressure is raised to 0.01 Pa.
pub fn dew_point_of_vapour_c(vapour_pressure_pa: f64) -> f64 {
    dew_point_from_ln_pressure_c(libm::log(vapour_pressure_pa.max(0.01)))
}

/// Newton's method on ln p, started from the Magnus formula. ln p is nearly linear in 1/T, so five
/// steps reach rounding error from anywhere in the valid range.
fn dew_point_from_ln_pressure_c(ln_pressure: f64) -> f64 {
    // Magnus form of the WMO Guide (WMO-No. 8): p = 611.2 Pa exp(17.62 t / (243.12 + t)).
    let x = ln_pressure - libm::log(611.2);
    let mut t = ZERO_CELSIUS_K + 243.12 * x / (17.62 - x);
    for _ in 0..5 {
        let step = 0.01;
        let slope = (ln_saturation_over_water(t + step) - ln_saturation_over_water(t - step))
            / (2.0 * step);
        t -= (ln_saturation_over_water(t) - ln_pressure) / slope;
    }
    t - ZERO_CELSIUS_K
}

/// Relative humidity over water, as a fraction, of air at `temperature_c` with a dew point over water.
///
/// Above 1 when the dew point is above the temperature: such a pair is a fault of the record, and the
/// caller decides what to do with it.
pub fn relative_humidity_fraction(temperature_c: f64, dew_point_c: f64) -> f64 {
    libm::exp(
        ln_saturation_over_water(dew_point_c + ZERO_CELSIUS_K)
            - ln_saturation_over_water(temperature_c + ZERO_CELSIUS_K),
    )
}

/// Humidity ratio, kg of vapour a kg of dry air, of air with a dew point over water at a pressure.
///
/// ASHRAE Handbook, Fundamentals 2017, chapter 1, equation 20. The pressure must exceed the vapour
/// pressure, as it does everywhere on the ground.
pub fn humidity_ratio(dew_point_c: f64, pressure_pa: f64) -> f64 {
    let vapour_pressure_pa = saturation_pressure_over_water_pa(dew_point_c);
    MASS_RATIO_WATER_TO_AIR * vapour_pressure_pa / (pressure_pa - vapour_pressure_pa)
}

/// Density of moist air, kg/m3: two ideal gases side by side.
pub fn air_density_kg_m3(temperature_c: f64, dew_point_c: f64, pressure_pa: f64) -> f64 {
    let vapour_pressure_pa = saturation_pressure_over_water_pa(dew_point_c);
    (pressure_pa - (1.0 - MASS_RATIO_WATER_TO_AIR) * vapour_pressure_pa)
        / (GAS_CONSTANT_DRY_AIR_J_KGK * (temperature_c + ZERO_CELSIUS_K))
}

/// Latent heat of vaporisation of water, J/kg.
///
/// Own straight-line fit to the IAPWS-95 steam table, within 200 J/kg from 0 to 40 °C. Below 0 °C
/// (supercooled water) it is an extrapolation, 0.2 % low at -30 °C against Murphy & Koop 2005,
/// equation 9.
pub fn latent_heat_of_vaporisation_j_kg(temperature_c: f64) -> f64 {
    2.500_9e6 - 2_370.0 * temperature_c
}

/// Latent heat of sublimation of ice, J/kg.
///
/// Murphy & Koop 2005, equation 5 (coefficients from memory). Valid from -240 to 0 °C.
pub fn latent_heat_of_sublimation_j_kg(temperature_c: f64) -> f64 {
    let t = temperature_c + ZERO_CELSIUS_K;
    let shape = t / 123.75;
    (46_782.5 + 35.892_5 * t - 0.074_14 * t * t + 541.5 * libm::exp(-shape * shape))
        / MOLAR_MASS_WATER_KG_MOL
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dew_point_and_humidity_are_inverses_over_the_whole_range() {
        for temperature in (-60..=45).map(f64::from) {
            for fraction in [0.01, 0.05, 0.2, 0.5, 0.8, 0.99, 1.0] {
                let dew_point = dew_point_c(temperature, fraction);
                let back = relative_humidity_fraction(temperature, dew_point);
                assert!(
                    (back - fraction).abs() < 1e-9,
                    "{temperature} °C at {fraction}: {dew_point} °C gives {back}"
                );
            }
        }
    }

    #[test]
    fn a_vapour_pressure_gives_back_its_dew_point() {
        for dew_point in (-80..=50).map(f64::from) {
            let back = dew_point_of_vapour_c(saturation_pressure_over_water_pa(dew_point));
            assert!((back - dew_point).abs() < 1e-9, "{dew_point}: {back}");
        }
    }

    #[test]
    fn humidity_out_of_range_is_brought_to_the_nearest_limit() {
        assert_eq!(dew_point_c(-5.0, 1.04), -5.0);
        let driest = dew_point_c(10.0, DRIEST_RELATIVE_HUMIDITY);
        assert_eq!(dew_point_c(10.0, 0.0), driest);
        assert_eq!(dew_point_c(10.0, -0.3), driest);
        assert!(driest.is_finite() && driest < -50.0);
        assert!(dew_point_of_vapour_c(0.0).is_finite());
    }

    #[test]
    fn ice_and_water_meet_at_the_triple_point() {
        let ice = saturation_pressure_over_ice_pa(0.01);
        let water = saturation_pressure_over_water_pa(0.01);
        assert!((ice - water).abs() < 0.02, "{ice} Pa, {water} Pa");
    }

    #[test]
    fn humid_air_is_lighter_than_dry_air() {
        let dry = air_density_kg_m3(30.0, -60.0, 101_325.0);
        let humid = air_density_kg_m3(30.0, 28.0, 101_325.0);
        assert!(humid < dry && humid > 0.97 * dry);
    }
}
