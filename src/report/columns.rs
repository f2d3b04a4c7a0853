//! Tables of typed columns, written as CSV or as Parquet.

use super::{OutputError, PROGRAM};
use parquet::basic::{LogicalType, Repetition, Type as Physical};
use parquet::data_type::{ByteArray, ByteArrayType, DoubleType, Int64Type};
use parquet::errors::ParquetError;
use parquet::file::metadata::KeyValue;
use parquet::file::properties::WriterProperties;
use parquet::file::writer::{SerializedColumnWriter, SerializedFileWriter};
use parquet::schema::types::Type;
use std::sync::Arc;

/// Key of the provenance in the metadata of a Parquet file.
const PROVENANCE: &str = "provenance";

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

fn finite(value: Option<f64>) -> Option<f64> {
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

/// Parquet (format of the Apache project, version 1 pages), one row group, not compressed, the provenance in its metadata.
///
/// # Errors
/// [`OutputError::Format`].
pub(super) fn parquet<T>(
    provenance: &str,
    columns: &[Column<T>],
    rows: &[T],
) -> Result<Vec<u8>, OutputError> {
    written(provenance, columns, rows).map_err(|error| OutputError::format("Parquet")(error.into()))
}

fn written<T>(
    provenance: &str,
    columns: &[Column<T>],
    rows: &[T],
) -> Result<Vec<u8>, ParquetError> {
    let fields = columns.iter().map(field).collect::<Result<Vec<_>, _>>()?;
    let schema = Type::group_type_builder("rows")
        .with_fields(fields)
        .build()?;
    let stated = KeyValue::new(PROVENANCE.to_owned(), provenance.to_owned());
    let properties = WriterProperties::builder()
        .set_created_by(PROGRAM.to_owned())
        .set_key_value_metadata(Some(vec![stated]))
        .build();
    let mut bytes = Vec::new();
    let mut file = SerializedFileWriter::new(&mut bytes, Arc::new(schema), Arc::new(properties))?;
    let mut group = file.next_row_group()?;
    for column in columns {
        let Some(mut writer) = group.next_column()? else {
            break;
        };
        write_column(&mut writer, &column.cells, rows)?;
        writer.close()?;
    }
    group.close()?;
    file.close()?;
    Ok(bytes)
}

fn field<T>(column: &Column<T>) -> Result<Arc<Type>, ParquetError> {
    let (physical, logical) = match column.cells {
        Cells::Text(_) => (Physical::BYTE_ARRAY, Some(LogicalType::String)),
        Cells::Whole(_) => (Physical::INT64, None),
        Cells::Number(..) => (Physical::DOUBLE, None),
    };
    Type::primitive_type_builder(column.name, physical)
        .with_repetition(Repetition::OPTIONAL)
        .with_logical_type(logical)
        .build()
        .map(Arc::new)
}

fn write_column<T>(
    writer: &mut SerializedColumnWriter<'_>,
    cells: &Cells<T>,
    rows: &[T],
) -> Result<(), ParquetError> {
    match cells {
        Cells::Text(value) => {
            let text = |row| value(row).map(|text| ByteArray::from(text.into_bytes()));
            let (values, levels) = present(rows.iter().map(text));
            writer
                .typed::<ByteArrayType>()
                .write_batch(&values, Some(&levels), None)?;
        }
        Cells::Whole(value) => {
            let (values, levels) = present(rows.iter().map(value));
            writer
                .typed::<Int64Type>()
                .write_batch(&values, Some(&levels), None)?;
        }
        Cells::Number(_, value) => {
            let (values, levels) = present(rows.iter().map(|row| finite(value(row))));
            writer
                .typed::<DoubleType>()
                .write_batch(&values, Some(&levels), None)?;
        }
    }
    Ok(())
}

/// The values that are there, and for each cell whether it is.
fn present<V>(cells: impl Iterator<Item = Option<V>>) -> (Vec<V>, Vec<i16>) {
    let mut values = Vec::new();
    let mut levels = Vec::new();
    for cell in cells {
        levels.push(i16::from(cell.is_some()));
        values.extend(cell);
    }
    (values, levels)
}

#[cfg(test)]
mod tests {
    use super::*;
    use parquet::file::reader::{FileReader as _, SerializedFileReader};

    type Row = (&'static str, Option<i64>, f64);

    const COLUMNS: [Column<Row>; 3] = [
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
    const ROWS: [Row; 2] = [
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

    #[test]
    fn parquet_holds_every_digit_and_leaves_out_what_is_not_known() {
        let bytes = parquet("made by hand", &COLUMNS, &ROWS).expect("a table");
        let reader = SerializedFileReader::new(bytes::Bytes::from(bytes)).expect("Parquet");
        let rows: Vec<String> = reader
            .get_row_iter(None)
            .expect("rows")
            .map(|row| row.expect("a row").to_string())
            .collect();
        assert_eq!(
            rows,
            [
                "{station: \"Røst, \"north\"\", winters: 10, need_kg: 0.3333333333333333}",
                "{station: \"b\", winters: null, need_kg: null}"
            ]
        );
        let stated = reader.metadata().file_metadata().key_value_metadata();
        let stated = stated.expect("metadata").first().expect("an entry").clone();
        assert_eq!(stated.value.as_deref(), Some("made by hand"));
    }
}
