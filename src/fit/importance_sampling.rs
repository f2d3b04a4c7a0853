//! Draws from what is known after measurement: adaptive importance sampling.
//!
//! Everything unknown is written as standard normal deviates, so that what is known before is N(0, I). A first round draws from that. Each later
//! round draws from a normal distribution: what is measured is taken as straight in the unknowns, with slopes by regression over the draws that the round before
//! stands for, and what is not straight as noise (iterated posterior linearisation: Garcia-Fernandez et al. 2015, IEEE Signal Process Lett 22:1593, from
//! memory). In the end each draw of every round is weighted by likelihood and prior over the mixture of all rounds (deterministic mixture, as in the adaptive
//! multiple importance sampling of Cornuet et al. 2012, Scand J Stat 39:798, from memory). The weights are right whatever the rounds found; a bad
//! proposal only leaves few effective draws, which is told.

use nalgebra::{Cholesky, DMatrix, DVector, Dyn};

/// Variance by which what is measured is taken as less certain in a proposal than it is, so that tails are not missed.
const WIDER: f64 = 1.5;
/// Added to variances of draws, so that slopes can be found in any direction.
const LEAST_VARIANCE: f64 = 1e-9;

/// What measurements say of a model's outputs.
pub trait Measured {
    /// Logarithm of the likelihood of what was measured, given the outputs, but for a constant.
    fn log_likelihood(&self, outputs: &[f64]) -> f64;

    /// How far each measurement is off for each of many outputs, in its standard deviations and independent of the others: straight in the outputs, and as
    /// likely as [`log_likelihood`](Self::log_likelihood) near some.
    fn deviations(&self, near: &[f64], outputs: &[Vec<f64>]) -> Vec<Vec<f64>>;
}

/// Weighted draws.
#[derive(Clone, Debug, PartialEq)]
pub struct WeightedSample {
    /// Deviates of each draw.
    pub draws: Vec<Vec<f64>>,
    /// Weight of each draw; their sum is one.
    pub weights: Vec<f64>,
}

