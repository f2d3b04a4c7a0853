//! Members put aside in a temporary file, block by block, for ensembles that would fill the memory.
//!
//! The file has no name where the system allows it, and goes with the program in any case. A block has its rows, and then for each day and each figure of
//! the day the values of all its members, so that one day of all members is read without the others. All numbers keep their bits.

use super::rows::{Daily, MemberDays, MemberRow};
use std::fs::File;
use std::io::{self, BufWriter, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};
use thiserror::Error;

/// Bytes of a figure of a day.
const VALUE_BYTES: usize = size_of::<f32>();
/// Where temporary files are on a disk, while the usual folder for them may be kept in memory (Filesystem Hierarchy Standard 3.0, 5.15).
const ON_DISK: &str = "/var/tmp";
/// The variable that names another folder.
const FOLDER_VARIABLE: &str = "TMPDIR";

/// Why members could not be put aside or looked at.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum RowsError {
    /// The system refused.
    #[error(
        "{}: members that are too many for the memory cannot be {doing}: {problem}; some 4 kB a member are needed there, or another folder in TMPDIR",
        folder.display()
    )]
    File {
        /// The folder of the temporary file.
        folder: PathBuf,
        /// "put aside" or "read back".
        doing: &'static str,
        /// What the system said.
        problem: String,
    },
    /// The caller asked to stop.
    #[error("interrupted")]
    Interrupted,
}

/// Where a block stands in the file.
#[derive(Clone, Copy, Debug)]
struct Block {
    members: usize,
    rows_at: u64,
    rows_bytes: usize,
    days_at: u64,
    days: usize,
}

/// The file and its blocks.
#[derive(Debug)]
pub(super) struct Spill {
    folder: PathBuf,
    file: Mutex<File>,
    blocks: Vec<Block>,
    end: u64,
}

impl Spill {
    /// An empty file in the folder for temporary files.
    pub fn new() -> Result<Self, RowsError> {
        Self::in_folder(&folder())
    }

    /// An empty file in a folder.
    pub fn in_folder(folder: &Path) -> Result<Self, RowsError> {
        let file = tempfile::tempfile_in(folder).map_err(failed(folder, "put aside"))?;
        Ok(Self {
            folder: folder.to_owned(),
            file: Mutex::new(file),
            blocks: Vec::new(),
            end: 0,
        })
    }

    /// How many blocks there are.
    pub fn blocks(&self) -> usize {
        self.blocks.len()
    }

    /// Puts a block aside; `days` are those of `rows`, one for one.
    pub fn put(&mut self, rows: &[MemberRow], days: &[MemberDays]) -> Result<(), RowsError> {
        let block = self.written(rows, days);
        let block = block.map_err(failed(&self.folder, "put aside"))?;
        self.end = block.days_at + day_bytes(block.members) * block.days as u64;
        self.blocks.push(block);
        Ok(())
    }

    fn written(&mut self, rows: &[MemberRow], days: &[MemberDays]) -> io::Result<Block> {
        let encoded = postcard::to_stdvec(rows).map_err(io::Error::other)?;
        let of_member = |days: &MemberDays| days.daily.iter().map(Vec::len).max();
        let block = Block {
            members: rows.len(),
            rows_at: self.end,
            rows_bytes: encoded.len(),
            days_at: self.end + encoded.len() as u64,
            days: days.iter().filter_map(of_member).max().unwrap_or(0),
        };
        let file = self.file.get_mut().unwrap_or_else(PoisonError::into_inner);
        file.seek(SeekFrom::Start(block.rows_at))?;
        let mut writer = BufWriter::new(file);
        writer.write_all(&encoded)?;
        for day in 0..block.days {
            for daily in Daily::ALL {
                for of_member in days {
                    writer.write_all(&of_member.on_day(day, daily).to_le_bytes())?;
                }
            }
        }
        writer.flush()?;
        Ok(block)
    }

    /// The rows of a block.
    pub fn rows(&self, number: usize) -> Result<Vec<MemberRow>, RowsError> {
        let block = self.blocks[number];
        let bytes = self.read(block.rows_at, block.rows_bytes)?;
        postcard::from_bytes(&bytes)
            .map_err(io::Error::other)
            .map_err(failed(&self.folder, "read back"))
    }

    /// Adds a figure of one day of all members of a block to `values`.
    pub fn on_day(
        &self,
        number: usize,
        day: usize,
        daily: Daily,
        values: &mut Vec<f32>,
    ) -> Result<(), RowsError> {
        let block = self.blocks[number];
        if day >= block.days {
            values.extend(std::iter::repeat_n(f32::NAN, block.members));
            return Ok(());
        }
        let series_bytes = block.members * VALUE_BYTES;
        let before = day as u64 * day_bytes(block.members) + (daily as usize * series_bytes) as u64;
        let bytes = self.read(block.days_at + before, series_bytes)?;
        let (found, _) = bytes.as_chunks();
        values.extend(found.iter().map(|bytes| f32::from_le_bytes(*bytes)));
        Ok(())
    }

    fn read(&self, at: u64, bytes: usize) -> Result<Vec<u8>, RowsError> {
        let mut found = vec![0; bytes];
        let mut file = self.file.lock().unwrap_or_else(PoisonError::into_inner);
        let read = file
            .seek(SeekFrom::Start(at))
            .and_then(|_| file.read_exact(&mut found));
        read.map_err(failed(&self.folder, "read back"))?;
        Ok(found)
    }
}

/// Bytes of one day of so many members.
fn day_bytes(members: usize) -> u64 {
    (members * Daily::ALL.len() * VALUE_BYTES) as u64
}

fn failed(folder: &Path, doing: &'static str) -> impl FnOnce(io::Error) -> RowsError {
    move |error| RowsError::File {
        folder: folder.to_owned(),
        doing,
        problem: error.to_string(),
    }
}

/// The folder that the user names for temporary files, or else one on a disk.
fn folder() -> PathBuf {
    let on_disk = Path::new(ON_DISK);
    let is_named = std::env::var_os(FOLDER_VARIABLE).is_some_and(|folder| !folder.is_empty());
    if !is_named && on_disk.is_dir() {
        return on_disk.to_owned();
    }
    std::env::temp_dir()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_folder_that_takes_no_file_is_named_with_what_to_do() {
        let home = tempfile::tempdir().expect("a folder");
        let missing = home.path().join("no-such-folder");
        let error = Spill::in_folder(&missing).expect_err("no folder");
        let words = error.to_string();
        assert!(
            words.starts_with(&missing.display().to_string()) && words.contains("TMPDIR"),
            "{words}"
        );
    }
}
