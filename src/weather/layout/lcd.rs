//! NOAA Local Climatological Data, version 1 (US units) and version 2 (metric).
//!
//! Comma separated with a header of some 125 columns. Used columns: `STATION`, `DATE` (`2023-01-01T00:54:00`),
//! `REPORT_TYPE`, `NAME`, `LATITUDE`, `LONGITUDE`, `ELEVATION` (m), and
//!
//! | column | version 1 | version 2 |
//! |---|---|---|
//! | `HourlyDryBulbTemperature`, `HourlyDewPointTemperature` | °F | °C |
//! | `HourlyRelativeHumidity` | % | % |
//! | `HourlyWindSpeed` | mph | m/s |
//! | `HourlyStationPressure` | inHg | hPa |
//! | `HourlySkyConditions` | oktas behind the colon | oktas behind the colon |
//!
//! The versions have the same names: pressures near 30 are inches of mercury, near 1,000 hPa. A file without
//! pressure in its first rows is version 1 when its station is a number of 11 digits.
//!
//! Nothing is missing; a trailing `s` (suspect) or `*` is left out and the number kept; `VRB` and the like are
//! missing. Sky: the highest amount of any layer; 9 (obscured) is covered, 10 and more missing. Automatic
//! stations see no cloud above 3,700 m: their clear sky may be thinly covered.
//!
//! Rows: `FM-15`, `SAO`, `AUTO` and the like are the routine report, usually some minutes before the hour whose value
//! it becomes; `FM-12` the synoptic one; `FM-16` and `SAOSP` special ones; `SOD` and `SOM`, stamped midnight or a
//! minute before, are summaries of a day or month and dropped.
//!
//! Clock: local standard time all year, instants. The offset is taken from the stamp in UTC that the remarks of
//! a report repeat, else from the longitude.

use std::io::Read;

use csv::StringRecord;

use super::super::column_unit::ColumnUnit;
use super::super::error::WeatherError;
use super::super::rows::{Reading, Report};
use super::super::stamp::{self, DAY, HOUR};
use super::super::table::{self, Cell, Column, Plan, Time};
use super::super::variable::Quantity;
use super::{Head, Layout, owned, position, required};

/// The layout.
pub(crate) const LAYOUT: Layout = Layout {
    name: "NOAA LCD",
    recognise,
    read,
};

/// Pressures below this are inches of mercury.
const LARGEST_INCHES: f64 = 40.0;

/// Names, quantities and units in version 1 and 2.
const COLUMNS: [(&str, Quantity, ColumnUnit, ColumnUnit); 6] = [
    (
        "HourlyDryBulbTemperature",
        Quantity::Temperature,
        ColumnUnit::FAHRENHEIT,
        ColumnUnit::CELSIUS,
    ),
    (
        "HourlyDewPointTemperature",
        Quantity::DewPoint,
        ColumnUnit::FAHRENHEIT,
        ColumnUnit::CELSIUS,
    ),
    (
        "HourlyRelativeHumidity",
        Quantity::RelativeHumidity,
        ColumnUnit::PERCENT,
        ColumnUnit::PERCENT,
    ),
    (
        "HourlyWindSpeed",
        Quantity::Wind,
        ColumnUnit::MILES_HOUR,
        ColumnUnit::METRES_SECOND,
    ),
    (
        "HourlyStationPressure",
        Quantity::Pressure,
        ColumnUnit::INCHES_MERCURY,
        ColumnUnit::HECTOPASCAL,
    ),
    (
        "HourlySkyConditions",
        Quantity::Cloud,
        ColumnUnit::OKTAS,
        ColumnUnit::OKTAS,
    ),
];

fn recognise(head: &Head) -> bool {
    head.header().is_some_and(|header| {
        position(&header, "HourlyDryBulbTemperature").is_some()
            && position(&header, "REPORT_TYPE").is_some()
    })
}

/// Which kind of report a row is; `None` for a summary.
fn kind(text: &str) -> Option<Report> {
    match text {
        "FM-15" | "SAO" | "AUTO" | "AERO" | "CRN05" | "SY-SA" => Some(Report::Routine),
        "FM-12" | "FM-13" | "FM-14" | "FM-18" | "SY-MT" | "SYNOP" => Some(Report::Synoptic),
        "SOD" | "SOM" | "SHEF" | "PCP15" | "PCP60" => None,
        _ => Some(Report::Special),
    }
}

/// A number, perhaps marked as suspect.
fn marked(text: &str) -> Cell {
    match table::plain_cell(text.trim_end_matches(['s', '*'])) {
        Cell::Unreadable => Cell::Missing,
        other => other,
    }
}

/// The sky of `BKN:07 7.01 OVC:08 9.75`: the highest amount in oktas.
fn sky(text: &str) -> Cell {
    let amounts = text.split_whitespace().filter_map(|part| {
        let (_, amount) = part.split_once(':')?;
        stamp::digits(amount.trim_end_matches('s').as_bytes())
    });
    match amounts.max() {
        Some(amount @ 0..=8) => Cell::Number(amount as f64),
        Some(9) => Cell::Number(8.0),
        _ => Cell::Missing,
    }
}

