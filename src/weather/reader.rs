//! Reads files of hourly weather and joins them into one record.

use std::io::Read;
use std::path::{Path, PathBuf};

use super::account::Account;
use super::cleaning;
use super::clock::{self, Clock};
use super::error::WeatherError;
use super::hourly::HourlyGrid;
use super::layout::{self, ColumnMap, Head};
use super::place::Place;
use super::record::{FileRead, Record, names};
use super::rows::Reading;
use super::source::Source;
use super::stamp::{self, HOUR};
use super::variable::Variable;

/// First year of the two that a typical year is laid in; neither is a leap year.
const TYPICAL_YEAR: i64 = 2001;

/// A station further than this from the site is named, km (own choice).
const FAR_KM: f64 = 100.0;

/// What the reader is told beside the files.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct ReadOptions {
    /// The station to take from a file that holds several.
    pub station: Option<String>,
    /// What is known of the site; it rules over what the files say.
    pub site: Place,
    /// Which column holds what, for files in no known layout; layouts are then not looked for.
    pub columns: Option<ColumnMap>,
}

/// Reads files of any known layout and joins them into one record.
///
/// Each file's layout is found by its content; gzip files are inflated as they are read. Where two files
/// have the same hour, the one named first is kept.
///
/// # Errors
/// One [`WeatherError`] that names the file and, where there is one, the line, column and value.
pub fn read(paths: &[PathBuf], options: &ReadOptions) -> Result<Record, WeatherError> {
    let mut joining = Joining::default();
    for path in paths {
        joining.add(Source::open(path)?, options)?;
    }
    joining.finish(options)
}

/// Reads one file that is already in memory; `name` stands for it in messages.
///
/// ```
/// use overwinter::weather::{ReadOptions, Variable, read_bytes};
/// let text = "time,temperature (F)\n2019-10-01T00:00,50\n2019-10-01T01:00,41\n";
/// let record = read_bytes("mine.csv", text.as_bytes(), &ReadOptions::default())?;
/// assert_eq!(record.files[0].layout, "plain");
/// let temperature = record.series(Variable::Temperature).unwrap();
/// assert!((temperature[1] - 5.0).abs() < 1e-12);
/// # Ok::<(), overwinter::weather::WeatherError>(())
/// ```
///
/// # Errors
/// As [`read`].
pub fn read_bytes(name: &str, bytes: &[u8], options: &ReadOptions) -> Result<Record, WeatherError> {
    let mut joining = Joining::default();
    joining.add(Source::new(name, bytes)?, options)?;
    joining.finish(options)
}

/// The layout of a file, by its first lines.
///
/// # Errors
/// [`WeatherError`] for a file that cannot be read, is no text or is in no known layout.
pub fn layout_of(path: &Path) -> Result<&'static str, WeatherError> {
    let source = Source::open(path)?;
    let layout = layout::find(source.file(), &Head::new(source.head()))?;
    Ok(layout.name)
}

/// Moves rows of a typical year, whose months come from different years, into one year without leap day.
/// The end of a day belongs to that day: 24:00 of 28 February is 0:00 of 1 March.
fn lay_in_typical_year(reading: &mut Reading) {
    reading.account.rows.out_of_order = 0;
    let mut before = i64::MIN;
    let account = &mut reading.account;
    reading.rows.retain_mut(|row| {
        let within = stamp::civil(row.minute - 1);
        let clock = i64::from(within.hour()) * HOUR + i64::from(within.minute()) + 1;
        let (month, day) = (i64::from(within.month()), i64::from(within.day()));
        let laid = match (month, day) {
            // 0:00 of 1 March in a leap year.
            (2, 29) if clock == stamp::DAY => stamp::from_parts(TYPICAL_YEAR, 3, 1, 0, 0),
            _ => stamp::from_parts(TYPICAL_YEAR, month, day, 0, clock % HOUR)
                .map(|start| start + clock / HOUR * HOUR),
        };
        let Some(minute) = laid else {
            account.rows.leap_day += 1;
            return false;
        };
        account.rows.out_of_order += u64::from(minute < before);
        before = before.max(minute);
        row.minute = minute;
        true
    });
}

