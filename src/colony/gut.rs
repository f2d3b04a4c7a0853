//! What a bee holds back between cleansing flights: healthy bees void outside only, on days mild enough to fly.
//!
//! Faeces here are wet: husks of pollen, ash, wax and the water kept with them. How much a kilogram of food leaves is an own estimate between
//! the two to four months that bees outdoors are said to stand and the five to six of indoor wintering (from memory); see
//! `tests/validation/colony.rs`. The load is the mean of the bees that lived through the confinement: those that nurse carry more. It warns;
//! it kills no bee.

use super::day::HoneyUse;
use crate::parameter::Parameters;
use serde::Serialize;

/// Confinement and load of a bee.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Gut {
    /// Days since the last cleansing day, or the start.
    pub confined_days: f64,
    /// Faeces a bee, kg; at the start none, as if bees had just flown.
    pub load_kg: f64,
    /// Longest confinement so far, days.
    pub longest_days: f64,
    /// Highest load so far, kg a bee.
    pub highest_kg: f64,
}

impl Gut {
    /// Ends a day on which `bees` ate `eaten` and could fly out to void for `cleansing_h` hours.
    pub fn end_day(
        &mut self,
        eaten: &HoneyUse,
        bees: f64,
        cleansing_h: f64,
        parameters: &Parameters,
    ) {
        let p = parameters;
        if cleansing_h >= p.cleansing_hours {
            self.confined_days = 0.0;
            self.load_kg = 0.0;
            return;
        }
        let own_kg = eaten.heat_kg + eaten.activity_kg;
        let faeces_kg = own_kg * p.gut_residue_kg_kg + eaten.brood_kg * p.gut_brood_residue_kg_kg;
        self.confined_days += 1.0;
        self.load_kg += faeces_kg / bees;
        self.longest_days = self.longest_days.max(self.confined_days);
        self.highest_kg = self.highest_kg.max(self.load_kg);
    }

    /// Load as a share of the body's mass, as it stands.
    #[must_use]
    pub fn share(&self, parameters: &Parameters) -> f64 {
        self.load_kg / parameters.bee_mass_kg
    }

    /// Highest load so far as a share of the body's mass.
    #[must_use]
    pub fn highest_share(&self, parameters: &Parameters) -> f64 {
        self.highest_kg / parameters.bee_mass_kg
    }

    /// Whether it has been more than a bee can hold.
    #[must_use]
    pub fn past_limit(&self, parameters: &Parameters) -> bool {
        self.highest_share(parameters) > parameters.gut_limit_share
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const EATEN: HoneyUse = HoneyUse {
        heat_kg: 0.04,
        brood_kg: 0.01,
        activity_kg: 0.0,
    };

    #[test]
    fn a_bee_holds_what_it_ate_since_its_last_flight() {
        let p = Parameters::default();
        let mut gut = Gut::default();
        for _ in 0..50 {
            gut.end_day(&EATEN, 10_000.0, 0.0, &p);
        }
        let fifty = gut;
        assert_eq!(fifty.confined_days, 50.0);
        let day_kg = 4e-6 * p.gut_residue_kg_kg + 1e-6 * p.gut_brood_residue_kg_kg;
        assert!((fifty.load_kg / (50.0 * day_kg) - 1.0).abs() < 1e-12);
        gut.end_day(&EATEN, 10_000.0, p.cleansing_hours, &p);
        assert_eq!((gut.confined_days, gut.load_kg), (0.0, 0.0));
        gut.end_day(&EATEN, 10_000.0, 0.0, &p);
        assert_eq!((gut.longest_days, gut.highest_kg), (50.0, fifty.highest_kg));
    }

    #[test]
    fn fewer_bees_for_the_same_food_hold_more() {
        let p = Parameters::default();
        let after = |bees: f64| {
            let mut gut = Gut::default();
            gut.end_day(&EATEN, bees, 0.0, &p);
            gut.highest_share(&p)
        };
        assert!((after(5_000.0) / after(10_000.0) - 2.0).abs() < 1e-12);
    }
}
