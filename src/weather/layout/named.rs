//! The beginning that tables of named columns share: comments on the place, then a header.

use std::io::Read;

use csv::StringRecord;

use super::super::column_name;
use super::super::error::WeatherError;
use super::super::rows::Reading;
use super::super::table::{self, Column};
use super::{Head, owned};

/// A table whose header has been read.
pub(super) struct NamedTable<'a> {
    pub csv: csv::Reader<&'a mut dyn Read>,
    pub header: Vec<String>,
    pub columns: Vec<Column>,
    line: u64,
    layout: &'static str,
}

impl<'a> NamedTable<'a> {
    /// Reads comments and header; what they tell of the place and of units goes into the reading.
    pub fn open(
        head: &Head,
        input: &'a mut dyn Read,
        layout: &'static str,
        reading: &mut Reading,
    ) -> Result<Self, WeatherError> {
        for comment in head.comments() {
            if let Some((key, value)) = comment.split_once(':') {
                reading.place.set(key, value);
            }
        }
        let mut csv = table::csv_reader(input, head.delimiter());
        let mut record = StringRecord::new();
        table::next(&mut csv, &mut record, &reading.file)?;
        let header = owned(&record);
        let line = head.first_line_number();
        let (columns, notes) = column_name::columns(&reading.file, layout, line, &header)?;
        reading.account.conversions.extend(notes);
        Ok(Self {
            csv,
            header,
            columns,
            line,
            layout,
        })
    }

    /// That the header lacks what the layout cannot do without.
    pub fn missing(&self, wanted: &str, file: &str) -> WeatherError {
        WeatherError::MissingColumn {
            file: file.to_owned(),
            line: self.line,
            layout: self.layout,
            wanted: wanted.to_owned(),
            found: self.header.join(", "),
        }
    }
}
