//! `overwinter run`: the ensemble of one scenario.

use super::common::{ChartLook, Drawn, Out, ScenarioArgument, Show};
use super::console::Console;
use super::error::CliError;
use super::interrupt;
use super::precision::Precise;
use super::progress::Progress;
use super::repeat::{command, drawn};
use super::with::{With, use_in};
use crate::ensemble::{self, EnsembleError, StoresAdvice, Summary, run_until};
use crate::report::{self, Provenance, Repeat, RunReport, Saved};
use crate::scenario::Ensemble;
use crate::units::System;
use clap::Args;

/// Most threads that may be asked for.
const MOST_THREADS: usize = 1024;

/// Honey needed and the risk of running out, for one scenario.
#[derive(Debug, Args)]
pub(super) struct Run {
    #[command(flatten)]
    scenario: ScenarioArgument,
    #[command(flatten)]
    drawn: Drawn,
    #[command(flatten)]
    precise: Precise,
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

impl Run {
    pub fn start(&self, console: &mut Console<'_>) -> Result<(), CliError> {
        let folder = self.out.folder(console)?;
        let (mut scenario, source) = self.scenario.sourced()?;
        self.drawn.set(&mut scenario);
        let precise = self.precise.asked()?;
        let known = self.with.read()?;
        let mut prepared = scenario.prepare()?;
        use_in(&mut prepared, known.as_ref());
        let progress = Progress::new(prepared.plan.members, self.quiet, interrupt::flag()?);
        let (rows, reached) = pool(self.threads)?.install(|| match precise {
            None => Ok::<_, EnsembleError>((ensemble::run(&prepared.plan, &progress)?, None)),
            Some((asked, most)) => run_until(&mut prepared.plan, asked, most, &progress)
                .map(|(rows, reached)| (rows, Some(reached))),
        })?;
        progress.figures();
        let plan = &prepared.plan;
        let summary = Summary::new(plan, &rows)?;
        let advice = StoresAdvice::new(plan, &rows, &summary, &prepared.before_c)?;
        let provenance = Provenance::new(&scenario, &prepared);
        let report = RunReport {
            scenario: &scenario,
            prepared: &prepared,
            summary: &summary,
            advice: &advice,
            precision: reached.as_ref(),
            provenance: &provenance,
        };

        if let Some(mut folder) = folder {
            folder.add("summary.json", report::json::run(&report)?.as_bytes())?;
            folder.add_written("members.csv", |file| {
                report::members::write(plan, &rows, &provenance, file)
            })?;
            folder.add("daily.csv", &report::daily::csv(&summary, &provenance)?)?;
            let mut words = vec!["run".to_owned(), source.0.clone()];
            let ensemble = Ensemble {
                members: plan.members,
                ..scenario.ensemble
            };
            words.extend(drawn(&ensemble));
            words.extend(self.with.words());
            let saved = Saved::new(
                scenario.name.clone(),
                "How much honey does a winter take here, and how likely is the colony to run out?",
                [System::Metric, System::Us]
                    .map(|units| report::run_text::document(&report, units)),
                report::charts::of_run(&report, &rows)?,
                Repeat::new(command(&words), vec![source], &[&provenance]),
                report::charts::source(&provenance, plan.winters.len()),
            );
            saved.add(&mut folder, self.chart.look(self.show.units))?;
            folder.finish()?;
        }
        drop(progress);
        if self.show.json {
            console.print(&report::json::run(&report)?)
        } else {
            console.print(&report::run_text::text(&report, self.show.units))
        }
    }
}

pub(super) fn threads(text: &str) -> Result<usize, String> {
    match text.parse() {
        Ok(threads) if (1..=MOST_THREADS).contains(&threads) => Ok(threads),
        _ => Err(format!("a whole number from 1 to {MOST_THREADS} is needed")),
    }
}

pub(super) fn pool(threads: Option<usize>) -> Result<rayon::ThreadPool, CliError> {
    rayon::ThreadPoolBuilder::new()
        .num_threads(threads.unwrap_or(0))
        .build()
        .map_err(|error| CliError::System(format!("cannot start threads: {error}")))
}
