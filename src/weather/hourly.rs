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
        self.make_series(&rows);
        let repeats = repeats(&rows);
        let step = common_step(&rows);
        let mut used = vec![false; rows.len()];
        let mut last = [None; Variable::COUNT];
        for (index, row) in rows.iter().enumerate() {
            if repeats[index] {
                account.rows.duplicate += 1;
                continue;
            }
            for variable in Variable::ALL {
                let at = variable as usize;
                if row.values[at].is_nan() {
                    continue;
                }
                if variable.is_radiation() {
                    self.spread(at, row.minute, step, radiation, row.values[at]);
                    used[index] = true;
                    continue;
                }
                self.nearest(at, row);
                if let Some(before) = last[at].replace(index)
                    && self.between(at, &rows[before], row)
                {
                    account.of(variable).between_readings += 1;
                    used[before] = true;
                    used[index] = true;
                }
            }
        }
        for ((row, used), repeat) in rows.iter().zip(used).zip(repeats) {
            match row.report {
                _ if used || repeat || self.serves(row) => {}
                Report::Special => account.rows.special += 1,
                _ => account.rows.sub_hourly += 1,
            }
        }
        self.files += 1;
        Ok(())
    }

    /// Makes the series of the variables that rows have.
    fn make_series(&mut self, rows: &[Row]) {
        for variable in Variable::ALL {
            let at = variable as usize;
            if !self.series[at].is_empty() || rows.iter().all(|row| row.values[at].is_nan()) {
                continue;
            }
            self.series[at] = vec![f64::NAN; self.hours];
            if variable.is_radiation() {
                self.cover[at] = vec![0; self.hours];
            } else {
                self.rank[at] = vec![NO_READING; self.hours];
            }
        }
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

    /// Hour and rank of a reading that is near enough to one.
    fn cell(&self, row: &Row) -> Option<(usize, u32)> {
        let (hour, distance) = nearest_hour(row.minute);
        if distance.abs() > NEAR_HOUR_MIN {
            return None;
        }
        Some((self.index(hour)?, rank(self.files, row.report, distance)))
    }

    /// Takes a reading for its hour if there is no better one.
    fn nearest(&mut self, at: usize, row: &Row) {
        if let Some((cell, rank)) = self.cell(row)
            && rank < self.rank[at][cell]
        {
            self.rank[at][cell] = rank;
            self.series[at][cell] = row.values[at];
        }
    }

    /// Fills the hour between two readings if nothing is there; tells whether it did.
    fn between(&mut self, at: usize, before: &Row, after: &Row) -> bool {
        let minute = after.minute.div_euclid(HOUR) * HOUR;
        let span = after.minute - before.minute;
        if span > HOUR || minute <= before.minute || minute >= after.minute {
            return false;
        }
        let Some(cell) = self
            .index(minute / HOUR)
            .filter(|&cell| self.rank[at][cell] == NO_READING)
        else {
            return false;
        };
        let share = (minute - before.minute) as f64 / span as f64;
        self.series[at][cell] = before.values[at] + share * (after.values[at] - before.values[at]);
        self.rank[at][cell] = rank(self.files, Report::Special, NEAR_HOUR_MIN);
        true
    }

    /// Whether some hour has a value of this row.
    fn serves(&self, row: &Row) -> bool {
        self.cell(row).is_some_and(|(cell, rank)| {
            (0..Variable::COUNT)
                .any(|at| row.values[at].is_finite() && self.rank[at].get(cell) == Some(&rank))
        })
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

#[cfg(test)]
mod tests {
    use super::*;

    const TEMPERATURE: usize = Variable::Temperature as usize;
    const GLOBAL: usize = Variable::Global as usize;

    fn row(minute: i64, report: Report, temperature: f64, global: f64) -> Row {
        let mut values = [f64::NAN; Variable::COUNT];
        values[TEMPERATURE] = temperature;
        values[GLOBAL] = global;
        Row {
            minute,
            report,
            values,
        }
    }

    fn grid(rows: Vec<Row>, radiation: StampOf) -> (HourlyGrid, Account) {
        let mut grid = HourlyGrid::default();
        let mut account = Account::default();
        grid.add("w.csv", rows, 0, radiation, &mut account).unwrap();
        (grid, account)
    }

    #[test]
    fn the_routine_report_is_preferred_to_a_nearer_special_one() {
        let rows = vec![
            row(54, Report::Routine, 1.0, f64::NAN),
            row(58, Report::Special, 2.0, f64::NAN),
            row(60, Report::Synoptic, 3.0, f64::NAN),
            row(115, Report::Special, 4.0, f64::NAN),
        ];
        let (grid, account) = grid(rows, StampOf::Instant);
        let (first, series) = grid.finish();
        assert_eq!(first, 1);
        assert_eq!(series[TEMPERATURE], Some(vec![1.0, 4.0]));
        assert_eq!((account.rows.special, account.rows.sub_hourly), (1, 1));
    }

    #[test]
    fn the_sum_of_radiation_is_kept_whatever_its_stamp_means() {
        for (radiation, step) in [
            (StampOf::End, 60),
            (StampOf::Start, 60),
            (StampOf::Instant, 30),
            (StampOf::End, 10),
        ] {
            let count = 48 * 60 / step;
            let value = |index: i64| {
                // Dark at both ends, so that all of it lies within whole hours.
                let day = (count / 8..7 * count / 8).contains(&index);
                if day { (index * 37 % 101) as f64 } else { 0.0 }
            };
            let rows = (0..count)
                .map(|index| row(step * index, Report::Routine, 0.0, value(index)))
                .collect();
            let sum: f64 = (0..count).map(value).sum::<f64>() * step as f64 / 60.0;
            let (_, series) = grid(rows, radiation).0.finish();
            // The last hour may be too little covered to have a mean.
            let found: f64 = series[GLOBAL]
                .iter()
                .flatten()
                .filter(|value| value.is_finite())
                .sum();
            assert!(
                (found - sum).abs() < 1e-9,
                "{radiation:?} {step}: {found} {sum}"
            );
        }
    }

    #[test]
    fn an_earlier_file_keeps_its_hours_and_a_later_one_may_come_before_it() {
        let (mut grid, mut account) = grid(
            vec![row(600, Report::Routine, 1.0, f64::NAN)],
            StampOf::Instant,
        );
        let rows = vec![
            row(480, Report::Routine, 2.0, f64::NAN),
            row(600, Report::Routine, 3.0, f64::NAN),
        ];
        grid.add("v.csv", rows, 0, StampOf::Instant, &mut account)
            .unwrap();
        let (first, series) = grid.finish();
        let values = series[TEMPERATURE].as_ref().unwrap();
        assert_eq!((first, values[0], values[2]), (8, 2.0, 1.0));
        assert!(values[1].is_nan());
    }
}
