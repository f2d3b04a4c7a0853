//! What an ensemble runs: a hive, a colony with its spread, parameters, winters, members and a seed.

use super::draws::Draws;
use super::statistics::normal_quantile;
use crate::colony::Colony;
use crate::hive::Hive;
use crate::parameter::{Parameter, Parameters};
use crate::season::{Forcing, Member, Site};

/// Standard deviations at which the spread of bees and stores is cut.
const CUT_SD: f64 = 3.0;
/// Least bees and honey that a draw gives, as a share of the middle.
const LEAST_SHARE: f64 = 0.05;

/// A colony at the start of winter as its keeper knows it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ColonySpread {
    /// Adult bees, the middle of the distribution.
    pub bees: f64,
    /// Standard deviation as a share of it.
    pub bees_spread: f64,
    /// Honey, kg, the middle of the distribution.
    pub stores_kg: f64,
    /// Standard deviation, kg.
    pub stores_spread_kg: f64,
}

/// A parameter that the scenario sets.
#[derive(Clone, Debug, PartialEq)]
pub struct Override {
    /// Its name in the parameter table.
    pub name: &'static str,
    /// What it is set to.
    pub value: OverrideValue,
}

/// What a scenario sets a parameter to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum OverrideValue {
    /// The same in every member.
    Fixed(f64),
    /// Drawn as the table's row is, between other ends.
    Range {
        /// Lowest value.
        low: f64,
        /// Most likely value.
        mode: f64,
        /// Highest value.
        high: f64,
    },
}

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
        let parameters = Parameters::from_rows(|_, row| self.value(row, uniform(row.name)));
        let normal = |name: &str| normal_quantile(uniform(name)).clamp(-CUT_SD, CUT_SD);
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
        let parameters = Parameters::from_rows(|_, row| match self.set(row) {
            None => row.default,
            Some(OverrideValue::Fixed(value) | OverrideValue::Range { mode: value, .. }) => value,
        });
        Member {
            hive: with_fill(&self.hive, parameters.loose_fill_scale),
            colony: Colony {
                bees: self.colony.bees,
                stores_kg: self.colony.stores_kg,
            },
            parameters,
        }
    }

    fn set(&self, row: &Parameter) -> Option<OverrideValue> {
        let set = self.overrides.iter().find(|set| set.name == row.name);
        set.map(|set| set.value)
    }

    fn value(&self, row: &Parameter, probability: f64) -> f64 {
        match self.set(row) {
            None => row.quantile(probability),
            Some(OverrideValue::Fixed(value)) => value,
            Some(OverrideValue::Range { low, mode, high }) => {
                row.quantile_between(low, mode, high, probability)
            }
        }
    }
}

/// The hive with the conductivity of its loose fillings scaled.
fn with_fill(hive: &Hive, scale: f64) -> Hive {
    let mut hive = hive.clone();
    hive.scale_loose_fill(scale);
    hive
}
