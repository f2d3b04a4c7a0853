//! Our plain layout.
//!
//! Comma, semicolon or tab separated text in UTF-8. Lines `# key: value` on top are optional: `name`,
//! `latitude` and `longitude` in degrees, `elevation` in m, `utc_offset` in hours of local standard time.
//! Then a header and a row an hour:
//!
//! | column | unit in the header | default |
//! |---|---|---|
//! | `time` | `2019-10-01T00:00` or `2019-10-01 00:00`, local standard time; or with `Z` or an offset on every row | required |
//! | `temperature` | C, F, K | required, °C |
//! | `dew_point` or `relative_humidity` (over water) | C, F, K; %, fraction | °C; % |
//! | `wind` (10 m) | m/s, km/h, mph, kn | m/s |
//! | `cloud` | fraction, %, tenths, oktas | fraction |
//! | `pressure` (station) or `sea_level_pressure` | Pa, hPa, kPa, inHg, mmHg | hPa |
//! | `global`, `direct_normal`, `diffuse` | W/m2, kJ/m2, J/cm2, MJ/m2 | W/m2 |
//! | `snow_depth` (on the ground) | m, cm, mm, in | m |
//!
//! A unit stands behind the name, as `temperature_c`, `temperature (F)` or `wind [km/h]`. Nothing, `NA`
//! or `NaN` is missing. Every value is at the instant of the stamp, radiation the mean of the hour
//! centred on it. Time must not go backwards.

use std::io::{Read, Write};

use super::super::column_name;
use super::super::error::WeatherError;
use super::super::record::Record;
use super::super::rows::{Reading, StampOf};
use super::super::stamp;
use super::super::table::{Plan, Time};
use super::super::variable::Variable;
use super::named::NamedTable;
use super::{Head, Layout};

/// The layout.
pub(crate) const LAYOUT: Layout = Layout {
    name: "plain",
    recognise,
    read,
};

fn recognise(head: &Head) -> bool {
    let Some(header) = head.header() else {
        return false;
    };
    time_column(&header).is_some()
        && header
            .iter()
            .any(|name| matches!(column_name::named(name), Some(Ok(_) | Err(_))))
}

/// The column with the stamp.
pub(super) fn time_column(header: &[String]) -> Option<usize> {
    const NAMES: [&str; 8] = [
        "time",
        "datetime",
        "date_time",
        "timestamp",
        "date/time",
        "date time",
        "valid_time",
        "date",
    ];
    NAMES.iter().find_map(|wanted| {
        header
            .iter()
            .position(|name| name.eq_ignore_ascii_case(wanted))
    })
}

fn read(
    head: &Head,
    input: &mut dyn Read,
    station: Option<&str>,
    reading: &mut Reading,
) -> Result<(), WeatherError> {
    let named = NamedTable::open(head, input, LAYOUT.name, reading)?;
    let time =
        time_column(&named.header).ok_or_else(|| named.missing("the time", &reading.file))?;
    let NamedTable {
        mut csv,
        header,
        columns,
        ..
    } = named;
    reading.radiation = StampOf::Instant;
    Plan {
        columns,
        time: Time::Stamp(time),
        station: header
            .iter()
            .position(|name| name.eq_ignore_ascii_case("station")),
        kind: None,
        direction: None,
        missing: Vec::new(),
        sorted: true,
        header,
    }
    .read(&mut csv, reading, station)
}

/// Name, digits after the point and factor from SI of each column.
fn column(variable: Variable) -> (&'static str, usize, f64) {
    match variable {
        Variable::Temperature => ("temperature_c", 2, 1.0),
        Variable::DewPoint => ("dew_point_c", 2, 1.0),
        Variable::Wind => ("wind_m_s", 2, 1.0),
        Variable::Cloud => ("cloud_fraction", 3, 1.0),
        Variable::Pressure => ("pressure_hpa", 2, 0.01),
        Variable::Global => ("global_w_m2", 1, 1.0),
        Variable::DirectNormal => ("direct_normal_w_m2", 1, 1.0),
        Variable::Diffuse => ("diffuse_w_m2", 1, 1.0),
        Variable::SnowDepth => ("snow_depth_m", 3, 1.0),
    }
}

/// Writes a record in the plain layout: what was measured, gaps left empty. Values are rounded to 0.01 °C,
/// 0.01 m/s, 0.001 of cloud, 1 Pa, 0.1 W/m2 and 1 mm of snow.
///
/// # Errors
/// [`WeatherError::Write`] when the output cannot be written.
pub fn write_plain(record: &Record, mut output: impl Write) -> Result<(), WeatherError> {
    let comment = |output: &mut dyn Write, key: &str, value: Option<String>| match value {
        Some(value) => writeln!(output, "# {key}: {}", value.replace(['\n', '\r'], " ")),
        None => Ok(()),
    };
    let place = &record.place;
    let comments = [
        ("name", place.name.clone()),
        ("latitude", place.latitude.map(|value| value.to_string())),
        ("longitude", place.longitude.map(|value| value.to_string())),
        (
            "elevation",
            place.elevation_m.map(|value| value.to_string()),
        ),
        (
            "utc_offset",
            place.utc_offset_h.map(|value| value.to_string()),
        ),
    ];
    for (key, value) in comments {
        comment(&mut output, key, value).map_err(csv::Error::from)?;
    }
    let mut writer = csv::Writer::from_writer(output);
    let present: Vec<Variable> = Variable::ALL
        .into_iter()
        .filter(|&variable| record.series(variable).is_some())
        .collect();
    writer.write_field("time")?;
    for &variable in &present {
        writer.write_field(column(variable).0)?;
    }
    writer.write_record(None::<&[u8]>)?;
    let mut field = String::new();
    for hour in 0..record.hours() {
        field.clear();
        field += &stamp::text((record.first_hour + hour as i64) * stamp::HOUR);
        field.replace_range(10..11, "T");
        writer.write_field(&field)?;
        for &variable in &present {
            let (_, digits, factor) = column(variable);
            let value = record
                .series(variable)
                .map_or(f64::NAN, |series| series[hour]);
            field.clear();
            if value.is_finite() {
                // Adding zero turns a negative zero into zero.
                field += &format!("{:.digits$}", value * factor + 0.0);
            }
            writer.write_field(&field)?;
        }
        writer.write_record(None::<&[u8]>)?;
    }
    writer.flush().map_err(csv::Error::from)?;
    Ok(())
}
