//! ISD-Lite, the short form of NOAA's integrated surface data: fixed width, one file a station and year.
//!
//! Twelve numbers a line, in fields 5, 3, 3, 3 and then 6 wide: year, month, day, hour; temperature and dew
//! point (0.1 °C), pressure at sea level (0.1 hPa), wind direction, wind (0.1 m/s), sky (code), precipitation of 1
//! and of 6 hours. -9999 is missing.
//!
//! Sky codes: 0 to 8 oktas; 9 obscured, taken as covered; 10 partly obscured, missing; 11 to 13 scattered, 3.5
//! oktas; 14 to 16 broken, 6 oktas; 17 to 19 overcast, 8 oktas (the middles are the METAR classes; from memory).
//!
//! Clock: UTC, instants. The files do not say where the station lies: give the site's longitude, and its
//! elevation for the pressure.

use std::io::{BufRead, BufReader, Read};

use super::super::clock::Clock;
use super::super::column_unit::ColumnUnit;
use super::super::error::{BadField, WeatherError};
use super::super::rows::{NO_QUANTITIES, Reading, Report};
use super::super::source::as_weather_error;
use super::super::stamp::DateCache;
use super::super::variable::Quantity;
use super::{Head, Layout};

/// The layout.
pub(crate) const LAYOUT: Layout = Layout {
    name: "ISD-Lite",
    recognise,
    read,
};

/// Numbers on a line.
const NUMBERS: usize = 12;

/// The least that must be there: up to the sky.
const NUMBERS_NEEDED: usize = 10;

/// Code for a missing value.
const MISSING: i64 = -9999;

/// Position on the line from 0, name, quantity and unit.
const COLUMNS: [(usize, &str, Quantity, ColumnUnit); 5] = [
    (
        4,
        "air temperature",
        Quantity::Temperature,
        ColumnUnit::TENTHS_CELSIUS,
    ),
    (
        5,
        "dew point",
        Quantity::DewPoint,
        ColumnUnit::TENTHS_CELSIUS,
    ),
    (
        6,
        "sea level pressure",
        Quantity::SeaLevelPressure,
        ColumnUnit::TENTHS_HECTOPASCAL,
    ),
    (
        8,
        "wind speed",
        Quantity::Wind,
        ColumnUnit::TENTHS_METRES_SECOND,
    ),
    (9, "sky condition", Quantity::Cloud, ColumnUnit::OKTAS),
];

fn recognise(head: &Head) -> bool {
    let Some(numbers) = numbers(head.first_line()) else {
        return false;
    };
    numbers.1 == NUMBERS && date(&numbers.0, &mut DateCache::default()).is_some()
}

/// The numbers of a line and how many there are; `None` when something else stands on it.
fn numbers(line: &str) -> Option<([i64; NUMBERS], usize)> {
    let mut numbers = [MISSING; NUMBERS];
    let mut count = 0;
    for text in line.split_ascii_whitespace() {
        *numbers.get_mut(count)? = text.parse().ok()?;
        count += 1;
    }
    Some((numbers, count))
}

fn date(numbers: &[i64; NUMBERS], dates: &mut DateCache) -> Option<i64> {
    let [year, month, day, hour, ..] = *numbers;
    dates.parts((year, month, day), hour, 0)
}

/// A sky code in oktas.
fn oktas(code: i64) -> Option<f64> {
    match code {
        0..=8 => Some(code as f64),
        9 | 17..=19 => Some(8.0),
        11..=13 => Some(3.5),
        14..=16 => Some(6.0),
        _ => None,
    }
}

fn read(
    _head: &Head,
    input: &mut dyn Read,
    _station: Option<&str>,
    reading: &mut Reading,
) -> Result<(), WeatherError> {
    reading.clock = Clock::Utc;
    for (_, name, quantity, unit) in COLUMNS {
        reading.account.conversions.insert(format!(
            "{}: column {name} from {}",
            quantity.name(),
            unit.name
        ));
    }
    let mut lines = BufReader::with_capacity(1 << 16, input);
    let mut text = String::new();
    let mut dates = DateCache::default();
    let mut before = i64::MIN;
    let mut line = 0;
    loop {
        text.clear();
        let count = lines
            .read_line(&mut text)
            .map_err(|error| as_weather_error(&reading.file, line, error))?;
        if count == 0 {
            return Ok(());
        }
        line += 1;
        if text.trim().is_empty() {
            continue;
        }
        let bad = |problem: &str, allowed: &str| -> WeatherError {
            BadField {
                file: reading.file.clone(),
                line,
                column: "line".to_owned(),
                value: text.trim().chars().take(70).collect(),
                problem: problem.to_owned(),
                allowed: allowed.to_owned(),
                suggestion: String::new(),
            }
            .into()
        };
        let (numbers, fields) = numbers(&text).ok_or_else(|| {
            bad(
                "holds something else than twelve whole numbers",
                "whole numbers",
            )
        })?;
        if fields < NUMBERS_NEEDED {
            return Err(WeatherError::ShortRow {
                file: reading.file.clone(),
                line,
                fields,
                needed: NUMBERS_NEEDED,
            });
        }
        let minute = date(&numbers, &mut dates)
            .ok_or_else(|| bad("begins with no date and hour", "year, month, day, hour"))?;
        reading.account.rows.read += 1;
        if minute < before {
            reading.account.rows.out_of_order += 1;
        }
        before = before.max(minute);
        let mut quantities = NO_QUANTITIES;
        for (at, name, quantity, unit) in COLUMNS {
            let number = numbers[at];
            if number == MISSING {
                continue;
            }
            let value = match quantity {
                Quantity::Cloud => oktas(number),
                _ => Some(number as f64),
            };
            if let Some(value) = value {
                quantities[quantity as usize] = reading.value(quantity, unit, value, line, name);
            }
        }
        reading.push(minute, Report::Routine, &quantities);
    }
}
