//! Hourly values of the German weather service's climate data centre (DWD CDC), one file a quantity.
//!
//! Semicolon separated with a header, fields padded with spaces, `-999` missing, `eor` at the end of the
//! row. Used columns: `STATIONS_ID` (the station), `MESS_DATUM` (`YYYYMMDDHH`, or `YYYYMMDDHH:MM` in the
//! solar files), `TT_TU` °C and `RF_TU` % (air temperature files), `TT` and `TD` °C (moisture files), `F`
//! m/s (wind), `V_N` oktas (cloud, -1 is a sky that cannot be seen), `P0` hPa at the station and `P` hPa at sea
//! level (pressure), `FG_LBERG` and `FD_LBERG` J/cm2 an hour, global and diffuse (solar). Files of several
//! quantities join into one record; one of them must hold the temperature.
//!
//! Clock: UTC, readings at the stamp, radiation the sum of the hour that ends at it (from memory; the
//! service's description of a file names exceptions in early years: the check of the daily maximum
//! shows an hour only when it is gross). The files do not say where the station lies: give the site's
//! longitude.

use std::io::Read;

use csv::StringRecord;

use super::super::clock::Clock;
use super::super::column_unit::ColumnUnit;
use super::super::error::WeatherError;
use super::super::rows::{Reading, StampOf};
use super::super::stamp;
use super::super::table::{self, Cell, Column, Plan, Time};
use super::super::variable::Quantity;
use super::{Head, Layout, owned, position, required};

/// The layout.
pub(crate) const LAYOUT: Layout = Layout {
    name: "DWD CDC hourly",
    recognise,
    read,
};

/// Names, quantities and units of the columns that are used.
const COLUMNS: [(&str, Quantity, ColumnUnit); 10] = [
    ("TT_TU", Quantity::Temperature, ColumnUnit::CELSIUS),
    ("TT", Quantity::Temperature, ColumnUnit::CELSIUS),
    ("RF_TU", Quantity::RelativeHumidity, ColumnUnit::PERCENT),
    ("TD", Quantity::DewPoint, ColumnUnit::CELSIUS),
    ("F", Quantity::Wind, ColumnUnit::METRES_SECOND),
    ("V_N", Quantity::Cloud, ColumnUnit::OKTAS),
    ("P0", Quantity::Pressure, ColumnUnit::HECTOPASCAL),
    ("P", Quantity::SeaLevelPressure, ColumnUnit::HECTOPASCAL),
    ("FG_LBERG", Quantity::Global, ColumnUnit::JOULES_CM2_HOUR),
    ("FD_LBERG", Quantity::Diffuse, ColumnUnit::JOULES_CM2_HOUR),
];

fn recognise(head: &Head) -> bool {
    head.header().is_some_and(|header| {
        position(&header, "STATIONS_ID").is_some() && position(&header, "MESS_DATUM").is_some()
    })
}

/// Reads `2010123123` and `2010123123:11`.
fn time(text: &str) -> Option<i64> {
    let (hour, minute) = match text.split_once(':') {
        None => (text, 0),
        Some((hour, minute)) => (hour, stamp::digits(minute.as_bytes())?),
    };
    let part = |from: usize, to: usize| stamp::digits(hour.as_bytes().get(from..to)?);
    if hour.len() != 10 {
        return None;
    }
    stamp::from_parts(part(0, 4)?, part(4, 6)?, part(6, 8)?, part(8, 10)?, minute)
}

/// Oktas, a sky that cannot be seen being missing.
fn oktas(text: &str) -> Cell {
    match table::plain_cell(text) {
        Cell::Number(-1.0) => Cell::Missing,
        other => other,
    }
}

fn read(
    _head: &Head,
    input: &mut dyn Read,
    station: Option<&str>,
    reading: &mut Reading,
) -> Result<(), WeatherError> {
    let mut csv = table::csv_reader(input, b';');
    let mut record = StringRecord::new();
    table::next(&mut csv, &mut record, &reading.file)?;
    let (header, line) = (owned(&record), table::line(&record));
    let columns: Vec<Column> = COLUMNS
        .into_iter()
        .filter_map(|(name, quantity, unit)| {
            let mut column = Column::new(position(&header, name)?, quantity, unit, name);
            if quantity == Quantity::Cloud {
                column.read = oktas;
            }
            Some(column)
        })
        .collect();
    if columns.is_empty() {
        return Err(WeatherError::MissingColumn {
            file: reading.file.clone(),
            line,
            layout: LAYOUT.name,
            wanted: COLUMNS.map(|(name, ..)| name).join(" or "),
            found: header.join(", "),
        });
    }
    reading.clock = Clock::Utc;
    reading.radiation = StampOf::End;
    let find = |name: &str| required(&header, name, LAYOUT.name, &reading.file, line);
    Plan {
        columns,
        time: Time::Text(find("MESS_DATUM")?, time),
        station: Some(find("STATIONS_ID")?),
        kind: None,
        direction: None,
        missing: vec![-999.0],
        sorted: false,
        header,
    }
    .read(&mut csv, reading, station)
}
