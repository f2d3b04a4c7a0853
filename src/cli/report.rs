//! `overwinter report`: page and pictures of a result that was saved.

use super::built;
use super::common::ChartLook;
use super::console::Console;
use super::error::CliError;
use crate::report::{OutputFolder, Saved};
use crate::units::System;
use clap::Args;
use std::path::PathBuf;

/// Page and pictures of a folder of results again, in other units, widths or colours; nothing is run.
///
/// The folder is one that `--out` of run, compare, sensitivity, sweep or trace has made. Its `report.html` and its pictures are replaced, or
/// written to another folder with `--out`; all else in it is left.
#[derive(Debug, Args)]
pub(super) struct Report {
    /// Folder of results.
    #[arg(value_name = "DIR")]
    folder: PathBuf,
    /// Folder to write page and pictures to, instead of the same; made whole or not at all.
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Replace files that are in it already.
    #[arg(long, requires = "out")]
    force: bool,
    /// Units of page and pictures.
    #[arg(long, value_enum, default_value_t)]
    units: System,
    #[command(flatten)]
    chart: ChartLook,
}

impl Report {
    pub fn start(&self, console: &mut Console<'_>) -> Result<(), CliError> {
        let saved = Saved::read(&self.folder)?;
        let look = self.chart.look(self.units);
        let path = self.out.as_ref().unwrap_or(&self.folder);
        let mut folder = OutputFolder::new(path, self.force || self.out.is_none())?;
        built::tell_pictures(console)?;
        saved.add_shown(&mut folder, look)?;
        folder.finish()?;
        console.print(&format!("{}\n", path.join("report.html").display()))
    }
}
