//! Weights of days between which only the colony moved the scale, and the cuts where something else did.

use super::scale::Reading;
use crate::ensemble::statistics::{quantile, sorted};
use jiff::civil::Date;
use serde::Serialize;

/// Most that a wintering colony and its hive lose in a day, kg: three times the honey of a hard day (own estimate), so that a warm day of
/// drying wood and many flights stays in.
const MOST_LOSS_KG_DAY: f64 = 0.3;
/// Most that a hive gains in a day without rain, snow or nectar, kg: wood that takes up water in damp air (own estimate).
const MOST_GAIN_KG_DAY: f64 = 0.15;
/// Days after a gain that are left out while rain dries off and snow melts (own estimate).
const DRYING_DAYS: i32 = 3;
/// Robust standard deviations of a day's change by which the limits are widened, so that a coarse scale is not cut to pieces (own choice).
const NOISE_SD: f64 = 4.0;
/// Steps of a scale's display by which the limits are at least widened (own choice: a change may be rounded by one, and half a one is for the
/// change itself).
const STEPS: f64 = 1.5;
/// Weights closer than this are the same, kg.
const SAME_KG: f64 = 1e-6;
/// From the median of absolute deviations to the standard deviation of a normal distribution.
const MAD_TO_SD: f64 = 1.4826;

/// A change of weight that is not the colony's, or not surely.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Cut {
    /// Day of the reading before.
    pub from: Date,
    /// Day of the reading after.
    pub until: Date,
    /// Change of weight between them, kg; above 0 a gain.
    pub change_kg: f64,
    /// "gain", "loss", "drying" or "fed".
    pub why: &'static str,
}

/// Readings in a row, all changes between which are the colony's.
pub type Span = Vec<Reading>;

/// A winter of weights in spans.
#[derive(Clone, Debug, PartialEq)]
pub struct Spans {
    /// In the order of days; a span of one reading says nothing.
    pub spans: Vec<Span>,
    /// Between them.
    pub cuts: Vec<Cut>,
}

impl Spans {
    /// Cuts readings in the order of days where the change is beyond what a colony does, where it was fed, and while what rain and snow
    /// brought is drying off.
    #[must_use]
    pub fn new(readings: &[Reading], fed: &[Date]) -> Self {
        let noise_kg = (NOISE_SD * noise_kg(readings)).max(STEPS * step_kg(readings));
        let mut spans: Vec<Span> = Vec::new();
        let mut cuts = Vec::new();
        let mut dry_from: Option<Date> = None;
        let mut before: Option<Reading> = None;
        for now in readings.iter().copied() {
            let cut = before.and_then(|before| {
                let days = f64::from(days(before.date, now.date));
                let change_kg = now.kg - before.kg;
                let between = |date: &Date| (before.date..=now.date).contains(date);
                let why = if fed.iter().any(between) {
                    "fed"
                } else if change_kg > MOST_GAIN_KG_DAY * days + noise_kg {
                    "gain"
                } else if dry_from.is_some_and(|dry| before.date < dry) {
                    "drying"
                } else if -change_kg > MOST_LOSS_KG_DAY * days + noise_kg {
                    "loss"
                } else {
                    return None;
                };
                Some(Cut {
                    from: before.date,
                    until: now.date,
                    change_kg,
                    why,
                })
            });
            if cut.is_some_and(|cut| cut.why == "gain") {
                let drying = jiff::Span::new().days(DRYING_DAYS);
                dry_from = Some(now.date.saturating_add(drying));
            }
            match (cut, spans.last_mut()) {
                (None, Some(span)) => span.push(now),
                _ => spans.push(vec![now]),
            }
            cuts.extend(cut);
            before = Some(now);
        }
        Self { spans, cuts }
    }

    /// Changes of weight that are kept.
    #[must_use]
    pub fn kept(&self) -> usize {
        self.spans.iter().map(|span| span.len() - 1).sum()
    }

