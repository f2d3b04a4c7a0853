//! Starts the command line and reports how it ended.

use overwinter::cli::{self, CliError, Console};
use std::process::ExitCode;

fn main() -> ExitCode {
    let mut out = anstream::stdout();
    let mut notes = anstream::stderr();
    let mut console = Console {
        out: &mut out,
        notes: &mut notes,
    };
    let Err(error) = cli::start(std::env::args_os(), &mut console) else {
        return ExitCode::SUCCESS;
    };
    let text = match &error {
        // Clap's text begins with "error:" itself.
        CliError::Usage(usage) => usage.render().ansi().to_string(),
        other => format!("error: {other}"),
    };
    // Nothing is left to do if standard error is gone too.
    let _ = console.note(&text);
    ExitCode::from(error.code())
}
