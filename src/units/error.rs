//! What can be wrong with a quantity that a user wrote.

use thiserror::Error;

use super::dimension::Dimension;

/// Why a text is no quantity of the dimension asked for. Each message gives the text, the reason, what is
/// accepted and, where one can be told, what was probably meant.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
#[expect(missing_docs, reason = "the messages say what each field is")]
pub enum QuantityError {
    /// The text does not begin with a number.
    #[error("'{text}': {dimension} begins with a number; {}", accepted(*dimension))]
    NoNumber { text: String, dimension: Dimension },
    /// A comma between digits: decimals in one country, thousands in another.
    #[error(
        "'{text}': a comma is not read, as it may mark decimals or thousands; write {suggestion}"
    )]
    Comma { text: String, suggestion: String },
    /// NaN, infinite, or too large for a number of the machine.
    #[error("'{text}': {dimension} must be a finite number; {}", accepted(*dimension))]
    NotFinite { text: String, dimension: Dimension },
    /// A fraction such as 1/0 or 1 3/2.
    #[error(
        "'{text}': not a fraction; write whole numbers with a denominator above 0, as '7/8' or '1 1/2'"
    )]
    Fraction { text: String },
    /// A bare number where a unit is needed, or a bare share outside 0 to 1.
    #[error("'{text}': the unit is missing; {}", accepted(*dimension))]
    NoUnit { text: String, dimension: Dimension },
    /// A unit that is not in the table.
    #[error("'{text}': unknown unit '{unit}'{}; {}", meant(*nearest), accepted(*dimension))]
    UnknownUnit {
        text: String,
        unit: String,
        dimension: Dimension,
        nearest: Option<&'static str>,
    },
    /// A unit that measures something else.
    #[error("'{text}': '{unit}' is {found}; {dimension} is asked; {}", accepted(*dimension))]
    OtherDimension {
        text: String,
        unit: String,
        found: Dimension,
        dimension: Dimension,
    },
    /// The second part of a quantity in two parts is no smaller unit: "3 in 2 ft".
    #[error(
        "'{text}': parts must go from the larger unit to the smaller, each above zero, as '2 ft 3 in'"
    )]
    Parts { text: String },
    /// A temperature that cannot be.
    #[error(
        "'{text}': below absolute zero; a temperature is at least -273.15 °C (-459.67 °F, 0 K)"
    )]
    BelowAbsoluteZero { text: String },
}

fn accepted(dimension: Dimension) -> String {
    let [first, second] = dimension.profile().examples;
    let units: Vec<_> = dimension.units().map(|unit| unit.symbol).collect();
    format!(
        "write '{first}' or '{second}' (accepted units: {})",
        units.join(", ")
    )
}

fn meant(nearest: Option<&str>) -> String {
    nearest.map_or_else(String::new, |symbol| format!(", nearest is '{symbol}'"))
}

/// The text as a message shows it: cut when long, without control characters.
pub(super) fn quoted(text: &str) -> String {
    const LONGEST: usize = 60;
    let mut shown: String = text
        .trim()
        .chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .take(LONGEST)
        .collect();
    if text.trim().chars().nth(LONGEST).is_some() {
        shown.push('…');
    }
    shown
}
