//! The export of a reanalysis with a preamble of metadata (Open-Meteo CSV).
//!
//! Comma separated. A header of metadata with `latitude`, `longitude`, `elevation` (m), `utc_offset_seconds`, one
//! row of it for each place, then the header of the data with the unit of each column in brackets. Used columns:
//! `time`, `temperature_2m`, `dew_point_2m`, `relative_humidity_2m`, `wind_speed_10m`, `cloud_cover`, `surface_pressure`,
//! `pressure_msl`, `shortwave_radiation`, `direct_normal_irradiance`, `diffuse_radiation`, `snow_depth`, in whichever units the
//! export was asked for. `NaN` or nothing is missing: an export that ends today ends with such rows. With
//! several places a column `location_id` tells them apart. A second table behind the first (daily values) is
//! left out.
//!
//! Clock: fixed, `utc_offset_seconds` ahead of UTC, whatever the site; an offset that does not fit the longitude
//! is honoured, since the stamps are on it, and reported. Readings at the instant; radiation is the mean of the
//! hour before the stamp.

use std::io::Read;

use csv::StringRecord;

use super::super::clock::Clock;
use super::super::column_name;
use super::super::error::{BadField, WeatherError};
use super::super::rows::{Reading, StampOf};
use super::super::table::{self, Plan, Time};
use super::{Head, Layout, owned, position};

/// The layout.
pub(crate) const LAYOUT: Layout = Layout {
    name: "reanalysis export (Open-Meteo)",
    recognise,
    read,
};

fn recognise(head: &Head) -> bool {
    head.header().is_some_and(|header| {
        position(&header, "utc_offset_seconds").is_some() && position(&header, "latitude").is_some()
    })
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
    let location = position(&keys, "location_id");
    while table::next(&mut csv, &mut record, &reading.file)? && !record.iter().any(|f| f == "time")
    {
        let wanted = match (location.and_then(|at| record.get(at)), station) {
            (Some(id), Some(station)) => id == station,
            _ => true,
        };
        if wanted {
            place(&keys, &record, reading)?;
        }
    }
    let (header, line) = (owned(&record), table::line(&record));
    let (columns, notes) = column_name::columns(&reading.file, LAYOUT.name, line, &header)?;
    let time = position(&header, "time").ok_or_else(|| WeatherError::MissingColumn {
        file: reading.file.clone(),
        line,
        layout: LAYOUT.name,
        wanted: "time".to_owned(),
        found: header.join(", "),
    })?;
    reading.account.conversions.extend(notes);
    reading.radiation = StampOf::End;
    Plan {
        columns,
        time: Time::Stamp(time),
        station: position(&header, "location_id"),
        kind: None,
        direction: None,
        missing: Vec::new(),
        sorted: true,
        header,
    }
    .read(&mut csv, reading, station)
}

/// Takes a row of metadata.
fn place(
    keys: &[String],
    record: &StringRecord,
    reading: &mut Reading,
) -> Result<(), WeatherError> {
    for (key, value) in keys.iter().zip(record) {
        if key != "utc_offset_seconds" {
            reading.place.set(key, value);
            continue;
        }
        let seconds = value
            .parse::<i64>()
            .ok()
            .filter(|seconds| (-43_200..=50_400).contains(seconds));
        let Some(seconds) = seconds else {
            return Err(BadField {
                file: reading.file.clone(),
                line: table::line(record),
                column: key.clone(),
                value: value.to_owned(),
                problem: "is no offset from UTC".to_owned(),
                allowed: "-43200 to 50400 s".to_owned(),
                suggestion: String::new(),
            }
            .into());
        };
        reading.clock = Clock::Ahead(seconds / 60);
    }
    Ok(())
}
