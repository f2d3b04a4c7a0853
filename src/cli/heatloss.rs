//! `overwinter heatloss`: conductances of a hive at a stated pair of temperatures, and what it is built of.

use super::common::{ScenarioArgument, Show, quantity_within};
use super::console::Console;
use super::error::CliError;
use super::sheet::SheetOptions;
use crate::hive::board::{Gain, gains};
use crate::hive::bridge::{FramingBridge, framing_bridges};
use crate::hive::build::{Amount, Build, Pieces, SheetNeed};
use crate::hive::heatloss::{HeatLoss, Pair};
use crate::hive::sheet::Sheet;
use crate::hive::{BuildUp, Hive, Layer};
use crate::material::{self, Catalogue, Material};
use crate::report::changes::{ChangeReport, heat_losses};
use crate::report::heatloss_text::HeatlossReport;
use crate::report::{PROGRAM, build_text, heatloss_text, json};
use crate::units::{Dimension, System, parse};
use clap::Args;
use serde::Serialize;

/// The board that closes an open mesh: its material and thickness, m. Common practice.
const CLOSING_BOARD: (&str, f64) = ("plywood", 0.006);

/// Resistance and conductance of every surface and opening, thermal bridges, what the next board would gain; or what to cut and buy.
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
    /// Material of the next board on the outside of each surface.
    #[arg(long, default_value = "xps", value_name = "MATERIAL")]
    board: String,
    /// Thickness of that board [default: 25 mm, or 1 in with US units].
    #[arg(long, value_name = "THICKNESS", allow_hyphen_values = true)]
    next: Option<String>,
    /// Show instead the bill of materials: pieces as cut, sheets and fillings to buy, mass. JSON has both.
    #[arg(long)]
    build: bool,
    #[command(flatten)]
    sheet: SheetOptions,
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
    edges_w_k: f64,
    air_w_k: f64,
    whole_w_k: f64,
    cluster_kg: f64,
    mass_per_conductance_kgk_w: f64,
    framing: &'a [FramingBridge],
    gains: &'a [Gain],
    changes: &'a [ChangeReport],
    build: Bill<'a>,
}

#[derive(Serialize)]
struct Bill<'a> {
    mass_kg: f64,
    pieces: &'a [Pieces],
    sheet: Sheet,
    sheets: Vec<SheetNeed>,
    fillings_and_framing: Vec<Amount>,
}

impl Heatloss {
    pub fn start(&self, console: &mut Console<'_>) -> Result<(), CliError> {
        let scenario = self.scenario.read()?;
        let pair = self.pair()?;
        let sheet = self.sheet.read(self.show.units)?;
        let parameters = scenario.parameters();
        let scale = parameters.loose_fill_scale;
        let board = self.board(&scenario.hive, scale)?;
        let closing =
            material::find(CLOSING_BOARD.0).map_err(|error| wrong_board(error.to_string()))?;
        let closing = Layer::new(closing.clone(), CLOSING_BOARD.1);
        let made_by = format!("{PROGRAM}, scenario {}", scenario.fingerprint);
        let build = Build::new(&scenario.hive);
        let name = &scenario.hive.name;
        if self.build && !self.show.json {
            let text = build_text::text(name, &build, &sheet, self.show.units, &made_by);
            return console.print(&text);
        }

        let mut hive = scenario.hive.clone();
        hive.scale_loose_fill(scale);
        let changes = heat_losses(&hive, pair, &parameters);
        let report = HeatlossReport {
            hive: &hive,
            changes: &changes,
            loss: &HeatLoss::new(&hive, pair, &parameters),
            framing: &framing_bridges(&hive, pair, &parameters),
            gains: &gains(&hive, pair, &parameters, &board, &closing),
            cluster_kg: scenario.colony.bees * parameters.bee_mass_kg,
            honey_heat_j_kg: parameters.honey_heat_j_kg,
        };
        if !self.show.json {
            return console.print(&heatloss_text::text(&report, self.show.units, &made_by));
        }
        let loss = report.loss;
        console.print(&json::pretty(&Output {
            program: PROGRAM,
            scenario: &scenario.name,
            fingerprint: &scenario.fingerprint,
            hive: name,
            loss,
            surfaces_w_k: loss.surfaces_w_k(),
            edges_w_k: loss.edges_w_k(),
            air_w_k: loss.air_w_k(),
            whole_w_k: loss.whole_w_k(),
            cluster_kg: report.cluster_kg,
            mass_per_conductance_kgk_w: loss.mass_per_conductance_kgk_w(report.cluster_kg),
            framing: report.framing,
            gains: report.gains,
            changes: report.changes,
            build: Bill {
                mass_kg: build.mass_kg(),
                pieces: &build.pieces,
                sheet,
                sheets: build.sheets(&sheet),
                fillings_and_framing: build.loose_and_framing(),
            },
        })?)
    }

    /// The board that is asked for, of a material of the table or of the hive.
    fn board(&self, hive: &Hive, loose_fill_scale: f64) -> Result<Layer, CliError> {
        let material = of_hive(hive).find(&self.board).cloned();
        let material = material.map_err(|error| wrong_board(error.to_string()))?;
        if material.is_gap() {
            return Err(wrong_board(
                "air is no board; name a material, as xps".to_owned(),
            ));
        }
        let thickness_m = match (&self.next, self.show.units) {
            (Some(text), _) => quantity_within(
                "--next",
                text,
                Dimension::Length,
                (0.001, 0.5),
                "1 mm to 0.5 m",
            )?,
            (None, System::Metric) => 0.025,
            (None, System::Us) => {
                parse("1 in", Dimension::Length).map_err(CliError::quantity("--next"))?
            }
        };
        let mut board = Layer::new(material, thickness_m);
        board.scale_loose_fill(loose_fill_scale);
        Ok(board)
    }

    fn pair(&self) -> Result<Pair, CliError> {
        let degrees = (-60.0, 60.0);
        let pair = Pair {
            inside_c: quantity_within(
                "--inside",
                &self.inside,
                Dimension::Temperature,
                degrees,
                "-60 to 60 °C",
            )?,
            outside_c: quantity_within(
                "--outside",
                &self.outside,
                Dimension::Temperature,
                degrees,
                "-60 to 60 °C",
            )?,
            wind_m_s: quantity_within(
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

fn wrong_board(problem: String) -> CliError {
    CliError::Option {
        option: "--board",
        problem,
    }
}

/// The table's materials and those that the hive has of its own.
fn of_hive(hive: &Hive) -> Catalogue {
    let mut own: Vec<Material> = Vec::new();
    for layer in BuildUp::ALL
        .iter()
        .flat_map(|build_up| build_up.layers(hive))
    {
        let framing = layer.framing.as_ref().map(|framing| &framing.material);
        for used in std::iter::once(&layer.material).chain(framing) {
            let known =
                material::find(&used.name).is_ok() || own.iter().any(|own| own.name == used.name);
            if !known {
                own.push(used.clone());
            }
        }
    }
    // They were accepted together when the scenario was read.
    Catalogue::with(own).unwrap_or_default()
}
