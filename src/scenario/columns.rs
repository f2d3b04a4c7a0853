//! Which column of a weather file holds what, for files in no known layout.

use std::collections::BTreeMap;

use jiff::civil::DateTime;

use super::error::{Problem, ScenarioError};
use super::field::Field;
use super::table::{Table, nearest};
use crate::units::Dimension;
use crate::weather::column_unit::ColumnUnit;
use crate::weather::layout::{ColumnMap, ColumnRef, MappedColumn, StampOf, TimeColumns};
use crate::weather::variable::Quantity;

/// What a column may hold: its key, the quantity, and a line that messages propose.
const QUANTITIES: [(&str, Quantity, &str); 12] = [
    (
        "temperature",
        Quantity::Temperature,
        "temperature = { column = \"T\", unit = \"C\" }",
    ),
    (
        "dew_point",
        Quantity::DewPoint,
        "dew_point = { column = \"Td\", unit = \"C\" }",
    ),
    (
        "relative_humidity",
        Quantity::RelativeHumidity,
        "relative_humidity = { column = \"RH\", unit = \"%\" }",
    ),
    (
        "wind",
        Quantity::Wind,
        "wind = { column = \"wind\", unit = \"km/h\" }",
    ),
    (
        "wind_running_sum",
        Quantity::WindRunningSum,
        "wind_running_sum = { column = \"wind\", unit = \"m/s\" }",
    ),
    (
        "cloud",
        Quantity::Cloud,
        "cloud = { column = \"cloud\", unit = \"oktas\" }",
    ),
    (
        "pressure",
        Quantity::Pressure,
        "pressure = { column = \"P\", unit = \"hPa\" }",
    ),
    (
        "sea_level_pressure",
        Quantity::SeaLevelPressure,
        "sea_level_pressure = { column = \"P0\", unit = \"hPa\" }",
    ),
    (
        "global",
        Quantity::Global,
        "global = { column = \"G\", unit = \"W/m2\" }",
    ),
    (
        "direct_normal",
        Quantity::DirectNormal,
        "direct_normal = { column = \"B\", unit = \"W/m2\" }",
    ),
    (
        "diffuse",
        Quantity::Diffuse,
        "diffuse = { column = \"D\", unit = \"W/m2\" }",
    ),
    (
        "snow_depth",
        Quantity::SnowDepth,
        "snow_depth = { column = \"snow\", unit = \"cm\" }",
    ),
];

/// Keys that say how the file is written.
const FORM: [&str; 9] = [
    "time",
    "station",
    "delimiter",
    "header",
    "skip_lines",
    "decimal_comma",
    "missing",
    "utc_offset",
    "radiation",
];

/// A tab cannot be written as itself in a text of one line.
const DELIMITERS: [(&str, char); 4] = [(",", ','), (";", ';'), ("|", '|'), ("tab", '\t')];

const RADIATION: [(&str, StampOf); 3] = [
    ("end", StampOf::End),
    ("start", StampOf::Start),
    ("instant", StampOf::Instant),
];

/// Most columns of a file, and most lines above its rows.
const MOST: u64 = 10_000;

const COLUMN: &str = "\"T\", or its number from 1";

pub(super) fn columns(field: &Field<'_>) -> Result<ColumnMap, ScenarioError> {
    let mut keys = FORM.to_vec();
    keys.extend(QUANTITIES.map(|(key, _, _)| key));
    let table = field.table(
        &keys,
        "{ time = \"date\", temperature = { column = \"T\", unit = \"C\" } }",
    )?;
    let yes_or_no = |key, otherwise: bool| -> Result<bool, ScenarioError> {
        table
            .get(key)
            .map_or(Ok(otherwise), |field| field.boolean())
    };
    let header = yes_or_no("header", true)?;
    let time = time(&table.require("time", "time = \"date\"")?, header)?;
    let [(_, _, example), ..] = QUANTITIES;
    table.require("temperature", example)?;
    let mut columns = BTreeMap::new();
    for (key, quantity, example) in QUANTITIES {
        if let Some(field) = table.get(key) {
            columns.insert(quantity, mapped(&field, quantity, example, header)?);
        }
    }
    Ok(ColumnMap {
        delimiter: choice(&table, "delimiter", &DELIMITERS)?.unwrap_or(','),
        skip_lines: table
            .get("skip_lines")
            .map_or(Ok(0), |lines| lines.whole(0, MOST))?,
        header,
        decimal_comma: yes_or_no("decimal_comma", false)?,
        missing: table
            .get("missing")
            .map_or(Ok(Vec::new()), |codes| missing(&codes))?,
        utc_offset_h: table
            .get("utc_offset")
            .map(|offset| offset.quantity(Dimension::Duration, "-12 h", "14 h"))
            .transpose()?
            .map(|seconds| seconds / 3600.0),
        radiation: choice(&table, "radiation", &RADIATION)?.unwrap_or_default(),
        time,
        station: table
            .get("station")
            .map(|at| column(&at, header))
            .transpose()?,
        columns,
    })
}

