//! Our own figures and pictures, kept as they were: whatever moves them is meant, or is found here. What others published is in `tests/validation`.
//!
//! When a change is meant, say in the commit what moved, by how much and why, see that `cargo test --release --test validation` still holds, and renew:
//!
//! - the small ensemble: `INSTA_UPDATE=always cargo test --release --test regression golden`;
//! - the pictures, after a look at them: `OVERWINTER_PICTURES=write cargo test --release --test regression pictures`;
//! - the guide's page on validation: `overwinter evidence --out DIR`, copied from there;
//! - `own_figures.rs`: by hand.

mod evidence_page;
mod golden;
mod own_figures;
mod pictures;
