//! Random numbers: a ChaCha stream for each colony and each set of what colonies share, one uniform number a name.

use super::crossing::{Crossing, SETS_TOGETHER};
use crate::parameter::{Scope, Spread, TABLE, find};
use rand::rngs::ChaCha12Rng;
use rand::{Rng, SeedableRng};
use serde::{Deserialize, Serialize};

/// Independent replicates of a quasi-random sequence: enough to tell its error from, and few enough to leave each long (own choice; Owen 2013,
/// Monte Carlo theory, 17.3, has five to some tens).
pub const REPLICATES: u32 = 16;

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
    /// [`REPLICATES`] of them.
    ///
    /// Colonies and sets of shared unknowns each have their own sequences. The more colonies a set meets, the more is gained; the chance of a hundred sets
    /// is gained on little, as each replicate has but a few of them.
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

/// First stream of the sets of shared unknowns; those of colonies and members lie below it.
const SETS: u64 = 1 << 63;

/// The random numbers of a seed.
///
/// A draw depends on the seed, the stream and the name of what is drawn, and on nothing else: not on the order of draws, on
/// threads, on how many hives are compared, or on which other things are drawn.
#[derive(Clone, Copy, Debug)]
pub struct Draws {
    seed: u64,
    /// How members are crossed and drawn; without it each has a stream of its own.
    crossed: Option<(Crossing, Sampling)>,
}

impl Draws {
    /// Draws of `seed`, each member with a stream of its own for everything.
    #[must_use]
    pub fn new(seed: u64) -> Self {
        Self {
            seed,
            crossed: None,
        }
    }

    /// Draws of `seed` for members that share what they share: what all colonies share comes from the stream of the member's set, all else from that of its
    /// colony.
    ///
    /// Along Sobol sequences, groups of sets are dealt to independent replicates in turn, with their colonies. A new parameter in the table may then
    /// move the draws of others. Names that neither the table nor the colony has are drawn plainly.
    #[must_use]
    pub fn crossed(seed: u64, crossing: Crossing, sampling: Sampling) -> Self {
        Self {
            seed,
            crossed: Some((crossing, sampling)),
        }
    }

    /// The replicate of a member, below [`REPLICATES`].
    #[must_use]
    pub fn replicate(member: u64, crossing: &Crossing) -> u32 {
        let group = member / crossing.group_members() % crossing.groups();
        (group % replicates(crossing)) as u32
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
        let Some((crossing, sampling)) = &self.crossed else {
            return self.plain(member, name);
        };
        let cell = crossing.cell(member);
        let is_shared = find(name).is_some_and(|row| row.scope == Scope::Shared);
        match (sampling, dimension(name)) {
            (Sampling::Sobol, Some(dimension)) => {
                self.point(member, crossing, is_shared, dimension)
            }
            _ if is_shared => self.plain(SETS + u64::from(cell.set), name),
            _ => self.plain(cell.colony.into(), name),
        }
    }

    fn plain(&self, stream: u64, name: &str) -> f64 {
        open_unit(self.stream(stream, name).next_u64())
    }

    /// As many uniform numbers as are wanted for `name`, the first as [`Draws::uniform`] has it; the following run through the places of other names, so
    /// nothing else may be drawn beside them.
    pub(super) fn uniforms(&self, member: u64, name: &str) -> impl Iterator<Item = f64> + use<> {
        let mut stream = self.stream(member, name);
        std::iter::repeat_with(move || open_unit(stream.next_u64()))
    }

    fn stream(&self, number: u64, name: &str) -> ChaCha12Rng {
        let mut stream = ChaCha12Rng::seed_from_u64(self.seed);
        stream.set_stream(number);
        // Two words a draw; 31 bits of place keep all names of the table apart, which a test checks.
        stream.set_word_pos(u128::from(place(name)) * 2);
        stream
    }
}

impl Draws {
    /// A coordinate of the point of a member's set, or of its colony.
    fn point(&self, member: u64, crossing: &Crossing, is_shared: bool, dimension: u32) -> f64 {
        let cell = crossing.cell(member);
        let (groups, among) = (crossing.groups(), replicates(crossing));
        let group = member / crossing.group_members();
        let (layer, own) = (group / groups, group % groups);
        let replicate = own % among;
        let (place, name) = if is_shared {
            let together = u64::from(SETS_TOGETHER);
            let within = u64::from(cell.set) % together;
            (own / among * together + within, "sobol of sets")
        } else {
            // Blocks of colonies that the replicate gets each time the sets are gone through.
            let each = (groups - replicate).div_ceil(among);
            let block = layer * each + own / among;
            let within = u64::from(cell.colony) % crossing.block();
            (block * crossing.block() + within, "sobol")
        };
        // The crate has 2^16 points of a sequence; what is beyond begins sequences anew.
        let sequence = replicate + u64::from(REPLICATES) * (place >> POINTS_BITS);
        let index = (place & ((1 << POINTS_BITS) - 1)) as u32;
        let scramble = (self.plain(sequence, name) * f64::from(u32::MAX)) as u32;
        // 24 bits and a half: never 0, never 1.
        f64::from(sobol_burley::sample(index, dimension, scramble)) + 0.5 / f64::from(1_u32 << 24)
    }
}

