//! Rows of any spacing put on the hours of local standard time.
//!
//! Readings at an instant (temperature, dew point, wind, cloud, pressure) go to the nearest hour when
//! they are within 15 minutes of it; the routine report is preferred to the synoptic one and both to a
//! special one, then the nearest. An hour without such a reading, between two readings no more than an
//! hour apart, gets the straight line between them (records stamped on the half hour).
//!
//! Means of radiation become the mean of the hour centred on each hour: each mean is spread evenly over
//! its own span and collected from `hh-1:30` to `hh:30`, so the sum is kept. A mean of the hour ending at
//! `hh` goes half to `hh-1` and half to `hh`. This smooths sunrise and sunset by half an hour each way.

use super::account::Account;
use super::error::WeatherError;
use super::rows::{Report, Row, StampOf};
use super::stamp::{self, HOUR};
use super::variable::Variable;

/// Minutes from the hour within which a reading is the hour's.
const NEAR_HOUR_MIN: i64 = 15;

/// Minutes of an hour that must be covered by radiation for a mean.
const LEAST_COVER_MIN: u8 = 30;

/// Longest span of a record, hours (300 years).
const LONGEST_SPAN_H: i64 = 300 * 8_766;

/// Hours of a record for each of its rows, beyond two years: a bound on memory.
const HOURS_FOR_A_ROW: i64 = 64;

/// Hours of a typical year.
pub(crate) const TYPICAL_HOURS: i64 = 8_760;

/// No reading yet for an hour.
const NO_READING: u32 = u32::MAX;

/// The hourly grid as it grows, file by file.
#[derive(Debug, Default)]
pub(crate) struct HourlyGrid {
    /// First hour, hours since 1970-01-01T00:00 local standard time.
    first_hour: i64,
    hours: usize,
    rows: usize,
    files: u32,
    /// First hour of the typical year that hours are folded into.
    typical_from: Option<i64>,
    series: [Vec<f64>; Variable::COUNT],
    /// How good the reading of each hour is, smaller is better; by variable at an instant.
    rank: [Vec<u32>; Variable::COUNT],
    /// Minutes of each hour covered; by variable of radiation.
    cover: [Vec<u8>; Variable::COUNT],
}

/// The rank of a reading: files in their order, then the kind of report, then the distance.
fn rank(file: u32, report: Report, distance: i64) -> u32 {
    let side = u32::from(distance > 0);
    (file << 8) | ((report as u32) << 5) | ((distance.unsigned_abs() as u32) << 1 | side)
}

impl HourlyGrid {
    /// A grid of one typical year whose first hour is given.
    pub(crate) fn typical(first_hour: i64) -> Self {
        Self {
            first_hour,
            hours: TYPICAL_HOURS as usize,
            typical_from: Some(first_hour),
            ..Self::default()
        }
    }

    /// Adds the rows of a file after moving their stamps.
    pub(crate) fn add(
        &mut self,
        file: &str,
        mut rows: Vec<Row>,
        shift_minutes: i64,
        radiation: StampOf,
        account: &mut Account,
    ) -> Result<(), WeatherError> {
        for row in &mut rows {
            row.minute += shift_minutes;
        }
        if account.rows.out_of_order > 0 {
            rows.sort_by_key(|row| row.minute);
        }
        let (Some(first), Some(last)) = (rows.first(), rows.last()) else {
            return Ok(());
        };
        self.rows += rows.len();
        self.extend(file, first.minute, last.minute)?;
        let repeats = repeats(&rows);
        account.rows.duplicate += repeats.iter().filter(|&&repeat| repeat).count() as u64;
        let mut used = vec![false; rows.len()];
        let step = common_step(&rows);
        for variable in Variable::ALL {
            let at = variable as usize;
            if !rows.iter().any(|row| row.values[at].is_finite()) {
                continue;
            }
            if self.series[at].is_empty() {
                self.series[at] = vec![f64::NAN; self.hours];
                if variable.is_radiation() {
                    self.cover[at] = vec![0; self.hours];
                } else {
                    self.rank[at] = vec![NO_READING; self.hours];
                }
            }
            let readings = rows
                .iter()
                .enumerate()
                .filter(|(index, row)| !repeats[*index] && row.values[at].is_finite())
                .map(|(index, row)| (index, row.minute, row.values[at]));
            if variable.is_radiation() {
                for (index, minute, value) in readings {
                    used[index] = true;
                    self.spread(at, minute, step, radiation, value);
                }
            } else {
                let readings: Vec<_> = readings.collect();
                self.nearest(at, &readings, &rows);
                let between = self.between(at, &readings, &mut used);
                account.of(variable).between_readings += between;
                self.mark_used(at, &readings, &rows, &mut used);
            }
        }
        for ((row, used), repeat) in rows.iter().zip(used).zip(repeats) {
            match (used || repeat, row.report) {
                (true, _) => {}
                (false, Report::Special) => account.rows.special += 1,
                (false, _) => account.rows.sub_hourly += 1,
            }
        }
        self.files += 1;
        Ok(())
    }

