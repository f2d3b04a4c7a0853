//! The charts of each kind of result, and the files that they become.

pub use super::hive_charts::hive;
pub use super::trace_charts::of_trace;

use super::hive_charts;
use super::{OutputError, OutputFolder, Provenance, RunReport};
use crate::chart::{Chart, ColdWinter, Coldness, Look, Shows};

/// Charts of a run.
#[must_use]
pub fn of_run(report: &RunReport<'_>) -> Vec<Chart> {
    let winters = report.summary.winters.iter().map(|winter| ColdWinter {
        label: winter.label.clone(),
        mean_c: winter.mean_c,
        need_kg: winter.need_kg,
        starved: winter.starved,
    });
    let mut charts = vec![Chart::new(
        "coldness",
        Shows::Coldness(Coldness {
            winters: winters.collect(),
        }),
    )];
    charts.push(hive_charts::hive(report.scenario, report.prepared));
    charts
}

/// The line below a chart: what made it, with its winters.
#[must_use]
pub fn source(provenance: &Provenance, winters: usize) -> String {
    let word = if winters == 1 { "winter" } else { "winters" };
    format!("{}, {winters} {word}", provenance.line())
}

/// Adds every chart to a folder, as SVG and PNG.
///
/// # Errors
/// [`OutputError`] when one cannot be drawn or written.
pub fn add(
    folder: &mut OutputFolder,
    charts: &[Chart],
    look: Look,
    source: &str,
) -> Result<(), OutputError> {
    for chart in charts {
        let files = chart
            .files(look, source)
            .map_err(|error| OutputError::format("PNG")(error.into()))?;
        for (name, bytes) in files {
            folder.add(&name, &bytes)?;
        }
    }
    Ok(())
}
