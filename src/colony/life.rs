//! A colony from day to day: it eats, ages, breeds, moves over its stores, and may end.

use super::bees::{Bees, Toil};
use super::brood::{Brood, Nest, eggs_laid};
use super::cluster::Cluster;
use super::combs::{Combs, Place, Placement};
use super::day::{Day, HoneyUse};
use super::feeding::{Feed, Feeder};
use super::gut::Gut;
use super::laying::{Laying, NestCold};
use super::stores::Stores;
use crate::parameter::Parameters;
use serde::{Deserialize, Serialize};

/// How a winter ended for a colony.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum End {
    /// Alive at first forage.
    Alive,
    /// No honey was left in the hive for longer than bees live from their crops.
    StoresRanOut,
    /// No honey in reach for longer than bees live from their crops, while some remained elsewhere.
    Stranded,
    /// The mantle was too cold for too long, or too few bees were left.
    Chilled,
}

impl End {
    /// All ends, in the order of reports.
    pub const ALL: [Self; 4] = [
        Self::Alive,
        Self::StoresRanOut,
        Self::Stranded,
        Self::Chilled,
    ];

    /// In words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Alive => "alive at first forage",
            Self::StoresRanOut => "stores ran out",
            Self::Stranded => "stranded",
            Self::Chilled => "chilled or too few bees",
        }
    }
}

/// A colony at the start of winter, and what it is fed in its course.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Colony {
    /// Adult bees.
    pub bees: f64,
    /// Honey in the hive, kg.
    pub stores_kg: f64,
    /// Where it stands, and the cluster.
    pub placement: Placement,
    /// Feed that its keeper gives, [`MOST_FEEDS`](super::feeding::MOST_FEEDS) at most.
    pub feeds: Vec<Feed>,
}

/// A colony on its way through a winter.
#[derive(Clone, Debug)]
pub struct Life {
    /// Adult bees by cohort.
    pub bees: Bees,
    /// Brood by age.
    pub brood: Brood,
    /// The queen.
    pub laying: Laying,
    /// How cold the nest has been of late.
    pub nest_cold: NestCold,
    /// What bees hold back until they can fly.
    pub gut: Gut,
    /// Honey by seam and box.
    pub stores: Stores,
    /// Feed that was brought.
    pub feeder: Feeder,
    /// What the honey went to.
    pub used: HoneyUse,
    /// Honey used before the first egg, kg: what a build saves of it brood does not take again.
    pub before_brood_kg: f64,
    /// Most by which use was ahead of feed so far, kg: what the stores at the start must at least hold.
    pub drawn_kg: f64,
    /// Stores never limited brood nor feeding so far: the colony would have used as much with more.
    pub unlimited: bool,
    fed: bool,
    hungry_days: f64,
}

impl Life {
    /// A colony at the start of winter on its combs.
    #[must_use]
    pub fn new(colony: &Colony, combs: Combs, parameters: &Parameters) -> Self {
        let full_kg_m2 = parameters.comb_honey_kg_m2;
        Self {
            bees: Bees::new(colony.bees),
            brood: Brood::default(),
            laying: Laying::default(),
            nest_cold: NestCold::default(),
            gut: Gut::default(),
            stores: Stores::new(colony.stores_kg, combs, &colony.placement, full_kg_m2),
            feeder: Feeder::default(),
            used: HoneyUse::default(),
            before_brood_kg: 0.0,
            drawn_kg: 0.0,
            unlimited: true,
            fed: false,
            hungry_days: 0.0,
        }
    }

    /// From now on it eats its stores and, where they lack, as if more were always at hand, lays as if stores were ample and lives to the end: so is the honey
    /// found that a winter would have taken.
    pub fn feed(&mut self) {
        self.fed = true;
    }

    /// Its keeper finds so much honey, and from now on it is as one that was never fed by [`Life::feed`]: where the honey stands, it
    /// stands in the seams as before.
    pub fn found(&mut self, stores_kg: f64) {
        self.fed = false;
        self.unlimited = true;
        self.hungry_days = 0.0;
        self.stores.set_total(stores_kg);
    }

    /// Its keeper brings feed to a cluster that covers `seams`.
    pub fn bring(&mut self, feed: &Feed, seams: f64, parameters: &Parameters) {
        let over_kg = self.feeder.bring(feed, parameters);
        self.stores.lay_over(over_kg, seams);
    }

    /// Its keeper lays so much honey, or what counts as honey, over a cluster that covers `seams`: fondant, candy, sugar.
    pub fn give(&mut self, feed_kg: f64, seams: f64) {
        self.stores.lay_over(feed_kg, seams);
    }

