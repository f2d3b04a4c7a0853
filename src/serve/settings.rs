//! From the controls of the page to two scenarios: the hive as it is, and the changed one.
//!
//! Every control is a change of the scenario's text, where a keeper would make it, read again by the ordinary reader. So what is saved is what was run,
//! and a control can do nothing that a scenario could not say.

use super::document::{self, Winters};
use super::error::Refusal;
use super::files;
use crate::hive::{Hive, Layer, Opening};
use crate::scenario::{
    Part, SHELTERS, Scenario, ScenarioError, Setting, WeatherSource, library, parse,
    text_with_layer, text_with_settings,
};
use crate::units::{Dimension, System, in_system};
use serde::Deserialize;
use std::path::{Path, PathBuf};
use toml_edit::DocumentMut;

/// Colonies that are run of each hive when the page does not say.
pub(super) const USUAL_MEMBERS: u32 = 300;
/// Fewest and most colonies of each hive.
pub(super) const MEMBERS: (u32, u32) = (10, 1_000);
/// Material of what is added: the foam board of the library's wrapped hive.
const BOARD: &str = "xps";
/// A layer that conducts no better than this is insulation, W/mK (own choice: soft wood-fibre board is, wood is not).
const INSULATION_W_MK: f64 = 0.08;
/// What is written of a quantity beyond its whole units.
const THOUSANDTHS: f64 = 1e3;
/// Longest name of a scenario that is carried on, characters.
const MOST_NAME: usize = 200;

/// What the controls say; what is not given stays as the scenario has it.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub(super) struct Settings {
    /// A hive of the library in the place of the scenario's: the changed hive.
    pub hive: Option<String>,
    /// A lid of the library: the changed hive.
    pub lid: Option<String>,
    /// Foam board outside the wall, m: the changed hive.
    pub wall_added_m: Option<f64>,
    /// More insulation in the lid, m: the changed hive.
    pub lid_added_m: Option<f64>,
    /// Vents: the changed hive.
    pub vents: Option<Vents>,
    /// Width of the first entrance, m: the changed hive.
    pub entrance_m: Option<f64>,
    /// Bees in autumn: both hives.
    pub bees: Option<f64>,
    /// Honey in autumn, kg: both hives.
    pub stores_kg: Option<f64>,
    /// Shelter of the site by its word: both hives.
    pub shelter: Option<String>,
    /// Where the winters come from: both hives.
    pub weather: Option<Weather>,
    /// Colonies of each hive.
    pub members: Option<u32>,
}

/// Vents of the changed hive.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum Vents {
    Corked,
    Open,
}

/// Where the winters come from, other than as the scenario has it.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum Weather {
    /// The built-in sample.
    Sample,
    /// A file of the folder.
    File(String),
}

/// The scenario that the page starts from.
#[derive(Debug)]
pub(super) struct Base {
    /// Its text, with weather files named from the folder that is served.
    text: String,
    /// What stands for its file in messages, in the folder that is served.
    path: PathBuf,
    /// The folder that is served.
    pub folder: PathBuf,
    /// The scenario.
    pub scenario: Scenario,
}

/// A scenario and its text.
#[derive(Clone, Debug)]
pub(super) struct Moved {
    pub text: String,
    pub scenario: Scenario,
}

/// Both hives.
#[derive(Clone, Debug)]
pub(super) struct Pair {
    pub as_it_is: Moved,
    pub changed: Moved,
    /// Width of the changed hive's first entrance before its control, m.
    pub entrance_m: Option<f64>,
    /// The lid's layer that its control thickens, by its title and thickness in m; none where a board is laid in.
    pub thickened: Option<(String, f64)>,
}

impl Pair {
    /// The scenarios: as it is, and changed.
    pub fn scenarios(&self) -> [Scenario; 2] {
        [
            self.as_it_is.scenario.clone(),
            self.changed.scenario.clone(),
        ]
    }
}

impl Base {
    /// Of a scenario's text. `own` is its file: weather files are named from its folder, and the page names them from the one that it serves.
    ///
    /// # Errors
    /// What is wrong with the scenario.
    pub fn new(text: &str, own: &Path, folder: &Path) -> Result<Self, ScenarioError> {
        let scenario = parse(text, own)?;
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        let name = own.file_name().unwrap_or_default();
        let path = folder.join(name);
        let mut text = text.to_owned();
        if !same_folder(own, &path)
            && let WeatherSource::Files { paths, .. } = &scenario.weather.source
            && let Ok(mut document) = text.parse::<DocumentMut>()
        {
            let whole = |path: &PathBuf| std::path::absolute(path).unwrap_or_else(|_| path.clone());
            let paths: Vec<String> = paths
                .iter()
                .map(|path| whole(path).display().to_string())
                .collect();
            document::set_files(&mut document, &paths);
            text = document.to_string();
        }
        Ok(Self {
            scenario: parse(&text, &path)?,
            text,
            path,
            folder: folder.to_owned(),
        })
    }

