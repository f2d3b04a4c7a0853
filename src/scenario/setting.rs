//! A setting of a scenario given other values: the text is changed where a keeper would change it and read again by the ordinary reader.

use std::path::Path;

use thiserror::Error;
use toml_edit::{DocumentMut, InlineTable, Item, Table, TableLike, Value};

use super::error::ScenarioError;
use super::layer::thickness_and_material;
use super::library::{Part, library};
use super::reading::parse;
use super::season::MonthDay;
use super::{Scenario, colony, hive, season, site, weather};
use crate::parameter::TABLE;
use crate::units::number_and_unit;

/// Most values of one setting (own choice: each is a whole run).
pub const MOST_VALUES: usize = 100;
/// How settings are written.
const EXAMPLES: &str = "\"wall[2].thickness=20 mm,40 mm\" or \"entrance.width=20 mm..150 mm:4\"";
/// Sections whose keys may be named without them, with those keys.
const SECTIONS: [(&str, &[&str]); 5] = [
    ("hive", &hive::KEYS),
    ("colony", &colony::KEYS),
    ("site", &site::KEYS),
    ("season", &season::KEYS),
    ("weather", &weather::KEYS),
];
/// Keys of which one takes the place of the others.
const RIVALS: [&str; 3] = ["bees", "mass", "seams"];

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

/// A step from the whole scenario to a setting.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Step {
    Key(String),
    /// Place in a list, from 1.
    Place(usize),
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
    let refused = |problem| SettingError::Scenario {
        values: whole.join(" and "),
        problem,
    };
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let Ok(mut document) = text.parse::<DocumentMut>() else {
        // What is no TOML the ordinary reader refuses with its line.
        return parse(text, path).map_err(refused);
    };
    for (setting, value) in settings {
        let place = |why| SettingError::Place {
            key: setting.key.clone(),
            why,
        };
        take_in_library(document.as_table_mut(), &setting.steps);
        set(document.as_item_mut(), &setting.steps, value, String::new()).map_err(place)?;
    }
    parse(&document.to_string(), path).map_err(refused)
}

/// "wall\[2\].thickness" taken apart.
fn steps(key: &str) -> Option<Vec<Step>> {
    let mut steps = Vec::new();
    for part in key.trim().split('.') {
        let mut pieces = part.trim().split('[');
        let name = pieces.next()?.trim();
        let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '_' | '-');
        if name.is_empty() || !name.chars().all(plain) {
            return None;
        }
        steps.push(Step::Key(name.to_owned()));
        for piece in pieces {
            let place: usize = piece.strip_suffix(']')?.trim().parse().ok()?;
            steps.push(Step::Place(place));
        }
    }
    Some(steps)
}

/// With the section before a key that is named without it.
fn full(mut steps: Vec<Step>) -> Vec<Step> {
    if let Some(Step::Key(first)) = steps.first() {
        let of_section = SECTIONS
            .iter()
            .find(|(_, keys)| keys.contains(&first.as_str()));
        let is_section = SECTIONS.iter().any(|(section, _)| section == first);
        let section = match of_section {
            Some((section, _)) if !is_section => Some(*section),
            None if TABLE.iter().any(|row| row.name == first) => Some("parameters"),
            _ => None,
        };
        if let Some(section) = section {
            steps.insert(0, Step::Key(section.to_owned()));
        }
    }
    steps
}

fn written(steps: &[Step]) -> String {
    let mut key = String::new();
    for step in steps {
        match step {
            Step::Key(name) if key.is_empty() => key.push_str(name),
            Step::Key(name) => key.extend([".", name]),
            Step::Place(place) => key.push_str(&format!("[{place}]")),
        }
    }
    key
}

/// Values between commas that stand in no bracket and no quotes.
fn parts(values: &str) -> Vec<&str> {
    let plain = outside_brackets(values);
    let mut start = 0;
    let mut parts = Vec::new();
    for (at, _) in plain.match_indices(',') {
        parts.push(values[start..at].trim());
        start = at + 1;
    }
    parts.push(values[start..].trim());
    parts
}

/// The text with every byte in brackets or quotes replaced, at the same places.
fn outside_brackets(text: &str) -> String {
    let (mut depth, mut quote) = (0_usize, None);
    let hide = |c: char| "_".repeat(c.len_utf8());
    text.chars()
        .map(|c| match (quote, c) {
            (Some(open), c) => {
                quote = (c != open).then_some(open);
                hide(c)
            }
            // A bare " or ' behind a number is an inch or a foot: only one at a value's start or in brackets opens quotes.
            (None, '"' | '\'') if depth > 0 => {
                quote = Some(c);
                hide(c)
            }
            (None, '[' | '{') => {
                depth += 1;
                hide(c)
            }
            (None, ']' | '}') => {
                depth = depth.saturating_sub(1);
                hide(c)
            }
            (None, c) if depth > 0 => hide(c),
            (None, c) => c.to_string(),
        })
        .collect()
}

