//! `overwinter compare`: hives beside each other on the same winters and draws.

use super::common::{ChartLook, Drawn, Out, Show};
use super::console::Console;
use super::error::CliError;
use super::interrupt;
use super::progress::Progress;
use super::repeat::{Source, command, drawn, source};
use super::run::{pool, threads};
use super::with::{With, use_in};
use crate::ensemble::{self, Fate};
use crate::report::{Comparison, Saved, charts, compare_csv, compare_text, json};
use crate::scenario::{self, Prepared, Scenario, prepare_together};
use clap::Args;
use std::path::{Path, PathBuf};

/// Most scenarios of a comparison: letters name them.
const MOST: usize = 26;
/// What stands for the built-in sample.
const SAMPLE: &str = "sample";

/// Two or more hives on the same winters and draws: what one saves over the other, and whether that can be told.
///
/// Each is compared with the first, member by member: the same bees, stores and parameters in the same winter. Their winters must be the same; hives,
/// colonies, sites and parameters may differ. Members and seed are the first scenario's.
#[derive(Debug, Args)]
pub(super) struct Compare {
    /// Scenario files (TOML); "sample" is the built-in one, and so is none.
    #[arg(value_name = "SCENARIO")]
    scenarios: Vec<PathBuf>,
    /// A hive of the library in place of the first scenario's; can be given several times.
    #[arg(long, value_name = "NAME")]
    hive: Vec<String>,
    #[command(flatten)]
    drawn: Drawn,
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

impl Compare {
    pub fn start(&self, console: &mut Console<'_>) -> Result<(), CliError> {
        let folder = self.out.folder(console)?;
        let (scenarios, sources) = self.scenarios()?;
        let known = self.with.read()?;
        let mut prepared = prepare_together(&scenarios)?;
        for one in &mut prepared {
            use_in(one, known.as_ref());
        }
        let members = scenarios.iter().map(|scenario| scenario.ensemble.members);
        let progress = Progress::new(
            members.fold(0, u32::saturating_add),
            self.quiet,
            interrupt::flag()?,
        );
        let pool = pool(self.threads)?;
        let mut fates: Vec<Vec<Fate>> = Vec::new();
        for one in &prepared {
            fates.push(pool.install(|| ensemble::run_as(&one.plan, &progress))?);
        }
        drop(progress);
        let comparison = Comparison::new(&scenarios, &prepared, &fates);
        if let Some(mut folder) = folder {
            folder.add("comparison.json", json::pretty(&comparison)?.as_bytes())?;
            folder.add("pairs.csv", &compare_csv::csv(&comparison, &fates)?)?;
            let saved = self.saved(&comparison, (&scenarios, &prepared), &fates, sources);
            saved.add(&mut folder, self.chart.look(self.show.units))?;
            folder.finish()?;
        }
        if self.show.json {
            console.print(&json::pretty(&comparison)?)
        } else {
            console.print(&compare_text::text(&comparison, self.show.units))
        }
    }

    /// What the folder keeps for its page.
    fn saved(
        &self,
        comparison: &Comparison,
        (scenarios, prepared): (&[Scenario], &[Prepared]),
        fates: &[Vec<Fate>],
        sources: Vec<Source>,
    ) -> Saved {
        let mut words = vec!["compare".to_owned()];
        words.extend(sources.iter().map(|(name, _)| name.clone()));
        for name in &self.hive {
            words.extend(["--hive".to_owned(), name.clone()]);
        }
        words.extend(
            scenarios
                .first()
                .map_or_else(Vec::new, |first| drawn(&first.ensemble)),
        );
        words.extend(self.with.words());
        let mut drawn = charts::of_compare(comparison, fates);
        drawn.extend(charts::hives(scenarios, prepared));
        Saved::of_comparison(comparison, drawn, command(&words), sources)
    }

    /// The files in the order given, then the first of them with each hive of the library; and what was read.
    fn scenarios(&self) -> Result<(Vec<Scenario>, Vec<Source>), CliError> {
        let mut scenarios = Vec::new();
        let mut sources = Vec::new();
        for path in &self.scenarios {
            if path == Path::new(SAMPLE) {
                scenarios.push(scenario::built_in());
                sources.push((SAMPLE.to_owned(), scenario::starter().to_owned()));
            } else {
                let text = scenario::read_text(path)?;
                scenarios.push(scenario::parse(&text, path)?);
                sources.push(source(path, text, &sources));
            }
        }
        if scenarios.is_empty() && !self.hive.is_empty() {
            scenarios.push(scenario::built_in());
            sources.push((SAMPLE.to_owned(), scenario::starter().to_owned()));
        }
        if let Some(mut first) = scenarios.first().cloned() {
            self.drawn.set(&mut first);
            for scenario in &mut scenarios {
                scenario.ensemble = first.ensemble;
            }
            for name in &self.hive {
                scenarios.push(first.with_library_hive(name)?);
            }
        }
        if !(2..=MOST).contains(&scenarios.len()) {
            return Err(CliError::Option {
                option: "SCENARIO",
                problem: format!(
                    "{} given, and 2 to {MOST} can be compared; name two scenario files, or one and a hive of the library, as in: overwinter \
                     compare yard.toml --hive foam-two-boxes",
                    scenarios.len()
                ),
            });
        }
        Ok((scenarios, sources))
    }
}
