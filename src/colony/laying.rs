//! When the queen begins to lay, how many eggs she seeks to lay then, and how cold the nest has been of late.
//!
//! Laying begins by chance: on each day from [`Parameters::brood_earliest_day`] on a share of the colonies that have not begun does so,
//!
//! ```text
//! hazard = h0 exp(T / s + b (D - 9 h))      T = w T_nest + (1 - w) T_out, faded over ten days;  D daylight
//! ```
//!
//! and a colony begins when its hazards add up to `-ln(1 - rank)`, its rank being its place among colonies under the same air. That temperature drives the start
//! and day length alone does nothing in the cold is published (Nurnberger 2018); that insulated colonies begin a few days earlier too (Owens 1971). The numbers
//! are wide own estimates.

use super::day::Day;
use super::metabolism::smooth_step;
use crate::parameter::Parameters;

/// Daylight at which [`Parameters::brood_start_per_day`] holds, h.
const REFERENCE_DAYLIGHT_H: f64 = 9.0;

/// A queen through a winter.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Laying {
    /// Day of the year on which she began.
    since: Option<f64>,
    /// Air of late, nest and outside: a mean in which older days fade.
    air_c: Option<f64>,
    /// Sum of the hazards so far.
    hazard: f64,
    yesterday: Option<f64>,
}

impl Laying {
    /// Day of the year on which she began to lay, if she has.
    #[must_use]
    pub fn since(&self) -> Option<f64> {
        self.since
    }

    /// Takes note of a day, and gives the eggs that she seeks to lay on it, before any limit.
    pub fn eggs_sought(&mut self, day: &Day, parameters: &Parameters) -> f64 {
        let p = parameters;
        let share = p.brood_start_nest_share;
        let today_c = share * day.nest_c + (1.0 - share) * day.outside_c;
        let air_c = faded(self.air_c, today_c, p.brood_start_memory_days);
        self.air_c = Some(air_c);
        if self.since.is_none() {
            self.since = self.begins(day, air_c, p);
        }
        self.yesterday = Some(day.day);
        self.since
            .map_or(0.0, |since| eggs_sought(day.day, since, p))
    }

    /// Adds a day's hazard; the day on which she began, if she has by its end.
    fn begins(&mut self, day: &Day, air_c: f64, parameters: &Parameters) -> Option<f64> {
        let p = parameters;
        if day.day >= p.brood_earliest_day {
            let daylight = p.brood_start_per_h * (day.daylight_h - REFERENCE_DAYLIGHT_H);
            let warmth = air_c / p.brood_start_scale_k;
            self.hazard += p.brood_start_per_day * libm::exp(warmth + daylight);
        }
        if self.hazard >= -libm::log1p(-p.brood_start_rank) {
            return Some(day.day);
        }
        // Nothing held her back before the first day; after it she begins no earlier than yesterday's end.
        let latest = p.brood_start_day;
        (day.day >= latest).then(|| latest.max(self.yesterday.unwrap_or(latest)))
    }
}

/// The mean of days up to one with a value, in which a day's weight falls to about a third over so many days.
fn faded(before: Option<f64>, today: f64, memory_days: f64) -> f64 {
    before.map_or(today, |before| before + (today - before) / memory_days)
}

/// How cold the nest has been of late, which holds brood rearing back for weeks.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct NestCold {
    nest_c: Option<f64>,
}

impl NestCold {
    /// Takes note of a day's air over the cluster, degC, and gives the most brood that each bee rears then, cells.
    pub fn brood_per_bee(&mut self, nest_c: f64, parameters: &Parameters) -> f64 {
        let p = parameters;
        let nest_c = faded(self.nest_c, nest_c, p.brood_memory_days);
        self.nest_c = Some(nest_c);
        let short_k = (BROOD_MILD_C - nest_c).max(0.0);
        p.brood_per_bee * (1.0 - p.brood_cold_per_k * short_k).max(LEAST_BROOD_SHARE)
    }
}

/// Nest air below which bees rear less brood, degC: least use is at 5 to 10 degC (Canadian federal wintering bulletin); below it they work to keep warm.
const BROOD_MILD_C: f64 = 10.0;
/// Least share of the brood that they rear in mild air which cold leaves (own choice).
const LEAST_BROOD_SHARE: f64 = 0.1;

