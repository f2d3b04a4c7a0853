//! Feed that a keeper gives in the course of a winter: fondant or dry sugar over the cluster, syrup into combs.
//!
//! Feed counts as the honey that its sugar makes, less what taking it in costs the bees. Solid feed is laid over the cluster and in reach at
//! once. Syrup stands in its feeder until warm hours, and what the cold overtakes there feeds no one.
//! Weak: feeding also sets bees flying, robbing and rearing brood, and late syrup brings water; none of this is in it.

use crate::parameter::Parameters;
use serde::{Deserialize, Serialize};

/// Volume that a kilogram of sugar takes up in water, m3/kg (from memory: 0.62 to 0.63 l/kg; 2:1 syrup then weighs 1.33 kg a litre and holds
/// 0.89 kg of sugar, as advice on feeding has it).
const SUGAR_M3_KG: f64 = 0.625e-3;
const WATER_M3_KG: f64 = 1e-3;

/// Density of syrup of a share of sugar by mass, kg/m3.
///
/// ```
/// let kg_m3 = overwinter::colony::feeding::syrup_kg_m3(2.0 / 3.0);
/// assert!((kg_m3 - 1333.0).abs() < 1.0 && (kg_m3 * 2.0 / 3.0 - 890.0).abs() < 2.0);
/// ```
#[must_use]
pub fn syrup_kg_m3(sugar_share: f64) -> f64 {
    1.0 / (sugar_share * SUGAR_M3_KG + (1.0 - sugar_share) * WATER_M3_KG)
}

/// Most feeds of one winter.
pub const MOST_FEEDS: usize = 16;

/// What is fed.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub enum FeedKind {
    /// Fondant or candy; its sugar is [`Parameters::fondant_sugar_share`].
    Fondant,
    /// Dry sugar.
    Sugar,
    /// Sugar dissolved in water; the sugar's share of the mass, 0 to 1.
    Syrup {
        /// Two to one by mass is 2/3.
        sugar_share: f64,
    },
}

/// Feed given on a day of every winter.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Feed {
    /// Month and day, not 29 February.
    pub on: (i8, i8),
    /// What it is.
    pub kind: FeedKind,
    /// As weighed out, with its water, kg.
    pub kg: f64,
}

impl Feed {
    /// Sugar in it, kg.
    #[must_use]
    pub fn sugar_kg(&self, parameters: &Parameters) -> f64 {
        let share = match self.kind {
            FeedKind::Fondant => parameters.fondant_sugar_share,
            FeedKind::Sugar => 1.0,
            FeedKind::Syrup { sugar_share } => sugar_share,
        };
        share * self.kg
    }

    /// The stores that its sugar makes, with the loss of taking it in still counted in, kg.
    #[must_use]
    pub fn offered_kg(&self, parameters: &Parameters) -> f64 {
        self.sugar_kg(parameters) * parameters.sugar_stores_kg_kg
    }
}

/// What became of all feed so far, as stores, kg: offered is stored, lost and in the feeder together.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct FeedCount {
    /// Feeds brought.
    pub brought: u32,
    /// As weighed out.
    pub brought_kg: f64,
    /// Stores that the sugar makes.
    pub offered_kg: f64,
    /// Of it, what came to the combs or over the cluster.
    pub stored_kg: f64,
    /// What bees used for taking it in.
    pub lost_kg: f64,
}

impl FeedCount {
    /// Not taken from the feeder, as stores, kg.
    #[must_use]
    pub fn waiting_kg(&self) -> f64 {
        self.offered_kg - self.stored_kg - self.lost_kg
    }

    /// Takes in so much of what was offered; what of it comes to the stores, kg.
    fn take(&mut self, offered_kg: f64, parameters: &Parameters) -> f64 {
        let lost_kg = parameters.feed_loss * offered_kg;
        let stored_kg = offered_kg - lost_kg;
        self.lost_kg += lost_kg;
        self.stored_kg += stored_kg;
        stored_kg
    }
}

/// Feed on a hive and what became of it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Feeder {
    /// What became of all feed.
    pub count: FeedCount,
    /// Syrup that stands in it, kg.
    syrup_kg: f64,
    /// What its sugar would make, kg.
    syrup_offered_kg: f64,
}

