//! An hourly energy balance of a honey bee colony in its hive, run through recorded winters.

pub mod material;
pub mod source;
pub mod units;
pub mod weather;
