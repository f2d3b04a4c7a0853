//! Rows of delimited text read by a plan: which field holds what, in which unit, and where time is.

use std::io::Read;

use csv::StringRecord;

use super::clock::Clock;
use super::column_unit::ColumnUnit;
use super::error::{BadField, WeatherError};
use super::rows::{NO_QUANTITIES, Reading, Report};
use super::running_sum::RunningSum;
use super::source::as_weather_error;
use super::stamp::{self, DateCache};
use super::station::Stations;
use super::variable::Quantity;

/// What a field of text holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Cell {
    /// A number in the column's unit.
    Number(f64),
    /// Nothing was measured.
    Missing,
    /// Neither.
    Unreadable,
}

/// One column that is used.
#[derive(Debug, Clone)]
pub(crate) struct Column {
    /// Field, from 0.
    pub index: usize,
    /// What it holds.
    pub quantity: Quantity,
    /// Its unit.
    pub unit: ColumnUnit,
    /// Its name in the header.
    pub header: String,
    /// Reads its fields.
    pub read: fn(&str) -> Cell,
    /// Numbers from this on are codes for a missing value.
    pub missing_from: f64,
}

impl Column {
    /// A column of plain numbers without codes.
    pub(crate) fn new(index: usize, quantity: Quantity, unit: ColumnUnit, header: &str) -> Self {
        Self {
            index,
            quantity,
            unit,
            header: header.to_owned(),
            read: plain_cell,
            missing_from: f64::INFINITY,
        }
    }
}

/// Where the stamp is.
#[derive(Debug, Clone)]
pub(crate) enum Time {
    /// One field of date and time.
    Stamp(usize),
    /// Fields for year, month, day, hour and perhaps minute.
    Parts {
        /// Year, month, day, hour.
        fields: [usize; 4],
        /// Minute.
        minute: Option<usize>,
        /// A field with a full stamp and its offset, which is preferred.
        stamp: Option<usize>,
    },
    /// One field read by a function of the layout.
    Text(usize, fn(&str) -> Option<i64>),
    /// A field with a date and one with a clock time, read by a function of the layout.
    DateAndClock(usize, usize, fn(&str, &str) -> Option<i64>),
    /// One field read by a format of the user, as of `strptime`.
    Format(usize, String),
}

/// What kind of row a field says it is.
pub(crate) type Kind = fn(&str) -> Option<Report>;

/// How to read rows.
#[derive(Debug, Clone)]
pub(crate) struct Plan {
    /// Columns that are used.
    pub columns: Vec<Column>,
    /// Where the stamp is.
    pub time: Time,
    /// Field with the station's name.
    pub station: Option<usize>,
    /// Field that tells reports from summaries (`None`).
    pub kind: Option<(usize, Kind)>,
    /// Field with the wind direction, for running sums.
    pub direction: Option<usize>,
    /// Numbers that mean that nothing was measured.
    pub missing: Vec<f64>,
    /// Whether time must not go backwards.
    pub sorted: bool,
    /// Names of all fields.
    pub header: Vec<String>,
}

/// Reads a number or one of the usual words for nothing.
pub(crate) fn plain_cell(text: &str) -> Cell {
    if let Ok(number) = text.parse::<f64>()
        && number.is_finite()
    {
        return Cell::Number(number);
    }
    const NOTHING: [&str; 10] = [
        "", "NA", "N/A", "NaN", "-NaN", "null", "None", "M", "-", "--",
    ];
    if NOTHING.iter().any(|word| word.eq_ignore_ascii_case(text)) {
        Cell::Missing
    } else {
        Cell::Unreadable
    }
}

/// A CSV reader as all layouts want it.
pub(crate) fn csv_reader(input: &mut dyn Read, delimiter: u8) -> csv::Reader<&mut dyn Read> {
    csv::ReaderBuilder::new()
        .delimiter(delimiter)
        .has_headers(false)
        .flexible(true)
        .comment(Some(b'#'))
        .trim(csv::Trim::None)
        .buffer_capacity(1 << 16)
        .from_reader(input)
}

/// Reads the next record; false at the end.
pub(crate) fn next(
    reader: &mut csv::Reader<&mut dyn Read>,
    record: &mut StringRecord,
    file: &str,
) -> Result<bool, WeatherError> {
    match reader.read_record(record) {
        Ok(more) => Ok(more),
        Err(error) => {
            let line = reader.position().line();
            Err(match error.into_kind() {
                csv::ErrorKind::Io(error) => as_weather_error(file, line, error),
                other => as_weather_error(file, line, std::io::Error::other(format!("{other:?}"))),
            })
        }
    }
}

