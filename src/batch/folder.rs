//! The folder of a batch: a plan, a file a cell, results; each whole or not there, whenever the program is killed.

use super::cell::CellRecord;
use super::error::BatchError;
use super::plan::{BatchPlan, PlannedCell};
use super::shard::Shard;
use std::fs::{self, File, TryLockError};
use std::io::{ErrorKind, Write as _};
use std::path::{Path, PathBuf};

/// The plan.
const PLAN: &str = "plan.json";
/// The folder of finished cells.
const CELLS: &str = "cells";
/// Results, which stand for the plan that they were made of.
const RESULTS: [&str; 7] = [
    "results.csv",
    "results.parquet",
    "winters.csv",
    "winters.parquet",
    "stations.csv",
    "district.csv",
    "summary.json",
];
/// All of this program's files that are no results begin so.
const OWN: &str = ".overwinter-";
/// How names of pictures of the stations begin and end.
const PICTURE: (&str, [&str; 2]) = ("district-", [".svg", ".png"]);

/// A folder that a run has for itself, or shares with runs of other parts.
#[derive(Debug)]
pub struct BatchFolder {
    path: PathBuf,
    /// What files are called until they are whole: another run's are not this one's.
    part: String,
    /// Held until dropped; the system lets go of them when the program is killed.
    _locks: Vec<File>,
}

impl BatchFolder {
    /// Opens or makes the folder of a batch, for all of it or for one part, and removes what a killed run left half written.
    ///
    /// Results of another plan, as of before a change of the study, are removed.
    ///
    /// A run of all cells has the folder for itself; runs of parts share it, but no two run the same part.
    ///
    /// # Errors
    /// [`BatchError`] when the folder cannot be made, holds something else, or another run is at work in it.
    pub fn open(path: &Path, plan: &BatchPlan, shard: Option<Shard>) -> Result<Self, BatchError> {
        make(path)?;
        let mut locks = Vec::new();
        let part = match shard {
            None => {
                locks.extend(lock(path, "lock", true)?);
                "unfinished-".to_owned()
            }
            Some(Shard { number, of }) => {
                locks.extend(lock(path, "lock", false)?);
                locks.extend(lock(path, &format!("lock-{number}-of-{of}"), true)?);
                format!("unfinished-{number}-of-{of}-")
            }
        };
        let folder = Self {
            path: path.to_owned(),
            part: format!("{OWN}{part}"),
            _locks: locks,
        };
        // A folder without a plan has at most what other parts have just begun.
        match read_plan(path) {
            Ok(there) if there.study != plan.study => {
                return Err(BatchError::OtherStudy {
                    path: path.to_owned(),
                    found: there.study,
                    asked: plan.study.clone(),
                });
            }
            Ok(there) if there == *plan => {}
            _ => {
                // Results of another plan would pass for those of this one until its own are made.
                for name in RESULTS {
                    remove(&path.join(name))?;
                }
                for picture in folder.pictures()? {
                    remove(&path.join(picture))?;
                }
                folder.write(&path.join(PLAN), &json(&path.join(PLAN), plan)?)?;
            }
        }
        folder.clear(path)?;
        folder.clear(&path.join(CELLS))?;
        Ok(folder)
    }

    /// The cells of the plan, or of one part of it, that are not finished, in its order.
    #[must_use]
    pub fn pending<'a>(&self, plan: &'a BatchPlan, shard: Option<Shard>) -> Vec<&'a PlannedCell> {
        let own = plan.cells_of(shard);
        own.filter(|cell| read_cell(&self.path, cell).is_none())
            .collect()
    }

    /// Keeps a finished cell.
    ///
    /// # Errors
    /// [`BatchError::Io`].
    pub fn keep(&self, cell: &PlannedCell, record: &CellRecord) -> Result<(), BatchError> {
        let path = self.path.join(CELLS).join(&cell.file);
        self.write(&path, &json(&path, record)?)
    }

    /// Puts results into the folder. Those of before go first, so that old and new never stand side by side; so do pictures that are no longer made.
    ///
    /// # Errors
    /// [`BatchError::Io`].
    pub fn put(&self, results: &[(String, Vec<u8>)]) -> Result<(), BatchError> {
        for old in self.pictures()? {
            if !results.iter().any(|(name, _)| *name == old) {
                remove(&self.path.join(old))?;
            }
        }
        for (name, bytes) in results {
            let path = self.path.join(name);
            if fs::read(&path).is_ok_and(|there| there == *bytes) {
                continue;
            }
            remove(&path)?;
        }
        for (name, bytes) in results {
            let path = self.path.join(name);
            if !path.exists() {
                self.write(&path, bytes)?;
            }
        }
        Ok(())
    }

    /// Names of pictures of the stations that are in the folder.
    fn pictures(&self) -> Result<Vec<String>, BatchError> {
        let mut names = Vec::new();
        for entry in fs::read_dir(&self.path).map_err(BatchError::at(&self.path))? {
            let name = entry.map_err(BatchError::at(&self.path))?.file_name();
            let name = name.to_string_lossy();
            let (begin, ends) = PICTURE;
            if name.starts_with(begin) && ends.iter().any(|end| name.ends_with(end)) {
                names.push(name.into_owned());
            }
        }
        Ok(names)
    }

    /// Writes a file beside its place, to the disk, and moves it there.
    fn write(&self, path: &Path, bytes: &[u8]) -> Result<(), BatchError> {
        let folder = path.parent().unwrap_or(&self.path);
        let failed = BatchError::at(path);
        let write = || {
            let mut file = tempfile::Builder::new()
                .prefix(&self.part)
                .tempfile_in(folder)?;
            file.write_all(bytes)?;
            readable(file.path())?;
            file.as_file().sync_all()?;
            file.persist(path).map_err(|error| error.error)?;
            sync_folder(folder)
        };
        write().map_err(failed)
    }

    /// Removes what a killed run of the same part left, or, when the folder is all this run's, of any.
    fn clear(&self, folder: &Path) -> Result<(), BatchError> {
        for entry in fs::read_dir(folder).map_err(BatchError::at(folder))? {
            let path = entry.map_err(BatchError::at(folder))?.path();
            let name = path.file_name().unwrap_or_default().to_string_lossy();
            if name.starts_with(&self.part) {
                remove(&path)?;
            }
        }
        Ok(())
    }
}

