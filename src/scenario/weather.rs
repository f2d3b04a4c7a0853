//! Whose weather the hive feels, and what is made of it.

use std::path::{Path, PathBuf};

use super::columns::columns;
use super::error::ScenarioError;
use super::field::Field;
use super::table::Table;
use crate::units::Dimension;
use crate::weather::layout::ColumnMap;
use serde::Serialize;

/// Most resampled winters: each takes about half a megabyte.
const MOST_RESAMPLED: u16 = 500;

/// Where the winters come from and how they are changed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WeatherDescription {
    /// Where they come from.
    pub source: WeatherSource,
    /// Number of winters to make from the recorded ones by resampling, 1 to 500; without it, the recorded ones are run.
    pub resample: Option<u16>,
    /// Added to every hour at unchanged relative humidity, K, -10 to 10; 0 when not given.
    pub warming_k: f64,
}

/// Where the winters come from.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub enum WeatherSource {
    /// The invented winters that are built in.
    Sample,
    /// Files of hourly weather.
    Files {
        /// Their paths, resolved from the folder of the scenario; not read or looked for yet. At least one.
        paths: Vec<PathBuf>,
        /// The station to take from files that hold several.
        station: Option<String>,
        /// Which column holds what, in files of no known layout.
        columns: Option<Box<ColumnMap>>,
    },
}

/// Keys of `[weather]`.
pub(super) const KEYS: [&str; 6] = [
    "files", "sample", "station", "columns", "resample", "warming",
];

pub(super) fn weather(
    field: &Field<'_>,
    folder: &Path,
) -> Result<WeatherDescription, ScenarioError> {
    let table = field.table(&KEYS, "[weather]")?;
    let resample = table
        .get("resample")
        .map(|count| count.whole(1, MOST_RESAMPLED.into()))
        .transpose()?;
    let warming_k = table
        .get("warming")
        .map(|shift| shift.quantity(Dimension::TemperatureDifference, "-10 K", "10 K"))
        .transpose()?;
    Ok(WeatherDescription {
        source: source(&table, folder)?,
        resample: resample.map(|count| u16::try_from(count).unwrap_or(MOST_RESAMPLED)),
        warming_k: warming_k.unwrap_or(0.0),
    })
}

fn source(table: &Table<'_>, folder: &Path) -> Result<WeatherSource, ScenarioError> {
    let (key, source) = table.one_of(&["files", "sample"])?;
    if key == "files" {
        return files(table, &source, folder);
    }
    if let Some(station) = table.get("station") {
        return Err(
            station.not_allowed("no station with sample = true: the sample is of one place")
        );
    }
    if let Some(columns) = table.get("columns") {
        return Err(columns.not_allowed("no columns with sample = true: its layout is known"));
    }
    if source.boolean()? {
        return Ok(WeatherSource::Sample);
    }
    Err(source.not_allowed(
        "true for the built-in sample winters, or name weather files: files = [\"station.csv\"]",
    ))
}

fn files(
    table: &Table<'_>,
    files: &Field<'_>,
    folder: &Path,
) -> Result<WeatherSource, ScenarioError> {
    let paths = files
        .list("[\"station.csv\"]")?
        .iter()
        .map(|file| Ok(folder.join(file.text("\"station.csv\"")?)))
        .collect::<Result<Vec<_>, ScenarioError>>()?;
    if paths.is_empty() {
        return Err(files.not_allowed("at least one file, as [\"station.csv\"]"));
    }
    let station = table
        .get("station")
        .map(|station| station.text("\"MSP\""))
        .transpose()?;
    let columns = table
        .get("columns")
        .map(|field| columns(&field))
        .transpose()?;
    Ok(WeatherSource::Files {
        paths,
        station: station.map(str::to_owned),
        columns: columns.map(Box::new),
    })
}
