//! The layouts that weather files come in, one file each. A layout is chosen by the file's content.

mod airport_table;
mod dwd;
mod environment_canada;
mod epw;
mod isd_lite;
mod lcd;
mod mapped;
mod meteostat;
mod named;
mod nsrdb;
mod plain;
mod reanalysis_export;
mod tmy3;
mod year_month_day_hour;

use std::io::Read;

use csv::StringRecord;

use super::error::WeatherError;
use super::rows::Reading;
pub use super::rows::StampOf;
pub use mapped::{ColumnMap, ColumnRef, MappedColumn, TimeColumns};
pub use plain::write_plain;

/// Name of the layout that a column map describes.
pub(crate) const MAPPED: &str = mapped::NAME;

/// Longest first line shown in an error, characters.
const FIRST_LINE_SHOWN: usize = 80;

/// Reads the rows of the station asked for from a file that starts with a head.
type ReadRows = fn(&Head, &mut dyn Read, Option<&str>, &mut Reading) -> Result<(), WeatherError>;

/// A layout: how to know it and how to read it.
pub(crate) struct Layout {
    /// Its name in reports.
    pub name: &'static str,
    /// Whether a file that starts so is in this layout.
    pub recognise: fn(&Head) -> bool,
    /// Reads the rows of the station asked for.
    pub read: ReadRows,
}

/// All layouts, the more particular ones first.
const LAYOUTS: [Layout; 12] = [
    lcd::LAYOUT,
    epw::LAYOUT,
    tmy3::LAYOUT,
    nsrdb::LAYOUT,
    reanalysis_export::LAYOUT,
    environment_canada::LAYOUT,
    dwd::LAYOUT,
    isd_lite::LAYOUT,
    meteostat::LAYOUT,
    airport_table::LAYOUT,
    year_month_day_hour::LAYOUT,
    plain::LAYOUT,
];

/// The first lines of a file.
pub(crate) struct Head {
    text: String,
}

impl Head {
    /// From the first part of the text, which may end inside a line.
    pub(crate) fn new(text: String) -> Self {
        Self { text }
    }

    /// Lines that hold something.
    pub(super) fn lines(&self) -> impl Iterator<Item = &str> {
        self.text
            .lines()
            .map(str::trim)
            .filter(|line| !line.is_empty())
    }

    /// What stands behind the `#` of the lines on top.
    pub(super) fn comments(&self) -> impl Iterator<Item = &str> {
        self.lines().map_while(|line| line.strip_prefix('#'))
    }

    /// The first line that is no comment.
    pub(super) fn first_line(&self) -> &str {
        self.lines()
            .find(|line| !line.starts_with('#'))
            .unwrap_or_default()
    }

    /// Number of the first line that is no comment, from 1.
    pub(super) fn first_line_number(&self) -> u64 {
        let passed = self.text.lines().take_while(|line| {
            let line = line.trim();
            line.is_empty() || line.starts_with('#')
        });
        1 + passed.count() as u64
    }

    /// The separator of the first line: whichever of tab, semicolon and comma is most frequent.
    pub(super) fn delimiter(&self) -> u8 {
        let line = self.first_line().as_bytes();
        let count = |wanted: u8| line.iter().filter(|&&byte| byte == wanted).count();
        [b'\t', b';', b',']
            .into_iter()
            .max_by_key(|&byte| count(byte))
            .unwrap_or(b',')
    }

    /// The first rows, fields trimmed; the last one may be cut.
    pub(super) fn records(&self) -> impl Iterator<Item = StringRecord> {
        csv::ReaderBuilder::new()
            .delimiter(self.delimiter())
            .has_headers(false)
            .flexible(true)
            .comment(Some(b'#'))
            .trim(csv::Trim::All)
            .from_reader(self.text.as_bytes())
            .into_records()
            .map_while(Result::ok)
    }

    /// The first line as names of columns.
    pub(super) fn header(&self) -> Option<Vec<String>> {
        let delimiter = char::from(self.delimiter());
        let line = self.first_line();
        line.contains(delimiter).then(|| {
            line.split(delimiter)
                .map(|name| name.trim().trim_matches('"').trim().to_owned())
                .collect()
        })
    }
}

/// The column of a name, whatever its case.
fn position(header: &[String], name: &str) -> Option<usize> {
    header
        .iter()
        .position(|found| found.eq_ignore_ascii_case(name))
}

/// The column of a name, or the error that it is missing.
fn required(
    header: &[String],
    name: &str,
    layout: &'static str,
    file: &str,
    line: u64,
) -> Result<usize, WeatherError> {
    position(header, name).ok_or_else(|| WeatherError::MissingColumn {
        file: file.to_owned(),
        line,
        layout,
        wanted: name.to_owned(),
        found: header.join(", "),
    })
}

/// The fields of a record as text without spaces round it.
fn owned(record: &StringRecord) -> Vec<String> {
    record.iter().map(|text| text.trim().to_owned()).collect()
}

/// Finds the layout of a file.
pub(crate) fn find(file: &str, head: &Head) -> Result<&'static Layout, WeatherError> {
    static ALL: [Layout; LAYOUTS.len()] = LAYOUTS;
    ALL.iter()
        .find(|layout| (layout.recognise)(head))
        .ok_or_else(|| WeatherError::UnknownLayout {
            file: file.to_owned(),
            first_line: head.first_line().chars().take(FIRST_LINE_SHOWN).collect(),
            known: names().join("; "),
        })
}

/// Names of all layouts.
pub fn names() -> Vec<&'static str> {
    LAYOUTS.iter().map(|layout| layout.name).collect()
}
