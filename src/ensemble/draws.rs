//! Random numbers: one ChaCha stream a member, one uniform number a name.

use crate::parameter::{Spread, TABLE};
use rand::rngs::ChaCha12Rng;
use rand::{Rng, SeedableRng};
use serde::{Deserialize, Serialize};

/// Independent randomisations of a quasi-random sequence: enough to tell its error from, and few enough to leave each long (own choice; Owen 2013,
/// Monte Carlo theory, 17.3, has five to some tens).
pub const RANDOMISATIONS: u32 = 16;

/// How the uniform numbers of members are taken.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize, clap::ValueEnum,
)]
#[serde(rename_all = "snake_case")]
pub enum Sampling {
    /// Each at random by itself.
    #[default]
    #[value(help = "Each by itself")]
    Plain,
    /// Points of Sobol sequences that fill the space of all drawn names evenly, scrambled at random (Owen 1995; Burley 2020, J Comput Graph Tech 9:4),
    /// [`RANDOMISATIONS`] of them.
    ///
    /// On the sample, 320 members and 100 seeds (`tests/interval_coverage.rs`): the variance of the mean need falls twentyfold, that of the median
    /// three- to fourfold, that of the risk by more than a third; the need in 95 % of winters gains nothing, and its interval is a little wider, as
    /// sixteen randomisations tell less of their own spread.
    #[value(help = "Evenly along scrambled Sobol sequences: steadier means from as many members")]
    Sobol,
}

impl Sampling {
    /// What it adds to a number of members in words: "20 members along Sobol sequences".
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Plain => "",
            Self::Sobol => " along Sobol sequences",
        }
    }
}

/// The random numbers of a seed.
///
/// A draw depends on the seed, the member and the name of what is drawn, and on nothing else: not on the order of draws, on
/// threads, on how many hives are compared, or on which other things are drawn.
#[derive(Clone, Copy, Debug)]
pub struct Draws {
    seed: u64,
    /// Winters that members are dealt to, where points are those of Sobol sequences.
    sobol_over: Option<u32>,
}

impl Draws {
    /// Draws of `seed`.
    #[must_use]
    pub fn new(seed: u64) -> Self {
        Self {
            seed,
            sobol_over: None,
        }
    }

    /// Draws of `seed` from scrambled Sobol sequences, for members that are dealt in turn to so many winters, one or more.
    ///
    /// A block of members, one in each winter, goes to one randomisation, the next block to the next: each has its points spread over all winters. A
    /// member's draws depend on seed, member, name and the number of winters; a new parameter in the table may move those of others. Names that neither
    /// the table nor the colony has are drawn plainly.
    #[must_use]
    pub fn sobol(seed: u64, winters: u32) -> Self {
        Self {
            seed,
            sobol_over: Some(winters.max(1)),
        }
    }

    /// The randomisation of a member, below [`RANDOMISATIONS`].
    #[must_use]
    pub fn randomisation(member: u32, winters: u32) -> u32 {
        member / winters.max(1) % RANDOMISATIONS
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
        let sobol = self.sobol_over.zip(dimension(name));
        if let Some((winters, dimension)) = sobol {
            return self.point(member, winters, dimension);
        }
        self.plain(member, name)
    }

    fn plain(&self, member: u64, name: &str) -> f64 {
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

impl Draws {
    /// A coordinate of a member's point.
    fn point(&self, member: u64, winters: u32, dimension: u32) -> f64 {
        let (winters, randomisations) = (u64::from(winters), u64::from(RANDOMISATIONS));
        let block = member / winters;
        let place = block / randomisations * winters + member % winters;
        // The crate has 2^16 points of a sequence; what is beyond begins sequences anew.
        let sequence = block % randomisations + randomisations * (place >> POINTS_BITS);
        let index = (place & ((1 << POINTS_BITS) - 1)) as u32;
        let scramble = (self.plain(sequence, "sobol") * f64::from(u32::MAX)) as u32;
        // 24 bits and a half: never 0, never 1.
        f64::from(sobol_burley::sample(index, dimension, scramble)) + 0.5 / f64::from(1_u32 << 24)
    }
}

/// Points of a sequence, as a power of two.
const POINTS_BITS: u32 = 16;

/// Coordinate of a name: the colony's first, then what the table draws, then what a scenario may give a range.
fn dimension(name: &str) -> Option<u32> {
    let drawn = TABLE.iter().filter(|row| row.spread != Spread::Fixed);
    let fixed = TABLE.iter().filter(|row| row.spread == Spread::Fixed);
    let names = drawn.chain(fixed).map(|row| row.name);
    let place = ["bees", "stores"]
        .into_iter()
        .chain(names)
        .position(|known| known == name)?;
    u32::try_from(place)
        .ok()
        .filter(|place| *place < sobol_burley::NUM_DIMENSIONS)
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
    fn every_name_has_a_coordinate_of_its_own() {
        let names = TABLE.iter().map(|row| row.name).chain(["bees", "stores"]);
        let places: HashSet<Option<u32>> = names.clone().map(dimension).collect();
        assert_eq!(places.len(), names.count());
        assert!(!places.contains(&None));
        assert_eq!(dimension("nothing"), None);
    }

    #[test]
    fn points_of_a_randomisation_fill_every_sixteenth_alike_and_randomisations_differ() {
        let winters = 10_u32;
        let draws = Draws::sobol(1, winters);
        let members = 160 * winters * RANDOMISATIONS;
        let mut sixteenths = [0_u32; 16];
        let own = |member: &u32| Draws::randomisation(*member, winters) == 3;
        for member in (0..members).filter(own) {
            sixteenths[(draws.uniform(u64::from(member), "feed_loss") * 16.0) as usize] += 1;
        }
        assert_eq!(sixteenths, [100; 16]);
        assert_ne!(
            draws.uniform(0, "bees"),
            draws.uniform(u64::from(winters), "bees")
        );
        assert_ne!(
            draws.uniform(0, "bees"),
            Draws::sobol(2, winters).uniform(0, "bees")
        );
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
