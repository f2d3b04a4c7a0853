//! The hourly weather table of the teaching data set `nycflights13`: three airports in one file.
//!
//! Comma separated with a header. Used columns: `origin` (the station), `year`, `month`, `day`, `hour`
//! (local time with daylight saving), `time_hour` (the same hour with its offset, UTC: this is the stamp),
//! `temp` and `dewp` °F, `humid` %, `wind_speed` mph, `pressure` hPa at sea level. `NA` is missing.
//!
//! Clock: `time_hour` in UTC, instants; local standard time is the smallest lead of the local hours over
//! it. No other layout names °F columns so plainly without a unit, so it is known by its whole header.

use std::io::Read;

use csv::StringRecord;

use super::super::column_unit::ColumnUnit;
use super::super::error::WeatherError;
use super::super::rows::Reading;
use super::super::table::{self, Column, Plan, Time};
use super::super::variable::Quantity;
use super::{Head, Layout, owned, required};

/// The layout.
pub(crate) const LAYOUT: Layout = Layout {
    name: "airport weather table (nycflights13)",
    recognise,
    read,
};

/// Names, quantities and units of the columns that are used.
const COLUMNS: [(&str, Quantity, ColumnUnit); 5] = [
    ("temp", Quantity::Temperature, ColumnUnit::FAHRENHEIT),
    ("dewp", Quantity::DewPoint, ColumnUnit::FAHRENHEIT),
    ("humid", Quantity::RelativeHumidity, ColumnUnit::PERCENT),
    ("wind_speed", Quantity::Wind, ColumnUnit::MILES_HOUR),
    (
        "pressure",
        Quantity::SeaLevelPressure,
        ColumnUnit::HECTOPASCAL,
    ),
];

fn recognise(head: &Head) -> bool {
    head.first_line()
        .starts_with("origin,year,month,day,hour,temp,dewp,humid,")
        && head.first_line().ends_with("time_hour")
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
    let (header, line) = (owned(&record), table::line(&record));
    let find = |name: &str| required(&header, name, LAYOUT.name, &reading.file, line);
    let mut columns = Vec::new();
    for (name, quantity, unit) in COLUMNS {
        columns.push(Column::new(find(name)?, quantity, unit, name));
    }
    let time = Time::Parts {
        fields: [find("year")?, find("month")?, find("day")?, find("hour")?],
        minute: None,
        stamp: Some(find("time_hour")?),
    };
    let origin = find("origin")?;
    Plan {
        columns,
        time,
        station: Some(origin),
        kind: None,
        direction: None,
        missing: Vec::new(),
        sorted: true,
        header,
    }
    .read(&mut csv, reading, station)
}
