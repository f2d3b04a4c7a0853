//! Winters made from climate normals, for places without an hourly record and for the sample.
//!
//! What is random passes through as highs and lows (`synoptic.rs`): temperature, cloud, pressure, wind and
//! humidity, tied to one another and smooth in time, with spells of weeks and a part that lasts the
//! winter. What is not random is the sun: radiation from its height and the cloud, and a daily course of
//! temperature that swings under clear skies and hardly does under cloud (`diurnal.rs`).
//!
//! Made winters have the normals' means, spread, persistence and daily range (the tests say how near)
//! and plausible ties between variables. They have **no** sharp fronts, no precipitation or snow, no
//! thaws that stick at 0 °C, no wind direction, and ties that are the same at every place. They stand in for
//! a record; they are none.
//!
//! Each winter has its own ChaCha12 stream, named by its year: asking for more winters, or for a later
//! first one, changes none. The mathematics is `libm`'s, so the bytes are the same on every machine.
//!
//! ```
//! use overwinter::weather::sample;
//! use overwinter::weather::synthesis::synthesise;
//!
//! let normals = sample::normals()?;
//! let winters = synthesise(&normals, 2011, 2, 7)?;
//! assert_eq!(winters.len(), 2);
//! assert_eq!(winters[0].hours[0].time.to_string(), "2011-09-15T00:00:00");
//! assert!(winters[0].hours.iter().any(|hour| hour.temperature_c < -20.0));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod ar2_process;
mod diurnal;
mod plain;
mod synoptic;

use jiff::ToSpan;
use jiff::civil::{Date, DateTime, date};
use rand::SeedableRng;
use rand::rngs::ChaCha12Rng;
use thiserror::Error;

use self::synoptic::{Hour, Synoptic};
use super::humidity::{
    dew_point_c, saturation_pressure_over_ice_pa, saturation_pressure_over_water_pa,
};
use super::normals::{AnnualCycle, Normals};
use super::pressure::standard_pressure_pa;
use super::radiation::{clear_sky_global_w_m2, cloud_transmission};
use super::sun::{SunError, hourly_sun};
use crate::normal;

pub use self::plain::write_winters;

/// One hour of made weather, at the instant of its stamp.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SyntheticHour {
    /// Local standard time.
    pub time: DateTime,
    /// Air temperature, °C.
    pub temperature_c: f64,
    /// Dew point over water, °C; never above the temperature.
    pub dew_point_c: f64,
    /// Wind at 10 m, m/s.
    pub wind_m_s: f64,
    /// Global radiation on level ground, W/m2; zero with the sun down.
    pub global_w_m2: f64,
    /// Cloud cover as a fraction of the sky.
    pub cloud_fraction: f64,
    /// Pressure at the station, Pa.
    pub pressure_pa: f64,
}

/// One made winter: 15 September to 31 May, or 15 March to 30 November south of the equator.
#[derive(Debug, Clone, PartialEq)]
pub struct SyntheticWinter {
    /// Year in which it begins.
    pub year: i16,
    /// Its hours, none missing.
    pub hours: Vec<SyntheticHour>,
}

/// Why no winters can be made.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum SynthesisError {
    /// A year or a count out of range.
    #[error(
        "cannot make {winters} winters from {first_year} on: allowed are 1 to 1,000 winters \
         within the years 1900 to 2200"
    )]
    Years {
        /// The first year asked for.
        first_year: i16,
        /// The number of winters asked for.
        winters: usize,
    },
    /// The site of the normals is out of range.
    #[error(transparent)]
    Sun(#[from] SunError),
}

/// Days made before a winter and after it and thrown away, for the daily course to settle in.
const MARGIN_DAYS: i32 = 2;

/// Standard deviation of the unrest of temperature within the hour, K (own estimate: brings the change
/// from one hour to the next to the 1.0 to 1.3 K of Chicago and Shenyang).
const FLUTTER_K: f64 = 0.5;

/// How much of the daily course of temperature the wind shares (own estimate: Chicago and Lincoln have
/// a fifth to a third more wind in the early afternoon than in the mean).
const WIND_DAILY_COURSE: f64 = 0.22;

/// Driest relative humidity of an air mass (own estimate).
const DRIEST_AIR_MASS: f64 = 0.2;

/// Spread of the humidity of air masses, in standard deviates (own estimate: daily means then have the
/// standard deviation of 0.10 that Chicago and Lincoln show).
const HUMIDITY_SPREAD: f64 = 0.5;

