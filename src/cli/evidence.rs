//! `overwinter evidence`: every published value beside the model's range.

use super::common::{ChartLook, Out, seed};
use super::console::Console;
use super::error::CliError;
use super::run::{pool, threads};
use crate::evidence::{Evidence, SEED, SETS, held};
use crate::parameter::Posterior;
use crate::report::{charts, evidence_page, evidence_text, json};
use crate::units::System;
use clap::Args;

/// What was measured on wintering colonies, beside what the model gives.
///
/// Draws sets of what is not known about bees from the fit, runs the model for every published value, and tells how far each is off when its own source is left
/// out of the fit. Takes some twenty seconds.
#[derive(Debug, Args)]
pub(super) struct EvidenceCommand {
    /// Sets of shared unknowns to draw.
    #[arg(long, value_name = "N", default_value_t = SETS, allow_negative_numbers = true, value_parser = clap::value_parser!(u32).range(50..=100_000))]
    sets: u32,
    /// Seed of the draws.
    #[arg(long, value_name = "S", default_value_t = SEED, allow_negative_numbers = true, value_parser = seed)]
    seed: u64,
    /// Threads; without it, as many as the machine has cores. The results are the same for any number.
    #[arg(long, value_name = "T", allow_negative_numbers = true, value_parser = threads)]
    threads: Option<usize>,
    #[command(flatten)]
    out: Out,
    /// Print results as JSON.
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    chart: ChartLook,
}

impl EvidenceCommand {
    pub fn start(&self, console: &mut Console<'_>) -> Result<(), CliError> {
        let folder = self.out.folder(console)?;
        let (evidence, posterior) = (Evidence::built_in(), Posterior::built_in());
        let held =
            pool(self.threads)?.install(|| held(evidence, posterior, self.sets, self.seed))?;
        let json = json::pretty(&evidence_text::json(&held))?;
        if let Some(mut folder) = folder {
            folder.add("validation.md", evidence_page::page(&held).as_bytes())?;
            folder.add("evidence.json", json.as_bytes())?;
            let source = format!("{} sets of shared unknowns, seed {}", self.sets, self.seed);
            let look = self.chart.look(System::Metric);
            charts::add(
                &mut folder,
                &evidence_text::charts(&held, posterior),
                look,
                &source,
            )?;
            folder.finish()?;
        }
        if self.json {
            console.print(&json)
        } else {
            console.print(&evidence_text::text(&held))
        }
    }
}