    /// Makes room for a span.
    fn extend(&mut self, file: &str, first: i64, last: i64) -> Result<(), WeatherError> {
        if self.typical_from.is_some() {
            return Ok(());
        }
        let first_hour = first.div_euclid(HOUR);
        let end_hour = last.div_euclid(HOUR) + 2;
        let (from, to) = if self.hours == 0 {
            (first_hour, end_hour)
        } else {
            (
                first_hour.min(self.first_hour),
                end_hour.max(self.first_hour + self.hours as i64),
            )
        };
        let bound =
            (2 * 8_784 + HOURS_FOR_A_ROW.saturating_mul(self.rows as i64)).min(LONGEST_SPAN_H);
        if to - from > bound {
            return Err(WeatherError::Sparse {
                file: file.to_owned(),
                first: stamp::text(from * HOUR),
                last: stamp::text(to * HOUR),
                rows: self.rows,
            });
        }
        let front = if self.hours == 0 {
            0
        } else {
            (self.first_hour - from) as usize
        };
        let hours = (to - from) as usize;
        for at in 0..Variable::COUNT {
            grow(&mut self.series[at], front, hours, f64::NAN);
            grow(&mut self.rank[at], front, hours, NO_READING);
            grow(&mut self.cover[at], front, hours, 0);
        }
        self.first_hour = from;
        self.hours = hours;
        Ok(())
    }

    fn index(&self, hour: i64) -> Option<usize> {
        let from_first = hour - self.first_hour;
        let from_first = match self.typical_from {
            Some(_) => from_first.rem_euclid(TYPICAL_HOURS),
            None => from_first,
        };
        usize::try_from(from_first)
            .ok()
            .filter(|&index| index < self.hours)
    }

    fn nearest(&mut self, at: usize, readings: &[(usize, i64, f64)], rows: &[Row]) {
        for &(index, minute, value) in readings {
            let (hour, distance) = nearest_hour(minute);
            if distance.abs() > NEAR_HOUR_MIN {
                continue;
            }
            let rank = rank(self.files, rows[index].report, distance);
            if let Some(cell) = self.index(hour)
                && rank < self.rank[at][cell]
            {
                self.rank[at][cell] = rank;
                self.series[at][cell] = value;
            }
        }
    }

    /// Fills hours between two readings; gives how many.
    fn between(&mut self, at: usize, readings: &[(usize, i64, f64)], used: &mut [bool]) -> u64 {
        let mut count = 0;
        for pair in readings.windows(2) {
            let [(left, from, before), (right, to, after)] = [pair[0], pair[1]];
            if to - from > HOUR {
                continue;
            }
            let hour = to.div_euclid(HOUR);
            let minute = hour * HOUR;
            if minute <= from || minute >= to {
                continue;
            }
            if let Some(cell) = self.index(hour)
                && self.rank[at][cell] == NO_READING
            {
                let share = (minute - from) as f64 / (to - from) as f64;
                self.series[at][cell] = before + share * (after - before);
                self.rank[at][cell] = rank(self.files, Report::Special, NEAR_HOUR_MIN);
                used[left] = true;
                used[right] = true;
                count += 1;
            }
        }
        count
    }