impl WeightedSample {
    /// Draws that would say as much if all weighed the same (Kish 1965).
    #[must_use]
    pub fn effective(&self) -> f64 {
        effective(&self.weights)
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

    /// What is known of the unknowns by measurements that are so many deviations off at each weighted draw.
    fn after(draws: &[Vec<f64>], weights: &[f64], off: &[Vec<f64>]) -> Option<Self> {
        let unknowns = draws.first()?.len();
        let (at, at_mean) = centred(draws, weights);
        let (off, off_mean) = centred(off, weights);
        let weigh = DMatrix::from_fn(at.nrows(), at.ncols(), |of, draw| {
            weights[draw] * at[(of, draw)]
        });
        let variance =
            &weigh * at.transpose() + DMatrix::identity(unknowns, unknowns) * LEAST_VARIANCE;
        // Of each measurement, by each unknown.
        let slopes = Cholesky::new(variance)?
            .solve(&(&weigh * off.transpose()))
            .transpose();
        let bent = &off - &slopes * &at;
        let weigh = DMatrix::from_fn(bent.nrows(), bent.ncols(), |of, draw| {
            weights[draw] * bent[(of, draw)]
        });
        let free = (1.0 - (unknowns + 1) as f64 / effective(weights)).max(0.1);
        let noise =
            DMatrix::identity(bent.nrows(), bent.nrows()) + &weigh * bent.transpose() / free;
        let known = Cholesky::new(noise * WIDER)?.solve(&slopes);
        let precision = DMatrix::identity(unknowns, unknowns) + slopes.transpose() * &known;
        let precision = Cholesky::new(0.5 * (&precision + precision.transpose()))?;
        let mean = precision.solve(&(known.transpose() * (&slopes * at_mean - off_mean)));
        Some(Self {
            mean,
            root: Cholesky::new(precision.inverse())?,
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

/// Columns of values less their weighted mean, and that mean.
fn centred(values: &[Vec<f64>], weights: &[f64]) -> (DMatrix<f64>, DVector<f64>) {
    let rows = values.first().map_or(0, Vec::len);
    let mut all = DMatrix::from_fn(rows, values.len(), |of, draw| values[draw][of]);
    let mean = &all * DVector::from_column_slice(weights);
    for mut column in all.column_iter_mut() {
        column -= &mean;
    }
    (all, mean)
}

fn effective(weights: &[f64]) -> f64 {
    1.0 / weights.iter().map(|weight| weight * weight).sum::<f64>()
}

/// Draws `each` a round of `unknowns` deviates. `deviate` gives a standard normal number for a draw, counted through all rounds, and an
/// unknown; `model` the outputs of a round's draws, all of one length.
///
/// # Errors
/// Those of `model`.
pub fn adaptive_importance_sampling<E>(
    unknowns: usize,
    (rounds, each): (usize, usize),
    deviate: impl Fn(usize, usize) -> f64,
    measured: &impl Measured,
    mut model: impl FnMut(&[Vec<f64>]) -> Result<Vec<Vec<f64>>, E>,
) -> Result<WeightedSample, E> {
    let mut proposals: Vec<Proposal> = Proposal::prior(unknowns).into_iter().collect();
    let mut draws: Vec<Vec<f64>> = Vec::new();
    let mut outputs: Vec<Vec<f64>> = Vec::new();
    let mut likely: Vec<f64> = Vec::new();
    for round in 0..rounds {
        if round > 0 {
            proposals.extend(next(&proposals, &draws, &outputs, &likely, measured));
        }
        // A proposal that could not be laid: the last one has drawn and would count twice.
        let Some(proposal) = proposals.get(round) else {
            break;
        };
        let first = round * each;
        let new: Vec<Vec<f64>> = (first..first + each)
            .map(|draw| proposal.draw((0..unknowns).map(|of| deviate(draw, of)).collect()))
            .collect();
        let shown = model(&new)?;
        likely.extend(shown.iter().map(|outputs| measured.log_likelihood(outputs)));
        outputs.extend(shown);
        draws.extend(new);
    }
    let ratio = prior_over_mixture(&draws, &proposals);
    let logs: Vec<f64> = likely.iter().zip(ratio).map(|(l, r)| l + r).collect();
    Ok(WeightedSample {
        weights: normed(&logs),
        draws,
    })
}

/// The proposal after some rounds. Measurements are made straight near the likeliest draw, slopes are those round the last proposal.
fn next(
    proposals: &[Proposal],
    draws: &[Vec<f64>],
    outputs: &[Vec<f64>],
    likely: &[f64],
    measured: &impl Measured,
) -> Option<Proposal> {
    let last = proposals.last()?;
    let logs: Vec<f64> = draws
        .iter()
        .map(|draw| last.log_density(draw) - log_mixture(draw, proposals))
        .collect();
    let after = |draw: &usize| likely[*draw] + log_prior(&draws[*draw]);
    let best = (0..draws.len()).max_by(|a, b| after(a).total_cmp(&after(b)))?;
    let off = measured.deviations(&outputs[best], outputs);
    Proposal::after(draws, &normed(&logs), &off)
}

fn log_prior(draw: &[f64]) -> f64 {
    -0.5 * draw.iter().map(|z| z * z).sum::<f64>()
}

fn log_mixture(draw: &[f64], proposals: &[Proposal]) -> f64 {
    let logs: Vec<f64> = proposals.iter().map(|of| of.log_density(draw)).collect();
    log_sum(&logs)
}

/// Logarithm of the prior's density over that of the mixture of proposals, for each draw.
fn prior_over_mixture(draws: &[Vec<f64>], proposals: &[Proposal]) -> Vec<f64> {
    draws
        .iter()
        .map(|draw| log_prior(draw) - log_mixture(draw, proposals))
        .collect()
}

/// Weights from their logarithms, summing to one.
fn normed(logs: &[f64]) -> Vec<f64> {
    let all = log_sum(logs);
    logs.iter().map(|log| libm::exp(log - all)).collect()
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
    use crate::ensemble::Draws;
    use crate::normal;
    use std::convert::Infallible;

    fn deviates(seed: u64) -> impl Fn(usize, usize) -> f64 {
        let draws = Draws::new(seed);
        move |draw, of| normal::quantile(draws.uniform(draw as u64, &format!("z{of}")))
    }

    /// Measured values, all with the same standard deviation.
    struct Seen {
        values: Vec<f64>,
        sd: f64,
    }

    impl Measured for Seen {
        fn log_likelihood(&self, outputs: &[f64]) -> f64 {
            let off = &self.deviations(outputs, &[outputs.to_vec()])[0];
            -0.5 * off.iter().map(|off| off * off).sum::<f64>()
        }

        fn deviations(&self, _: &[f64], outputs: &[Vec<f64>]) -> Vec<Vec<f64>> {
            let of = |outputs: &Vec<f64>| {
                let both = outputs.iter().zip(&self.values);
                both.map(|(output, value)| (output - value) / self.sd)
                    .collect()
            };
            outputs.iter().map(of).collect()
        }
    }

    fn sample(
        unknowns: usize,
        (rounds, each): (usize, usize),
        seed: u64,
        seen: &Seen,
        shown: impl Fn(&[f64]) -> Vec<f64>,
    ) -> WeightedSample {
        let model = |draws: &[Vec<f64>]| {
            Ok::<_, Infallible>(draws.iter().map(|draw| shown(draw)).collect())
        };
        let Ok(sample) =
            adaptive_importance_sampling(unknowns, (rounds, each), deviates(seed), seen, model);
        sample
    }

    /// Twenty unknowns of which only the sum is measured: known exactly what is left to know of each.
    #[test]
    fn a_sum_that_is_measured_leaves_the_known_posterior() {
        let (unknowns, sum, sd) = (20, 3.0, 0.1);
        let seen = Seen {
            values: vec![sum],
            sd,
        };
        let sample = sample(unknowns, (5, 200), 1, &seen, |z| vec![z.iter().sum()]);
        let total = unknowns as f64 + sd * sd;
        let (mean, deviation) = (sum / total, (1.0 - 1.0 / total).sqrt());
        assert!(sample.effective() > 400.0, "{}", sample.effective());
        for of in 0..unknowns {
            let values: Vec<f64> = sample.draws.iter().map(|draw| draw[of]).collect();
            for (probability, z) in [(0.05, -1.645), (0.5, 0.0), (0.95, 1.645)] {
                let quantile = sample.quantile(&values, probability);
                assert!(
                    (quantile - mean - z * deviation).abs() < 0.3,
                    "{of}: {quantile}"
                );
            }
        }
    }

    #[test]
    fn without_any_measurement_all_draws_weigh_the_same() {
        let seen = Seen {
            values: Vec::new(),
            sd: 1.0,
        };
        let sample = sample(3, (2, 50), 2, &seen, |_| Vec::new());
        assert!((sample.effective() - 100.0).abs() < 1e-9);
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
            let shown = |z: &[f64]| vec![z[0] + z[1] + 0.3 * z[0] * z[0], z[2] - 0.5 * z[1]];
            let sd = 0.1;
            let values = shown(&truth)
                .iter()
                .enumerate()
                .map(|(of, value)| value + sd * noise(*repeat, of))
                .collect();
            let seen = Seen { values, sd };
            let sample = sample(4, (5, 400), 100 + *repeat as u64, &seen, shown);
            let values: Vec<f64> = sample.draws.iter().map(|draw| draw[0]).collect();
            let [low, high] = [0.05, 0.95].map(|p| sample.quantile(&values, p));
            (low..=high).contains(&truth[0])
        });
        let held = held.count();
        assert!((84..=96).contains(&held), "{held}");
    }
}
