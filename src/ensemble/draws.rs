//! Random numbers: one ChaCha stream a member, one uniform number a name.

use rand::rngs::ChaCha12Rng;
use rand::{Rng, SeedableRng};

/// The random numbers of a seed.
///
/// A draw depends on the seed, the member and the name of what is drawn, and on nothing else: not on the order of draws, on
/// threads, on how many hives are compared, or on which other things are drawn.
#[derive(Clone, Copy, Debug)]
pub struct Draws {
    seed: u64,
}

impl Draws {
    /// Draws of `seed`.
    #[must_use]
    pub fn new(seed: u64) -> Self {
        Self { seed }
    }

    /// A uniform number in the open interval 0 to 1 for `name` of a member.
    ///
    /// ```
    /// use overwinter::ensemble::Draws;
    /// let draws = Draws::new(7);
    /// assert_eq!(draws.uniform(3, "stores"), Draws::new(7).uniform(3, "stores"));
    /// assert_ne!(draws.uniform(3, "stores"), draws.uniform(4, "stores"));
    /// assert_ne!(draws.uniform(3, "stores"), draws.uniform(3, "bees"));
    /// ```
    #[must_use]
    pub fn uniform(&self, member: u64, name: &str) -> f64 {
        open_unit(self.stream(member, name).next_u64())
    }

    /// As many uniform numbers as are wanted for `name`, the first as [`Draws::uniform`] has it; the following run through the places of other names, so
    /// nothing else may be drawn beside them.
    pub(super) fn uniforms(&self, member: u64, name: &str) -> impl Iterator<Item = f64> + use<> {
        let mut stream = self.stream(member, name);
        std::iter::repeat_with(move || open_unit(stream.next_u64()))
    }

    fn stream(&self, member: u64, name: &str) -> ChaCha12Rng {
        let mut stream = ChaCha12Rng::seed_from_u64(self.seed);
        stream.set_stream(member);
        // Two words a draw; 31 bits of place keep all names of the table apart, which a test checks.
        stream.set_word_pos(u128::from(place(name)) * 2);
        stream
    }
}

/// 53 random bits and a half: never 0, never 1.
fn open_unit(bits: u64) -> f64 {
    ((bits >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
}

/// Place of a name in a member's stream: FNV-1a, folded to 31 bits.
fn place(name: &str) -> u32 {
    let hash = name.bytes().fold(0x811c_9dc5_u32, |hash, byte| {
        (hash ^ u32::from(byte)).wrapping_mul(0x0100_0193)
    });
    hash >> 1
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parameter::TABLE;
    use std::collections::HashSet;

    #[test]
    fn every_drawn_name_has_a_place_of_its_own() {
        let others = [
            "bees",
            "stores",
            "winter",
            "bootstrap of need",
            "bootstrap of risk",
        ];
        let names = TABLE.iter().map(|row| row.name).chain(others);
        let places: HashSet<u32> = names.clone().map(place).collect();
        assert_eq!(places.len(), names.count());
    }

    #[test]
    fn the_first_of_many_is_the_one() {
        let draws = Draws::new(9);
        let first = draws.uniforms(4, "bees").next();
        assert_eq!(first, Some(draws.uniform(4, "bees")));
    }

    #[test]
    fn draws_are_uniform() {
        let draws = Draws::new(1);
        let n = 4000_u64;
        let mut tenths = [0_u32; 10];
        for member in 0..n {
            tenths[(draws.uniform(member, "resting_w_kg") * 10.0) as usize] += 1;
        }
        // Binomial(4000, 0.1) has a standard deviation of 19.
        assert!(
            tenths.iter().all(|count| count.abs_diff(400) < 80),
            "{tenths:?}"
        );
    }

    #[test]
    fn names_are_drawn_independently() {
        let draws = Draws::new(1);
        let n = 4000_u64;
        let sum: f64 = (0..n)
            .map(|i| (draws.uniform(i, "bees") - 0.5) * (draws.uniform(i, "stores") - 0.5))
            .sum();
        // Correlation of 4000 pairs has a standard deviation of 0.016.
        assert!((sum / n as f64 * 12.0).abs() < 0.06);
    }
}
