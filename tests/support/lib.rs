//! What several test binaries share.

pub mod figures;
pub mod hives;
pub mod program;
