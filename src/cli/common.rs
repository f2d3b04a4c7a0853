//! Options that several commands share.

use super::error::CliError;
use crate::scenario::{self, Scenario};
use crate::units::System;
use clap::Args;
use std::path::PathBuf;

/// Where the scenario is.
#[derive(Debug, Args)]
pub(super) struct ScenarioArgument {
    /// Scenario file (TOML); without it, the built-in sample.
    pub scenario: Option<PathBuf>,
}

impl ScenarioArgument {
    pub fn read(&self) -> Result<Scenario, CliError> {
        match &self.scenario {
            None => Ok(scenario::built_in()),
            Some(path) => Ok(scenario::read(path)?),
        }
    }
}

/// How results are shown.
#[derive(Debug, Args)]
pub(super) struct Show {
    /// Units of the printed results.
    #[arg(long, value_enum, default_value_t)]
    pub units: System,
    /// Print results as JSON, in SI units.
    #[arg(long)]
    pub json: bool,
}

/// Where files go.
#[derive(Debug, Args)]
pub(super) struct Out {
    /// Folder to write results to; made whole or not at all.
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// Replace files that are in it already.
    #[arg(long, requires = "out")]
    pub force: bool,
}

/// A seed as an option has it.
pub(super) fn seed(text: &str) -> Result<u64, String> {
    let needed = || format!("a whole number from 0 to {} is needed", u64::MAX);
    text.parse().map_err(|_| needed())
}
