//! From a scenario to a plan: its weather read and cut into winters.

use thiserror::Error;

use super::{Scenario, WeatherDescription, WeatherSource};
use crate::ensemble::{LEAD_DAYS, Plan};
use crate::hive::Hive;
use crate::season::{Forcing, SnowBank};
use crate::weather::gaps::Repairs;
use crate::weather::resampling::{Blocks, ResamplingError, resample_winters, warm_winter};
use crate::weather::sun::SunError;
use crate::weather::{
    self, Place, ReadOptions, Record, Season, Variable, WeatherError, Winter, sample,
};

/// Fewer winters than these are said to be few (own choice: a risk of one in eight would not show in them).
const FEW_WINTERS: usize = 8;
/// Hours of temperature that may be filled in without a word in the results: a day of a winter.
const MOST_REPAIRED_H: usize = 24;

/// A scenario that is ready to run.
#[derive(Debug, Clone)]
pub struct Prepared {
    /// What to run.
    pub plan: Plan,
    /// The weather it was made from.
    pub record: Record,
    /// The winters of the plan, in its order: those recorded, or those resampled from them, warmed where that is asked.
    pub winters: Vec<Winter>,
    /// Outside air of the hours of whole days before each winter, degC, where the record has them: for feed, which is given in time or too late. Of
    /// resampled winters there are none.
    pub before_c: Vec<Vec<f64>>,
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
    /// Its winters cannot be resampled.
    #[error(
        "{file}: weather.resample: {asked}: {problem}; name files of more winters, or leave resample out"
    )]
    Resampling {
        /// The scenario's file, or its name where it has none.
        file: String,
        /// Number of winters asked for.
        asked: u16,
        /// Why not.
        problem: ResamplingError,
    },
    /// Snow against the hive is to be as deep as in weather files that say nothing of it.
    #[error(
        "{weather}: no winter has a depth of snow (or it is 0 in all hours), which site.snow_bank = \"weather\" asks for; give a height and the days of snow instead: snow_bank = \"30 cm\", snow = [\"1 December\", \"20 March\"]"
    )]
    NoSnowDepth {
        /// The weather files.
        weather: String,
    },
    /// The sun cannot be placed.
    #[error(transparent)]
    Sun(#[from] SunError),
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
        match &self.weather.source {
            WeatherSource::Sample => {
                let options = ReadOptions {
                    site,
                    ..ReadOptions::default()
                };
                weather::read_bytes(sample::WINTERS_FILE, sample::WINTERS_CSV, &options)
            }
            WeatherSource::Files {
                paths,
                station,
                columns,
            } => {
                let options = ReadOptions {
                    station: station.clone(),
                    site,
                    columns: columns.as_deref().cloned(),
                };
                weather::read(paths, &options)
            }
        }
    }

    /// Reads the weather, cuts it into the winters of the season, and resamples and warms them where the scenario asks for it.
    ///
    /// # Errors
    /// [`PrepareError`] when the weather cannot be read, holds no complete winter, too few to resample, or no depth of snow where the site asks
    /// for it.
    pub fn prepare(&self) -> Result<Prepared, PrepareError> {
        self.prepare_from(self.record()?)
    }

    /// As [`Scenario::prepare`], with a record that is read already.
    ///
    /// # Errors
    /// As [`Scenario::prepare`].
    pub fn prepare_from(&self, record: Record) -> Result<Prepared, PrepareError> {
        let season = Season {
            start: (self.season.start.month, self.season.start.day),
            end: (self.season.first_forage.month, self.season.first_forage.day),
        };
        let cut = record.winters(season)?;
        let winters = self.changed(&cut.winters)?;
        let mut site = self.site.site();
        let by_weather = site.snow_bank == Some(SnowBank::FromWeather);
        if by_weather && winters.iter().all(|winter| winter.snow_depth_m.is_none()) {
            return Err(PrepareError::NoSnowDepth {
                weather: weather::record::names(&record.files),
            });
        }
        site.elevation_m = site.elevation_m.or(record.place.elevation_m);
        site.longitude_deg = site.longitude_deg.or(record.place.longitude);
        site.utc_offset_h = site.utc_offset_h.or(record.place.utc_offset_h);
        let faces_deg = self.hive.faces_deg;
        let forcings = winters
            .iter()
            .map(|winter| Forcing::new(winter, &site, faces_deg));
        let forcings = forcings.collect::<Result<Vec<_>, _>>()?;
        Ok(Prepared {
            plan: Plan {
                hive: self.hive.clone(),
                site,
                colony: self.colony.clone(),
                overrides: self.overrides.clone(),
                winters: forcings,
                members: self.ensemble.members,
                seed: self.ensemble.seed,
                sampling: self.ensemble.sampling,
                shared_draws: None,
                shared_sets: self.ensemble.shared_sets,
            },
            notes: notes(&record, &cut.winters, &self.weather, by_weather)
                .into_iter()
                .chain(tight_layers(&self.hive))
                .collect(),
            before_c: self.before_c(&record, &winters),
            record,
            winters,
            refused: cut.refused,
        })
    }

    fn before_c(&self, record: &Record, winters: &[Winter]) -> Vec<Vec<f64>> {
        let most_days = match self.weather.resample {
            None => LEAD_DAYS,
            Some(_) => 0,
        };
        let before = winters.iter().map(|winter| {
            let recorded_c = record.days_before(winter.start, most_days);
            let warmed_c = recorded_c.into_iter().map(|c| c + self.weather.warming_k);
            warmed_c.collect()
        });
        before.collect()
    }

    /// The winters to run, from those recorded.
    fn changed(&self, recorded: &[Winter]) -> Result<Vec<Winter>, PrepareError> {
        let WeatherDescription {
            source: _,
            resample,
            warming_k,
        } = self.weather;
        let seed = self.ensemble.seed;
        let mut winters = match resample {
            None => recorded.to_vec(),
            Some(asked) => resample_winters(recorded, asked.into(), &Blocks::default(), seed)
                .map_err(|problem| PrepareError::Resampling {
                    file: self
                        .path
                        .as_ref()
                        .map_or_else(|| self.name.clone(), |path| path.display().to_string()),
                    asked,
                    problem,
                })?,
        };
        if warming_k != 0.0 {
            winters = winters
                .iter()
                .map(|winter| warm_winter(winter, warming_k))
                .collect();
        }
        Ok(winters)
    }
}

