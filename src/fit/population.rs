//! Draws from what is known after measurement: adaptive importance sampling with tempering.
//!
//! Everything unknown is written as standard normal deviates, so that what is known before is N(0, I). A first round draws from that. Each later
//! round draws from a normal distribution laid round the best draws so far, at a temperature that leaves enough of them; in the end
//! each draw of every round is weighted by likelihood and prior over the mixture of all rounds (deterministic mixture, Cornuet et al. 2012, Scand J Stat
//! 39:798, from memory). The weights are right whatever the rounds found; a bad proposal only leaves few effective draws, which is told.

use super::noise::log_sum;
use nalgebra::{Cholesky, DMatrix, DVector, Dyn};

/// Effective draws below which a round's temperature is raised, as a multiple of the unknowns.
const ENOUGH: f64 = 6.0;
/// Variance by which a proposal is wider than the draws it is laid round, so that it does not miss their tails.
const WIDER: f64 = 1.2;

/// Weighted draws.
#[derive(Clone, Debug, PartialEq)]
pub struct Population {
    /// Deviates of each draw.
    pub draws: Vec<Vec<f64>>,
    /// Weight of each draw; their sum is one.
    pub weights: Vec<f64>,
}

impl Population {
    /// Draws that would say as much if all weighed the same (Kish 1965).
    #[must_use]
    pub fn effective(&self) -> f64 {
        1.0 / self
            .weights
            .iter()
            .map(|weight| weight * weight)
            .sum::<f64>()
    }

    /// Quantile of a value of each draw: the smallest that at least so much weight does not exceed.
    #[must_use]
    pub fn quantile(&self, values: &[f64], probability: f64) -> f64 {
        let mut order: Vec<usize> = (0..values.len()).collect();
        order.sort_by(|a, b| values[*a].total_cmp(&values[*b]));
        let mut sum = 0.0;
        for draw in &order {
            sum += self.weights[*draw];
            if sum >= probability {
                return values[*draw];
            }
        }
        order.last().map_or(f64::NAN, |draw| values[*draw])
    }
}

/// A normal distribution that a round draws from.
struct Proposal {
    mean: DVector<f64>,
    root: Cholesky<f64, Dyn>,
}

impl Proposal {
    fn prior(unknowns: usize) -> Option<Self> {
        Some(Self {
            mean: DVector::zeros(unknowns),
            root: Cholesky::new(DMatrix::identity(unknowns, unknowns))?,
        })
    }

    /// Round weighted draws, drawn in to the prior where few draws would make it too sharp.
    fn round(draws: &[Vec<f64>], weights: &[f64]) -> Option<Self> {
        let unknowns = draws.first()?.len();
        let points: Vec<DVector<f64>> = draws
            .iter()
            .map(|draw| DVector::from_column_slice(draw))
            .collect();
        let mut mean = DVector::zeros(unknowns);
        for (point, weight) in points.iter().zip(weights) {
            mean.axpy(*weight, point, 1.0);
        }
        let mut spread = DMatrix::zeros(unknowns, unknowns);
        for (point, weight) in points.iter().zip(weights) {
            let off = point - &mean;
            spread.ger(*weight, &off, &off, 1.0);
        }
        let effective = 1.0 / weights.iter().map(|weight| weight * weight).sum::<f64>();
        let shrink = 1.0 / (1.0 + effective);
        let spread =
            spread * (WIDER * (1.0 - shrink)) + DMatrix::identity(unknowns, unknowns) * shrink;
        Some(Self {
            mean,
            root: Cholesky::new(spread)?,
        })
    }

    fn draw(&self, deviates: Vec<f64>) -> Vec<f64> {
        let point = &self.mean + self.root.l() * DVector::from_vec(deviates);
        point.as_slice().to_vec()
    }

    /// Logarithm of its density, but for what all normal distributions of these unknowns share.
    fn log_density(&self, draw: &[f64]) -> f64 {
        let root = self.root.l_dirty();
        let mut off = DVector::from_column_slice(draw) - &self.mean;
        let mut log = 0.0;
        for at in 0..off.len() {
            let inner: f64 = (0..at).map(|before| root[(at, before)] * off[before]).sum();
            off[at] = (off[at] - inner) / root[(at, at)];
            log -= 0.5 * off[at] * off[at] + libm::log(root[(at, at)]);
        }
        log
    }
}

/// Draws `each` a round of `unknowns` deviates. `deviate` gives a standard normal number for a draw, counted through all rounds, and an
/// unknown; `log_likelihoods` those of a round's draws.
///
/// # Errors
/// Those of `log_likelihoods`.
pub fn populate<E>(
    unknowns: usize,
    (rounds, each): (usize, usize),
    deviate: impl Fn(usize, usize) -> f64,
    mut log_likelihoods: impl FnMut(&[Vec<f64>]) -> Result<Vec<f64>, E>,
) -> Result<Population, E> {
    let mut proposals: Vec<Proposal> = Proposal::prior(unknowns).into_iter().collect();
    let mut draws: Vec<Vec<f64>> = Vec::new();
    let mut likely: Vec<f64> = Vec::new();
    for round in 0..rounds {
        if round > 0 {
            let ratio = prior_over_mixture(&draws, &proposals);
            let tempered = temper(&likely, &ratio, ENOUGH * unknowns as f64);
            proposals.extend(Proposal::round(&draws, &tempered));
        }
        let Some(proposal) = proposals.last() else {
            break;
        };
        let first = round * each;
        let new: Vec<Vec<f64>> = (first..first + each)
            .map(|draw| proposal.draw((0..unknowns).map(|of| deviate(draw, of)).collect()))
            .collect();
        likely.extend(log_likelihoods(&new)?);
        draws.extend(new);
        // A proposal that could not be laid: the last one has drawn twice and counts twice.
        if proposals.len() <= round {
            break;
        }
    }
    let ratio = prior_over_mixture(&draws, &proposals);
    let weights = weights(&likely, &ratio, 1.0);
    Ok(Population { draws, weights })
}

