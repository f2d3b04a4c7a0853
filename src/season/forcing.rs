//! What a winter asks of a hive, hour by hour: made once for all members that share the winter.

use super::hive_site::{Site, SnowBank};
use super::instant::{SUNNY, Weather};
use crate::hive::Face;
use crate::hive::airflow::STANDARD_PRESSURE_PA;
use crate::hive::film::sky_deficit_w_m2;
use crate::weather::Winter;
use crate::weather::derived::value;
use crate::weather::pressure::standard_pressure_pa;
use crate::weather::radiation::{self, Split};
use crate::weather::sun::{Observer, SunError};
use jiff::civil::{Date, DateTime};

/// Share of the sun's radiation that bare ground and grass throw back (WMO and textbooks, from memory: 0.15 to 0.25).
pub const GROUND_ALBEDO: f64 = 0.2;
/// The same of snow (from memory: 0.8 fresh, 0.5 old).
pub const SNOW_ALBEDO: f64 = 0.65;
/// Depth from which on snow in the weather record counts as snow on the ground, m (own estimate: less lets grass show through).
const SNOW_LIES_M: f64 = 0.02;
/// The weather of one winter at hourly instants, ready for the solver. Between instants it runs straight.
#[derive(Clone, Debug, PartialEq)]
pub struct Forcing {
    /// Label of the winter.
    pub label: String,
    /// Local standard time of the first instant, a midnight.
    pub start: DateTime,
    /// Outside air, wind at the station, pressure, sun and sky at each instant; 24 a day and one more.
    pub instants: Vec<Weather>,
    /// Whether the sun is up, at each instant.
    pub daylight: Vec<bool>,
    /// Day of the year of the first day: 1 January of the winter's second year is 1.
    pub first_day: f64,
}

impl Forcing {
    /// From a complete winter at a site, for a hive whose front faces a compass bearing in degrees.
    ///
    /// Radiation is taken as beam and diffuse when the winter has both, else as global, else from the cloud; without any of them
    /// there is no sun. Without cloud the sky counts as warm as the air. A winter without wind is run in still air. Pressure
    /// that is not recorded is that of the elevation.
    ///
    /// # Errors
    /// [`SunError`] when latitude, longitude, elevation or clock of the site are out of range.
    pub fn new(winter: &Winter, site: &Site, faces_deg: f64) -> Result<Self, SunError> {
        let derived = winter.derived(&observer(site))?;
        let pressure_pa = site
            .elevation_m
            .map_or(STANDARD_PRESSURE_PA, standard_pressure_pa);
        let faces = SUNNY.map(|face| plane(face, faces_deg));
        let instants = derived
            .iter()
            .enumerate()
            .map(|(hour, derived)| {
                let outside_c = winter.temperature_c[hour];
                let snow = Snow::of(site, winter, hour);
                let on_face = |split: &Split| {
                    let sun = &derived.sun;
                    faces.map(|face| face.irradiance(split, sun, snow.albedo).total_w_m2())
                };
                let sky = derived.sky_emissivity;
                Weather {
                    outside_c,
                    wind_m_s: value(&winter.wind_m_s, hour).unwrap_or(0.0),
                    pressure_pa: value(&winter.pressure_pa, hour).unwrap_or(pressure_pa),
                    vapour_pa: derived.vapour_pa,
                    sun_w_m2: derived
                        .radiation
                        .as_ref()
                        .map_or([0.0; SUNNY.len()], on_face),
                    sky_w_m2: sky.map_or(0.0, |sky| sky_deficit_w_m2(outside_c, sky)),
                    snow_m: snow.bank_m,
                }
            })
            .collect();
        Ok(Self {
            label: winter.label.clone(),
            start: winter.start,
            instants,
            daylight: derived
                .iter()
                .map(|hour| hour.sun.cos_zenith() > 0.0)
                .collect(),
            first_day: first_day(winter.start),
        })
    }

    /// Whole days.
    #[must_use]
    pub fn days(&self) -> usize {
        self.instants.len().saturating_sub(1) / 24
    }
}