    fn mark_used(
        &self,
        at: usize,
        readings: &[(usize, i64, f64)],
        rows: &[Row],
        used: &mut [bool],
    ) {
        for &(index, minute, _) in readings {
            let (hour, distance) = nearest_hour(minute);
            if distance.abs() <= NEAR_HOUR_MIN
                && let Some(cell) = self.index(hour)
                && self.rank[at][cell] == rank(self.files, rows[index].report, distance)
            {
                used[index] = true;
            }
        }
    }

    /// Adds the mean of a span to the hours that it touches; the series holds sums until the end.
    fn spread(&mut self, at: usize, minute: i64, step: i64, radiation: StampOf, mean: f64) {
        let from = match radiation {
            StampOf::End => minute - step,
            StampOf::Start => minute,
            StampOf::Instant => minute - step / 2,
        };
        let to = from + step;
        let half = HOUR / 2;
        let mut hour = (from + half).div_euclid(HOUR);
        while hour * HOUR - half < to {
            let overlap = (to.min(hour * HOUR + half) - from.max(hour * HOUR - half)) as u8;
            if let Some(cell) = self.index(hour)
                && self.cover[at][cell] + overlap <= HOUR as u8
            {
                let sum = &mut self.series[at][cell];
                *sum = if sum.is_nan() { 0.0 } else { *sum } + mean * f64::from(overlap);
                self.cover[at][cell] += overlap;
            }
            hour += 1;
        }
    }

    /// The first hour and the series by variable, radiation as means; without leading and trailing hours
    /// that have no value at all.
    pub(crate) fn finish(mut self) -> (i64, [Option<Vec<f64>>; Variable::COUNT]) {
        for at in 0..Variable::COUNT {
            for (sum, &minutes) in self.series[at].iter_mut().zip(&self.cover[at]) {
                *sum = if minutes < LEAST_COVER_MIN {
                    f64::NAN
                } else {
                    *sum / f64::from(minutes)
                };
            }
        }
        let temperature = &self.series[Variable::Temperature as usize];
        let any = |value: &f64| value.is_finite();
        let (from, to) = if self.typical_from.is_some() {
            (0, self.hours)
        } else {
            (
                temperature.iter().position(any).unwrap_or(0),
                temperature.iter().rposition(any).map_or(0, |last| last + 1),
            )
        };
        let series = self.series.map(|series| {
            let kept = series.get(from..to)?;
            kept.iter().any(any).then(|| kept.to_vec())
        });
        (self.first_hour + from as i64, series)
    }
}

/// Moves a series to a longer span.
fn grow<T: Copy>(series: &mut Vec<T>, front: usize, hours: usize, empty: T) {
    if !series.is_empty() {
        if front > 0 {
            series.splice(0..0, std::iter::repeat_n(empty, front));
        }
        series.resize(hours, empty);
    }
}

/// The nearest hour to a minute, the later one of two, and how many minutes the stamp lies behind it.
fn nearest_hour(minute: i64) -> (i64, i64) {
    let hour = (minute + HOUR / 2).div_euclid(HOUR);
    (hour, minute - hour * HOUR)
}

/// Which rows repeat stamp and kind of an earlier one. Rows are sorted by stamp.
fn repeats(rows: &[Row]) -> Vec<bool> {
    let mut seen = [false; 3];
    let mut last = None;
    rows.iter()
        .map(|row| {
            if last != Some(row.minute) {
                seen = [false; 3];
                last = Some(row.minute);
            }
            std::mem::replace(&mut seen[row.report as usize], true)
        })
        .collect()
}

/// The most frequent step between stamps, 1 to 60 minutes.
fn common_step(rows: &[Row]) -> i64 {
    let mut counts = [0_u32; HOUR as usize + 1];
    for pair in rows.windows(2) {
        let step = (pair[1].minute - pair[0].minute).clamp(0, HOUR);
        counts[step as usize] += 1;
    }
    (1..=HOUR)
        .rev()
        .max_by_key(|&step| counts[step as usize])
        .filter(|&step| counts[step as usize] > 0)
        .unwrap_or(HOUR)
}
