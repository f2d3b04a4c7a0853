//! What a folder of results keeps so that its page and pictures can be made again, in other units, widths or colours, without running anything.

use super::{
    Comparison, Document, OutputError, OutputFolder, PROGRAM, Provenance, charts, compare_text,
    json, page,
};
use crate::chart::{Chart, Look};
use crate::units::System;
use serde::{Deserialize, Serialize};
use std::path::{Path, PathBuf};
use thiserror::Error;

/// The file that holds it.
pub const SAVED_FILE: &str = "report.json";
/// Its format; a change that older programs would misread raises it.
const FORMAT: u32 = 1;
/// Most bytes of it that are read.
const MOST_BYTES: u64 = 64 << 20;

/// What is known about the model that a reader of any of its results must know.
const LIMITS: [&str; 5] = [
    "The bees' own shell decides how much honey a winter takes, more than walls do, and how well it insulates is known only roughly. Where a direction is uncertain, do not choose a wall, lid or wrap to save honey.",
    "How a cluster moves over its stores, and where honey stands in autumn, are assumptions, and they decide who dies beside honey.",
    "Brood and mortality are from memory where not published; spring build-up is rough.",
    "Disease, mites, queens, robbing and poison are not in it.",
    "Intervals cannot show winters that were not recorded: ten winters are ten winters.",
];

/// A result as its folder keeps it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Saved {
    /// Its format.
    pub format: u32,
    /// The program that made it.
    pub program: String,
    /// What the page is called: the names of the scenarios.
    pub title: String,
    /// What was asked.
    pub question: String,
    /// What was found, with metric units.
    pub metric: Document,
    /// The same with US units.
    pub us: Document,
    /// Its charts, in the order of the page.
    pub charts: Vec<Chart>,
    /// What the model is known to be weak at.
    pub limits: Vec<String>,
    /// What repeats it.
    pub repeat: Repeat,
    /// The line below each chart.
    pub source: String,
}

/// Everything needed to make a result again.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Repeat {
    /// The command, on the files below.
    pub command: String,
    /// Scenario files: name and text.
    pub scenarios: Vec<(String, String)>,
    /// What each result is made of: program, seed, members, fingerprint, weather with its hash.
    pub made_by: Vec<String>,
    /// Weather files: name, layout and SHA-256.
    pub weather: Vec<(String, String, String)>,
}

/// Why a folder's result cannot be shown again.
#[derive(Debug, Error)]
pub enum SavedError {
    /// Nothing to read.
    #[error(
        "{0}: has no {SAVED_FILE}; name a folder that `--out` of run, compare, sensitivity, sweep or trace has made"
    )]
    Missing(PathBuf),
    /// It cannot be read.
    #[error("{path}: cannot be read: {problem}")]
    Read {
        /// The file.
        path: PathBuf,
        /// Why.
        problem: String,
    },
    /// It is not what this program writes.
    #[error("{path}: {problem}; make it anew with the command that made it")]
    Form {
        /// The file.
        path: PathBuf,
        /// What is wrong.
        problem: String,
    },
}

impl Repeat {
    /// Of a command on scenario files, each with what made its result.
    #[must_use]
    pub fn new(
        command: String,
        scenarios: Vec<(String, String)>,
        provenances: &[&Provenance],
    ) -> Self {
        let mut weather: Vec<(String, String, String)> = Vec::new();
        for read in provenances.iter().flat_map(|made| &made.weather) {
            let file = (
                read.file.clone(),
                read.layout.to_owned(),
                read.sha256.clone(),
            );
            if !weather.contains(&file) {
                weather.push(file);
            }
        }
        Self {
            command,
            scenarios,
            made_by: provenances.iter().map(|made| made.line()).collect(),
            weather,
        }
    }
}

impl Saved {
    /// Of a title, a question, what was found in both systems of units, its charts, and what repeats it; `source` is the line below each chart.
    #[must_use]
    pub fn new(
        title: String,
        question: &str,
        [metric, us]: [Document; 2],
        charts: Vec<Chart>,
        repeat: Repeat,
        source: String,
    ) -> Self {
        Self {
            format: FORMAT,
            program: PROGRAM.to_owned(),
            title,
            question: question.to_owned(),
            metric,
            us,
            charts,
            limits: LIMITS.map(str::to_owned).to_vec(),
            repeat,
            source,
        }
    }

