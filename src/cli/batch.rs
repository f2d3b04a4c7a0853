//! `overwinter batch` and `overwinter merge`: many scenarios at many stations, in one run or in parts.

use super::built;
use super::common::{ChartLook, Drawn, Show};
use super::console::Console;
use super::error::CliError;
use super::interrupt;
use super::progress::Progress;
use super::run::{pool, threads};
use crate::batch::{self, BatchFolder, Gathered, Shard, districts, gather};
use crate::report::{OutputFolder, batch_files, batch_text};
use crate::scenario::read_study;
use clap::Args;
use std::path::PathBuf;

/// Scenarios x stations x seasons of a study.
///
/// Each cell is kept in the folder as soon as it is finished, so the same command goes on after an interruption or a crash. A cell whose inputs have
/// changed is made anew. With --shard, several machines or tasks of an array job share the work; `overwinter merge` then puts it together, to the same
/// bytes as one run.
#[derive(Debug, Args)]
pub(super) struct Batch {
    /// Study file (TOML).
    study: PathBuf,
    /// Folder for finished cells and results; made if it is not there.
    #[arg(long, value_name = "DIR")]
    out: PathBuf,
    /// Run only this part of the cells, as 2/8, and leave results to `overwinter merge`.
    #[arg(long, value_name = "I/N", value_parser = str::parse::<Shard>)]
    shard: Option<Shard>,
    #[command(flatten)]
    drawn: Drawn,
    /// Threads; without it, as many as the machine has cores. The results are the same for any number.
    #[arg(long, value_name = "T", allow_negative_numbers = true, value_parser = threads)]
    threads: Option<usize>,
    #[command(flatten)]
    show: Show,
    #[command(flatten)]
    charts: ChartLook,
    /// No progress on the terminal.
    #[arg(long)]
    quiet: bool,
}

/// Puts a batch together that was run in parts.
#[derive(Debug, Args)]
pub(super) struct Merge {
    /// Folders that `overwinter batch` wrote to; one when all parts share it.
    #[arg(required = true, value_name = "DIR")]
    folders: Vec<PathBuf>,
    /// Folder to write results to; made whole or not at all. Without it, the first folder named.
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Replace files that are in it already.
    #[arg(long, requires = "out")]
    force: bool,
    #[command(flatten)]
    show: Show,
    #[command(flatten)]
    charts: ChartLook,
}

impl Batch {
    pub fn start(&self, console: &mut Console<'_>) -> Result<(), CliError> {
        let mut study = read_study(&self.study)?;
        self.drawn.set_ensemble(&mut study.ensemble);
        let pool = pool(self.threads)?;
        let plan = pool.install(|| batch::plan(&study));
        let folder = BatchFolder::open(&self.out, &plan, self.shard)?;
        let pending = folder.pending(&plan, self.shard);
        let members = u32::try_from(pending.len())
            .unwrap_or(u32::MAX)
            .saturating_mul(plan.members);
        let progress = Progress::new(members, self.quiet, interrupt::flag()?);
        let done = batch::run(&study, &plan, &folder, self.shard, &pool, &progress)?;
        drop(progress);
        if let Some(shard) = self.shard {
            return console.print(&format!(
                "Part {shard} of {}: {} cells finished, {} of them before. `overwinter merge` puts the parts together.",
                plan.study, done.cells, done.before
            ));
        }
        let gathered = gather(&[&self.out])?;
        built::tell_pictures(console)?;
        built::tell_tables(console)?;
        let files = batch_files::files(
            &gathered,
            &districts(&gathered),
            self.charts.look(self.show.units),
        )?;
        folder.put(&files)?;
        tell(&gathered, &self.show, console)
    }
}

impl Merge {
    pub fn start(&self, console: &mut Console<'_>) -> Result<(), CliError> {
        let gathered = gather(&self.folders)?;
        built::tell_pictures(console)?;
        built::tell_tables(console)?;
        let files = batch_files::files(
            &gathered,
            &districts(&gathered),
            self.charts.look(self.show.units),
        )?;
        match (&self.out, self.folders.first()) {
            (Some(out), _) => {
                let mut folder = OutputFolder::new(out, self.force)?;
                for (name, bytes) in &files {
                    folder.add(name, bytes)?;
                }
                folder.finish()?;
            }
            (None, Some(first)) => BatchFolder::open(first, &gathered.plan, None)?.put(&files)?,
            (None, None) => {}
        }
        tell(&gathered, &self.show, console)
    }
}

/// Prints the results; cells that failed are told last, and are the command's failure.
fn tell(batch: &Gathered, show: &Show, console: &mut Console<'_>) -> Result<(), CliError> {
    let districts = districts(batch);
    if show.json {
        console.print(&batch_files::summary_json(batch, &districts)?)?;
    } else {
        console.print(&batch_text::text(batch, &districts, show.units))?;
    }
    match batch_text::failures(batch) {
        None => Ok(()),
        Some(reasons) => Err(CliError::FailedCells {
            failed: batch.failures().count(),
            of: batch.cells.len(),
            reasons,
        }),
    }
}