/// The point on the ground: a longitude or clock that is not known is taken from the other.
fn observer(site: &Site) -> Observer {
    let utc_offset_h = site
        .utc_offset_h
        .or(site.longitude_deg.map(|degrees| (degrees / 15.0).round()))
        .unwrap_or(0.0);
    Observer {
        latitude_deg: site.latitude_deg,
        longitude_deg: site
            .longitude_deg
            .unwrap_or((15.0 * utc_offset_h).clamp(-180.0, 180.0)),
        elevation_m: site.elevation_m.unwrap_or(0.0),
        utc_offset_h,
    }
}

fn plane(face: Face, faces_deg: f64) -> radiation::Face {
    match face {
        Face::Side(side) => radiation::Face {
            tilt_deg: 90.0,
            azimuth_deg: (faces_deg + side.turn_deg()).rem_euclid(360.0),
        },
        Face::Lid | Face::Floor => radiation::Face {
            tilt_deg: 0.0,
            azimuth_deg: 0.0,
        },
    }
}

/// Snow of an hour.
#[derive(Debug, PartialEq)]
struct Snow {
    /// Share of the sun that the ground throws back.
    albedo: f64,
    /// Height against the hive, m, from where [`Weather::snow_m`] counts in a forcing.
    bank_m: f64,
}

impl Snow {
    /// By the days that the site names and the depth that the winter records. The depth counts only where the site asks for it, and for the
    /// ground only where it names no days.
    fn of(site: &Site, winter: &Winter, hour: usize) -> Self {
        let days = i64::try_from(hour / 24).unwrap_or(0);
        let start = winter.start.date();
        let date = start.saturating_add(jiff::Span::new().days(days));
        let on_days = site
            .snow
            .map(|[first, last]| lies_within(date, first, last));
        let (bank_m, lies) = match site.snow_bank {
            None => (0.0, false),
            Some(SnowBank::OnDays(height_m)) => match on_days {
                Some(true) => (height_m, true),
                _ => (0.0, false),
            },
            Some(SnowBank::FromWeather) => {
                let depth_m = value(&winter.snow_depth_m, hour).unwrap_or(0.0);
                (depth_m, depth_m > SNOW_LIES_M)
            }
        };
        let albedo = if on_days.unwrap_or(lies) {
            SNOW_ALBEDO
        } else {
            GROUND_ALBEDO
        };
        Self { albedo, bank_m }
    }
}