/// Removes a file; one that has gone, or never was, is as good as removed.
fn remove(path: &Path) -> Result<(), BatchError> {
    match fs::remove_file(path) {
        Err(error) if error.kind() != ErrorKind::NotFound => Err(BatchError::at(path)(error)),
        _ => Ok(()),
    }
}

/// Makes the folder, or finds that it may be used.
fn make(path: &Path) -> Result<(), BatchError> {
    if path.exists() && !path.is_dir() {
        return Err(BatchError::File(path.to_owned()));
    }
    let parent = path
        .parent()
        .filter(|parent| !parent.as_os_str().is_empty());
    if parent.is_some_and(|parent| !parent.is_dir()) {
        return Err(BatchError::NoParent(
            parent.unwrap_or(Path::new(".")).to_owned(),
        ));
    }
    if path.is_dir() && !path.join(PLAN).exists() {
        for entry in fs::read_dir(path).map_err(BatchError::at(path))? {
            let name = entry.map_err(BatchError::at(path))?.file_name();
            let name = name.to_string_lossy();
            if name != CELLS && name != PLAN && !name.starts_with(OWN) {
                return Err(BatchError::NotABatch(path.to_owned()));
            }
        }
    }
    let cells = path.join(CELLS);
    fs::create_dir_all(&cells).map_err(BatchError::at(&cells))
}

/// A lock, alone or shared; none on a file system that has none: cells are written whole and the same by whoever makes them, so that a lock only
/// spares work.
fn lock(folder: &Path, name: &str, alone: bool) -> Result<Option<File>, BatchError> {
    let path = folder.join(format!("{OWN}{name}"));
    let file = File::options()
        .create(true)
        .truncate(false)
        .write(true)
        .open(&path)
        .map_err(BatchError::at(&path))?;
    let locked = if alone {
        file.try_lock()
    } else {
        file.try_lock_shared()
    };
    match locked {
        Ok(()) => Ok(Some(file)),
        Err(TryLockError::WouldBlock) => Err(BatchError::Locked(folder.to_owned())),
        Err(TryLockError::Error(error)) if error.kind() == ErrorKind::Unsupported => Ok(None),
        Err(TryLockError::Error(error)) => Err(BatchError::at(&path)(error)),
    }
}

/// The plan of a folder.
pub(super) fn read_plan(folder: &Path) -> Result<BatchPlan, BatchError> {
    let path = folder.join(PLAN);
    let no_plan = |problem: String| BatchError::NoPlan {
        path: path.clone(),
        problem,
    };
    let bytes = fs::read(&path).map_err(|error| match error.kind() {
        ErrorKind::NotFound => no_plan("there is no such file".to_owned()),
        _ => no_plan(format!("cannot be read: {error}")),
    })?;
    serde_json::from_slice(&bytes).map_err(|error| no_plan(format!("is no plan: {error}")))
}

/// A finished cell of a folder; none when it is not there, not whole, or made from other inputs.
pub(super) fn read_cell(folder: &Path, cell: &PlannedCell) -> Option<CellRecord> {
    let bytes = fs::read(folder.join(CELLS).join(&cell.file)).ok()?;
    let record: CellRecord = serde_json::from_slice(&bytes).ok()?;
    (record.fingerprint == cell.fingerprint).then_some(record)
}

fn json(path: &Path, value: &impl serde::Serialize) -> Result<Vec<u8>, BatchError> {
    let mut bytes =
        serde_json::to_vec_pretty(value).map_err(|error| BatchError::at(path)(error.into()))?;
    bytes.push(b'\n');
    Ok(bytes)
}

/// Gives a file made for its owner alone the permissions that new ones usually have.
#[cfg(unix)]
fn readable(path: &Path) -> std::io::Result<()> {
    use std::os::unix::fs::PermissionsExt as _;
    fs::set_permissions(path, fs::Permissions::from_mode(0o644))
}

#[cfg(not(unix))]
fn readable(_: &Path) -> std::io::Result<()> {
    Ok(())
}

/// Puts the names in a folder on the disk too.
#[cfg(unix)]
fn sync_folder(folder: &Path) -> std::io::Result<()> {
    File::open(folder)?.sync_all()
}

#[cfg(not(unix))]
fn sync_folder(_: &Path) -> std::io::Result<()> {
    Ok(())
}
