//! When the queen begins to lay, and how many eggs she seeks to lay then.
//!
//! The rule is an own estimate: laying begins on the first day that is both late enough and long enough. Late enough is the start day of the
//! parameters, brought forward after mild weather by up to a number of days; long enough keeps colonies of the far north waiting. That day
//! length and warmth act is published (Kefuss 1978 on day length in flight rooms, from memory); how much is not known.

use super::life::Day;
use super::metabolism::smooth_step;
use crate::parameter::Parameters;

/// A queen through a winter.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Laying {
    /// Day of the year on which she began.
    since: Option<f64>,
    /// Outside air of late: a mean in which older days fade.
    air_c: Option<f64>,
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
        let air_c = self.air_c.map_or(day.outside_c, |air_c| {
            air_c + (day.outside_c - air_c) / p.brood_warm_memory_days
        });
        self.air_c = Some(air_c);
        let band_k = p.brood_warm_full_c - p.brood_warm_start_c;
        let (warmth, _) = smooth_step((air_c - p.brood_warm_start_c) / band_k);
        let late_enough = p.brood_start_day - p.brood_warm_days * warmth;
        if self.since.is_none() && day.day >= late_enough && day.daylight_h >= p.brood_daylight_h {
            // Nothing held her back before the first day; after it she begins no earlier than yesterday's end.
            let free = self.yesterday.unwrap_or(late_enough);
            self.since = Some(late_enough.max(free));
        }
        self.yesterday = Some(day.day);
        self.since
            .map_or(0.0, |since| eggs_sought(day.day, since, p))
    }
}

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

    /// Day on which a queen begins under unchanging weather and day length, from 1 December on.
    fn begins(outside_c: f64, daylight_h: impl Fn(f64) -> f64, p: &Parameters) -> f64 {
        let mut laying = Laying::default();
        for number in -30..90 {
            let day = f64::from(number);
            let today = Day {
                day,
                outside_c,
                daylight_h: daylight_h(day),
                ..Day::default()
            };
            laying.eggs_sought(&today, p);
        }
        laying.since().expect("a start by the end of March")
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
    fn in_the_cold_laying_begins_on_its_day_to_the_hour() {
        let p = Parameters {
            brood_start_day: 12.3,
            ..Parameters::default()
        };
        assert_eq!(begins(-10.0, |_| 9.0, &p), 12.3);
    }

    #[test]
    fn a_mild_winter_brings_laying_forward_by_no_more_than_its_days() {
        let p = Parameters::default();
        let mild = begins(
            0.5 * (p.brood_warm_start_c + p.brood_warm_full_c),
            |_| 9.0,
            &p,
        );
        assert_eq!(mild, p.brood_start_day - 0.5 * p.brood_warm_days);
        assert_eq!(
            begins(20.0, |_| 9.0, &p),
            p.brood_start_day - p.brood_warm_days
        );
    }

    #[test]
    fn short_days_hold_laying_back() {
        let p = Parameters::default();
        let lengthening = |day: f64| if day < 40.0 { 5.0 } else { 9.0 };
        assert_eq!(begins(-10.0, lengthening, &p), 39.0);
    }

    #[test]
    fn a_winter_that_starts_after_the_start_day_finds_the_queen_laying() {
        let p = Parameters::default();
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
}