    /// Both hives as the controls have them.
    ///
    /// # Errors
    /// [`Refusal::Settings`] for what cannot be.
    pub fn moved(&self, settings: &Settings, units: System) -> Result<Pair, Refusal> {
        let text = self.for_both(settings, units)?;
        let as_it_is = self.read(text.clone())?;
        let mut text = text;
        if let Some(hive) = &settings.hive {
            known(Part::Hive, hive)?;
            text = edited(&text, |document| document::set_hive(document, hive));
        }
        if let Some(lid) = &settings.lid {
            known(Part::Lid, lid)?;
            text = set(&text, &[("hive.lid", lid.clone())])?;
        }
        let hive = self.read(text.clone())?.scenario.hive;
        text = on_hive(&text, &hive, settings, units)?;
        let differs =
            self.read(text.clone())?.scenario.fingerprint != as_it_is.scenario.fingerprint;
        if differs {
            let name = &as_it_is.scenario.name;
            let name: String = name.chars().take(MOST_NAME).collect();
            let only_hive = settings.lid.is_none() && on_hive_moved(settings).is_none();
            let listed = settings.hive.as_deref().filter(|_| only_hive);
            text = edited(&text, |document| {
                document::set_name(document, &format!("{name}, changed"));
                document::set_price(document, listed);
            });
        }
        Ok(Pair {
            changed: self.read(text)?,
            as_it_is,
            entrance_m: hive.entrances.first().map(|entrance| entrance.width_m),
            thickened: insulation(&hive)
                .map(|(_, layer)| (layer.material.title.to_string(), layer.thickness_m)),
        })
    }

    /// The text with what holds for both hives.
    fn for_both(&self, settings: &Settings, units: System) -> Result<String, Refusal> {
        let mut pairs = Vec::new();
        if let Some(bees) = settings.bees {
            pairs.push(("colony.bees", format!("{:.0}", finite(bees)?)));
        }
        if let Some(stores_kg) = settings.stores_kg {
            pairs.push((
                "colony.stores",
                written(finite(stores_kg)?, Dimension::Mass, units),
            ));
        }
        if let Some(shelter) = &settings.shelter {
            if !SHELTERS.iter().any(|(word, _)| word == shelter) {
                return Err(Refusal::Settings("there is no such shelter".to_owned()));
            }
            pairs.push(("site.shelter", shelter.clone()));
        }
        let text = set(&self.text, &pairs)?;
        let (fewest, most) = MEMBERS;
        let members = settings.members.unwrap_or(USUAL_MEMBERS);
        if !(fewest..=most).contains(&members) {
            return Err(Refusal::Settings(format!(
                "{fewest} to {most} colonies can be run of each hive here"
            )));
        }
        let winters = match &settings.weather {
            None => None,
            Some(Weather::Sample) => Some(Winters::Sample),
            Some(Weather::File(name)) => {
                let file = files::file(&self.folder, name);
                file.ok_or_else(|| {
                    Refusal::Settings(
                        "the folder has no such weather file any more; load the page again"
                            .to_owned(),
                    )
                })?;
                Some(Winters::File(name))
            }
        };
        Ok(edited(&text, |document| {
            document::set_members(document, members);
            if let Some(winters) = winters {
                document::set_winters(document, winters);
            }
        }))
    }

    fn read(&self, text: String) -> Result<Moved, Refusal> {
        let scenario = parse(&text, &self.path).map_err(|error| {
            // Lines are those of a text that nobody has before them.
            Refusal::Settings(match error.field.as_str() {
                "" => error.problem.to_string(),
                field => format!("{field}: {}", error.problem),
            })
        })?;
        Ok(Moved { text, scenario })
    }
}

fn same_folder(a: &Path, b: &Path) -> bool {
    let folder = |path: &Path| {
        let parent = path
            .parent()
            .filter(|parent| !parent.as_os_str().is_empty());
        parent.unwrap_or(Path::new(".")).canonicalize().ok()
    };
    folder(a).is_some() && folder(a) == folder(b)
}

/// The settings of the hive itself that are moved, if any is.
fn on_hive_moved(settings: &Settings) -> Option<()> {
    let lengths = [
        settings.wall_added_m,
        settings.lid_added_m,
        settings.entrance_m,
    ];
    (lengths.iter().any(Option::is_some) || settings.vents.is_some()).then_some(())
}

