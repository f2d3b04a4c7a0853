//! The passing of highs and lows: the random courses that drive a synthetic winter, tied together.
//!
//! All are standard normal, hour by hour; [`super`] turns them into degrees, fractions and metres a
//! second. The ties are own estimates, set against what hourly records of Chicago (typical year),
//! Lincoln, Nebraska (2023), Shenyang (2010-2012) and Berlin (2020-2022) show from November to March:
//! correlation of daily means of cloud with temperature 0.4 in cold months (-0.2 in warm ones), of pressure
//! with temperature -0.5 to -0.7, with cloud -0.6, with wind -0.1 to -0.4, of humidity with cloud 0.6;
//! autocorrelation over 1, 6 and 24 hours of cloud 0.89, 0.53, 0.15, of wind 0.85, 0.5, 0.2.

use rand::rngs::ChaCha12Rng;

use super::ar2_process::{self, Ar2Process};
use crate::normal;

/// Share of the variance of temperature that lasts a whole winter.
const WINTER_SHARE: f64 = 0.04;

/// Share of the variance of temperature that lasts for weeks.
const SPELL_SHARE: f64 = 0.20;

/// Time scales of those weeks, h.
const SPELL_H: (f64, f64) = (216.0, 24.0);

/// The shorter time scale of passing highs and lows, h; the longer follows from the persistence.
const FRONT_H: f64 = 8.0;

/// Hours that the courses run before a winter starts, so that nothing is left of their start.
const RUN_UP_H: usize = 1_500;

/// Skewness of temperature about its normal course: cold spells go further than mild ones (own estimate:
/// Chicago -0.2, Berlin and Lincoln -0.5, Shenyang 0.3).
const SKEWNESS: f64 = -0.3;

/// Standard deviations that temperature comes near and never passes, before the skewing: no air mass on
/// the globe is colder or milder (own estimate: keeps extremes of 60 winters near those of stations).
const FURTHEST: f64 = 4.5;

/// The state of the passing weather in one hour: standard normal deviates, but for the skewed first.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Hour {
    pub(crate) temperature: f64,
    pub(crate) cloud: f64,
    pub(crate) pressure: f64,
    pub(crate) wind: f64,
    pub(crate) humidity: f64,
    /// How thick the cloud is, whatever its cover.
    pub(crate) thickness: f64,
    /// Unrest of the temperature from one hour to the next.
    pub(crate) flutter: f64,
}

/// The courses of one winter.
pub(crate) struct Synoptic {
    rng: ChaCha12Rng,
    winter: f64,
    spell: Ar2Process,
    front: Ar2Process,
    cloud: Ar2Process,
    pressure: Ar2Process,
    wind: Ar2Process,
    humidity: Ar2Process,
    thickness: Ar2Process,
    flutter: Ar2Process,
    shape: Shape,
}

impl Synoptic {
    /// Courses whose daily mean temperatures have a lag-one autocorrelation of `persistence`.
    pub(crate) fn new(mut rng: ChaCha12Rng, persistence: f64) -> Self {
        let winter = ar2_process::normal(&mut rng);
        let mut courses = Self {
            rng,
            winter,
            spell: Ar2Process::new(SPELL_H.0, SPELL_H.1),
            front: front_of(persistence),
            cloud: Ar2Process::new(11.0, 1.0),
            pressure: Ar2Process::new(18.0, 8.0),
            wind: Ar2Process::new(10.0, 0.7),
            humidity: Ar2Process::new(18.0, 3.0),
            thickness: Ar2Process::new(6.0, 0.5),
            flutter: Ar2Process::new(3.0, 0.3),
            shape: Shape::new(),
        };
        for _ in 0..RUN_UP_H {
            courses.next(0.0);
        }
        courses
    }

