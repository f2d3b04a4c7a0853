//! Long-wave radiation of the sky.
//!
//! A hive's lid looks at the sky: on a clear winter night the sky is 15 to 25 K colder than the air, and
//! the lid with it.
//!
//! ```
//! use overwinter::weather::sky::sky_temperature_c;
//!
//! let clear = sky_temperature_c(-10.0, -14.0, 0.0);
//! let overcast = sky_temperature_c(-10.0, -14.0, 1.0);
//! assert!(clear < -30.0 && overcast > -15.0);
//! ```

/// Share of the missing emissivity that a full cloud cover brings back: Unsworth & Monteith 1975, Q. J.
/// R. Meteorol. Soc. 101:13, equation 10 (from memory). It stands for the low cloud of temperate
/// winters; high thin cloud brings back less (0.2 to 0.5).
pub const CLOUD_WEIGHT: f64 = 0.84;

/// Emissivity of a clear sky from the dew point over water, °C.
///
/// Berdahl & Martin 1984, Solar Energy 32:663: 0.711 + 0.56 (Td/100) + 0.73 (Td/100)². Fitted to dew
/// points from -13 to 24 °C; below about -38 °C the parabola would rise again, so the dew point is held
/// there. The small terms for the hour of day and the air pressure are left out (0.013, 0.005).
pub fn clear_sky_emissivity(dew_point_c: f64) -> f64 {
    // The parabola's lowest point: -0.56 / (2 x 0.73) hundreds of degrees.
    const LOWEST_DEW_POINT_C: f64 = -38.356;
    let x = dew_point_c.max(LOWEST_DEW_POINT_C) / 100.0;
    (0.711 + 0.56 * x + 0.73 * x * x).min(1.0)
}

/// Emissivity of a sky with a cloud cover, as a fraction of the sky.
pub fn sky_emissivity(dew_point_c: f64, cloud_fraction: f64) -> f64 {
    let clear = clear_sky_emissivity(dew_point_c);
    clear + (1.0 - clear) * CLOUD_WEIGHT * cloud_fraction.clamp(0.0, 1.0)
}

/// Temperature of a black sky that radiates as the real one does, °C.
pub fn sky_temperature_c(temperature_c: f64, dew_point_c: f64, cloud_fraction: f64) -> f64 {
    let emissivity = sky_emissivity(dew_point_c, cloud_fraction);
    (temperature_c + 273.15) * libm::sqrt(libm::sqrt(emissivity)) - 273.15
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_sky_is_never_warmer_than_the_air() {
        for temperature in (-50..=40).map(f64::from) {
            for depression in [0.0, 2.0, 10.0, 40.0] {
                for cloud in [-0.1, 0.0, 0.5, 1.0, 1.2] {
                    let sky = sky_temperature_c(temperature, temperature - depression, cloud);
                    assert!(sky.is_finite() && sky <= temperature);
                }
            }
        }
    }

    #[test]
    fn drier_air_has_a_colder_sky_down_to_the_driest_fitted() {
        let emissivities: Vec<f64> = (-38..=25)
            .map(|dew| clear_sky_emissivity(dew.into()))
            .collect();
        assert!(emissivities.windows(2).all(|pair| pair[0] < pair[1]));
        assert_eq!(clear_sky_emissivity(-60.0), clear_sky_emissivity(-45.0));
    }

    #[test]
    fn cloud_warms_the_sky() {
        let clear = sky_temperature_c(-10.0, -14.0, 0.0);
        let half = sky_temperature_c(-10.0, -14.0, 0.5);
        let overcast = sky_temperature_c(-10.0, -14.0, 1.0);
        assert!(clear < half && half < overcast && overcast < -10.0);
    }
}
