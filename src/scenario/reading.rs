//! From a file or its text to a [`Scenario`].

use std::fs::File;
use std::io::{ErrorKind, Read as _};
use std::path::Path;

use toml::de::DeTable;

use super::change::changes;
use super::colony::colony;
use super::error::{Problem, ScenarioError};
use super::field::{Field, quote};
use super::fingerprint::fingerprint;
use super::hive::hive;
use super::layer::materials;
use super::overrides::overrides;
use super::prices::prices;
use super::season::season;
use super::site::site;
use super::table::{Source, Table};
use super::weather::weather;
use super::{Ensemble, Scenario};
use crate::ensemble::{SETS_TOGETHER, Sampling, most_likely};
use crate::hive::Hive;

const SAMPLE: &str = include_str!("sample.toml");
/// Name of the sample in messages.
const SAMPLE_FILE: &str = "sample.toml";
/// Longest file that is read, KiB; the sample has 4.
const MOST_KIB: u64 = 1024;
/// Members when the scenario does not say.
const MEMBERS: u32 = 1_000;
/// Most members: a million rows with their days take some 2 GB.
pub const MOST_MEMBERS: u32 = 1_000_000;
/// Sets of what all colonies share, unless the scenario says otherwise: enough that a range of nine tenths of them is known to a tenth (own choice).
pub const SHARED_SETS: u32 = 100;
/// Fewest and most of them.
pub const SHARED_SETS_ALLOWED: (u32, u32) = (10, 100_000);
/// Seed when the scenario does not say.
const SEED: u64 = 1;
/// What a scenario without a hive is told to write.
const HIVE: &str = "[hive] with boxes, frames, wall, lid, floor and entrance below it, or from = \"thin-softwood-two-boxes\"";
/// Keys of what is drawn.
pub(super) const DRAWN: [&str; 4] = ["members", "seed", "draws", "shared_sets"];
/// How draws are taken.
const SAMPLINGS: [(&str, Sampling); 2] = [("plain", Sampling::Plain), ("sobol", Sampling::Sobol)];
/// Keys of a scenario.
pub(super) const KEYS: [&str; 10] = [
    "name",
    "site",
    "weather",
    "season",
    "hive",
    "colony",
    "ensemble",
    "material",
    "parameters",
    "prices",
];

/// Reads a scenario file.
///
/// # Errors
/// The first thing that is wrong with the file or a field of it.
pub fn read(path: &Path) -> Result<Scenario, ScenarioError> {
    parse(&read_text(path)?, path)
}

/// The text of a scenario file.
///
/// # Errors
/// A file that cannot be read or is no text.
pub fn read_text(path: &Path) -> Result<String, ScenarioError> {
    let bytes = bytes(path).map_err(|problem| whole(path, problem))?;
    if bytes.contains(&0) {
        return Err(whole(path, Problem::Binary));
    }
    String::from_utf8(bytes).map_err(|error| {
        let valid = error.utf8_error().valid_up_to();
        let before = error.as_bytes().iter().take(valid);
        let lines = before.filter(|byte| **byte == b'\n').count();
        ScenarioError {
            line: Some(lines + 1),
            ..whole(path, Problem::NotUtf8 { byte: valid + 1 })
        }
    })
}

fn bytes(path: &Path) -> Result<Vec<u8>, Problem> {
    let refused = |error: std::io::Error| match error.kind() {
        ErrorKind::NotFound => Problem::NoFile,
        ErrorKind::IsADirectory => Problem::Folder,
        _ => Problem::Unreadable(error.to_string()),
    };
    if path.is_dir() {
        return Err(Problem::Folder);
    }
    let most = MOST_KIB * 1024;
    let mut bytes = Vec::new();
    let file = File::open(path).map_err(refused)?;
    file.take(most + 1)
        .read_to_end(&mut bytes)
        .map_err(refused)?;
    if bytes.len() as u64 > most {
        return Err(Problem::TooLarge { most_kib: MOST_KIB });
    }
    Ok(bytes)
}

/// Reads the text of a scenario; `path` names it in messages, and weather files are resolved from its folder.
///
/// # Errors
/// The first thing that is wrong with the text or a field of it.
pub fn parse(text: &str, path: &Path) -> Result<Scenario, ScenarioError> {
    validated(text, path, Some(path))
}

/// Reads the text of a hive alone: `[hive]` and, where it needs them, `[[material]]`, as a scenario has them.
///
/// # Errors
/// The first thing that is wrong with the text or a field of it.
pub fn parse_hive(text: &str, path: &Path) -> Result<Hive, ScenarioError> {
    let source = Source { file: path, text };
    let document = DeTable::parse(text).map_err(|error| syntax(source, &error))?;
    let table = Table::root(source, document.get_ref(), &["hive", "material"])?;
    let catalogue = materials(table.get("material").as_ref())?;
    hive(&table.require("hive", HIVE)?, &catalogue, "hive")
}

/// The built-in sample: a two-box hive of 19 mm softwood in an invented northern place, run through the built-in winters.
#[must_use]
pub fn built_in() -> Scenario {
    // The text is part of the program and a test reads it.
    match validated(SAMPLE, Path::new(SAMPLE_FILE), None) {
        Ok(scenario) => scenario,
        Err(error) => unreachable!("the built-in sample: {error}"),
    }
}

