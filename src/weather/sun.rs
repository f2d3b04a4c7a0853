//! Where the sun stands.
//!
//! The NREL Solar Position Algorithm (Reda & Andreas 2004, Solar Energy 76:577, ±0.0003°) as
//! implemented by the `solar-positioning` crate on `libm`, so that the bytes are the same on every
//! machine.
//!
//! ```
//! use jiff::civil::date;
//! use overwinter::weather::sun::{Observer, sun_position};
//!
//! let helsinki = Observer { latitude_deg: 60.17, longitude_deg: 24.94, elevation_m: 20.0, utc_offset_h: 2.0 };
//! let noon = sun_position(date(2023, 12, 21).at(12, 20, 0, 0), &helsinki)?;
//! assert!((noon.zenith_deg - 83.48).abs() < 0.02);
//! assert!((noon.azimuth_deg - 180.43).abs() < 0.01);
//! # Ok::<(), overwinter::weather::sun::SunError>(())
//! ```

mod day_length;
mod hourly;

use jiff::civil::DateTime;
use solar_positioning::time::JulianDate;
use solar_positioning::{Location, RefractionCorrection, SolarPositions};
use thiserror::Error;

use super::pressure::standard_pressure_pa;

pub use self::day_length::day_length_h;
pub use self::hourly::hourly_sun;

/// Terrestrial time less universal time, s. The 2020 value; from 1960 to 2050 it stays within 45 s of
/// this, which moves the sun by less than 0.0006°.
const DELTA_T_S: f64 = 69.0;

/// Air temperature for refraction, °C: the mean of the standard atmosphere near the ground in the cool
/// season (own estimate; 30 K more or less moves a sun on the horizon by 0.06°).
const REFRACTION_TEMPERATURE_C: f64 = 10.0;

/// A point on the ground and its clock.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Observer {
    /// Degrees north, -90 to 90.
    pub latitude_deg: f64,
    /// Degrees east, -180 to 180.
    pub longitude_deg: f64,
    /// Metres above sea level.
    pub elevation_m: f64,
    /// Hours that the local standard clock is ahead of UTC, -12 to 14.
    pub utc_offset_h: f64,
}

/// The sun as seen from a place at an instant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SunPosition {
    /// Angle from straight up, degrees, with refraction: below the horizon above 90.
    pub zenith_deg: f64,
    /// Compass bearing, degrees clockwise from true north.
    pub azimuth_deg: f64,
    /// Distance of the earth from the sun, astronomical units.
    pub distance_au: f64,
}

impl SunPosition {
    /// Cosine of the zenith angle; zero or less when the sun is on or below the horizon.
    pub fn cos_zenith(&self) -> f64 {
        libm::cos(self.zenith_deg.to_radians())
    }
}

/// A place or a time for which the sun has no position.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum SunError {
    /// Latitude, longitude, elevation or clock offset out of range.
    #[error("no sun position: {field} is {value}, allowed are {allowed}; correct the site")]
    Site {
        /// The field at fault.
        field: &'static str,
        /// Its value.
        value: f64,
        /// The range in words.
        allowed: &'static str,
    },
    /// A year outside the algorithm's range.
    #[error("no sun position at {stamp}: allowed are the years -1999 to 5999")]
    Time {
        /// The local time asked for.
        stamp: DateTime,
    },
}

/// Position of the sun at a local standard time.
///
/// # Errors
/// [`SunError`] when a field of the place is out of its range or not finite, or the year is beyond the
/// algorithm's 6,000 years.
pub fn sun_position(local_time: DateTime, site: &Observer) -> Result<SunPosition, SunError> {
    site.check()?;
    let out_of_time = || SunError::Time { stamp: local_time };
    let instant = Instant::of(local_time, site)?;
    let instant = JulianDate::new(instant.julian_date, DELTA_T_S).map_err(|_| out_of_time())?;
    let prepared = SolarPositions::new()
        .for_time_from_julian(instant)
        .map_err(|_| out_of_time())?;
    let refraction = RefractionCorrection::new(
        standard_pressure_pa(site.elevation_m) / 100.0,
        REFRACTION_TEMPERATURE_C,
    )
    .map_err(|_| out_of_time())?;
    let location = Location {
        latitude: site.latitude_deg,
        longitude: site.longitude_deg,
    };
    let position = prepared
        .at(location, site.elevation_m, Some(refraction))
        .map_err(|_| out_of_time())?;
    Ok(SunPosition {
        zenith_deg: position.zenith_angle(),
        azimuth_deg: position.azimuth(),
        distance_au: prepared.earth_radius_vector().unwrap_or(1.0),
    })
}

