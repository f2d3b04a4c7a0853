//! The charts of each kind of result, and the files that they become.

pub use super::charts_compared::{of_compare, of_sensitivity, of_sweep};
pub use super::hive_charts::hive;
pub use super::trace_charts::of_trace;

use super::{OutputError, OutputFolder, Provenance, RunReport, hive_charts, run_charts};
use crate::chart::{Chart, ColdWinter, Coldness, Look, PngError, Shows};
use crate::ensemble::{MemberRows, RowsError};
use crate::scenario::{Prepared, Scenario};

/// Charts of a run from its rows, one or more, in the order of a page.
///
/// # Errors
/// [`RowsError`] when rows cannot be read back.
pub fn of_run(report: &RunReport<'_>, rows: &MemberRows) -> Result<Vec<Chart>, RowsError> {
    let winters = report.summary.winters.iter().map(|winter| ColdWinter {
        label: winter.label.clone(),
        mean_c: winter.mean_c,
        need_kg: winter.need_kg,
        starved: winter.starved,
    });
    Ok(vec![
        Chart::new(
            "stores-left",
            Shows::StoresLeft(run_charts::stores_left(report, rows)?),
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
        Chart::new("wet-lid", Shows::WetLid(run_charts::wet_lid(report, rows)?)),
        Chart::new(
            "coldness",
            Shows::Coldness(Coldness {
                winters: winters.collect(),
            }),
        ),
        hive_charts::hive(report.scenario, report.prepared),
    ])
}

/// The line below a chart: what made it, with its winters.
#[must_use]
pub fn source(provenance: &Provenance, winters: usize) -> String {
    let word = if winters == 1 { "winter" } else { "winters" };
    format!("{}, {winters} {word}", provenance.line())
}

/// The files of a picture, or why there are none as an error of output.
pub(super) fn drawn<T>(files: Result<T, PngError>) -> Result<T, OutputError> {
    files.map_err(|error| OutputError::format("PNG")(error.into()))
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
        for (name, bytes) in drawn(chart.files(look, source))? {
            folder.add(&name, &bytes)?;
        }
    }
    Ok(())
}

/// The hives of a comparison, to scale, with their letters.
#[must_use]
pub fn hives(scenarios: &[Scenario], prepared: &[Prepared]) -> Vec<Chart> {
    let parts = scenarios.iter().zip(prepared).zip('a'..='z');
    let drawn = parts.map(|((scenario, prepared), letter)| {
        let shows = hive_charts::hive(scenario, prepared).shows;
        Chart::new(&format!("hive-{letter}"), shows)
    });
    drawn.collect()
}