    /// The next hour, with the tie of cloud to temperature that the season has.
    pub(crate) fn next(&mut self, cloud_with_temperature: f64) -> Hour {
        let rng = &mut self.rng;
        let temperature = libm::sqrt(WINTER_SHARE) * self.winter
            + libm::sqrt(SPELL_SHARE) * self.spell.next(rng)
            + libm::sqrt(1.0 - WINTER_SHARE - SPELL_SHARE) * self.front.next(rng);
        let free_cloud = self.cloud.next(rng);
        let cloud = tie([(cloud_with_temperature, temperature)], free_cloud);
        let free_pressure = self.pressure.next(rng);
        let pressure = tie([(-0.40, temperature), (-0.40, free_cloud)], free_pressure);
        let wind = tie(
            [(-0.30, free_pressure), (0.15, free_cloud)],
            self.wind.next(rng),
        );
        let humidity = tie([(0.50, cloud)], self.humidity.next(rng));
        Hour {
            temperature: self.shape.of(temperature),
            cloud,
            pressure,
            wind,
            humidity,
            thickness: self.thickness.next(rng),
            flutter: self.flutter.next(rng),
        }
    }
}

/// Sum of independent unit courses by their weights, filled up to unit variance with another one.
fn tie<const N: usize>(weighted: [(f64, f64); N], free: f64) -> f64 {
    let used: f64 = weighted.iter().map(|(weight, _)| weight * weight).sum();
    let tied: f64 = weighted
        .iter()
        .map(|(weight, course)| weight * course)
        .sum();
    tied + libm::sqrt(1.0 - used) * free
}

/// The distribution of temperature: skewed and bounded, of mean 0 and variance 1.
struct Shape {
    mean: f64,
    sd: f64,
}

impl Shape {
    fn new() -> Self {
        const PARTS: i32 = 1_000;
        let (mut sum, mut squares) = (0.0, 0.0);
        for part in 0..PARTS {
            let value = bent(normal::quantile((f64::from(part) + 0.5) / f64::from(PARTS)));
            sum += value;
            squares += value * value;
        }
        let mean = sum / f64::from(PARTS);
        Self {
            mean,
            sd: libm::sqrt(squares / f64::from(PARTS) - mean * mean),
        }
    }

    fn of(&self, deviate: f64) -> f64 {
        (bent(deviate) - self.mean) / self.sd
    }
}

/// A normal deviate bent to the shape: bounded, then skewed (Cornish & Fisher 1938, second order).
fn bent(deviate: f64) -> f64 {
    let bounded = FURTHEST * libm::tanh(deviate / FURTHEST);
    bounded + SKEWNESS / 6.0 * (bounded * bounded - 1.0)
}

/// Covariance of daily means of the temperature course, some days apart.
fn daily_covariance(front: &Ar2Process, days: i32) -> f64 {
    WINTER_SHARE
        + SPELL_SHARE * Ar2Process::new(SPELL_H.0, SPELL_H.1).daily_covariance(days)
        + (1.0 - WINTER_SHARE - SPELL_SHARE) * front.daily_covariance(days)
}

/// The course of highs and lows that makes daily means as persistent as asked, by bisection.
fn front_of(persistence: f64) -> Ar2Process {
    let (mut short, mut long) = (FRONT_H + 1.0, 200.0);
    for _ in 0..40 {
        let middle = 0.5 * (short + long);
        let front = Ar2Process::new(middle, FRONT_H);
        if daily_covariance(&front, 1) < persistence * daily_covariance(&front, 0) {
            short = middle;
        } else {
            long = middle;
        }
    }
    Ar2Process::new(0.5 * (short + long), FRONT_H)
}

/// Standard deviation of the daily means of the temperature course, whose hourly one is 1.
pub(crate) fn daily_mean_sd(persistence: f64) -> f64 {
    libm::sqrt(daily_covariance(&front_of(persistence), 0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_time_scale_follows_from_the_persistence_asked() {
        for persistence in [0.57, 0.65, 0.8, 0.9] {
            let front = front_of(persistence);
            let found = daily_covariance(&front, 1) / daily_covariance(&front, 0);
            assert!((found - persistence).abs() < 1e-6, "{persistence}: {found}");
        }
    }

    #[test]
    fn the_shape_keeps_the_order_of_deviates_and_reaches_further_into_the_cold() {
        let shape = Shape::new();
        let shaped: Vec<f64> = (-80..=80)
            .map(|tenths| shape.of(f64::from(tenths) / 10.0))
            .collect();
        assert!(shaped.windows(2).all(|pair| pair[0] < pair[1]));
        assert!(-shape.of(-3.0) > shape.of(3.0));
    }
}
