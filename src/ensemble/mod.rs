//! Many members over many winters: draws, runs, and what they say together.
//!
//! [`Plan`] is what to run, [`run`] runs it on all cores, [`Summary`] is the answer. The same seed gives the same results for
//! any number of threads.

mod advice;
mod blocks;
mod clustered;
mod compare;
mod confinement;
mod crossing;
mod damp;
mod draws;
mod ensemble_error;
mod feeding;
mod indices;
mod keeper;
mod learning;
mod members;
mod outlook;
mod paired;
mod parallel;
mod plan;
mod precision;
mod regression;
mod replicates;
mod rows;
mod run;
mod sensitivity;
mod sets;
mod shared;
mod shared_draws;
mod smooth_quantile;
mod spill;
mod spread;
pub mod statistics;
mod steps;
mod summary;
mod sweep;
mod watcher;

pub use advice::{
    ADVISED_SHARES, FALL_SYRUP, FeedAdvice, IN_TIME_SHARES, LEAD_DAYS, RiskPoint, StoresAdvice,
};
pub use compare::{Against, Fate, Money, Prices, Side};
pub use confinement::Confinement;
pub use crossing::{Cell, Crossing, SETS_TOGETHER};
pub use damp::{Damp, Filling, Share};
pub use draws::{Draws, REPLICATES, Sampling};
pub use ensemble_error::EnsembleError;
pub use feeding::Feeding;
pub use indices::{Indices, Mixed, indices};
pub use keeper::HiveMeasure;
pub use learning::{Choice, ChoiceLearned, Learning, NeedLearned, OverSets};
pub use members::MemberRows;
pub use outlook::{Asked, FeedOdds, Outlook, day_of, outlook};
pub use paired::{Difference, Verdict, tango};
pub use plan::Plan;
pub use precision::{Precision, Reached, run_until};
pub use replicates::Chance;
pub use rows::{Daily, MemberDays, MemberRow};
pub use run::{grow, run, run_as};
pub use sensitivity::{
    Factor, FactorInfluence, Influence, Sensitivity, factors, members_for, sensitivity,
};
pub use shared::{Figure, SharedRange};
pub use shared_draws::{SharedDraws, SharedDrawsError};
pub use spill::RowsError;
pub use spread::{ColonySpread, Override, OverrideValue, most_likely};
pub use steps::StepEffect;
pub use summary::{
    DAY_QUANTILES, DayQuantiles, EndShare, HeatShare, Need, RanOut, Summary, WinterSummary,
};
pub use sweep::{FromFirst, Kept, Point};
pub use watcher::Watcher;