/// A field without spaces round it; nothing if there is none.
pub(crate) fn field(record: &StringRecord, index: usize) -> &str {
    record.get(index).unwrap_or_default().trim()
}

/// Line of a record, from 1.
pub(crate) fn line(record: &StringRecord) -> u64 {
    record.position().map_or(0, csv::Position::line)
}

impl Plan {
    /// Reads all rows into `reading`, those of `station` if the file has several.
    pub(crate) fn read(
        &self,
        csv: &mut csv::Reader<&mut dyn Read>,
        reading: &mut Reading,
        station: Option<&str>,
    ) -> Result<(), WeatherError> {
        for column in &self.columns {
            if !column.unit.is_si() {
                reading.account.conversions.insert(format!(
                    "{}: column {} from {}",
                    column.quantity.name(),
                    column.header,
                    column.unit.name
                ));
            }
        }
        let needed = 1 + self.fields_needed();
        let mut record = StringRecord::new();
        let mut dates = DateCache::default();
        let mut stations = Stations::default();
        let mut running = RunningSum::default();
        let mut offsets: Option<Option<(i64, i64)>> = None;
        let mut before = i64::MIN;
        while next(csv, &mut record, &reading.file)? {
            let line = line(&record);
            if record.len() < needed {
                if record.iter().all(|text| text.trim().is_empty()) {
                    continue;
                }
                return Err(WeatherError::ShortRow {
                    file: reading.file.clone(),
                    line,
                    fields: record.len(),
                    needed,
                });
            }
            // A second table begins with the same name again.
            if let Time::Stamp(field) = self.time
                && self
                    .header
                    .get(field)
                    .is_some_and(|name| *name == self::field(&record, field))
            {
                reading.account.warn(format!(
                    "{}: a second table from line {line} on is left out",
                    reading.file
                ));
                break;
            }
            reading.account.rows.read += 1;
            if let Some(at) = self.station
                && !stations.wanted(field(&record, at), station)
            {
                reading.account.rows.other_station += 1;
                continue;
            }
            let report = match self.kind {
                None => Report::Routine,
                Some((at, kind)) => match kind(field(&record, at)) {
                    Some(report) => report,
                    None => {
                        reading.account.rows.summary += 1;
                        continue;
                    }
                },
            };
            let (minute, offset) = self.minute(&record, &mut dates, reading, line)?;
            self.note_offset(&mut offsets, offset, &record, reading, line)?;
            if minute < before {
                if self.sorted {
                    return Err(WeatherError::Backwards {
                        file: reading.file.clone(),
                        line,
                        stamp: stamp::text(minute),
                        before: stamp::text(before),
                    });
                }
                reading.account.rows.out_of_order += 1;
            }
            before = before.max(minute);
            let mut quantities = NO_QUANTITIES;
            for column in &self.columns {
                let value = self.cell(column, &record, reading, line)?;
                if value.is_nan() {
                    continue;
                }
                let value =
                    reading.value(column.quantity, column.unit, value, line, &column.header);
                quantities[column.quantity as usize] = value;
            }
            let sum = quantities[Quantity::WindRunningSum as usize];
            if !sum.is_nan() {
                let direction = self.direction.map_or("", |at| field(&record, at));
                let speed = running.speed(sum, direction, minute);
                quantities[Quantity::Wind as usize] = reading.value(
                    Quantity::Wind,
                    ColumnUnit::METRES_SECOND,
                    speed,
                    line,
                    "wind, from its running sum",
                );
            }
            reading.push(minute, report, &quantities);
        }
        if let Some(Some((smallest, _))) = offsets {
            reading.clock = Clock::Utc;
            let hours = smallest as f64 / 60.0;
            if smallest != 0 && reading.place.utc_offset_h.is_none() {
                reading.place.utc_offset_h = Some(hours);
            }
        }
        stations.check(station, &reading.file)
    }

    fn fields_needed(&self) -> usize {
        let time = match &self.time {
            Time::Stamp(field) | Time::Text(field, _) | Time::Format(field, _) => *field,
            Time::Parts {
                fields,
                minute,
                stamp,
            } => fields
                .iter()
                .chain(minute)
                .chain(stamp)
                .copied()
                .max()
                .unwrap_or(0),
            Time::DateAndClock(date, clock, _) => *date.max(clock),
        };
        self.columns
            .iter()
            // Files of typical years often end before their last column, the depth of snow.
            .filter(|column| column.quantity != Quantity::SnowDepth)
            .map(|column| column.index)
            .chain(self.station)
            .chain(self.kind.map(|(field, _)| field))
            .chain(self.direction)
            .fold(time, usize::max)
    }

