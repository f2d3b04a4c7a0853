//! Brood by stage: 3 days as egg, 6 as larva, 12 sealed; fed as larvae, limited by bees, the cold of weeks and the stores.

use crate::parameter::Parameters;
use serde::{Deserialize, Serialize};
use std::ops::Range;

/// Days from egg to emerging worker (published, any handbook: 3 as egg, 6 as larva, 12 sealed).
pub const REARING_DAYS: usize = 21;

/// A stage of brood.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stage {
    /// Warmed, not fed.
    Egg,
    /// Warmed and fed; the first to go when food lacks.
    Larva,
    /// Warmed, not fed.
    Sealed,
}

impl Stage {
    /// All stages, youngest first.
    pub const ALL: [Self; 3] = [Self::Egg, Self::Larva, Self::Sealed];

    /// Its days, counted from 0 at laying.
    #[must_use]
    pub const fn days(self) -> Range<usize> {
        match self {
            Self::Egg => 0..3,
            Self::Larva => 3..9,
            Self::Sealed => 9..REARING_DAYS,
        }
    }
}

/// Brood by day of life.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Brood {
    /// `cells[0]` laid today.
    cells: [f64; REARING_DAYS],
    laid: f64,
    lost: f64,
}

/// What became of the eggs of a winter.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct BroodCount {
    /// Eggs laid since the start.
    pub laid: f64,
    /// Larvae that starved.
    pub lost: f64,
    /// Brood of all stages.
    pub cells: f64,
}

/// What a day of brood rearing asks and gave.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct BroodDay {
    /// Bees that emerged.
    pub emerged: f64,
    /// Honey that the larvae need, kg.
    pub honey_kg: f64,
}

impl Brood {
    /// All cells with egg, larva or pupa.
    #[must_use]
    pub fn total(&self) -> f64 {
        self.cells.iter().sum()
    }

    /// Cells of one stage.
    #[must_use]
    pub fn of(&self, stage: Stage) -> f64 {
        self.cells[stage.days()].iter().sum()
    }

    /// Eggs laid and lost so far, and brood as it stands: those laid are lost, brood or emerged.
    #[must_use]
    pub fn count(&self) -> BroodCount {
        BroodCount {
            laid: self.laid,
            lost: self.lost,
            cells: self.total(),
        }
    }

    /// Ages the brood by a day: the oldest emerge, larvae ask for food, `eggs` are laid. A worker's honey is spread evenly over its days as larva.
    pub fn step(&mut self, eggs: f64, parameters: &Parameters) -> BroodDay {
        let emerged = self.cells[REARING_DAYS - 1];
        self.cells.copy_within(0..REARING_DAYS - 1, 1);
        self.cells[0] = eggs;
        self.laid += eggs;
        let fed = self.of(Stage::Larva) / Stage::Larva.days().len() as f64;
        BroodDay {
            emerged,
            honey_kg: fed * parameters.brood_honey_kg,
        }
    }

    /// Loses a share of the larvae, 0 to 1, as many as went without food: hungry bees eat them.
    pub fn starve(&mut self, share: f64) {
        for larvae in &mut self.cells[Stage::Larva.days()] {
            let lost = *larvae * share;
            *larvae -= lost;
            self.lost += lost;
        }
    }
}

/// What the queen can lay into on a day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Nest {
    /// Adult bees.
    pub bees: f64,
    /// Brood of all ages, cells.
    pub brood: f64,
    /// Most brood that each of them rears, cells.
    pub brood_per_bee: f64,
    /// Honey in the hive, kg.
    pub stores_kg: f64,
}

/// Eggs laid of those that the queen seeks to lay: no more than the bees can cover and feed, and less when stores are short.
#[must_use]
pub fn eggs_laid(sought: f64, nest: &Nest, parameters: &Parameters) -> f64 {
    let p = parameters;
    let most = nest.bees * nest.brood_per_bee;
    let plenty = if p.brood_stores_kg > 0.0 {
        (nest.stores_kg / p.brood_stores_kg).clamp(0.0, 1.0)
    } else {
        1.0
    };
    (sought * plenty).min((most - nest.brood).max(0.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_egg_becomes_a_bee_on_its_twenty_first_day_for_its_whole_food() {
        let p = Parameters::default();
        let mut brood = Brood::default();
        let mut honey_kg = brood.step(1000.0, &p).honey_kg;
        for day in 1..=REARING_DAYS {
            let step = brood.step(0.0, &p);
            honey_kg += step.honey_kg;
            assert_eq!(step.emerged, if day == REARING_DAYS { 1000.0 } else { 0.0 });
        }
        assert!((honey_kg - 1000.0 * p.brood_honey_kg).abs() < 1e-12);
        assert_eq!(brood.total(), 0.0);
    }

    #[test]
    fn brood_is_three_days_egg_six_larva_and_twelve_sealed_and_eats_as_larva() {
        let p = Parameters::default();
        let mut brood = Brood::default();
        let mut days = [0; 3];
        for day in 0..REARING_DAYS {
            let asked_kg = brood.step(if day == 0 { 1.0 } else { 0.0 }, &p).honey_kg;
            for (days, stage) in days.iter_mut().zip(Stage::ALL) {
                *days += usize::from(brood.of(stage) == 1.0);
            }
            assert_eq!(asked_kg > 0.0, brood.of(Stage::Larva) == 1.0);
        }
        assert_eq!(days, [3, 6, 12]);
    }

    #[test]
    fn every_egg_emerges_is_lost_or_is_still_brood() {
        let p = Parameters::default();
        let mut brood = Brood::default();
        let mut emerged = 0.0;
        for day in 0..80 {
            emerged += brood.step(f64::from(10 * day), &p).emerged;
            if day % 5 == 0 {
                brood.starve(0.3);
            }
        }
        let count = brood.count();
        assert!(count.lost > 0.0 && emerged > 0.0 && count.cells > 0.0);
        assert!((count.laid - count.lost - count.cells - emerged).abs() < 1e-8);
    }

    #[test]
    fn hunger_takes_larvae_and_leaves_eggs_and_sealed_brood() {
        let p = Parameters::default();
        let mut brood = Brood::default();
        for _ in 0..REARING_DAYS {
            brood.step(100.0, &p);
        }
        brood.starve(1.0);
        let left = Stage::ALL.map(|stage| brood.of(stage));
        assert_eq!(left, [300.0, 0.0, 1200.0]);
    }

    #[test]
    fn few_bees_or_scant_stores_limit_the_eggs() {
        let p = Parameters::default();
        let ample = Nest {
            bees: 20_000.0,
            brood: 300.0,
            brood_per_bee: p.brood_per_bee,
            stores_kg: 20.0,
        };
        let eggs = |nest: Nest| eggs_laid(800.0, &nest, &p);
        assert_eq!(eggs(ample), 800.0);
        let few = Nest {
            bees: 400.0 / p.brood_per_bee,
            ..ample
        };
        assert!((eggs(few) - 100.0).abs() < 1e-9);
        let short = Nest {
            stores_kg: 1.5,
            ..ample
        };
        assert_eq!(eggs(short), 400.0);
        let zero = Nest {
            stores_kg: 0.0,
            ..ample
        };
        assert_eq!(eggs(zero), 0.0);
    }
}
