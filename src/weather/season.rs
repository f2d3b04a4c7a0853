//! Winters cut out of a record by the days on which they begin and end.

use std::fmt;

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use super::error::WeatherError;
use super::gaps::{self, LARGEST_REPAIRED_SHARE, MARGIN_H, Repairs};
use super::hourly::TYPICAL_HOURS;
use super::record::Record;
use super::stamp::{self, HOUR};
use super::variable::Variable;
use super::winter::Winter;

/// Reasons listed in the error when no winter is complete.
const REASONS_SHOWN: usize = 8;

/// From the day on which a winter begins to the day of the first forage, month and day each.
///
/// An end that comes before the start in the calendar lies in the next year. 29 February means the last
/// day of February. Both begin at 00:00 local standard time.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Season {
    /// Month (1 to 12) and day of the start.
    pub start: (i8, i8),
    /// Month (1 to 12) and day of the first forage.
    pub end: (i8, i8),
}

impl fmt::Display for Season {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let [(m, d), (n, e)] = [self.start, self.end];
        write!(f, "{m:02}-{d:02} to {n:02}-{e:02}")
    }
}

/// A day of the calendar in a year.
fn day_in(year: i16, (month, day): (i8, i8)) -> Option<Date> {
    match (month, day) {
        (2, 29) => Date::new(year, 2, 1).ok().map(Date::last_of_month),
        _ => Date::new(year, month, day).ok(),
    }
}

impl Season {
    /// A season from two days written `MM-DD`.
    ///
    /// # Errors
    /// [`WeatherError::Day`] for a text that is no day, [`WeatherError::SeasonLength`] for twice the same.
    ///
    /// ```
    /// use overwinter::weather::Season;
    /// let season = Season::parse("10-01", "04-15")?;
    /// assert_eq!((season.start, season.end), ((10, 1), (4, 15)));
    /// assert!(Season::parse("10-32", "04-15").is_err());
    /// # Ok::<(), overwinter::weather::WeatherError>(())
    /// ```
    pub fn parse(start: &str, end: &str) -> Result<Season, WeatherError> {
        let day = |text: &str| {
            text.trim()
                .split_once('-')
                .and_then(|(month, day)| Some((month.parse().ok()?, day.parse().ok()?)))
                .ok_or_else(|| WeatherError::Day {
                    value: text.to_owned(),
                })
        };
        let season = Season {
            start: day(start)?,
            end: day(end)?,
        };
        season.check()?;
        Ok(season)
    }

    fn check(&self) -> Result<(), WeatherError> {
        for day in [self.start, self.end] {
            // A leap year, so that 29 February is a day.
            if day_in(2000, day).is_none() {
                return Err(WeatherError::Day {
                    value: format!("{:02}-{:02}", day.0, day.1),
                });
            }
        }
        if self.start == self.end {
            return Err(WeatherError::SeasonLength {
                day: format!("{:02}-{:02}", self.start.0, self.start.1),
            });
        }
        Ok(())
    }

    /// First and last hour of the winter that begins in a year.
    fn hours(&self, year: i16) -> Option<(i64, i64)> {
        let end_year = if self.end > self.start {
            year
        } else {
            year + 1
        };
        let hour = |date: Date| stamp::minutes(date.at(0, 0, 0, 0)) / HOUR;
        Some((
            hour(day_in(year, self.start)?),
            hour(day_in(end_year, self.end)?),
        ))
    }

    /// How a winter is called: `2010-11`, or `2010` when it lies within one year.
    fn label(&self, year: i16) -> String {
        if self.end > self.start {
            format!("{year}")
        } else {
            format!("{year}-{:02}", (year + 1).rem_euclid(100))
        }
    }
}

/// The winters of a record.
#[derive(Debug, Clone, PartialEq)]
pub struct Winters {
    /// The complete ones, in the order of their years.
    pub winters: Vec<Winter>,
    /// The others that the record touches, with the reason.
    pub refused: Vec<(String, String)>,
}