    /// The stamp in minutes, and the minutes that its clock is ahead of UTC if the row says so. A stamp
    /// with an offset is given in UTC.
    fn minute(
        &self,
        record: &StringRecord,
        dates: &mut DateCache,
        reading: &Reading,
        line: u64,
    ) -> Result<(i64, Option<i64>), WeatherError> {
        let utc = |stamp: stamp::Stamp| match stamp.offset {
            Some(offset) => (stamp.minute - offset, Some(offset)),
            None => (stamp.minute, None),
        };
        let at = |index: &usize| field(record, *index);
        let found = match &self.time {
            Time::Stamp(index) => dates.parse(at(index)).map(utc),
            Time::Text(index, read) => read(at(index)).map(|minute| (minute, None)),
            Time::DateAndClock(date, clock, read) => {
                read(at(date), at(clock)).map(|minute| (minute, None))
            }
            Time::Format(index, format) => jiff::civil::DateTime::strptime(format, at(index))
                .ok()
                .map(|time| (stamp::minutes(time), None)),
            Time::Parts {
                fields,
                minute,
                stamp,
            } => {
                let part = |index: &usize| {
                    let text = at(index);
                    let whole = text.strip_suffix(".0").unwrap_or(text);
                    stamp::digits(whole.as_bytes())
                };
                let [year, month, day, hour] = fields.each_ref().map(part);
                let minute = minute.as_ref().map_or(Some(0), part);
                let wall = match (year, month, day, hour, minute) {
                    (Some(y), Some(m), Some(d), Some(h), Some(min)) => {
                        dates.parts((y, m, d), h, min)
                    }
                    _ => None,
                };
                match stamp {
                    None => wall.map(|minute| (minute, None)),
                    Some(index) => stamp::parse(at(index))
                        .map(utc)
                        .zip(wall)
                        .map(|((utc, _), wall)| (utc, Some(wall - utc))),
                }
            }
        };
        found.ok_or_else(|| {
            BadField {
                file: reading.file.clone(),
                line,
                column: "time".to_owned(),
                value: match &self.time {
                    Time::Stamp(index) | Time::Text(index, _) | Time::Format(index, _) => {
                        at(index).to_owned()
                    }
                    Time::DateAndClock(date, clock, _) => format!("{} {}", at(date), at(clock)),
                    Time::Parts { fields, .. } => fields.each_ref().map(at).join("-"),
                },
                problem: "is no date and hour".to_owned(),
                allowed: match &self.time {
                    Time::Stamp(_) => "such as 2019-10-01T00:00, years 1750 to 2200".to_owned(),
                    Time::Format(_, format) => format!("the format {format}"),
                    _ => "a day of the calendar and an hour from 0 to 24".to_owned(),
                },
                suggestion: match &self.time {
                    Time::Stamp(_) => "describe another format in a column map".to_owned(),
                    _ => String::new(),
                },
            }
            .into()
        })
    }

    /// Keeps the smallest and largest offset; all rows must have one or none.
    fn note_offset(
        &self,
        offsets: &mut Option<Option<(i64, i64)>>,
        offset: Option<i64>,
        record: &StringRecord,
        reading: &Reading,
        line: u64,
    ) -> Result<(), WeatherError> {
        *offsets = match (*offsets, offset) {
            (None | Some(None), None) => Some(None),
            (None, Some(offset)) => Some(Some((offset, offset))),
            (Some(Some((low, high))), Some(offset)) => {
                Some(Some((low.min(offset), high.max(offset))))
            }
            _ => {
                return Err(BadField {
                    file: reading.file.clone(),
                    line,
                    column: "time".to_owned(),
                    value: record.iter().next().unwrap_or_default().to_owned(),
                    problem: "has an offset from UTC and an earlier row has none, or the reverse"
                        .to_owned(),
                    allowed: "an offset on every row or on none".to_owned(),
                    suggestion: String::new(),
                }
                .into());
            }
        };
        Ok(())
    }

    fn cell(
        &self,
        column: &Column,
        record: &StringRecord,
        reading: &Reading,
        line: u64,
    ) -> Result<f64, WeatherError> {
        let text = field(record, column.index);
        match (column.read)(text) {
            Cell::Number(number)
                if number >= column.missing_from || self.missing.contains(&number) =>
            {
                Ok(f64::NAN)
            }
            Cell::Number(number) => Ok(number),
            Cell::Missing => Ok(f64::NAN),
            Cell::Unreadable => Err(BadField {
                file: reading.file.clone(),
                line,
                column: column.header.clone(),
                value: text.to_owned(),
                problem: "is no number".to_owned(),
                allowed: format!("a number in {}, or nothing", column.unit.name),
                suggestion: if text.contains(',') {
                    "write decimals with a point".to_owned()
                } else {
                    String::new()
                },
            }
            .into()),
        }
    }
}
