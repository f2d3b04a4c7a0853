//! Tables of typed columns, written as Parquet.

use super::columns::{Cells, Column, finite};
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
    use super::super::columns::tests::{COLUMNS, ROWS};
    use super::*;
    use parquet::file::reader::{FileReader as _, SerializedFileReader};

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
