//! `overwinter new`: a scenario to start from.

use super::console::Console;
use super::error::CliError;
use crate::{report, scenario};
use clap::Args;
use std::path::PathBuf;

/// Writes a commented scenario to start from.
#[derive(Debug, Args)]
pub(super) struct New {
    /// File to write.
    file: PathBuf,
    /// Replace the file if it is there.
    #[arg(long)]
    force: bool,
}

impl New {
    pub fn start(&self, console: &mut Console<'_>) -> Result<(), CliError> {
        report::write_file(&self.file, scenario::starter().as_bytes(), self.force)?;
        let file = self.file.display();
        console.print(&format!(
            "{file} written. Change it to your hive, then: overwinter run {file}"
        ))
    }
}
