//! EPW, the weather file of building simulation.
//!
//! Eight lines of metadata, then comma separated rows without a header. Used: from `LOCATION` the city,
//! source, latitude, longitude, UTC offset (h) and elevation (m); from each row (fields from 1) year 1,
//! month 2, day 3, hour 4, dry bulb 7 (°C, 99.9 missing), dew point 8 (°C, 99.9), relative humidity 9 (%,
//! 999), pressure 10 (Pa, 999999), global 14, direct normal 15 and diffuse 16 (Wh/m2, 9999), wind 22 (m/s,
//! 999), total sky cover 23 (tenths, 99), snow depth 31 (cm, 999).
//!
//! Clock: local standard time, the hours 1 to 24; the row of hour h holds readings at h:00 and radiation
//! of the hour that ends then. A file with several rows an hour counts the minutes of the hour before.
//!
//! A file whose months come from different years, or whose source calls itself a typical year, is a
//! typical year; one of a single year is a record of that year.

use std::io::Read;

use csv::StringRecord;

use super::super::column_unit::ColumnUnit;
use super::super::error::WeatherError;
use super::super::rows::{Reading, StampOf};
use super::super::stamp::HOUR;
use super::super::table::{self, Column, Plan, Time};
use super::super::variable::Quantity;
use super::{Head, Layout};

/// The layout.
pub(crate) const LAYOUT: Layout = Layout {
    name: "EPW",
    recognise,
    read,
};

/// Words in the source or the comments by which a data set of typical years is known.
const TYPICAL_SOURCES: [&str; 10] = [
    "TMY", "IWEC", "CWEC", "WYEC", "CSWD", "SWEC", "ISHRAE", "IGDG", "TRY", "TYPICAL",
];

/// A field from 0, what it holds, its unit, its name, and the number from which on it is a code.
type Field = (usize, Quantity, ColumnUnit, &'static str, f64);

/// The fields that are used.
#[rustfmt::skip]
const FIELDS: [Field; 10] = [
    (6, Quantity::Temperature, ColumnUnit::CELSIUS, "dry bulb", 99.0),
    (7, Quantity::DewPoint, ColumnUnit::CELSIUS, "dew point", 99.0),
    (8, Quantity::RelativeHumidity, ColumnUnit::PERCENT, "relative humidity", 999.0),
    (9, Quantity::Pressure, ColumnUnit::PASCAL, "pressure", 999_999.0),
    (13, Quantity::Global, ColumnUnit::WATTS_M2, "global horizontal radiation", 9_999.0),
    (14, Quantity::DirectNormal, ColumnUnit::WATTS_M2, "direct normal radiation", 9_999.0),
    (15, Quantity::Diffuse, ColumnUnit::WATTS_M2, "diffuse horizontal radiation", 9_999.0),
    (21, Quantity::Wind, ColumnUnit::METRES_SECOND, "wind speed", 99.0),
    (22, Quantity::Cloud, ColumnUnit::TENTHS, "total sky cover", 99.0),
    (30, Quantity::SnowDepth, ColumnUnit::CENTIMETRES, "snow depth", 999.0),
];

fn recognise(head: &Head) -> bool {
    head.first_line().starts_with("LOCATION,")
}

fn read(
    head: &Head,
    input: &mut dyn Read,
    station: Option<&str>,
    reading: &mut Reading,
) -> Result<(), WeatherError> {
    let mut csv = table::csv_reader(input, b',');
    let mut record = StringRecord::new();
    let mut says_typical = false;
    let mut rows_an_hour = "1".to_owned();
    while table::next(&mut csv, &mut record, &reading.file)? {
        match &record[0] {
            "LOCATION" => {
                for (index, key) in [
                    (1, "name"),
                    (6, "latitude"),
                    (7, "longitude"),
                    (8, "utc_offset"),
                    (9, "elevation"),
                ] {
                    if let Some(value) = record.get(index) {
                        reading.place.set(key, value);
                    }
                }
                says_typical |= record.get(4).is_some_and(calls_itself_typical);
            }
            "COMMENTS 1" | "COMMENTS 2" => {
                says_typical |= record.iter().any(calls_itself_typical);
            }
            "DATA PERIODS" => {
                rows_an_hour = record.get(2).unwrap_or("1").to_owned();
                break;
            }
            _ => {}
        }
    }
    reading.radiation = StampOf::End;
    let several = rows_an_hour != "1";
    Plan {
        columns: FIELDS
            .into_iter()
            .map(|(index, quantity, unit, name, missing_from)| Column {
                missing_from,
                ..Column::new(index, quantity, unit, name)
            })
            .collect(),
        time: Time::Parts {
            fields: [0, 1, 2, 3],
            minute: several.then_some(4),
            stamp: None,
        },
        station: None,
        kind: None,
        direction: None,
        missing: Vec::new(),
        sorted: false,
        header: head.header().unwrap_or_default(),
    }
    .read(&mut csv, reading, station)?;
    if several {
        for row in &mut reading.rows {
            row.minute -= HOUR;
        }
    }
    reading.typical = says_typical || reading.has_months_of_different_years();
    Ok(())
}

fn calls_itself_typical(text: &str) -> bool {
    text.to_uppercase()
        .split(|c: char| !c.is_ascii_alphabetic())
        .any(|word| {
            TYPICAL_SOURCES
                .iter()
                .any(|typical| word.starts_with(typical))
        })
}
