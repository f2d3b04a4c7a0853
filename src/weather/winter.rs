//! One winter, hour by hour, and what made it hard.

use std::collections::BTreeMap;

use jiff::SignedDuration;
use jiff::civil::DateTime;
use serde::Serialize;

use super::gaps::Repairs;
use super::variable::Variable;

/// Length of the coldest spell that is looked for, hours.
const COLDEST_SPELL_H: usize = 72;

/// Below this the hours of the longest cold spell count, °C.
const COLD_SPELL_BELOW_C: f64 = -10.0;

/// Degree hours count below this, °C: about where a cluster closes (own choice, DESIGN 4).
const DEGREE_HOURS_BELOW_C: f64 = 10.0;

/// One complete winter at hourly instants of local standard time: the first is `start` at 00:00, the last
/// the day of first forage at 00:00, so `24 * days + 1` values a variable.
///
/// Temperature, dew point, wind, cloud, pressure and snow depth are readings at the instant. Radiation is the mean of
/// the hour centred on the instant, half an hour before to half an hour after.
#[derive(Debug, Clone, PartialEq)]
pub struct Winter {
    /// `2010-11`; `2010` for a season within one year; `typical` for a typical year.
    pub label: String,
    /// First instant, local standard time. A typical year is laid in the years 2001 and 2002.
    pub start: DateTime,
    /// Air temperature, °C.
    pub temperature_c: Vec<f64>,
    /// Dew point over water, °C.
    pub dew_point_c: Option<Vec<f64>>,
    /// Wind at station height (10 m), m/s.
    pub wind_m_s: Option<Vec<f64>>,
    /// Global radiation on the horizontal, W/m2.
    pub global_w_m2: Option<Vec<f64>>,
    /// Direct radiation on a plane facing the sun, W/m2.
    pub direct_normal_w_m2: Option<Vec<f64>>,
    /// Diffuse radiation on the horizontal, W/m2.
    pub diffuse_w_m2: Option<Vec<f64>>,
    /// Share of the sky that is covered, 0 to 1.
    pub cloud: Option<Vec<f64>>,
    /// Air pressure at the station, Pa.
    pub pressure_pa: Option<Vec<f64>>,
    /// Depth of snow on the ground, m.
    pub snow_depth_m: Option<Vec<f64>>,
    /// Hours that were not measured, by variable.
    pub repairs: BTreeMap<Variable, Repairs>,
    /// Variables that it goes without although the record has them, with the reason.
    pub warnings: Vec<String>,
}

/// What made a winter hard.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WinterFigures {
    /// Mean temperature, °C.
    pub mean_c: f64,
    /// Lowest hourly temperature, °C.
    pub lowest_c: f64,
    /// Mean of the coldest 72 h, °C.
    pub coldest_spell_c: f64,
    /// Start of the coldest 72 h.
    pub coldest_spell_start: DateTime,
    /// Longest run of hours below -10 °C.
    pub longest_spell_below_minus_10_h: usize,
    /// Degree hours below 10 °C, K h.
    pub degree_hours_below_10_k_h: f64,
}

impl Winter {
    pub(crate) fn new(label: String, start: DateTime) -> Self {
        Winter {
            label,
            start,
            temperature_c: Vec::new(),
            dew_point_c: None,
            wind_m_s: None,
            global_w_m2: None,
            direct_normal_w_m2: None,
            diffuse_w_m2: None,
            cloud: None,
            pressure_pa: None,
            snow_depth_m: None,
            repairs: BTreeMap::new(),
            warnings: Vec::new(),
        }
    }

    pub(crate) fn set(&mut self, variable: Variable, values: Vec<f64>, repairs: Repairs) {
        self.repairs.insert(variable, repairs);
        match variable {
            Variable::Temperature => self.temperature_c = values,
            Variable::DewPoint => self.dew_point_c = Some(values),
            Variable::Wind => self.wind_m_s = Some(values),
            Variable::Cloud => self.cloud = Some(values),
            Variable::Pressure => self.pressure_pa = Some(values),
            Variable::Global => self.global_w_m2 = Some(values),
            Variable::DirectNormal => self.direct_normal_w_m2 = Some(values),
            Variable::Diffuse => self.diffuse_w_m2 = Some(values),
            Variable::SnowDepth => self.snow_depth_m = Some(values),
        }
    }

    /// Number of hourly instants, `24 * days + 1`.
    pub fn hours(&self) -> usize {
        self.temperature_c.len()
    }

    /// The instant of an index; the start for an index beyond all calendars.
    pub fn instant(&self, index: usize) -> DateTime {
        i64::try_from(index)
            .ok()
            .and_then(SignedDuration::try_from_hours)
            .and_then(|duration| self.start.checked_add(duration).ok())
            .unwrap_or(self.start)
    }

    /// What made it hard.
    pub fn figures(&self) -> WinterFigures {
        let values = &self.temperature_c;
        let (coldest, coldest_spell_c) = coldest_mean(values, COLDEST_SPELL_H);
        let mut longest = 0;
        let mut run = 0;
        for &value in values {
            run = if value < COLD_SPELL_BELOW_C {
                run + 1
            } else {
                0
            };
            longest = longest.max(run);
        }
        WinterFigures {
            mean_c: values.iter().sum::<f64>() / values.len().max(1) as f64,
            lowest_c: values.iter().copied().fold(f64::INFINITY, f64::min),
            coldest_spell_c,
            coldest_spell_start: self.instant(coldest),
            longest_spell_below_minus_10_h: longest,
            degree_hours_below_10_k_h: values
                .iter()
                .map(|value| (DEGREE_HOURS_BELOW_C - value).max(0.0))
                .sum(),
        }
    }
}

/// Start and mean of the coldest window; the whole when it is shorter.
fn coldest_mean(values: &[f64], hours: usize) -> (usize, f64) {
    let hours = hours.min(values.len()).max(1);
    values
        .windows(hours)
        .map(|window| window.iter().sum::<f64>() / hours as f64)
        .enumerate()
        .min_by(|(_, a), (_, b)| a.total_cmp(b))
        .unwrap_or((0, f64::NAN))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn winter(temperature_c: Vec<f64>) -> Winter {
        let mut winter = Winter::new("2010-11".to_owned(), jiff::civil::date(2010, 11, 1).into());
        winter.set(Variable::Temperature, temperature_c, Repairs::default());
        winter
    }

    #[test]
    fn the_coldest_three_days_are_found_with_their_start() {
        let mut values = vec![0.0; 24 * 10 + 1];
        values[48..120].fill(-15.0);
        values[200] = -30.0;
        let figures = winter(values).figures();
        assert_eq!(figures.coldest_spell_c, -15.0);
        assert_eq!(
            figures.coldest_spell_start,
            jiff::civil::datetime(2010, 11, 3, 0, 0, 0, 0)
        );
        assert_eq!(figures.lowest_c, -30.0);
        assert_eq!(figures.longest_spell_below_minus_10_h, 72);
        // 72 h at 25 K, one at 40 K, the rest at 10 K below 10 °C.
        assert_eq!(
            figures.degree_hours_below_10_k_h,
            72.0 * 25.0 + 40.0 + f64::from(241 - 73) * 10.0
        );
    }

    #[test]
    fn a_winter_shorter_than_three_days_is_its_own_coldest_spell() {
        let figures = winter(vec![-2.0, 0.0, 2.0]).figures();
        assert_eq!((figures.coldest_spell_c, figures.mean_c), (0.0, 0.0));
    }
}
