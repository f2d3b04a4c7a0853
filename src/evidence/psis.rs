//! Pareto-smoothed importance sampling: weights of draws as if a part of the data had not been seen.
//!
//! Vehtari, Simpson, Gelman, Yao & Gabry 2024, J Mach Learn Res 25(72): the largest weights are replaced by quantiles of the generalised Pareto distribution fitted to
//! them, and its shape `k` tells whether they can be trusted (below 0.7). The fit is that of Zhang & Stephens 2009, Technometrics 51:316, with the weak prior on `k`
//! of the former.

/// Shape above which weights cannot be trusted.
pub const LARGEST_K: f64 = 0.7;
/// Least of the largest weights that a tail is fitted to.
const LEAST_TAIL: usize = 5;
/// Weight of the prior on the shape, in observations, and where it pulls: ten of a half.
const PRIOR_COUNT: f64 = 10.0;
const PRIOR_K: f64 = 0.5;

/// Smoothed weights.
#[derive(Clone, Debug, PartialEq)]
pub struct Smoothed {
    /// Weights in the order of the draws; their sum is 1.
    pub weights: Vec<f64>,
    /// Shape of the tail; none where all weights are alike or too few are there to fit one.
    pub k: Option<f64>,
}

/// Smoothed weights from the logarithms of raw ones. An infinite or undefined one counts as no weight, unless all are.
#[must_use]
pub fn smoothed(log_ratios: &[f64]) -> Smoothed {
    let count = log_ratios.len();
    let finite = |log: f64| {
        if log.is_finite() {
            log
        } else {
            f64::NEG_INFINITY
        }
    };
    let most = log_ratios
        .iter()
        .fold(f64::NEG_INFINITY, |most, log| most.max(finite(*log)));
    if most == f64::NEG_INFINITY {
        return Smoothed {
            weights: vec![1.0 / count as f64; count],
            k: None,
        };
    }
    let mut weights: Vec<f64> = log_ratios
        .iter()
        .map(|log| libm::exp(finite(*log) - most))
        .collect();
    let tail = (0.2 * count as f64).min(3.0 * (count as f64).sqrt()).ceil() as usize;
    let k = (tail >= LEAST_TAIL && tail < count)
        .then(|| smooth_tail(&mut weights, tail))
        .flatten();
    let sum: f64 = weights.iter().sum();
    for weight in &mut weights {
        *weight /= sum;
    }
    Smoothed { weights, k }
}

/// Replaces the largest weights by quantiles of the tail; gives its shape.
fn smooth_tail(weights: &mut [f64], tail: usize) -> Option<f64> {
    let mut order: Vec<usize> = (0..weights.len()).collect();
    order.sort_by(|a, b| weights[*a].total_cmp(&weights[*b]).then(a.cmp(b)));
    let first = weights.len() - tail;
    let threshold = weights[order[first - 1]];
    let above: Vec<f64> = order[first..]
        .iter()
        .map(|number| weights[*number] - threshold)
        .collect();
    if above[tail - 1] <= 1e-12 {
        return None;
    }
    let (k, scale) = generalised_pareto(&above)?;
    for (rank, number) in order[first..].iter().enumerate() {
        let probability = (rank as f64 + 0.5) / tail as f64;
        let smooth = threshold + quantile(probability, k, scale);
        weights[*number] = smooth.min(1.0);
    }
    Some(k)
}

/// Quantile of the generalised Pareto distribution.
fn quantile(probability: f64, k: f64, scale: f64) -> f64 {
    let log = -libm::log1p(-probability);
    if k.abs() < 1e-12 {
        scale * log
    } else {
        scale * libm::expm1(k * log) / k
    }
}

