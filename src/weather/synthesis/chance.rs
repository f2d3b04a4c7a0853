//! Random courses in time: normal deviates and smooth processes made of them.

use rand::RngExt;
use rand::rngs::ChaCha12Rng;

/// Quantile of the standard normal distribution, for a probability above 0 and below 1.
///
/// Wichura 1988, Algorithm AS 241 (PPND16), Applied Statistics 37:477, relative error 1e-16. On `libm`, so
/// that the bytes are the same on every machine (the one in `statrs` uses the machine's logarithm).
pub(crate) fn normal_quantile(probability: f64) -> f64 {
    let q = probability - 0.5;
    if q.abs() <= 0.425 {
        let r = 0.180_625 - q * q;
        return q * polynomial(&CENTRE_OVER, r) / polynomial(&CENTRE_UNDER, r);
    }
    let tail = if q < 0.0 {
        probability
    } else {
        1.0 - probability
    };
    let r = libm::sqrt(-libm::log(tail));
    let deviate = if r <= 5.0 {
        polynomial(&FLANK_OVER, r - 1.6) / polynomial(&FLANK_UNDER, r - 1.6)
    } else {
        polynomial(&TAIL_OVER, r - 5.0) / polynomial(&TAIL_UNDER, r - 5.0)
    };
    deviate.copysign(q)
}

fn polynomial(coefficients: &[f64; 8], x: f64) -> f64 {
    coefficients.iter().rev().fold(0.0, |sum, c| sum * x + c)
}

const CENTRE_OVER: [f64; 8] = [
    3.387_132_872_796_366_5,
    1.331_416_678_917_843_8e2,
    1.971_590_950_306_551_3e3,
    1.373_169_376_550_946e4,
    4.592_195_393_154_987e4,
    6.726_577_092_700_87e4,
    3.343_057_558_358_813e4,
    2.509_080_928_730_122_7e3,
];
const CENTRE_UNDER: [f64; 8] = [
    1.0,
    4.231_333_070_160_091e1,
    6.871_870_074_920_579e2,
    5.394_196_021_424_751e3,
    2.121_379_430_158_659_7e4,
    3.930_789_580_009_271e4,
    2.872_908_573_572_194_3e4,
    5.226_495_278_852_854e3,
];
const FLANK_OVER: [f64; 8] = [
    1.423_437_110_749_683_5,
    4.630_337_846_156_546,
    5.769_497_221_460_691,
    3.647_848_324_763_204_5,
    1.270_458_252_452_368_4,
    2.417_807_251_774_506e-1,
    2.272_384_498_926_918_4e-2,
    7.745_450_142_783_414e-4,
];
const FLANK_UNDER: [f64; 8] = [
    1.0,
    2.053_191_626_637_759,
    1.676_384_830_183_803_8,
    6.897_673_349_851e-1,
    1.481_039_764_274_800_8e-1,
    1.519_866_656_361_645_7e-2,
    5.475_938_084_995_345e-4,
    1.050_750_071_644_416_9e-9,
];
const TAIL_OVER: [f64; 8] = [
    6.657_904_643_501_103,
    5.463_784_911_164_114,
    1.784_826_539_917_291_3,
    2.965_605_718_285_048_7e-1,
    2.653_218_952_657_612_4e-2,
    1.242_660_947_388_078_4e-3,
    2.711_555_568_743_487_6e-5,
    2.010_334_399_292_288_1e-7,
];
const TAIL_UNDER: [f64; 8] = [
    1.0,
    5.998_322_065_558_88e-1,
    1.369_298_809_227_358e-1,
    1.487_536_129_085_061_5e-2,
    7.868_691_311_456_133e-4,
    1.846_318_317_510_054_8e-5,
    1.421_511_758_316_446e-7,
    2.044_263_103_389_939_8e-15,
];

/// One standard normal deviate from one uniform number: the middle of one of 2^53 equal parts.
pub(crate) fn normal(rng: &mut ChaCha12Rng) -> f64 {
    let part = rng.random::<u64>() >> 11;
    normal_quantile((part as f64 + 0.5) / 9_007_199_254_740_992.0)
}

/// Probability that a standard normal deviate is below `z`.
pub(crate) fn normal_probability(z: f64) -> f64 {
    0.5 * libm::erfc(-z * std::f64::consts::FRAC_1_SQRT_2)
}

/// A stationary random course of mean 0 and variance 1, hour by hour: two first-order lags one after
/// the other. The long one gives its memory, the short one its smoothness.
#[derive(Debug, Clone)]
pub(crate) struct Course {
    long: f64,
    short: f64,
    scale: f64,
    lagged: f64,
    value: f64,
}

impl Course {
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
    use statrs::distribution::{ContinuousCDF, Normal};

    #[test]
    fn quantiles_are_those_of_an_independent_implementation() {
        let standard = Normal::standard();
        for probability in [
            1e-15,
            1e-9,
            0.001,
            0.0749,
            0.0751,
            0.3,
            0.5,
            0.7,
            0.93,
            1.0 - 1e-9,
        ] {
            let expected = standard.inverse_cdf(probability);
            let ours = normal_quantile(probability);
            assert!(
                (ours - expected).abs() < 1e-7,
                "{probability}: {ours}, {expected}"
            );
        }
    }

    #[test]
    fn probability_undoes_the_quantile() {
        for z in [-6.0, -2.5, -1.0, 0.0, 0.4, 1.9, 4.0] {
            assert!(
                (normal_quantile(normal_probability(z)) - z).abs() < 1e-9,
                "{z}"
            );
        }
    }

    #[test]
    fn a_course_has_unit_variance_and_the_autocorrelation_it_says() {
        let mut rng = ChaCha12Rng::seed_from_u64(7);
        let mut course = Course::new(20.0, 4.0);
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
