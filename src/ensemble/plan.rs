//! What an ensemble runs: a hive, a colony with its spread, parameters, winters, members and a seed.

use super::draws::Draws;
use super::spread::{ColonySpread, Override, most_likely, with_set_date};
use crate::colony::Colony;
use crate::hive::Hive;
use crate::normal;
use crate::parameter::Parameters;
use crate::season::{Forcing, Member, Site};

/// Standard deviations at which the spread of bees and stores is cut (own choice: one draw in 370 is moved).
const CUT_SD: f64 = 3.0;
/// Least bees and honey that a draw gives, as a share of the middle (own choice, so that a wide spread gives no empty hive).
const LEAST_SHARE: f64 = 0.05;

/// All that an ensemble needs.
#[derive(Clone, Debug)]
pub struct Plan {
    /// The hive.
    pub hive: Hive,
    /// Where it stands.
    pub site: Site,
    /// The colony.
    pub colony: ColonySpread,
    /// Parameters that the scenario sets.
    pub overrides: Vec<Override>,
    /// The winters; members are dealt to them in turn, so that each has as many.
    pub winters: Vec<Forcing>,
    /// Number of members, 1 or more.
    pub members: u32,
    /// Seed of all draws.
    pub seed: u64,
}

impl Plan {
    /// The winter of a member, as its number in [`Plan::winters`].
    #[must_use]
    pub fn winter_of(&self, member: u32) -> usize {
        member as usize % self.winters.len().max(1)
    }

    /// A member with its draws.
    #[must_use]
    pub fn member(&self, draws: &Draws, member: u32) -> Member {
        let uniform = |name: &str| draws.uniform(u64::from(member), name);
        let parameters = Parameters::from_rows(|number, row| {
            let probability = uniform(row.name);
            let set = self.overrides.iter().find(|set| set.row == number);
            set.map_or_else(
                || row.quantile(probability),
                |set| set.quantile(probability),
            )
        });
        let parameters = with_set_date(parameters, &self.overrides);
        let normal = |name: &str| normal::quantile(uniform(name)).clamp(-CUT_SD, CUT_SD);
        let c = &self.colony;
        let bees = c.bees * (1.0 + c.bees_spread * normal("bees")).max(LEAST_SHARE);
        let stores_kg =
            (c.stores_kg + c.stores_spread_kg * normal("stores")).max(LEAST_SHARE * c.stores_kg);
        Member {
            hive: with_fill(&self.hive, parameters.loose_fill_scale),
            colony: Colony { bees, stores_kg },
            parameters,
        }
    }

    /// The member without any spread: every parameter and the colony at their middle.
    #[must_use]
    pub fn middle(&self) -> Member {
        let parameters = most_likely(&self.overrides);
        Member {
            hive: with_fill(&self.hive, parameters.loose_fill_scale),
            colony: self.colony.mean(),
            parameters,
        }
    }
}

/// The hive with the conductivity of its loose fillings scaled.
fn with_fill(hive: &Hive, scale: f64) -> Hive {
    let mut hive = hive.clone();
    hive.scale_loose_fill(scale);
    hive
}
