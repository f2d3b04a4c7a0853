//! Adult bees by cohort: the winter bees that the colony starts with, and bees reared in winter by the day on which they emerged.
//!
//! Winter bees die at one rate, whatever their age, which no one knows on the first day. Bees reared in winter age by work: a day of
//! full nursing is a day of life, a day at rest a part of one; their lives are spread round the mean as Weibull. Cold that makes bees
//! work hard for heat wears both kinds. Weak: winter bees that nurse in spring are taken to die no faster for it, and age at first
//! flight, mites and disease are not in it. Held against published lives and populations in `tests/validation/colony.rs`.

use crate::parameter::Parameters;
use serde::{Deserialize, Serialize};

/// Bees that emerged on one day.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Cohort {
    bees: f64,
    /// Age in days of full work.
    worn_d: f64,
}

/// What bees did on a day, as far as it shortens their lives.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Toil {
    /// Nursing, 0 at rest to 1: brood cells against the most that the bees can rear.
    pub nursing: f64,
    /// Heating in the cold, 0 to 1.
    pub cold: f64,
}

/// Bees by kind, and what became of the others.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Headcount {
    /// Alive of those at the start.
    pub winter: f64,
    /// Alive of those that emerged since.
    pub reared: f64,
    /// Emerged since the start.
    pub emerged: f64,
    /// Died since the start: bees at the start and those that emerged, less those alive.
    pub died: f64,
}

/// The adult bees of a colony.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Bees {
    winter: f64,
    reared: Vec<Cohort>,
    emerged: f64,
    died: f64,
}

impl Bees {
    /// So many winter bees.
    #[must_use]
    pub fn new(winter: f64) -> Self {
        Self {
            winter,
            ..Self::default()
        }
    }

    /// So many times as many, alike in age and kind.
    pub fn scale(&mut self, factor: f64) {
        self.winter *= factor;
        for cohort in &mut self.reared {
            cohort.bees *= factor;
        }
    }

    /// All adult bees.
    #[must_use]
    pub fn total(&self) -> f64 {
        self.winter + self.reared()
    }

    fn reared(&self) -> f64 {
        // From 0: the sum of nothing would be -0.
        self.reared
            .iter()
            .fold(0.0, |sum, cohort| sum + cohort.bees)
    }

    /// By kind.
    #[must_use]
    pub fn headcount(&self) -> Headcount {
        Headcount {
            winter: self.winter,
            reared: self.reared(),
            emerged: self.emerged,
            died: self.died,
        }
    }

    /// Ends a day: of those alive some die, then `emerging` bees join them.
    pub fn end_day(&mut self, emerging: f64, toil: Toil, parameters: &Parameters) {
        let p = parameters;
        let cold = 1.0 + p.cold_wear * toil.cold;
        let dying = self.winter * p.mortality_per_day * cold;
        self.winter -= dying;
        self.died += dying;

        let pace = p.rest_ageing + (1.0 - p.rest_ageing) * toil.nursing;
        // Weibull: the hazard summed up to an age is (age / scale) ^ shape, the mean life scale x Gamma(1 + 1 / shape).
        let scale_d = p.reared_life_days / libm::tgamma(1.0 + 1.0 / p.reared_life_shape);
        let hazard = |age_d: f64| libm::pow(age_d / scale_d, p.reared_life_shape);
        for cohort in &mut self.reared {
            let older_d = cohort.worn_d + pace;
            let risk = (hazard(older_d) - hazard(cohort.worn_d)) * cold;
            let dying = -cohort.bees * libm::expm1(-risk);
            cohort.bees -= dying;
            cohort.worn_d = older_d;
            self.died += dying;
        }
        if emerging > 0.0 {
            self.emerged += emerging;
            self.reared.push(Cohort {
                bees: emerging,
                worn_d: 0.0,
            });
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Mean life of a thousand bees that emerge on one day, in days.
    fn mean_life_d(toil: Toil) -> f64 {
        let p = Parameters::default();
        let mut bees = Bees::new(0.0);
        bees.end_day(1000.0, toil, &p);
        let mut life_d = 0.0;
        for _ in 0..2000 {
            let before = bees.total();
            bees.end_day(0.0, toil, &p);
            life_d += 0.5 * (before + bees.total());
        }
        life_d / 1000.0
    }

    #[test]
    fn bees_that_nurse_live_the_mean_life_and_those_at_rest_longer() {
        let p = Parameters::default();
        let nursing = mean_life_d(Toil {
            nursing: 1.0,
            cold: 0.0,
        });
        assert!((nursing / p.reared_life_days - 1.0).abs() < 1e-3);
        let resting = mean_life_d(Toil::default());
        assert!((resting * p.rest_ageing / p.reared_life_days - 1.0).abs() < 1e-3);
    }

    #[test]
    fn young_bees_die_less_than_old_ones() {
        let p = Parameters::default();
        let mut bees = Bees::new(0.0);
        let toil = Toil {
            nursing: 1.0,
            cold: 0.0,
        };
        bees.end_day(1000.0, toil, &p);
        let mut share = || {
            let before = bees.total();
            bees.end_day(0.0, toil, &p);
            1.0 - bees.total() / before
        };
        let shares: Vec<f64> = (0..60).map(|_| share()).collect();
        assert!(shares.is_sorted() && shares[59] > 20.0 * shares[2]);
    }

    #[test]
    fn cold_work_wears_both_kinds() {
        let p = Parameters::default();
        let after = |cold: f64| {
            let mut bees = Bees::new(10_000.0);
            for _ in 0..30 {
                bees.end_day(100.0, Toil { nursing: 0.5, cold }, &p);
            }
            bees.headcount()
        };
        let (easy, hard) = (after(0.0), after(1.0));
        assert!(hard.winter < easy.winter && hard.reared < easy.reared);
    }

    #[test]
    fn bees_at_the_start_and_those_that_emerged_are_alive_or_dead() {
        let p = Parameters::default();
        let mut bees = Bees::new(15_500.0);
        for day in 0..200 {
            let toil = Toil {
                nursing: f64::from(day % 10) / 10.0,
                cold: f64::from(day % 7) / 7.0,
            };
            bees.end_day(f64::from(day % 30), toil, &p);
        }
        let count = bees.headcount();
        assert!(count.reared > 0.0 && count.winter > 0.0);
        let sum = count.winter + count.reared + count.died;
        assert!((sum - 15_500.0 - count.emerged).abs() < 1e-8);
    }
}
