//! Brood: eggs laid by date, bees and stores; 21 days from egg to bee, fed as larvae.

use super::metabolism::smooth_step;
use crate::parameter::Parameters;

/// Days from egg to emerging worker (published, any handbook: 3 as egg, 6 as larva, 12 sealed).
pub const REARING_DAYS: usize = 21;
/// First and last day of life, counted from 0 at laying, on which a larva is fed.
const FED_DAYS: std::ops::Range<usize> = 3..9;

/// Brood by day of life: `cells[0]` laid today.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Brood {
    cells: [f64; REARING_DAYS],
}

/// What a day of brood rearing took and gave.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct BroodDay {
    /// Bees that emerged.
    pub emerged: f64,
    /// Honey fed, kg.
    pub honey_kg: f64,
}

impl Brood {
    /// All cells with egg, larva or pupa.
    #[must_use]
    pub fn total(&self) -> f64 {
        self.cells.iter().sum()
    }

    /// Ages the brood by a day: the oldest emerge, larvae are fed, `eggs` are laid.
    pub fn step(&mut self, eggs: f64, parameters: &Parameters) -> BroodDay {
        let emerged = self.cells[REARING_DAYS - 1];
        self.cells.copy_within(0..REARING_DAYS - 1, 1);
        self.cells[0] = eggs;
        let fed = self.cells[FED_DAYS].iter().sum::<f64>() / FED_DAYS.len() as f64;
        BroodDay {
            emerged,
            honey_kg: fed * parameters.brood_honey_kg,
        }
    }
}

/// Eggs that the queen lays on a day, before any limit: from the start day it rises smoothly to the peak.
///
/// `day` counts from 1 January of the winter's second year as 1; the last days of the first year are 0 and below. The smooth
/// step has the slow start of the brood nest in deep winter; after the peak day laying stays at its peak.
#[must_use]
pub fn eggs_sought(day: f64, parameters: &Parameters) -> f64 {
    let rise = (day - parameters.brood_start_day)
        / (parameters.brood_peak_day - parameters.brood_start_day);
    parameters.peak_eggs_per_day * smooth_step(rise).0
}

/// What the queen can lay into on a day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Nest {
    /// Adult bees.
    pub bees: f64,
    /// Brood of all ages, cells.
    pub brood: f64,
    /// Mean volume of the core, m3: what bees keep at brood temperature. It shrinks as the cold draws the cluster tight.
    pub core_m3: f64,
    /// Honey in the hive, kg.
    pub stores_kg: f64,
}

/// Eggs laid on a day: those sought, no more than the core holds and the bees can feed, and less when stores are short.
#[must_use]
pub fn eggs_laid(day: f64, nest: &Nest, parameters: &Parameters) -> f64 {
    let p = parameters;
    let most = (nest.bees * p.brood_per_bee).min(nest.core_m3 * p.brood_cells_m3);
    let plenty = if p.brood_stores_kg > 0.0 {
        (nest.stores_kg / p.brood_stores_kg).clamp(0.0, 1.0)
    } else {
        1.0
    };
    (eggs_sought(day, p) * plenty).min((most - nest.brood).max(0.0))
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
    fn no_egg_before_the_start_day_and_the_peak_after_the_peak_day() {
        let p = Parameters::default();
        assert_eq!(eggs_sought(p.brood_start_day - 1.0, &p), 0.0);
        assert_eq!(eggs_sought(p.brood_peak_day + 5.0, &p), p.peak_eggs_per_day);
    }

    #[test]
    fn few_bees_a_tight_core_or_scant_stores_limit_the_eggs() {
        let p = Parameters::default();
        let ample = Nest {
            bees: 20_000.0,
            brood: 300.0,
            core_m3: 6e-3,
            stores_kg: 20.0,
        };
        let eggs = |nest: Nest| eggs_laid(120.0, &nest, &p);
        assert_eq!(eggs(ample), p.peak_eggs_per_day);
        assert!(
            (eggs(Nest {
                bees: 500.0,
                ..ample
            }) - 100.0)
                .abs()
                < 1e-9
        );
        assert!(
            (eggs(Nest {
                core_m3: 2e-4,
                ..ample
            }) - 160.0)
                .abs()
                < 1e-9
        );
        assert_eq!(
            eggs(Nest {
                stores_kg: 1.5,
                ..ample
            }),
            0.5 * p.peak_eggs_per_day
        );
        assert_eq!(
            eggs(Nest {
                stores_kg: 0.0,
                ..ample
            }),
            0.0
        );
    }
}
