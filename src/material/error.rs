//! What can be wrong with a material that a user names or defines.

use thiserror::Error;

/// Why a material cannot be used. File and line are added by whoever reads the scenario.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
#[expect(missing_docs, reason = "the messages say what each field is")]
pub enum MaterialError {
    /// No material of this name.
    #[error("unknown material '{name}'; {}", known(nearest))]
    Unknown { name: String, nearest: Vec<String> },
    /// A name that is no plain identifier.
    #[error(
        "material name '{name}': allowed are lower-case letters, digits and hyphens, beginning with a letter, as 'hemp-mat'"
    )]
    Name { name: String },
    /// A user-defined material with the name of another.
    #[error("material '{name}' is defined already{}; choose another name, as 'my-{name}'", if *in_table { " in the table of materials" } else { "" })]
    Taken { name: String, in_table: bool },
    /// A value that no material has.
    #[error("material '{name}': {field} is {}; allowed is {low} to {}", with_unit(*value, unit), with_unit(*high, unit))]
    Limits {
        name: String,
        field: &'static str,
        unit: &'static str,
        value: f64,
        low: f64,
        high: f64,
    },
    /// A value outside the range given with it.
    #[error("material '{name}': {field} is {}, outside its own range {low} to {}", with_unit(*value, unit), with_unit(*high, unit))]
    Range {
        name: String,
        field: &'static str,
        unit: &'static str,
        value: f64,
        low: f64,
        high: f64,
    },
}

fn known(nearest: &[String]) -> String {
    let names: Vec<_> = nearest.iter().map(|name| format!("'{name}'")).collect();
    match names.as_slice() {
        [] => "`overwinter materials` lists all".to_owned(),
        names => format!(
            "nearest: {} (`overwinter materials` lists all)",
            names.join(", ")
        ),
    }
}

fn with_unit(value: f64, unit: &str) -> String {
    if unit.is_empty() {
        value.to_string()
    } else {
        format!("{value} {unit}")
    }
}