fn choice<T: Copy>(
    table: &Table<'_>,
    key: &str,
    choices: &[(&'static str, T)],
) -> Result<Option<T>, ScenarioError> {
    table
        .get(key)
        .map(|field| field.choice(choices))
        .transpose()
}

fn missing(codes: &Field<'_>) -> Result<Vec<f64>, ScenarioError> {
    if codes.is_number() {
        return Ok(vec![codes.number("-999")?]);
    }
    let codes = codes.list("[-999]")?;
    codes.iter().map(|code| code.number("-999")).collect()
}

fn time(field: &Field<'_>, header: bool) -> Result<TimeColumns, ScenarioError> {
    let one = |at: &Field<'_>, format| {
        Ok(TimeColumns::One {
            column: column(at, header)?,
            format,
        })
    };
    if !field.is_table() {
        return one(field, None);
    }
    let keys = ["column", "format", "year", "month", "day", "hour", "minute"];
    let table = field.table(&keys, "{ column = \"date\", format = \"%d.%m.%Y %H:%M\" }")?;
    let (key, _) = table.one_of(&["column", "year"])?;
    if key == "column" {
        table.refuse_unknown(&["column", "format"])?;
        let format = table.get("format").map(|field| stamp_format(&field));
        let at = table.require("column", "column = \"date\"")?;
        return one(&at, format.transpose()?);
    }
    table.refuse_unknown(&["year", "month", "day", "hour", "minute"])?;
    let part = |key, example| column(&table.require(key, example)?, header);
    Ok(TimeColumns::Parts {
        year: part("year", "year = \"Year\"")?,
        month: part("month", "month = \"Month\"")?,
        day: part("day", "day = \"Day\"")?,
        hour: part("hour", "hour = \"Hour\"")?,
        minute: table
            .get("minute")
            .map(|at| column(&at, header))
            .transpose()?,
    })
}

/// A format of `strptime` that tells the day and the hour: it must read back an instant that it wrote.
fn stamp_format(field: &Field<'_>) -> Result<String, ScenarioError> {
    let format = field.text("\"%d.%m.%Y %H:%M\"")?;
    let instant = jiff::civil::date(2019, 12, 31).at(23, 0, 0, 0);
    let written = jiff::fmt::strtime::format(format, instant);
    let read = written.and_then(|text| DateTime::strptime(format, text));
    if read.is_ok_and(|read| read == instant) {
        return Ok(format.to_owned());
    }
    Err(field.not_allowed(
        "year, month, day and hour as %Y-%m-%d %H:%M and the like write them (%d day, %m month, %Y year, %y its last two digits, \
         %H hour, %I with %p hour of twelve, %M minute, %S second); hours ahead of UTC go into utc_offset",
    ))
}

fn mapped(
    field: &Field<'_>,
    quantity: Quantity,
    example: &'static str,
    header: bool,
) -> Result<MappedColumn, ScenarioError> {
    let table = field.table(&["column", "unit"], example)?;
    let column = column(&table.require("column", example)?, header)?;
    let unit = table.require("unit", example)?;
    let text = unit.text("\"C\"")?;
    if ColumnUnit::named(quantity, text).is_none() {
        let accepted = || ColumnUnit::accepted(quantity).split(", ");
        return Err(unit.error(Problem::Choice {
            value: unit.written(),
            nearest: nearest(text, accepted()),
            allowed: accepted().collect(),
        }));
    }
    Ok(MappedColumn {
        column,
        unit: text.to_owned(),
    })
}

/// A column by its name in the header, or by its number.
fn column(field: &Field<'_>, header: bool) -> Result<ColumnRef, ScenarioError> {
    if field.is_number() {
        let number = field.whole(1, MOST)?;
        return Ok(ColumnRef::Number(
            usize::try_from(number).unwrap_or(usize::MAX),
        ));
    }
    let name = field.text(COLUMN)?;
    if header {
        return Ok(ColumnRef::Name(name.to_owned()));
    }
    Err(field.not_allowed("the number of the column, from 1: header = false leaves no names"))
}
