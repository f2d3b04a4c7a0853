//! The cells of a batch, named and fingerprinted before the first one is run.

use super::shard::Shard;
use crate::ensemble::Sampling;
use crate::scenario::{Scenario, SeasonRule, Station, Study};
use rayon::prelude::*;
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use std::fmt::{Display, Write as _};
use std::fs::File;
use std::io::{self, Read as _};
use std::path::Path;

/// The program that made a batch: another version may give other figures, so its cells are its own.
const PROGRAM: &str = concat!("overwinter ", env!("CARGO_PKG_VERSION"));
/// Changes when a cell's file or what is fingerprinted changes its form.
const FORM: &str = "overwinter batch 2";
/// Bytes of a hash that are kept; two hex digits each.
const BYTES: usize = 8;
/// Letters of a name that go into a cell's file name.
const LETTERS: usize = 40;

/// All cells of a batch, in the order of its results: station by station, scenario by scenario, season by season.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BatchPlan {
    /// The program and its version.
    pub program: String,
    /// Name of the study.
    pub study: String,
    /// Members of each cell.
    pub members: u32,
    /// Seed of all draws.
    pub seed: u64,
    /// How they are taken.
    pub draws: Sampling,
    /// Sets of what all colonies share, the same in every cell.
    pub shared_sets: u32,
    /// Names of the scenarios.
    pub scenarios: Vec<String>,
    /// Names of the stations.
    pub stations: Vec<String>,
    /// Names of the rules for the season.
    pub seasons: Vec<String>,
    /// The cells.
    pub cells: Vec<PlannedCell>,
}

/// A cell before it is run.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PlannedCell {
    /// Number of its station.
    pub station: usize,
    /// Number of its scenario.
    pub scenario: usize,
    /// Number of its rule for the season.
    pub season: usize,
    /// Name of its file.
    pub file: String,
    /// Hash of all that its figures depend on: version, scenario, members, seed and way of drawing, station, rule, weather by its content.
    pub fingerprint: String,
    /// SHA-256 of its weather files in their order; why not, for one that cannot be read.
    pub weather: Vec<String>,
}

impl BatchPlan {
    /// The cells of one part, or all.
    pub fn cells_of(&self, shard: Option<Shard>) -> impl Iterator<Item = &PlannedCell> {
        let cells = self.cells.iter().enumerate();
        let own = move |number| shard.is_none_or(|shard| shard.holds(number));
        cells.filter_map(move |(number, cell)| own(number).then_some(cell))
    }

    /// Station, scenario and season of a cell in words.
    #[must_use]
    pub fn words(&self, cell: &PlannedCell) -> String {
        let name = |names: &[String], number: usize| names.get(number).cloned().unwrap_or_default();
        format!(
            "{}, {}, {}",
            name(&self.stations, cell.station),
            name(&self.scenarios, cell.scenario),
            name(&self.seasons, cell.season)
        )
    }

    /// Sixteen hex digits of all cells' fingerprints.
    #[must_use]
    pub fn fingerprint(&self) -> String {
        let mut text = Canonical::default();
        for cell in &self.cells {
            text.word("cell", &cell.fingerprint);
        }
        text.hash()
    }
}

/// The cells of a study. Its weather files are read once to fingerprint them, in parallel on the pool that this is called in.
#[must_use]
pub fn plan(study: &Study) -> BatchPlan {
    let weather: Vec<Vec<String>> = study
        .stations
        .par_iter()
        .map(|station| station.paths.iter().map(|path| content(path)).collect())
        .collect();
    let folder = study.path.parent().unwrap_or(Path::new(""));
    let mut cells = Vec::new();
    for (s, station) in study.stations.iter().enumerate() {
        for (h, (name, scenario)) in study.scenarios.iter().enumerate() {
            for (r, rule) in study.seasons.iter().enumerate() {
                let inputs = Inputs {
                    study,
                    folder,
                    station,
                    scenario: (name, scenario),
                    rule,
                    weather: &weather[s],
                };
                cells.push(PlannedCell {
                    station: s,
                    scenario: h,
                    season: r,
                    file: file_name([&station.name, name, &rule.name]),
                    fingerprint: inputs.fingerprint(),
                    weather: weather[s].clone(),
                });
            }
        }
    }
    BatchPlan {
        program: PROGRAM.to_owned(),
        study: study.name.clone(),
        members: study.ensemble.members,
        seed: study.ensemble.seed,
        draws: study.ensemble.sampling,
        shared_sets: study.ensemble.shared_sets,
        scenarios: study
            .scenarios
            .iter()
            .map(|(name, _)| name.clone())
            .collect(),
        stations: study
            .stations
            .iter()
            .map(|station| station.name.clone())
            .collect(),
        seasons: study.seasons.iter().map(|rule| rule.name.clone()).collect(),
        cells,
    }
}

