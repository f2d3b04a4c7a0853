//! Rows with separate columns for year, month, day and hour.
//!
//! Comma, semicolon or tab separated, with a header that has `year`, `month`, `day`, `hour` and perhaps
//! `minute`. Other columns are known by the names and units of the plain layout; a unit that no header
//! names is taken as °C, %, m/s, hPa, fraction of cloud and W/m2, and said so. `NA`, `NaN` or nothing is
//! missing.
//!
//! Clock: local standard time, instants, hour 24 being midnight at the end of the day; radiation is taken
//! as the mean of the hour centred on the stamp. A column `time_hour` or `time` with a full stamp and
//! its offset from UTC is preferred to the parts, which then only tell local time.
//!
//! `Iws` (the city sets of the UCI repository) and `wind_running_sum` are wind speeds in m/s added up
//! from hour to hour while the direction (`cbwd`) stays the same. The speed is the difference; the first
//! value after a change of direction or a missing row is the speed itself.

use std::io::Read;

use super::super::error::WeatherError;
use super::super::rows::Reading;
use super::super::table::{Plan, Time};
use super::super::variable::Quantity;
use super::named::NamedTable;
use super::{Head, Layout};

/// The layout.
pub(crate) const LAYOUT: Layout = Layout {
    name: "year, month, day, hour",
    recognise,
    read,
};

/// The four columns of the stamp.
pub(super) fn parts(header: &[String]) -> Option<[usize; 4]> {
    let find = |wanted: &str| {
        header
            .iter()
            .position(|name| name.eq_ignore_ascii_case(wanted))
    };
    Some([find("year")?, find("month")?, find("day")?, find("hour")?])
}

/// A column by one of several names.
pub(super) fn any_of(header: &[String], names: &[&str]) -> Option<usize> {
    header
        .iter()
        .position(|name| names.iter().any(|wanted| name.eq_ignore_ascii_case(wanted)))
}

fn recognise(head: &Head) -> bool {
    head.header().is_some_and(|header| parts(&header).is_some())
}

fn read(
    head: &Head,
    input: &mut dyn Read,
    station: Option<&str>,
    reading: &mut Reading,
) -> Result<(), WeatherError> {
    let named = NamedTable::open(head, input, LAYOUT.name, reading)?;
    let fields = parts(&named.header)
        .ok_or_else(|| named.missing("year, month, day and hour", &reading.file))?;
    let NamedTable {
        mut csv,
        header,
        columns,
        ..
    } = named;
    if let Some(sum) = columns
        .iter()
        .find(|column| column.quantity == Quantity::WindRunningSum)
    {
        reading.account.conversions.insert(format!(
            "wind: column {} is a running sum, differenced",
            sum.header
        ));
    }
    Plan {
        columns,
        time: Time::Parts {
            fields,
            minute: any_of(&header, &["minute"]),
            stamp: None,
        },
        station: any_of(&header, &["station", "origin"]),
        kind: None,
        direction: any_of(&header, &["cbwd", "wind_direction"]),
        missing: Vec::new(),
        sorted: true,
        header,
    }
    .read(&mut csv, reading, station)
}
