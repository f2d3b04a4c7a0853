//! Parameters of the model that a scenario sets otherwise than the table.

use super::error::{Problem, ScenarioError};
use super::field::Field;
use super::table::alike;
use crate::ensemble::{Override, OverrideValue};
use crate::parameter::{Parameter, TABLE};
use crate::units::Dimension;

/// Most parameters that a message proposes.
const MOST_NAMES: usize = 5;

/// Parameters between which something comes on: from nothing at the first to all at the second.
const BANDS: [(&str, &str); 5] = [
    ("core_vent_start_c", "core_vent_full_c"),
    ("fanning_start_c", "fanning_full_c"),
    ("cold_wear_start_w_kg", "cold_wear_full_w_kg"),
    ("contraction_full_c", "contraction_start_c"),
    ("mantle_warm_c", "mantle_loose_c"),
];
/// Narrowest band, in the unit of its ends: a jump has no slope for the solver, and bees do not all answer at once.
const NARROWEST_BAND: f64 = 0.5;

/// Overrides in the order of the table.
pub(super) fn overrides(field: &Field<'_>) -> Result<Vec<Override>, ScenarioError> {
    let mut overrides = Vec::new();
    for (name, field) in field.open_table("[parameters]")?.entries() {
        let Some(row) = TABLE.iter().position(|row| row.name == name) else {
            let mut nearest = alike(name, TABLE.iter().map(|row| row.name));
            nearest.truncate(MOST_NAMES);
            return Err(field.error(Problem::UnknownParameter { nearest }));
        };
        let value = value(&field, &TABLE[row])?;
        overrides.push(Override { row, value });
    }
    overrides.sort_by_key(|set| set.row);
    in_order(field, &overrides)?;
    Ok(overrides)
}

/// Refuses a band that could end where it begins or before.
fn in_order(field: &Field<'_>, overrides: &[Override]) -> Result<(), ScenarioError> {
    let ends = |name: &str| {
        let row = TABLE.iter().position(|row| row.name == name)?;
        let set = overrides.iter().find(|set| set.row == row);
        Some(match set.map(|set| set.value) {
            None => (TABLE[row].default, TABLE[row].default),
            Some(OverrideValue::Fixed(value)) => (value, value),
            Some(OverrideValue::Range { low, high, .. }) => (low, high),
        })
    };
    for (start, full) in BANDS {
        let (Some((_, latest)), Some((earliest, _))) = (ends(start), ends(full)) else {
            continue;
        };
        if latest + NARROWEST_BAND > earliest {
            return Err(field.error(Problem::Together(format!(
                "{start} = {latest} and {full} = {earliest} are no band; {full} must be at least {NARROWEST_BAND} above {start}"
            ))));
        }
    }
    Ok(())
}

fn value(field: &Field<'_>, row: &Parameter) -> Result<OverrideValue, ScenarioError> {
    if !field.is_table() {
        return Ok(OverrideValue::Fixed(number(field, row)?));
    }
    let table = field.table(
        &["low", "mode", "high"],
        "{ low = 2.0, mode = 2.6, high = 3.0 }",
    )?;
    let corner = |key, example| number(&table.require(key, example)?, row);
    let (low, mode, high) = (
        corner("low", "low = 2.0")?,
        corner("mode", "mode = 2.6")?,
        corner("high", "high = 3.0")?,
    );
    if low <= mode && mode <= high && low < high {
        return Ok(OverrideValue::Range { low, mode, high });
    }
    Err(table.error(Problem::Together(format!(
        "low = {low}, mode = {mode}, high = {high} is no range; low must be below high and mode between them"
    ))))
}

/// A bare number in the unit of the row, or a quantity where that unit is one that people write.
fn number(field: &Field<'_>, row: &Parameter) -> Result<f64, ScenarioError> {
    let value = match dimension(row.unit) {
        Some((dimension, unit_si)) if !field.is_number() => {
            field.any_quantity(dimension)? / unit_si
        }
        _ => field.number(&row.default.to_string())?,
    };
    if (row.low..=row.high).contains(&value) {
        return Ok(value);
    }
    let unit = if row.unit == "-" { "" } else { row.unit };
    Err(field.not_allowed(format!("{} to {} {unit}", row.low, row.high).trim_end()))
}

/// What a unit of the parameter table measures, and how many SI units it is.
fn dimension(unit: &str) -> Option<(Dimension, f64)> {
    let dimension = match unit {
        "kg" => Dimension::Mass,
        "degC" => Dimension::Temperature,
        "K" => Dimension::TemperatureDifference,
        "m" => Dimension::Length,
        "s" => Dimension::Duration,
        "h" => return Some((Dimension::Duration, 3_600.0)),
        "W/kg" => Dimension::SpecificPower,
        "W/K" => Dimension::Conductance,
        "W/mK" => Dimension::Conductivity,
        "W/m2K" => Dimension::Transmittance,
        "J/kgK" => Dimension::SpecificHeat,
        "kg/m3" => Dimension::Density,
        "-" => Dimension::Fraction,
        _ => return None,
    };
    Some((dimension, 1.0))
}
