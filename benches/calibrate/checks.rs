//! What must hold before a posterior is committed, and after it was.

use crate::copula::quantile;
use crate::diagnostics::{effective_size, split_r_hat};
use crate::sampler::Chain;
use crate::target::Target;
use overwinter::ensemble::Draws;
use overwinter::evidence::{Evidence, Predictor, shared};
use overwinter::parameter::Parameters;
use overwinter::parameter::posterior::{ChainRow, Posterior};

/// Largest difference of means, in standard deviations of the chain, and of standard deviations, as a share, on every row of the evidence. Both are of the model's
/// figure with the measurement's own error, as z has them: what a Gaussian copula loses of a narrow figure must not show in how far a value is off.
pub const MEAN_WITHIN: f64 = 0.2;
pub const SD_WITHIN: f64 = 0.2;
/// Seed of draws from the committed posterior.
const SEED: u64 = 11;

/// Mean and standard deviation of values, the outer half percent on each side drawn in to the rest: one draw in a far corner, where an emulator runs away, must not decide.
pub fn moments(mut values: Vec<f64>) -> (f64, f64) {
    values.sort_by(f64::total_cmp);
    let (low, high) = (quantile(&values, 0.005), quantile(&values, 0.995));
    let drawn_in = || values.iter().map(|value| value.clamp(low, high));
    let count = values.len() as f64;
    let mean = drawn_in().sum::<f64>() / count;
    let square = drawn_in().map(|x| (x - mean).powi(2)).sum::<f64>();
    (mean, (square / (count - 1.0)).sqrt())
}

/// Worst split R-hat and least effective size, with the unknowns that have them.
pub struct Met {
    pub r_hat: (f64, String),
    pub size: (f64, String),
}

pub fn met(target: &Target<'_>, chains: &[Chain]) -> Met {
    let mut met = Met {
        r_hat: (0.0, String::new()),
        size: (f64::INFINITY, String::new()),
    };
    for (number, name) in target.unknowns.names().iter().enumerate() {
        let of: Vec<Vec<f64>> = chains
            .iter()
            .map(|chain| chain.draws.iter().map(|draw| draw[number]).collect())
            .collect();
        let (r_hat, size) = (split_r_hat(&of), effective_size(&of));
        if r_hat > met.r_hat.0 {
            met.r_hat = (r_hat, name.clone());
        }
        if size < met.size.0 {
            met.size = (size, name.clone());
        }
    }
    met
}

/// Draws from a posterior, names drawn independently.
pub fn copula_draws(posterior: &Posterior, count: u64) -> Vec<Parameters> {
    let draws = Draws::new(SEED);
    (0..count)
        .map(|member| shared(posterior, &|name| draws.uniform(member, name)))
        .collect()
}

/// Rows on which predictions differ from what the chain gave by more than is allowed, each with its difference in words; `noise` widens what is allowed by as many standard errors of the draws.
pub fn differing(
    evidence: &Evidence,
    chain: &[ChainRow],
    predicted: &[Vec<Option<f64>>],
    noise: f64,
    only: impl Fn(usize) -> bool,
) -> Vec<String> {
    let mut differing = Vec::new();
    for (number, row) in evidence.rows.iter().enumerate() {
        if !only(number) {
            continue;
        }
        let Some(of_chain) = chain.iter().find(|of_chain| of_chain.id == row.id) else {
            differing.push(format!("{}: the posterior was made without it", row.id));
            continue;
        };
        let values: Vec<f64> = predicted
            .iter()
            .filter_map(|values| values[number])
            .collect();
        let count = values.len() as f64;
        let (mean, sd) = moments(values);
        let with_error = |sd: f64| sd.hypot(row.sd);
        let off = (mean - of_chain.mean) / with_error(of_chain.sd);
        let wider = with_error(sd) / with_error(of_chain.sd) - 1.0;
        let (off_by, wider_by) = (noise / count.sqrt(), noise / (2.0 * count).sqrt());
        if !(off.abs() <= MEAN_WITHIN + off_by && wider.abs() <= SD_WITHIN + wider_by) {
            differing.push(format!(
                "{}: mean {mean:.4} against {:.4}, sd {sd:.4} against {:.4}",
                row.id, of_chain.mean, of_chain.sd
            ));
        }
    }
    differing
}

/// Root mean squares of model less emulator over points of the posterior, by number of row; none for quick rows.
pub fn emulator_errors(
    target: &Target<'_>,
    predictor: &Predictor<'_>,
    scores: &[Vec<f64>],
    count: usize,
) -> Vec<Option<f64>> {
    let points: Vec<&Vec<f64>> = (0..count)
        .map(|index| &scores[(2 * index + 1) * scores.len() / (2 * count)])
        .collect();
    let sets: Vec<Parameters> = points
        .iter()
        .map(|scores| target.unknowns.parameters(scores))
        .collect();
    let truth = predictor.all(&sets);
    let emulated: Vec<Vec<Option<f64>>> = points
        .iter()
        .map(|scores| target.predicted(scores))
        .collect();
    (0..target.emulators.len())
        .map(|row| {
            target.emulators[row].as_ref()?;
            let pairs = truth.iter().zip(&emulated);
            let squares: Vec<f64> = pairs
                .filter_map(|(model, emulated)| Some((model[row]? - emulated[row]?).powi(2)))
                .collect();
            Some((squares.iter().sum::<f64>() / squares.len() as f64).sqrt())
        })
        .collect()
}
