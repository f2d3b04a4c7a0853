//! What holds for any hive, colony and weather: balances, directions, bits, and what statistics claim of themselves.

mod allowed;
mod any_season;
mod batch_run;
mod damp_directions;
mod directions;
mod fit_recovery;
mod heat_of_water;
mod hive_changes;
mod interval_coverage;
mod outlook;
mod sensible;
mod snow;
mod sun_and_sky;
mod water_balance;
mod weight;