impl Feeder {
    /// A keeper brings feed; what of it lies over the cluster at once, as stores, kg.
    pub fn bring(&mut self, feed: &Feed, parameters: &Parameters) -> f64 {
        let offered_kg = feed.offered_kg(parameters);
        self.count.brought += 1;
        self.count.brought_kg += feed.kg;
        self.count.offered_kg += offered_kg;
        if let FeedKind::Syrup { .. } = feed.kind {
            self.syrup_kg += feed.kg;
            self.syrup_offered_kg += offered_kg;
            return 0.0;
        }
        self.count.take(offered_kg, parameters)
    }

    /// Ends a day of so many hours warm enough for syrup; what `bees_kg` of bees took to combs with room for `room_kg`, as stores, kg.
    pub fn end_day(
        &mut self,
        warm_h: f64,
        (bees_kg, room_kg): (f64, f64),
        parameters: &Parameters,
    ) -> f64 {
        if self.syrup_offered_kg <= 0.0 {
            return 0.0;
        }
        let p = parameters;
        let most_kg = (p.syrup_uptake_per_h * warm_h * bees_kg).min(room_kg / (1.0 - p.feed_loss));
        let share = (most_kg / self.syrup_offered_kg).min(1.0);
        let taken_kg = share * self.syrup_offered_kg;
        self.syrup_offered_kg -= taken_kg;
        self.syrup_kg *= 1.0 - share;
        self.count.take(taken_kg, parameters)
    }

    /// What a scale shows of all feed, less what was brought, kg: 0 or below, since syrup that is taken in leaves its water and what that costs.
    #[must_use]
    pub fn on_hive_kg(&self) -> f64 {
        self.syrup_kg + self.count.stored_kg - self.count.brought_kg
    }

    /// Syrup that stands in it, kg.
    #[must_use]
    pub fn syrup_kg(&self) -> f64 {
        self.syrup_kg
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SYRUP: Feed = Feed {
        on: (9, 10),
        kind: FeedKind::Syrup {
            sugar_share: 2.0 / 3.0,
        },
        kg: 12.0,
    };

    #[test]
    fn combs_that_are_full_leave_syrup_in_its_feeder() {
        let p = Parameters::default();
        let mut feeder = Feeder::default();
        feeder.bring(&SYRUP, &p);
        let stored_kg: f64 = (0..60)
            .map(|day| feeder.end_day(8.0, (1.7, if day < 2 { 0.25 } else { 0.0 }), &p))
            .sum();
        assert!((stored_kg - 0.5).abs() < 1e-9 && feeder.syrup_kg() > 10.0);
    }

    /// Common practice: a kilogram of sugar makes about 1.1 kg of stores.
    #[test]
    fn a_kilogram_of_sugar_makes_about_a_kilogram_and_a_tenth_of_stores() {
        let p = Parameters::default();
        let mut feeder = Feeder::default();
        let sugar = Feed {
            kind: FeedKind::Sugar,
            kg: 1.0,
            ..SYRUP
        };
        let stored_kg = feeder.bring(&sugar, &p);
        assert!((stored_kg - 1.1).abs() < 0.03, "{stored_kg}");
        let fondant = Feed {
            kind: FeedKind::Fondant,
            ..sugar
        };
        assert!(feeder.bring(&fondant, &p) < stored_kg);
    }

    #[test]
    fn syrup_waits_for_warm_hours_and_every_gram_of_it_is_named() {
        let p = Parameters::default();
        let mut feeder = Feeder::default();
        assert_eq!(feeder.bring(&SYRUP, &p), 0.0);
        assert_eq!(feeder.end_day(0.0, (1.7, 50.0), &p), 0.0);
        assert_eq!(feeder.syrup_kg(), 12.0);
        let first_kg = feeder.end_day(8.0, (1.7, 50.0), &p);
        assert!(first_kg > 0.0 && feeder.syrup_kg() < 12.0);
        let count = feeder.count;
        assert!((count.waiting_kg() - feeder.syrup_offered_kg).abs() < 1e-12);
        let stored_kg: f64 = (0..60).map(|_| feeder.end_day(8.0, (1.7, 50.0), &p)).sum();
        let offered_kg = 8.0 * p.sugar_stores_kg_kg;
        assert!((first_kg + stored_kg - (1.0 - p.feed_loss) * offered_kg).abs() < 1e-9);
        assert!(feeder.syrup_kg() < 1e-9 && feeder.count.waiting_kg().abs() < 1e-9);
    }
}
