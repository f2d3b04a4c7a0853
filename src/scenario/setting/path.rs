//! The way from a whole scenario to one of its settings, as it is written and step by step.

use crate::parameter::TABLE;
use crate::scenario::reading;
use crate::scenario::table::nearest;
use crate::scenario::{colony, hive, season, site, weather};

/// Sections whose keys may be named without them, with those keys.
const SECTIONS: [(&str, &[&str]); 5] = [
    ("hive", &hive::KEYS),
    ("colony", &colony::KEYS),
    ("site", &site::KEYS),
    ("season", &season::KEYS),
    ("weather", &weather::KEYS),
];

/// A step from the whole scenario to a setting.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Step {
    Key(String),
    /// Place in a list, from 1.
    Place(usize),
}

/// "wall\[2\].thickness" taken apart.
pub(super) fn steps(key: &str) -> Option<Vec<Step>> {
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
pub(super) fn full(mut steps: Vec<Step>) -> Vec<Step> {
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

/// What is wrong with a key that is neither of a scenario nor, written without its section, of one of its sections.
pub(super) fn unknown(steps: &[Step]) -> Option<String> {
    let Some(Step::Key(first)) = steps.first() else {
        return None;
    };
    if reading::KEYS.contains(&first.as_str()) {
        return None;
    }
    let in_sections = SECTIONS.iter().flat_map(|(_, keys)| keys.iter().copied());
    let parameters = TABLE.iter().map(|row| row.name);
    let all = in_sections.chain(parameters).chain(reading::KEYS);
    Some(match nearest(first, all) {
        Some(nearest) => format!("unknown key, nearest is '{nearest}'"),
        None => "unknown key; write it with its section, as hive.wall[1].thickness".to_owned(),
    })
}

pub(super) fn written(steps: &[Step]) -> String {
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
