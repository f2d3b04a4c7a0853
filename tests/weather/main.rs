//! Records of weather read, repaired and cut into winters; winters made and resampled.

mod any_bytes;
mod layouts;
mod records;
mod resampled_winters;
mod sample_winters;
mod statistics;
mod synthetic_winters;
