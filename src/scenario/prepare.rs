//! From a scenario to a plan: its weather read and cut into winters.

use thiserror::Error;

use super::{Scenario, WeatherSource};
use crate::ensemble::Plan;
use crate::season::Forcing;
use crate::weather::gaps::Repairs;
use crate::weather::pressure::standard_pressure_pa;
use crate::weather::{
    self, Place, ReadOptions, Record, Season, Variable, WeatherError, Winter, sample,
};

/// Hours of temperature that may be filled in without a word in the results: a day of a winter.
const MOST_REPAIRED_H: usize = 24;

/// A scenario that is ready to run.
#[derive(Debug, Clone)]
pub struct Prepared {
    /// What to run.
    pub plan: Plan,
    /// The weather it was made from.
    pub record: Record,
    /// The winters of the plan, in its order.
    pub winters: Vec<Winter>,
    /// Winters of the record that are not complete, with the reason.
    pub refused: Vec<(String, String)>,
    /// What a reader must know of the weather before trusting the figures.
    pub notes: Vec<String>,
}

/// Why a scenario cannot be run.
#[derive(Debug, Error)]
pub enum PrepareError {
    /// Its weather cannot be used.
    #[error(transparent)]
    Weather(#[from] WeatherError),
}

impl Scenario {
    /// Reads the weather of the scenario.
    ///
    /// # Errors
    /// [`WeatherError`] as [`weather::read`] gives it.
    pub fn record(&self) -> Result<Record, WeatherError> {
        let site = Place {
            name: None,
            latitude: Some(self.site.latitude_deg),
            longitude: self.site.longitude_deg,
            elevation_m: self.site.elevation_m,
            utc_offset_h: self.site.utc_offset_h,
        };
        match &self.weather {
            WeatherSource::Sample => {
                let options = ReadOptions::default();
                weather::read_bytes(sample::WINTERS_FILE, sample::WINTERS_CSV, &options)
            }
            WeatherSource::Files { paths, station } => {
                let options = ReadOptions {
                    station: station.clone(),
                    site,
                    ..ReadOptions::default()
                };
                weather::read(paths, &options)
            }
        }
    }

    /// Reads the weather and cuts it into the winters of the season.
    ///
    /// # Errors
    /// [`PrepareError`] when the weather cannot be read or holds no complete winter.
    pub fn prepare(&self) -> Result<Prepared, PrepareError> {
        let record = self.record()?;
        let season = Season {
            start: (self.season.start.month, self.season.start.day),
            end: (self.season.first_forage.month, self.season.first_forage.day),
        };
        let cut = record.winters(season)?;
        let mut site = self.site.site();
        site.elevation_m = site.elevation_m.or(record.place.elevation_m);
        let pressure_pa = site.elevation_m.map(standard_pressure_pa);
        let forcing = |winter: &Winter| Forcing::new(winter, site.latitude_deg, pressure_pa);
        Ok(Prepared {
            plan: Plan {
                hive: self.hive.clone(),
                site,
                colony: self.colony,
                overrides: self.overrides.clone(),
                winters: cut.winters.iter().map(forcing).collect(),
                members: self.ensemble.members,
                seed: self.ensemble.seed,
            },
            notes: notes(&record, &cut.winters),
            record,
            winters: cut.winters,
            refused: cut.refused,
        })
    }
}

fn notes(record: &Record, winters: &[Winter]) -> Vec<String> {
    let mut notes = Vec::new();
    let without_wind = winters.iter().filter(|winter| winter.wind_m_s.is_none());
    let without_wind: Vec<&str> = without_wind.map(|winter| winter.label.as_str()).collect();
    if !without_wind.is_empty() {
        notes.push(format!(
            "no usable wind in {}: run in still air, which spares heat",
            listed(&without_wind, winters.len())
        ));
    }
    if record.typical {
        notes.push(
            "a typical year is one smoothed winter, no record of years: it says nothing of hard winters"
                .to_owned(),
        );
    } else if winters.len() < 8 {
        notes.push(format!(
            "only {} complete winter{} in the record: the odds lean on few years; use a longer record",
            winters.len(),
            if winters.len() == 1 { "" } else { "s" },
        ));
    }
    // Assumptions and sums taken apart; "pressure: column PRES from hPa" only turns a unit that the file states.
    let done = record.account.conversions.iter();
    let done: Vec<&str> = done
        .map(AsRef::as_ref)
        .filter(|done: &&str| !done.contains(" from "))
        .collect();
    if !done.is_empty() {
        notes.push(format!("weather as it was taken: {}", done.join("; ")));
    }
    for winter in winters {
        let repairs = winter.repairs.get(&Variable::Temperature);
        let hours = repairs.map_or(0, Repairs::total);
        if hours > MOST_REPAIRED_H {
            notes.push(format!(
                "winter {}: {hours} h of its temperature are not measured but filled in",
                winter.label
            ));
        }
    }
    notes.extend(record.account.warnings.iter().cloned());
    for winter in winters {
        let warnings = winter.warnings.iter();
        notes.extend(warnings.map(|warning| format!("winter {}: {warning}", winter.label)));
    }
    notes
}

fn listed(labels: &[&str], of: usize) -> String {
    if labels.len() == of {
        "any winter".to_owned()
    } else {
        format!("the winters {}", labels.join(", "))
    }
}
