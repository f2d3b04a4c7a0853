//! Why evidence cannot be used: always with the row.

use thiserror::Error;

/// Why evidence cannot be read or held against the model.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum EvidenceError {
    /// It is no table of evidence.
    #[error("evidence: {problem}")]
    Layout {
        /// What the TOML reader says, with the line.
        problem: String,
    },
    /// It is of a version that this program does not know.
    #[error("evidence: has version {found}, and this program reads {known}")]
    Version {
        /// The version found.
        found: u32,
        /// The version known.
        known: u32,
    },
    /// A row lacks what every row must have.
    #[error("evidence row {row}: has no {what}; every row needs one")]
    Missing {
        /// The row.
        row: String,
        /// What it lacks.
        what: &'static str,
    },
    /// A number of a row is out of its range.
    #[error("evidence row {row}: {what} is {value}, allowed is {low} to {high}")]
    Range {
        /// The row.
        row: String,
        /// What it is.
        what: String,
        /// The value found.
        value: f64,
        /// Lowest allowed.
        low: f64,
        /// Highest allowed.
        high: f64,
    },
    /// A row names something that is not there.
    #[error("evidence row {row}: knows no {what} {name:?}")]
    Unknown {
        /// The row.
        row: String,
        /// Kind, run, hive, parameter, ...
        what: &'static str,
        /// The name.
        name: String,
    },
    /// Two rows have the same id.
    #[error("evidence row {row}: stands there twice")]
    Twice {
        /// The row.
        row: String,
    },
    /// What a run is made of cannot be used.
    #[error("evidence run {run}: {problem}")]
    Run {
        /// The run.
        run: String,
        /// Why.
        problem: String,
    },
    /// The model finds no state for a row.
    #[error("evidence row {row}: the model finds no state for it in any draw")]
    NoState {
        /// The row.
        row: String,
    },
}
