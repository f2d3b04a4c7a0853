//! What can be wrong with a weather file, each with its place, the value, and what to do.

use std::io;

use thiserror::Error;

/// A weather file that cannot be read, or a record that cannot give what was asked.
#[derive(Debug, Error)]
pub enum WeatherError {
    /// The file cannot be opened or read.
    #[error("{file}: cannot be read: {source}; check the path and the permissions")]
    Unreadable {
        /// The file.
        file: String,
        /// What the operating system said.
        source: io::Error,
    },
    /// No file was named.
    #[error("no weather file was named; name at least one")]
    NoFiles,
    /// The file has no bytes.
    #[error("{file}: the file is empty; it should hold a header and hourly rows")]
    Empty {
        /// The file.
        file: String,
    },
    /// The file is not text.
    #[error("{file}: byte {byte} shows that this is {kind}, not text; {advice}")]
    Binary {
        /// The file.
        file: String,
        /// Offset of the first telling byte, from 0.
        byte: u64,
        /// What it looks like.
        kind: &'static str,
        /// What to do.
        advice: &'static str,
    },
    /// The file is text in another encoding.
    #[error(
        "{file}:{line}: byte {byte} of the file is not UTF-8; save the file as UTF-8 (it may be in Latin-1 or Windows-1252)"
    )]
    NotUtf8 {
        /// The file.
        file: String,
        /// Line, from 1.
        line: u64,
        /// Offset in the file, from 0.
        byte: u64,
    },
    /// The file ends in the middle of a row, or a compressed file in the middle of its data.
    #[error("{file}:{line}: the file ends in the middle of {what}; fetch it again")]
    Truncated {
        /// The file.
        file: String,
        /// Last line, from 1.
        line: u64,
        /// What was cut.
        what: &'static str,
    },
    /// A compressed file that is damaged.
    #[error("{file}: the compressed data is damaged ({reason}); fetch it again")]
    DamagedGzip {
        /// The file.
        file: String,
        /// What the decoder said.
        reason: String,
    },
    /// A compressed file that grows out of all proportion.
    #[error(
        "{file}: the compressed file grows beyond {limit} bytes, more than hourly weather ever does; is it the right file?"
    )]
    Inflates {
        /// The file.
        file: String,
        /// The bound.
        limit: u64,
    },
    /// None of the known layouts.
    #[error(
        "{file}: none of the known layouts; the first line is {first_line:?}; known are: {known}; or describe its columns in a scenario, as [weather] columns"
    )]
    UnknownLayout {
        /// The file.
        file: String,
        /// Its first line, shortened.
        first_line: String,
        /// Names of the known layouts.
        known: String,
    },
    /// A column that the layout needs is not there.
    #[error("{file}:{line}: no column for {wanted} in the header of {layout}; found: {found}")]
    MissingColumn {
        /// The file.
        file: String,
        /// Line of the header.
        line: u64,
        /// The layout.
        layout: &'static str,
        /// What was looked for.
        wanted: String,
        /// The columns found.
        found: String,
    },
    /// A field that cannot be read, or whose value cannot be.
    #[error(transparent)]
    Field(Box<BadField>),
    /// A row with fewer fields than the header.
    #[error("{file}:{line}: the row has {fields} fields, the layout needs at least {needed}")]
    ShortRow {
        /// The file.
        file: String,
        /// Line, from 1.
        line: u64,
        /// Fields found.
        fields: usize,
        /// Fields needed.
        needed: usize,
    },
    /// A stamp earlier than the one before it, in a layout that is sorted.
    #[error(
        "{file}:{line}: time goes backwards: {stamp} comes after {before}; sort the rows by time, or check the order of day and month"
    )]
    Backwards {
        /// The file.
        file: String,
        /// Line, from 1.
        line: u64,
        /// The stamp.
        stamp: String,
        /// The stamp of the row before.
        before: String,
    },
    /// Several stations in one file, none chosen.
    #[error("{file}: holds {count} stations ({stations}); name one of them as the station")]
    SeveralStations {
        /// The file.
        file: String,
        /// How many.
        count: usize,
        /// Their names, the first few of them.
        stations: String,
    },
    /// The station asked for is not in the file.
    #[error("{file}: no station {wanted:?}; the file holds {stations}")]
    NoSuchStation {
        /// The file.
        file: String,
        /// The station asked for.
        wanted: String,
        /// The names found.
        stations: String,
    },
    /// No row with a temperature.
    #[error("{file}: no row with a temperature ({rows} rows read)")]
    NoTemperature {
        /// The files.
        file: String,
        /// Rows read.
        rows: u64,
    },
    /// The rows lie so far apart that they are no hourly record.
    #[error(
        "{file}: {rows} rows between {first} and {last} are too few for an hourly record, or some date is wrong"
    )]
    Sparse {
        /// The file.
        file: String,
        /// First instant.
        first: String,
        /// Last instant.
        last: String,
        /// Rows read.
        rows: usize,
    },
    /// A typical year joined with other files.
    #[error("{file}: a typical year is not part of a record of years; use it alone")]
    TypicalJoined {
        /// The file.
        file: String,
    },
    /// A day that no calendar has.
    #[error(
        "season: {value:?} is no day of the calendar; write month and day as MM-DD, for example 10-01"
    )]
    Day {
        /// The text.
        value: String,
    },
    /// Start and end of the season are the same day.
    #[error("season: starts and ends on {day}; name two different days")]
    SeasonLength {
        /// The day.
        day: String,
    },
    /// No winter of the record is complete.
    #[error("no complete winter from {season}: the record spans {first} to {last}; {reasons}")]
    NoWinter {
        /// The season asked for.
        season: String,
        /// First instant of the record.
        first: String,
        /// Last instant of the record.
        last: String,
        /// Each winter tried, with its reason.
        reasons: String,
    },
    /// A column map that cannot be used.
    #[error("column map: {problem}")]
    ColumnMap {
        /// What is wrong, with what is allowed.
        problem: String,
    },
    /// The winter is warmer than any at its latitude.
    #[error(
        "{file}: the median of the coldest three months is {median_c:.1} °C, which no place at latitude {latitude} has (allowed: up to {warmest_c} °C); the temperature looks like °F: name the unit in the header, for example `temperature (F)`"
    )]
    TooWarm {
        /// The files.
        file: String,
        /// Median temperature of December to February (June to August in the south), °C.
        median_c: f64,
        /// Degrees north.
        latitude: f64,
        /// The warmest that can be, °C.
        warmest_c: f64,
    },
    /// Temperature and dew point do not fit the humidity as °C, and do as °F.
    #[error(
        "{file}: temperature and dew point, taken as °C, miss the relative humidity by {celsius_off:.0} % on average, and by {fahrenheit_off:.0} % taken as °F: name their unit in the header, for example `temperature (F)`"
    )]
    HumidityDisagrees {
        /// The file.
        file: String,
        /// Mean difference if they are °C, per cent of humidity.
        celsius_off: f64,
        /// Mean difference if they are °F.
        fahrenheit_off: f64,
    },
    /// Writing failed.
    #[error("writing the plain layout failed: {0}")]
    Write(#[from] csv::Error),
}

/// A field that cannot be read as what it should be, or whose value is impossible.
#[derive(Debug, Clone, PartialEq, Error)]
#[error("{file}:{line}: {column}: {value:?} {problem}; allowed: {allowed}{}{suggestion}", if suggestion.is_empty() { "" } else { "; " })]
pub struct BadField {
    /// The file.
    pub file: String,
    /// Line, from 1.
    pub line: u64,
    /// The column, as the header names it.
    pub column: String,
    /// The field's text.
    pub value: String,
    /// What is wrong with it.
    pub problem: String,
    /// What is allowed.
    pub allowed: String,
    /// What to do, or empty.
    pub suggestion: String,
}

impl From<BadField> for WeatherError {
    fn from(field: BadField) -> Self {
        WeatherError::Field(Box::new(field))
    }
}
