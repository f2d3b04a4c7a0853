//! `overwinter serve` in a program that was built without it.

use super::console::Console;
use super::error::CliError;
use clap::Args;
use std::ffi::OsString;

/// A page in your browser. This program was built without it.
#[derive(Debug, Args)]
pub(super) struct Serve {
    /// Whatever it is asked with.
    #[arg(hide = true, trailing_var_arg = true, allow_hyphen_values = true)]
    all: Vec<OsString>,
}

impl Serve {
    pub fn start(&self, _console: &mut Console<'_>) -> Result<(), CliError> {
        Err(CliError::BuiltWithout("serve"))
    }
}
