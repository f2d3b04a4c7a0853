//! The hive: what the user describes, the heat path through each of its surfaces, its openings, and the network of both.
//!
//! [`Hive`] is the description. [`surface`] turns each wall, lid and floor into a chain of heat-storing nodes, [`film`]
//! couples a chain to the air on both sides, [`airflow`] moves air through the openings. A [`Change`] alters the hive in the course
//! of a winter.

pub mod airflow;
pub mod film;
pub mod heatloss;
pub mod surface;
pub mod vapour;

mod description;
mod schedule;

pub use description::{
    Cavity, FINISHES, Finish, Floor, Framing, Hive, HiveError, Joints, Layer, Opening, ScreenState,
    Side, Vent,
};
pub use schedule::{Alteration, Change, InForce, MEAN_HOURS, MOST_CHANGES, When};
pub use surface::{Chain, Face, Zone};
