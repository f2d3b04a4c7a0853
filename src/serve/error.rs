//! What can go wrong while the page is served.

use std::io;
use std::path::PathBuf;
use thiserror::Error;

/// Why no page is served.
#[derive(Debug, Error)]
pub enum ServeError {
    /// Another program listens there.
    #[error("--port: {port} is taken by another program; give another, or 0 for any free one")]
    PortTaken {
        /// The port.
        port: u16,
    },
    /// A port that this user may not have.
    #[error(
        "--port: {port} may not be used: {source}; give one from 1024 on, or 0 for any free one"
    )]
    PortRefused {
        /// The port.
        port: u16,
        /// What the system says.
        source: io::Error,
    },
    /// The folder cannot be served.
    #[error(
        "--folder: {path}: {problem}; name a folder with weather files, in which scenarios may be saved"
    )]
    Folder {
        /// The folder.
        path: PathBuf,
        /// What is wrong with it.
        problem: String,
    },
    /// The machine refuses.
    #[error("cannot serve the page: {0}")]
    System(#[from] io::Error),
    /// The machine starts no threads.
    #[error("cannot start threads: {0}")]
    Threads(#[from] rayon::ThreadPoolBuildError),
}

impl ServeError {
    /// Whether what was asked for is at fault, and not the machine.
    #[must_use]
    pub fn is_input(&self) -> bool {
        !matches!(self, Self::System(_) | Self::Threads(_))
    }
}

/// Why a request of the page is refused: words for whoever sits before it.
#[derive(Debug, Error)]
pub(super) enum Refusal {
    /// What the controls say cannot be.
    #[error("{0}")]
    Settings(String),
    /// No answer to save yet.
    #[error(
        "the answer to these settings is not complete; wait until all colonies have run, then save"
    )]
    NotAnswered,
    /// A name that is none.
    #[error(
        "a name has 1 to {most} letters a to z, digits, - and _, and no others; \"{given}\" is none"
    )]
    Name {
        /// As it was given.
        given: String,
        /// Most characters.
        most: usize,
    },
    /// Something of that name is there.
    #[error("{0} is in the folder already, and nothing is overwritten; choose another name")]
    Taken(String),
    /// Files could not be written.
    #[error("not saved: {0}")]
    Write(#[from] crate::report::OutputError),
    /// Too many at once.
    #[error("as many answers as this machine can give are being worked out; try again")]
    Busy,
}
