//! The text of a scenario as a document in which values are put in their places, all else staying as its keeper wrote it.

use toml_edit::{Array, DocumentMut, InlineTable, Item, Table, TableLike, Value};

use super::path::Step;
use crate::scenario::layer::thickness_and_material;
use crate::scenario::library::{Part, library};

/// Keys of which one takes the place of the others.
const RIVALS: [&str; 3] = ["bees", "mass", "seams"];

/// A value as TOML has it: a number, truth value, list, table or quoted text as such, all else as a text.
fn value_of(text: &str) -> Value {
    match text.parse::<Value>() {
        Ok(Value::Datetime(_)) | Err(_) => Value::from(text),
        Ok(value) => value,
    }
}

pub(super) fn set(item: &mut Item, steps: &[Step], text: &str, path: String) -> Result<(), String> {
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
                .map(toml_edit::Array::len)
                .or(item.as_array_of_tables().map(toml_edit::ArrayOfTables::len));
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

/// Puts a layer into a list of them at a place counted from 0, or at its end; what is no list becomes one.
pub(super) fn add_layer(layers: &mut Item, place: usize, layer: &str) {
    let old = std::mem::take(layers).into_value();
    let mut list = match old {
        Ok(Value::Array(list)) => list,
        Ok(only) => Array::from_iter([only]),
        Err(_) => Array::new(),
    };
    let mut added = Value::from(layer);
    added
        .decor_mut()
        .set_prefix(if place == 0 { "" } else { " " });
    list.insert_formatted(place.min(list.len()), added);
    *layers = Item::Value(Value::Array(list));
}

/// Writes out what a step leads into and only the library has: a part of a hive taken by `from`, a lid or floor taken by name.
pub(super) fn take_in_library(document: &mut Table, steps: &[Step]) {
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
