//! A setting of a scenario given other values: the text is changed where a keeper would change it and read again by the ordinary reader.

mod document;
mod path;
mod values;

use std::path::Path;

use thiserror::Error;
use toml_edit::{DocumentMut, Item};

use self::document::{add_layer, set, take_in_library};
use self::path::{Step, full, steps, unknown, written};
use self::values::{outside_brackets, parts, range};
use super::Scenario;
use super::error::ScenarioError;
use super::reading::parse;

/// Most values of one setting (own choice: each is a whole run).
pub const MOST_VALUES: usize = 100;
/// How settings are written.
const EXAMPLES: &str = "\"wall[2].thickness=20 mm,40 mm\" or \"entrance.width=20 mm..150 mm:4\"";

/// Why a setting cannot be given a value.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum SettingError {
    /// No key and values.
    #[error("'{0}' is no setting; write its key and values, as {EXAMPLES}")]
    NoSetting(String),
    /// A range that is none.
    #[error(
        "{key}: '{range}' is no range: {why}; write LOW..HIGH:STEPS, as \"20 mm..60 mm:3\" or \"1 November..1 January:3\""
    )]
    Range {
        /// The setting.
        key: String,
        /// The range as written.
        range: String,
        /// What is wrong.
        why: String,
    },
    /// More values than a setting may have.
    #[error("{key} has {count} values, more than the {MOST_VALUES} that are allowed")]
    TooMany {
        /// The setting.
        key: String,
        /// How many.
        count: usize,
    },
    /// What is the same at every value.
    #[error(
        "{key} is no setting to vary: members and seed are the same at every value; give them with --members and --seed"
    )]
    Draws {
        /// The setting.
        key: String,
    },
    /// A key that leads nowhere in the scenario.
    #[error("{key}: {why}")]
    Place {
        /// The setting.
        key: String,
        /// Where it ends.
        why: String,
    },
    /// The scenario is refused with these values.
    #[error("with {values}: {problem}")]
    Scenario {
        /// Settings and values.
        values: String,
        /// The refusal.
        problem: ScenarioError,
    },
}

/// A setting and the values that it is to be given.
#[derive(Clone, Debug, PartialEq)]
pub struct Setting {
    /// Its path in the scenario, list items counted from 1: "hive.wall\[2\].thickness".
    pub key: String,
    /// Values as a scenario has them, without quotes: "20 mm".
    pub values: Vec<String>,
    steps: Vec<Step>,
}

impl Setting {
    /// Of "KEY=VALUE,VALUE" or "KEY=LOW..HIGH:STEPS". The section may be left out where the key is of `[hive]`, `[colony]`, `[site]`, `[season]` or `[weather]`, or
    /// a parameter.
    ///
    /// ```
    /// use overwinter::scenario::Setting;
    ///
    /// let setting = Setting::parse("wall[2].thickness = 20..60 mm:3")?;
    /// assert_eq!(setting.key, "hive.wall[2].thickness");
    /// assert_eq!(setting.values, ["20 mm", "40 mm", "60 mm"]);
    /// # Ok::<(), overwinter::scenario::SettingError>(())
    /// ```
    ///
    /// # Errors
    /// [`SettingError`] for what is no key, no list of values or no range. Whether the values may be is for [`with_settings`] to say.
    pub fn parse(text: &str) -> Result<Self, SettingError> {
        let refuse = || SettingError::NoSetting(text.chars().filter(|c| !c.is_control()).collect());
        let (key, values) = text.split_once('=').ok_or_else(refuse)?;
        let steps = full(steps(key).ok_or_else(refuse)?);
        let key = written(&steps);
        if matches!(steps.first(), Some(Step::Key(section)) if section == "ensemble") {
            return Err(SettingError::Draws { key });
        }
        let mut all = Vec::new();
        for part in parts(values) {
            if part.is_empty() {
                return Err(refuse());
            }
            match outside_brackets(part).split_once("..") {
                Some(_) => all.extend(range(&key, part)?),
                None => all.push(part.to_owned()),
            }
        }
        if all.len() > MOST_VALUES {
            let count = all.len();
            return Err(SettingError::TooMany { key, count });
        }
        Ok(Self {
            key,
            values: all,
            steps,
        })
    }

    /// Of a key and one value, which is taken as it stands, be it with commas or dots.
    ///
    /// # Errors
    /// [`SettingError::NoSetting`] for what is no key.
    pub fn of(key: &str, value: &str) -> Result<Self, SettingError> {
        let steps = steps(key).ok_or_else(|| SettingError::NoSetting(key.to_owned()))?;
        let steps = full(steps);
        Ok(Self {
            key: written(&steps),
            values: vec![value.to_owned()],
            steps,
        })
    }
}

