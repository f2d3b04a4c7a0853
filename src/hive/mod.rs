//! The hive: what the user describes, the heat path through each of its surfaces, its openings, and the network of both.
//!
//! [`Hive`] is the description. [`surface`] turns each wall, lid and floor into a chain of heat-storing nodes, [`film`]
//! couples a chain to the air on both sides, [`airflow`] moves air through the openings.

pub mod airflow;
pub mod film;
pub mod heatloss;
pub mod surface;
pub mod vapour;

mod description;

pub use description::{
    Cavity, FINISHES, Finish, Floor, Framing, Hive, HiveError, Joints, Layer, Opening, ScreenState,
    Side, Vent,
};
pub use surface::{Chain, Face, Zone};
