//! The table of materials for a terminal, and as rows for JSON.

use super::table::{lines, table};
use crate::material::Material;
use crate::source::Mark;
use crate::units::{Dimension, System, in_system};
use serde::Serialize;

/// A material as JSON has it, in SI units.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Row<'a> {
    name: &'a str,
    title: &'a str,
    conductivity_w_mk: f64,
    conductivity_range_w_mk: (f64, f64),
    density_kg_m3: f64,
    density_range_kg_m3: (f64, f64),
    specific_heat_j_kgk: f64,
    vapour_factor_dry: Option<f64>,
    vapour_factor_wet: Option<f64>,
    sorption: f64,
    mark: Mark,
    source: &'a str,
    note: &'a str,
}

/// Rows of the table.
#[must_use]
pub fn rows(materials: &[Material]) -> Vec<Row<'_>> {
    let row = |material| {
        let Material {
            name,
            title,
            source,
            note,
            ..
        }: &Material = material;
        Row {
            name: name.as_ref(),
            title: title.as_ref(),
            conductivity_w_mk: material.conductivity_w_mk,
            conductivity_range_w_mk: material.conductivity_range_w_mk,
            density_kg_m3: material.density_kg_m3,
            density_range_kg_m3: material.density_range_kg_m3,
            specific_heat_j_kgk: material.specific_heat_j_kgk,
            vapour_factor_dry: material.vapour_factor_dry,
            vapour_factor_wet: material.vapour_factor_wet,
            sorption: material.sorption,
            mark: material.mark,
            source: source.as_ref(),
            note: note.as_ref(),
        }
    };
    materials.iter().map(row).collect()
}

/// The table as text: values with their ranges, then the sources.
#[must_use]
pub fn text(materials: &[Material], units: System) -> String {
    let unit = |dimension| in_system(1.0, dimension, units).1;
    let number = |value, dimension, decimals: usize| {
        format!("{:.decimals$}", in_system(value, dimension, units).0)
    };
    // A conductivity in US units is a tenth of a Btu: three decimals serve both systems.
    let ranged = |value: f64, (low, high): (f64, f64), dimension, decimals| {
        let value_text = number(value, dimension, decimals);
        if low == high {
            return value_text;
        }
        let low = number(low, dimension, decimals);
        format!(
            "{value_text} ({low} to {})",
            number(high, dimension, decimals)
        )
    };
    let mut values = table([
        "Material".to_owned(),
        format!("conductivity {}", unit(Dimension::Conductivity)),
        format!("density {}", unit(Dimension::Density)),
        format!("heat {}", unit(Dimension::SpecificHeat)),
        "vapour factor".to_owned(),
        "sorption".to_owned(),
        "mark".to_owned(),
    ]);
    let (heat_decimals, density_decimals) = match units {
        System::Metric => (0, 0),
        System::Us => (2, 1),
    };
    for material in materials {
        let vapour = match (material.vapour_factor_dry, material.vapour_factor_wet) {
            (Some(dry), Some(wet)) if dry == wet => format!("{dry}"),
            (Some(dry), Some(wet)) => format!("{dry} / {wet}"),
            (Some(one), None) | (None, Some(one)) => format!("{one}"),
            (None, None) => "-".to_owned(),
        };
        let decimals = if material.conductivity_w_mk < 1.0 {
            3
        } else {
            0
        };
        values.add_row([
            material.name.to_string(),
            ranged(
                material.conductivity_w_mk,
                material.conductivity_range_w_mk,
                Dimension::Conductivity,
                decimals,
            ),
            ranged(
                material.density_kg_m3,
                material.density_range_kg_m3,
                Dimension::Density,
                density_decimals,
            ),
            number(
                material.specific_heat_j_kgk,
                Dimension::SpecificHeat,
                heat_decimals,
            ),
            vapour,
            format!("{}", material.sorption),
            material.mark.to_string(),
        ]);
    }
    let sources = materials.iter().map(|material| {
        let note = if material.note.is_empty() {
            String::new()
        } else {
            format!("; {}", material.note)
        };
        format!(
            "  {}: {}. {}{note}",
            material.name, material.title, material.source
        )
    });
    format!(
        "{}\n\nSources (vapour factor: dry / wet cup, still air is 1; sorption: water taken from humid air, wood is 1)\n{}\n",
        lines(&values),
        sources.collect::<Vec<_>>().join("\n")
    )
}
