//! `overwinter parameters`: the table of parameters.

use super::console::Console;
use super::error::CliError;
use crate::parameter::TABLE;
use crate::report::{json, parameters_text};
use clap::Args;

/// The numbers of the model: ranges, marks, sources.
#[derive(Debug, Args)]
pub(super) struct Parameters {
    /// Print the table as JSON.
    #[arg(long)]
    json: bool,
}

impl Parameters {
    pub fn start(&self, console: &mut Console<'_>) -> Result<(), CliError> {
        if self.json {
            return console.print(&json::pretty(&TABLE)?);
        }
        console.print(&parameters_text::text(TABLE))
    }
}
