//! What an ensemble runs: a hive, a colony with its spread, parameters, winters, members and a seed.

use super::crossing::Crossing;
use super::draws::{Draws, Sampling};
use super::ensemble_error::EnsembleError;
use super::shared_draws::SharedDraws;
use super::spread::{ColonySpread, Override, OverrideValue, most_likely, with_set_date};
use crate::colony::Colony;
use crate::hive::Hive;
use crate::normal;
use crate::parameter::{Parameter, Parameters, Posterior, Spread, TABLE};
use crate::season::{Forcing, Member, Site};
use std::sync::Arc;

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
    /// How they are taken.
    pub sampling: Sampling,
    /// What is known of parameters that all colonies share after a measurement, in place of their ranges.
    pub shared_draws: Option<Arc<SharedDraws>>,
    /// Sets of what all colonies share, a multiple of [`SETS_TOGETHER`](super::SETS_TOGETHER).
    pub shared_sets: u32,
}

impl Plan {
    /// The winter of a member, as its number in [`Plan::winters`].
    #[must_use]
    pub fn winter_of(&self, member: u32) -> usize {
        member as usize % self.winters.len().max(1)
    }

    /// Which members share the unknowns of all colonies, and which the colony.
    #[must_use]
    pub fn crossing(&self) -> Crossing {
        Crossing::new(self.winters.len() as u32, self.shared_sets)
    }

    /// The draws of all members.
    #[must_use]
    pub fn draws(&self) -> Draws {
        Draws::crossed(self.seed, self.crossing(), self.sampling)
    }

    /// A member with its draws.
    #[must_use]
    pub fn member(&self, draws: &Draws, member: u32) -> Member {
        self.member_at(&|name| draws.uniform(u64::from(member), name))
    }

    /// The member for which each drawn name stands at a probability, 0 to 1 without the ends, of its distribution: every parameter's, "bees" and "stores".
    #[must_use]
    pub fn member_at(&self, probability: &dyn Fn(&str) -> f64) -> Member {
        let known = self.shared_draws.as_deref();
        let chosen = known.and_then(SharedDraws::chooser).map(probability);
        let parameters = Parameters::from_rows(|number, row| {
            let set = self.overrides.iter().find(|set| set.row == number);
            let known = || {
                known
                    .zip(chosen)
                    .and_then(|(known, at)| known.value(number, at))
            };
            set.map(|set| set.quantile(probability(row.name)))
                .or_else(known)
                .unwrap_or_else(|| value(row, probability))
        });
        let parameters = with_set_date(parameters, &self.overrides);
        Member {
            hive: with_fill(&self.hive, parameters.loose_fill_scale),
            colony: Colony {
                bees: self.bees_at(probability("bees"), self.colony.bees),
                stores_kg: self.stores_kg_at(probability("stores"), self.colony.stores_kg),
                ..self.colony.mean()
            },
            parameters,
        }
    }

    /// Bees of a member round a middle, spread as those of the colony.
    pub(super) fn bees(&self, draws: &Draws, member: u32, middle: f64) -> f64 {
        self.bees_at(draws.uniform(u64::from(member), "bees"), middle)
    }

    fn bees_at(&self, probability: f64, middle: f64) -> f64 {
        middle * (1.0 + self.colony.bees_spread * deviate(probability)).max(LEAST_SHARE)
    }

    /// Honey of a member round a middle, spread as that of the colony, kg.
    pub(super) fn stores_kg(&self, draws: &Draws, member: u32, middle_kg: f64) -> f64 {
        self.stores_kg_at(draws.uniform(u64::from(member), "stores"), middle_kg)
    }

    fn stores_kg_at(&self, probability: f64, middle_kg: f64) -> f64 {
        // As well known in proportion as at the start.
        let spread_kg = self.colony.stores_spread_kg * (middle_kg / self.colony.stores_kg);
        let spread_kg = spread_kg * deviate(probability);
        (middle_kg + spread_kg).max(LEAST_SHARE * middle_kg)
    }

    /// Whether members differ in a parameter, by its number in the table.
    #[must_use]
    pub fn is_drawn(&self, number: usize) -> bool {
        match self.overrides.iter().find(|set| set.row == number) {
            None => {
                let known = self.shared_draws.as_ref();
                let row = TABLE.get(number);
                row.is_some_and(|row| row.spread != Spread::Fixed)
                    || known.is_some_and(|known| known.value(number, 0.5).is_some())
            }
            Some(set) => matches!(set.value, OverrideValue::Range { low, high, .. } if low < high),
        }
    }

    /// That there is something to run.
    pub(super) fn check(&self) -> Result<(), EnsembleError> {
        if self.members == 0 || self.winters.is_empty() {
            return Err(EnsembleError::Nothing {
                members: self.members,
                winters: self.winters.len(),
            });
        }
        Ok(())
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

/// The value of a row of the table where each name stands at a probability. What all colonies share passes through here alone: what is known of it
/// together from measurements, where one value makes another likelier, takes the probabilities of several names for one value ([`Posterior`]).
fn value(row: &Parameter, probability: &dyn Fn(&str) -> f64) -> f64 {
    let fitted = Posterior::built_in().value(row.name, probability);
    fitted.unwrap_or_else(|| row.quantile(probability(row.name)))
}

/// A standard normal deviate, cut at [`CUT_SD`].
fn deviate(probability: f64) -> f64 {
    normal::quantile(probability).clamp(-CUT_SD, CUT_SD)
}

/// The hive with the conductivity of its loose fillings scaled.
fn with_fill(hive: &Hive, scale: f64) -> Hive {
    let mut hive = hive.clone();
    hive.scale_loose_fill(scale);
    hive
}
