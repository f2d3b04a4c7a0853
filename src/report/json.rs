//! Results as JSON, in SI units, the unit in every name.

use super::changes::{self, ChangeReport};
use super::{CAUTIONS, OutputError, Provenance, RunReport};
use crate::ensemble::{Reached, StoresAdvice, Summary};
use serde::Serialize;

#[derive(Serialize)]
struct Run<'a> {
    provenance: &'a Provenance,
    notes: &'a [String],
    refused_winters: &'a [(String, String)],
    stores_kg: f64,
    summary: &'a Summary,
    stores_advice: &'a StoresAdvice,
    #[serde(skip_serializing_if = "Option::is_none")]
    precision: Option<&'a Reached>,
    changes: Vec<ChangeReport>,
    cautions: [&'static str; CAUTIONS.len()],
}

/// The summary of an ensemble.
///
/// # Errors
/// [`OutputError::Format`], which no summary is known to cause.
pub fn run(report: &RunReport<'_>) -> Result<String, OutputError> {
    let run = Run {
        provenance: report.provenance,
        notes: &report.prepared.notes,
        refused_winters: &report.prepared.refused,
        stores_kg: report.scenario.colony.stores_kg,
        summary: report.summary,
        stores_advice: report.advice,
        precision: report.precision,
        changes: changes::over_winters(&report.prepared.plan),
        cautions: CAUTIONS,
    };
    pretty(&run)
}

/// Any value as indented JSON with a line break at its end.
///
/// # Errors
/// [`OutputError::Format`] for a value that JSON cannot hold.
pub fn pretty(value: &impl Serialize) -> Result<String, OutputError> {
    serde_json::to_string_pretty(value)
        .map(|text| text + "\n")
        .map_err(|error| OutputError::format("JSON")(error.into()))
}
