//! Hourly data of Environment and Climate Change Canada, one file a month.
//!
//! Comma separated, every field quoted, usually with a byte order mark. Older files have a preamble of
//! name and value before the header. Used columns: `Climate ID` (the station), `Date/Time (LST)` (older:
//! `Date/Time`), `Temp (°C)`, `Dew Point Temp (°C)`, `Rel Hum (%)`, `Wind Spd (km/h)`, `Stn Press (kPa)`;
//! and from the first row `Station Name`, `Latitude (y)`, `Longitude (x)`. Nothing is missing (its `Flag`
//! column says `M`); rows of hours still to come are empty. Wind direction is in tens of degrees and is
//! not used; sky is told in words every third hour at best and is not used.
//!
//! Clock: local standard time all year, instants. The offset is not in the file and is taken from the
//! longitude when the site does not give it.

use std::io::Read;

use csv::StringRecord;

use super::super::column_name;
use super::super::error::WeatherError;
use super::super::rows::Reading;
use super::super::table::{self, Plan, Time};
use super::{Head, Layout, owned, position};

/// The layout.
pub(crate) const LAYOUT: Layout = Layout {
    name: "Environment Canada hourly",
    recognise,
    read,
};

/// Records looked through for the header.
const PREAMBLE: usize = 40;

fn time_column(header: &[String]) -> Option<usize> {
    position(header, "Date/Time (LST)").or_else(|| position(header, "Date/Time"))
}

fn is_header(record: &StringRecord) -> bool {
    let header = owned(record);
    time_column(&header).is_some() && position(&header, "Stn Press (kPa)").is_some()
}

fn recognise(head: &Head) -> bool {
    head.records()
        .take(PREAMBLE)
        .any(|record| is_header(&record))
}

fn read(
    head: &Head,
    input: &mut dyn Read,
    station: Option<&str>,
    reading: &mut Reading,
) -> Result<(), WeatherError> {
    let mut csv = table::csv_reader(input, b',');
    let mut record = StringRecord::new();
    while table::next(&mut csv, &mut record, &reading.file)? && !is_header(&record) {
        if let (Some(key), Some(value)) = (record.get(0), record.get(1)) {
            reading.place.set(key, value);
        }
    }
    let (header, line) = (owned(&record), table::line(&record));
    let (columns, notes) = column_name::columns(&reading.file, LAYOUT.name, line, &header)?;
    let time = time_column(&header).ok_or_else(|| WeatherError::MissingColumn {
        file: reading.file.clone(),
        line,
        layout: LAYOUT.name,
        wanted: "Date/Time (LST)".to_owned(),
        found: header.join(", "),
    })?;
    let first_row = head.records().skip_while(|row| !is_header(row)).nth(1);
    for (column, key) in [
        ("Station Name", "name"),
        ("Latitude (y)", "latitude"),
        ("Longitude (x)", "longitude"),
    ] {
        if let Some(index) = position(&header, column)
            && let Some(value) = first_row.as_ref().and_then(|row| row.get(index))
        {
            reading.place.set(key, value);
        }
    }
    reading.account.conversions.extend(notes);
    Plan {
        columns,
        time: Time::Stamp(time),
        station: position(&header, "Climate ID"),
        kind: None,
        direction: None,
        missing: Vec::new(),
        sorted: false,
        header,
    }
    .read(&mut csv, reading, station)
}
