//! Why a winter could not be run.

use crate::hive::HiveError;
use thiserror::Error;

/// Why a winter could not be run.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum SeasonError {
    /// Newton's method found no temperatures.
    #[error(
        "no balance found at {outside_c} degC outside: core, mantle, column, upper and lower air stood at {temperatures_c:?} degC; \
         look for extreme layer, opening or parameter values in the scenario"
    )]
    NotConverged {
        /// Last core, mantle, column, upper and lower air.
        temperatures_c: [f64; 5],
        /// Outside air.
        outside_c: f64,
    },
    /// Water freed heat in a way that a step of this length cannot follow: a shorter one can, and [`Solver`](super::Solver) takes it.
    #[error(
        "water moved temperatures by {off_k} K otherwise than the step foresaw; take a shorter step"
    )]
    SplittingError {
        /// By how much, K.
        off_k: f64,
    },
    /// The hive is none.
    #[error("the hive: {0}")]
    Hive(#[from] HiveError),
    /// The winter has no whole day.
    #[error("winter {label} has no whole day of weather")]
    NoDay {
        /// Label of the winter.
        label: String,
    },
}
