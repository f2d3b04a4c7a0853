//! What a winter asks of a hive, hour by hour: made once for all members that share the winter.

use super::balance::Weather;
use crate::hive::airflow::STANDARD_PRESSURE_PA;
use crate::weather::Winter;
use jiff::civil::DateTime;

/// The weather of one winter at hourly instants, ready for the solver. Between instants it runs straight.
///
/// Sun, sky and moisture are no part of it yet: the surroundings of the hive are at air temperature.
#[derive(Clone, Debug, PartialEq)]
pub struct Forcing {
    /// Label of the winter.
    pub label: String,
    /// Local standard time of the first instant, a midnight.
    pub start: DateTime,
    /// Outside air, wind at the station and pressure at each instant; 24 a day and one more.
    pub instants: Vec<Weather>,
    /// Whether the sun is up, at each instant.
    pub daylight: Vec<bool>,
    /// Day of the year of the first day: 1 January of the winter's second year is 1.
    pub first_day: f64,
}

impl Forcing {
    /// From a complete winter at a latitude in degrees; `pressure_pa` is used when the winter has none.
    ///
    /// A winter without wind is run in still air, which its account says.
    #[must_use]
    pub fn new(winter: &Winter, latitude_deg: f64, pressure_pa: Option<f64>) -> Self {
        let value = |series: &Option<Vec<f64>>, hour: usize| series.as_ref().map(|all| all[hour]);
        let instants = (0..winter.temperature_c.len())
            .map(|hour| Weather {
                outside_c: winter.temperature_c[hour],
                wind_m_s: value(&winter.wind_m_s, hour).unwrap_or(0.0),
                pressure_pa: value(&winter.pressure_pa, hour)
                    .or(pressure_pa)
                    .unwrap_or(STANDARD_PRESSURE_PA),
            })
            .collect::<Vec<_>>();
        let first_day = first_day(winter.start);
        let daylight = (0..instants.len())
            .map(|hour| {
                let day = first_day + (hour / 24) as f64;
                sun_is_up(day, (hour % 24) as f64, latitude_deg)
            })
            .collect();
        Self {
            label: winter.label.clone(),
            start: winter.start,
            instants,
            daylight,
            first_day,
        }
    }

    /// Whole days.
    #[must_use]
    pub fn days(&self) -> usize {
        self.instants.len().saturating_sub(1) / 24
    }
}

/// Day of the year of `start`, counted from the 1 January in or next after the winter's first half year as 1.
fn first_day(start: DateTime) -> f64 {
    let of_year = f64::from(start.date().day_of_year());
    let year_days = f64::from(start.date().days_in_year());
    if start.date().month() >= 7 {
        of_year - year_days
    } else {
        of_year
    }
}

/// Whether the sun's centre is above the horizon at an hour of standard time taken as solar time.
///
/// Declination of Cooper 1969, `23.45 deg sin(360 (284 + n) / 365)`: within 1.5 deg, so sunrise within a quarter of an hour and
/// the clock within half an hour of the sun's; flight hours near noon do not feel it.
fn sun_is_up(day: f64, solar_hour: f64, latitude_deg: f64) -> bool {
    let declination =
        23.45_f64.to_radians() * libm::sin((284.0 + day) / 365.0 * std::f64::consts::TAU);
    let hour_angle = ((solar_hour - 12.0) * 15.0).to_radians();
    let latitude = latitude_deg.to_radians();
    libm::sin(latitude) * libm::sin(declination)
        + libm::cos(latitude) * libm::cos(declination) * libm::cos(hour_angle)
        > 0.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn days_run_through_new_year_without_a_jump() {
        assert_eq!(first_day(date(2019, 10, 1).at(0, 0, 0, 0)), -91.0);
        assert_eq!(first_day(date(2020, 1, 1).at(0, 0, 0, 0)), 1.0);
        assert_eq!(first_day(date(2019, 12, 31).at(0, 0, 0, 0)), 0.0);
    }

    #[test]
    fn midwinter_days_at_48_north_are_near_eight_hours_long() {
        let hours = (0..24)
            .filter(|hour| sun_is_up(-9.0, f64::from(*hour), 48.0))
            .count();
        assert!((7..=9).contains(&hours), "{hours}");
    }

    #[test]
    fn the_polar_night_has_no_daylight() {
        assert!((0..24).all(|hour| !sun_is_up(-9.0, f64::from(hour), 72.0)));
    }
}