fn notes(
    record: &Record,
    winters: &[Winter],
    weather: &WeatherDescription,
    snow_by_weather: bool,
) -> Vec<String> {
    let mut notes = made(winters, weather);
    let hence = match weather.resample {
        Some(_) => ", and hence in no resampled one",
        None => "",
    };
    let mut lacks = |what: &str, meaning: &str, lacking: fn(&Winter) -> bool| {
        let labels: Vec<&str> = winters
            .iter()
            .filter(|winter| lacking(winter))
            .map(|w| w.label.as_str())
            .collect();
        if !labels.is_empty() {
            notes.push(format!(
                "no usable {what} in {}{hence}: {meaning}",
                listed(&labels, winters.len())
            ));
        }
    };
    lacks("wind", "run in still air, which spares heat", |winter| {
        winter.wind_m_s.is_none()
    });
    lacks("radiation nor cloud", "run without sun", |winter| {
        sun_of(winter).is_none()
    });
    lacks(
        "radiation",
        "the sun is taken from the cloud, right on average and a third off in a single hour",
        |winter| sun_of(winter) == Some("cloud"),
    );
    lacks(
        "cloud",
        "the sky counts as warm as the air, which spares heat on clear nights",
        |winter| winter.cloud.is_none(),
    );
    lacks(
        "dew point",
        "the air outside counts as 80 % humid, so wet and frost in the hive are rough",
        |winter| winter.dew_point_c.is_none(),
    );
    if snow_by_weather {
        lacks(
            "depth of snow",
            "run without snow against the hive",
            |winter| winter.snow_depth_m.is_none(),
        );
    }
    // Of a typical year the record's own warnings tell.
    if !record.typical && winters.len() < FEW_WINTERS {
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

/// Materials of a hive whose vapour factor is not known.
fn tight_layers(hive: &Hive) -> Option<String> {
    let floor = hive.floor.board().map_or(&[][..], |(layers, _)| layers);
    let layers = hive.wall.iter().chain(&hive.lid).chain(floor);
    let mut names: Vec<&str> = layers
        .map(|layer| &layer.material)
        .filter(|material| {
            material
                .vapour_factor_dry
                .or(material.vapour_factor_wet)
                .is_none()
        })
        .map(|material| material.name.as_ref())
        .collect();
    names.sort_unstable();
    names.dedup();
    (!names.is_empty()).then(|| {
        format!(
            "no vapour factor is known of {}: it counts as tight; give one in [[material]]",
            names.join(", ")
        )
    })
}

/// What was made of the recorded winters, and what that cannot show.
fn made(winters: &[Winter], weather: &WeatherDescription) -> Vec<String> {
    let mut notes = Vec::new();
    if let (Some(count), [first, .., last]) = (weather.resample, winters) {
        let Blocks {
            shortest_days,
            longest_days,
            ..
        } = Blocks::default();
        notes.push(format!(
            "{count} winters made from the {} recorded ones, {} to {}, by joining blocks of {shortest_days} to {longest_days} days: no \
             hour is colder than recorded, and whole winters differ somewhat less than real ones (by up to about an eighth)",
            winters.len(),
            first.label,
            last.label
        ));
    }
    let shift_k = weather.warming_k;
    if shift_k != 0.0 {
        let changed = if shift_k > 0.0 { "warmer" } else { "colder" };
        notes.push(format!(
            "every hour made {:.1} K {changed} than recorded at the same relative humidity; wind, cloud, daily range, spread of winters \
             and the days of the season are left as they are, though a changed climate changes them too",
            shift_k.abs()
        ));
    }
    notes
}

/// What a winter's sun is taken from.
fn sun_of(winter: &Winter) -> Option<&'static str> {
    let beam = winter.direct_normal_w_m2.is_some() && winter.diffuse_w_m2.is_some();
    if beam || winter.global_w_m2.is_some() {
        return Some("radiation");
    }
    winter.cloud.is_some().then_some("cloud")
}

fn listed(labels: &[&str], of: usize) -> String {
    if labels.len() == of {
        "any winter".to_owned()
    } else {
        format!("the winters {}", labels.join(", "))
    }
}
