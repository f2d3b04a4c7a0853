//! `overwinter fit`: a colony and a few parameters from the weights of its hive.

use super::common::{Out, ScenarioArgument, Show, seed};
use super::console::Console;
use super::error::CliError;
use super::interrupt;
use super::progress::Progress;
use super::run::{pool, threads};
use crate::ensemble::Sampling;
use crate::fit::{ROUNDS, Weights, fit};
use crate::report::fit_text::{self, FitReport};
use crate::report::{Provenance, json};
use clap::Args;
use jiff::civil::Date;
use std::path::PathBuf;

/// Learn from the weights of a hive through a winter: of all bees, and of its own colony.
///
/// Days on which rain, snow, feeding or an inspection moved the scale are left out by stated rules. The winter is that of the scenario's
/// weather which holds the dates. Give the scenario as it stood in autumn: its forecast is held against the weights. `compare --with` uses what is
/// learned of all bees for other colonies.
#[derive(Debug, Args)]
pub(super) struct FitCommand {
    #[command(flatten)]
    scenario: ScenarioArgument,
    /// Table of weights (CSV): a column "date" and one "weight_kg" or "weight_lb".
    #[arg(long, value_name = "FILE")]
    scale: PathBuf,
    /// A day on which you fed, as 2025-01-20; can be given several times.
    #[arg(long, value_name = "DATE")]
    fed: Vec<String>,
    /// Draws in each of eight rounds.
    #[arg(long, value_name = "N", default_value_t = 250, allow_negative_numbers = true, value_parser = clap::value_parser!(u32).range(50..=100_000))]
    draws: u32,
    /// Seed of the draws, instead of the scenario's.
    #[arg(long, value_name = "S", allow_negative_numbers = true, value_parser = seed)]
    seed: Option<u64>,
    /// Threads; without it, as many as the machine has cores. The results are the same for any number.
    #[arg(long, value_name = "T", allow_negative_numbers = true, value_parser = threads)]
    threads: Option<usize>,
    #[command(flatten)]
    out: Out,
    #[command(flatten)]
    show: Show,
    /// No progress on the terminal.
    #[arg(long)]
    quiet: bool,
}

impl FitCommand {
    pub fn start(&self, console: &mut Console<'_>) -> Result<(), CliError> {
        let folder = self.out.folder(console)?;
        let mut scenario = self.scenario.read()?;
        let rounds = u32::try_from(ROUNDS).unwrap_or(u32::MAX);
        scenario.ensemble.seed = self.seed.unwrap_or(scenario.ensemble.seed);
        // The members of a fit are its draws, each by itself.
        scenario.ensemble.sampling = Sampling::Plain;
        scenario.ensemble.members = self.draws * rounds;
        let weights = Weights::read(&self.scale)?;
        let fed = self
            .fed
            .iter()
            .map(|text| day(text, &weights))
            .collect::<Result<Vec<_>, _>>()?;
        let prepared = scenario.prepare()?;
        let plan = &prepared.plan;
        let progress = Progress::new(plan.members, self.quiet, interrupt::flag()?);
        let each = self.draws as usize;
        let fit = pool(self.threads)?.install(|| fit(plan, &weights, &fed, each, &progress))?;
        drop(progress);
        let report = FitReport {
            fit: &fit,
            scenario: &scenario,
            prepared: &prepared,
            scale: &self.scale.display().to_string(),
            provenance: &Provenance::new(&scenario, &prepared),
        };
        let json = json::pretty(&report.json())?;
        if let Some(mut folder) = folder {
            folder.add("fit.json", json.as_bytes())?;
            folder.add("fitted.toml", fit_text::toml(&report).as_bytes())?;
            folder.finish()?;
        }
        if self.show.json {
            console.print(&json)
        } else {
            console.print(&fit_text::text(&report, self.show.units))
        }
    }
}

fn day(text: &str, weights: &Weights) -> Result<Date, CliError> {
    let refuse = |problem| CliError::Option {
        option: "--fed",
        problem,
    };
    let date: Date = text
        .parse()
        .map_err(|_| refuse(format!("'{text}' is no date; write it as 2025-01-20")))?;
    match (weights.readings.first(), weights.readings.last()) {
        (Some(first), Some(last)) if !(first.date..=last.date).contains(&date) => {
            Err(refuse(format!(
                "{date} is not within the weights, {} to {}",
                first.date, last.date
            )))
        }
        _ => Ok(date),
    }
}