/// The text of a commented scenario to begin with: that of the built-in sample.
#[must_use]
pub fn starter() -> &'static str {
    SAMPLE
}

fn validated(text: &str, file: &Path, path: Option<&Path>) -> Result<Scenario, ScenarioError> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    if text.trim().is_empty() {
        return Err(whole(file, Problem::Empty));
    }
    let source = Source { file, text };
    let document = DeTable::parse(text).map_err(|error| syntax(source, &error))?;
    let table = Table::root(source, document.get_ref(), &KEYS)?;
    let section = |key, example| table.require(key, example);

    let name = table
        .get("name")
        .map(|name| name.text("\"Oak hive, home yard\""))
        .transpose()?;
    let stem = || {
        file.file_stem()
            .map_or_else(|| "scenario".into(), |stem| stem.to_string_lossy())
    };
    let name = name.map_or_else(|| stem().into_owned(), str::to_owned);

    let catalogue = materials(table.get("material").as_ref())?;
    let overrides = table
        .get("parameters")
        .map(|field| overrides(&field))
        .transpose()?
        .unwrap_or_default();
    let site = site(&section(
        "site",
        "[site] with latitude = 47.2 and shelter = \"hedge\" below it",
    )?)?;
    let folder = file.parent().unwrap_or(Path::new(""));
    let weather = weather(
        &section(
            "weather",
            "[weather] with files = [\"station.csv\"] below it, or sample = true",
        )?,
        folder,
    )?;
    let season = season(&section(
        "season",
        "[season] with start = \"1 October\" and first_forage = \"20 April\" below it",
    )?)?;
    let hive_section = section("hive", HIVE)?;
    let mut hive = hive(&hive_section, &catalogue, &name)?;
    hive.changes = changes(&hive_section, &hive, &season, &catalogue)?;
    let colony = colony(
        &section(
            "colony",
            "[colony] with bees = 15000 and stores = \"25 kg\" below it",
        )?,
        &hive,
        &season,
        &most_likely(&overrides),
    )?;
    let ensemble = ensemble(table.get("ensemble").as_ref())?;
    let prices = table.get("prices").map(|field| prices(&field));
    let prices = prices.transpose()?.unwrap_or_default();
    let mut scenario = Scenario {
        name,
        path: path.map(Path::to_owned),
        site,
        weather,
        season,
        hive,
        colony,
        overrides,
        ensemble,
        prices,
        fingerprint: String::new(),
    };
    scenario.fingerprint = fingerprint(&scenario);
    Ok(scenario)
}

/// What an ensemble is where nothing is said of it.
const ENSEMBLE: Ensemble = Ensemble {
    members: MEMBERS,
    seed: SEED,
    sampling: Sampling::Plain,
    shared_sets: SHARED_SETS,
};

fn ensemble(field: Option<&Field<'_>>) -> Result<Ensemble, ScenarioError> {
    let Some(field) = field else {
        return Ok(ENSEMBLE);
    };
    drawn(&field.table(&DRAWN, "[ensemble]")?)
}

/// Members, seed and way of drawing of a table that may give them.
pub(super) fn drawn(table: &Table<'_>) -> Result<Ensemble, ScenarioError> {
    let mut ensemble = ENSEMBLE;
    if let Some(members) = table.get("members") {
        let value = members.whole(1, MOST_MEMBERS.into())?;
        ensemble.members = u32::try_from(value).unwrap_or(MOST_MEMBERS);
    }
    if let Some(seed) = table.get("seed") {
        ensemble.seed = seed.whole(0, i64::MAX.unsigned_abs())?;
    }
    if let Some(draws) = table.get("draws") {
        ensemble.sampling = draws.choice(&SAMPLINGS)?;
    }
    if let Some(sets) = table.get("shared_sets") {
        let (least, most) = SHARED_SETS_ALLOWED;
        let value = sets.whole(least.into(), most.into())?;
        let in_groups = u32::try_from(value)
            .ok()
            .filter(|sets| sets % SETS_TOGETHER == 0);
        ensemble.shared_sets = in_groups.ok_or_else(|| {
            sets.not_allowed(format!(
                "a multiple of {SETS_TOGETHER} from {least} to {most}"
            ))
        })?;
    }
    Ok(ensemble)
}

pub(super) fn whole(file: &Path, problem: Problem) -> ScenarioError {
    ScenarioError {
        file: file.to_owned(),
        line: None,
        field: String::new(),
        problem: Box::new(problem),
    }
}

pub(super) fn syntax(source: Source<'_>, error: &toml::de::Error) -> ScenarioError {
    let line = error.span().map_or(1, |span| source.line(span.start));
    let problem = Problem::Syntax {
        message: error.message().replace('\n', ", "),
        line: quote(source.text.lines().nth(line - 1).unwrap_or_default()),
    };
    ScenarioError {
        line: Some(line),
        ..whole(source.file, problem)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_sample_is_read_and_is_the_starter() {
        let sample = built_in();
        assert_eq!(sample.path, None);
        assert_eq!(sample.hive.frames, 10);
        assert!((sample.hive.cavity.width_m - 0.375).abs() < 1e-12);
        assert_eq!(sample.colony.bees, 15_500.0);
        let starter = parse(starter(), Path::new("yard/oak.toml")).unwrap();
        assert_eq!(starter.fingerprint, sample.fingerprint);
        assert_eq!(starter.path.as_deref(), Some(Path::new("yard/oak.toml")));
    }
}
