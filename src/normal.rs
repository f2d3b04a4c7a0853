//! The standard normal distribution: its quantile and its probability, the same bytes on every machine.
//!
//! Both stand on `libm`, not on the machine's own logarithm, so that draws made with them can be repeated anywhere.

/// Quantile of the standard normal distribution, for a `probability` above 0 and below 1: the deviate below which that
/// share lies. At 0 and 1 it is infinite or no number, outside them no number.
///
/// Wichura 1988, Algorithm AS 241 (PPND16), Applied Statistics 37:477; relative error about 1e-16.
///
/// ```
/// let z = overwinter::normal::quantile(0.975);
/// assert!((z - 1.959_963_984_540_054).abs() < 1e-14);
/// ```
#[must_use]
pub fn quantile(probability: f64) -> f64 {
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

/// Probability that a standard normal deviate is below `z`, 0 to 1.
///
/// ```
/// assert!((overwinter::normal::probability(1.0) - 0.841_344_746_068_543).abs() < 1e-14);
/// ```
#[must_use]
pub fn probability(z: f64) -> f64 {
    0.5 * libm::erfc(-z * std::f64::consts::FRAC_1_SQRT_2)
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

#[cfg(test)]
mod tests {
    use super::*;

    /// The first three are the check values of Wichura 1988 (from memory); 0.975 and 1e-9 are in every table.
    #[test]
    fn quantiles_are_the_published_ones() {
        for (probability, expected) in [
            (0.25, -0.674_489_750_196_081_7),
            (0.001, -3.090_232_306_167_814),
            (1e-20, -9.262_340_089_798_408),
            (0.975, 1.959_963_984_540_054),
            (1e-9, -5.997_807_015_007_687),
        ] {
            let found = quantile(probability);
            assert!(
                (found - expected).abs() <= 1e-14 * expected.abs(),
                "{probability}: {found}, {expected}"
            );
        }
        assert_eq!(quantile(0.5), 0.0);
    }

    #[test]
    fn probability_undoes_the_quantile() {
        for z in [-6.0, -2.5, -1.0, 0.0, 0.4, 1.9, 4.0] {
            assert!((quantile(probability(z)) - z).abs() < 1e-9, "{z}");
        }
    }

    #[test]
    fn a_probability_that_is_none_has_no_finite_quantile() {
        for probability in [-0.1, 0.0, 1.0, 1.1, f64::NAN] {
            assert!(!quantile(probability).is_finite(), "{probability}");
        }
    }
}
