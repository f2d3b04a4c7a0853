//! How likely weights are under a simulated winter.
//!
//! The scale's offset is unknown in each span, wanders by small steps from day to day (damp on the outside, a bee or two, what the model
//! does not know), and each reading is off by itself: a local level model (Durbin & Koopman 2012, Time Series Analysis by State Space Methods, 2nd
//! ed., chapter 2, from memory). Now and then it jumps by a few hundred grams, as when frost on the walls thaws and runs out a day earlier or later
//! than in the model: a step is one of two kinds, and what is known after it is taken as normal again (Harrison & Stevens 1976, J R Stat
//! Soc B 38:205, from memory). How far it wanders and how far a reading is off is not known either and is averaged over a grid, even in the logarithm.

use super::spans::{Spans, days};
use std::f64::consts::TAU;

/// Standard deviations of a reading, kg: from a laboratory's scale to a luggage scale (own choice).
const READING_KG: [f64; 7] = [0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5];
/// Standard deviations of a day's wander, kg (own choice).
const WANDER_KG: [f64; 6] = [0.001, 0.003, 0.01, 0.03, 0.06, 0.12];

/// Share of days with such a jump (own estimate: some a winter).
const JUMPS: f64 = 0.02;
/// Its standard deviation, kg (own estimate: the frost of a cold spell).
const JUMP_KG: f64 = 0.4;

/// Weights made ready for many simulated winters.
#[derive(Clone, Debug)]
pub struct Noise {
    /// Of each span: day of the winter, days since the reading before, weight.
    spans: Vec<Vec<(usize, f64, f64)>>,
}

impl Noise {
    /// Of spans in a winter that starts on a date. Readings before it are none of the winter's.
    #[must_use]
    pub fn new(spans: &Spans, start: jiff::civil::Date) -> Self {
        let of = |span: &super::Span| {
            let mut before = None;
            span.iter()
                .filter_map(|reading| {
                    let day = usize::try_from(days(start, reading.date)).ok()?;
                    let gap = before.map_or(0, |before| days(before, reading.date));
                    before = Some(reading.date);
                    Some((day, f64::from(gap), reading.kg))
                })
                .collect()
        };
        Self {
            spans: spans.spans.iter().map(of).collect(),
        }
    }

    /// Logarithm of the likelihood of all weights, given what the hive weighs at each midnight from the start, kg, but for a constant. Readings count
    /// as of noon.
    #[must_use]
    pub fn log_likelihood(&self, midnights_kg: &[f64]) -> f64 {
        let logs: Vec<f64> = READING_KG
            .iter()
            .flat_map(|reading_kg| WANDER_KG.map(|wander_kg| (*reading_kg, wander_kg)))
            .map(|(reading_kg, wander_kg)| {
                let spans = self.spans.iter();
                spans
                    .map(|span| of_span(span, midnights_kg, reading_kg, wander_kg))
                    .sum::<f64>()
            })
            .collect();
        log_sum(&logs) - libm::log(logs.len() as f64)
    }
}

/// The Kalman filter of a span; its first reading sets the level.
fn of_span(
    span: &[(usize, f64, f64)],
    midnights_kg: &[f64],
    reading_kg: f64,
    wander_kg: f64,
) -> f64 {
    let mut log = 0.0;
    // Level and its variance.
    let mut level: Option<(f64, f64)> = None;
    let reading_var = reading_kg * reading_kg;
    for (day, gap_days, kg) in span {
        let (Some(before), Some(after)) = (midnights_kg.get(*day), midnights_kg.get(day + 1))
        else {
            continue;
        };
        let off = kg - 0.5 * (before + after);
        level = Some(match level {
            None => (off, reading_var),
            Some((mean, var)) => {
                let var = var + wander_kg * wander_kg * gap_days;
                let surprise = off - mean;
                let after =
                    [(1.0 - JUMPS, var), (JUMPS, var + JUMP_KG * JUMP_KG)].map(|(share, var)| {
                        let total = var + reading_var;
                        let log = libm::log(share)
                            - 0.5 * (libm::log(TAU * total) + surprise * surprise / total);
                        let gain = var / total;
                        (log, gain * surprise, var * (1.0 - gain))
                    });
                let all = log_sum(&after.map(|(log, _, _)| log));
                log += all;
                let kinds = after.map(|(log, moved, var)| (libm::exp(log - all), moved, var));
                let moved: f64 = kinds.iter().map(|(share, moved, _)| share * moved).sum();
                let spread = |kind: &(f64, f64, f64)| {
                    kind.0 * (kind.2 + (kind.1 - moved) * (kind.1 - moved))
                };
                (mean + moved, kinds.iter().map(spread).sum())
            }
        });
    }
    log
}

/// Logarithm of a sum of exponentials.
pub(super) fn log_sum(logs: &[f64]) -> f64 {
    let most = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if most == f64::NEG_INFINITY {
        return most;
    }
    most + libm::log(logs.iter().map(|log| libm::exp(log - most)).sum())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fit::Reading;
    use jiff::civil::date;

    const DAYS: usize = 40;

    /// Weights at noon of a hive that loses so much a day, kg.
    fn noise(loss_kg_day: f64, jump_kg: f64) -> Noise {
        let readings = (0..DAYS).map(|day| Reading {
            date: date(2024, 12, 1).saturating_add(jiff::Span::new().days(day as i64)),
            kg: 40.0 - loss_kg_day * (day as f64 + 0.5)
                + 0.01 * ((7 * day) % 5) as f64
                + if day >= 20 { jump_kg } else { 0.0 },
        });
        let spans = Spans {
            spans: vec![readings.collect()],
            cuts: Vec::new(),
        };
        Noise::new(&spans, date(2024, 12, 1))
    }

    fn midnights_kg(loss_kg_day: f64) -> Vec<f64> {
        (0..=DAYS).map(|day| -loss_kg_day * day as f64).collect()
    }

    #[test]
    fn the_loss_that_was_is_the_likeliest_and_an_offset_counts_for_nothing() {
        for jump_kg in [0.0, -0.4] {
            let noise = noise(0.06, jump_kg);
            let log = |loss_kg_day| noise.log_likelihood(&midnights_kg(loss_kg_day));
            assert!(log(0.06) > log(0.05) && log(0.06) > log(0.07), "{jump_kg}");
            assert!(
                log(0.06) > log(0.04) + 3.0 && log(0.06) > log(0.08) + 3.0,
                "{jump_kg}"
            );
            let heavier: Vec<f64> = midnights_kg(0.06).iter().map(|kg| kg + 7.0).collect();
            assert!((noise.log_likelihood(&heavier) - log(0.06)).abs() < 1e-6);
        }
    }

    #[test]
    fn a_jump_costs_little_and_the_same_however_far_it_goes() {
        let model = midnights_kg(0.06);
        let smooth = noise(0.06, 0.0).log_likelihood(&model);
        let costs =
            [-0.3, -0.6].map(|jump_kg| smooth - noise(0.06, jump_kg).log_likelihood(&model));
        assert!(
            costs.iter().all(|cost| (2.0..12.0).contains(cost)),
            "{costs:?}"
        );
    }
}
