//! Any other delimited text, read by a map of its columns that the user writes.

use std::collections::BTreeMap;
use std::io::Read;

use csv::StringRecord;
use serde::{Deserialize, Serialize};

use super::super::clock::Clock;
use super::super::column_unit::ColumnUnit;
use super::super::error::WeatherError;
use super::super::rows::{Reading, StampOf};
use super::super::table::{self, Cell, Column, Plan, Time};
use super::super::variable::Quantity;
use super::{owned, position};

/// Name of the layout in reports.
pub(crate) const NAME: &str = "column map";

/// What a user says of a file in no known layout.
///
/// ```
/// use overwinter::weather::{ReadOptions, Variable, layout::ColumnMap, read_bytes};
/// let map: ColumnMap = toml::from_str(
///     r#"
///     delimiter = ";"
///     decimal_comma = true
///     missing = [-99.0]
///     utc_offset_h = 1
///     time = { column = "Zeit", format = "%d.%m.%Y %H:%M" }
///     [columns]
///     temperature = { column = "T", unit = "C" }
///     wind = { column = 3, unit = "km/h" }
///     "#,
/// )?;
/// let text = "Zeit;T;W\n31.12.2019 23:00;-1,5;36\n01.01.2020 00:00;-99;18\n";
/// let options = ReadOptions { columns: Some(map), ..ReadOptions::default() };
/// let record = read_bytes("mine.csv", text.as_bytes(), &options)?;
/// assert_eq!(record.series(Variable::Temperature).unwrap()[0], -1.5);
/// assert_eq!(record.series(Variable::Wind).unwrap()[0], 10.0);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ColumnMap {
    /// The separator, one ASCII character.
    #[serde(default = "comma")]
    pub delimiter: char,
    /// Lines on top to pass over.
    #[serde(default)]
    pub skip_lines: u64,
    /// Whether the next line is a header.
    #[serde(default = "yes")]
    pub header: bool,
    /// Whether decimals are written with a comma.
    #[serde(default)]
    pub decimal_comma: bool,
    /// Numbers that mean that nothing was measured.
    #[serde(default)]
    pub missing: Vec<f64>,
    /// Hours that the stamps are ahead of UTC; without it, local standard time of the site.
    #[serde(default)]
    pub utc_offset_h: Option<f64>,
    /// Which span of time a value of radiation is the mean of.
    #[serde(default)]
    pub radiation: StampOf,
    /// Where the stamp is.
    pub time: TimeColumns,
    /// The column with the station's name.
    #[serde(default)]
    pub station: Option<ColumnRef>,
    /// What the other columns hold.
    pub columns: BTreeMap<Quantity, MappedColumn>,
}

/// Where the stamp is.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(untagged, deny_unknown_fields)]
pub enum TimeColumns {
    /// In one column.
    One {
        /// The column.
        column: ColumnRef,
        /// Its format as of `strptime`; without it, as in the plain layout.
        #[serde(default)]
        format: Option<String>,
    },
    /// In several.
    Parts {
        /// Year, four digits.
        year: ColumnRef,
        /// Month, 1 to 12.
        month: ColumnRef,
        /// Day of the month.
        day: ColumnRef,
        /// Hour, 0 to 24.
        hour: ColumnRef,
        /// Minute.
        #[serde(default)]
        minute: Option<ColumnRef>,
    },
}

/// A column by its number, from 1, or by its name in the header.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum ColumnRef {
    /// Number, from 1.
    Number(usize),
    /// Name in the header, whatever its case.
    Name(String),
}

/// A column and its unit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MappedColumn {
    /// The column.
    pub column: ColumnRef,
    /// Its unit, as in a header of the plain layout.
    pub unit: String,
}

fn comma() -> char {
    ','
}

fn yes() -> bool {
    true
}

/// A number written with a decimal comma.
fn comma_cell(text: &str) -> Cell {
    match text.contains(',') {
        true => table::plain_cell(&text.replace(',', ".")),
        false => table::plain_cell(text),
    }
}

