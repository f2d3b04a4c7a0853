//! Plain tables for a terminal.

use comfy_table::{CellAlignment, ContentArrangement, Table, presets};

/// A table with a head, its first column to the left and all others to the right.
pub(super) fn table<H: ToString>(head: impl IntoIterator<Item = H>) -> Table {
    let mut table = Table::new();
    table
        .load_style(presets::NOTHING)
        .set_content_arrangement(ContentArrangement::Disabled)
        .set_header(head.into_iter().map(|cell| cell.to_string()));
    for (number, column) in table.column_iter_mut().enumerate() {
        column.set_padding((0, 2));
        if number > 0 {
            column.set_cell_alignment(CellAlignment::Right);
        }
    }
    table
}

/// The table as text, indented by two, without blanks at line ends.
pub(super) fn lines(table: &Table) -> String {
    let lines = table.lines().map(|line| format!("  {}", line.trim_end()));
    lines.collect::<Vec<_>>().join("\n")
}

/// A share as a percentage: whole above ten, one decimal below, so that a small risk does not read as none.
pub(super) fn percent(share: f64) -> String {
    let percent = 100.0 * share;
    if percent >= 9.95 || percent == 0.0 {
        format!("{percent:.0} %")
    } else {
        format!("{percent:.1} %")
    }
}
