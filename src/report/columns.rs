//! Tables of typed columns, written as CSV; `parquet_file` writes them as Parquet.

use super::OutputError;

/// A column of a table whose rows are made from `T`; empty where a row has no value.
pub(super) struct Column<T> {
    /// Its name, with its unit.
    pub name: &'static str,
    /// How its cells are made.
    pub cells: Cells<T>,
}

/// Cells of one kind.
pub(super) enum Cells<T> {
    /// Texts.
    Text(fn(&T) -> Option<String>),
    /// Whole numbers.
    Whole(fn(&T) -> Option<i64>),
    /// Numbers: with so many decimals in CSV, as they are in Parquet. What is not a number is no value.
    Number(usize, fn(&T) -> Option<f64>),
}

impl<T> Cells<T> {
    fn text(&self, row: &T) -> String {
        let text = match self {
            Self::Text(value) => value(row),
            Self::Whole(value) => value(row).map(|whole| whole.to_string()),
            Self::Number(decimals, value) => {
                finite(value(row)).map(|number| format!("{number:.decimals$}"))
            }
        };
        text.unwrap_or_default()
    }
}

pub(super) fn finite(value: Option<f64>) -> Option<f64> {
    value.filter(|number| number.is_finite())
}

/// CSV with the provenance as its first line, a comment that begins with `#`.
///
/// # Errors
/// [`OutputError::Format`].
pub(super) fn csv<T>(
    provenance: &str,
    columns: &[Column<T>],
    rows: &[T],
) -> Result<Vec<u8>, OutputError> {
    let failed = |error: csv::Error| OutputError::format("CSV")(error.into());
    let mut writer = csv::Writer::from_writer(format!("# {provenance}\n").into_bytes());
    writer
        .write_record(columns.iter().map(|column| column.name))
        .map_err(failed)?;
    for row in rows {
        writer
            .write_record(columns.iter().map(|column| column.cells.text(row)))
            .map_err(failed)?;
    }
    writer
        .into_inner()
        .map_err(|error| OutputError::format("CSV")(error.to_string().into()))
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;

    pub(in crate::report) type Row = (&'static str, Option<i64>, f64);

    pub(in crate::report) const COLUMNS: [Column<Row>; 3] = [
        Column {
            name: "station",
            cells: Cells::Text(|row| Some(row.0.to_owned())),
        },
        Column {
            name: "winters",
            cells: Cells::Whole(|row| row.1),
        },
        Column {
            name: "need_kg",
            cells: Cells::Number(2, |row| Some(row.2)),
        },
    ];
    pub(in crate::report) const ROWS: [Row; 2] = [
        ("Røst, \"north\"", Some(10), 1.0 / 3.0),
        ("b", None, f64::NAN),
    ];

    #[test]
    fn csv_quotes_texts_and_leaves_out_what_is_not_known() {
        let bytes = csv("made by hand", &COLUMNS, &ROWS).expect("a table");
        assert_eq!(
            String::from_utf8(bytes).expect("UTF-8"),
            "# made by hand\nstation,winters,need_kg\n\"Røst, \"\"north\"\"\",10,0.33\nb,,\n"
        );
    }
}