/// The text with wall, lid, vents and entrance as they are moved.
fn on_hive(text: &str, hive: &Hive, settings: &Settings, units: System) -> Result<String, Refusal> {
    let mut text = text.to_owned();
    let added = |added_m: Option<f64>| {
        added_m
            .map(finite)
            .transpose()
            .map(|added_m| added_m.filter(|m| *m > 0.0))
    };
    if let Some(added_m) = added(settings.lid_added_m)? {
        text = match insulation(hive) {
            Some((number, layer)) => {
                let key = format!("hive.lid[{}].thickness", number + 1);
                set(&text, &[(&key, length(layer.thickness_m + added_m, units))])?
            }
            None => with_layer(&text, "lid", 1, added_m, units)?,
        };
    }
    if let Some(added_m) = added(settings.wall_added_m)? {
        text = with_layer(&text, "wall", usize::MAX, added_m, units)?;
    }
    if let Some(vents) = settings.vents {
        let corked = (vents == Vents::Corked).to_string();
        for number in 1..=hive.vents.len() {
            text = set(
                &text,
                &[(&format!("hive.vents[{number}].corked"), corked.clone())],
            )?;
        }
    }
    if let (Some(width_m), Some((first, others))) =
        (settings.entrance_m, hive.entrances.split_first())
    {
        let moved = Opening {
            width_m: finite(width_m)?,
            ..*first
        };
        let all = std::iter::once(&moved).chain(others);
        let all: Vec<String> = all.map(|one| opening(one, units)).collect();
        let value = match &all[..] {
            [only] => only.clone(),
            several => format!("[{}]", several.join(", ")),
        };
        text = set(&text, &[("hive.entrance", value)])?;
    }
    Ok(text)
}

/// The layer of the lid that insulates most, with its number from the inside; none where none does.
fn insulation(hive: &Hive) -> Option<(usize, &Layer)> {
    let resistance = |layer: &Layer| layer.thickness_m / layer.material.conductivity_w_mk;
    let layers = hive.lid.iter().enumerate().filter(|(_, layer)| {
        let material = &layer.material;
        material.conductivity_w_mk <= INSULATION_W_MK
            && !material.name.contains("air")
            && !material.name.contains("cloth")
    });
    layers.max_by(|(_, a), (_, b)| resistance(a).total_cmp(&resistance(b)))
}

fn known(part: Part, name: &str) -> Result<(), Refusal> {
    let entries = library();
    let found = entries
        .iter()
        .any(|entry| entry.part == part && entry.name == name);
    found
        .then_some(())
        .ok_or_else(|| Refusal::Settings("the library has no such part".to_owned()))
}

fn finite(value: f64) -> Result<f64, Refusal> {
    Some(value)
        .filter(|value| value.is_finite())
        .ok_or_else(|| Refusal::Settings("a control is no number".to_owned()))
}

fn edited(text: &str, edit: impl FnOnce(&mut DocumentMut)) -> String {
    // A text that was read once is TOML.
    let Ok(mut document) = text.parse::<DocumentMut>() else {
        return text.to_owned();
    };
    edit(&mut document);
    document.to_string()
}

fn set(text: &str, pairs: &[(&str, String)]) -> Result<String, Refusal> {
    let refuse = |error: crate::scenario::SettingError| Refusal::Settings(error.to_string());
    let settings = pairs.iter().map(|(key, value)| Setting::of(key, value));
    let settings = settings.collect::<Result<Vec<_>, _>>().map_err(refuse)?;
    let pairs: Vec<(&Setting, &str)> = settings
        .iter()
        .zip(pairs.iter().map(|(_, value)| value.as_str()))
        .collect();
    text_with_settings(text, &pairs).map_err(refuse)
}

fn with_layer(
    text: &str,
    part: &str,
    place: usize,
    thickness_m: f64,
    units: System,
) -> Result<String, Refusal> {
    let layer = format!("{} {BOARD}", length(thickness_m, units));
    text_with_layer(text, part, place, &layer).map_err(|error| Refusal::Settings(error.to_string()))
}

/// A length or mass as a keeper of these units writes it.
fn written(value: f64, dimension: Dimension, units: System) -> String {
    let (value, symbol) = in_system(value, dimension, units);
    format!("{} {symbol}", (value * THOUSANDTHS).round() / THOUSANDTHS)
}

fn length(m: f64, units: System) -> String {
    written(m, Dimension::Length, units)
}

fn opening(opening: &Opening, units: System) -> String {
    let (width, height) = (
        length(opening.width_m, units),
        length(opening.height_m, units),
    );
    format!("{{ width = \"{width}\", height = \"{height}\" }}")
}

#[cfg(test)]
mod tests;
