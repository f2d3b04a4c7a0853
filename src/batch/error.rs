//! What can keep a batch from running or from being put together.

use crate::ensemble::RowsError;
use std::io;
use std::path::{Path, PathBuf};
use thiserror::Error;

/// Why a batch gave no result. What is wrong with a single cell is no error of the batch: it is recorded.
#[derive(Debug, Error)]
pub enum BatchError {
    /// The caller asked to stop.
    #[error(
        "interrupted; {finished} of {of} cells are finished and kept, the same command goes on from there"
    )]
    Interrupted {
        /// Cells that are finished, of this run's.
        finished: usize,
        /// Cells of this run.
        of: usize,
    },
    /// What becomes of members cannot be kept on this machine.
    #[error(transparent)]
    Rows(#[from] RowsError),
    /// Another run writes there.
    #[error(
        "{0}: another run of this batch is at work there; wait for it, or give each its own part with --shard"
    )]
    Locked(PathBuf),
    /// Something else is there.
    #[error("{0}: is not empty and holds no batch; name another folder")]
    NotABatch(PathBuf),
    /// A file is there.
    #[error("{0}: is a file; name a folder")]
    File(PathBuf),
    /// The folder in which to write is not there.
    #[error("{0}: there is no such folder; make it first")]
    NoParent(PathBuf),
    /// Another study's results are there.
    #[error("{path}: holds the batch of study '{found}', not of '{asked}'; name another folder")]
    OtherStudy {
        /// The folder.
        path: PathBuf,
        /// Whose results are there.
        found: String,
        /// Whose were to be written.
        asked: String,
    },
    /// No plan to put cells together by.
    #[error("{path}: {problem}; name the folder that `overwinter batch STUDY --out` wrote to")]
    NoPlan {
        /// The file.
        path: PathBuf,
        /// What is wrong with it.
        problem: String,
    },
    /// Folders of different batches.
    #[error(
        "{second}: is of another batch than {first}: study, weather, members, seed, draws or version differ; run its parts again"
    )]
    Differs {
        /// The first folder.
        first: PathBuf,
        /// The one that differs.
        second: PathBuf,
    },
    /// Cells are not finished.
    #[error(
        "{missing} of {of} cells are not finished, the first is {first}; run the batch again, or its parts, and put it together then"
    )]
    Unfinished {
        /// Cells that no folder has.
        missing: usize,
        /// Cells of the batch.
        of: usize,
        /// The first of them, in words.
        first: String,
    },
    /// A weather file is not what it was when the batch began.
    #[error("{0}: was changed while the batch ran; run it again, and its cells are made anew")]
    Changed(String),
    /// The system refused.
    #[error("{path}: cannot be read or written: {source}")]
    Io {
        /// The path.
        path: PathBuf,
        /// Why.
        source: io::Error,
    },
}

impl BatchError {
    /// The system's refusal at a path.
    pub(super) fn at(path: &Path) -> impl FnOnce(io::Error) -> Self {
        let path = path.to_owned();
        move |source| Self::Io { path, source }
    }

    /// Whether what the user named is at fault, not the work.
    #[must_use]
    pub fn is_input(&self) -> bool {
        match self {
            Self::NotABatch(_)
            | Self::File(_)
            | Self::NoParent(_)
            | Self::OtherStudy { .. }
            | Self::NoPlan { .. }
            | Self::Differs { .. } => true,
            Self::Interrupted { .. }
            | Self::Rows(_)
            | Self::Locked(_)
            | Self::Unfinished { .. }
            | Self::Changed(_)
            | Self::Io { .. } => false,
        }
    }
}
