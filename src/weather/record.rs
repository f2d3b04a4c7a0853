//! An hourly record.

use super::account::Account;
use super::place::Place;
use super::stamp::{self};
use super::variable::Variable;
use jiff::civil::DateTime;
use serde::Serialize;

/// One file of a record.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct FileRead {
    /// Its path, as it was named.
    pub file: String,
    /// The layout found.
    pub layout: &'static str,
    /// SHA-256 of its bytes, in hexadecimal digits.
    pub sha256: String,
}

/// An hourly record in SI units and local standard time, cleaned but with its gaps.
#[derive(Debug, Clone, PartialEq)]
pub struct Record {
    /// The files it was read from.
    pub files: Vec<FileRead>,
    /// What is known of its place.
    pub place: Place,
    /// Whether it is a typical year: one winter, and no record of years.
    pub typical: bool,
    /// What was counted on the way.
    pub account: Account,
    /// First hour, hours since 1970-01-01T00:00 local standard time.
    pub(crate) first_hour: i64,
    pub(crate) series: [Option<Vec<f64>>; Variable::COUNT],
}

impl Record {
    /// The first instant, local standard time.
    pub fn first(&self) -> DateTime {
        stamp::civil_hour(self.first_hour)
    }

    /// The last instant, local standard time.
    pub fn last(&self) -> DateTime {
        stamp::civil_hour(self.first_hour + self.hours() as i64 - 1)
    }

    /// Number of hourly instants from first to last.
    pub fn hours(&self) -> usize {
        self.series(Variable::Temperature).map_or(0, <[f64]>::len)
    }

    /// The temperature, °C, of the hours after a midnight some days before `start` up to `start`, itself a midnight: whole days, as many of `most_days` as
    /// have every hour.
    #[must_use]
    pub fn days_before(&self, start: DateTime, most_days: usize) -> Vec<f64> {
        let temperature_c = self.series(Variable::Temperature).unwrap_or_default();
        let place = stamp::minutes(start) / stamp::HOUR - self.first_hour;
        let until = usize::try_from(place + 1).unwrap_or(0);
        let known = temperature_c.get(..until).unwrap_or_default();
        let whole = known.iter().rev().take_while(|c| c.is_finite()).count();
        let days = (whole / 24).min(most_days);
        known[known.len() - 24 * days..].to_vec()
    }

    /// The hourly values of a variable, not a number where missing; `None` if the files do not have it.
    pub fn series(&self, variable: Variable) -> Option<&[f64]> {
        self.series[variable as usize].as_deref()
    }
}

/// Names of files for a message: the first, and how many more.
pub(crate) fn names(files: &[FileRead]) -> String {
    match files {
        [] => String::new(),
        [only] => only.file.clone(),
        [first, rest @ ..] => format!("{} and {} more", first.file, rest.len()),
    }
}
