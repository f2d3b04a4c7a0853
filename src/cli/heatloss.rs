//! `overwinter heatloss`: conductances of a hive at a stated pair of temperatures.

use super::common::{ScenarioArgument, Show};
use super::console::Console;
use super::error::CliError;
use crate::ensemble::most_likely;
use crate::hive::heatloss::{HeatLoss, Pair};
use crate::report::changes::{ChangeReport, heat_losses};
use crate::report::{PROGRAM, heatloss_text, json};
use crate::units::{Dimension, parse};
use clap::Args;
use serde::Serialize;

/// Resistance and conductance of every surface and opening, without weather.
#[derive(Debug, Args)]
pub(super) struct Heatloss {
    #[command(flatten)]
    scenario: ScenarioArgument,
    /// Air in the hive.
    #[arg(
        long,
        default_value = "10 °C",
        value_name = "TEMPERATURE",
        allow_hyphen_values = true
    )]
    inside: String,
    /// Air outside.
    #[arg(
        long,
        default_value = "-10 °C",
        value_name = "TEMPERATURE",
        allow_hyphen_values = true
    )]
    outside: String,
    /// Wind at the hive.
    #[arg(
        long,
        default_value = "1 m/s",
        value_name = "SPEED",
        allow_hyphen_values = true
    )]
    wind: String,
    #[command(flatten)]
    show: Show,
}

#[derive(Serialize)]
struct Output<'a> {
    program: &'static str,
    scenario: &'a str,
    fingerprint: &'a str,
    hive: &'a str,
    loss: &'a HeatLoss,
    surfaces_w_k: f64,
    air_w_k: f64,
    whole_w_k: f64,
    changes: &'a [ChangeReport],
}

impl Heatloss {
    pub fn start(&self, console: &mut Console<'_>) -> Result<(), CliError> {
        let scenario = self.scenario.read()?;
        let pair = self.pair()?;
        let parameters = most_likely(&scenario.overrides);
        let mut hive = scenario.hive.clone();
        hive.scale_loose_fill(parameters.loose_fill_scale);
        let loss = HeatLoss::new(&hive, pair, &parameters);
        let changes = heat_losses(&hive, pair, &parameters);
        if self.show.json {
            return console.print(&json::pretty(&Output {
                program: PROGRAM,
                scenario: &scenario.name,
                fingerprint: &scenario.fingerprint,
                hive: &scenario.hive.name,
                loss: &loss,
                surfaces_w_k: loss.surfaces_w_k(),
                air_w_k: loss.air_w_k(),
                whole_w_k: loss.whole_w_k(),
                changes: &changes,
            })?);
        }
        console.print(&heatloss_text::text(
            &hive,
            &loss,
            &changes,
            self.show.units,
            &format!("{PROGRAM}, scenario {}", scenario.fingerprint),
        ))
    }

    fn pair(&self) -> Result<Pair, CliError> {
        let within = |option, text: &str, dimension, (low, high): (f64, f64), allowed: &str| {
            let value = parse(text, dimension).map_err(CliError::quantity(option))?;
            if (low..=high).contains(&value) {
                return Ok(value);
            }
            Err(CliError::Option {
                option,
                problem: format!("{text} is not {allowed}"),
            })
        };
        let degrees = (-60.0, 60.0);
        let pair = Pair {
            inside_c: within(
                "--inside",
                &self.inside,
                Dimension::Temperature,
                degrees,
                "-60 to 60 °C",
            )?,
            outside_c: within(
                "--outside",
                &self.outside,
                Dimension::Temperature,
                degrees,
                "-60 to 60 °C",
            )?,
            wind_m_s: within(
                "--wind",
                &self.wind,
                Dimension::Speed,
                (0.0, 40.0),
                "0 to 40 m/s",
            )?,
        };
        if pair.inside_c == pair.outside_c {
            return Err(CliError::Option {
                option: "--outside",
                problem: format!(
                    "{} is the inside temperature too; name two that differ",
                    self.outside
                ),
            });
        }
        Ok(pair)
    }
}
