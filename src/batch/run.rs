//! Runs the cells that a folder does not have yet.

use super::cell::{CellRecord, Figures, Outcome, StationFacts};
use super::error::BatchError;
use super::folder::BatchFolder;
use super::mean_year;
use super::plan::{BatchPlan, PlannedCell};
use super::shard::Shard;
use crate::ensemble::{self, EnsembleError, RowsError, Summary, Watcher};
use crate::scenario::{Scenario, Station, Study, WeatherSource};
use crate::weather::{self, ReadOptions, Record};
use rayon::ThreadPool;
use std::path::Path;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex};

/// Most stations whose weather is in memory at once: while one is read, the members of others keep the threads busy (own choice).
const MOST_STATIONS: usize = 4;

/// What a run did.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Done {
    /// Cells of its part.
    pub cells: usize,
    /// Of them, those that were finished before.
    pub before: usize,
}

/// Runs every cell of `plan`, or of one part of it, that `folder` does not have, its members on the threads of `pool`.
///
/// Each cell is kept as soon as it is finished. One that cannot be run is kept with its reason and does not stop the others.
///
/// # Errors
/// [`BatchError`] when the watcher stops it, a file cannot be written, or weather changes meanwhile. What is finished is kept.
pub fn run(
    study: &Study,
    plan: &BatchPlan,
    folder: &BatchFolder,
    shard: Option<Shard>,
    pool: &ThreadPool,
    watcher: &impl Watcher,
) -> Result<Done, BatchError> {
    let of = plan.cells_of(shard).count();
    let pending = folder.pending(plan, shard);
    let before = of - pending.len();
    let stations: Vec<&[&PlannedCell]> = pending
        .chunk_by(|one, next| one.station == next.station)
        .collect();

    let next = AtomicUsize::new(0);
    let finished = AtomicUsize::new(before);
    let broken = AtomicBool::new(false);
    let failure: Mutex<Option<BatchError>> = Mutex::new(None);
    let watcher = Stopping {
        watcher,
        broken: &broken,
    };
    let work = || {
        while let Some(cells) = stations.get(next.fetch_add(1, Ordering::Relaxed)) {
            let job = Job {
                study,
                plan,
                folder,
                pool,
                finished: &finished,
                of,
            };
            if let Err(error) = job.station(cells, &watcher) {
                broken.store(true, Ordering::Relaxed);
                // The first is told; others follow from it.
                if let Ok(mut first) = failure.lock() {
                    first.get_or_insert(error);
                }
                return;
            }
        }
    };
    std::thread::scope(|scope| {
        let threads = pool
            .current_num_threads()
            .min(MOST_STATIONS)
            .min(stations.len());
        for _ in 0..threads {
            scope.spawn(work);
        }
    });
    match failure.into_inner() {
        Ok(Some(error)) => Err(error),
        _ => Ok(Done { cells: of, before }),
    }
}

/// Stops when its watcher does, or when another station's work has failed.
struct Stopping<'a, W> {
    watcher: &'a W,
    broken: &'a AtomicBool,
}

impl<W: Watcher> Watcher for Stopping<'_, W> {
    fn finished(&self) {
        self.watcher.finished();
    }

    fn stop(&self) -> bool {
        self.watcher.stop() || self.broken.load(Ordering::Relaxed)
    }

    fn flag(&self) -> Arc<AtomicBool> {
        self.watcher.flag()
    }
}

struct Job<'a> {
    study: &'a Study,
    plan: &'a BatchPlan,
    folder: &'a BatchFolder,
    pool: &'a ThreadPool,
    finished: &'a AtomicUsize,
    of: usize,
}

