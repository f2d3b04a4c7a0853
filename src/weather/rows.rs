//! The rows of one file as they are read: SI units, checked against what can be on Earth.

use super::account::{Account, RefusedValue, ValueCounts};
use super::clock::Clock;
use super::column_unit::ColumnUnit;
use super::error::{BadField, WeatherError};
use super::moisture::{Agreement, DewPoints};
use super::place::Place;
use super::pressure;
use super::stamp;
use super::variable::{Quantity, Variable};

/// Share of impossible values above which a column is in another unit rather than faulty.
const SUSPECT_SHARE: f64 = 0.01;

/// Fewer impossible values than this are faults whatever their share, but for the temperature.
const LEAST_SUSPECT: u64 = 3;

/// Dew points above the temperature by no more than this are rounding, K.
const DEW_POINT_ROUNDING_K: f64 = 2.0;

/// How a report came about; the earlier kind is preferred for the hour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Report {
    /// The routine hourly report.
    Routine,
    /// A synoptic report, often without cloud or visibility.
    Synoptic,
    /// A special report between the hours.
    Special,
}

/// Values by [`Quantity`], not a number where there is none.
pub(crate) type Quantities = [f64; Quantity::COUNT];

/// Quantities of a row without any value.
pub(crate) const NO_QUANTITIES: Quantities = [f64::NAN; Quantity::COUNT];

/// One row in SI units.
#[derive(Debug, Clone)]
pub(crate) struct Row {
    /// Minutes since 1970-01-01T00:00 on the file's clock.
    pub minute: i64,
    /// Kind of report.
    pub report: Report,
    /// Values by [`Variable`], not a number where there is none.
    pub values: [f64; Variable::COUNT],
}

/// Which span of time a mean of radiation is of, seen from its stamp.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum StampOf {
    /// The step before the stamp.
    End,
    /// The step after the stamp.
    Start,
    /// The step round the stamp: a reading at the instant.
    #[default]
    Instant,
}

/// Values of a quantity that were refused.
#[derive(Debug, Clone, Default)]
struct Tally {
    read: u64,
    above: u64,
    below: u64,
    first: Option<RefusedValue>,
}

/// One file being read.
#[derive(Debug)]
pub(crate) struct Reading {
    /// The file's name in messages.
    pub file: String,
    /// Rows of the station wanted.
    pub rows: Vec<Row>,
    /// The clock of the stamps.
    pub clock: Clock,
    /// What the stamps of radiation mean.
    pub radiation: StampOf,
    /// Whether the file is a typical year, put together from months of several years.
    pub typical: bool,
    /// What the file says of its station.
    pub place: Place,
    /// What the user says of the site.
    pub user: Place,
    /// What was counted.
    pub account: Account,
    tallies: [Tally; Quantity::COUNT],
    values: [ValueCounts; Variable::COUNT],
    dew_points: DewPoints,
    agreement: Agreement,
}

impl Reading {
    /// Starts with nothing known.
    pub(crate) fn new(file: &str, user: &Place) -> Self {
        Self {
            file: file.to_owned(),
            rows: Vec::new(),
            clock: Clock::LocalStandard,
            radiation: StampOf::Instant,
            typical: false,
            place: Place::default(),
            user: user.clone(),
            account: Account::default(),
            tallies: Default::default(),
            values: Default::default(),
            dew_points: DewPoints::default(),
            agreement: Agreement::default(),
        }
    }

    /// Converts a value and checks it; not a number when it cannot be on Earth.
    pub(crate) fn value(
        &mut self,
        quantity: Quantity,
        unit: ColumnUnit,
        value: f64,
        line: u64,
        column: &str,
    ) -> f64 {
        let si = unit.to_si(value);
        let (low, high) = quantity.limits();
        let tally = &mut self.tallies[quantity as usize];
        tally.read += 1;
        // A hair of room, so that 100 % times 0.01 is not refused.
        let slack = 1e-9 * high;
        if si >= low - slack && si <= high + slack {
            return si;
        }
        if si < low {
            tally.below += 1;
        } else {
            tally.above += 1;
        }
        self.values[quantity.variable() as usize].out_of_range += 1;
        let refused = || RefusedValue {
            file: self.file.clone(),
            line,
            column: column.to_owned(),
            value: format!("{value} {}", unit.name),
            allowed: format!("{low} to {high} {}", quantity.si_unit()),
        };
        if tally.first.is_none() {
            tally.first = Some(refused());
        }
        self.account.keep_refused(refused);
        f64::NAN
    }

    /// Adds a row, with what can be derived from its own values.
    pub(crate) fn push(&mut self, minute: i64, report: Report, quantities: &Quantities) {
        let of = |quantity: Quantity| quantities[quantity as usize];
        let mut values = [f64::NAN; Variable::COUNT];
        for quantity in Quantity::PLAIN {
            values[quantity.variable() as usize] = of(quantity);
        }
        let temperature = of(Quantity::Temperature);
        let dew_point = &mut values[Variable::DewPoint as usize];
        let humidity = of(Quantity::RelativeHumidity);
        self.agreement.compare(temperature, *dew_point, humidity);
        if dew_point.is_nan() && temperature.is_finite() && humidity > 0.0 {
            *dew_point = self.dew_points.of(temperature, humidity);
            self.values[Variable::DewPoint as usize].from_humidity += 1;
        }
        if *dew_point > temperature {
            if *dew_point > temperature + DEW_POINT_ROUNDING_K {
                *dew_point = f64::NAN;
                self.values[Variable::DewPoint as usize].out_of_range += 1;
            } else {
                *dew_point = temperature;
                self.values[Variable::DewPoint as usize].capped += 1;
            }
        }
        let sea_level = of(Quantity::SeaLevelPressure);
        let station = &mut values[Variable::Pressure as usize];
        if station.is_nan()
            && sea_level.is_finite()
            && let Some(elevation) = self.user.elevation_m.or(self.place.elevation_m)
        {
            *station = pressure::station_pressure_pa(sea_level, elevation);
        }
        for variable in [Variable::Global, Variable::DirectNormal, Variable::Diffuse] {
            let value = &mut values[variable as usize];
            if *value < 0.0 {
                *value = 0.0;
                self.values[variable as usize].set_to_zero += 1;
            }
        }
        for variable in Variable::ALL {
            if values[variable as usize].is_finite() {
                self.values[variable as usize].read += 1;
            }
        }
        if values.iter().all(|value| value.is_nan()) {
            self.account.rows.empty += 1;
            return;
        }
        self.rows.push(Row {
            minute,
            report,
            values,
        });
    }

