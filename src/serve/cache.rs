//! The weather that was read last: a page asks for the same again and again.

use crate::scenario::{Scenario, SiteDescription, WeatherSource};
use crate::weather::{Record, WeatherError};
use std::path::PathBuf;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::SystemTime;

/// All that a record depends on.
#[derive(Clone, PartialEq)]
struct Key {
    source: WeatherSource,
    site: SiteDescription,
    /// Files as the disk has them: path, bytes and time of the last change.
    files: Vec<(PathBuf, Option<(u64, Option<SystemTime>)>)>,
}

/// The last record.
#[derive(Default)]
pub(super) struct Weather(Mutex<Option<(Key, Arc<Record>)>>);

impl Weather {
    /// The record of a scenario.
    ///
    /// # Errors
    /// [`WeatherError`] as [`Scenario::record`] gives it.
    pub fn record(&self, scenario: &Scenario) -> Result<Arc<Record>, WeatherError> {
        let key = key(scenario);
        let mut last = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some((of, record)) = &*last
            && *of == key
        {
            return Ok(Arc::clone(record));
        }
        let record = Arc::new(scenario.record()?);
        *last = Some((key, Arc::clone(&record)));
        Ok(record)
    }
}

fn key(scenario: &Scenario) -> Key {
    let paths = match &scenario.weather.source {
        WeatherSource::Sample => &[][..],
        WeatherSource::Files { paths, .. } => paths,
    };
    let files = paths.iter().map(|path| {
        let found = path.metadata().ok();
        (
            path.clone(),
            found.map(|found| (found.len(), found.modified().ok())),
        )
    });
    Key {
        source: scenario.weather.source.clone(),
        // Shelter and snow change no record; its place does.
        site: SiteDescription {
            shelter: 0.0,
            shelter_words: String::new(),
            ..scenario.site.clone()
        },
        files: files.collect(),
    }
}
