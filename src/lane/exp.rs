//! The exponential function, of the operations that every width has.
//!
//! `e^x = 2^k e^r` with `k` the whole number next to `x / ln 2`, so that `r` lies within half of `ln 2`, where a Taylor polynomial of degree
//! 12 leaves out less than two parts in 10^16. `ln 2` is taken in two parts (Cody and Waite 1980), the polynomial in pairs (Estrin 1960), which wait less
//! for each other than terms one after the other do. Within two units in the last place of `libm`'s from -700 to 700; beyond, it stays at what it is
//! there. Sources from memory; the parts of `ln 2` are those of fdlibm.

use super::Number;
use std::f64::consts::LOG2_E;

/// Least and largest power.
const LIMIT: f64 = 700.0;
/// A sum with it is rounded to a whole number, which its last bits then hold.
const SHIFT: f64 = 6_755_399_441_055_744.0;
/// The leading bits of `ln 2`, so few that their product with a power is exact...
const LN_2_HIGH: f64 = 6.931_471_803_691_238e-1;
/// ...and the rest.
const LN_2_LOW: f64 = 1.908_214_929_270_587_7e-10;

/// `1 / n!` of 2 to 12.
const INVERSE_FACTORIALS: [f64; 11] = [
    0.5,
    1.0 / 6.0,
    1.0 / 24.0,
    1.0 / 120.0,
    1.0 / 720.0,
    1.0 / 5_040.0,
    1.0 / 40_320.0,
    1.0 / 362_880.0,
    1.0 / 3_628_800.0,
    1.0 / 39_916_800.0,
    1.0 / 479_001_600.0,
];

#[inline(always)]
pub(super) fn exp<N: Number>(power: N) -> N {
    // In this order what is no number stays none.
    let power = power.splat(-LIMIT).max(power);
    let power = power.splat(LIMIT).min(power);
    let shifted = power * LOG2_E + SHIFT;
    let whole = shifted - SHIFT;
    let rest = (power - whole * LN_2_HIGH) - whole * LN_2_LOW;
    let [c2, c3, c4, c5, c6, c7, c8, c9, c10, c11, c12] = INVERSE_FACTORIALS;
    let squared = rest * rest;
    let to_4th = squared * squared;
    let low = (rest * c3 + c2) + squared * (rest * c5 + c4);
    let middle = (rest * c7 + c6) + squared * (rest * c9 + c8);
    let high = (rest * c11 + c10) + squared * c12;
    let sum = low + to_4th * (middle + to_4th * high);
    // The first two terms last, as they are the largest.
    let near_one = (sum * squared + rest) + 1.0;
    near_one.times_power_of_two(shifted)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_is_within_two_units_in_the_last_place() {
        let mut worst = 0;
        for number in -700_000..=700_000 {
            let power = f64::from(number) * 1.000_123e-3;
            let power = power.clamp(-LIMIT, LIMIT);
            let (ours, reference) = (exp(power), libm::exp(power));
            worst = worst.max(ours.to_bits().abs_diff(reference.to_bits()));
        }
        assert!(worst <= 2, "{worst}");
    }

    #[test]
    fn it_is_exact_at_nothing_and_stays_where_it_ends() {
        assert_eq!(exp(0.0), 1.0);
        assert_eq!(exp(1e9), exp(LIMIT));
        assert_eq!(exp(-1e9), exp(-LIMIT));
        assert!(exp(f64::NAN).is_nan());
    }
}
