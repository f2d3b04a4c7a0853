//! The model against what others published: standards, papers, measurements, reference libraries and integrators.
//!
//! Bounds are published ones or those of common practice. Where the model misses one, the miss is listed beside the test with its size ("Known miss") and
//! printed (`--nocapture`), never held from both sides: our own figures stand in `tests/regression`, so better physics cannot fail here.

mod cluster;
mod colony;
mod evidence;
mod heat;
mod heft;
mod hives;
mod honey_use;
mod materials;
mod moist_air;
mod moisture;
mod places;
mod season_reference;
mod sun_and_sky;