/// The scenario of a text with settings given values; `path` as for [`parse`].
///
/// A layer in short, as "38 mm xps", has a thickness and a material too, and parts of a hive, lid or floor of the library are taken into the text
/// when a part of them is set.
///
/// # Errors
/// [`SettingError`], which names the values beside what the ordinary reader says.
pub fn with_settings(
    text: &str,
    path: &Path,
    settings: &[(&Setting, &str)],
) -> Result<Scenario, SettingError> {
    let whole: Vec<String> = settings
        .iter()
        .map(|(setting, value)| format!("{} = {value}", setting.key))
        .collect();
    let text = text_with_settings(text, settings)?;
    parse(&text, path).map_err(|problem| SettingError::Scenario {
        values: whole.join(" and "),
        problem,
    })
}

/// The text of a scenario with settings given values, all else as its keeper wrote it, as [`with_settings`] reads it; a text that is no TOML as it is.
///
/// # Errors
/// [`SettingError::Place`]. Whether the values may be is for the reader of the text to say.
pub fn text_with_settings(
    text: &str,
    settings: &[(&Setting, &str)],
) -> Result<String, SettingError> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let Ok(mut document) = text.parse::<DocumentMut>() else {
        // What is no TOML the ordinary reader refuses with its line.
        return Ok(text.to_owned());
    };
    for (setting, value) in settings {
        let place = |why| SettingError::Place {
            key: setting.key.clone(),
            why,
        };
        if let Some(why) = unknown(&setting.steps) {
            return Err(place(why));
        }
        take_in_library(document.as_table_mut(), &setting.steps);
        set(document.as_item_mut(), &setting.steps, value, String::new()).map_err(place)?;
    }
    Ok(document.to_string())
}

