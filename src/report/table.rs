//! Plain tables: their cells, and how a terminal shows them.

use crate::units::{Dimension, System, in_system};
use comfy_table::{CellAlignment, ContentArrangement, Table, presets};
use serde::{Deserialize, Serialize};

/// A table: its first column holds words, all others figures.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Rows {
    /// Heads of the columns.
    pub head: Vec<String>,
    /// Cells, row by row, as many as heads.
    pub rows: Vec<Vec<String>>,
    /// Whether the last column holds words too.
    pub words_last: bool,
}

impl Rows {
    /// Adds a row.
    pub(super) fn add_row<C: ToString>(&mut self, cells: impl IntoIterator<Item = C>) {
        let cells = cells.into_iter().map(|cell| cell.to_string());
        self.rows.push(cells.collect());
    }

    /// Whether a column, counted from 0, holds words.
    pub(super) fn is_words(&self, column: usize) -> bool {
        column == 0 || self.words_last && column + 1 == self.head.len()
    }
}

/// A table with a head and no rows yet.
pub(super) fn table<H: ToString>(head: impl IntoIterator<Item = H>) -> Rows {
    Rows {
        head: head.into_iter().map(|cell| cell.to_string()).collect(),
        ..Rows::default()
    }
}

/// The table as text, words to the left and figures to the right, indented by two, without blanks at line ends.
pub(super) fn lines(rows: &Rows) -> String {
    let mut table = Table::new();
    table
        .load_style(presets::NOTHING)
        .set_content_arrangement(ContentArrangement::Disabled)
        .set_header(&rows.head)
        .add_rows(&rows.rows);
    for (number, column) in table.column_iter_mut().enumerate() {
        column.set_padding((0, 2));
        if !rows.is_words(number) {
            column.set_cell_alignment(CellAlignment::Right);
        }
    }
    let lines = table.lines().map(|line| format!("  {}", line.trim_end()));
    lines.collect::<Vec<_>>().join("\n")
}

/// A share as a percentage: whole above ten, one decimal below, and no share but zero reads as none.
pub(super) fn percent(share: f64) -> String {
    let percent = 100.0 * share;
    if percent > 0.0 && percent < 0.05 {
        "< 0.1 %".to_owned()
    } else if percent < 0.0 && percent > -0.05 {
        // A path by which next to no heat has come in: no reader wants "-0.0 %".
        "0.0 %".to_owned()
    } else if percent >= 9.95 || percent == 0.0 {
        format!("{percent:.0} %")
    } else {
        format!("{percent:.1} %")
    }
}

/// A number in words with its sign: "+0.4 kg"; none where it is nothing.
pub(super) fn signed(text: String) -> String {
    let is_number = text.starts_with(|c: char| c.is_ascii_digit());
    if !is_number || !text.contains(|c| matches!(c, '1'..='9')) {
        text
    } else {
        format!("+{text}")
    }
}

/// A value in the units of the reader with so many decimals in each system, metric and US, without its unit.
pub(super) fn number(
    value_si: f64,
    dimension: Dimension,
    units: System,
    (metric, us): (usize, usize),
) -> String {
    let decimals = match units {
        System::Metric => metric,
        System::Us => us,
    };
    let number = format!("{:.decimals$}", in_system(value_si, dimension, units).0);
    match number.strip_prefix('-') {
        Some(zero) if zero.chars().all(|c| matches!(c, '0' | '.')) => zero.to_owned(),
        _ => number,
    }
}

/// A thickness to a tenth of a millimetre or a thousandth of an inch, without trailing zeros and its unit.
pub(super) fn thickness(thickness_m: f64, units: System) -> String {
    let number = number(thickness_m, Dimension::Length, units, (1, 3));
    number
        .trim_end_matches('0')
        .trim_end_matches('.')
        .to_owned()
}

/// A paragraph below a table, indented as it is.
pub(super) fn paragraph(text: &str) -> String {
    const WIDTH: usize = 98;
    let options = textwrap::Options::new(WIDTH)
        .initial_indent("  ")
        .subsequent_indent("  ");
    textwrap::fill(text, options)
}

#[cfg(test)]
mod tests {
    use super::percent;

    #[test]
    fn a_small_share_does_not_read_as_none_and_no_zero_has_a_sign() {
        let cases = [
            (0.0, "0 %"),
            (0.0001, "< 0.1 %"),
            (-0.0001, "0.0 %"),
            (-0.002, "-0.2 %"),
            (0.062, "6.2 %"),
            (0.4, "40 %"),
            (1.0, "100 %"),
        ];
        for (share, text) in cases {
            assert_eq!(percent(share), text);
        }
    }
}
