//! An hourly energy balance of a honey bee colony in its hive, run through recorded winters.

pub mod batch;
pub mod chart;
pub mod cli;
pub mod colony;
pub mod ensemble;
pub mod evidence;
pub mod fit;
pub mod guide;
pub mod hive;
pub mod lane;
pub mod material;
pub mod normal;
pub mod parameter;
pub mod report;
pub mod scenario;
pub mod season;
#[cfg(feature = "serve")]
pub mod serve;
pub mod source;
pub mod student;
pub mod units;
pub mod weather;