/// A local time on the astronomers' clock.
struct Instant {
    /// Days of universal time since noon of 1 January 4713 BC.
    julian_date: f64,
}

impl Instant {
    fn of(local_time: DateTime, site: &Observer) -> Result<Self, SunError> {
        let local_clock = JulianDate::from_utc(
            local_time.year().into(),
            local_time.month().unsigned_abs().into(),
            local_time.day().unsigned_abs().into(),
            local_time.hour().unsigned_abs().into(),
            local_time.minute().unsigned_abs().into(),
            local_time.second().into(),
            DELTA_T_S,
        )
        .map_err(|_| SunError::Time { stamp: local_time })?;
        Ok(Self {
            julian_date: local_clock.julian_date() - site.utc_offset_h / 24.0,
        })
    }
}

impl Observer {
    /// Checks every field against its range.
    ///
    /// # Errors
    /// [`SunError::Site`] names the first field at fault, its value and its range.
    pub fn check(&self) -> Result<(), SunError> {
        let fields = [
            (
                "latitude",
                self.latitude_deg,
                -90.0,
                90.0,
                "-90 to 90 degrees north",
            ),
            (
                "longitude",
                self.longitude_deg,
                -180.0,
                180.0,
                "-180 to 180 degrees east",
            ),
            (
                "elevation",
                self.elevation_m,
                -500.0,
                9_000.0,
                "-500 to 9,000 m",
            ),
            (
                "UTC offset",
                self.utc_offset_h,
                -12.0,
                14.0,
                "-12 to 14 hours",
            ),
        ];
        for (field, value, lowest, highest, allowed) in fields {
            if !(lowest..=highest).contains(&value) {
                return Err(SunError::Site {
                    field,
                    value,
                    allowed,
                });
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    const SITE: Observer = Observer {
        latitude_deg: 47.0,
        longitude_deg: -93.0,
        elevation_m: 350.0,
        utc_offset_h: -6.0,
    };

    #[test]
    fn the_sun_is_highest_in_the_south_near_local_noon() {
        let zenith_at = |hour| {
            sun_position(date(2012, 1, 15).at(hour, 0, 0, 0), &SITE)
                .expect("a valid place and time")
        };
        let highest = (0..24).min_by(|a, b| {
            zenith_at(*a)
                .zenith_deg
                .total_cmp(&zenith_at(*b).zenith_deg)
        });
        assert_eq!(highest, Some(12));
        assert!((zenith_at(12).azimuth_deg - 180.0).abs() < 10.0);
        assert!(zenith_at(0).cos_zenith() < 0.0);
    }

    #[test]
    fn a_place_off_the_globe_is_refused_with_the_field_named() {
        let site = Observer {
            latitude_deg: 147.0,
            ..SITE
        };
        let error = sun_position(date(2012, 1, 15).at(12, 0, 0, 0), &site)
            .expect_err("147 degrees north is no latitude");
        assert!(error.to_string().contains("latitude is 147"));
        let site = Observer {
            utc_offset_h: f64::NAN,
            ..SITE
        };
        assert!(site.check().is_err());
    }

    #[test]
    fn the_poles_have_a_sun_without_a_division_by_zero() {
        for latitude_deg in [-90.0, 0.0, 90.0] {
            let site = Observer {
                latitude_deg,
                ..SITE
            };
            let sun = sun_position(date(2012, 12, 21).at(6, 0, 0, 0), &site)
                .expect("a valid place and time");
            assert!(sun.zenith_deg.is_finite() && sun.azimuth_deg.is_finite());
        }
    }
}
