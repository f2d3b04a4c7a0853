//! The sample that comes with the program: ten invented winters of an invented cold northern place.
//!
//! They are made by [`synthesise`](super::synthesis::synthesise) from the normals beside them; how, and
//! what their statistics are, is in `weather/README.md`.

use super::normals::{Normals, NormalsError, normals_from_toml};

/// The ten winters in the plain layout.
pub const WINTERS_CSV: &[u8] = include_bytes!("../../weather/kettlewend.csv");

/// Name of the file that holds them, for messages and outputs.
pub const WINTERS_FILE: &str = "weather/kettlewend.csv";

/// The normals that they are made from.
pub const NORMALS_TOML: &str = include_str!("../../weather/kettlewend-normals.toml");

/// Year in which the first winter begins.
pub const FIRST_YEAR: i16 = 2011;

/// Number of winters.
pub const WINTERS: usize = 10;

/// Seed of the winters.
pub const SEED: u64 = 17;

/// The normals of the sample's place.
///
/// # Errors
/// None for the text that is built in; the type is that of [`normals_from_toml`].
pub fn normals() -> Result<Normals, NormalsError> {
    normals_from_toml(NORMALS_TOML)
}