/// A record being joined.
#[derive(Default)]
struct Joining {
    grid: HourlyGrid,
    files: Vec<FileRead>,
    place: Place,
    typical: bool,
    account: Account,
}

impl Joining {
    fn add<R: Read>(
        &mut self,
        mut source: Source<R>,
        options: &ReadOptions,
    ) -> Result<(), WeatherError> {
        let file = source.file().to_owned();
        let head = Head::new(source.head());
        let station = options.station.as_deref();
        let mut reading = Reading::new(&file, &options.site);
        let (layout, read) = match &options.columns {
            Some(map) => (layout::MAPPED, map.read(&mut source, station, &mut reading)),
            None => {
                let layout = layout::find(&file, &head)?;
                let read = (layout.read)(&head, &mut source, station, &mut reading);
                (layout.name, read)
            }
        };
        match read {
            Err(WeatherError::ShortRow { file, line, .. }) if !source.ends_with_newline() => {
                return Err(WeatherError::Truncated {
                    file,
                    line,
                    what: "its last row",
                });
            }
            other => other?,
        }
        reading.finish()?;
        if (self.typical || reading.typical) && !self.files.is_empty() {
            return Err(WeatherError::TypicalJoined { file });
        }
        if reading.typical {
            self.typical = true;
            lay_in_typical_year(&mut reading);
            reading.account.warn(format!(
                "{file}: a typical year, put together from months of several years: one winter and no record of years; it says nothing of how winters differ"
            ));
            let first = stamp::from_parts(TYPICAL_YEAR, 1, 1, 0, 0).unwrap_or(0);
            self.grid = HourlyGrid::typical(first / HOUR);
        }
        self.join(&file, reading, options)?;
        self.files.push(FileRead {
            file,
            layout,
            sha256: source.fingerprint()?,
        });
        Ok(())
    }

    fn join(
        &mut self,
        file: &str,
        mut reading: Reading,
        options: &ReadOptions,
    ) -> Result<(), WeatherError> {
        let shift = clock::shift(reading.clock, &reading.place, &options.site);
        reading.account.conversions.extend(shift.conversion);
        if let Some(warning) = shift.warning {
            reading.account.warn(format!("{file}: {warning}"));
        }
        if let Some(distance) = reading.place.distance_km(&options.site)
            && distance > FAR_KM
        {
            reading.account.warn(format!(
                "{file}: its station lies {distance:.0} km from the site"
            ));
        }
        if reading.clock == Clock::LocalStandard {
            let minutes: Vec<i64> = reading.rows.iter().map(|row| row.minute).collect();
            if let Some(warning) = clock::daylight_saving_warning(&minutes) {
                reading.account.warn(format!("{file}: {warning}"));
            }
        } else {
            reading.place.utc_offset_h = None;
        }
        self.grid.add(
            file,
            reading.rows,
            shift.minutes,
            reading.radiation,
            &mut reading.account,
        )?;
        let found = Place {
            utc_offset_h: shift.utc_offset_h,
            ..reading.place
        };
        self.place = std::mem::take(&mut self.place).or(&found);
        self.account.add(reading.account);
        Ok(())
    }

    fn finish(self, options: &ReadOptions) -> Result<Record, WeatherError> {
        if self.files.is_empty() {
            return Err(WeatherError::NoFiles);
        }
        let (first_hour, series) = self.grid.finish();
        if series[Variable::Temperature as usize].is_none() {
            return Err(WeatherError::NoTemperature {
                file: names(&self.files),
                rows: self.account.rows.read,
            });
        }
        let mut record = Record {
            files: self.files,
            place: options.site.clone().or(&self.place),
            typical: self.typical,
            account: self.account,
            first_hour,
            series,
        };
        cleaning::clean(&mut record)?;
        Ok(record)
    }
}