    /// Whether the rows jump back by a month or ahead by more than a year: months of different years,
    /// put together to a typical one.
    pub(crate) fn has_months_of_different_years(&self) -> bool {
        let month = |row: &Row| {
            // Hour 24 belongs to the day that it ends.
            let time = stamp::civil(row.minute - 1);
            12 * i64::from(time.year()) + i64::from(time.month())
        };
        let mut months = self.rows.iter().map(month);
        let Some(mut last) = months.next() else {
            return false;
        };
        months.any(|month| {
            let jump = month - std::mem::replace(&mut last, month);
            !(0..=12).contains(&jump)
        })
    }

    /// Ends the file: refuses columns of which too many values are impossible, and says so for the
    /// optional ones.
    pub(crate) fn finish(&mut self) -> Result<(), WeatherError> {
        for variable in Variable::ALL {
            let counts = self.values[variable as usize];
            if counts != ValueCounts::default() {
                self.account.of(variable).add(counts);
            }
        }
        if let Some((celsius, fahrenheit)) = self.agreement.looks_like_fahrenheit() {
            return Err(WeatherError::HumidityDisagrees {
                file: self.file.clone(),
                celsius_off: 100.0 * celsius,
                fahrenheit_off: 100.0 * fahrenheit,
            });
        }
        let sea_level = &self.tallies[Quantity::SeaLevelPressure as usize];
        if sea_level.read > 0 && self.user.elevation_m.or(self.place.elevation_m).is_none() {
            self.account.warn(format!(
                "{}: pressure is at sea level and the elevation is unknown: left out; give the site's elevation",
                self.file
            ));
        }
        for quantity in [
            Quantity::Temperature,
            Quantity::DewPoint,
            Quantity::RelativeHumidity,
            Quantity::Wind,
            Quantity::Cloud,
            Quantity::Pressure,
            Quantity::SeaLevelPressure,
            Quantity::Global,
            Quantity::DirectNormal,
            Quantity::Diffuse,
            Quantity::SnowDepth,
        ] {
            let tally = &self.tallies[quantity as usize];
            let refused = tally.above + tally.below;
            let Some(first) = tally.first.clone() else {
                continue;
            };
            let few = quantity != Quantity::Temperature && refused < LEAST_SUSPECT;
            if few || refused as f64 <= SUSPECT_SHARE * tally.read as f64 {
                continue;
            }
            let suspicion = suspicion(quantity, tally.above >= tally.below);
            if quantity == Quantity::Temperature {
                return Err(BadField {
                    file: first.file,
                    line: first.line,
                    column: first.column,
                    value: first.value,
                    problem: format!(
                        "is impossible, as are {refused} of {} values of the column",
                        tally.read
                    ),
                    allowed: first.allowed,
                    suggestion: suspicion.to_owned(),
                }
                .into());
            }
            self.account.warn(format!(
                "{}: {refused} of {} values of column {} are impossible (first on line {}: {}; allowed {}): the column is left out; {suspicion}",
                first.file, tally.read, first.column, first.line, first.value, first.allowed
            ));
            let variable = quantity.variable() as usize;
            for row in &mut self.rows {
                row.values[variable] = f64::NAN;
            }
        }
        Ok(())
    }
}

/// What a column full of impossible values probably is.
fn suspicion(quantity: Quantity, above: bool) -> &'static str {
    match quantity {
        Quantity::Temperature | Quantity::DewPoint if above => {
            "it looks like °F, K or tenths of a degree: name the unit in the header, for example `temperature (F)`"
        }
        Quantity::Temperature | Quantity::DewPoint => {
            "it looks like tenths of a degree or a code for missing values: name the unit in the header, or the code"
        }
        Quantity::Wind | Quantity::WindRunningSum if above => {
            "it looks like a running sum (name it `wind_running_sum`), or like another unit (`wind (mph)`, `wind (km/h)`)"
        }
        Quantity::RelativeHumidity | Quantity::Cloud if above => {
            "it looks like per cent: name the unit in the header, for example `cloud (%)`"
        }
        Quantity::Pressure | Quantity::SeaLevelPressure => {
            "it looks like another unit: name it in the header, for example `pressure (hPa)`"
        }
        Quantity::Global | Quantity::DirectNormal | Quantity::Diffuse if above => {
            "it looks like another unit: name it in the header, for example `global (kJ/m2)`"
        }
        Quantity::SnowDepth if above => {
            "it looks like cm or mm: name the unit in the header, for example `snow_depth (cm)`"
        }
        _ => "it may hold a code for missing values",
    }
}