impl Record {
    /// The winters of the record: each begins and ends with the season.
    ///
    /// Gaps of up to 6 h are bridged and those of up to 72 h filled from the days beside them
    /// ([`Repairs`] counts both). A winter with a longer gap in the temperature, or with more than a tenth
    /// of its hours filled, is refused; one with more than a tenth bridged says so; with such a gap in another variable it goes without that variable and says so.
    /// A depth of snow is held for up to ten days instead.
    ///
    /// # Errors
    /// [`WeatherError::NoWinter`] when none is complete; [`WeatherError::Day`] or
    /// [`WeatherError::SeasonLength`] for an impossible season.
    pub fn winters(&self, season: Season) -> Result<Winters, WeatherError> {
        season.check()?;
        let mut winters = Winters {
            winters: Vec::new(),
            refused: Vec::new(),
        };
        let years = if self.typical {
            self.first().year()..=self.first().year()
        } else {
            self.first().year() - 1..=self.last().year()
        };
        for year in years {
            let Some((from, to)) = season.hours(year) else {
                continue;
            };
            let ends = self.first_hour + self.hours() as i64;
            if !self.typical && (to < self.first_hour || from >= ends) {
                continue;
            }
            let label = if self.typical {
                "typical".to_owned()
            } else {
                season.label(year)
            };
            match self.winter(label.clone(), from, to) {
                Ok(winter) => winters.winters.push(winter),
                Err(reason) => winters.refused.push((label, reason)),
            }
        }
        if winters.winters.is_empty() {
            let mut reasons: Vec<String> = winters
                .refused
                .iter()
                .take(REASONS_SHOWN)
                .map(|(label, reason)| format!("{label}: {reason}"))
                .collect();
            if reasons.is_empty() {
                reasons.push("it touches no such winter".to_owned());
            }
            return Err(WeatherError::NoWinter {
                season: season.to_string(),
                first: stamp::text(self.first_hour * HOUR),
                last: stamp::text((self.first_hour + self.hours() as i64 - 1) * HOUR),
                reasons: reasons.join("; "),
            });
        }
        Ok(winters)
    }

    /// One winter from its first to its last hour, or why not.
    fn winter(&self, label: String, from: i64, to: i64) -> Result<Winter, String> {
        let hours = (to - from + 1) as usize;
        let mut winter = Winter::new(label, stamp::civil_hour(from));
        for variable in Variable::ALL {
            let Some(series) = self.series(variable) else {
                continue;
            };
            let repaired = self.repaired(series, variable, from, hours);
            match (repaired, variable) {
                (Ok((values, repairs)), _) => {
                    if repairs.interpolated as f64 > LARGEST_REPAIRED_SHARE * hours as f64 {
                        winter.warnings.push(format!(
                            "{} is interpolated in {} of {hours} h: readings some hours apart",
                            variable.name(),
                            repairs.interpolated
                        ));
                    }
                    winter.set(variable, values, repairs);
                }
                (Err(reason), Variable::Temperature) => return Err(reason),
                (Err(reason), _) => winter
                    .warnings
                    .push(format!("without {}: {reason}", variable.name())),
            }
        }
        Ok(winter)
    }

    /// The hours of a variable in a winter, repaired, or why not.
    fn repaired(
        &self,
        series: &[f64],
        variable: Variable,
        from: i64,
        hours: usize,
    ) -> Result<(Vec<f64>, Repairs), String> {
        let start = from - self.first_hour - MARGIN_H as i64;
        let mut window: Vec<f64> = (0..(hours + 2 * MARGIN_H) as i64)
            .map(|hour| {
                let at = start + hour;
                let at = if self.typical {
                    at.rem_euclid(TYPICAL_HOURS)
                } else {
                    at
                };
                usize::try_from(at)
                    .ok()
                    .and_then(|at| series.get(at).copied())
                    .unwrap_or(f64::NAN)
            })
            .collect();
        let repairs =
            gaps::repair(&mut window, variable, MARGIN_H, MARGIN_H + hours).map_err(|gap| {
                let first = from + gap.start as i64 - MARGIN_H as i64;
                let last = first + gap.hours as i64 - 1;
                // The margin beyond the winter is not part of what is missing.
                let first = first.max(from);
                let last = last.min(from + hours as i64 - 1);
                format!(
                    "no {} from {} to {} ({} h)",
                    variable.name(),
                    stamp::text(first * HOUR),
                    stamp::text(last * HOUR),
                    last - first + 1
                )
            })?;
        let estimated = repairs.filled + repairs.held;
        // Depths of snow are read once a day.
        let often_read = variable != Variable::SnowDepth;
        if often_read && estimated as f64 > LARGEST_REPAIRED_SHARE * hours as f64 {
            return Err(format!(
                "{} is missing in longer gaps for {estimated} of {hours} h, more than a tenth",
                variable.name()
            ));
        }
        window.truncate(MARGIN_H + hours);
        window.drain(..MARGIN_H);
        Ok((window, repairs))
    }
}
