//! Shared sets met by the same colonies: what of an output is the set's, and what is left to colonies.
//!
//! Sets are dealt to blocks, and within a block every set meets every colony of it. In each block the two-way analysis of variance (Fisher 1925; the
//! textbook's) takes off what is the colony's, so a few colonies a set suffice; blocks differ in their colonies, so all winters count.

use super::statistics::mean;

/// Colonies that each set meets (own choice: two would leave little to tell colonies' chance by).
pub(super) const COLONIES: usize = 4;
/// Sets of a block (own choice).
const SETS: usize = 16;

/// Sets by number, dealt to blocks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Blocks {
    /// Sets.
    pub sets: usize,
}

/// An output set by set.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct BySet {
    /// Mean over colonies of each set, less what its block's colonies differ from others.
    pub means: Vec<f64>,
    /// Variance of the true means over sets: without what the few colonies of each add by chance; 0 where that is all.
    pub variance: f64,
}

impl Blocks {
    /// Number of blocks.
    fn count(self) -> usize {
        (self.sets / SETS).max(1)
    }

    /// Runs of a set with a colony: `(set, colony)` of each, set by set.
    pub fn pairs(self) -> impl Iterator<Item = (usize, usize)> {
        let pair = move |set: usize| {
            (0..COLONIES).map(move |place| (set, COLONIES * (set % self.count()) + place))
        };
        (0..self.sets).flat_map(pair)
    }

    /// Takes an output of [`Blocks::pairs`] apart. Pairs without a number (a colony that died before) count as the mean of the colony in other sets; none
    /// where a colony has no number at all.
    pub fn by_set(self, outputs: &[f64]) -> Option<BySet> {
        let grand = {
            let all: Vec<f64> = outputs.iter().copied().filter(|v| v.is_finite()).collect();
            (!all.is_empty()).then(|| mean(&all))?
        };
        let mut means = vec![0.0; self.sets];
        let (mut of_sets, mut of_rest, mut free_sets, mut free_rest) = (0.0, 0.0, 0.0, 0.0);
        for block in 0..self.count() {
            let sets: Vec<usize> = (block..self.sets).step_by(self.count()).collect();
            let own = |set: usize| &outputs[COLONIES * set..COLONIES * (set + 1)];
            let mut colonies = [0.0; COLONIES];
            for (place, colony) in colonies.iter_mut().enumerate() {
                let told = sets.iter().map(|set| own(*set)[place]);
                let told: Vec<f64> = told.filter(|v| v.is_finite()).collect();
                *colony = (!told.is_empty()).then(|| mean(&told))?;
            }
            // Off the colony's mean; a pair without a number is as its colony is.
            let off = |set: usize, place: usize| {
                let off = own(set)[place] - colonies[place];
                if off.is_finite() { off } else { 0.0 }
            };
            for set in &sets {
                let offs: Vec<f64> = (0..COLONIES).map(|place| off(*set, place)).collect();
                let of_set = mean(&offs);
                means[*set] = grand + of_set;
                of_sets += COLONIES as f64 * of_set * of_set;
                of_rest += offs
                    .iter()
                    .map(|o| (o - of_set) * (o - of_set))
                    .sum::<f64>();
            }
            let free = sets.len() as f64 - 1.0;
            free_sets += free;
            free_rest += free * (COLONIES as f64 - 1.0);
        }
        if free_sets <= 0.0 {
            return None;
        }
        let variance = (of_sets / free_sets - of_rest / free_rest) / COLONIES as f64;
        Some(BySet {
            means,
            variance: variance.max(0.0),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ensemble::Draws;
    use crate::normal;

    /// Set's, colony's and left-over parts with these standard deviations.
    fn outputs(blocks: Blocks, seed: u64, [set_sd, colony_sd, rest_sd]: [f64; 3]) -> Vec<f64> {
        let draws = Draws::new(seed);
        let z = |number: usize, name: &str| normal::quantile(draws.uniform(number as u64, name));
        blocks
            .pairs()
            .enumerate()
            .map(|(number, (set, colony))| {
                5.0 + set_sd * z(set, "set")
                    + colony_sd * z(colony, "colony")
                    + rest_sd * z(number, "rest")
            })
            .collect()
    }

    #[test]
    fn every_set_meets_colonies_that_others_meet_too() {
        let blocks = Blocks { sets: 128 };
        let pairs: Vec<_> = blocks.pairs().collect();
        assert_eq!(pairs.len(), 512);
        for colony in 0..32 {
            let met = pairs.iter().filter(|pair| pair.1 == colony).count();
            assert_eq!(met, 16, "{colony}");
        }
        assert_eq!(Blocks { sets: 5 }.pairs().map(|pair| pair.1).max(), Some(3));
    }

    /// However much colonies differ, the variance over sets is that of the sets: over 40 repeats it is 1 in the mean, give or take three standard errors
    /// of some 0.03.
    #[test]
    fn what_colonies_differ_by_is_not_taken_for_what_sets_do() {
        let blocks = Blocks { sets: 64 };
        for rest_sd in [0.0, 2.0] {
            let found = (0..40).map(|seed| {
                let outputs = outputs(blocks, seed, [1.0, 5.0, rest_sd]);
                blocks.by_set(&outputs).expect("numbers").variance
            });
            let mean = found.sum::<f64>() / 40.0;
            assert!((mean - 1.0).abs() < 0.15, "{rest_sd}: {mean}");
        }
    }

    #[test]
    fn sets_that_do_not_differ_have_hardly_a_variance() {
        let blocks = Blocks { sets: 128 };
        let outputs = outputs(blocks, 3, [0.0, 5.0, 1.0]);
        let found = blocks.by_set(&outputs).expect("numbers");
        assert!(found.variance < 0.06, "{}", found.variance);
    }

    #[test]
    fn a_missing_number_is_as_its_colony_and_a_colony_without_any_tells_nothing() {
        let blocks = Blocks { sets: 8 };
        let mut outputs = outputs(blocks, 1, [0.0, 3.0, 0.0]);
        outputs[5] = f64::NAN;
        let found = blocks.by_set(&outputs).expect("numbers");
        assert!(found.variance < 1e-12 && found.means.iter().all(|m| m.is_finite()));
        for set in 0..8 {
            outputs[4 * set] = f64::NAN;
        }
        assert_eq!(blocks.by_set(&outputs), None);
        assert_eq!(Blocks { sets: 1 }.by_set(&[1.0; 4]), None);
    }
}