/// Logarithm of the prior's density over that of the mixture of proposals, for each draw.
fn prior_over_mixture(draws: &[Vec<f64>], proposals: &[Proposal]) -> Vec<f64> {
    let of = |draw: &Vec<f64>| {
        let logs: Vec<f64> = proposals.iter().map(|of| of.log_density(draw)).collect();
        let prior = -0.5 * draw.iter().map(|z| z * z).sum::<f64>();
        prior - log_sum(&logs)
    };
    draws.iter().map(of).collect()
}

/// Weights with the likelihood to the power `heat`, summing to one.
fn weights(likely: &[f64], ratio: &[f64], heat: f64) -> Vec<f64> {
    let logs: Vec<f64> = likely
        .iter()
        .zip(ratio)
        .map(|(l, r)| heat * l + r)
        .collect();
    let all = log_sum(&logs);
    logs.iter().map(|log| libm::exp(log - all)).collect()
}

/// Weights with the highest power of the likelihood, up to one, that leaves `enough` effective draws.
fn temper(likely: &[f64], ratio: &[f64], enough: f64) -> Vec<f64> {
    let effective = |heat| {
        1.0 / weights(likely, ratio, heat)
            .iter()
            .map(|w| w * w)
            .sum::<f64>()
    };
    if effective(1.0) >= enough {
        return weights(likely, ratio, 1.0);
    }
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..40 {
        let middle = 0.5 * (low + high);
        if effective(middle) >= enough {
            low = middle;
        } else {
            high = middle;
        }
    }
    weights(likely, ratio, low)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ensemble::Draws;
    use crate::normal;
    use std::convert::Infallible;

    fn deviates(seed: u64) -> impl Fn(usize, usize) -> f64 {
        let draws = Draws::new(seed);
        move |draw, of| normal::quantile(draws.uniform(draw as u64, &format!("z{of}")))
    }

    /// Six unknowns of which only the sum is measured: known exactly what is left to know of each.
    #[test]
    fn a_sum_that_is_measured_leaves_the_known_posterior() {
        let (unknowns, sum, sd) = (6, 3.0, 0.1);
        let population = populate(unknowns, (5, 400), deviates(1), |draws| {
            let log = |draw: &Vec<f64>| {
                let off = (draw.iter().sum::<f64>() - sum) / sd;
                -0.5 * off * off
            };
            Ok::<_, Infallible>(draws.iter().map(log).collect())
        });
        let Ok(population) = population;
        let total = 6.0 + sd * sd;
        let (mean, deviation) = (sum / total, (1.0 - 1.0 / total).sqrt());
        assert!(population.effective() > 400.0, "{}", population.effective());
        for of in 0..unknowns {
            let values: Vec<f64> = population.draws.iter().map(|draw| draw[of]).collect();
            for (probability, z) in [(0.05, -1.645), (0.5, 0.0), (0.95, 1.645)] {
                let quantile = population.quantile(&values, probability);
                assert!(
                    (quantile - mean - z * deviation).abs() < 0.25,
                    "{of}: {quantile}"
                );
            }
        }
    }

    #[test]
    fn without_any_measurement_all_draws_weigh_the_same() {
        let population = populate(3, (1, 50), deviates(2), |draws| {
            Ok::<_, Infallible>(vec![0.0; draws.len()])
        });
        let Ok(population) = population;
        assert!((population.effective() - 50.0).abs() < 1e-9);
    }

    /// Ninety of a hundred intervals of 90 % hold the truth, give or take two standard errors of 3.
    #[test]
    fn intervals_hold_the_truth_as_often_as_they_say() {
        let truths = deviates(3);
        let noise = deviates(4);
        let repeats = 100;
        let held = (0..repeats).filter(|repeat| {
            let truth: Vec<f64> = (0..4).map(|of| truths(*repeat, of)).collect();
            // Two things are measured of four unknowns, one of them not quite straight.
            let shown = |z: &[f64]| [z[0] + z[1] + 0.3 * z[0] * z[0], z[2] - 0.5 * z[1]];
            let seen = shown(&truth);
            let seen = [
                seen[0] + 0.1 * noise(*repeat, 0),
                seen[1] + 0.1 * noise(*repeat, 1),
            ];
            let population = populate(4, (5, 400), deviates(100 + *repeat as u64), |draws| {
                let log = |draw: &Vec<f64>| {
                    let off = shown(draw)
                        .into_iter()
                        .zip(seen)
                        .map(|(a, b)| (a - b) / 0.1);
                    -0.5 * off.map(|off| off * off).sum::<f64>()
                };
                Ok::<_, Infallible>(draws.iter().map(log).collect())
            });
            let Ok(population) = population;
            let values: Vec<f64> = population.draws.iter().map(|draw| draw[0]).collect();
            let [low, high] = [0.05, 0.95].map(|p| population.quantile(&values, p));
            (low..=high).contains(&truth[0])
        });
        let held = held.count();
        assert!((84..=96).contains(&held), "{held}");
    }
}
