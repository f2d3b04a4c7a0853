//! Gaps in an hourly series: short ones bridged, longer ones filled from the days beside them.

use serde::Serialize;

use super::variable::Variable;

/// Longest gap bridged by a straight line, hours.
const BRIDGED_H: usize = 6;

/// Longest gap of radiation bridged by a straight line, hours: a line of six would cut a winter's day.
const BRIDGED_RADIATION_H: usize = 2;

/// Longest gap filled from the same hour of neighbouring days, hours.
const FILLED_H: usize = 72;

/// Days before and after that a value may be taken from.
const NEIGHBOUR_DAYS: usize = 4;

/// Longest gap over which a depth of snow is held, hours: depths are read once a day, or on days of change (own choice).
const HELD_SNOW_H: usize = 240;

/// Largest share of a winter that may be filled, or bridged without a warning (own choice).
pub(crate) const LARGEST_REPAIRED_SHARE: f64 = 0.1;

/// Hours on both sides of a winter that serve to repair it.
pub(crate) const MARGIN_H: usize = 24 * NEIGHBOUR_DAYS;

/// Hours of a winter that were not measured.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize)]
pub struct Repairs {
    /// On a straight line between the hours beside a gap of up to 6 h (radiation 2 h).
    pub interpolated: usize,
    /// From the same hour of the days before and after, in a gap of up to 72 h.
    pub filled: usize,
    /// Held at the nearest value at an end of the record, up to 6 h; depth of snow at the last one, up to 240 h.
    pub held: usize,
}

impl Repairs {
    /// All of them.
    pub fn total(&self) -> usize {
        self.interpolated + self.filled + self.held
    }
}

/// A gap that is too long, hours from the start of the series.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct LongGap {
    /// First missing hour.
    pub start: usize,
    /// Missing hours.
    pub hours: usize,
}

/// Repairs a series in place. Hours are counted only from `from` to before `to`; the rest are the margins,
/// whose gaps matter only as far as they reach in.
pub(crate) fn repair(
    series: &mut [f64],
    variable: Variable,
    from: usize,
    to: usize,
) -> Result<Repairs, LongGap> {
    let measured = series.to_vec();
    let bridged = if variable.is_radiation() {
        BRIDGED_RADIATION_H
    } else {
        BRIDGED_H
    };
    if variable == Variable::SnowDepth {
        return hold(series, from, to);
    }
    let mut repairs = Repairs::default();
    let mut start = 0;
    while start < series.len() {
        if !measured[start].is_nan() {
            start += 1;
            continue;
        }
        let end = (start..series.len())
            .find(|&hour| !measured[hour].is_nan())
            .unwrap_or(series.len());
        let inside = end.min(to).saturating_sub(start.max(from));
        if inside > 0 {
            let gap = LongGap {
                start,
                hours: end - start,
            };
            let before = start.checked_sub(1).map(|hour| measured[hour]);
            let after = measured.get(end).copied();
            match (before, after) {
                (Some(before), Some(after)) if gap.hours <= bridged => {
                    let steps = (gap.hours + 1) as f64;
                    for (step, value) in series[start..end].iter_mut().enumerate() {
                        *value = before + (step + 1) as f64 / steps * (after - before);
                    }
                    repairs.interpolated += inside;
                }
                (Some(_), Some(_)) if gap.hours <= FILLED_H => {
                    for (step, value) in series[start..end].iter_mut().enumerate() {
                        *value = neighbour_days(&measured, start + step).ok_or(gap)?;
                    }
                    repairs.filled += inside;
                }
                // At an end of the record, the margin beyond is empty too: only what lies inside counts.
                (Some(before), None) if inside <= BRIDGED_H => {
                    series[start..end].fill(before);
                    repairs.held += inside;
                }
                (None, Some(after)) if inside <= BRIDGED_H => {
                    series[start..end].fill(after);
                    repairs.held += inside;
                }
                _ => return Err(gap),
            }
        }
        start = end;
    }
    Ok(repairs)
}

/// Holds the last depth of snow, or the first where none comes before, over gaps that are not too long.
fn hold(series: &mut [f64], from: usize, to: usize) -> Result<Repairs, LongGap> {
    let mut repairs = Repairs::default();
    let mut last: Option<usize> = None;
    for hour in 0..to {
        if series[hour].is_finite() {
            last = Some(hour);
            continue;
        }
        let source = last.or_else(|| series.iter().position(|depth_m| depth_m.is_finite()));
        let near = source.filter(|source| hour.abs_diff(*source) <= HELD_SNOW_H);
        match near {
            Some(source) => series[hour] = series[source],
            None if hour < from => continue,
            None => {
                let start = last.map_or(0, |last| last + 1);
                let after = (hour..series.len()).find(|&hour| series[hour].is_finite());
                let hours = after.unwrap_or(series.len()) - start;
                return Err(LongGap { start, hours });
            }
        }
        repairs.held += usize::from(hour >= from);
    }
    Ok(repairs)
}

