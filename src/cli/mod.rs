//! The command line: definitions here, one file a command.
//!
//! Nothing here prints or exits: [`start`] writes to the console that it is given and returns what went wrong.

mod batch;
mod built;
mod common;
mod compare;
mod console;
mod error;
mod evidence;
mod fit;
mod guide;
mod heatloss;
mod hives;
mod interrupt;
mod materials;
mod new;
mod outlook;
mod parameters;
mod precision;
mod progress;
mod repeat;
mod report;
mod run;
mod sensitivity;
#[cfg_attr(not(feature = "serve"), path = "no_serve.rs")]
mod serve;
mod sheet;
mod sweep;
mod trace;
mod weather;
mod with;

pub use console::Console;
pub use error::CliError;

use clap::{Parser, Subcommand};

/// Honey that a winter takes, and what a hive changes.
///
/// An hourly energy balance of a honey bee colony in its hive, run through recorded winters with uncertain
/// colonies and parameters.
#[derive(Debug, Parser)]
#[command(name = "overwinter", version = built::version(), about, long_about, max_term_width = 100)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Honey needed and the risk of running out, for one scenario.
    Run(run::Run),
    /// Two or more hives on the same winters and draws: what one saves over the other, and whether that can be told.
    Compare(compare::Compare),
    /// Many scenarios at many stations: a study, cell by cell, resumed after an interruption.
    Batch(batch::Batch),
    /// Puts a batch together that was run in parts.
    Merge(batch::Merge),
    /// One winter hour by hour: temperatures, heat, stores.
    Trace(trace::Trace),
    /// In midwinter: the odds of the rest of the winter from what is left today, and what feeding would change.
    Outlook(outlook::OutlookCommand),
    /// What the weights of a hive through a winter tell of its colony.
    Fit(fit::FitCommand),
    /// Page and pictures of a folder of results again, in other units, widths or colours.
    Report(report::Report),
    /// What honey need and risk depend on: what to measure better, what to build or do differently.
    Sensitivity(sensitivity::SensitivityCommand),
    /// One or two settings of a scenario over ranges, the same colonies in the same winters at every value.
    Sweep(sweep::SweepCommand),
    /// What a hive loses, what the next board would gain, and what to cut and buy for it; without weather.
    Heatloss(heatloss::Heatloss),
    /// Hives, lids and floors to start from.
    Hives(hives::Hives),
    /// What weather files hold; winters made from climate normals.
    Weather(weather::Weather),
    /// The table of materials.
    Materials(materials::Materials),
    /// What was measured on wintering colonies, beside what the model gives.
    Evidence(evidence::EvidenceCommand),
    /// The numbers of the model: ranges, marks, sources.
    Parameters(parameters::Parameters),
    /// A page of this machine on which a hive is changed and answers at once.
    Serve(serve::Serve),
    /// Writes a commented scenario to start from.
    New(new::New),
    /// Show a page of the guide, or list the pages.
    Guide(guide::Guide),
}

/// Parses `arguments`, the first being the program's name, and does what they ask.
///
/// # Errors
/// [`CliError`]; its [`code`](CliError::code) is the program's exit code.
pub fn start(
    arguments: impl IntoIterator<Item = std::ffi::OsString>,
    console: &mut Console<'_>,
) -> Result<(), CliError> {
    let arguments = match Arguments::try_parse_from(arguments) {
        Ok(arguments) => arguments,
        Err(error) if error.use_stderr() => return Err(CliError::Usage(error)),
        // Help and version are asked for, not an error.
        Err(help) => return console.print(&help.render().ansi().to_string()),
    };
    match arguments.command {
        Command::Run(command) => command.start(console),
        Command::Compare(command) => command.start(console),
        Command::Batch(command) => command.start(console),
        Command::Merge(command) => command.start(console),
        Command::Trace(command) => command.start(console),
        Command::Outlook(command) => command.start(console),
        Command::Fit(command) => command.start(console),
        Command::Report(command) => command.start(console),
        Command::Sensitivity(command) => command.start(console),
        Command::Sweep(command) => command.start(console),
        Command::Heatloss(command) => command.start(console),
        Command::Hives(command) => command.start(console),
        Command::Weather(command) => command.start(console),
        Command::Materials(command) => command.start(console),
        Command::Evidence(command) => command.start(console),
        Command::Parameters(command) => command.start(console),
        Command::Serve(command) => command.start(console),
        Command::New(command) => command.start(console),
        Command::Guide(command) => command.start(console),
    }
}
