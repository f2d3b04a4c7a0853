//! The table of parameters for a terminal.

use super::table::{lines, table};
use crate::parameter::Parameter;

/// Widest line, characters.
const WIDTH: usize = 100;
/// Before a parameter's words, below its numbers.
const INDENT: &str = "      ";

const ABOUT: &str = "A scenario sets them otherwise under [parameters]: a number in the unit of the table, a text with its unit, or a range \
    { low, mode, high } to draw from, within the range given here. Fixed ones are the same in every member; triangular ones are drawn \
    from their range with the default as the most likely value, log-triangular ones likewise in the logarithm.";

/// The table as text: the numbers of each parameter in one line, its meaning and source below.
#[must_use]
pub fn text(parameters: &[Parameter]) -> String {
    let mut numbers = table(["Parameter", "unit", "default", "range", "drawn", "mark"]);
    for row in parameters {
        numbers.add_row([
            row.name.to_owned(),
            row.unit.to_owned(),
            row.default.to_string(),
            format!("{} to {}", row.low, row.high),
            row.spread.to_string(),
            row.mark.to_string(),
        ]);
    }
    let numbers = lines(&numbers);
    let mut numbers = numbers.lines();
    let head = numbers.next().unwrap_or_default();
    let rows = numbers.zip(parameters).map(|(numbers, row)| {
        format!(
            "{numbers}\n{}\n{}\n",
            wrapped(row.meaning, INDENT),
            wrapped(&format!("Source: {}", row.source), INDENT)
        )
    });
    format!(
        "{head}\n{}\n{}\n",
        rows.collect::<String>(),
        wrapped(ABOUT, "")
    )
}

fn wrapped(text: &str, indent: &str) -> String {
    let options = textwrap::Options::new(WIDTH)
        .initial_indent(indent)
        .subsequent_indent(indent);
    textwrap::fill(text, options)
}
