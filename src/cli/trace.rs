//! `overwinter trace`: one winter hour by hour.

use super::common::{ChartLook, Drawn, Out, ScenarioArgument, Show};
use super::console::Console;
use super::error::CliError;
use super::repeat::{command, drawn};
use crate::colony::{BroodCount, Gut, Headcount, HoneyUse};
use crate::report::trace_text::{self, TraceReport};
use crate::report::{Provenance, Repeat, Saved, charts, json};
use crate::scenario::Prepared;
use crate::season::{self, LossPath, Outcome};
use crate::units::System;
use clap::Args;
use serde::Serialize;
use std::collections::BTreeMap;

/// One winter hour by hour: temperatures, heat, stores.
#[derive(Debug, Args)]
pub(super) struct Trace {
    #[command(flatten)]
    scenario: ScenarioArgument,
    /// Winter by its label, as `run` lists them; without it, the coldest of the record.
    #[arg(long, value_name = "LABEL")]
    winter: Option<String>,
    /// Trace this member's draws; without it, the colony and parameters without spread.
    #[arg(long, value_name = "N", allow_negative_numbers = true)]
    member: Option<u32>,
    #[command(flatten)]
    drawn: Drawn,
    /// Print every hour as CSV, in SI units.
    #[arg(long, conflicts_with = "json")]
    csv: bool,
    #[command(flatten)]
    out: Out,
    #[command(flatten)]
    show: Show,
    #[command(flatten)]
    chart: ChartLook,
}

#[derive(Serialize)]
struct Output<'a> {
    provenance: &'a Provenance,
    winter: &'a str,
    colony: &'a str,
    end: crate::colony::End,
    end_date: Option<jiff::civil::Date>,
    used: HoneyUse,
    stores_left_kg: f64,
    bees: f64,
    headcount: Headcount,
    brood: BroodCount,
    gut: Gut,
    coldest_mantle_c: f64,
    made_j: f64,
    stored_j: f64,
    lost_j: BTreeMap<&'static str, f64>,
    imbalance: f64,
    water: season::WaterLedger,
    water_imbalance: f64,
    wetness: season::Wetness,
    days: &'a [season::DayRecord],
}

impl Trace {
    pub fn start(&self, console: &mut Console<'_>) -> Result<(), CliError> {
        let folder = self.out.folder(console)?;
        let (mut scenario, source) = self.scenario.sourced()?;
        self.drawn.set(&mut scenario);
        let prepared = scenario.prepare()?;
        let plan = &prepared.plan;
        let (member, colony) = match self.member {
            None => (
                plan.middle(),
                "colony and parameters without spread".to_owned(),
            ),
            Some(number) if number < plan.members => (
                plan.member(&plan.draws(), number),
                format!("member {number}"),
            ),
            Some(number) => {
                return Err(CliError::Option {
                    option: "--member",
                    problem: format!(
                        "{number} is none of the {} members, 0 to {}",
                        plan.members,
                        plan.members - 1
                    ),
                });
            }
        };
        let winter = self.winter(&prepared)?;
        let forcing = &plan.winters[winter];
        let (outcome, hours, coldest) = season::trace_with_coldest(&member, &plan.site, forcing)?;
        let made_by = Provenance::new(&scenario, &prepared);
        let report = TraceReport {
            winter: &forcing.label,
            colony: &colony,
            outcome: &outcome,
            changes: &plan.hive.changes,
            boxes: plan.hive.cavity.boxes as usize,
            comb_pitch_m: plan.hive.comb_pitch_m,
            hours: &hours,
            made_by: &made_by,
        };
        let json = json::pretty(&output(&report))?;
        if let Some(mut folder) = folder {
            folder.add("trace.json", json.as_bytes())?;
            folder.add("trace.csv", &trace_text::csv(&report)?)?;
            let mut words = ["trace", &source.0, "--winter", &forcing.label]
                .map(str::to_owned)
                .to_vec();
            let member = self
                .member
                .map(|number| ["--member".to_owned(), number.to_string()]);
            words.extend(member.into_iter().flatten());
            words.extend(drawn(&scenario.ensemble));
            let saved = Saved::new(
                scenario.name.clone(),
                "How does one winter go, hour by hour?",
                [System::Metric, System::Us].map(|units| trace_text::document(&report, units)),
                charts::of_trace(&report, forcing, &plan.hive, coldest.as_ref()),
                Repeat::new(command(&words), vec![source], &[report.made_by]),
                format!("{}, winter {}", made_by.line(), forcing.label),
            );
            saved.add(&mut folder, self.chart.look(self.show.units))?;
            folder.finish()?;
        }
        if self.show.json {
            console.print(&json)
        } else if self.csv {
            console.print(&String::from_utf8_lossy(&trace_text::csv(&report)?))
        } else {
            console.print(&trace_text::text(&report, self.show.units))
        }
    }

    /// Number of the winter asked for: by label, or that of a member, or the coldest.
    fn winter(&self, prepared: &Prepared) -> Result<usize, CliError> {
        let winters = &prepared.plan.winters;
        if let Some(label) = &self.winter {
            let found = winters.iter().position(|winter| winter.label == *label);
            return found.ok_or_else(|| {
                let labels: Vec<&str> =
                    winters.iter().map(|winter| winter.label.as_str()).collect();
                CliError::Option {
                    option: "--winter",
                    problem: format!("'{label}' is none of the winters {}", labels.join(", ")),
                }
            });
        }
        if let Some(member) = self.member {
            return Ok(prepared.plan.winter_of(member));
        }
        let mean = |number: &usize| {
            let instants = &winters[*number].instants;
            instants.iter().map(|at| at.outside_c).sum::<f64>() / instants.len() as f64
        };
        let coldest = (0..winters.len()).min_by(|a, b| mean(a).total_cmp(&mean(b)));
        // A prepared plan has a winter.
        Ok(coldest.unwrap_or(0))
    }
}

fn output<'a>(report: &TraceReport<'a>) -> Output<'a> {
    let outcome: &Outcome = report.outcome;
    let ledger = &outcome.ledger;
    Output {
        provenance: report.made_by,
        winter: report.winter,
        colony: report.colony,
        end: outcome.end,
        end_date: outcome.end_date,
        used: outcome.used,
        stores_left_kg: outcome.stores_left_kg,
        bees: outcome.bees,
        headcount: outcome.headcount,
        brood: outcome.brood,
        gut: outcome.gut,
        coldest_mantle_c: outcome.coldest_mantle_c,
        made_j: ledger.made_j,
        stored_j: ledger.stored_j,
        lost_j: LossPath::ALL
            .map(|path| (path.key(), ledger.lost_j(path)))
            .into_iter()
            .collect(),
        imbalance: ledger.imbalance(),
        water: ledger.water,
        water_imbalance: ledger.water.imbalance(),
        wetness: outcome.wetness,
        days: &outcome.days,
    }
}
