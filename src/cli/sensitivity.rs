//! `overwinter sensitivity`: what honey need and risk depend on.

use super::common::{ChartLook, Out, ScenarioArgument, Show, seed};
use super::console::Console;
use super::error::CliError;
use super::interrupt;
use super::progress::Progress;
use super::repeat::{command, seeded};
use super::run::{pool, threads};
use super::with::{With, use_in};
use crate::ensemble::{Sampling, members_for, sensitivity};
use crate::report::sensitivity_text::{self, SensitivityReport};
use crate::report::{Provenance, Repeat, Saved, charts, json, learning_text};
use crate::scenario::MOST_MEMBERS;
use crate::units::System;
use clap::Args;

/// What honey need and risk depend on: what to measure better, what to build or do differently.
///
/// Splits the variance over bees, stores, the winter, what differs between colonies, and what is not known about bees, which is one. Then does to the same
/// colonies, one at a time, what may be built or set up differently, and says what would be worth learning before you choose. It takes some 30 N members
/// for N rows, as long as a run of so many.
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
    #[command(flatten)]
    with: With,
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
        let folder = self.out.folder(console)?;
        let (mut scenario, source) = self.scenario.sourced()?;
        scenario.ensemble.seed = self.seed.unwrap_or(scenario.ensemble.seed);
        // Rows are drawn each by itself, and so it is told.
        scenario.ensemble.sampling = Sampling::Plain;
        let known = self.with.read()?;
        let mut prepared = scenario.prepare()?;
        use_in(&mut prepared, known.as_ref());
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
            folder.add("learning.csv", &learning_text::csv(&report)?)?;
            let rows = self.rows.to_string();
            let mut words = ["sensitivity", &source.0, "--rows", &rows]
                .map(str::to_owned)
                .to_vec();
            words.extend(seeded(scenario.ensemble.seed));
            words.extend(self.with.words());
            let saved = Saved::new(
                scenario.name.clone(),
                "What do honey need and risk depend on: what to measure better, what to build differently?",
                [System::Metric, System::Us]
                    .map(|units| sensitivity_text::document(&report, units)),
                charts::of_sensitivity(&report),
                Repeat::new(command(&words), vec![source], &[report.provenance]),
                charts::source(report.provenance, prepared.plan.winters.len()),
            );
            saved.add(&mut folder, self.chart.look(self.show.units))?;
            folder.finish()?;
        }
        if self.show.json {
            console.print(&json)
        } else {
            console.print(&sensitivity_text::text(&report, self.show.units))
        }
    }
}
