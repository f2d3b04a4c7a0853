//! Whether chains have met: rank-normalised split R-hat and effective sample size.
//!
//! Vehtari, Gelman, Simpson, Carpenter & Buerkner 2021, Bayesian Analysis 16:667; the size by Geyer's initial monotone sequence.

use overwinter::normal;

/// Largest of the bulk's and the folded draws' split R-hat, both rank-normalised.
pub fn split_r_hat(chains: &[Vec<f64>]) -> f64 {
    let halves = halves(chains);
    let mut all: Vec<f64> = halves.concat();
    all.sort_by(f64::total_cmp);
    let middle = all[all.len() / 2];
    let folded: Vec<Vec<f64>> = halves
        .iter()
        .map(|half| half.iter().map(|x| (x - middle).abs()).collect())
        .collect();
    r_hat(&scores(&halves)).max(r_hat(&scores(&folded)))
}

/// Effective size of the bulk.
pub fn effective_size(chains: &[Vec<f64>]) -> f64 {
    let chains = scores(&halves(chains));
    let (m, n) = (chains.len() as f64, chains[0].len());
    let means: Vec<f64> = chains.iter().map(|chain| mean(chain)).collect();
    let lagged: Vec<Vec<f64>> = chains
        .iter()
        .zip(&means)
        .map(|(chain, mean)| autocovariances(chain, *mean))
        .collect();
    let scale = n as f64 / (n as f64 - 1.0);
    let within = lagged.iter().map(|lags| lags[0] * scale).sum::<f64>() / m;
    let mean_of_means = mean(&means);
    let between = means
        .iter()
        .map(|x| (x - mean_of_means).powi(2))
        .sum::<f64>()
        / (m - 1.0);
    let pooled = within / scale + between;
    let at = |lag: usize| {
        let covariance = lagged.iter().map(|lags| lags[lag]).sum::<f64>() / m;
        1.0 - (within - covariance * scale) / pooled
    };
    let (mut sum, mut before, mut lag) = (0.0, f64::INFINITY, 0);
    while lag + 1 < lagged[0].len() {
        let pair = (at(lag) + at(lag + 1)).min(before);
        if pair < 0.0 {
            break;
        }
        sum += pair;
        before = pair;
        lag += 2;
    }
    m * n as f64 / (2.0 * sum - 1.0).max(1.0 / (m * n as f64).log10())
}

fn halves(chains: &[Vec<f64>]) -> Vec<Vec<f64>> {
    let half = chains[0].len() / 2;
    chains
        .iter()
        .flat_map(|chain| [chain[..half].to_vec(), chain[chain.len() - half..].to_vec()])
        .collect()
}

/// Normal scores of ranks over all chains (Blom's, as the paper has it); ties share their mean rank.
fn scores(chains: &[Vec<f64>]) -> Vec<Vec<f64>> {
    let length = chains[0].len();
    let all: Vec<f64> = chains.concat();
    let ranks = ranks(&all);
    let count = all.len() as f64;
    let score = |rank: &f64| normal::quantile((rank - 0.375) / (count + 0.25));
    ranks
        .chunks(length)
        .map(|chain| chain.iter().map(score).collect())
        .collect()
}

/// Ranks from 1; ties share their mean.
pub fn ranks(values: &[f64]) -> Vec<f64> {
    let mut order: Vec<usize> = (0..values.len()).collect();
    order.sort_by(|a, b| values[*a].total_cmp(&values[*b]).then(a.cmp(b)));
    let mut ranks = vec![0.0; values.len()];
    let mut from = 0;
    while from < order.len() {
        let alike = order[from..]
            .iter()
            .take_while(|at| values[**at] == values[order[from]])
            .count();
        let rank = from as f64 + 0.5 * (alike as f64 + 1.0);
        for at in &order[from..from + alike] {
            ranks[*at] = rank;
        }
        from += alike;
    }
    ranks
}

fn r_hat(chains: &[Vec<f64>]) -> f64 {
    let n = chains[0].len() as f64;
    let means: Vec<f64> = chains.iter().map(|chain| mean(chain)).collect();
    let variances = chains
        .iter()
        .zip(&means)
        .map(|(chain, mean)| chain.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / (n - 1.0));
    let within = variances.sum::<f64>() / chains.len() as f64;
    let middle = mean(&means);
    let between =
        means.iter().map(|x| (x - middle).powi(2)).sum::<f64>() / (chains.len() as f64 - 1.0);
    (((n - 1.0) / n * within + between) / within).sqrt()
}

fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

/// Covariances at lags up to a third of the chain.
fn autocovariances(chain: &[f64], mean: f64) -> Vec<f64> {
    let n = chain.len();
    let most = (n / 3).min(1500);
    (0..most.max(1))
        .map(|lag| {
            let pairs = chain[..n - lag].iter().zip(&chain[lag..]);
            pairs.map(|(a, b)| (a - mean) * (b - mean)).sum::<f64>() / n as f64
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand::rngs::ChaCha12Rng;
    use rand::{Rng, SeedableRng};

    /// Chains `x' = r x + e`: their effective size is n (1 - r) / (1 + r).
    fn chains(r: f64, shift: f64, n: usize) -> Vec<Vec<f64>> {
        (0..4)
            .map(|stream| {
                let mut random = ChaCha12Rng::seed_from_u64(5);
                random.set_stream(stream);
                let mut x = 0.0;
                (0..n)
                    .map(|_| {
                        let u = ((random.next_u64() >> 11) as f64 + 0.5) / (1_u64 << 53) as f64;
                        x = r * x + (1.0 - r * r).sqrt() * normal::quantile(u);
                        x + shift * stream as f64
                    })
                    .collect()
            })
            .collect()
    }

    #[test]
    fn chains_that_have_met_are_told_from_those_that_have_not() {
        assert!(split_r_hat(&chains(0.5, 0.0, 2000)) < 1.01);
        assert!(split_r_hat(&chains(0.5, 0.5, 2000)) > 1.05);
        let mut wide = chains(0.0, 0.0, 2000);
        wide[0].iter_mut().for_each(|x| *x *= 3.0);
        assert!(split_r_hat(&wide) > 1.05, "means alike, spreads not");
    }

    #[test]
    fn the_effective_size_is_that_of_the_autocorrelation() {
        for r in [0.0, 0.5, 0.9] {
            let found = effective_size(&chains(r, 0.0, 5000));
            let expected = 20_000.0 * (1.0 - r) / (1.0 + r);
            assert!(
                (found / expected - 1.0).abs() < 0.15,
                "{r}: {found}, {expected}"
            );
        }
    }

    #[test]
    fn ties_share_a_rank() {
        assert_eq!(ranks(&[3.0, 1.0, 3.0, 0.0]), [3.5, 2.0, 3.5, 1.0]);
    }
}
