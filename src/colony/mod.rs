//! The colony: what its bees burn, how its cluster holds heat, how it ages, breeds and eats through its stores.

pub mod brood;
pub mod cluster;
pub mod metabolism;
pub mod stores;

mod life;

pub use cluster::Cluster;
pub use life::{Colony, Day, End, HoneyUse, Life};