    /// Of a comparison, its charts, the command that repeats it and the files that it was of.
    #[must_use]
    pub fn of_comparison(
        comparison: &Comparison,
        charts: Vec<Chart>,
        command: String,
        scenarios: Vec<(String, String)>,
    ) -> Self {
        let entries = &comparison.entries;
        let names: Vec<&str> = entries.iter().map(|entry| entry.name.as_str()).collect();
        let provenances: Vec<_> = entries.iter().map(|entry| &entry.provenance).collect();
        let source = provenances.first().map_or_else(String::new, |made| {
            charts::source(made, comparison.winters.len())
        });
        Self::new(
            names.join(" and "),
            "Which of these hives winters better, the same colonies in the same winters?",
            [System::Metric, System::Us].map(|units| compare_text::document(comparison, units)),
            charts,
            Repeat::new(command, scenarios, &provenances),
            source,
        )
    }

    /// What was found, in a system of units.
    #[must_use]
    pub fn document(&self, units: System) -> &Document {
        match units {
            System::Metric => &self.metric,
            System::Us => &self.us,
        }
    }

    /// Reads what a folder keeps.
    ///
    /// # Errors
    /// [`SavedError`] when it keeps nothing, or nothing that this program has written.
    pub fn read(folder: &Path) -> Result<Self, SavedError> {
        let path = folder.join(SAVED_FILE);
        if !path.is_file() {
            return Err(SavedError::Missing(folder.to_owned()));
        }
        let unread = |problem: String| SavedError::Read {
            path: path.clone(),
            problem,
        };
        let bytes = std::fs::metadata(&path)
            .map_err(|error| unread(error.to_string()))?
            .len();
        if bytes > MOST_BYTES {
            return Err(unread(format!(
                "{bytes} bytes are more than the {MOST_BYTES} that are read"
            )));
        }
        let text = std::fs::read_to_string(&path).map_err(|error| unread(error.to_string()))?;
        let form = |problem: String| SavedError::Form {
            path: path.clone(),
            problem,
        };
        #[derive(Deserialize)]
        struct Form {
            format: u32,
        }
        let found: Form = serde_json::from_str(&text)
            .map_err(|error| form(format!("is no report of this program ({error})")))?;
        if found.format != FORMAT {
            return Err(form(format!(
                "has format {}, and this program reads {FORMAT}",
                found.format
            )));
        }
        let saved: Self = serde_json::from_str(&text)
            .map_err(|error| form(format!("is no report of this program ({error})")))?;
        // Keys become names of files.
        let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
        let mut keys: Vec<&str> = saved
            .charts
            .iter()
            .map(|chart| chart.key.as_str())
            .collect();
        if let Some(key) = keys
            .iter()
            .find(|key| key.is_empty() || key.len() > 64 || !key.chars().all(plain))
        {
            return Err(form(format!("has a chart named {key:?}")));
        }
        keys.sort_unstable();
        if let Some(pair) = keys.windows(2).find(|pair| pair[0] == pair[1]) {
            return Err(form(format!("has two charts named {:?}", pair[0])));
        }
        Ok(saved)
    }

    /// Adds the page and the pictures to a folder, and the result itself.
    ///
    /// # Errors
    /// [`OutputError`] when one cannot be made or written.
    pub fn add(&self, folder: &mut OutputFolder, look: Look) -> Result<(), OutputError> {
        folder.add(SAVED_FILE, json::pretty(self)?.as_bytes())?;
        self.add_shown(folder, look)
    }

    /// Adds the page and the pictures only.
    ///
    /// # Errors
    /// [`OutputError`] when one cannot be made or written.
    pub fn add_shown(&self, folder: &mut OutputFolder, look: Look) -> Result<(), OutputError> {
        folder.add("report.html", page::html(self, look).as_bytes())?;
        charts::add(folder, &self.charts, look, &self.source)
    }
}
