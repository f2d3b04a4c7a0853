//! Intervals by how members were drawn: each by itself, or along randomised sequences whose points are not independent.

use super::draws::{Draws, RANDOMISATIONS, Sampling};
use super::members::MemberRows;
use super::plan::Plan;
use super::rows::MemberRow;
use super::spill::RowsError;
use super::statistics::{CONFIDENCE, between_ranks, quantile_interval, score_interval, wilson};
use crate::student;

/// Most that a share may seem better known than by independent members: the variance of sixteen randomisations is itself rough (own choice).
const MOST_GAIN: f64 = 16.0;

/// The chance of the draws of some rows.
///
/// Plain draws are independent, and their intervals Wilson's and those of order statistics. Points of a Sobol sequence are not; but its
/// [`RANDOMISATIONS`] are independent of each other, so the spread of a share between them tells the variance of the whole (Owen 2013, Monte Carlo theory,
/// methods and examples, 17.3). It is put as the number of independent members that would have it, and intervals are as of so many, with Student's deviate
/// for the normal one (so are shares of complex surveys bounded, Korn & Graubard 1998; quantiles through the share below them, Woodruff 1952).
pub(super) struct Chance<'a> {
    rows: &'a MemberRows,
    /// Winters of the plan, where draws are Sobol's.
    sobol_over: Option<u32>,
}

impl<'a> Chance<'a> {
    pub fn new(plan: &Plan, rows: &'a MemberRows) -> Self {
        let winters = plan.winters.len() as u32;
        Self {
            rows,
            sobol_over: (plan.sampling == Sampling::Sobol).then_some(winters),
        }
    }

    /// Interval of the share of rows that are so.
    pub fn of_share(&self, is: &dyn Fn(&MemberRow) -> bool) -> Result<(f64, f64), RowsError> {
        let count = self.rows.count(is)?;
        Ok(match self.independent(is)? {
            None => wilson(count, self.rows.len()),
            Some(n) => score_interval(count as f64 / self.rows.len() as f64, n, deviate()),
        })
    }

    /// Interval of a quantile of the needs, sorted.
    pub fn of_quantile(&self, needs_kg: &[f64], probability: f64) -> Result<(f64, f64), RowsError> {
        let n = needs_kg.len() as f64;
        let rank = n * probability;
        let at = (rank.ceil().max(1.0) as usize - 1).min(needs_kg.len().saturating_sub(1));
        let (Some(kg), Some(last)) = (needs_kg.get(at), needs_kg.len().checked_sub(1)) else {
            return Ok(quantile_interval(needs_kg, probability));
        };
        Ok(match self.independent(&|row| row.need_kg <= *kg)? {
            None => quantile_interval(needs_kg, probability),
            Some(independent) => {
                let error = (probability * (1.0 - probability) / independent).sqrt();
                between_ranks(needs_kg, rank, deviate() * n * error, last)
            }
        })
    }

    /// Independent members that would tell as much of a share; none of plain draws, of randomisations without a row, and of a share of none or all.
    fn independent(&self, is: &dyn Fn(&MemberRow) -> bool) -> Result<Option<f64>, RowsError> {
        let Some(winters) = self.sobol_over else {
            return Ok(None);
        };
        let mut counts = [(0.0, 0.0); RANDOMISATIONS as usize];
        self.rows.each(|row| {
            let (of, are) = &mut counts[Draws::randomisation(row.member, winters) as usize];
            *of += 1.0;
            *are += f64::from(u8::from(is(row)));
        })?;
        Ok(independent(&counts))
    }
}

fn deviate() -> f64 {
    student::two_sided(CONFIDENCE, RANDOMISATIONS as usize - 1)
}

/// From rows and rows that are so of each randomisation.
fn independent(counts: &[(f64, f64)]) -> Option<f64> {
    let groups = counts.len() as f64;
    let n: f64 = counts.iter().map(|(of, _)| of).sum();
    let p = counts.iter().map(|(_, are)| are).sum::<f64>() / n;
    if counts.iter().any(|(of, _)| *of == 0.0) || p <= 0.0 || p >= 1.0 {
        return None;
    }
    // Linearised ratio, as randomisations may differ by a block of members.
    let squares: f64 = counts
        .iter()
        .map(|(of, are)| (are - p * of) * (are - p * of))
        .sum();
    let variance = groups / (groups - 1.0) * squares / (n * n);
    Some((p * (1.0 - p) / variance).min(MOST_GAIN * n))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::normal;

    /// Sixteen randomisations of a made-up response that no coordinate decides alone, over many seeds.
    #[test]
    fn intervals_of_sobol_draws_hold_the_truth_as_often_as_said_and_are_narrower() {
        let (repeats, winters, members) = (400_u64, 10_u32, 640_u32);
        let names = ["bees", "stores", "resting_w_kg", "feed_loss"];
        let below = 0.2;
        let (mut held, mut gained) = (0, 0.0);
        for seed in 0..repeats {
            let draws = Draws::sobol(seed, winters);
            let mut counts = [(0.0, 0.0); RANDOMISATIONS as usize];
            for member in 0..members {
                let z: f64 = names
                    .iter()
                    .map(|name| normal::quantile(draws.uniform(u64::from(member), name)))
                    .sum();
                let (of, are) = &mut counts[Draws::randomisation(member, winters) as usize];
                *of += 1.0;
                // The sum of four has a standard deviation of two.
                *are += f64::from(u8::from(normal::probability(0.5 * z) < below));
            }
            let p = counts.iter().map(|(_, are)| are).sum::<f64>() / f64::from(members);
            let n = independent(&counts).expect("a share");
            let (low, high) = score_interval(p, n, deviate());
            held += usize::from((low..=high).contains(&below));
            gained += n / f64::from(members) / repeats as f64;
        }
        println!("held {held} of {repeats}; worth {gained:.1} times the members");
        // 95 % of 400, give or take three standard deviations of 4.4.
        assert!((367..=393).contains(&held), "{held}");
        assert!(gained > 1.3, "{gained}");
    }
}
