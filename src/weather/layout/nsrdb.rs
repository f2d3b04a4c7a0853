//! NSRDB, the national solar radiation database of NREL, hourly or half-hourly.
//!
//! Comma separated. The first line names the metadata, the second gives it (`Location ID`, `Latitude`,
//! `Longitude`, `Time Zone`, `Elevation` in m, and units such as `Pressure Units`), the third is the header. Used
//! columns: `Year`, `Month`, `Day`, `Hour`, `Minute`, `Temperature`, `Dew Point`, `Relative Humidity`, `Wind Speed`,
//! `Pressure`, `GHI`, `DNI`, `DHI`; units as the metadata says, else °C, %, m/s, mbar, W/m2. Its cloud column is a
//! type and not a cover, and is not used. No code for missing values.
//!
//! Clock: the zone of the metadata field `Time Zone`, all year; readings at the instant of the stamp, often on
//! the half hour. Radiation at the instant is spread over the step round it. A file whose years are mixed, or
//! whose source says TMY, is a typical year.

use std::io::Read;

use csv::StringRecord;

use super::super::clock::Clock;
use super::super::column_name;
use super::super::column_unit::ColumnUnit;
use super::super::error::WeatherError;
use super::super::rows::{Reading, StampOf};
use super::super::table::{self, Plan, Time};
use super::{Head, Layout, owned, required};

/// The layout.
pub(crate) const LAYOUT: Layout = Layout {
    name: "NSRDB",
    recognise,
    read,
};

fn recognise(head: &Head) -> bool {
    let first = head.first_line();
    first.starts_with("Source,Location ID,") && first.contains("Time Zone")
}

fn read(
    _head: &Head,
    input: &mut dyn Read,
    station: Option<&str>,
    reading: &mut Reading,
) -> Result<(), WeatherError> {
    let mut csv = table::csv_reader(input, b',');
    let mut record = StringRecord::new();
    table::next(&mut csv, &mut record, &reading.file)?;
    let keys = owned(&record);
    table::next(&mut csv, &mut record, &reading.file)?;
    let values = owned(&record);
    let meta = |key: &str| {
        let at = keys
            .iter()
            .position(|found| found.eq_ignore_ascii_case(key))?;
        values.get(at).map(String::as_str)
    };
    for key in ["Latitude", "Longitude", "Elevation"] {
        reading.place.set(key, meta(key).unwrap_or_default());
    }
    reading
        .place
        .set("name", meta("Location ID").unwrap_or_default());
    reading
        .place
        .set("utc_offset", meta("Time Zone").unwrap_or_default());
    if let Some(hours) = reading.place.utc_offset_h {
        reading.clock = Clock::Ahead(libm::round(hours * 60.0) as i64);
    }
    // The file's own clock may be UTC; the local one is then named beside it.
    reading.place.utc_offset_h = None;
    reading
        .place
        .set("utc_offset", meta("Local Time Zone").unwrap_or_default());
    table::next(&mut csv, &mut record, &reading.file)?;
    let (header, line) = (owned(&record), table::line(&record));
    let (mut columns, _) = column_name::columns(&reading.file, LAYOUT.name, line, &header)?;
    for column in &mut columns {
        let unit = meta(&format!("{} Units", column.header)).unwrap_or_default();
        if let Some(unit) = ColumnUnit::named(column.quantity, unit) {
            column.unit = unit;
        }
    }
    let find = |name: &str| required(&header, name, LAYOUT.name, &reading.file, line);
    let time = Time::Parts {
        fields: [find("Year")?, find("Month")?, find("Day")?, find("Hour")?],
        minute: Some(find("Minute")?),
        stamp: None,
    };
    reading.radiation = StampOf::Instant;
    let says_typical = meta("Source").is_some_and(|source| source.to_uppercase().contains("TMY"));
    Plan {
        columns,
        time,
        station: None,
        kind: None,
        direction: None,
        missing: Vec::new(),
        sorted: false,
        header,
    }
    .read(&mut csv, reading, station)?;
    reading.typical = says_typical || reading.has_months_of_different_years();
    Ok(())
}
