//! What each control shows beside itself: the value that the hive has without it, what it does, and whether it applies at all.

use super::settings::{Base, Pair};
use crate::scenario::Scenario;
use crate::units::{Dimension, Round, System, show};
use serde::Serialize;

/// A control as it stands.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub(super) struct Control {
    /// Its id on the page.
    pub id: &'static str,
    /// Value without it, in SI; none where there is none.
    pub own: Option<f64>,
    /// Why it does nothing here; none where it applies.
    pub refused: Option<&'static str>,
    /// What it does, or what it comes to.
    pub note: String,
}

/// All that can change with other settings.
pub(super) fn controls(base: &Base, pair: &Pair, units: System) -> Vec<Control> {
    let changed = &pair.changed.scenario;
    let control = |id, own, refused, note: String| Control {
        id,
        own,
        refused,
        note,
    };
    let millimetres = |m: f64| show(m, Dimension::Length, units, Round::Usual);
    vec![
        control("bees", Some(base.scenario.colony.bees), None, bees(&pair.as_it_is.scenario, units)),
        control("stores_kg", Some(base.scenario.colony.stores_kg), None, "Honey and sugar stores in the combs, without wood and wax.".to_owned()),
        control("wall_added_m", Some(0.0), None, "A board of foam (XPS) outside the wall, all round.".to_owned()),
        control("lid_added_m", Some(0.0), None, match &pair.thickened {
            Some((title, own_m)) => format!("Added to what insulates the lid now: {} of {}.", millimetres(*own_m), title.to_lowercase()),
            None => "Nothing insulates this lid: a board of foam (XPS) is laid over its innermost layer.".to_owned(),
        }),
        control("vents", None, changed.hive.vents.is_empty().then_some("This hive has no vents at its top."), "Openings at the top of the hive.".to_owned()),
        control(
            "entrance_m",
            pair.entrance_m,
            pair.entrance_m.is_none().then_some("This hive has no entrance at its floor."),
            "Of the entrance at the floor; its height stays. A round hole counts as a slot of its height.".to_owned(),
        ),
    ]
}

fn bees(scenario: &Scenario, units: System) -> String {
    let kg = scenario.colony.bees * scenario.parameters().bee_mass_kg;
    format!(
        "A cluster of {} in autumn.",
        show(kg, Dimension::Mass, units, Round::Decimals(1))
    )
}

/// What holds over the controls in this scenario, in words.
pub(super) fn notes(pair: &Pair) -> Vec<String> {
    let mut notes = Vec::new();
    if !pair.changed.scenario.hive.changes.is_empty() {
        notes.push(
            "The scenario changes this hive in the course of the winter. While such a change holds, what it sets rules over the controls.".to_owned(),
        );
    }
    if !pair.as_it_is.scenario.colony.feeds.is_empty() {
        notes.push(
            "Both hives are fed in winter as the scenario says; \"honey needed\" counts that feed."
                .to_owned(),
        );
    }
    notes
}