impl Job<'_> {
    /// Runs cells of one station.
    fn station(&self, cells: &[&PlannedCell], watcher: &impl Watcher) -> Result<(), BatchError> {
        let Some(first) = cells.first() else {
            return Ok(());
        };
        if watcher.stop() {
            return Err(self.interrupted());
        }
        let station = &self.study.stations[first.station];
        let shown = |words: &str| self.shown(words);
        let record = read(station);
        if let Ok(record) = &record {
            let read = record.files.iter().map(|file| &file.sha256);
            if !read.eq(&first.weather) {
                return Err(BatchError::Changed(station.name.clone()));
            }
        }
        let place = record
            .as_ref()
            .ok()
            .map(|record| StationFacts::new(record, &shown));
        for cell in cells {
            let outcome = match &record {
                Err(reason) => Outcome::Failed(shown(reason)),
                Ok(record) => self.cell(station, cell, record, watcher)?,
            };
            let record = CellRecord {
                fingerprint: cell.fingerprint.clone(),
                station: self.plan.stations[cell.station].clone(),
                scenario: self.plan.scenarios[cell.scenario].clone(),
                season: self.plan.seasons[cell.season].clone(),
                place: place.clone(),
                outcome,
            };
            self.folder.keep(cell, &record)?;
            self.finished.fetch_add(1, Ordering::Relaxed);
        }
        Ok(())
    }

    /// Runs one cell.
    fn cell(
        &self,
        station: &Station,
        cell: &PlannedCell,
        record: &Record,
        watcher: &impl Watcher,
    ) -> Result<Outcome, BatchError> {
        let failed = |reason: String| Ok(Outcome::Failed(self.shown(&reason)));
        let (_, scenario) = &self.study.scenarios[cell.scenario];
        let mut scenario = match placed(scenario, station, record) {
            Ok(scenario) => scenario,
            Err(reason) => return failed(reason),
        };
        scenario.ensemble = self.study.ensemble;
        if let Some(days) = &self.study.seasons[cell.season].days {
            match mean_year::season(record, days) {
                Ok(season) => scenario.season = season,
                Err(reason) => return failed(reason),
            }
        }
        let prepared = match scenario.prepare_from(record.clone()) {
            Ok(prepared) => prepared,
            Err(error) => return failed(error.to_string()),
        };
        let plan = &prepared.plan;
        match self.pool.install(|| ensemble::run(plan, watcher)) {
            Ok(rows) => {
                let summary = match Summary::new(plan, &rows) {
                    Err(RowsError::Interrupted) => return Err(self.interrupted()),
                    summary => summary?,
                };
                let shown = |words: &str| self.shown(words);
                let needs_kg = rows.values(|row| row.need_kg)?;
                let figures = Figures::new(&scenario, &prepared, (&summary, needs_kg), &shown);
                Ok(Outcome::Finished(Box::new(figures)))
            }
            Err(EnsembleError::Interrupted) => Err(self.interrupted()),
            Err(EnsembleError::Rows(error)) => Err(error.into()),
            Err(error) => failed(error.to_string()),
        }
    }

    fn interrupted(&self) -> BatchError {
        BatchError::Interrupted {
            finished: self.finished.load(Ordering::Relaxed),
            of: self.of,
        }
    }

    /// Words with paths from the study's folder, so that results do not tell where the program was started.
    fn shown(&self, words: &str) -> String {
        let folder = self.study.path.parent().unwrap_or(Path::new(""));
        if folder.as_os_str().is_empty() {
            return words.to_owned();
        }
        let folder = folder.join("");
        words.replace(folder.to_string_lossy().as_ref(), "")
    }
}

/// The record of a station, or why there is none.
fn read(station: &Station) -> Result<Record, String> {
    let options = ReadOptions {
        station: station.code.clone(),
        site: station.place.clone(),
        columns: station.columns.clone(),
    };
    weather::read(&station.paths, &options).map_err(|error| error.to_string())
}

/// The scenario at a station.
fn placed(scenario: &Scenario, station: &Station, record: &Record) -> Result<Scenario, String> {
    let place = &record.place;
    let latitude_deg = match place.latitude {
        Some(latitude) if (0.0..=90.0).contains(&latitude) => latitude,
        Some(latitude) => {
            return Err(format!(
                "latitude {latitude} is not 0 to 90 degrees north: brood rearing is modelled for winters of the northern hemisphere"
            ));
        }
        None => {
            return Err(
                "no latitude: the files do not state it; give it under [[station]]".to_owned(),
            );
        }
    };
    let mut scenario = scenario.clone();
    scenario.site.name.clone_from(&station.name);
    scenario.site.latitude_deg = latitude_deg;
    scenario.site.longitude_deg = place.longitude;
    scenario.site.elevation_m = place.elevation_m;
    scenario.site.utc_offset_h = place.utc_offset_h;
    scenario.site.snow = station.snow.or(scenario.site.snow);
    scenario.weather.source = WeatherSource::Files {
        paths: station.paths.clone(),
        station: station.code.clone(),
        columns: station.columns.clone().map(Box::new),
    };
    Ok(scenario)
}
