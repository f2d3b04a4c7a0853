//! The commands through the program, as a user starts them.

mod batch;
mod batch_draws;
mod batch_kills;
mod changes;
mod commands;
mod compare;
mod feeding;
mod fit;
mod heatloss;
mod outlook;
mod parameters;
mod precision;
mod refusals;
mod results;
mod run;
mod sensitivity;
mod stores;
mod studies;
mod sweep;