impl ColumnMap {
    /// Reads a file by this map.
    pub(crate) fn read(
        &self,
        input: &mut dyn Read,
        station: Option<&str>,
        reading: &mut Reading,
    ) -> Result<(), WeatherError> {
        let delimiter = u8::try_from(self.delimiter)
            .ok()
            .filter(|byte| byte.is_ascii() && !matches!(byte, b'\n' | b'\r' | b'"'))
            .ok_or_else(|| {
                problem(format!(
                    "delimiter {:?} is not one ASCII character other than a quote or a line end",
                    self.delimiter
                ))
            })?;
        if !self.columns.contains_key(&Quantity::Temperature) {
            return Err(problem("no column for the temperature".to_owned()));
        }
        let mut csv = table::csv_reader(input, delimiter);
        let mut record = StringRecord::new();
        let mut header = Vec::new();
        let mut line = 0;
        while line < self.skip_lines + u64::from(self.header)
            && table::next(&mut csv, &mut record, &reading.file)?
        {
            line = table::line(&record);
        }
        if self.header {
            header = owned(&record);
        }
        let find = |column: &ColumnRef, what: &str| -> Result<usize, WeatherError> {
            let index = match column {
                ColumnRef::Number(number) => number
                    .checked_sub(1)
                    .filter(|&index| !self.header || index < header.len()),
                ColumnRef::Name(name) => position(&header, name),
            };
            index.ok_or_else(|| WeatherError::MissingColumn {
                file: reading.file.clone(),
                line,
                layout: NAME,
                wanted: match column {
                    ColumnRef::Number(number) => format!("{what} (column {number})"),
                    ColumnRef::Name(name) => format!("{what} (column {name:?})"),
                },
                found: match self.header {
                    true => header.join(", "),
                    false => "no header, so columns go by number".to_owned(),
                },
            })
        };
        let mut columns = Vec::new();
        for (&quantity, mapped) in &self.columns {
            let unit = ColumnUnit::named(quantity, &mapped.unit).ok_or_else(|| {
                problem(format!(
                    "unit {:?} of {} is unknown; known are {}",
                    mapped.unit,
                    quantity.name(),
                    ColumnUnit::accepted(quantity)
                ))
            })?;
            let index = find(&mapped.column, quantity.name())?;
            let name = header.get(index).cloned();
            let name = name.unwrap_or_else(|| format!("column {}", index + 1));
            let mut column = Column::new(index, quantity, unit, &name);
            if self.decimal_comma {
                column.read = comma_cell;
            }
            columns.push(column);
        }
        let time = match &self.time {
            TimeColumns::One {
                column,
                format: None,
            } => Time::Stamp(find(column, "time")?),
            TimeColumns::One {
                column,
                format: Some(format),
            } => Time::Format(find(column, "time")?, format.clone()),
            TimeColumns::Parts {
                year,
                month,
                day,
                hour,
                minute,
            } => Time::Parts {
                fields: [
                    find(year, "year")?,
                    find(month, "month")?,
                    find(day, "day")?,
                    find(hour, "hour")?,
                ],
                minute: minute.as_ref().map(|at| find(at, "minute")).transpose()?,
                stamp: None,
            },
        };
        let station_column = self
            .station
            .as_ref()
            .map(|at| find(at, "station"))
            .transpose()?;
        if let Some(hours) = self.utc_offset_h {
            if !(-12.0..=14.0).contains(&hours) {
                return Err(problem(format!(
                    "utc_offset_h {hours} is not within -12 to 14"
                )));
            }
            reading.clock = Clock::Ahead(libm::round(hours * 60.0) as i64);
        }
        reading.radiation = self.radiation;
        Plan {
            columns,
            time,
            station: station_column,
            kind: None,
            direction: None,
            missing: self.missing.clone(),
            sorted: true,
            header,
        }
        .read(&mut csv, reading, station)
    }
}

fn problem(problem: String) -> WeatherError {
    WeatherError::ColumnMap { problem }
}