    /// The cluster that these bees and this brood form.
    #[must_use]
    pub fn cluster(&self, parameters: &Parameters) -> Cluster {
        let bees_kg = self.bees.total() * parameters.bee_mass_kg;
        Cluster::new(bees_kg, self.brood.total(), parameters)
    }

    /// Where its cluster is, when it covers `seams` seams.
    #[must_use]
    pub fn place(&self, seams: f64) -> Place {
        self.stores.place(seams)
    }

    /// Ends a day: the cold may have killed the colony, syrup is taken in, honey is eaten, bees die and emerge, eggs are laid; `Some` when the colony has ended.
    pub fn end_day(&mut self, day: &Day, parameters: &Parameters) -> Option<End> {
        let p = parameters;
        let bees = self.bees.total();
        let mass_kg = bees * p.bee_mass_kg;
        let room_kg = self.stores.room_kg();
        let syrup_kg = self.feeder.end_day(day.syrup_h, (mass_kg, room_kg), p);
        self.stores.store(syrup_kg);
        let stores_kg = self.lays_from_kg();
        let nest = Nest {
            bees,
            brood: self.brood.total(),
            brood_per_bee: self.nest_cold.brood_per_bee(day.nest_c, p),
            stores_kg,
        };
        let sought = self.laying.eggs_sought(day, p);
        self.unlimited &= stores_kg >= p.brood_stores_kg || sought == 0.0;
        let brood = self.brood.step(eggs_laid(sought, &nest, p), p);

        let wish = HoneyUse {
            heat_kg: day.heat_j / p.honey_heat_j_kg,
            brood_kg: brood.honey_kg,
            activity_kg: p.flight_share * day.flight_heat_j / p.honey_heat_j_kg,
        };
        let chilled = (!self.fed && day.chilled).then_some(End::Chilled);
        let (eaten, end) = self.eat(&wish, day, p);
        let end = chilled.or(end);
        if eaten.brood_kg < wish.brood_kg {
            self.brood.starve(1.0 - eaten.brood_kg / wish.brood_kg);
        }
        if self.brood.count().laid == 0.0 {
            self.before_brood_kg = self.used.total_kg();
        }
        let ahead_kg = self.used.total_kg() - self.feeder.count.stored_kg;
        self.drawn_kg = self.drawn_kg.max(ahead_kg);
        self.gut.end_day(&eaten, bees, day.cleansing_h, p);

        let heat_w_kg = day.heat_j / 86_400.0 / mass_kg;
        let toil = Toil {
            nursing: (nest.brood / (bees * p.brood_per_bee)).min(1.0),
            cold: ((heat_w_kg - p.cold_wear_start_w_kg)
                / (p.cold_wear_full_w_kg - p.cold_wear_start_w_kg))
                .clamp(0.0, 1.0),
        };
        self.bees.end_day(brood.emerged, toil, p);
        let lost = !self.fed && self.bees.total() < p.fewest_bees;
        end.or(lost.then_some(End::Chilled))
    }

    /// Honey that the queen's laying answers to, kg.
    fn lays_from_kg(&self) -> f64 {
        if self.fed {
            f64::INFINITY
        } else {
            self.stores.total_kg()
        }
    }

