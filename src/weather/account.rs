//! What reading and cleaning did to the rows, counted by cause.

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;

use super::variable::Variable;

/// How many refused values are kept with their place.
const REFUSED_KEPT: usize = 20;

/// Everything that was counted while a record was read and cleaned.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Account {
    /// What became of the rows.
    pub rows: RowCounts,
    /// What became of the values, by variable.
    pub variables: BTreeMap<Variable, ValueCounts>,
    /// Conversions and assumptions, in words: units, running sums, clocks.
    pub conversions: BTreeSet<String>,
    /// The first values that were refused, with their place.
    pub refused: Vec<RefusedValue>,
    /// What a reader should know before trusting the record.
    pub warnings: Vec<String>,
}

/// Rows by what became of them.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize)]
pub struct RowCounts {
    /// Rows of data in the files.
    pub read: u64,
    /// Rows of a station that was not asked for.
    pub other_station: u64,
    /// Summaries of a day or month, dropped.
    pub summary: u64,
    /// Special reports between the hours of which nothing was used.
    pub special: u64,
    /// Other readings between the hours of which nothing was used.
    pub sub_hourly: u64,
    /// Rows that repeat a stamp, dropped in favour of the first.
    pub duplicate: u64,
    /// Rows that came before an earlier row and were sorted.
    pub out_of_order: u64,
    /// Rows without any value that is of use.
    pub empty: u64,
    /// Rows of 29 February in a typical year, dropped.
    pub leap_day: u64,
}

/// Values of one variable by what became of them.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize)]
pub struct ValueCounts {
    /// Values read from rows.
    pub read: u64,
    /// Refused: beyond what can be on Earth.
    pub out_of_range: u64,
    /// Radiation a little below zero, set to zero.
    pub set_to_zero: u64,
    /// Dew points above the temperature, set to it.
    pub capped: u64,
    /// Computed from relative humidity.
    pub from_humidity: u64,
    /// Hours taken between two readings beside the hour.
    pub between_readings: u64,
    /// Hours removed as spikes.
    pub spikes: u64,
    /// Hours removed because the sensor was stuck.
    pub stuck: u64,
    /// Hours of the record without a value, after cleaning.
    pub missing: u64,
}

impl ValueCounts {
    pub(crate) fn add(&mut self, other: ValueCounts) {
        self.read += other.read;
        self.out_of_range += other.out_of_range;
        self.set_to_zero += other.set_to_zero;
        self.capped += other.capped;
        self.from_humidity += other.from_humidity;
        self.between_readings += other.between_readings;
        self.spikes += other.spikes;
        self.stuck += other.stuck;
        self.missing += other.missing;
    }
}

/// One refused value and its place.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RefusedValue {
    /// The file.
    pub file: String,
    /// Line, from 1.
    pub line: u64,
    /// The column.
    pub column: String,
    /// The text of the field.
    pub value: String,
    /// What is allowed.
    pub allowed: String,
}

impl Account {
    /// The counts of a variable.
    pub(crate) fn of(&mut self, variable: Variable) -> &mut ValueCounts {
        self.variables.entry(variable).or_default()
    }

    /// Keeps a refused value if there is room.
    pub(crate) fn keep_refused(&mut self, value: impl FnOnce() -> RefusedValue) {
        if self.refused.len() < REFUSED_KEPT {
            self.refused.push(value());
        }
    }

    /// Adds a warning once.
    pub(crate) fn warn(&mut self, warning: String) {
        if !self.warnings.contains(&warning) {
            self.warnings.push(warning);
        }
    }

    /// Adds the account of another file.
    pub(crate) fn add(&mut self, other: Account) {
        let Account {
            rows,
            variables,
            conversions,
            refused,
            warnings,
        } = other;
        self.rows.read += rows.read;
        self.rows.other_station += rows.other_station;
        self.rows.summary += rows.summary;
        self.rows.special += rows.special;
        self.rows.sub_hourly += rows.sub_hourly;
        self.rows.duplicate += rows.duplicate;
        self.rows.out_of_order += rows.out_of_order;
        self.rows.empty += rows.empty;
        self.rows.leap_day += rows.leap_day;
        for (variable, counts) in variables {
            self.of(variable).add(counts);
        }
        self.conversions.extend(conversions);
        for value in refused {
            self.keep_refused(|| value);
        }
        for warning in warnings {
            self.warn(warning);
        }
    }
}
