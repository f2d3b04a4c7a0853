//! `overwinter weather`: what weather files hold, and winters made from climate normals.

use super::common::Show;
use super::console::Console;
use super::error::CliError;
use crate::report::{self, json, weather_text};
use crate::weather::normals::normals_from_toml;
use crate::weather::{self, Place, ReadOptions, Season, synthesis, write_plain};
use clap::{Args, Subcommand};
use std::path::{Path, PathBuf};

/// What weather files hold; winters made from climate normals.
#[derive(Debug, Args)]
#[command(args_conflicts_with_subcommands = true, subcommand_negates_reqs = true)]
pub(super) struct Weather {
    #[command(subcommand)]
    make: Option<Make>,
    /// Weather files; several are joined into one record.
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,
    /// The station to take from files that hold several.
    #[arg(long)]
    station: Option<String>,
    /// First day of a winter, month and day.
    #[arg(long, default_value = "10-01", value_name = "MM-DD")]
    start: String,
    /// First forage, month and day.
    #[arg(long, default_value = "04-20", value_name = "MM-DD")]
    first_forage: String,
    /// Latitude of the site in degrees north, when the files do not say.
    #[arg(long, value_name = "DEGREES", allow_hyphen_values = true, value_parser = degrees::<90>)]
    latitude: Option<f64>,
    /// Longitude of the site in degrees east, when the files do not say.
    #[arg(long, value_name = "DEGREES", allow_hyphen_values = true, value_parser = degrees::<180>)]
    longitude: Option<f64>,
    /// Write the cleaned record to this file, in the plain layout.
    #[arg(long, value_name = "FILE")]
    to: Option<PathBuf>,
    /// Replace that file if it is there.
    #[arg(long, requires = "to")]
    force: bool,
    #[command(flatten)]
    show: Show,
}

#[derive(Debug, Subcommand)]
enum Make {
    /// Makes hourly winters from monthly climate normals.
    Synth(Synth),
}

#[derive(Debug, Args)]
struct Synth {
    /// Climate normals (TOML); weather/README.md describes them.
    normals: PathBuf,
    /// Number of winters.
    #[arg(
        long,
        default_value_t = 10,
        value_name = "N",
        allow_negative_numbers = true
    )]
    winters: usize,
    /// Year in which the first winter begins.
    #[arg(
        long,
        default_value_t = 2011,
        value_name = "YEAR",
        allow_negative_numbers = true
    )]
    first_year: i16,
    /// Seed of what is random.
    #[arg(long, default_value_t = 1, value_name = "S", allow_negative_numbers = true, value_parser = super::common::seed)]
    seed: u64,
    /// File to write, in the plain layout.
    #[arg(long, value_name = "FILE")]
    to: PathBuf,
    /// Replace the file if it is there.
    #[arg(long)]
    force: bool,
}

impl Weather {
    pub fn start(&self, console: &mut Console<'_>) -> Result<(), CliError> {
        if let Some(Make::Synth(synth)) = &self.make {
            return synth.start(console);
        }
        let season = Season::parse(&self.start, &self.first_forage)?;
        let options = ReadOptions {
            station: self.station.clone(),
            site: Place {
                latitude: self.latitude,
                longitude: self.longitude,
                ..Place::default()
            },
            ..ReadOptions::default()
        };
        let record = weather::read(&self.files, &options)?;
        let winters = record.winters(season).map_err(|error| error.to_string());
        if let Some(path) = &self.to {
            let mut bytes = Vec::new();
            write_plain(&record, &mut bytes)?;
            report::write_file(path, &bytes, self.force)?;
        }
        if self.show.json {
            return console.print(&json::pretty(&weather_text::rows(&record, &winters))?);
        }
        console.print(&weather_text::text(
            &record,
            &winters,
            season,
            self.show.units,
        ))?;
        match &self.to {
            None => Ok(()),
            Some(path) => console.print(&format!("{} written.", path.display())),
        }
    }
}

impl Synth {
    fn start(&self, console: &mut Console<'_>) -> Result<(), CliError> {
        let normals =
            normals_from_toml(&text_of(&self.normals)?).map_err(|problem| CliError::Normals {
                file: self.normals.display().to_string(),
                problem,
            })?;
        let made = synthesis::synthesise(&normals, self.first_year, self.winters, self.seed)?;
        let mut bytes = Vec::new();
        synthesis::write_winters(&normals, self.seed, &made, &mut bytes)
            .map_err(CliError::Print)?;
        report::write_file(&self.to, &bytes, self.force)?;
        console.print(&format!(
            "{} written: {} invented winters of {}. They stand in for a record; they are none.",
            self.to.display(),
            made.len(),
            normals.name
        ))
    }
}

fn text_of(path: &Path) -> Result<String, CliError> {
    std::fs::read_to_string(path).map_err(|error| {
        let problem = match error.kind() {
            std::io::ErrorKind::InvalidData => "is not text; save it as UTF-8".to_owned(),
            _ => format!("cannot be read: {error}"),
        };
        CliError::Option {
            option: "NORMALS",
            problem: format!("{} {problem}", path.display()),
        }
    })
}

fn degrees<const MOST: i16>(text: &str) -> Result<f64, String> {
    let most = f64::from(MOST);
    match text.parse::<f64>() {
        Ok(degrees) if (-most..=most).contains(&degrees) => Ok(degrees),
        _ => Err(format!("a number from -{MOST} to {MOST} is needed")),
    }
}
