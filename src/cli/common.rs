//! Options that several commands share.

use super::built;
use super::console::Console;
use super::error::CliError;
use super::repeat::{Source, source};
use crate::chart::{Look, Theme};
use crate::ensemble::{SETS_TOGETHER, Sampling};
use crate::report::OutputFolder;
use crate::scenario::{self, Ensemble, MOST_MEMBERS, SHARED_SETS_ALLOWED, Scenario};
use crate::units::{Dimension, System, parse};
use clap::Args;
use std::path::PathBuf;

/// Where the scenario is.
#[derive(Debug, Args)]
pub(super) struct ScenarioArgument {
    /// Scenario file (TOML); without it, the built-in sample.
    pub scenario: Option<PathBuf>,
}

impl ScenarioArgument {
    pub fn read(&self) -> Result<Scenario, CliError> {
        match &self.scenario {
            None => Ok(scenario::built_in()),
            Some(path) => Ok(scenario::read(path)?),
        }
    }

    /// The scenario, and the name and text of its file.
    pub fn sourced(&self) -> Result<(Scenario, Source), CliError> {
        let (text, path) = self.text()?;
        let scenario = match &self.scenario {
            None => scenario::built_in(),
            Some(path) => scenario::parse(&text, path)?,
        };
        Ok((scenario, source(&path, text, &[])))
    }

    /// The text of the scenario and the path that names it in messages.
    pub fn text(&self) -> Result<(String, PathBuf), CliError> {
        match &self.scenario {
            None => Ok((scenario::starter().to_owned(), PathBuf::from("sample.toml"))),
            Some(path) => Ok((scenario::read_text(path)?, path.clone())),
        }
    }
}

/// What is drawn, instead of what the scenario says.
#[derive(Debug, Args)]
pub(super) struct Drawn {
    /// Members to draw, instead of those of the file.
    #[arg(long, value_name = "N", allow_negative_numbers = true, value_parser = clap::value_parser!(u32).range(1..=i64::from(MOST_MEMBERS)))]
    members: Option<u32>,
    /// Seed of the draws, instead of that of the file.
    #[arg(long, value_name = "S", allow_negative_numbers = true, value_parser = seed)]
    seed: Option<u64>,
    /// How they are drawn, instead of what the file says: each by itself, or evenly along scrambled Sobol sequences.
    #[arg(long, value_enum, value_name = "HOW")]
    draws: Option<Sampling>,
    /// Sets of values of what is not known about bees, instead of those of the file; a multiple of 5.
    #[arg(long, value_name = "N", allow_negative_numbers = true, value_parser = shared_sets)]
    shared_sets: Option<u32>,
}

impl Drawn {
    /// Sets them, before its winters are made: resampled ones are drawn from the same seed.
    pub fn set(&self, scenario: &mut Scenario) {
        self.set_ensemble(&mut scenario.ensemble);
    }

    /// As [`Drawn::set`], where there is more than one scenario.
    pub fn set_ensemble(&self, ensemble: &mut Ensemble) {
        ensemble.members = self.members.unwrap_or(ensemble.members);
        ensemble.seed = self.seed.unwrap_or(ensemble.seed);
        ensemble.sampling = self.draws.unwrap_or(ensemble.sampling);
        ensemble.shared_sets = self.shared_sets.unwrap_or(ensemble.shared_sets);
    }
}

/// How results are shown.
#[derive(Debug, Args)]
pub(super) struct Show {
    /// Units of the printed results.
    #[arg(long, value_enum, default_value_t)]
    pub units: System,
    /// Print results as JSON, in SI units.
    #[arg(long)]
    pub json: bool,
}

/// How charts are drawn.
#[derive(Debug, Args)]
pub(super) struct ChartLook {
    /// Colours of charts.
    #[arg(long, value_enum, default_value_t, value_name = "THEME")]
    pub chart_theme: Theme,
    /// Width of charts in pixels, 320 to 4000.
    #[arg(long, default_value_t = Look::USUAL_WIDTH_PX, value_name = "PX", value_parser = width)]
    pub chart_width: u32,
}

impl ChartLook {
    /// With the units of the printed results.
    pub fn look(&self, units: System) -> Look {
        Look {
            width_px: self.chart_width,
            theme: self.chart_theme,
            units,
        }
    }
}

fn width(text: &str) -> Result<u32, String> {
    let (least, most) = (Look::WIDTHS.start(), Look::WIDTHS.end());
    let width = text.trim().parse().ok();
    width
        .filter(|width| Look::WIDTHS.contains(width))
        .ok_or_else(|| {
            format!(
                "a chart is {least} to {most} pixels wide; {} is usual",
                Look::USUAL_WIDTH_PX
            )
        })
}

/// Where files go.
#[derive(Debug, Args)]
pub(super) struct Out {
    /// Folder to write results to; made whole or not at all.
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// Replace files that are in it already.
    #[arg(long, requires = "out")]
    pub force: bool,
}

impl Out {
    /// The folder to write to, if one is asked for.
    pub fn folder(&self, console: &mut Console<'_>) -> Result<Option<OutputFolder>, CliError> {
        let Some(path) = self.out.as_deref() else {
            return Ok(None);
        };
        let folder = OutputFolder::new(path, self.force)?;
        built::tell_pictures(console)?;
        Ok(Some(folder))
    }
}

/// The quantity of an option, in SI and within limits.
pub(super) fn quantity_within(
    option: &'static str,
    text: &str,
    dimension: Dimension,
    (low, high): (f64, f64),
    allowed: &str,
) -> Result<f64, CliError> {
    let value = parse(text, dimension).map_err(CliError::quantity(option))?;
    if (low..=high).contains(&value) {
        return Ok(value);
    }
    Err(CliError::Option {
        option,
        problem: format!("{text} is not {allowed}"),
    })
}

fn shared_sets(text: &str) -> Result<u32, String> {
    let (least, most) = SHARED_SETS_ALLOWED;
    let sets = text.parse().ok();
    sets.filter(|sets| (least..=most).contains(sets) && sets % SETS_TOGETHER == 0)
        .ok_or_else(|| format!("a multiple of {SETS_TOGETHER} from {least} to {most} is needed"))
}

/// A seed as an option has it.
pub(super) fn seed(text: &str) -> Result<u64, String> {
    let needed = || format!("a whole number from 0 to {} is needed", u64::MAX);
    text.parse().map_err(|_| needed())
}
