//! The study: a TOML file that names scenarios, stations and rules for the season, to be run as one batch.

use std::path::{Path, PathBuf};

use toml::de::DeTable;

use super::columns::columns;
use super::error::{Problem, ScenarioError};
use super::field::Field;
use super::reading::{self, drawn, syntax, whole};
use super::season_rule::{SeasonRule, rules};
use super::site::{elevation_m, latitude_deg, longitude_deg, snow, utc_offset_h};
use super::table::{Source, Table};
use super::{Ensemble, MonthDay, Scenario};
use crate::weather::Place;
use crate::weather::layout::ColumnMap;

const KEYS: [&str; 9] = [
    "name",
    "scenarios",
    "weather",
    "station",
    "season",
    "members",
    "seed",
    "draws",
    "shared_sets",
];
/// Endings of the files of a weather folder that are taken as stations.
const ENDINGS: [&str; 6] = [".csv", ".csv.gz", ".epw", ".epw.gz", ".txt", ".txt.gz"];
/// What a study without stations is told.
const NO_STATION: &str = "[weather] with folder = \"weather\" below it, or [[station]] with name = \"Home\" and files = [\"home.csv\"]";

/// Scenarios x stations x rules for the season.
#[derive(Debug, Clone, PartialEq)]
pub struct Study {
    /// What its maker calls it; the file's name when not given.
    pub name: String,
    /// Its file.
    pub path: PathBuf,
    /// The scenarios, one or more, by names of which none comes twice. Weather files, season and draws of their own count for nothing
    /// where the study gives them.
    pub scenarios: Vec<(String, Scenario)>,
    /// The stations, one or more; no name comes twice.
    pub stations: Vec<Station>,
    /// Rules for the season, one or more.
    pub seasons: Vec<SeasonRule>,
    /// Members, seed and way of drawing of every cell: the same draws everywhere, so that cells differ by what they are of and not by chance.
    pub ensemble: Ensemble,
}

/// A place with its weather files.
#[derive(Debug, Clone, PartialEq)]
pub struct Station {
    /// Name, unique in the study.
    pub name: String,
    /// Its files, one or more, resolved from the study's folder; not read yet.
    pub paths: Vec<PathBuf>,
    /// The station to take from files that hold several.
    pub code: Option<String>,
    /// What the study says of its place; the files tell the rest.
    pub place: Place,
    /// First and last day of snow on the ground; the scenario's when not given.
    pub snow: Option<[MonthDay; 2]>,
    /// Which column holds what, in files of no known layout.
    pub columns: Option<ColumnMap>,
}

/// Reads a study file and the scenarios that it names; weather is looked for in its folder, but not read.
///
/// # Errors
/// The first thing that is wrong with the study or one of its scenarios.
pub fn read_study(path: &Path) -> Result<Study, ScenarioError> {
    let text = reading::read_text(path).map_err(|error| match *error.problem {
        Problem::NoFile => whole(
            path,
            Problem::Unreadable(
                "there is no such file; name a study, as the guide's page on batches describes"
                    .into(),
            ),
        ),
        _ => error,
    })?;
    let source = Source {
        file: path,
        text: text.strip_prefix('\u{feff}').unwrap_or(&text),
    };
    let document = DeTable::parse(source.text).map_err(|error| syntax(source, &error))?;
    let table = Table::root(source, document.get_ref(), &KEYS)?;
    let folder = path.parent().unwrap_or(Path::new(""));

    let name = table
        .get("name")
        .map(|name| name.text("\"Thin and thick walls\""))
        .transpose()?;
    let stem = || {
        path.file_stem()
            .map_or_else(|| "study".into(), |stem| stem.to_string_lossy())
    };
    Ok(Study {
        name: name.map_or_else(|| stem().into_owned(), str::to_owned),
        path: path.to_owned(),
        scenarios: scenarios(
            &table.require("scenarios", "scenarios = [\"thin.toml\", \"thick.toml\"]")?,
            folder,
        )?,
        stations: stations(&table, folder)?,
        seasons: rules(table.get("season").as_ref())?,
        ensemble: drawn(&table)?,
    })
}

fn scenarios(field: &Field<'_>, folder: &Path) -> Result<Vec<(String, Scenario)>, ScenarioError> {
    let mut scenarios: Vec<(String, Scenario)> = Vec::new();
    for item in field.list("[\"thin.toml\", \"thick.toml\"]")? {
        let (name, file) = if item.is_table() {
            let table = item.table(
                &["name", "file"],
                "{ name = \"thin\", file = \"thin.toml\" }",
            )?;
            let name = table.require("name", "name = \"thin\"")?.text("\"thin\"")?;
            (Some(name), table.require("file", "file = \"thin.toml\"")?)
        } else {
            (None, item.clone())
        };
        let scenario = reading::read(&folder.join(file.text("\"thin.toml\"")?))?;
        let name = name.map_or_else(|| scenario.name.clone(), str::to_owned);
        if scenarios.iter().any(|(taken, _)| *taken == name) {
            return Err(item.not_allowed(format!(
                "scenarios of different names ('{name}' comes twice), or name them here: {{ name = \"thin\", file = \"thin.toml\" }}"
            )));
        }
        scenarios.push((name, scenario));
    }
    if scenarios.is_empty() {
        return Err(field.not_allowed("at least one scenario file, as [\"thin.toml\"]"));
    }
    Ok(scenarios)
}

