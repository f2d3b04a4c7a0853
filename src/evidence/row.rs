//! Rows of evidence, as they are after they were checked.

use super::measure::Measure;
use crate::parameter::{Parameters, TABLE};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::fmt;

/// All evidence.
#[derive(Clone, Debug, PartialEq)]
pub struct Evidence {
    /// How far the model may be off, by kind of row.
    pub kinds: Vec<Kind>,
    /// Winters that colonies are run through.
    pub runs: Vec<Run>,
    /// What the model has a figure for.
    pub rows: Vec<Row>,
    /// What it has none for, or is itself made of.
    pub listed: Vec<Listed>,
}

/// Rows that the model may miss in the same measure.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Kind {
    /// Its name.
    pub name: String,
    /// Standard deviation of the half-normal prior of the discrepancy, in the row's unit or as a share of the observed value.
    pub discrepancy: f64,
    /// Whether it is a share.
    #[serde(default)]
    pub of_value: bool,
    /// Why so much.
    pub why: String,
}

/// How well a measurement is known to us.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum EvidenceMark {
    /// Read in the source, mostly in its abstract.
    Read,
    /// Read in a text that names the source.
    SecondHand,
    /// Common practice without a source.
    Practice,
    /// From memory.
    Memory,
    /// Worked out by us from public data.
    Computed,
}

impl fmt::Display for EvidenceMark {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Self::Read => "read",
            Self::SecondHand => "second-hand",
            Self::Practice => "practice",
            Self::Memory => "memory",
            Self::Computed => "computed",
        })
    }
}

/// What a row is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Role {
    /// The unknowns are fitted to it.
    Fitted,
    /// Shown beside the model only.
    Shown,
    /// Contradicts rows that are fitted; shown only.
    Contrary,
}

/// A published value that the model has a figure for.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// Its name in tables and files.
    pub id: String,
    /// What was measured, in words.
    pub quantity: String,
    /// The source's own figure.
    pub published: String,
    /// What we had to assume.
    pub conditions: String,
    /// The figure in [`Row::unit`].
    pub observed: f64,
    /// Its standard deviation, with what the assumed conditions add.
    pub sd: f64,
    /// How that was set.
    pub sd_from: String,
    /// Unit, as printed.
    pub unit: String,
    /// Who measured it.
    pub source: String,
    /// How well it is known.
    pub mark: EvidenceMark,
    /// What it is for.
    pub role: Role,
    /// Why it is not fitted.
    pub why: Option<String>,
    /// Number of its kind in [`Evidence::kinds`].
    pub kind: usize,
    /// What the model gives for it.
    pub measure: Measure,
    /// Parameters that its conditions fix.
    pub given: BTreeMap<String, f64>,
    /// Why the model misses it by more than two standard deviations, and by how much.
    pub known_miss: Option<String>,
}

impl Row {
    /// Whether the unknowns are fitted to it.
    #[must_use]
    pub fn is_fitted(&self) -> bool {
        self.role == Role::Fitted
    }
}

/// A published finding that the model has no figure for.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Listed {
    /// Its name.
    pub id: String,
    /// What the source says.
    pub published: String,
    /// Who says so.
    pub source: String,
    /// How well it is known.
    pub mark: EvidenceMark,
    /// Why there is no figure.
    pub why: String,
}

/// Winters that colonies are run through in some hives.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Run {
    /// Its name.
    pub name: String,
    /// Climate normals that its winters are made from.
    pub normals: String,
    /// How many.
    #[serde(default = "one")]
    pub winters: usize,
    /// Every hour is moved so that this mean is met.
    #[serde(default)]
    pub mean: Option<MeanOver>,
    /// The normals' February is moved by this, K.
    #[serde(default)]
    pub february_k: f64,
    /// First day.
    pub start: String,
    /// Last day.
    pub first_forage: String,
    /// Bees on the first day, kg.
    pub kg: f64,
    /// Hives, as scenarios have them.
    pub hives: BTreeMap<String, String>,
    /// Parameters that its conditions fix.
    #[serde(default)]
    pub given: BTreeMap<String, f64>,
}

fn one() -> usize {
    1
}

/// A published mean temperature.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MeanOver {
    /// Mean, degC.
    pub c: f64,
    /// First day.
    pub from: String,
    /// Day after the last.
    pub until: String,
}

impl Evidence {
    /// The discrepancy of a row for one of its kind's 1, in the row's unit.
    #[must_use]
    pub fn discrepancy_unit(&self, row: &Row) -> f64 {
        if self.kinds[row.kind].of_value {
            row.observed.abs()
        } else {
            1.0
        }
    }

    /// Sources of fitted rows in the order of the table, each with the numbers of those rows.
    #[must_use]
    pub fn sources(&self) -> Vec<(&str, Vec<usize>)> {
        let mut sources: Vec<(&str, Vec<usize>)> = Vec::new();
        for (number, row) in self.rows.iter().enumerate() {
            if !row.is_fitted() {
                continue;
            }
            match sources.iter_mut().find(|(source, _)| *source == row.source) {
                Some((_, rows)) => rows.push(number),
                None => sources.push((&row.source, vec![number])),
            }
        }
        sources
    }
}

/// Parameters with those set that conditions fix.
pub(super) fn with_given(parameters: &Parameters, given: &BTreeMap<String, f64>) -> Parameters {
    if given.is_empty() {
        return parameters.clone();
    }
    Parameters::from_rows(|number, row| {
        let set = given.get(row.name).copied();
        set.or_else(|| parameters.get(TABLE[number].name))
            .unwrap_or(row.default)
    })
}