/// Eggs that a queen who began on a day of the year seeks to lay on another: from there it rises smoothly to the peak.
///
/// Days count from 1 January of the winter's second year as 1; the last days of the first year are 0 and below. The smooth
/// step has the slow start of the brood nest in deep winter; after the peak day laying stays at its peak.
#[must_use]
pub fn eggs_sought(day: f64, since: f64, parameters: &Parameters) -> f64 {
    let rise = (day - since) / (parameters.brood_peak_day - since);
    parameters.peak_eggs_per_day * smooth_step(rise).0
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Day on which a queen begins under unchanging air, inside and outside alike, and day length, from 1 December on.
    fn begins(air_c: f64, daylight_h: f64, p: &Parameters) -> f64 {
        let mut laying = Laying::default();
        for number in -30..=110 {
            let today = Day {
                day: f64::from(number),
                outside_c: air_c,
                nest_c: air_c,
                daylight_h,
                ..Day::default()
            };
            laying.eggs_sought(&today, p);
        }
        laying.since().expect("a start by the middle of April")
    }

    #[test]
    fn no_egg_before_the_start_day_and_the_peak_after_the_peak_day() {
        let p = Parameters::default();
        assert_eq!(eggs_sought(9.0, 10.0, &p), 0.0);
        assert_eq!(
            eggs_sought(p.brood_peak_day + 5.0, 10.0, &p),
            p.peak_eggs_per_day
        );
    }

    #[test]
    fn half_of_colonies_in_air_of_zero_degrees_begin_after_ln_two_over_the_hazard() {
        let p = Parameters::default();
        let expected = p.brood_earliest_day - 1.0 + std::f64::consts::LN_2 / p.brood_start_per_day;
        assert!((begins(0.0, 9.0, &p) - expected).abs() <= 1.0);
    }

    #[test]
    fn warmth_and_longer_days_bring_laying_forward_and_a_high_rank_puts_it_off() {
        let p = Parameters::default();
        let usual = begins(0.0, 9.0, &p);
        assert!(begins(3.0, 9.0, &p) < usual);
        assert!(begins(0.0, 10.0, &p) < usual);
        let late = Parameters {
            brood_start_rank: 0.9,
            ..p.clone()
        };
        assert!(begins(0.0, 9.0, &late) > usual);
        assert!(begins(20.0, 9.0, &p) <= p.brood_earliest_day + 2.0);
    }

    #[test]
    fn day_length_alone_does_next_to_nothing_in_the_cold() {
        let p = Parameters::default();
        assert!(begins(-25.0, 12.0, &p) > 95.0);
    }

    #[test]
    fn without_a_hazard_laying_begins_on_its_day_to_the_hour() {
        let p = Parameters {
            brood_start_per_day: 0.0,
            brood_start_day: 12.3,
            ..Parameters::default()
        };
        assert_eq!(begins(8.0, 9.0, &p), 12.3);
    }

    #[test]
    fn a_winter_that_starts_after_the_start_day_finds_the_queen_laying() {
        let p = Parameters {
            brood_start_per_day: 0.0,
            brood_start_day: 10.0,
            ..Parameters::default()
        };
        let mut laying = Laying::default();
        let today = Day {
            day: 60.0,
            daylight_h: 11.0,
            ..Day::default()
        };
        let eggs = laying.eggs_sought(&today, &p);
        assert_eq!(eggs, eggs_sought(60.0, p.brood_start_day, &p));
        assert!(eggs > 0.0);
    }

    #[test]
    fn weeks_of_cold_lower_the_brood_that_a_bee_rears_and_a_day_hardly_does() {
        let p = Parameters::default();
        let mut nest = NestCold::default();
        for _ in 0..60 {
            nest.brood_per_bee(10.0, &p);
        }
        let mild = nest.brood_per_bee(10.0, &p);
        assert!((mild - p.brood_per_bee).abs() < 1e-12);
        let after_a_day = nest.brood_per_bee(-10.0, &p);
        assert!(after_a_day > 0.95 * mild && after_a_day < mild);
        for _ in 0..60 {
            nest.brood_per_bee(-10.0, &p);
        }
        let expected = p.brood_per_bee * (1.0 - 20.0 * p.brood_cold_per_k);
        assert!((nest.brood_per_bee(-10.0, &p) - expected).abs() < 0.03 * mild);
    }
}