/// The value at the same hour of the nearest days before and after that have one, the nearer day weighing
/// more.
fn neighbour_days(measured: &[f64], hour: usize) -> Option<f64> {
    let value = |at: Option<usize>| {
        let value = *measured.get(at?)?;
        value.is_finite().then_some(value)
    };
    let nearest = |at: &dyn Fn(usize) -> Option<usize>| {
        (1..=NEIGHBOUR_DAYS).find_map(|days| Some((days as f64, value(at(days))?)))
    };
    let before = nearest(&|days| hour.checked_sub(24 * days));
    let after = nearest(&|days| hour.checked_add(24 * days));
    match (before, after) {
        (Some((back, earlier)), Some((ahead, later))) => {
            Some((ahead * earlier + back * later) / (back + ahead))
        }
        (Some((_, only)), None) | (None, Some((_, only))) => Some(only),
        (None, None) => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const NAN: f64 = f64::NAN;

    #[test]
    fn six_hours_are_bridged_by_a_straight_line() {
        let mut series = vec![0.0, NAN, NAN, NAN, NAN, NAN, NAN, 7.0];
        let repairs = repair(&mut series, Variable::Temperature, 0, 8).unwrap();
        assert_eq!(series, [0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0]);
        assert_eq!((repairs.interpolated, repairs.filled), (6, 0));
    }

    #[test]
    fn seven_hours_are_filled_from_the_days_beside_them() {
        let mut series: Vec<f64> = (0..72).map(|hour| f64::from(hour / 24)).collect();
        series[30..37].fill(NAN);
        let repairs = repair(&mut series, Variable::Temperature, 0, 72).unwrap();
        assert_eq!(repairs.filled, 7);
        // Day 0 is 0, day 2 is 2: both one day away.
        assert!(series[30..37].iter().all(|&value| value == 1.0));
    }

    #[test]
    fn radiation_is_filled_from_other_days_after_two_hours() {
        let mut series: Vec<f64> = (0..72)
            .map(|hour| if hour % 24 == 12 { 300.0 } else { 0.0 })
            .collect();
        series[35..38].fill(NAN);
        let repairs = repair(&mut series, Variable::Global, 0, 72).unwrap();
        assert_eq!((repairs.interpolated, repairs.filled), (0, 3));
        assert_eq!(series[35..38], [0.0, 300.0, 0.0]);
    }

    #[test]
    fn a_gap_of_four_days_is_too_long() {
        let mut series = vec![1.0; 24 * 10];
        series[100..196].fill(NAN);
        let gap = repair(&mut series, Variable::Temperature, 0, 240).unwrap_err();
        assert_eq!((gap.start, gap.hours), (100, 96));
    }

    #[test]
    fn a_gap_in_the_margin_costs_nothing() {
        let mut series = vec![1.0; 24 * 20];
        series[0..90].fill(NAN);
        let repairs = repair(&mut series, Variable::Temperature, 96, 400).unwrap();
        assert_eq!(repairs.total(), 0);
    }

    #[test]
    fn snow_is_held_until_the_next_reading_and_not_for_longer_than_ten_days() {
        let mut series = vec![NAN; 72];
        (series[10], series[40]) = (0.2, 0.3);
        let repairs = repair(&mut series, Variable::SnowDepth, 24, 72).unwrap();
        assert_eq!(repairs.held, 47);
        assert!(series[..40].iter().all(|&depth_m| depth_m == 0.2));
        assert!(series[40..].iter().all(|&depth_m| depth_m == 0.3));
        let mut series = vec![NAN; 400];
        series[10] = 0.2;
        let gap = repair(&mut series, Variable::SnowDepth, 24, 400).unwrap_err();
        assert_eq!((gap.start, gap.hours), (11, 389));
    }

    #[test]
    fn an_end_of_the_record_is_held_for_six_hours_and_no_longer() {
        let mut series = vec![1.0; 48];
        series[..6].fill(NAN);
        assert_eq!(
            repair(&mut series, Variable::Temperature, 0, 48).map(|r| r.held),
            Ok(6)
        );
        let mut series = vec![1.0; 48];
        series[41..].fill(NAN);
        assert!(repair(&mut series, Variable::Temperature, 0, 48).is_err());
    }
}