/// Shape and scale of the generalised Pareto distribution that fits excesses, in rising order.
///
/// None where they have no spread.
#[must_use]
pub fn generalised_pareto(excesses: &[f64]) -> Option<(f64, f64)> {
    let n = excesses.len() as f64;
    let largest = *excesses.last()?;
    let quartile = excesses[((n / 4.0 + 0.5) as usize).max(1) - 1];
    if quartile.max(0.0) <= f64::MIN_POSITIVE || largest <= 0.0 {
        return None;
    }
    let shape = |theta: f64| {
        let logs = excesses.iter().map(|x| libm::log1p(-theta * x));
        logs.sum::<f64>() / n
    };
    let points = 30 + n.sqrt() as usize;
    let thetas: Vec<f64> = (1..=points)
        .map(|i| {
            1.0 / largest + (1.0 - (points as f64 / (i as f64 - 0.5)).sqrt()) / (3.0 * quartile)
        })
        .collect();
    let profile: Vec<f64> = thetas
        .iter()
        .map(|theta| {
            let k = shape(*theta);
            n * (libm::log(-theta / k) - k - 1.0)
        })
        .collect();
    let most = profile.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let (mut sum, mut theta) = (0.0, 0.0);
    for (value, at) in profile.iter().zip(&thetas) {
        let weight = libm::exp(value - most);
        if weight.is_finite() {
            sum += weight;
            theta += weight * at;
        }
    }
    let theta = theta / sum;
    let k = shape(theta);
    let scale = -k / theta;
    let k = (k * n + PRIOR_COUNT * PRIOR_K) / (n + PRIOR_COUNT);
    (k.is_finite() && scale.is_finite()).then_some((k, scale))
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand::rngs::ChaCha12Rng;
    use rand::{Rng, SeedableRng};

    fn uniforms(seed: u64) -> impl Iterator<Item = f64> {
        let mut random = ChaCha12Rng::seed_from_u64(seed);
        std::iter::repeat_with(move || {
            ((random.next_u64() >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
        })
    }

    #[test]
    fn the_shape_of_a_known_tail_is_found() {
        for k in [0.2, 0.5, 0.9] {
            let mut draws: Vec<f64> = uniforms(3)
                .take(4000)
                .map(|u| quantile(u, k, 2.0))
                .collect();
            draws.sort_by(f64::total_cmp);
            let (found, scale) = generalised_pareto(&draws).expect("a fit");
            // The standard error of the shape is (1 + k) / sqrt 4000.
            assert!((found - k).abs() < 4.0 * (1.0 + k) / 63.0, "{k}: {found}");
            assert!((scale / 2.0 - 1.0).abs() < 0.15, "{scale}");
        }
    }

    /// Draws from N(0, 1) weighted to N(0.5, 1): the mean of the target is a half and the weights are well behaved; to N(0, 4^2) they are not.
    #[test]
    fn weights_move_a_mean_to_its_target_and_a_wide_target_is_told_by_k() {
        let draws: Vec<f64> = uniforms(1)
            .take(4000)
            .map(crate::normal::quantile)
            .collect();
        let near = smoothed(&draws.iter().map(|z| 0.5 * z - 0.125).collect::<Vec<_>>());
        let mean: f64 = draws.iter().zip(&near.weights).map(|(z, w)| z * w).sum();
        assert!((mean - 0.5).abs() < 0.06, "{mean}");
        assert!(near.k.expect("a tail") < 0.5, "{:?}", near.k);
        assert!((near.weights.iter().sum::<f64>() - 1.0).abs() < 1e-12);
        let wide = smoothed(
            &draws
                .iter()
                .map(|z| z * z * (0.5 - 0.5 / 16.0))
                .collect::<Vec<_>>(),
        );
        assert!(wide.k.expect("a tail") > LARGEST_K, "{:?}", wide.k);
    }

    #[test]
    fn weights_that_are_all_alike_or_impossible_stay_alike() {
        assert_eq!(smoothed(&[0.0; 40]).weights, vec![1.0 / 40.0; 40]);
        assert_eq!(smoothed(&[f64::NAN; 8]).weights, vec![0.125; 8]);
    }
}