fn read(
    head: &Head,
    input: &mut dyn Read,
    station: Option<&str>,
    reading: &mut Reading,
) -> Result<(), WeatherError> {
    let mut csv = table::csv_reader(input, b',');
    let mut record = StringRecord::new();
    table::next(&mut csv, &mut record, &reading.file)?;
    let (header, line) = (owned(&record), table::line(&record));
    let find = |name: &str| required(&header, name, LAYOUT.name, &reading.file, line);
    let time = Time::Stamp(find("DATE")?);
    let id = find("STATION")?;
    let report = find("REPORT_TYPE")?;
    let first_rows: Vec<StringRecord> = head
        .records()
        .skip(1)
        .filter(|row| row.len() == header.len())
        .filter(|row| station.is_none_or(|wanted| row[id].eq_ignore_ascii_case(wanted)))
        .collect();
    for (column, key) in [
        ("NAME", "name"),
        ("LATITUDE", "latitude"),
        ("LONGITUDE", "longitude"),
        ("ELEVATION", "elevation"),
    ] {
        if let (Some(index), Some(row)) = (position(&header, column), first_rows.first()) {
            reading.place.set(key, &row[index]);
        }
    }
    let us_units = us_units(&header, &first_rows, id);
    reading.account.conversions.insert(format!(
        "version {} of the layout, in {} units",
        if us_units { 1 } else { 2 },
        if us_units { "US" } else { "metric" }
    ));
    reading.place.utc_offset_h = first_rows.iter().find_map(|row| utc_offset_h(&header, row));
    let columns: Vec<Column> = COLUMNS
        .into_iter()
        .filter_map(|(name, quantity, us, metric)| {
            let unit = if us_units { us } else { metric };
            let mut column = Column::new(position(&header, name)?, quantity, unit, name);
            column.read = match quantity {
                Quantity::Cloud => sky,
                _ => marked,
            };
            Some(column)
        })
        .collect();
    Plan {
        columns,
        time,
        station: Some(id),
        kind: Some((report, kind)),
        direction: None,
        missing: Vec::new(),
        sorted: false,
        header,
    }
    .read(&mut csv, reading, station)
}

/// Whether the values are in US units.
fn us_units(header: &[String], rows: &[StringRecord], id: usize) -> bool {
    let pressure = [
        "HourlyStationPressure",
        "HourlyAltimeterSetting",
        "HourlySeaLevelPressure",
    ]
    .into_iter()
    .filter_map(|name| position(header, name))
    .find_map(|index| {
        rows.iter().find_map(|row| match marked(&row[index]) {
            Cell::Number(number) => Some(number),
            _ => None,
        })
    });
    match pressure {
        Some(pressure) => pressure < LARGEST_INCHES,
        None => rows.first().is_some_and(|row| {
            row[id].len() == 11 && row[id].bytes().all(|byte| byte.is_ascii_digit())
        }),
    }
}

/// Hours of local standard time ahead of UTC, from a report whose remarks repeat its stamp in UTC:
/// `... METAR KLNK 010654Z ...` in the row of 00:54 is six hours behind.
fn utc_offset_h(header: &[String], row: &StringRecord) -> Option<f64> {
    let remarks = position(header, "REM").and_then(|index| row.get(index));
    let remarks = remarks.or_else(|| row.iter().find(|field| field.starts_with("MET")))?;
    let utc = remarks
        .split_whitespace()
        .skip_while(|word| !matches!(*word, "METAR" | "SPECI"))
        .find_map(|word| word.strip_suffix('Z').filter(|digits| digits.len() == 6))?;
    let local = stamp::parse(&row[position(header, "DATE")?])?.minute;
    let part = |from: usize, to: usize| stamp::digits(utc.as_bytes().get(from..to)?);
    let utc_of_day = part(2, 4)? * HOUR + part(4, 6)?;
    let ahead = (local.rem_euclid(DAY) - utc_of_day + DAY / 2).rem_euclid(DAY) - DAY / 2;
    Some(libm::round(ahead as f64 / 30.0) / 2.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_sky_is_its_densest_layer() {
        assert_eq!(sky("BKN:07 7.01 OVC:08 9.75"), Cell::Number(8.0));
        assert_eq!(sky("FEW:02 33"), Cell::Number(2.0));
        assert_eq!(sky("CLR:00"), Cell::Number(0.0));
        assert_eq!(sky("VV:09 2"), Cell::Number(8.0));
        assert_eq!(sky("X:10"), Cell::Missing);
        assert_eq!(sky(""), Cell::Missing);
    }

    #[test]
    fn a_suspect_number_is_kept_and_a_word_is_missing() {
        assert_eq!(marked("45s"), Cell::Number(45.0));
        assert_eq!(marked("29.92*"), Cell::Number(29.92));
        assert_eq!(marked("VRB"), Cell::Missing);
    }
}