/// The text of a scenario with a layer more in its hive's wall or lid; `place` counts from 0 at the inside, and what is beyond the last is the outside.
///
/// ```
/// use overwinter::scenario::{parse, starter, text_with_layer};
/// use std::path::Path;
///
/// let text = text_with_layer(starter(), "wall", usize::MAX, "40 mm xps")?;
/// assert_eq!(parse(&text, Path::new("yard.toml"))?.hive.wall[1].thickness_m, 0.04);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// [`SettingError::Place`] where the hive has no such part.
pub fn text_with_layer(
    text: &str,
    part: &str,
    place: usize,
    layer: &str,
) -> Result<String, SettingError> {
    let key = format!("hive.{part}");
    let steps = steps(&format!("{key}[1]")).unwrap_or_default();
    let refuse = |why: &str| SettingError::Place {
        key: key.clone(),
        why: why.to_owned(),
    };
    let Ok(mut document) = text.parse::<DocumentMut>() else {
        return Err(refuse("the scenario is no TOML"));
    };
    take_in_library(document.as_table_mut(), &steps);
    let hive = document.get_mut("hive").and_then(Item::as_table_like_mut);
    let layers = hive.and_then(|hive| hive.get_mut(part));
    let layers = layers.ok_or_else(|| refuse("the hive has none"))?;
    add_layer(layers, place, layer);
    Ok(document.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::starter;

    fn sample_with(settings: &[(&str, &str)]) -> Result<Scenario, SettingError> {
        with(starter(), settings)
    }

    fn with(text: &str, settings: &[(&str, &str)]) -> Result<Scenario, SettingError> {
        let parsed: Vec<Setting> = settings
            .iter()
            .map(|(key, value)| Setting::parse(&format!("{key}={value}")).expect("a setting"))
            .collect();
        let pairs: Vec<_> = parsed
            .iter()
            .map(|setting| (setting, setting.values[0].as_str()))
            .collect();
        with_settings(text, Path::new("oak.toml"), &pairs)
    }

    #[test]
    fn keys_of_sections_and_parameters_need_no_section() {
        for (short, key) in [
            ("wall[1].thickness", "hive.wall[1].thickness"),
            ("stores", "colony.stores"),
            ("shelter", "site.shelter"),
            ("warming", "weather.warming"),
            ("resting_w_kg", "parameters.resting_w_kg"),
            ("hive.change[1].from", "hive.change[1].from"),
        ] {
            assert_eq!(Setting::parse(&format!("{short}=1")).unwrap().key, key);
        }
    }

    #[test]
    fn ranges_and_lists_become_values() {
        for (text, values) in [
            ("stores=10 kg..20 kg:3", vec!["10 kg", "15 kg", "20 kg"]),
            ("bees=8000..20000:2", vec!["8000", "20000"]),
            ("comb_pitch=1 1/4..1 1/2 in:2", vec!["1.25 in", "1.5 in"]),
            (
                "start=15 December..15 January:2",
                vec!["15 December", "15 January"],
            ),
            (
                "shelter=open, hedge,0.1..0.3:3",
                vec!["open", "hedge", "0.1", "0.2", "0.3"],
            ),
            (
                "wall=[\"19 mm softwood\", \"38 mm xps\"],[\"40 mm eps\"]",
                vec!["[\"19 mm softwood\", \"38 mm xps\"]", "[\"40 mm eps\"]"],
            ),
        ] {
            assert_eq!(Setting::parse(text).unwrap().values, values, "{text}");
        }
    }

    #[test]
    fn what_is_no_setting_is_refused_with_an_example() {
        for (text, says) in [
            ("stores", "is no setting"),
            ("=3", "is no setting"),
            ("stores=", "is no setting"),
            ("wall[x]=3", "is no setting"),
            ("stores=10 kg..20 kg", "number of steps is missing"),
            ("stores=10 kg..20 kg:1", "2 to 100 steps"),
            ("stores=10 kg..20 lb:3", "different units"),
            ("stores=a..b:3", "has no numbers"),
            ("stores=1 kg..1 kg:3", "ends are the same"),
            ("bees=1..99:60,1..99:60", "more than the 100"),
            ("ensemble.seed=1,2", "--seed"),
        ] {
            let message = Setting::parse(text).unwrap_err().to_string();
            assert!(message.contains(says), "{text}: {message}");
        }
    }

    #[test]
    fn a_layer_in_short_has_a_thickness_and_a_material() {
        let thick = sample_with(&[("wall[1].thickness", "60 mm")]).unwrap();
        assert!((thick.hive.wall[0].thickness_m - 0.06).abs() < 1e-12);
        assert_eq!(thick.hive.wall[0].material.name, "softwood");
        let foam = sample_with(&[("wall.material", "eps"), ("lid[2].thickness", "1/2 in")]);
        let foam = foam.unwrap_err().to_string();
        assert!(foam.contains("hive.wall has no keys of its own"), "{foam}");
        let foam =
            sample_with(&[("wall[1].material", "eps"), ("lid[2].thickness", "1/2 in")]).unwrap();
        assert_eq!(foam.hive.wall[0].material.name, "eps");
        assert!((foam.hive.lid[1].thickness_m - 0.0127).abs() < 1e-12);
    }

    #[test]
    fn a_setting_that_the_scenario_leaves_out_is_added_and_a_size_replaces_another() {
        let set = sample_with(&[("resting_w_kg", "2.5"), ("mass", "2 kg")]).unwrap();
        assert_eq!(set.parameters().resting_w_kg, 2.5);
        assert!((set.colony.bees - 2.0 / set.parameters().bee_mass_kg).abs() < 1e-6);
        let warm = sample_with(&[("warming", "2 K"), ("shelter", "0.4")]).unwrap();
        assert_eq!((warm.weather.warming_k, warm.site.shelter), (2.0, 0.4));
    }

    #[test]
    fn parts_of_what_the_library_gives_can_be_set() {
        let (head, tail) = starter().split_once("[hive]\n").unwrap();
        let (_, tail) = tail.split_once("[colony]").unwrap();
        let text = format!(
            "{head}[hive]\nfrom = \"wrapped-softwood-two-boxes\"\nlid = \"shavings-lid\"\n\n[colony]{tail}"
        );
        let set = with(
            &text,
            &[
                ("wall[2].thickness", "60 mm"),
                ("lid[2].thickness", "120 mm"),
            ],
        )
        .unwrap();
        assert!((set.hive.wall[1].thickness_m - 0.06).abs() < 1e-12);
        assert_eq!(set.hive.lid[1].material.name, "shavings");
        assert!((set.hive.lid[1].thickness_m - 0.12).abs() < 1e-12);
    }

    #[test]
    fn a_day_of_a_change_is_set() {
        let text = starter().replace(
            "[colony]",
            "[[hive.change]]\nfrom = \"15 November\"\nwrap = [\"38 mm xps\"]\n\n[colony]",
        );
        let set = with(&text, &[("change[1].from", "1 January")]).unwrap();
        assert_eq!(set.hive.changes[0].when.from, Some((1, 1)));
        let thick = with(&text, &[("hive.change[1].wrap[1].thickness", "2 in")]).unwrap();
        let wrap = thick.hive.changes[0].what.wrap.as_ref().unwrap();
        assert!((wrap[0].thickness_m - 0.0508).abs() < 1e-12);
    }

    #[test]
    fn the_ordinary_refusal_names_the_value_too() {
        for (key, value, says) in [
            (
                "wall[1].thickness",
                "2 m",
                "with hive.wall[1].thickness = 2 m: oak.toml:",
            ),
            ("stores", "-3 kg", "with colony.stores = -3 kg: oak.toml:"),
            ("hive.colr", "white", "unknown key"),
            ("wal", "1", "wal: unknown key, nearest is 'wall'"),
            (
                "wal[1].thickness",
                "60 mm",
                "unknown key, nearest is 'wall'",
            ),
            ("color", "white", "unknown key, nearest is 'colour'"),
            ("nothing_like_it", "1", "write it with its section"),
            ("resting_w_kg", "99", "1.2 to 3.6"),
            ("wall[3]", "9 mm xps", "has 1 entry"),
            ("wall[0]", "9 mm xps", "0 is none of them"),
            ("boxes[1]", "3", "hive.boxes is no list"),
            ("hive.change[1].from", "1 January", "write it there"),
        ] {
            let message = sample_with(&[(key, value)]).unwrap_err().to_string();
            assert!(message.contains(says), "{key}: {message}");
        }
    }
}
