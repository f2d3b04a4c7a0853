//! Intervals by the chance of the draws, of members that are crossed by sets and colonies, each at random or along randomised sequences.

use super::clustered;
use super::crossing::Crossing;
use super::draws::{Draws, REPLICATES, Sampling};
use super::plan::Plan;
use super::statistics::{CONFIDENCE, between_ranks, quantile_interval, score_interval, wilson};
use crate::student;

/// Most that a share may seem better known than by independent members: the variance of sixteen replicates is itself rough (own choice).
const MOST_GAIN: f64 = 16.0;

/// The chance of the draws of a plan: what other sets of shared unknowns and other colonies would have given, in the same winters.
///
/// Members of one set and of one colony resemble each other (`clustered`). Points of a Sobol sequence are not even independent from set to set; but its
/// [`REPLICATES`] are, so the spread of a share between them tells the variance of the whole (Owen 2013, Monte Carlo theory,
/// methods and examples, 17.3). Either way the variance is put as the number of independent members that would have it, and intervals are as of so many, with
/// Student's deviate for the normal one (so are shares of complex surveys bounded, Korn & Graubard 1998; quantiles through the share below them, Woodruff 1952).
/// A share of none or all has no spread to tell from and is bounded as of independent members, as surveys do (from memory).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Chance {
    crossing: Crossing,
    sampling: Sampling,
}

impl Chance {
    /// Of a plan's draws.
    #[must_use]
    pub fn new(plan: &Plan) -> Self {
        Self {
            crossing: plan.crossing(),
            sampling: plan.sampling,
        }
    }

    /// Of members that are each drawn at random.
    #[must_use]
    pub fn plain(crossing: Crossing) -> Self {
        Self {
            crossing,
            sampling: Sampling::Plain,
        }
    }

    /// How members are crossed.
    #[must_use]
    pub fn crossing(&self) -> &Crossing {
        &self.crossing
    }

    /// Interval of the share of members, each with its number, that are so.
    #[must_use]
    pub fn of_share(&self, are: &[(u32, bool)]) -> (f64, f64) {
        let count = are.iter().filter(|(_, is)| *is).count();
        match self.independent(are) {
            None => wilson(count, are.len()),
            Some((n, degrees)) => {
                let z = student::two_sided(CONFIDENCE, degrees);
                score_interval(count as f64 / are.len() as f64, n, z)
            }
        }
    }

    /// Interval of a quantile of values of members, each with its number; `sorted` are the values by themselves.
    #[must_use]
    pub fn of_quantile(
        &self,
        values: &[(u32, f64)],
        sorted: &[f64],
        probability: f64,
    ) -> (f64, f64) {
        let n = sorted.len() as f64;
        let rank = n * probability;
        let at = (rank.ceil().max(1.0) as usize - 1).min(sorted.len().saturating_sub(1));
        let (Some(limit), Some(last)) = (sorted.get(at), sorted.len().checked_sub(1)) else {
            return quantile_interval(sorted, probability);
        };
        let below: Vec<(u32, bool)> = values
            .iter()
            .map(|(member, value)| (*member, value <= limit))
            .collect();
        match self.independent(&below) {
            None => quantile_interval(sorted, probability),
            Some((independent, degrees)) => {
                let error = (probability * (1.0 - probability) / independent).sqrt();
                let half = student::two_sided(CONFIDENCE, degrees) * n * error;
                between_ranks(sorted, rank, half, last)
            }
        }
    }

    /// Independent members that would tell as much of a share, with degrees of freedom; none of a share of none or all.
    fn independent(&self, are: &[(u32, bool)]) -> Option<(f64, usize)> {
        let crossed = || clustered::independent(&self.crossing, are);
        match self.sampling {
            Sampling::Plain => crossed(),
            Sampling::Sobol => self.of_replicates(are).or_else(crossed),
        }
    }

    /// The same from the spread between replicates; none where one of them has no member.
    fn of_replicates(&self, are: &[(u32, bool)]) -> Option<(f64, usize)> {
        let among = self.crossing.groups().min(REPLICATES.into()) as usize;
        let mut counts = vec![(0.0, 0.0); among];
        for (member, is) in are {
            let replicate = Draws::replicate((*member).into(), &self.crossing);
            let (of, so) = &mut counts[replicate as usize];
            *of += 1.0;
            *so += f64::from(u8::from(*is));
        }
        Some((independent(&counts)?, among - 1))
    }
}

/// From rows and rows that are so of each replicate.
fn independent(counts: &[(f64, f64)]) -> Option<f64> {
    let groups = counts.len() as f64;
    let n: f64 = counts.iter().map(|(of, _)| of).sum();
    let p = counts.iter().map(|(_, are)| are).sum::<f64>() / n;
    if counts.iter().any(|(of, _)| *of == 0.0) || p <= 0.0 || p >= 1.0 {
        return None;
    }
    // Linearised ratio, as replicates may differ by a block of members.
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

    /// Sixteen replicates of a made-up response that no coordinate decides alone, over many seeds.
    #[test]
    fn intervals_of_sobol_draws_hold_the_truth_as_often_as_said_and_are_narrower() {
        let (repeats, members) = (400_u64, 1600_u32);
        let crossing = Crossing::new(10, 160);
        let names = ["bees", "stores", "resting_w_kg", "feed_loss"];
        let below = 0.2;
        let (mut held, mut gained) = (0, 0.0);
        for seed in 0..repeats {
            let of_member = |sampling| {
                let draws = Draws::crossed(seed, crossing, sampling);
                move |member: u32| {
                    let z = |name: &&str| normal::quantile(draws.uniform(member.into(), name));
                    // The sum of four has a standard deviation of two.
                    let sum: f64 = names.iter().map(z).sum();
                    (member, normal::probability(0.5 * sum) < below)
                }
            };
            let told = |sampling| {
                let chance = Chance { crossing, sampling };
                let are: Vec<(u32, bool)> = (0..members).map(of_member(sampling)).collect();
                let (n, _) = chance.independent(&are).expect("a share");
                (chance.of_share(&are), n)
            };
            let ((low, high), n) = told(Sampling::Sobol);
            held += usize::from((low..=high).contains(&below));
            gained += n / told(Sampling::Plain).1 / repeats as f64;
        }
        println!("held {held} of {repeats}; worth {gained:.1} times the members");
        // 95 % of 400, give or take three standard deviations of 4.4.
        assert!((367..=393).contains(&held), "{held}");
        assert!(gained > 1.3, "{gained}");
    }
}
