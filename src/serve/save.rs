//! Saving: both scenarios and what was found, into the folder that is served, under a new name.

use super::answer::{self, Asked, Both, Finished, Look};
use super::error::Refusal;
use super::settings::{Pair, Settings};
use super::{App, charts};
use crate::report::{
    self, OutputError, OutputFolder, Saved as Kept, compare_csv, json, write_file,
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
    let [one, other] = saved.scenarios.clone();
    let texts = [
        (one, pair.as_it_is.text.clone()),
        (other, pair.changed.text.clone()),
    ];
    let path = folder.join(&saved.report);
    report(&path, texts.clone(), &pair, &finished, asked.look)?;
    for (name, text) in &texts {
        write_file(&folder.join(name), text.as_bytes(), false)?;
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

fn report(
    path: &Path,
    scenarios: [(String, String); 2],
    pair: &Pair,
    finished: &Finished,
    look: Look,
) -> Result<(), OutputError> {
    let mut folder = OutputFolder::new(path, false)?;
    let of_pair = pair.scenarios();
    let both = Both::new(&of_pair, &finished.prepared, &finished.rows)?;
    let comparison = &both.comparison;
    folder.add("comparison.json", json::pretty(comparison)?.as_bytes())?;
    folder.add("pairs.csv", &compare_csv::csv(comparison, &both.fates)?)?;
    let mut charts = report::charts::of_compare(comparison, &both.fates);
    charts.extend(charts::of_each(&both)?.into_iter().flatten());
    let [(one, _), (other, _)] = &scenarios;
    let command = format!("overwinter compare {one} {other}");
    let saved = Kept::of_comparison(comparison, charts, command, scenarios.to_vec());
    saved.add(&mut folder, look.chart())?;
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
