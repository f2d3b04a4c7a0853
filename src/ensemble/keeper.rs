//! What a keeper can measure at one hive, and how well.

use crate::season::{Forcing, Outcome};
use serde::Serialize;

/// Standard deviation of a reading of a hive's weight, kg (own estimate: a luggage or hive scale lifted level).
const WEIGHT_KG: f64 = 0.1;
/// Of a thermometer beside the cluster, K (own estimate: the sensor by 0.5, its place among the seams by more).
const AIR_K: f64 = 1.0;
/// Of counted seams (own estimate: the seam at either end is half seen).
const SEAMS: f64 = 0.5;
/// Outside air in which seams are counted, mean of a day, degC.
const COUNTED_C: std::ops::Range<f64> = -7.0..-3.0;

/// A measurement at one's own hive.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum HiveMeasure {
    /// Weight lost from 1 November to 1 January, kg.
    LossToNewYear,
    /// Weight lost in November, kg.
    LossInNovember,
    /// Weight lost in January, kg.
    LossInJanuary,
    /// Mean temperature of the air beside the cluster in January, degC.
    AirBesideCluster,
    /// Seams that the cluster covers in some 5 degC of frost.
    CountedSeams,
}

impl HiveMeasure {
    /// All of them.
    pub const ALL: [Self; 5] = [
        Self::LossToNewYear,
        Self::LossInNovember,
        Self::LossInJanuary,
        Self::AirBesideCluster,
        Self::CountedSeams,
    ];

    /// How it is done, in words; months are those of the northern half of the world, half a year later in the southern.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::LossToNewYear => "weight lost from 1 November to 1 January",
            Self::LossInNovember => "weight lost in November",
            Self::LossInJanuary => "weight lost in January",
            Self::AirBesideCluster => "a thermometer beside the cluster, mean of January",
            Self::CountedSeams => "seams of bees counted at about -5 °C",
        }
    }

    /// Standard deviation of the reading, in the measure's unit.
    #[must_use]
    pub fn reading_sd(self) -> f64 {
        match self {
            // Two weighings.
            Self::LossToNewYear | Self::LossInNovember | Self::LossInJanuary => {
                WEIGHT_KG * std::f64::consts::SQRT_2
            }
            Self::AirBesideCluster => AIR_K,
            Self::CountedSeams => SEAMS,
        }
    }
}

/// What each of [`HiveMeasure::ALL`] shows without any error of reading; no number where the winter has no such days or the colony did not see them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Shown(pub [f64; HiveMeasure::ALL.len()]);

impl Shown {
    /// Of a winter, in the north or the south.
    pub fn new(outcome: &Outcome, forcing: &Forcing, latitude_deg: f64) -> Self {
        let month = |month: i8| {
            if latitude_deg < 0.0 {
                (month + 5) % 12 + 1
            } else {
                month
            }
        };
        let start = forcing.start.date();
        let date = |day: usize| start.saturating_add(jiff::Span::new().days(day as i64));
        // What the hive weighs as the first day of a month begins.
        let on_first = |of: i8| {
            let last = (1..=outcome.days.len()).find(|day| {
                let date = date(*day);
                (date.month(), date.day()) == (month(of), 1)
            });
            last.map_or(f64::NAN, |day| outcome.days[day - 1].gross_kg)
        };
        let lost_kg = |from: i8, until: i8| on_first(from) - on_first(until);
        let days = || outcome.days.iter().enumerate();
        let january = days().filter(|(day, _)| date(*day).month() == month(1));
        let frosty = days().filter(|(_, record)| COUNTED_C.contains(&record.outside_c));
        Self([
            lost_kg(11, 1),
            lost_kg(11, 12),
            lost_kg(1, 2),
            mean(january.map(|(_, record)| record.beside_c)),
            mean(frosty.map(|(_, record)| record.seams)),
        ])
    }
}

/// Mean; no number for none.
fn mean(values: impl Iterator<Item = f64>) -> f64 {
    let (mut sum, mut count) = (0.0, 0.0);
    for value in values {
        sum += value;
        count += 1.0;
    }
    sum / count
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario;
    use crate::season;

    #[test]
    fn a_winter_shows_what_its_days_say() {
        let plan = scenario::built_in().prepare().expect("the sample").plan;
        let forcing = &plan.winters[2];
        let outcome = season::run(&plan.middle(), &plan.site, forcing).expect("a winter");
        let Shown([both, november, january, air_c, seams]) = Shown::new(&outcome, forcing, 45.0);
        assert!(november > 0.3 && both > november + 0.3, "{november} {both}");
        assert!((0.3..4.0).contains(&january), "{january}");
        assert!((-20.0..20.0).contains(&air_c), "{air_c}");
        assert!((3.0..10.0).contains(&seams), "{seams}");
        // The honey used, and some water.
        let used = |day: usize| outcome.days[day].used_kg;
        let day = |month, day| {
            let date = jiff::civil::date(forcing.start.year(), month, day);
            usize::try_from(forcing.start.date().until(date).expect("days").get_days())
                .expect("a day")
        };
        let eaten = used(day(12, 1) - 1) - used(day(11, 1) - 1);
        assert!((november - eaten).abs() < 0.7, "{november} of {eaten}");
        // South of the equator the same days are none of those months.
        let south = Shown::new(&outcome, forcing, -45.0);
        assert!(south.0[0].is_nan() && south.0[2].is_nan());
    }
}
