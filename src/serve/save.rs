//! Saving: both scenarios and what was found, into the folder that is served, under a new name.

use super::answer::{self, Finished, Look};
use super::error::Refusal;
use super::settings::{Pair, Settings};
use super::{App, answer::Asked};
use crate::ensemble::{Fate, StoresAdvice, Summary};
use crate::report::{
    self, Comparison, OutputError, OutputFolder, Provenance, RunReport, json, write_file,
};
use serde::{Deserialize, Serialize};
use std::path::Path;
use std::sync::{Arc, PoisonError};

/// Longest name, characters.
const MOST_NAME: usize = 60;
/// What the names of both hives' files end with.
const SIDES: [&str; 2] = ["-as-it-is", "-changed"];

/// What the page asks to save.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Save {
    pub name: String,
    pub settings: Settings,
    pub look: Look,
}

/// What was saved, as names in the folder.
#[derive(Clone, Debug, Serialize)]
pub(super) struct Saved {
    pub scenarios: [String; 2],
    pub report: String,
}

/// Saves the last answer, which must be that to these settings and complete. Blocks.
///
/// # Errors
/// [`Refusal`]; what is in the folder stays as it is.
pub(super) fn save(app: &App, asked: &Save) -> Result<Saved, Refusal> {
    let name = checked_name(&asked.name)?;
    let pair = answer::checked(
        app,
        &Asked {
            settings: asked.settings.clone(),
            look: asked.look,
        },
    )?;
    let finished = {
        let last = app.finished.lock().unwrap_or_else(PoisonError::into_inner);
        last.as_ref().map(Arc::clone)
    };
    let finished = finished
        .filter(|last| last.settings == asked.settings && last.units == asked.look.units())
        .ok_or(Refusal::NotAnswered)?;
    let saved = Saved {
        scenarios: SIDES.map(|side| format!("{name}{side}.toml")),
        report: name.to_owned(),
    };
    let folder = &app.base.folder;
    for name in saved.scenarios.iter().chain([&saved.report]) {
        // A link that leads nowhere is something too.
        if folder.join(name).symlink_metadata().is_ok() {
            return Err(Refusal::Taken(name.clone()));
        }
    }
    report(&folder.join(&saved.report), &pair, &finished, asked.look)?;
    for (name, moved) in saved.scenarios.iter().zip([&pair.as_it_is, &pair.changed]) {
        write_file(&folder.join(name), moved.text.as_bytes(), false)?;
    }
    Ok(saved)
}

/// A name that is no path and nothing special to any system.
fn checked_name(name: &str) -> Result<&str, Refusal> {
    let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_');
    let fine = (1..=MOST_NAME).contains(&name.len())
        && name.chars().all(plain)
        && name.starts_with(|c: char| c.is_ascii_alphanumeric());
    if fine {
        return Ok(name);
    }
    Err(Refusal::Name {
        given: name
            .chars()
            .filter(|c| !c.is_control())
            .take(MOST_NAME)
            .collect(),
        most: MOST_NAME,
    })
}

fn report(path: &Path, pair: &Pair, finished: &Finished, look: Look) -> Result<(), OutputError> {
    let mut folder = OutputFolder::new(path, false)?;
    let scenarios = [
        pair.as_it_is.scenario.clone(),
        pair.changed.scenario.clone(),
    ];
    let fates = [0, 1].map(|side| {
        finished.rows[side]
            .iter()
            .map(Fate::from)
            .collect::<Vec<_>>()
    });
    let comparison = Comparison::new(&scenarios, &finished.prepared, &fates);
    folder.add("comparison.json", json::pretty(&comparison)?.as_bytes())?;
    folder.add("pairs.csv", &report::compare_csv::csv(&comparison, &fates)?)?;
    for (number, side) in SIDES.iter().enumerate() {
        let (scenario, prepared, rows) = (
            &scenarios[number],
            &finished.prepared[number],
            &finished.rows[number],
        );
        let summary = Summary::new(&prepared.plan, rows);
        let advice = StoresAdvice::new(&prepared.plan, rows, &summary, &prepared.before_c);
        let provenance = Provenance::new(scenario, prepared);
        let run = RunReport {
            scenario,
            prepared,
            summary: &summary,
            advice: &advice,
            precision: None,
            provenance: &provenance,
        };
        folder.add(&format!("summary{side}.json"), json::run(&run)?.as_bytes())?;
        let mut charts = report::charts::of_run(&run, rows);
        for chart in &mut charts {
            chart.key += side;
        }
        let source = report::charts::source(&provenance, prepared.plan.winters.len());
        report::charts::add(&mut folder, &charts, look.chart(), &source)?;
    }
    folder.finish()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_plain_names_are_saved_under() {
        for name in ["spring", "2026-yard_B", "a"] {
            assert!(checked_name(name).is_ok(), "{name}");
        }
        let long = "x".repeat(MOST_NAME + 1);
        for name in [
            "", ".", "..", "../up", "a/b", "a\\b", "/etc", "-rf", "_", "a b", "a.toml", "ä", "a\0",
            "a\n", &long,
        ] {
            assert!(checked_name(name).is_err(), "{name:?}");
        }
    }
}
