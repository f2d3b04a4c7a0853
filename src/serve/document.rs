//! The scenario's text with what no single setting changes: weather, hive, members and name.

use toml_edit::{Array, DocumentMut, Item, Table, TableLike, Value};

/// Keys of `[weather]` that belong to its source.
const SOURCE: [&str; 4] = ["files", "sample", "station", "columns"];
/// Keys of `[hive]` that say how it stands, which another hive in its place does too.
const STANDS: [&str; 3] = ["faces", "shaded_sides", "shared_sides"];

/// Where the winters come from.
#[derive(Clone, Copy, Debug)]
pub(super) enum Winters<'a> {
    /// The built-in sample.
    Sample,
    /// A file, as it is named from the scenario's folder.
    File(&'a str),
}

fn section<'a>(document: &'a mut DocumentMut, key: &str) -> Option<&'a mut dyn TableLike> {
    let table = || Item::Table(Table::new());
    document
        .entry(key)
        .or_insert_with(table)
        .as_table_like_mut()
}

/// Gives a scenario other winters; how they are resampled and warmed stays.
pub(super) fn set_winters(document: &mut DocumentMut, winters: Winters<'_>) {
    let Some(weather) = section(document, "weather") else {
        return;
    };
    for key in SOURCE {
        weather.remove(key);
    }
    match winters {
        Winters::Sample => weather.insert("sample", Item::Value(true.into())),
        Winters::File(name) => {
            weather.insert("files", Item::Value(Value::Array(Array::from_iter([name]))))
        }
    };
}

/// Names the weather files by other paths, in the same order.
pub(super) fn set_files(document: &mut DocumentMut, paths: &[String]) {
    let Some(weather) = section(document, "weather") else {
        return;
    };
    if weather.contains_key("files") {
        let paths = Array::from_iter(paths.iter().map(String::as_str));
        weather.insert("files", Item::Value(Value::Array(paths)));
    }
}

/// Puts a hive of the library in the place of the scenario's own; its changes and its tare go with it.
pub(super) fn set_hive(document: &mut DocumentMut, name: &str) {
    let Some(hive) = section(document, "hive") else {
        return;
    };
    let stands: Vec<(&str, Item)> = STANDS
        .iter()
        .filter_map(|key| Some((*key, hive.get(key)?.clone())))
        .collect();
    hive.clear();
    hive.insert("from", Item::Value(name.into()));
    for (key, item) in stands {
        hive.insert(key, item);
    }
}

/// How many members a run of the scenario draws.
pub(super) fn set_members(document: &mut DocumentMut, members: u32) {
    if let Some(ensemble) = section(document, "ensemble") {
        ensemble.insert("members", Item::Value(i64::from(members).into()));
    }
}

/// What the scenario is called.
pub(super) fn set_name(document: &mut DocumentMut, name: &str) {
    document.insert("name", Item::Value(name.into()));
}

/// The price of the hive: of one that was changed none is known, unless the scenario gives it.
pub(super) fn set_price(document: &mut DocumentMut, library_hive: Option<&str>) {
    let Some(prices) = document.get_mut("prices").and_then(Item::as_table_like_mut) else {
        return;
    };
    let listed = prices.get("library").and_then(Item::as_table_like);
    let price = library_hive.and_then(|name| listed?.get(name).cloned());
    prices.remove("hive");
    if let Some(price) = price {
        prices.insert("hive", price);
    }
}