fn stations(root: &Table<'_>, folder: &Path) -> Result<Vec<Station>, ScenarioError> {
    let weather = root
        .get("weather")
        .map(|weather| weather.table(&["folder", "columns"], "[weather]"))
        .transpose()?;
    let shared = weather
        .as_ref()
        .and_then(|weather| weather.get("columns"))
        .map(|field| columns(&field))
        .transpose()?;
    let mut stations: Vec<Station> = Vec::new();
    if let Some(listed) = root.get("station") {
        for item in listed.list("[[station]]")? {
            let (station, name) = station(&item, folder, shared.as_ref())?;
            if stations.iter().any(|other| other.name == station.name) {
                return Err(name.not_allowed("a name that no other station has"));
            }
            stations.push(station);
        }
    }
    if let Some(field) = weather.as_ref().and_then(|weather| weather.get("folder")) {
        let found = folder.join(field.text("\"weather\"")?);
        for path in weather_files(&found)
            .map_err(|why| field.not_allowed(format!("a folder of weather files ({why})")))?
        {
            let listed = stations.iter().any(|station| station.paths.contains(&path));
            if listed {
                continue;
            }
            let name = station_name(&path);
            if stations.iter().any(|other| other.name == name) {
                return Err(field.not_allowed(format!(
                    "a folder with one file a station ('{name}' has two), or list stations of several files as [[station]]"
                )));
            }
            stations.push(Station {
                name,
                paths: vec![path],
                code: None,
                place: Place::default(),
                snow: None,
                columns: shared.clone(),
            });
        }
        if stations.is_empty() {
            return Err(field.not_allowed(format!(
                "a folder with files that end in {}",
                ENDINGS.join(", ")
            )));
        }
    }
    if stations.is_empty() {
        let listed = root.require("station", NO_STATION)?;
        return Err(listed.not_allowed("at least one station, or a folder of weather files"));
    }
    Ok(stations)
}

/// Files of a folder with a known ending, by name.
fn weather_files(folder: &Path) -> std::io::Result<Vec<PathBuf>> {
    let mut paths = Vec::new();
    for entry in std::fs::read_dir(folder)? {
        let path = entry?.path();
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        let lower = name.to_lowercase();
        let known = ENDINGS.iter().any(|ending| lower.ends_with(ending));
        if known && !name.starts_with('.') && path.is_file() {
            paths.push(path);
        }
    }
    paths.sort();
    Ok(paths)
}

/// The file's name without the endings that say its kind.
fn station_name(path: &Path) -> String {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    let lower = name.to_lowercase();
    let ending = ENDINGS.iter().filter(|ending| lower.ends_with(*ending));
    let cut = ending.map(|ending| ending.len()).max().unwrap_or(0);
    name.get(..name.len() - cut).unwrap_or(&name).to_owned()
}

fn station<'a>(
    item: &Field<'a>,
    folder: &Path,
    shared: Option<&ColumnMap>,
) -> Result<(Station, Field<'a>), ScenarioError> {
    let keys = [
        "name",
        "files",
        "station",
        "latitude",
        "longitude",
        "elevation",
        "utc_offset",
        "snow",
        "columns",
    ];
    let table = item.table(&keys, "[[station]]")?;
    let name = table.require("name", "name = \"Home\"")?;
    let files = table.require("files", "files = [\"weather/home.csv\"]")?;
    let paths = files
        .list("[\"weather/home.csv\"]")?
        .iter()
        .map(|file| {
            let path = folder.join(file.text("\"weather/home.csv\"")?);
            // What is in it is its cells' affair; a name that leads nowhere is a slip of the pen.
            let there = path.is_file();
            there
                .then_some(path)
                .ok_or_else(|| file.not_allowed("a file that is there, from the study's folder"))
        })
        .collect::<Result<Vec<_>, ScenarioError>>()?;
    if paths.is_empty() {
        return Err(files.not_allowed("at least one file, as [\"weather/home.csv\"]"));
    }
    let number = |key, read: fn(&Field<'_>) -> Result<f64, ScenarioError>| {
        table.get(key).map(|field| read(&field)).transpose()
    };
    let code = table
        .get("station")
        .map(|code| code.text("\"MSP\""))
        .transpose()?;
    let own = table
        .get("columns")
        .map(|field| columns(&field))
        .transpose()?;
    let station = Station {
        name: name.text("\"Home\"")?.to_owned(),
        paths,
        code: code.map(str::to_owned),
        place: Place {
            name: None,
            latitude: number("latitude", latitude_deg)?,
            longitude: number("longitude", longitude_deg)?,
            elevation_m: number("elevation", elevation_m)?,
            utc_offset_h: number("utc_offset", utc_offset_h)?,
        },
        snow: table.get("snow").map(|field| snow(&field)).transpose()?,
        columns: own.or_else(|| shared.cloned()),
    };
    Ok((station, name))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_station_is_named_by_its_file_without_its_endings() {
        assert_eq!(station_name(Path::new("w/Oslo 2.CSV.gz")), "Oslo 2");
        assert_eq!(station_name(Path::new("chicago.v2.epw")), "chicago.v2");
    }
}
