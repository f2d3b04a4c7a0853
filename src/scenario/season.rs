//! The days of the year between which a winter runs.

use std::fmt;

use jiff::civil::Date;

use super::error::{Problem, ScenarioError};
use super::field::Field;
use serde::Serialize;

const MONTHS: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];

/// A year without a 29 February followed by another.
const COMMON_YEAR: i16 = 2001;
/// Midsummer of the north, which no winter holds.
const MIDSUMMER: MonthDay = MonthDay { month: 6, day: 21 };
/// Shortest and longest winter, days.
const LENGTH_D: std::ops::RangeInclusive<i32> = 30..=330;

/// A day of every year: never 29 February.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub struct MonthDay {
    /// 1 to 12.
    pub month: i8,
    /// 1 to 31.
    pub day: i8,
}

impl MonthDay {
    /// A day that every year has, or `None`.
    #[must_use]
    pub fn new(month: i8, day: i8) -> Option<Self> {
        Date::new(COMMON_YEAR, month, day).ok()?;
        Some(Self { month, day })
    }

    /// Of a text as scenarios have it, "15 January", "Jan 15", "01-15"; or of a whole date, "2026-01-15", whose year counts for nothing.
    ///
    /// ```
    /// use overwinter::scenario::MonthDay;
    /// assert_eq!(MonthDay::parse("2026-01-15"), MonthDay::parse("15 January"));
    /// assert_eq!(MonthDay::parse("29 February"), None);
    /// ```
    #[must_use]
    pub fn parse(text: &str) -> Option<Self> {
        let (month, day) = match text.trim().parse::<Date>() {
            Ok(date) => (date.month(), date.day()),
            Err(_) => month_and_day(text)?,
        };
        Self::new(month, day)
    }

    /// The date of this day in a year; `None` outside the years -9999 to 9999.
    #[must_use]
    pub fn in_year(self, year: i16) -> Option<Date> {
        Date::new(year, self.month, self.day).ok()
    }

    /// Day of a year without leap day, 1 to 365.
    #[must_use]
    pub fn day_of_year(self) -> i32 {
        self.in_year(COMMON_YEAR)
            .map_or(0, |date| i32::from(date.day_of_year()))
    }

    /// Days from this day to the next `later`, 0 to 364, without a leap day.
    pub(super) fn days_until(self, later: Self) -> i32 {
        (later.day_of_year() - self.day_of_year()).rem_euclid(365)
    }

    /// The day so many days after this, in years without a leap day.
    pub(super) fn later(self, days: i32) -> Self {
        let date = self.in_year(COMMON_YEAR).unwrap_or(Date::ZERO);
        let date = date.saturating_add(jiff::Span::new().days(days));
        Self {
            month: date.month(),
            day: date.day(),
        }
    }
}

/// "1 October".
impl fmt::Display for MonthDay {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let month = usize::try_from(self.month - 1)
            .ok()
            .and_then(|index| MONTHS.get(index));
        write!(f, "{} {}", self.day, month.unwrap_or(&"?"))
    }
}

/// A winter: from midnight of its start to midnight of first forage.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Season {
    /// First day; bees and stores of the scenario are those of this day.
    pub start: MonthDay,
    /// Day on which nectar comes in again; the first that does not count.
    pub first_forage: MonthDay,
}

impl Season {
    /// Days of the winter in years without 29 February.
    #[must_use]
    pub fn days(&self) -> i32 {
        self.start.days_until(self.first_forage)
    }

    /// Whether a day is one of the winter's.
    #[must_use]
    pub fn holds(&self, day: MonthDay) -> bool {
        self.start.days_until(day) < self.days()
    }

    /// Every day of the winter in years without 29 February.
    pub(super) fn dates(&self) -> impl Iterator<Item = MonthDay> {
        let start = self.start.in_year(COMMON_YEAR).unwrap_or(Date::ZERO);
        (0..self.days()).map(move |days| {
            let date = start.saturating_add(jiff::Span::new().days(days));
            MonthDay {
                month: date.month(),
                day: date.day(),
            }
        })
    }
}

