//! What advances a state, and who watches it.

use super::balance::Balance;
use super::instant::Weather;
use super::ledger::Ledger;
use super::season_error::SeasonError;
use super::solver::Solver;
use super::state::State;
use super::wetness::Dampness;
use crate::colony::Life;
use crate::parameter::Parameters;

/// What an observer is shown every hour.
#[derive(Clone, Copy, Debug)]
pub struct Watch<'a> {
    /// Hours from the start of the winter, at the hour's end.
    pub hour: usize,
    /// Weather at the hive then.
    pub weather: Weather,
    /// Temperatures then.
    pub state: &'a State,
    /// What its water means.
    pub dampness: Dampness,
    pub(super) dry_kg: f64,
    /// Seams that the cluster covers.
    pub seams: f64,
    /// The balance that holds on this day.
    pub balance: &'a Balance,
    /// The colony on this day.
    pub life: &'a Life,
    /// Heat since the start.
    pub ledger: &'a Ledger,
    pub(super) parameters: &'a Parameters,
}

impl Watch<'_> {
    /// What the hive weighs then, bees and honey as at the last midnight, kg.
    #[must_use]
    pub fn gross_kg(&self) -> f64 {
        gross_kg(self.dry_kg, self.state, self.life, self.parameters)
    }
}

/// A way to advance a state by an hour: the [`Solver`], or another integrator that it is held against.
pub trait Advance {
    /// Advances `state` by an hour of weather that runs straight from `from` to `to`, and books the heat.
    ///
    /// # Errors
    /// When no state is found.
    fn hour(
        &mut self,
        balance: &Balance,
        state: &mut State,
        from: &Weather,
        to: &Weather,
        ledger: &mut Ledger,
    ) -> Result<(), SeasonError>;
}

impl Advance for Solver {
    fn hour(
        &mut self,
        balance: &Balance,
        state: &mut State,
        from: &Weather,
        to: &Weather,
        ledger: &mut Ledger,
    ) -> Result<(), SeasonError> {
        let stepped = Solver::hour(self, balance, state, (from, to), ledger);
        match stepped.map_err(|mut failed| failed.pop()) {
            Err(Some((_, error))) => Err(error),
            _ => Ok(()),
        }
    }
}

/// What a hive weighs at some hour with all that is in it, kg, of which `dry_kg` are hive, frames and empty comb without the water of the layers.
pub(super) fn gross_kg(dry_kg: f64, state: &State, life: &Life, parameters: &Parameters) -> f64 {
    dry_kg + state.water.on_hive_kg() + colony_kg(life, parameters)
}

/// Bees, brood, honey and feed, kg.
pub(super) fn colony_kg(life: &Life, parameters: &Parameters) -> f64 {
    let p = parameters;
    life.bees.total() * p.bee_mass_kg
        + life.brood.total() * p.brood_cell_kg
        + life.stores.total_kg()
        + life.feeder.syrup_kg()
}
