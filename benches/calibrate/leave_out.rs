//! How far the model is off each row without the row's source: Pareto-smoothed where that can be trusted, else by a chain without it.

use crate::sampler::{Length, chains};
use crate::target::Target;
use overwinter::evidence::leave_out::miss;
use overwinter::evidence::psis::{LARGEST_K, Smoothed};
use overwinter::evidence::{Draw, Miss, Predictor, misses};

/// Draws that weights are made of.
const DRAWS: usize = 4000;

/// A miss, and whether its source was left out by a chain of its own.
pub struct LeftOut {
    pub miss: Miss,
    pub refitted: bool,
}

/// Misses of all rows that can be predicted.
pub fn left_out(
    predictor: &Predictor<'_>,
    target: &Target<'_>,
    scores: &[Vec<f64>],
    length: Length,
    seed: u64,
) -> Vec<LeftOut> {
    let evidence = target.evidence();
    let sd = target.emulator_sd();
    let draws = draws(target, scores);
    let mut all: Vec<LeftOut> = misses(evidence, &draws, &sd)
        .into_iter()
        .map(|miss| LeftOut {
            miss,
            refitted: false,
        })
        .collect();
    for (number, (source, rows)) in evidence.sources().into_iter().enumerate() {
        let k = rows
            .iter()
            .filter_map(|row| all[*row].miss.k)
            .fold(0.0, f64::max);
        if k <= LARGEST_K {
            continue;
        }
        eprintln!("  {source}: k {k:.2}, fitted again without it");
        let emulators = target.emulators.clone();
        let without = Target::new(predictor, target.unknowns.clone(), emulators, |other| {
            other == source
        });
        let chains = chains(&without, 4, length, seed + 1 + number as u64);
        let scores: Vec<Vec<f64>> = chains.into_iter().flat_map(|chain| chain.draws).collect();
        let draws = self::draws(&without, &scores);
        let even = Smoothed {
            weights: vec![1.0 / draws.len() as f64; draws.len()],
            k: None,
        };
        for row in rows {
            let found = miss(evidence, row, &draws, sd[row], &even);
            all[row] = LeftOut {
                // What the model gives with the source is of the whole fit.
                miss: Miss {
                    model: all[row].miss.model,
                    ..found
                },
                refitted: true,
            };
        }
    }
    all
}

/// Draws of a chain with their predictions, spread evenly over it.
pub fn draws(target: &Target<'_>, scores: &[Vec<f64>]) -> Vec<Draw> {
    use rayon::prelude::*;
    let count = DRAWS.min(scores.len());
    let spread = (0..count).into_par_iter();
    spread
        .map(|index| target.draw(&scores[(2 * index + 1) * scores.len() / (2 * count)]))
        .collect()
}
