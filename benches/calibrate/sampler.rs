//! Adaptive random-walk Metropolis: Haario, Saksman & Tamminen 2001, Bernoulli 7:223, with the step size of Andrieu & Thoms 2008, Stat Comput 18:343.
//!
//! Proposals are normal with the covariance of the chain's own past; step size and covariance adapt while the chain warms up and stand still afterwards, so what is
//! kept is a plain Markov chain.

use nalgebra::{DMatrix, DVector};
use rand::rngs::ChaCha12Rng;
use rand::{Rng, SeedableRng};
use rand_distr::{Distribution, StandardNormal};
use rayon::prelude::*;

/// Share of proposals that is best accepted in many dimensions (Roberts, Gelman & Gilks 1997).
const ACCEPTED: f64 = 0.234;
/// Steps before the covariance of the past is used, and between its renewals.
const FIRST: usize = 1000;
const RENEWED: usize = 250;
/// Added to the covariance's diagonal.
const JITTER: f64 = 1e-6;

/// A density known up to a constant.
pub trait LogDensity: Sync {
    fn dimension(&self) -> usize;
    fn log_density(&self, at: &[f64]) -> f64;
}

/// How long a chain is.
#[derive(Clone, Copy, Debug)]
pub struct Length {
    pub warm_up: usize,
    pub kept: usize,
    /// Steps between kept draws.
    pub every: usize,
}

/// A chain after its warming up.
pub struct Chain {
    pub draws: Vec<Vec<f64>>,
    pub accepted: f64,
}

/// As many chains from starts drawn from the standard normal distribution, each with its own stream of the seed.
pub fn chains(target: &dyn LogDensity, count: u64, length: Length, seed: u64) -> Vec<Chain> {
    (0..count)
        .into_par_iter()
        .map(|number| {
            let mut random = ChaCha12Rng::seed_from_u64(seed);
            random.set_stream(number);
            chain(target, length, &mut random)
        })
        .collect()
}

fn normals(random: &mut ChaCha12Rng, count: usize) -> DVector<f64> {
    DVector::from_iterator(
        count,
        (0..count).map(|_| Distribution::<f64>::sample(&StandardNormal, random)),
    )
}

/// Natural logarithm of a uniform number above 0.
fn log_uniform(random: &mut ChaCha12Rng) -> f64 {
    libm::log(((random.next_u64() >> 11) as f64 + 0.5) / (1_u64 << 53) as f64)
}

fn chain(target: &dyn LogDensity, length: Length, random: &mut ChaCha12Rng) -> Chain {
    let d = target.dimension();
    let mut at = normals(random, d) * 0.5;
    let mut log = target.log_density(at.as_slice());
    for _ in 0..1000 {
        if log.is_finite() {
            break;
        }
        at = normals(random, d) * 0.3;
        log = target.log_density(at.as_slice());
    }
    let mut past = Past::new(d);
    let mut factor = DMatrix::identity(d, d);
    let mut log_scale = libm::log(2.38 / (d as f64).sqrt());
    let (mut draws, mut accepted) = (Vec::with_capacity(length.kept), 0_usize);
    let total = length.warm_up + length.kept * length.every;
    for turn in 0..total {
        let step: DVector<f64> = &factor * normals(random, d) * libm::exp(log_scale);
        let to = &at + step;
        let log_to = target.log_density(to.as_slice());
        let chance = libm::exp((log_to - log).min(0.0));
        let takes = log_uniform(random) < log_to - log;
        if takes {
            (at, log) = (to, log_to);
        }
        if turn < length.warm_up {
            let gain = libm::pow(turn as f64 + 1.0, -0.6);
            log_scale += gain * (if chance.is_finite() { chance } else { 0.0 } - ACCEPTED);
            past.see(&at);
            // The first part of the past is the way from the start.
            if turn + 1 == length.warm_up / 4 || turn + 1 == length.warm_up / 2 {
                past.forget();
            }
            if past.count > FIRST && turn % RENEWED == 0 {
                factor = past.factor().unwrap_or(factor);
            }
        } else {
            accepted += usize::from(takes);
            if (turn - length.warm_up) % length.every == length.every - 1 {
                draws.push(at.as_slice().to_vec());
            }
        }
    }
    Chain {
        draws,
        accepted: accepted as f64 / (length.kept * length.every) as f64,
    }
}