/// Standard deviation of pressure for each kelvin of that of daily mean temperatures, Pa (own estimate:
/// 150 Pa/K at Chicago and Shenyang, 187 at Lincoln; oceans change temperature less but not pressure).
const PRESSURE_SD_PA_K: f64 = 140.0;

/// Shape of the Weibull distribution of wind (common practice: 2, the Rayleigh distribution).
const WIND_SHAPE: f64 = 2.0;

/// Mean of a Weibull distribution of that shape and scale 1: gamma(1.5).
const WIND_UNIT_MEAN: f64 = 0.886_226_925_452_758;

/// Makes winters from climate normals.
///
/// `first_year` is the year in which the first winter begins. The same normals, year and seed give
/// the same winter, to the bit, whatever else is asked for.
///
/// # Errors
/// [`SynthesisError`] when the years or the number of winters are out of range, or the site is.
pub fn synthesise(
    normals: &Normals,
    first_year: i16,
    winters: usize,
    seed: u64,
) -> Result<Vec<SyntheticWinter>, SynthesisError> {
    let refuse = || SynthesisError::Years {
        first_year,
        winters,
    };
    if !(1..=1_000).contains(&winters) {
        return Err(refuse());
    }
    let count = i16::try_from(winters).map_err(|_| refuse())?;
    let end = first_year.checked_add(count).ok_or_else(refuse)?;
    if first_year < 1900 || end > 2200 {
        return Err(refuse());
    }
    let climate = Climate::new(normals)?;
    (first_year..end)
        .map(|year| climate.winter(year, seed))
        .collect()
}

/// The normals as smooth courses of the year.
struct Climate<'a> {
    normals: &'a Normals,
    /// Standard deviation of the daily means of a temperature course whose hourly one is 1.
    unit_daily_sd: f64,
    temperature: AnnualCycle,
    sd: AnnualCycle,
    gain: AnnualCycle,
    range: AnnualCycle,
    wind: AnnualCycle,
    cloud: AnnualCycle,
    humidity: AnnualCycle,
}

impl<'a> Climate<'a> {
    fn new(normals: &'a Normals) -> Result<Self, SunError> {
        Ok(Self {
            normals,
            unit_daily_sd: synoptic::daily_mean_sd(normals.persistence),
            temperature: AnnualCycle::new(&normals.temperature_c),
            sd: AnnualCycle::new(&normals.daily_mean_sd_k),
            gain: diurnal::gain(normals)?,
            range: AnnualCycle::new(&normals.daily_range_k),
            wind: AnnualCycle::new(&normals.wind_m_s),
            cloud: AnnualCycle::new(&normals.cloud_fraction),
            humidity: AnnualCycle::new(&normals.relative_humidity),
        })
    }

    fn winter(&self, year: i16, seed: u64) -> Result<SyntheticWinter, SynthesisError> {
        let (first, last) = season(year, self.normals.site.latitude_deg);
        let times: Vec<DateTime> = first
            .saturating_sub(MARGIN_DAYS.days())
            .series(1.day())
            .take_while(|day| *day <= last.saturating_add(MARGIN_DAYS.days()))
            .flat_map(|day| (0..24).map(move |hour| day.at(hour, 0, 0, 0)))
            .collect();

        let mut rng = ChaCha12Rng::seed_from_u64(seed);
        rng.set_stream(u64::from(year.unsigned_abs()));
        let mut synoptic = Synoptic::new(rng, self.normals.persistence);
        let begin = first.saturating_sub(MARGIN_DAYS.days()).at(0, 0, 0, 0);
        let suns = hourly_sun(begin, times.len(), &self.normals.site)?;
        let skies: Vec<Sky> = times
            .into_iter()
            .zip(&suns)
            .map(|(time, sun)| self.sky(time, sun.cos_zenith(), &mut synoptic))
            .collect();
        let forcing: Vec<f64> = skies
            .iter()
            .map(|sky| diurnal::forcing_w_m2(sky.global_w_m2, sky.cloud_fraction))
            .collect();
        let departures = diurnal::departure(&forcing);
        let season = skies.iter().skip(diurnal::LOST_HOURS).zip(departures);
        let hours = season
            .filter(|(sky, _)| (first..=last).contains(&sky.time.date()))
            .map(|(sky, departure)| self.hour(sky, departure))
            .collect();
        Ok(SyntheticWinter { year, hours })
    }

