//! `overwinter serve`: a page of this machine on which a hive is changed and answers.

use super::common::ScenarioArgument;
use super::console::Console;
use super::error::CliError;
use super::interrupt;
use crate::serve::{Offer, Server, USUAL_PORT};
use crate::units::System;
use clap::Args;
use std::path::PathBuf;

/// A page in your browser, served from this machine to this machine only: move a hive's thickness, lid, entrance, bees and stores, and see it answer.
///
/// The hive of the scenario stands beside a changed one, both in the same winters with the same draws. End it with Ctrl-C.
#[derive(Debug, Args)]
pub(super) struct Serve {
    #[command(flatten)]
    scenario: ScenarioArgument,
    /// Folder whose weather files can be chosen, and in which scenarios and reports are saved.
    #[arg(long, value_name = "DIR", default_value = ".")]
    folder: PathBuf,
    /// Port of 127.0.0.1; 0 takes any free one.
    #[arg(long, value_name = "N", default_value_t = USUAL_PORT)]
    port: u16,
    /// Units that the page begins with; it can be switched.
    #[arg(long, value_enum, default_value_t)]
    units: System,
}

impl Serve {
    pub fn start(&self, console: &mut Console<'_>) -> Result<(), CliError> {
        let (text, path) = self.scenario.text()?;
        let offer = Offer {
            text: &text,
            path: &path,
            folder: &self.folder,
            port: self.port,
            units: self.units,
        };
        let server = Server::bind(&offer, interrupt::flag()?)?;
        console.print(&format!(
            "{}\nOpen this address in a browser on this machine. Ctrl-C ends it.",
            server.url()
        ))?;
        Ok(server.run()?)
    }
}
