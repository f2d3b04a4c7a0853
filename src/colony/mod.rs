//! The colony: what its bees burn, how its cluster holds heat, how it ages, breeds, eats through its stores and is confined.

pub mod bees;
pub mod brood;
pub mod cluster;
pub mod combs;
pub mod feeding;
pub mod gut;
pub mod laying;
pub mod metabolism;
pub mod steady;
pub mod stores;

mod day;
mod life;
mod spells;

pub use bees::Headcount;
pub use brood::BroodCount;
pub use cluster::Cluster;
pub use combs::{Combs, Place, Placement};
pub use day::{Day, HoneyUse};
pub use feeding::{Feed, FeedCount, FeedKind};
pub use gut::Gut;
pub use life::{Colony, End, Life};
pub use spells::Spells;