/// Whether a date lies from one day of the year to another, both counted in, through new year where the second comes first.
fn lies_within(date: Date, first: (i8, i8), last: (i8, i8)) -> bool {
    let day = (date.month(), date.day());
    if first <= last {
        first <= day && day <= last
    } else {
        first <= day || day <= last
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

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    const SITE: Site = Site {
        latitude_deg: 47.0,
        longitude_deg: Some(-94.0),
        utc_offset_h: Some(-6.0),
        elevation_m: Some(350.0),
        snow: Some([(12, 1), (3, 20)]),
        snow_bank: None,
        shelter: 0.35,
    };

    /// Two clear January days at 47 N, in the plain layout.
    fn clear_january() -> Winter {
        let mut text = String::from("time,temperature_c,dew_point_c,cloud_fraction\n");
        for day in 10..=12 {
            for hour in 0..24_i32 {
                // A sensor that never moves would be taken for stuck.
                let outside_c = -15.0 - 0.1 * f64::from(hour % 5);
                text.push_str(&format!("2020-01-{day}T{hour:02}:00,{outside_c},-19,0\n"));
            }
        }
        let options = crate::weather::ReadOptions::default();
        let record =
            crate::weather::read_bytes("case.csv", text.as_bytes(), &options).expect("a record");
        let season = crate::weather::Season {
            start: (1, 10),
            end: (1, 12),
        };
        record.winters(season).expect("winters").winters.remove(0)
    }

    #[test]
    fn days_run_through_new_year_without_a_jump() {
        assert_eq!(first_day(date(2019, 10, 1).at(0, 0, 0, 0)), -91.0);
        assert_eq!(first_day(date(2020, 1, 1).at(0, 0, 0, 0)), 1.0);
        assert_eq!(first_day(date(2019, 12, 31).at(0, 0, 0, 0)), 0.0);
    }

    #[test]
    fn the_january_sun_stands_on_the_south_front_and_hardly_on_the_north_back() {
        let forcing = Forcing::new(&clear_january(), &SITE, 180.0).expect("a forcing");
        let noon = &forcing.instants[12];
        let [front, right, back, left, lid] = noon.sun_w_m2;
        assert!(front > 500.0 && front < 1100.0, "{front}");
        assert!(back < 0.35 * front && right < front && left < front);
        assert!(lid > back && lid < front);
        assert!(forcing.instants[0].sun_w_m2.iter().all(|sun| *sun == 0.0));
        assert_eq!(
            forcing.daylight.iter().take(24).filter(|up| **up).count(),
            8
        );
    }

    #[test]
    fn the_morning_sun_stands_on_the_side_to_the_east() {
        let forcing = Forcing::new(&clear_january(), &SITE, 180.0).expect("a forcing");
        // Facing south, the right side, seen from behind, looks west.
        let [_, right, _, left, _] = forcing.instants[9].sun_w_m2;
        assert!(left > 2.0 * right, "{left} {right}");
    }

    #[test]
    fn a_clear_cold_sky_draws_heat_and_an_unknown_one_does_not() {
        let mut winter = clear_january();
        let clear = Forcing::new(&winter, &SITE, 180.0)
            .expect("a forcing")
            .instants[0]
            .sky_w_m2;
        assert!((80.0..110.0).contains(&clear), "{clear}");
        winter.cloud = None;
        let unknown = &Forcing::new(&winter, &SITE, 180.0)
            .expect("a forcing")
            .instants[12];
        assert_eq!((unknown.sky_w_m2, unknown.sun_w_m2), (0.0, [0.0; 5]));
    }

    #[test]
    fn snow_lies_from_its_first_day_to_its_last_and_is_banked_as_long() {
        let site = Site {
            snow_bank: Some(SnowBank::OnDays(0.3)),
            ..SITE
        };
        let on = |month, day| {
            let mut winter = clear_january();
            winter.start = date(2020, month, day).at(0, 0, 0, 0);
            let Snow { albedo, bank_m } = Snow::of(&site, &winter, 0);
            (albedo, bank_m)
        };
        assert_eq!(on(11, 30), (GROUND_ALBEDO, 0.0));
        assert_eq!(on(12, 1), (SNOW_ALBEDO, 0.3));
        assert_eq!(on(3, 20), (SNOW_ALBEDO, 0.3));
        assert_eq!(on(3, 21), (GROUND_ALBEDO, 0.0));
    }

    #[test]
    fn depth_in_the_record_counts_only_where_the_site_asks_for_it() {
        let mut winter = clear_january();
        let hours = winter.hours();
        let mut depth_m = vec![0.25; hours];
        depth_m[1] = 0.01;
        winter.snow_depth_m = Some(depth_m);
        let by_weather = Site {
            snow: None,
            snow_bank: Some(SnowBank::FromWeather),
            ..SITE
        };
        let snow = |site: &Site, hour| {
            let Snow { albedo, bank_m } = Snow::of(site, &winter, hour);
            (albedo, bank_m)
        };
        assert_eq!(snow(&by_weather, 0), (SNOW_ALBEDO, 0.25));
        assert_eq!(snow(&by_weather, 1), (GROUND_ALBEDO, 0.01));
        let both = Site {
            snow: SITE.snow,
            ..by_weather
        };
        assert_eq!(snow(&both, 1), (SNOW_ALBEDO, 0.01));
        assert_eq!(snow(&SITE, 0), (SNOW_ALBEDO, 0.0));
        let unasked = Site { snow: None, ..SITE };
        assert_eq!(snow(&unasked, 0), (GROUND_ALBEDO, 0.0));
    }
}
