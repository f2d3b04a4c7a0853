//! The charts of each kind of result, and the files that they become.

use super::{OutputError, OutputFolder, Provenance, RunReport, run_charts};
use crate::chart::{Chart, ColdWinter, Coldness, Look, Shows};
use crate::ensemble::MemberRow;

/// Charts of a run from its rows, one or more, in the order of a page.
#[must_use]
pub fn of_run(report: &RunReport<'_>, rows: &[MemberRow]) -> Vec<Chart> {
    let winters = report.summary.winters.iter().map(|winter| ColdWinter {
        label: winter.label.clone(),
        mean_c: winter.mean_c,
        need_kg: winter.need_kg,
        starved: winter.starved,
    });
    vec![
        Chart::new(
            "stores-left",
            Shows::StoresLeft(run_charts::stores_left(report, rows)),
        ),
        Chart::new(
            "honey-needed",
            Shows::HoneyNeeded(run_charts::honey_needed(report)),
        ),
        Chart::new("risk", Shows::Risk(run_charts::risk(report))),
        Chart::new(
            "heat-by-month",
            Shows::HeatByMonth(run_charts::heat_by_month(report, rows)),
        ),
        Chart::new("wet-lid", Shows::WetLid(run_charts::wet_lid(report, rows))),
        Chart::new(
            "coldness",
            Shows::Coldness(Coldness {
                winters: winters.collect(),
            }),
        ),
    ]
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
