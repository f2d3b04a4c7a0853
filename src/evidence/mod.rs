//! What was measured on wintering colonies, and how far the model is from it.
//!
//! The measurements are data (`rows.toml`): each as published, apart from the conditions that had to be assumed, with its spread, source and mark. [`Evidence`] reads and checks
//! them, [`Predictor`] says what the model gives for each, [`likelihood`] how likely a row is under that, and [`misses`] how far each is off when its source is left out of the
//! fit.

mod error;
mod held;
pub mod leave_out;
pub mod likelihood;
mod measure;
mod nest;
mod predict;
pub mod psis;
mod rest;
mod row;
mod table;
mod winters;

pub use error::EvidenceError;
pub use held::{Held, SEED, SETS, held, shared};
pub use leave_out::{Draw, Miss, coverage, misses};
pub use measure::{At, Between, Measure, OfCluster, OfNest, OutsideOf};
pub use predict::Predictor;
pub use row::{Evidence, EvidenceMark, Kind, Listed, MeanOver, Role, Row, Run};
