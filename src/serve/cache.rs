//! What was read and run last: of a page that is played with, one hive and the weather mostly stay.

use crate::ensemble::{MemberRows, RowsError};
use crate::scenario::{Scenario, SiteDescription, WeatherSource};
use crate::weather::{Record, WeatherError};
use std::path::PathBuf;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::SystemTime;

/// A file as the disk has it: path, bytes and time of the last change.
#[derive(Clone, PartialEq)]
struct FileState {
    path: PathBuf,
    bytes: Option<u64>,
    changed: Option<SystemTime>,
}

/// All that a record depends on.
#[derive(Clone, PartialEq)]
struct Key {
    source: WeatherSource,
    site: SiteDescription,
    files: Vec<FileState>,
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
        FileState {
            path: path.clone(),
            bytes: found.as_ref().map(std::fs::Metadata::len),
            changed: found.and_then(|found| found.modified().ok()),
        }
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

/// Most hives whose members are kept: a thousand members, the most that the page runs, take some 5 MB.
const MOST_KEPT: usize = 6;

/// Members of one scenario.
struct Kept {
    fingerprint: String,
    record: Arc<Record>,
    rows: Arc<MemberRows>,
}

/// Members that have run, of the scenarios asked last.
#[derive(Default)]
pub(super) struct Known(Mutex<Vec<Kept>>);

impl Known {
    /// The first members of a scenario, by its fingerprint and the very record that it runs on; none where none have run.
    pub fn rows(&self, fingerprint: &str, record: &Arc<Record>) -> Arc<MemberRows> {
        let kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let found = kept.iter().find(|kept| kept.is(fingerprint, record));
        found.map_or_else(Arc::default, |kept| Arc::clone(&kept.rows))
    }

    /// Keeps the first members of a scenario, unless more of them are known or they are too many for the memory; the scenario asked longest ago goes.
    ///
    /// # Errors
    /// [`RowsError`] as of [`MemberRows::copy_from`].
    pub fn keep(
        &self,
        fingerprint: &str,
        record: &Arc<Record>,
        rows: &MemberRows,
    ) -> Result<(), RowsError> {
        if rows.in_memory().is_none() {
            return Ok(());
        }
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let before = kept.iter().position(|kept| kept.is(fingerprint, record));
        let before = before.map(|place| kept.remove(place));
        kept.push(match before {
            Some(before) if before.rows.len() >= rows.len() => before,
            _ => {
                let mut copy = MemberRows::new();
                copy.copy_from(rows, rows.len())?;
                Kept {
                    fingerprint: fingerprint.to_owned(),
                    record: Arc::clone(record),
                    rows: Arc::new(copy),
                }
            }
        });
        let most = kept.len().saturating_sub(MOST_KEPT);
        kept.drain(..most);
        Ok(())
    }
}

impl Kept {
    fn is(&self, fingerprint: &str, record: &Arc<Record>) -> bool {
        self.fingerprint == fingerprint && Arc::ptr_eq(&self.record, record)
    }
}
