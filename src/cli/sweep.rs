//! `overwinter sweep`: one or two settings of a scenario over ranges.

use super::common::{ChartLook, Drawn, Out, ScenarioArgument, Show};
use super::console::Console;
use super::error::CliError;
use super::interrupt;
use super::progress::Progress;
use super::repeat::{command, drawn, source};
use super::run::{pool, threads};
use crate::ensemble::{self, Chance, Kept, Plan, Point};
use crate::report::sweep_text::{self, SweepReport, SweptPoint};
use crate::report::{Provenance, Repeat, Saved, charts, json};
use crate::scenario::{MOST_VALUES, Prepared, Scenario, Setting, parse, with_settings};
use crate::units::System;
use clap::Args;

/// One or two settings of a scenario over ranges: honey need, risk and wet lid at every value.
///
/// The same colonies go through the same winters at every value, so small differences show. Each value, or pair of values, costs a whole run.
#[derive(Debug, Args)]
pub(super) struct SweepCommand {
    #[command(flatten)]
    scenario: ScenarioArgument,
    /// A setting and its values, as "wall[2].thickness=20 mm,40 mm", "entrance.width=20 mm..150 mm:4" or "change[1].from=1 November..1 January:3"; once or twice.
    #[arg(long, value_name = "KEY=VALUES", required = true)]
    set: Vec<String>,
    #[command(flatten)]
    drawn: Drawn,
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

impl SweepCommand {
    pub fn start(&self, console: &mut Console<'_>) -> Result<(), CliError> {
        let folder = self.out.folder(console)?;
        let (text, path) = self.scenario.text()?;
        let mut scenario = parse(&text, &path)?;
        self.drawn.set(&mut scenario);
        let settings = self.settings()?;
        let values = combinations(&settings);
        // All are read before any is run: a refusal must not come after an hour.
        let scenarios = values.iter().map(|values| {
            let pairs = settings.iter().zip(values);
            let pairs: Vec<_> = pairs
                .map(|(setting, value)| (setting, value.as_str()))
                .collect();
            let mut scenario = with_settings(&text, &path, &pairs)?;
            self.drawn.set(&mut scenario);
            Ok(scenario)
        });
        let scenarios = scenarios.collect::<Result<Vec<Scenario>, CliError>>()?;
        let Some(first) = scenarios.first() else {
            return Ok(());
        };
        let prepared = first.prepare()?;
        let members = u64::from(prepared.plan.members) * scenarios.len() as u64;
        let members = u32::try_from(members).unwrap_or(u32::MAX);
        let progress = Progress::new(members, self.quiet, interrupt::flag()?);
        let pool = pool(self.threads)?;
        let mut points = Vec::new();
        let mut of_first: Option<Vec<Kept>> = None;
        for (scenario, values) in scenarios.iter().zip(values) {
            let plan = plan(scenario, first, &prepared)?;
            let kept: Vec<Kept> = pool.install(|| ensemble::run_as(&plan, &progress))?;
            let pairs = of_first
                .as_deref()
                .filter(|_| same_winters((scenario, &plan), (first, &prepared.plan)));
            points.push(SweptPoint {
                values,
                fingerprint: scenario.fingerprint.clone(),
                point: Point::new(&Chance::new(&plan), &kept, pairs),
            });
            of_first.get_or_insert(kept);
        }
        drop(progress);
        let report = SweepReport {
            scenario: &scenario,
            prepared: &prepared,
            settings: &settings,
            points: &points,
            provenance: &Provenance::new(&scenario, &prepared),
        };
        let json = json::pretty(&report.json())?;
        if let Some(mut folder) = folder {
            folder.add("sweep.json", json.as_bytes())?;
            folder.add("sweep.csv", &sweep_text::csv(&report)?)?;
            let source = source(&path, text, &[]);
            let mut words = vec!["sweep".to_owned(), source.0.clone()];
            for set in &self.set {
                words.extend(["--set".to_owned(), set.clone()]);
            }
            words.extend(drawn(&scenario.ensemble));
            let saved = Saved::new(
                scenario.name.clone(),
                "What does a setting change, the same colonies in the same winters at every value?",
                [System::Metric, System::Us].map(|units| sweep_text::document(&report, units)),
                charts::of_sweep(&report, &scenarios),
                Repeat::new(command(&words), vec![source], &[report.provenance]),
                charts::source(report.provenance, prepared.plan.winters.len()),
            );
            saved.add(&mut folder, self.chart.look(self.show.units))?;
            folder.finish()?;
        }
        if self.show.json {
            console.print(&json)
        } else {
            console.print(&sweep_text::text(&report, self.show.units))
        }
    }

    fn settings(&self) -> Result<Vec<Setting>, CliError> {
        let refuse = |problem: String| CliError::Option {
            option: "--set",
            problem,
        };
        let settings = self.set.iter().map(|text| Setting::parse(text));
        let settings = settings.collect::<Result<Vec<_>, _>>()?;
        match &settings[..] {
            [_] => {}
            [one, other] if one.key != other.key => {
                let count = one.values.len() * other.values.len();
                if count > MOST_VALUES {
                    return Err(refuse(format!(
                        "{count} pairs of values are more than the {MOST_VALUES} that are allowed"
                    )));
                }
            }
            [one, _] => return Err(refuse(format!("{} is given twice", one.key))),
            _ => {
                return Err(refuse(format!(
                    "{} settings are more than the two that a table can show",
                    settings.len()
                )));
            }
        }
        Ok(settings)
    }
}

/// Every value of one setting, or every pair of values of two with the second's changing fastest.
fn combinations(settings: &[Setting]) -> Vec<Vec<String>> {
    let start = vec![Vec::new()];
    settings.iter().fold(start, |found, setting| {
        let with = |values: &Vec<String>| {
            let values = values.clone();
            setting.values.iter().map(move |value| {
                let mut values = values.clone();
                values.push(value.clone());
                values
            })
        };
        found.iter().flat_map(with).collect()
    })
}

/// The plan of a scenario; the weather is read again only where it may be another than that of the first.
fn plan(scenario: &Scenario, first: &Scenario, prepared: &Prepared) -> Result<Plan, CliError> {
    let same = scenario.weather == first.weather
        && scenario.site == first.site
        && scenario.season == first.season
        && scenario.hive.faces_deg == first.hive.faces_deg;
    if !same {
        return Ok(scenario.prepare()?.plan);
    }
    Ok(Plan {
        hive: scenario.hive.clone(),
        colony: scenario.colony.clone(),
        overrides: scenario.overrides.clone(),
        ..prepared.plan.clone()
    })
}

/// Whether members of both plans with the same number go through the same winter, be it a warmed one.
fn same_winters(
    (scenario, plan): (&Scenario, &Plan),
    (of_first, first): (&Scenario, &Plan),
) -> bool {
    let (weather, before) = (&scenario.weather, &of_first.weather);
    let labels = |plan: &Plan| -> Vec<String> {
        let labels = plan.winters.iter().map(|winter| winter.label.clone());
        labels.collect()
    };
    weather.source == before.source
        && weather.resample == before.resample
        && plan.members == first.members
        && labels(plan) == labels(first)
}
