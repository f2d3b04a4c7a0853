//! What the program was built without: Cargo features that are off.

use super::console::Console;
use super::error::CliError;
use std::sync::LazyLock;

/// The version, with what is not in it.
pub(super) fn version() -> &'static str {
    static VERSION: LazyLock<String> = LazyLock::new(|| {
        let features = [
            ("parquet", cfg!(feature = "parquet")),
            ("png", cfg!(feature = "png")),
            ("serve", cfg!(feature = "serve")),
        ];
        let without: Vec<&str> = features
            .into_iter()
            .filter_map(|(name, built)| (!built).then_some(name))
            .collect();
        let number = env!("CARGO_PKG_VERSION");
        if without.is_empty() {
            number.to_owned()
        } else {
            format!("{number} (built without {})", without.join(", "))
        }
    });
    &VERSION
}

/// Where pictures are asked for: that they are SVG alone, if they are.
pub(super) fn tell_pictures(console: &mut Console<'_>) -> Result<(), CliError> {
    if cfg!(feature = "png") {
        return Ok(());
    }
    console.note(
        "note: this overwinter was built without PNG (Cargo feature png): pictures are SVG only",
    )
}

/// Where tables of a batch are asked for: that they are CSV alone, if they are.
pub(super) fn tell_tables(console: &mut Console<'_>) -> Result<(), CliError> {
    if cfg!(feature = "parquet") {
        return Ok(());
    }
    console.note(
        "note: this overwinter was built without Parquet (Cargo feature parquet): tables are CSV only",
    )
}