/// All that a cell's figures depend on.
struct Inputs<'a> {
    study: &'a Study,
    folder: &'a Path,
    station: &'a Station,
    scenario: (&'a str, &'a Scenario),
    rule: &'a SeasonRule,
    weather: &'a [String],
}

impl Inputs<'_> {
    fn fingerprint(&self) -> String {
        let mut text = Canonical::default();
        text.word("form", FORM);
        text.word("program", PROGRAM);
        let (name, scenario) = self.scenario;
        text.word(
            "scenario",
            format_args!("{name:?} {}", scenario.fingerprint),
        );
        text.word("ensemble", format_args!("{:?}", self.study.ensemble));
        let SeasonRule { name, days } = self.rule;
        text.word("season", format_args!("{name:?} {days:?}"));
        let Station {
            name,
            paths,
            code,
            place,
            snow,
            columns,
        } = self.station;
        text.word(
            "station",
            format_args!("{name:?} {code:?} {place:?} {snow:?}"),
        );
        text.word("columns", format_args!("{columns:?}"));
        for (path, hash) in paths.iter().zip(self.weather) {
            // The name goes into the results.
            let path = path.strip_prefix(self.folder).unwrap_or(path);
            let path = path.to_string_lossy().replace('\\', "/");
            text.word("weather", format_args!("{path:?} {hash}"));
        }
        text.hash()
    }
}

#[derive(Default)]
struct Canonical(String);

impl Canonical {
    fn word(&mut self, key: &str, value: impl Display) {
        // Writing into a String cannot fail.
        let _ = writeln!(self.0, "{key} {value}");
    }

    fn hash(&self) -> String {
        hex(&Sha256::digest(self.0.as_bytes())[..BYTES])
    }
}

fn hex(bytes: &[u8]) -> String {
    bytes
        .iter()
        .fold(String::new(), |text, byte| text + &format!("{byte:02x}"))
}

/// SHA-256 of a file, or in words why it cannot be read.
fn content(path: &Path) -> String {
    let hash = || -> io::Result<String> {
        let mut file = File::open(path)?;
        let mut hasher = Sha256::new();
        let mut buffer = vec![0; 1 << 16];
        loop {
            match file.read(&mut buffer)? {
                0 => return Ok(hex(&hasher.finalize())),
                read => hasher.update(&buffer[..read]),
            }
        }
    };
    hash().unwrap_or_else(|error| format!("unreadable: {}", error.kind()))
}

/// A file name that people can read and that no other cell has.
fn file_name(names: [&str; 3]) -> String {
    let plain = names.map(|name| {
        let letter = |c: char| if c.is_ascii_alphanumeric() { c } else { '-' };
        name.chars().take(LETTERS).map(letter).collect::<String>()
    });
    let mut text = Canonical::default();
    text.word("names", format_args!("{names:?}"));
    format!("{}.{}.json", plain.join("."), text.hash())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cells_of_names_that_look_alike_have_files_of_their_own() {
        let one = file_name(["Oslo", "a b", "x"]);
        let other = file_name(["Oslo", "a-b", "x"]);
        assert_ne!(one, other);
        assert!(one.starts_with("Oslo.a-b.x."), "{one}");
        assert_ne!(file_name(["a", "b", "c"]), file_name(["a", "c", "b"]));
    }

    #[test]
    fn a_file_that_is_not_there_has_a_fingerprint_too() {
        assert!(content(Path::new("no/such.csv")).starts_with("unreadable: "));
    }
}