    /// Cloud and radiation, which nothing but the passing weather and the sun decide.
    fn sky(&self, time: DateTime, cos_zenith: f64, synoptic: &mut Synoptic) -> Sky {
        let month = month_of_year(time);
        let passing = synoptic.next(cloud_with_temperature(self.temperature.at(month)));
        let cloud_mean = self.cloud.at(month).clamp(0.01, 0.99);
        let cloud_fraction = diurnal::cloud_fraction(cloud_mean, passing.cloud);
        let clear = clear_sky_global_w_m2(cos_zenith);
        // The same cover of thin cloud takes less, of thick cloud more; the mean is Kasten & Czeplak's.
        let thickness = 0.7 + 0.6 * normal::probability(passing.thickness);
        let taken = (1.0 - cloud_transmission(cloud_fraction)) * thickness;
        Sky {
            time,
            month,
            passing,
            cloud_fraction,
            global_w_m2: clear * (1.0 - taken),
        }
    }

    /// The hour, once it is known how far the daily course is from the mean of its day.
    fn hour(&self, sky: &Sky, departure_w_m2: f64) -> SyntheticHour {
        let &Sky { month, passing, .. } = sky;
        let sd = self.sd.at(month).max(0.1) / self.unit_daily_sd;
        let daily_course = self.gain.at(month).max(0.0) * departure_w_m2;
        let air_mass_c = self.temperature.at(month) + sd * passing.temperature;
        let temperature_c = air_mass_c + daily_course + FLUTTER_K * passing.flutter;

        // Wind is mixed down in the afternoon and dies in the clear night.
        let swing = daily_course / (0.5 * self.range.at(month).max(1.0));
        let mixing = 1.0 + WIND_DAILY_COURSE * swing.clamp(-1.2, 1.8);
        let scale = self.wind.at(month).max(0.1) / WIND_UNIT_MEAN;
        let calmer = (1.0 - normal::probability(passing.wind)).max(1e-12);
        let wind_m_s = scale * mixing * libm::pow(-libm::log(calmer), 1.0 / WIND_SHAPE);

        // The vapour is the air mass's; its humidity is held below saturation over ice.
        let most = ice_over_water(air_mass_c);
        let mean_humidity = self.humidity.at(month);
        let share =
            ((mean_humidity - DRIEST_AIR_MASS) / (most - DRIEST_AIR_MASS)).clamp(0.02, 0.98);
        let centre = libm::sqrt(1.0 + HUMIDITY_SPREAD * HUMIDITY_SPREAD) * normal::quantile(share);
        let humidity = DRIEST_AIR_MASS
            + (most - DRIEST_AIR_MASS)
                * normal::probability(centre + HUMIDITY_SPREAD * passing.humidity);
        let dew_point = dew_point_c(air_mass_c, humidity)
            .min(dew_point_c(temperature_c, ice_over_water(temperature_c)));

        let pressure_sd_pa = PRESSURE_SD_PA_K * self.sd.at(month).clamp(5.0, 7.0);
        SyntheticHour {
            time: sky.time,
            temperature_c,
            dew_point_c: dew_point,
            wind_m_s,
            global_w_m2: sky.global_w_m2,
            cloud_fraction: sky.cloud_fraction,
            pressure_pa: standard_pressure_pa(self.normals.site.elevation_m)
                + pressure_sd_pa * passing.pressure,
        }
    }
}

/// What the daily course of an hour follows from.
struct Sky {
    time: DateTime,
    month: f64,
    passing: Hour,
    cloud_fraction: f64,
    global_w_m2: f64,
}

/// First and last day of the winter that begins in a year.
fn season(year: i16, latitude_deg: f64) -> (Date, Date) {
    if latitude_deg < 0.0 {
        (date(year, 3, 15), date(year, 11, 30))
    } else {
        (date(year, 9, 15), date(year + 1, 5, 31))
    }
}

/// The point of the year in months: 0 is the start of January.
fn month_of_year(time: DateTime) -> f64 {
    let day = f64::from(time.day()) - 1.0 + f64::from(time.hour()) / 24.0;
    f64::from(time.month()) - 1.0 + day / f64::from(time.date().days_in_month())
}

/// Correlation of cloud with temperature: cold outbreaks are clear, but so are hot days.
fn cloud_with_temperature(normal_temperature_c: f64) -> f64 {
    (0.45 - 0.035 * normal_temperature_c.max(0.0)).max(-0.25)
}

/// Relative humidity over water of air that is saturated over ice; 1 above 0 °C.
fn ice_over_water(temperature_c: f64) -> f64 {
    if temperature_c >= 0.0 {
        1.0
    } else {
        saturation_pressure_over_ice_pa(temperature_c)
            / saturation_pressure_over_water_pa(temperature_c)
    }
}

#[cfg(test)]
mod tests;
