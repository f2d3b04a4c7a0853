//! How likely weights are under a simulated winter.
//!
//! The scale's offset is unknown in each span, wanders by small steps from day to day (damp on the outside, a bee or two, what the model
//! does not know), and each reading is off by itself: a local level model (Durbin & Koopman 2012, Time Series Analysis by State Space Methods, 2nd
//! ed., chapter 2, from memory). Now and then it jumps by a few hundred grams, as when frost on the walls thaws and runs out a day earlier or later
//! than in the model: a step is one of two kinds, and what is known after it is taken as normal again (Harrison & Stevens 1976, J R Stat
//! Soc B 38:205, from memory). How far it wanders and how far a reading is off is not known either and is averaged over a grid, even in the logarithm.

use super::importance_sampling::{Measured, log_sum};
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

    /// The logarithm of the likelihood with each reading's and wander's deviation of the grid.
    fn by_deviations(&self, midnights_kg: &[f64]) -> Vec<((f64, f64), f64)> {
        let grid = READING_KG
            .iter()
            .flat_map(|reading_kg| WANDER_KG.map(|wander_kg| (*reading_kg, wander_kg)));
        let log = |deviations| {
            let spans = self.spans.iter();
            spans
                .map(|span| of_span(span, midnights_kg, deviations, &mut |_, _| {}))
                .sum::<f64>()
        };
        grid.map(|deviations| (deviations, log(deviations)))
            .collect()
    }
}

impl Measured for Noise {
    /// Of what the hive weighs at each midnight from the start, kg. Readings count as of noon.
    fn log_likelihood(&self, midnights_kg: &[f64]) -> f64 {
        let logs = self.by_deviations(midnights_kg);
        let logs: Vec<f64> = logs.into_iter().map(|(_, log)| log).collect();
        log_sum(&logs) - libm::log(logs.len() as f64)
    }

    /// Surprises of the filter, with the deviations likeliest for the hive near which it is made straight, and with its jumps.
    fn deviations(&self, near_kg: &[f64], hives_kg: &[Vec<f64>]) -> Vec<Vec<f64>> {
        let grid = self.by_deviations(near_kg);
        let best = grid.into_iter().max_by(|a, b| a.1.total_cmp(&b.1));
        let Some((deviations, _)) = best else {
            return vec![Vec::new(); hives_kg.len()];
        };
        let held = |span| {
            let mut held = Vec::new();
            of_span(span, near_kg, deviations, &mut |gain, weight| {
                held.push((gain, weight));
            });
            held
        };
        let held: Vec<Vec<(f64, f64)>> = self.spans.iter().map(|span| held(span)).collect();
        let of = |hive_kg: &Vec<f64>| {
            let spans = self.spans.iter().zip(&held);
            spans
                .flat_map(|(span, held)| surprises(span, hive_kg, held))
                .collect()
        };
        hives_kg.iter().map(of).collect()
    }
}

/// What the scale shows above the hive, which a level has to make up for.
fn offsets<'a>(
    span: &'a [(usize, f64, f64)],
    midnights_kg: &'a [f64],
) -> impl Iterator<Item = (f64, f64)> + 'a {
    span.iter().filter_map(|(day, gap_days, kg)| {
        let (before, after) = (midnights_kg.get(*day)?, midnights_kg.get(day + 1)?);
        Some((kg - 0.5 * (before + after), *gap_days))
    })
}

/// The Kalman filter of a span; its first reading sets the level. `step` is told of each later one how far the level follows a surprise, and the inverse of
/// the surprise's variance.
fn of_span(
    span: &[(usize, f64, f64)],
    midnights_kg: &[f64],
    (reading_kg, wander_kg): (f64, f64),
    step: &mut impl FnMut(f64, f64),
) -> f64 {
    let mut log = 0.0;
    // Level and its variance.
    let mut level: Option<(f64, f64)> = None;
    let reading_var = reading_kg * reading_kg;
    for (off, gap_days) in offsets(span, midnights_kg) {
        level = Some(match level {
            None => (off, reading_var),
            Some((mean, var)) => {
                let var = var + wander_kg * wander_kg * gap_days;
                let surprise = off - mean;
                let kinds =
                    [(1.0 - JUMPS, var), (JUMPS, var + JUMP_KG * JUMP_KG)].map(|(share, var)| {
                        let total = var + reading_var;
                        let log = libm::log(share)
                            - 0.5 * (libm::log(TAU * total) + surprise * surprise / total);
                        (log, var, total)
                    });
                let all = log_sum(&kinds.map(|(log, ..)| log));
                log += all;
                let (mut gain, mut square, mut left, mut weight) = (0.0, 0.0, 0.0, 0.0);
                for (log, var, total) in kinds {
                    let share = libm::exp(log - all);
                    gain += share * var / total;
                    square += share * (var / total) * (var / total);
                    left += share * var * reading_var / total;
                    weight += share / total;
                }
                step(gain, weight);
                let between = (square - gain * gain).max(0.0) * surprise * surprise;
                (mean + gain * surprise, left + between)
            }
        });
    }
    log
}

/// Surprises of a span in their standard deviations, with gains and weights held fast.
fn surprises(span: &[(usize, f64, f64)], midnights_kg: &[f64], held: &[(f64, f64)]) -> Vec<f64> {
    let mut offsets = offsets(span, midnights_kg);
    let Some((mut mean, _)) = offsets.next() else {
        return Vec::new();
    };
    let surprise = |((off, _), (gain, weight)): ((f64, f64), &(f64, f64))| {
        let surprise = off - mean;
        mean += gain * surprise;
        surprise * weight.sqrt()
    };
    offsets.zip(held).map(surprise).collect()
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