    /// Days that they cover.
    #[must_use]
    pub fn days(&self) -> i32 {
        let spans = self
            .spans
            .iter()
            .filter_map(|span| Some((span.first()?, span.last()?)));
        spans.map(|(first, last)| days(first.date, last.date)).sum()
    }
}

/// Standard deviation of a day's change about its median, from the median of its absolute deviations, kg.
pub(super) fn noise_kg(readings: &[Reading]) -> f64 {
    let changes: Vec<f64> = readings
        .windows(2)
        .map(|two| (two[1].kg - two[0].kg) / f64::from(days(two[0].date, two[1].date).max(1)))
        .collect();
    if changes.is_empty() {
        return 0.0;
    }
    let median = quantile(&sorted(changes.clone()), 0.5);
    let off = sorted(
        changes
            .iter()
            .map(|change| (change - median).abs())
            .collect(),
    );
    MAD_TO_SD * quantile(&off, 0.5)
}

/// Step of the scale's display: the least difference between two of its weights, kg.
fn step_kg(readings: &[Reading]) -> f64 {
    let weights_kg = sorted(readings.iter().map(|reading| reading.kg).collect());
    let steps = weights_kg.windows(2).map(|two| two[1] - two[0]);
    let least = steps
        .filter(|step| *step > SAME_KG)
        .fold(f64::INFINITY, f64::min);
    if least.is_finite() { least } else { 0.0 }
}

pub(super) fn days(from: Date, until: Date) -> i32 {
    (until - from).get_days()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Days from 1 December that lose 50 g a day but for the changes named, kg.
    fn readings(days: i64, changes: &[(i64, f64)]) -> Vec<Reading> {
        let date = |day| jiff::civil::date(2024, 12, 1).saturating_add(jiff::Span::new().days(day));
        let jumped = |day: i64| {
            changes
                .iter()
                .filter(|(at, _)| *at <= day)
                .map(|(_, kg)| kg)
                .sum::<f64>()
        };
        (0..days)
            .map(|day| Reading {
                date: date(day),
                kg: 40.0 - 0.05 * day as f64 + jumped(day),
            })
            .collect()
    }

    #[test]
    fn a_colony_by_itself_is_one_span() {
        let spans = Spans::new(&readings(60, &[]), &[]);
        assert_eq!(
            (spans.spans.len(), spans.cuts.len(), spans.kept()),
            (1, 0, 59)
        );
        assert_eq!(spans.days(), 59);
    }

    #[test]
    fn rain_cuts_the_days_in_which_it_dries_and_an_inspection_only_its_own() {
        let spans = Spans::new(&readings(60, &[(10, 0.9), (30, -2.0)]), &[]);
        let why: Vec<&str> = spans.cuts.iter().map(|cut| cut.why).collect();
        assert_eq!(why, ["gain", "drying", "drying", "drying", "loss"]);
        assert_eq!(spans.kept(), 59 - 5);
    }

    #[test]
    fn a_day_of_feeding_is_cut_though_the_scale_shows_little() {
        let fed = [jiff::civil::date(2024, 12, 20)];
        let spans = Spans::new(&readings(60, &[(20, 0.1)]), &fed);
        assert!(spans.cuts.iter().all(|cut| cut.why == "fed") && !spans.cuts.is_empty());
    }

    #[test]
    fn a_coarse_scale_is_not_cut_to_pieces() {
        let mut coarse = readings(60, &[]);
        for reading in &mut coarse {
            reading.kg = (2.0 * reading.kg).round() / 2.0;
        }
        assert_eq!(Spans::new(&coarse, &[]).cuts, []);
        let mut noisy = readings(60, &[]);
        for (number, reading) in noisy.iter_mut().enumerate() {
            reading.kg += 0.1 * ((7 * number) % 5) as f64;
        }
        assert_eq!(Spans::new(&noisy, &[]).cuts, []);
    }
}