/// Randomisations that groups of sets are dealt to: fewer than usual where there are fewer groups.
fn replicates(crossing: &Crossing) -> u64 {
    crossing.groups().min(REPLICATES.into())
}

/// Points of a sequence, as a power of two.
const POINTS_BITS: u32 = 16;

/// Coordinate of a name among those of its scope: the colony's first, then what the table draws, then what a scenario may give a range.
fn dimension(name: &str) -> Option<u32> {
    let scope = find(name).map_or(Scope::Colony, |row| row.scope);
    let own = || TABLE.iter().filter(|row| row.scope == scope);
    let drawn = own().filter(|row| row.spread != Spread::Fixed);
    let fixed = own().filter(|row| row.spread == Spread::Fixed);
    let colony = (scope == Scope::Colony).then_some(["bees", "stores"]);
    let names = drawn.chain(fixed).map(|row| row.name);
    let place = colony
        .into_iter()
        .flatten()
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

/// Place of a name in a stream: FNV-1a, folded to 31 bits.
fn place(name: &str) -> u32 {
    let hash = name.bytes().fold(0x811c_9dc5_u32, |hash, byte| {
        (hash ^ u32::from(byte)).wrapping_mul(0x0100_0193)
    });
    hash >> 1
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::{HashMap, HashSet};

    #[test]
    fn every_drawn_name_has_a_place_of_its_own() {
        let others = [
            "bees",
            "stores",
            "winter",
            "sobol",
            "sobol of sets",
            "bootstrap of need",
            "bootstrap of risk",
        ];
        let names = TABLE.iter().map(|row| row.name).chain(others);
        let places: HashSet<u32> = names.clone().map(place).collect();
        assert_eq!(places.len(), names.count());
    }

    #[test]
    fn every_name_has_a_coordinate_of_its_own_within_its_scope() {
        let scope = |name: &str| find(name).map_or(Scope::Colony, |row| row.scope);
        for wanted in [Scope::Shared, Scope::Colony] {
            let names = TABLE.iter().map(|row| row.name).chain(["bees", "stores"]);
            let names = names.filter(|name| scope(name) == wanted);
            let places: HashSet<Option<u32>> = names.clone().map(dimension).collect();
            assert_eq!(places.len(), names.count());
            assert!(!places.contains(&None));
        }
        assert_eq!(dimension("nothing"), None);
    }

    #[test]
    fn members_of_a_set_share_what_is_shared_and_those_of_a_colony_the_rest() {
        let crossing = Crossing::new(10, 20);
        for sampling in [Sampling::Plain, Sampling::Sobol] {
            let draws = Draws::crossed(4, crossing, sampling);
            let members = 0..2 * crossing.members();
            let (mut sets, mut colonies) = (HashMap::new(), HashMap::new());
            for member in members {
                let cell = crossing.cell(member);
                let shared = draws.uniform(member, "resting_w_kg").to_bits();
                let own = draws.uniform(member, "bees").to_bits();
                assert_eq!(*sets.entry(cell.set).or_insert(shared), shared);
                assert_eq!(*colonies.entry(cell.colony).or_insert(own), own);
            }
            let distinct = |of: &HashMap<u32, u64>| of.values().collect::<HashSet<_>>().len();
            assert_eq!((distinct(&sets), sets.len()), (20, 20), "{sampling:?}");
            assert_eq!((distinct(&colonies), colonies.len()), (80, 80));
        }
    }

    #[test]
    fn no_stream_of_a_set_is_that_of_a_colony() {
        let draws = Draws::new(1);
        assert_ne!(draws.plain(SETS, "bees"), draws.plain(0, "bees"));
        let crossing = Crossing::new(1, 1_000_000);
        assert!(u64::from(crossing.cell(u64::from(u32::MAX)).colony) < SETS);
    }

    #[test]
    fn points_of_a_randomisation_fill_every_sixteenth_alike_and_randomisations_differ() {
        let crossing = Crossing::new(10, 80);
        let draws = Draws::crossed(1, crossing, Sampling::Sobol);
        // Every replicate gets ten colonies of each group of five sets, each of which meets them once.
        let members = 160 * crossing.members();
        let mut sixteenths = [0_u32; 16];
        let own = |member: &u64| Draws::replicate(*member, &crossing) == 3;
        for member in (0..members).filter(own) {
            sixteenths[(draws.uniform(member, "stores") * 16.0) as usize] += 1;
        }
        assert_eq!(sixteenths, [500; 16]);
        let next = crossing.group_members();
        for name in ["bees", "resting_w_kg"] {
            assert_ne!(draws.uniform(0, name), draws.uniform(next, name));
            let other = Draws::crossed(2, crossing, Sampling::Sobol);
            assert_ne!(draws.uniform(0, name), other.uniform(0, name));
        }
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