/// The values of "LOW..HIGH:STEPS": numbers with one unit, or days of the year.
fn range(key: &str, range: &str) -> Result<Vec<String>, SettingError> {
    let refuse = |why: &str| SettingError::Range {
        key: key.to_owned(),
        range: range.to_owned(),
        why: why.to_owned(),
    };
    let (low, rest) = range.split_once("..").ok_or_else(|| refuse("no '..'"))?;
    let (high, count) = rest
        .rsplit_once(':')
        .ok_or_else(|| refuse("the number of steps is missing"))?;
    let count: usize = count
        .trim()
        .parse()
        .ok()
        .filter(|count| (2..=MOST_VALUES).contains(count))
        .ok_or_else(|| refuse(&format!("2 to {MOST_VALUES} steps are needed")))?;
    let share = |step: usize| step as f64 / (count - 1) as f64;
    if let (Some(low), Some(high)) = (MonthDay::parse(low), MonthDay::parse(high)) {
        let days = low.days_until(high);
        let day = |step| low.later((share(step) * f64::from(days)).round() as i32);
        return Ok((0..count).map(|step| day(step).to_string()).collect());
    }
    let (Some((low, low_unit)), Some((high, unit))) = (number_and_unit(low), number_and_unit(high))
    else {
        return Err(refuse("it has no numbers"));
    };
    if !low_unit.is_empty() && low_unit != unit {
        return Err(refuse("its ends have different units"));
    }
    if low == high {
        return Err(refuse("its ends are the same"));
    }
    let value = |step| {
        let value = low + share(step) * (high - low);
        // Six digits: thirds of a millimetre do not matter, and binary rounding should not show.
        let value = format!("{value:.5e}").parse().unwrap_or(value);
        format!("{value} {unit}").trim_end().to_owned()
    };
    Ok((0..count).map(value).collect())
}

/// A value as TOML has it: a number, truth value, list, table or quoted text as such, all else as a text.
fn value_of(text: &str) -> Value {
    match text.parse::<Value>() {
        Ok(Value::Datetime(_)) | Err(_) => Value::from(text),
        Ok(value) => value,
    }
}

fn set(item: &mut Item, steps: &[Step], text: &str, path: String) -> Result<(), String> {
    let Some((step, rest)) = steps.split_first() else {
        let mut value = value_of(text);
        if let Item::Value(old) = item {
            *value.decor_mut() = old.decor().clone();
        }
        *item = Item::Value(value);
        return Ok(());
    };
    match step {
        Step::Place(1) if item.is_str() || item.is_table_like() => set(item, rest, text, path),
        Step::Place(place) => {
            let count = item
                .as_array()
                .map(|list| list.len())
                .or(item.as_array_of_tables().map(|list| list.len()));
            let Some(count) = count else {
                return Err(format!("{path} is no list"));
            };
            let entry = place.checked_sub(1).and_then(|place| item.get_mut(place));
            let entry = entry.ok_or_else(|| {
                let entries = if count == 1 { "entry" } else { "entries" };
                format!("{path} has {count} {entries}, counted from 1; {place} is none of them")
            })?;
            set(entry, rest, text, format!("{path}[{place}]"))
        }
        Step::Key(key) => {
            if let (Some(short), [], "thickness" | "material") = (item.as_str(), rest, key.as_str())
                && let Some((thickness, material)) = thickness_and_material(short)
            {
                let short = match key.as_str() {
                    "thickness" => format!("{text} {material}"),
                    _ => format!("{thickness} {text}"),
                };
                return set(item, &[], &Value::from(short).to_string(), path);
            }
            let inner = match path.as_str() {
                "" => key.clone(),
                _ => format!("{path}.{key}"),
            };
            let table = item
                .as_table_like_mut()
                .ok_or_else(|| format!("{path} has no keys of its own, so no {key}"))?;
            if rest.is_empty() && RIVALS.contains(&key.as_str()) {
                for rival in RIVALS.iter().filter(|rival| *rival != key) {
                    table.remove(rival);
                }
            }
            if !table.contains_key(key) {
                match rest.first() {
                    None => insert(table, key, Item::Value(value_of(text))),
                    Some(Step::Key(_)) if path.is_empty() => {
                        insert(table, key, Item::Table(Table::new()));
                    }
                    Some(Step::Key(_)) => {
                        insert(table, key, Item::Value(InlineTable::new().into()));
                    }
                    Some(Step::Place(_)) => {
                        return Err(format!(
                            "the scenario has no {inner}; write it there to vary a part of it"
                        ));
                    }
                }
            }
            let entry = table.get_mut(key);
            let entry = entry.ok_or_else(|| format!("the scenario has no {inner}"))?;
            set(entry, rest, text, inner)
        }
    }
}

fn insert(table: &mut dyn TableLike, key: &str, item: Item) {
    table.insert(key, item);
}

/// Writes out what a step leads into and only the library has: a part of a hive taken by `from`, a lid or floor taken by name.
fn take_in_library(document: &mut Table, steps: &[Step]) {
    let [Step::Key(section), Step::Key(key), _, ..] = steps else {
        return;
    };
    if section != "hive" {
        return;
    }
    let Some(hive) = document.get_mut("hive").and_then(Item::as_table_like_mut) else {
        return;
    };
    let of_library = |part: Part, name: &str| {
        let entry = library()
            .into_iter()
            .find(|entry| entry.part == part && entry.name == name)?;
        let text = entry.text.parse::<DocumentMut>().ok()?;
        let keys = match part {
            Part::Hive => text.get("hive")?.as_table_like()?,
            Part::Lid | Part::Floor => text.as_table() as &dyn TableLike,
        };
        keys.get(key).cloned()
    };
    if !hive.contains_key(key)
        && let Some(item) = hive
            .get("from")
            .and_then(Item::as_str)
            .and_then(|name| of_library(Part::Hive, name))
    {
        hive.insert(key, item);
    }
    let part = match key.as_str() {
        "lid" => Part::Lid,
        "floor" => Part::Floor,
        _ => return,
    };
    let named = hive.get(key).and_then(Item::as_str);
    if let Some(item) = named.and_then(|name| of_library(part, name)) {
        hive.insert(key, item);
    }
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
            ("wal", "1", "unknown key"),
            ("resting_w_kg", "99", "2 to 3.5"),
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
