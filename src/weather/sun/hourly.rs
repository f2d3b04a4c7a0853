//! The sun hour by hour through a winter, some fifteen times as fast as asking for each hour.

use jiff::civil::DateTime;
use solar_positioning::time::JulianDate;

use super::super::pressure::standard_pressure_pa;
use super::{Instant, Observer, REFRACTION_TEMPERATURE_C, SunError, SunPosition};

/// Positions of the sun at hourly instants of local standard time, from `first` on.
///
/// Right ascension, declination and distance come from the Solar Position Algorithm once a day and are
/// interpolated; the earth's turning is exact for each hour. Within 0.01° of
/// [`sun_position`](super::sun_position), a fiftieth of the sun's width; but where the sun is just at 0.83°
/// below the horizon, at which the algorithm's refraction sets in with 0.6°, one may have it and the other not.
///
/// # Errors
/// As [`sun_position`](super::sun_position).
pub fn hourly_sun(
    first: DateTime,
    hours: usize,
    site: &Observer,
) -> Result<Vec<SunPosition>, SunError> {
    site.check()?;
    let start = Instant::of(first, site)?;
    let days = hours.div_ceil(24);
    let mut noons = Vec::with_capacity(days + 1);
    for day in 0..=days {
        noons.push(DaySun::at(start.julian_date + day as f64, first)?);
    }
    let refraction = Refraction::at(site.elevation_m);
    let (sin_latitude, cos_latitude) = libm::sincos(site.latitude_deg.to_radians());
    let hours = (0..hours).map(|hour| {
        let sun = noons[hour / 24].towards(&noons[hour / 24 + 1], (hour % 24) as f64 / 24.0);
        let julian_date = start.julian_date + hour as f64 / 24.0;
        let hour_angle = (sidereal_time_deg(julian_date) + site.longitude_deg
            - sun.right_ascension_deg)
            .to_radians();
        let (sin_hour, cos_hour) = libm::sincos(hour_angle);
        let (sin_declination, cos_declination) = libm::sincos(sun.declination_deg.to_radians());
        let sin_elevation =
            sin_latitude * sin_declination + cos_latitude * cos_declination * cos_hour;
        let elevation_deg = libm::asin(sin_elevation.clamp(-1.0, 1.0)).to_degrees();
        // From south, westward; multiplied by the cosine of declination, which is never zero for the sun.
        let west = sin_hour * cos_declination;
        let south = cos_hour * sin_latitude * cos_declination - sin_declination * cos_latitude;
        SunPosition {
            zenith_deg: 90.0 - refraction.apparent_deg(elevation_deg),
            azimuth_deg: (libm::atan2(west, south).to_degrees() + 180.0).rem_euclid(360.0),
            distance_au: sun.distance_au,
        }
    });
    Ok(hours.collect())
}

/// Where the sun is among the stars.
#[derive(Debug, Clone, Copy)]
struct DaySun {
    right_ascension_deg: f64,
    declination_deg: f64,
    distance_au: f64,
}

impl DaySun {
    fn at(julian_date: f64, stamp: DateTime) -> Result<Self, SunError> {
        let out_of_time = |_| SunError::Time { stamp };
        let instant = JulianDate::new(julian_date, super::DELTA_T_S).map_err(out_of_time)?;
        let prepared = solar_positioning::SolarPositions::new()
            .for_time_from_julian(instant)
            .map_err(out_of_time)?;
        Ok(Self {
            right_ascension_deg: prepared.right_ascension(),
            declination_deg: prepared.declination(),
            distance_au: prepared.earth_radius_vector().unwrap_or(1.0),
        })
    }

    fn towards(&self, next: &Self, share: f64) -> Self {
        // About one degree a day, and once a year past 360.
        let step = (next.right_ascension_deg - self.right_ascension_deg).rem_euclid(360.0);
        let between = |from: f64, to: f64| from + share * (to - from);
        Self {
            right_ascension_deg: self.right_ascension_deg + share * step,
            declination_deg: between(self.declination_deg, next.declination_deg),
            distance_au: between(self.distance_au, next.distance_au),
        }
    }
}

