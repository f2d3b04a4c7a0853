//! `overwinter sensitivity`: what honey need and risk hang on.

use super::common::{ChartLook, Out, ScenarioArgument, Show, seed};
use super::console::Console;
use super::error::CliError;
use super::interrupt;
use super::progress::Progress;
use super::run::{pool, threads};
use crate::ensemble::{Sampling, members_for, sensitivity};
use crate::report::sensitivity_text::{self, SensitivityReport};
use crate::report::{Provenance, charts, json};
use crate::scenario::MOST_MEMBERS;
use clap::Args;

/// What honey need and risk hang on: what to measure better, what to build or do differently.
///
/// Splits the variance over everything that is drawn: bees, stores, parameters and the winter; and does to the same colonies, one at a time, what may be
/// built or set up differently. It takes N rows times as many members as there are such factors and steps and two more, some 33 N in all: 8,400 with the
/// default, as long as a run of so many.
#[derive(Debug, Args)]
pub(super) struct SensitivityCommand {
    #[command(flatten)]
    scenario: ScenarioArgument,
    /// Rows of each table of draws; four times as many halve the intervals.
    #[arg(long, value_name = "N", default_value_t = 256, allow_negative_numbers = true, value_parser = clap::value_parser!(u32).range(8..=100_000))]
    rows: u32,
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
    #[command(flatten)]
    chart: ChartLook,
    /// No progress on the terminal.
    #[arg(long)]
    quiet: bool,
}

impl SensitivityCommand {
    pub fn start(&self, console: &mut Console<'_>) -> Result<(), CliError> {
        let folder = self.out.folder()?;
        let mut scenario = self.scenario.read()?;
        scenario.ensemble.seed = self.seed.unwrap_or(scenario.ensemble.seed);
        // Rows are drawn each by itself, and so it is told.
        scenario.ensemble.sampling = Sampling::Plain;
        let mut prepared = scenario.prepare()?;
        let members = members_for(&prepared.plan, self.rows);
        let members = u32::try_from(members)
            .ok()
            .filter(|members| *members <= MOST_MEMBERS);
        let Some(members) = members else {
            return Err(CliError::Option {
                option: "--rows",
                problem: format!(
                    "{} rows need {} members, more than the {MOST_MEMBERS} that a run may have",
                    self.rows,
                    members_for(&prepared.plan, self.rows)
                ),
            });
        };
        prepared.plan.members = members;
        let plan = &prepared.plan;
        let progress = Progress::new(members, self.quiet, interrupt::flag()?);
        let found = pool(self.threads)?.install(|| sensitivity(plan, self.rows, &progress))?;
        drop(progress);
        let report = SensitivityReport {
            scenario: &scenario,
            prepared: &prepared,
            sensitivity: &found,
            provenance: &Provenance::new(&scenario, &prepared),
        };
        let json = json::pretty(&report.json())?;
        if let Some(mut folder) = folder {
            folder.add("sensitivity.json", json.as_bytes())?;
            folder.add("sensitivity.csv", &sensitivity_text::csv(&report)?)?;
            let look = self.chart.look(self.show.units);
            let source = charts::source(report.provenance, plan.winters.len());
            charts::add(&mut folder, &charts::of_sensitivity(&report), look, &source)?;
            folder.finish()?;
        }
        if self.show.json {
            console.print(&json)
        } else {
            console.print(&sensitivity_text::text(&report, self.show.units))
        }
    }
}
