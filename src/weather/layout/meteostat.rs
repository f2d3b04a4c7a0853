//! Meteostat hourly bulk files.
//!
//! Comma separated. The older files have no header and 13 fields: date, hour, temperature (°C), dew point
//! (°C), relative humidity (%), precipitation, snow, wind direction, wind (km/h), gust, pressure at sea level
//! (hPa), sunshine, condition. The newer ones have a header `year,month,day,hour,temp,...` with the same
//! quantities as `temp`, `dwpt` (not in all), `rhum`, `wspd`, `pres` and with `cldc`, cloud in oktas (from memory).
//! Nothing is missing.
//!
//! Clock: UTC, instants. The files do not say where the station lies: give the site's longitude, and its
//! elevation for the pressure.

use std::io::Read;

use csv::StringRecord;

use super::super::clock::Clock;
use super::super::column_unit::ColumnUnit;
use super::super::error::WeatherError;
use super::super::rows::Reading;
use super::super::stamp;
use super::super::table::{self, Column, Plan, Time};
use super::super::variable::Quantity;
use super::{Head, Layout, owned, position, required};

/// The layout.
pub(crate) const LAYOUT: Layout = Layout {
    name: "Meteostat hourly",
    recognise,
    read,
};

/// Names in the newer files, fields from 0 in the older ones, quantities and units.
const COLUMNS: [(&str, Option<usize>, Quantity, ColumnUnit); 6] = [
    ("temp", Some(2), Quantity::Temperature, ColumnUnit::CELSIUS),
    ("dwpt", Some(3), Quantity::DewPoint, ColumnUnit::CELSIUS),
    (
        "rhum",
        Some(4),
        Quantity::RelativeHumidity,
        ColumnUnit::PERCENT,
    ),
    ("wspd", Some(8), Quantity::Wind, ColumnUnit::KILOMETRES_HOUR),
    (
        "pres",
        Some(10),
        Quantity::SeaLevelPressure,
        ColumnUnit::HECTOPASCAL,
    ),
    ("cldc", None, Quantity::Cloud, ColumnUnit::OKTAS),
];

/// Fields of the older files.
const OLD_FIELDS: usize = 13;

fn recognise(head: &Head) -> bool {
    let Some(fields) = head.header() else {
        return false;
    };
    let old = fields.len() == OLD_FIELDS && time(&fields[0], &fields[1]).is_some();
    old || has_header(&fields)
}

fn has_header(fields: &[String]) -> bool {
    ["year", "month", "day", "hour", "temp", "wpgt", "coco"]
        .iter()
        .all(|name| position(fields, name).is_some())
}

/// Reads `2020-01-31` and `23`.
fn time(date: &str, hour: &str) -> Option<i64> {
    let part = |text: &str| stamp::digits(text.as_bytes());
    let mut parts = date.split('-').map(part);
    let (year, month, day) = (parts.next()??, parts.next()??, parts.next()??);
    stamp::from_parts(year, month, day, part(hour)?, 0)
}

fn read(
    head: &Head,
    input: &mut dyn Read,
    station: Option<&str>,
    reading: &mut Reading,
) -> Result<(), WeatherError> {
    let mut csv = table::csv_reader(input, b',');
    let named = head.header().is_some_and(|header| has_header(&header));
    let mut header = Vec::new();
    let mut line = 1;
    if named {
        let mut record = StringRecord::new();
        table::next(&mut csv, &mut record, &reading.file)?;
        (header, line) = (owned(&record), table::line(&record));
    }
    let columns = COLUMNS
        .into_iter()
        .filter_map(|(name, field, quantity, unit)| {
            let index = if named {
                position(&header, name)?
            } else {
                field?
            };
            Some(Column::new(index, quantity, unit, name))
        })
        .collect();
    let find = |name: &str| required(&header, name, LAYOUT.name, &reading.file, line);
    let time = if named {
        Time::Parts {
            fields: [find("year")?, find("month")?, find("day")?, find("hour")?],
            minute: None,
            stamp: None,
        }
    } else {
        Time::DateAndClock(0, 1, time)
    };
    reading.clock = Clock::Utc;
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
    .read(&mut csv, reading, station)
}
