//! Random courses in time: normal deviates and smooth processes made of them.

use rand::RngExt;
use rand::rngs::ChaCha12Rng;

use crate::normal;

/// One standard normal deviate from one uniform number: the middle of one of 2^53 equal parts.
pub(crate) fn normal(rng: &mut ChaCha12Rng) -> f64 {
    let part = rng.random::<u64>() >> 11;
    normal::quantile((part as f64 + 0.5) / 9_007_199_254_740_992.0)
}

/// A stationary random course of mean 0 and variance 1, hour by hour: two first-order lags one after
/// the other. The long one gives its memory, the short one its smoothness.
#[derive(Debug, Clone)]
pub(crate) struct Ar2Process {
    long: f64,
    short: f64,
    scale: f64,
    lagged: f64,
    value: f64,
}

impl Ar2Process {
    /// Time scales of the two lags, in hours; different from each other and above zero.
    pub(crate) fn new(long_h: f64, short_h: f64) -> Self {
        let (a, b) = (libm::exp(-1.0 / long_h), libm::exp(-1.0 / short_h));
        // Variance of the second-order autoregression with roots a and b for unit innovations.
        let variance = (1.0 + a * b) / ((1.0 - a * b) * (1.0 - a * a) * (1.0 - b * b));
        Self {
            long: a,
            short: b,
            scale: 1.0 / libm::sqrt(variance),
            lagged: 0.0,
            value: 0.0,
        }
    }

    /// The next hour.
    pub(crate) fn next(&mut self, rng: &mut ChaCha12Rng) -> f64 {
        self.lagged = self.long * self.lagged + normal(rng);
        self.value = self.short * self.value + self.lagged;
        self.scale * self.value
    }

    /// Autocorrelation at a lag of some hours.
    pub(crate) fn autocorrelation(&self, hours: i32) -> f64 {
        let (a, b) = (self.long, self.short);
        let whole = (a - b) * (1.0 + a * b);
        (a * (1.0 - b * b) * libm::pow(a, hours.into())
            - b * (1.0 - a * a) * libm::pow(b, hours.into()))
            / whole
    }

    /// Covariance of its means over days, some days apart (0 gives the variance of a day's mean).
    pub(crate) fn daily_covariance(&self, days: i32) -> f64 {
        let sum: f64 = (-23..=23)
            .map(|shift: i32| {
                f64::from(24 - shift.abs()) * self.autocorrelation((24 * days + shift).abs())
            })
            .sum();
        sum / (24.0 * 24.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand::SeedableRng;

    #[test]
    fn a_course_has_unit_variance_and_the_autocorrelation_it_says() {
        let mut rng = ChaCha12Rng::seed_from_u64(7);
        let mut course = Ar2Process::new(20.0, 4.0);
        for _ in 0..500 {
            course.next(&mut rng);
        }
        let values: Vec<f64> = (0..400_000).map(|_| course.next(&mut rng)).collect();
        let product = |lag: usize| {
            let pairs = values.len() - lag;
            values
                .iter()
                .zip(&values[lag..])
                .map(|(a, b)| a * b)
                .sum::<f64>()
                / pairs as f64
        };
        assert!((product(0) - 1.0).abs() < 0.03, "{}", product(0));
        for lag in [1, 6, 24] {
            let expected = course.autocorrelation(lag);
            let found = product(lag as usize);
            assert!(
                (found - expected).abs() < 0.03,
                "lag {lag}: {found}, {expected}"
            );
        }
    }
}