/// Mean sidereal time at Greenwich, degrees: Reda & Andreas 2008, equation 28. The nutation that the
/// apparent one has moves the sun by less than 0.005°.
fn sidereal_time_deg(julian_date: f64) -> f64 {
    let days = julian_date - 2_451_545.0;
    let centuries = days / 36_525.0;
    280.460_618_37
        + (360.985_647_366_29 * days).rem_euclid(360.0)
        + centuries * centuries * 0.000_387_933
}

/// Refraction of the standard atmosphere at a place: Reda & Andreas 2008, equation 42.
struct Refraction {
    scale_deg: f64,
}

impl Refraction {
    fn at(elevation_m: f64) -> Self {
        let pressure = standard_pressure_pa(elevation_m) / 101_000.0;
        let temperature = 283.0 / (273.0 + REFRACTION_TEMPERATURE_C);
        Self {
            scale_deg: pressure * temperature * 1.02 / 60.0,
        }
    }

    fn apparent_deg(&self, elevation_deg: f64) -> f64 {
        // The upper edge of the sun is up from here on: 0.26667° for its radius, 0.5667° for refraction.
        if elevation_deg < -(0.266_67 + 0.566_7) {
            return elevation_deg;
        }
        let angle = elevation_deg + 10.3 / (elevation_deg + 5.11);
        elevation_deg + self.scale_deg / libm::tan(angle.to_radians())
    }
}

#[cfg(test)]
mod tests {
    use super::super::sun_position;
    use super::*;
    use jiff::ToSpan;
    use jiff::civil::date;

    #[test]
    fn every_hour_is_within_a_hundredth_of_a_degree_of_the_whole_algorithm() {
        for (latitude_deg, longitude_deg, utc_offset_h) in [
            (47.0, -93.0, -6.0),
            (65.0, 25.0, 2.0),
            (-45.0, 170.0, 12.0),
            (0.0, 0.0, 0.0),
        ] {
            let site = Observer {
                latitude_deg,
                longitude_deg,
                elevation_m: 350.0,
                utc_offset_h,
            };
            let first = date(2015, 9, 15).at(0, 0, 0, 0);
            let all = hourly_sun(first, 260 * 24, &site).expect("a valid place and time");
            assert_eq!(all.len(), 260 * 24);
            for (hour, fast) in all.iter().enumerate() {
                let time = first.saturating_add((hour as i64).hours());
                let whole = sun_position(time, &site).expect("a valid place and time");
                let zenith = (fast.zenith_deg - whole.zenith_deg).abs();
                let refraction_sets_in = fast.zenith_deg.max(whole.zenith_deg) > 90.82
                    && fast.zenith_deg.min(whole.zenith_deg) > 90.0;
                assert!(
                    zenith < 0.01 || refraction_sets_in && zenith < 0.65,
                    "{time} {latitude_deg} N: zenith {zenith}°"
                );
                let turn = (fast.azimuth_deg - whole.azimuth_deg + 540.0).rem_euclid(360.0) - 180.0;
                // Bearings crowd together where the sun is overhead.
                let azimuth = (turn * libm::sin(whole.zenith_deg.to_radians())).abs();
                assert!(
                    azimuth < 0.01,
                    "{time} {latitude_deg} N: azimuth {azimuth}°"
                );
                assert!((fast.distance_au - whole.distance_au).abs() < 2e-5);
            }
        }
    }

    #[test]
    fn no_hours_give_no_positions_and_a_bad_place_is_refused() {
        let site = Observer {
            latitude_deg: 47.0,
            longitude_deg: -93.0,
            elevation_m: 350.0,
            utc_offset_h: -6.0,
        };
        let first = date(2015, 9, 15).at(0, 0, 0, 0);
        assert_eq!(hourly_sun(first, 0, &site), Ok(Vec::new()));
        let nowhere = Observer {
            longitude_deg: 500.0,
            ..site
        };
        assert!(hourly_sun(first, 24, &nowhere).is_err());
    }
}
