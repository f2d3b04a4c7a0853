//! `overwinter materials`: the table of materials.

use super::common::Show;
use super::console::Console;
use super::error::CliError;
use crate::material;
use crate::report::{json, materials_text};
use clap::Args;

/// The table of materials.
#[derive(Debug, Args)]
pub(super) struct Materials {
    #[command(flatten)]
    show: Show,
}

impl Materials {
    pub fn start(&self, console: &mut Console<'_>) -> Result<(), CliError> {
        if self.show.json {
            return console.print(&json::pretty(&materials_text::rows(material::table()))?);
        }
        console.print(&materials_text::text(material::table(), self.show.units))
    }
}
