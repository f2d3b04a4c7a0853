//! Hourly series that a winter's measured ones give: vapour, radiation and the sky.

use super::humidity::{dew_point_c, saturation_pressure_over_water_pa};
use super::radiation::{Split, global_from_cloud_w_m2, split_global};
use super::sky::sky_emissivity;
use super::sun::{Observer, SunError, SunPosition, hourly_sun};
use super::winter::Winter;

/// Relative humidity that stands for a dew point the record does not have (own estimate).
const HUMIDITY_UNKNOWN: f64 = 0.8;

/// What one hour of a winter gives.
#[derive(Clone, Debug, PartialEq)]
pub struct DerivedHour {
    /// Where the sun stands.
    pub sun: SunPosition,
    /// Beam and diffuse radiation; none where nothing tells of the sun.
    pub radiation: Option<Split>,
    /// Vapour pressure of the air, Pa.
    pub vapour_pa: f64,
    /// Emissivity of the sky, 0 to 1; none where cloud is not known.
    pub sky_emissivity: Option<f64>,
}

impl Winter {
    /// The derived series at a point on the ground, hour by hour.
    ///
    /// Radiation is taken as beam and diffuse when the winter has both, else as global, else from the cloud.
    ///
    /// # Errors
    /// [`SunError`] when the observer is out of range.
    pub fn derived(&self, observer: &Observer) -> Result<Vec<DerivedHour>, SunError> {
        let suns = hourly_sun(self.start, self.temperature_c.len(), observer)?;
        let hours = suns.into_iter().enumerate();
        Ok(hours
            .map(|(hour, sun)| self.derived_hour(hour, sun))
            .collect())
    }

    fn derived_hour(&self, hour: usize, sun: SunPosition) -> DerivedHour {
        let dew_c = value(&self.dew_point_c, hour)
            .unwrap_or_else(|| dew_point_c(self.temperature_c[hour], HUMIDITY_UNKNOWN));
        DerivedHour {
            radiation: self.split(hour, &sun),
            vapour_pa: saturation_pressure_over_water_pa(dew_c),
            sky_emissivity: value(&self.cloud, hour).map(|cloud| sky_emissivity(dew_c, cloud)),
            sun,
        }
    }

    fn split(&self, hour: usize, sun: &SunPosition) -> Option<Split> {
        let global = value(&self.global_w_m2, hour);
        let beam = value(&self.direct_normal_w_m2, hour).zip(value(&self.diffuse_w_m2, hour));
        if let Some((direct_normal_w_m2, diffuse_w_m2)) = beam {
            let level = direct_normal_w_m2 * sun.cos_zenith().max(0.0) + diffuse_w_m2;
            return Some(Split {
                global_w_m2: global.unwrap_or(level),
                diffuse_w_m2,
                direct_normal_w_m2,
            });
        }
        let from_cloud = || {
            let cloud = value(&self.cloud, hour)?;
            Some(global_from_cloud_w_m2(sun.cos_zenith(), cloud))
        };
        Some(split_global(global.or_else(from_cloud)?, sun))
    }
}

/// The value of an hour; none where the series is missing or ends before.
pub(crate) fn value(series: &Option<Vec<f64>>, hour: usize) -> Option<f64> {
    series.as_ref().and_then(|all| all.get(hour).copied())
}
