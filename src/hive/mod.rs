//! The hive: what the user describes, the heat path through each of its surfaces, its openings, and the network of both.
//!
//! [`Hive`] is the description. [`surface`] turns each wall, lid and floor into a chain of heat-storing nodes, [`film`]
//! couples a chain to the air on both sides, [`airflow`] moves air through the openings. [`heatloss`] sums both at a stated pair of
//! temperatures; [`bridge`] and [`board`] say what framing, edges and another board change in it, [`steps`] what else may be done, [`build`] and [`sheet`] what to cut and buy. A [`Change`] alters the hive in the course
//! of a winter.

pub mod airflow;
pub mod board;
pub mod bridge;
pub mod build;
pub mod film;
pub mod heatloss;
pub mod sheet;
pub mod surface;
pub mod vapour;

mod build_up;
mod description;
mod heft;
mod parts;
mod schedule;
mod step;

pub use build_up::BuildUp;
pub use description::{Hive, HiveError, MOST_BOXES};
pub use parts::{
    Cavity, FINISHES, Finish, Floor, Framing, Joints, Layer, Opening, ScreenState, Side, Vent,
};
pub use schedule::{Alteration, Change, InForce, MEAN_HOURS, MOST_CHANGES, When};
pub use step::{Step, steps};
pub use surface::{Chain, Face, Zone};