    /// Eats as wished, or of every use the share that stores in reach allow; what was eaten, and whether that ended the colony.
    fn eat(
        &mut self,
        wish: &HoneyUse,
        day: &Day,
        parameters: &Parameters,
    ) -> (HoneyUse, Option<End>) {
        let seams = day.seams;
        let wish_kg = wish.total_kg();
        let mut share = 1.0;
        let mut end = None;
        let crossed = day.could_cross && self.stores.cross(seams);
        if day.could_climb && !crossed {
            self.stores.climb(seams);
        }
        let meal = self.stores.eat(wish_kg, seams);
        if meal.missing_kg <= 0.0 {
            self.hungry_days = 0.0;
        } else if !self.fed {
            self.unlimited = false;
            share = meal.eaten_kg / wish_kg;
            self.hungry_days += 1.0 - share;
            if self.hungry_days > parameters.crop_reserve_days {
                // What is left would not have fed it for a day.
                let none_left = self.stores.total_kg() < wish_kg;
                end = Some(if none_left {
                    End::StoresRanOut
                } else {
                    End::Stranded
                });
            }
        }
        let eaten = HoneyUse {
            heat_kg: share * wish.heat_kg,
            brood_kg: share * wish.brood_kg,
            activity_kg: share * wish.activity_kg,
        };
        self.used.heat_kg += eaten.heat_kg;
        self.used.brood_kg += eaten.brood_kg;
        self.used.activity_kg += eaten.activity_kg;
        (eaten, end)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const BEES: f64 = 15_000.0;
    const STORES_KG: f64 = 10.0;

    /// A colony in a deep box of so many seams.
    fn life(seams: u32) -> Life {
        let colony = Colony {
            bees: BEES,
            stores_kg: STORES_KG,
            ..Colony::default()
        };
        let combs = Combs {
            seams,
            boxes: 1,
            pitch_m: 0.035,
            box_height_m: 0.244,
            length_m: 0.465,
        };
        Life::new(&colony, combs, &Parameters::default())
    }

    fn day(number: f64, heat_w: f64) -> Day {
        Day {
            day: number,
            daylight_h: 9.0,
            outside_c: -5.0,
            heat_j: heat_w * 86_400.0,
            seams: 6.0,
            nest_c: 5.0,
            ..Day::default()
        }
    }

    #[test]
    fn a_watt_takes_near_seven_grams_a_day() {
        let p = Parameters::default();
        let mut life = life(9);
        assert_eq!(life.end_day(&day(-30.0, 1.0), &p), None);
        assert!((life.used.total_kg() - 6.75e-3).abs() < 1e-5);
    }

    #[test]
    fn every_gram_of_stores_is_used_or_left() {
        let p = Parameters::default();
        let mut life = life(9);
        for number in -60..100 {
            if life.end_day(&day(f64::from(number), 7.0), &p).is_some() {
                break;
            }
        }
        let sum_kg = life.used.total_kg() + life.stores.total_kg();
        assert!((sum_kg - STORES_KG).abs() < 1e-9);
    }

    #[test]
    fn a_day_too_cold_for_too_long_ends_a_colony_unless_it_is_run_as_if_fed() {
        let p = Parameters::default();
        let cold = Day {
            chilled: true,
            ..day(-30.0, 10.0)
        };
        assert_eq!(life(9).end_day(&cold, &p), Some(End::Chilled));
        let mut fed = life(9);
        fed.feed();
        assert_eq!(fed.end_day(&cold, &p), None);
    }

    #[test]
    fn a_colony_kept_from_moving_strands_and_one_that_moves_does_not() {
        let p = Parameters::default();
        let run = |warm: bool| {
            let mut life = life(10);
            let narrow = Day {
                seams: 2.0,
                could_climb: warm,
                could_cross: warm,
                ..day(-90.0, 10.0)
            };
            (0..60).find_map(|_| life.end_day(&narrow, &p))
        };
        assert_eq!(run(false), Some(End::Stranded));
        assert_eq!(run(true), None);
    }

    #[test]
    fn a_fed_colony_uses_what_it_wishes_and_never_ends() {
        let p = Parameters::default();
        let mut life = life(9);
        life.feed();
        for number in 0..150 {
            assert_eq!(life.end_day(&day(f64::from(number), 20.0), &p), None);
        }
        assert!(life.used.heat_kg > 2.0 * STORES_KG);
    }

    #[test]
    fn hard_heating_ages_bees() {
        let p = Parameters::default();
        let left = |heat_w: f64| {
            let mut life = life(9);
            life.end_day(&day(-30.0, heat_w), &p);
            life.bees.total()
        };
        assert!(left(30.0) < left(5.0));
    }

    #[test]
    fn every_bee_and_every_egg_is_accounted_for_in_a_hungry_spring() {
        let p = Parameters::default();
        let mut life = life(9);
        let mut days = 0;
        for number in -40..110 {
            days += 1;
            let warm = Day {
                could_climb: true,
                could_cross: true,
                ..day(f64::from(number), 10.0)
            };
            if life.end_day(&warm, &p).is_some() {
                break;
            }
        }
        let (bees, brood) = (life.bees.headcount(), life.brood.count());
        assert!(days < 150 && brood.lost > 0.0, "{days} days, {brood:?}");
        let alive = bees.winter + bees.reared;
        assert!((alive + bees.died - BEES - bees.emerged).abs() < 1e-8);
        assert!((brood.laid - brood.lost - brood.cells - bees.emerged).abs() < 1e-8);
    }

    #[test]
    fn brood_takes_its_food_as_larvae_a_few_days_after_laying_began() {
        let p = Parameters::default();
        let mut life = life(9);
        let p = Parameters {
            brood_start_per_day: 0.0,
            brood_start_day: 10.0,
            ..p
        };
        let first = |life: &mut Life, is: fn(&Life) -> bool| {
            (0..40)
                .map(f64::from)
                .find(|number| {
                    life.end_day(&day(*number, 7.0), &p);
                    is(life)
                })
                .expect("a day")
        };
        let laid = first(&mut life.clone(), |life| life.brood.total() > 0.0);
        let fed = first(&mut life, |life| life.used.brood_kg > 0.0);
        assert_eq!((laid, fed), (p.brood_start_day + 1.0, laid + 3.0));
    }
}
