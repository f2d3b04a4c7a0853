//! Batches: scenarios x stations x rules for the season, cell by cell, to be broken off, resumed, divided and put together.
//!
//! A [`Study`](crate::scenario::Study) gives a [`BatchPlan`], whose cells are named and fingerprinted before the first one is run. [`run`] runs those
//! that a [`BatchFolder`] does not have; each becomes one small file, written whole. [`gather`] reads them in the order of the plan. A cell's
//! result depends on its inputs and on nothing else, so that it does not matter how often a batch was killed, on how many machines it ran, or in which order.

mod cell;
mod contrast;
mod district;
mod error;
mod folder;
mod gather;
mod mean_year;
mod plan;
mod run;
mod shard;

pub use cell::{CellRecord, Figures, Outcome, StationFacts, WinterFigures};
pub use contrast::{Contrast, Spread};
pub use district::{Against, Band, District, Trend, districts};
pub use error::BatchError;
pub use folder::BatchFolder;
pub use gather::{Gathered, gather};
pub use plan::{BatchPlan, PlannedCell, plan};
pub use run::{Done, run};
pub use shard::Shard;