/// Mean and covariance of a chain's past.
struct Past {
    count: usize,
    mean: DVector<f64>,
    squares: DMatrix<f64>,
}

impl Past {
    fn new(d: usize) -> Self {
        Self {
            count: 0,
            mean: DVector::zeros(d),
            squares: DMatrix::zeros(d, d),
        }
    }

    fn forget(&mut self) {
        *self = Self::new(self.mean.len());
    }

    fn see(&mut self, at: &DVector<f64>) {
        self.count += 1;
        let before = at - &self.mean;
        self.mean += &before / self.count as f64;
        let after = at - &self.mean;
        self.squares.ger(1.0, &before, &after, 1.0);
    }

    fn factor(&self) -> Option<DMatrix<f64>> {
        let d = self.mean.len();
        let covariance =
            &self.squares / (self.count as f64 - 1.0) + DMatrix::identity(d, d) * JITTER;
        Some(covariance.cholesky()?.l())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostics::{effective_size, split_r_hat};

    /// `y = a x + b + e`, e of N(0, 0.5^2) at x of -1, 0, 2, prior N(0, 1) on both: the posterior is normal and known.
    struct Line;

    const X: [f64; 3] = [-1.0, 0.0, 2.0];
    const Y: [f64; 3] = [0.2, 0.9, 1.4];

    impl LogDensity for Line {
        fn dimension(&self) -> usize {
            2
        }
        fn log_density(&self, at: &[f64]) -> f64 {
            let off = X
                .iter()
                .zip(Y)
                .map(|(x, y)| (y - at[0] * x - at[1]).powi(2));
            -0.5 * (off.sum::<f64>() / 0.25 + at[0] * at[0] + at[1] * at[1])
        }
    }

    #[test]
    fn the_posterior_of_a_line_is_found() {
        let length = Length {
            warm_up: 4000,
            kept: 4000,
            every: 5,
        };
        let chains = chains(&Line, 4, length, 1);
        let x = nalgebra::Matrix3x2::from_fn(|row, column| if column == 0 { X[row] } else { 1.0 });
        let precision = x.transpose() * x * 4.0 + nalgebra::Matrix2::identity();
        let covariance = precision.try_inverse().expect("regular");
        let mean = covariance * x.transpose() * nalgebra::Vector3::from(Y) * 4.0;
        for unknown in 0..2 {
            let of: Vec<Vec<f64>> = chains
                .iter()
                .map(|chain| chain.draws.iter().map(|draw| draw[unknown]).collect())
                .collect();
            assert!(split_r_hat(&of) < 1.01);
            assert!(effective_size(&of) > 2000.0);
            let all: Vec<f64> = of.concat();
            let found = all.iter().sum::<f64>() / all.len() as f64;
            let sd = covariance[(unknown, unknown)].sqrt();
            assert!((found - mean[unknown]).abs() < 0.1 * sd, "{found}, {mean}");
            let square = all.iter().map(|x| (x - found).powi(2)).sum::<f64>() / all.len() as f64;
            assert!((square.sqrt() / sd - 1.0).abs() < 0.06);
        }
        let accepted = chains[0].accepted;
        assert!((0.15..0.5).contains(&accepted), "{accepted}");
    }

    #[test]
    fn the_same_seed_gives_the_same_chain() {
        let length = Length {
            warm_up: 100,
            kept: 50,
            every: 2,
        };
        let of = |seed| chains(&Line, 2, length, seed).remove(1).draws;
        assert_eq!(of(3), of(3));
        assert_ne!(of(3), of(4));
    }
}