/// Keys of `[season]`.
pub(super) const KEYS: [&str; 2] = ["start", "first_forage"];

pub(super) fn season(field: &Field<'_>) -> Result<Season, ScenarioError> {
    let table = field.table(&KEYS, "[season]")?;
    let start = day(&table.require("start", "start = \"1 October\"")?)?;
    let first_forage = day(&table.require("first_forage", "first_forage = \"20 April\"")?)?;
    Season::new(start, first_forage).map_err(|why| table.error(Problem::Together(why)))
}

impl Season {
    /// What keeps these days from being those of a winter, if anything does.
    pub(super) fn problem(&self) -> Option<String> {
        let days = self.days();
        let why = if days == 0 {
            "is no time at all".to_owned()
        } else if self.start.days_until(MIDSUMMER) < days {
            format!("is {days} days through midsummer: start is after the end")
        } else if !LENGTH_D.contains(&days) {
            format!("is {days} days")
        } else {
            return None;
        };
        Some(format!(
            "from start = {} to first_forage = {} {why}; a winter starts in autumn or winter and ends at first forage in the \
             following spring, {} to {} days later, as '1 October' to '20 April'",
            self.start,
            self.first_forage,
            LENGTH_D.start(),
            LENGTH_D.end()
        ))
    }

    /// A season of these days.
    ///
    /// # Errors
    /// In words, what keeps them from being those of a winter.
    pub fn new(start: MonthDay, first_forage: MonthDay) -> Result<Self, String> {
        let season = Self {
            start,
            first_forage,
        };
        season.problem().map_or(Ok(season), Err)
    }
}

/// "1 October", "Oct 1", "10-01".
pub(super) fn day(field: &Field<'_>) -> Result<MonthDay, ScenarioError> {
    let refuse = |why: Option<String>| {
        field.error(Problem::Day {
            value: field.written(),
            why,
        })
    };
    if field.is_date() {
        return Err(refuse(Some(
            "a date of one year; leave the year out and set it in quotes".to_owned(),
        )));
    }
    let text = field.text("\"1 October\"")?;
    let (month, day) = month_and_day(text).ok_or_else(|| refuse(None))?;
    MonthDay::new(month, day).ok_or_else(|| {
        let why = match (month, day) {
            (2, 29) => "not every year has it; take 28 February or 1 March".to_owned(),
            _ => format!("month {month} has no day {day} or there is no such month"),
        };
        refuse(Some(why))
    })
}

fn month_and_day(text: &str) -> Option<(i8, i8)> {
    let words: Vec<_> = text
        .split(|c: char| c.is_whitespace() || matches!(c, '-' | '.' | ','))
        .filter(|word| !word.is_empty())
        .collect();
    let [first, second] = words[..] else {
        return None;
    };
    match (month(first), month(second)) {
        (Some(month), None) => Some((month, number(second)?)),
        (None, Some(month)) => Some((month, number(first)?)),
        // Digits alone are read only as month-day with a hyphen: "1.10" is a day first in one country, last in another.
        (None, None) if text.contains('-') => Some((number(first)?, number(second)?)),
        _ => None,
    }
}

/// 1 to 12 of a name or its first three letters or more.
fn month(word: &str) -> Option<i8> {
    let word = word.to_lowercase();
    let named = |name: &str| word.len() >= 3 && name.to_lowercase().starts_with(&word);
    let index = MONTHS.iter().position(|name| named(name))?;
    i8::try_from(index + 1).ok()
}

/// Digits, with "st", "nd", "rd" or "th" behind them or not.
fn number(word: &str) -> Option<i8> {
    let digits = word.trim_end_matches(|c: char| c.is_ascii_lowercase());
    let ending = &word[digits.len()..];
    if !matches!(ending, "" | "st" | "nd" | "rd" | "th") || digits.len() > 2 {
        return None;
    }
    digits.parse().ok().filter(|number| *number > 0)
}
