//! TMY3, the typical meteorological years of NREL (third edition).
//!
//! Comma separated. The first line is station code, name, state, UTC offset (h), latitude, longitude and
//! elevation (m); the second the header. Used columns: `Date (MM/DD/YYYY)`, `Time (HH:MM)`, `Dry-bulb (C)`,
//! `Dew-point (C)`, `RHum (%)`, `Pressure (mbar)` at the station, `Wspd (m/s)`, `TotCld (tenths)`, `GHI`, `DNI`
//! and `DHI` (W/m^2). -9900 is missing, 99 too for cloud.
//!
//! Clock: local standard time 01:00 to 24:00; radiation is of the hour that ends at the stamp, the rest
//! readings at it. Months come from different years: always a typical year.

use std::io::Read;

use csv::StringRecord;

use super::super::column_unit::ColumnUnit;
use super::super::error::WeatherError;
use super::super::rows::{Reading, StampOf};
use super::super::stamp;
use super::super::table::{self, Column, Plan, Time};
use super::super::variable::Quantity;
use super::{Head, Layout, owned, required};

/// The layout.
pub(crate) const LAYOUT: Layout = Layout {
    name: "TMY3",
    recognise,
    read,
};

/// Names, quantities and units of the columns that are used.
const COLUMNS: [(&str, Quantity, ColumnUnit); 9] = [
    ("Dry-bulb (C)", Quantity::Temperature, ColumnUnit::CELSIUS),
    ("Dew-point (C)", Quantity::DewPoint, ColumnUnit::CELSIUS),
    ("RHum (%)", Quantity::RelativeHumidity, ColumnUnit::PERCENT),
    (
        "Pressure (mbar)",
        Quantity::Pressure,
        ColumnUnit::HECTOPASCAL,
    ),
    ("Wspd (m/s)", Quantity::Wind, ColumnUnit::METRES_SECOND),
    ("TotCld (tenths)", Quantity::Cloud, ColumnUnit::TENTHS),
    ("GHI (W/m^2)", Quantity::Global, ColumnUnit::WATTS_M2),
    ("DNI (W/m^2)", Quantity::DirectNormal, ColumnUnit::WATTS_M2),
    ("DHI (W/m^2)", Quantity::Diffuse, ColumnUnit::WATTS_M2),
];

fn recognise(head: &Head) -> bool {
    head.lines()
        .nth(1)
        .is_some_and(|line| line.starts_with("Date (MM/DD/YYYY),Time (HH:MM)"))
}

/// Reads `01/31/1997` and `24:00`.
fn time(date: &str, clock: &str) -> Option<i64> {
    let part = |text: &str| stamp::digits(text.as_bytes());
    let mut parts = date.split('/').map(part);
    let (month, day, year) = (parts.next()??, parts.next()??, parts.next()??);
    let (hour, minute) = clock.split_once(':')?;
    stamp::from_parts(year, month, day, part(hour)?, part(minute)?)
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
    for (index, key) in [
        (1, "name"),
        (3, "utc_offset"),
        (4, "latitude"),
        (5, "longitude"),
        (6, "elevation"),
    ] {
        if let Some(value) = record.get(index) {
            reading.place.set(key, value);
        }
    }
    table::next(&mut csv, &mut record, &reading.file)?;
    let (header, line) = (owned(&record), table::line(&record));
    let find = |name: &str| required(&header, name, LAYOUT.name, &reading.file, line);
    let mut columns = Vec::new();
    for (name, quantity, unit) in COLUMNS {
        let mut column = Column::new(find(name)?, quantity, unit, name);
        if quantity == Quantity::Cloud {
            column.missing_from = 99.0;
        }
        columns.push(column);
    }
    let time = Time::DateAndClock(find("Date (MM/DD/YYYY)")?, find("Time (HH:MM)")?, time);
    reading.radiation = StampOf::End;
    reading.typical = true;
    Plan {
        columns,
        time,
        station: None,
        kind: None,
        direction: None,
        missing: vec![-9900.0],
        sorted: false,
        header,
    }
    .read(&mut csv, reading, station)
}
