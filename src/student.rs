//! Student's t distribution: the deviate that bounds a two-sided interval, the same bytes on every machine.

use crate::normal;
use std::f64::consts::{FRAC_2_PI, FRAC_PI_2};

/// Degrees of freedom up to which the probability is summed exactly.
const SUMMED: usize = 100;
/// Halvings of the range of the angle; below its last bit.
const HALVINGS: u32 = 60;

/// The deviate t between whose negative and itself lies a share `confidence` (above 0, below 1) of Student's distribution with so many degrees of
/// freedom, 1 or more; infinite with none.
///
/// Abramowitz & Stegun 1964, 26.7.3 and 26.7.4, solved by halving, and their expansion 26.7.5 above 100 degrees, there good to 1e-9.
///
/// ```
/// assert!((overwinter::student::two_sided(0.95, 9) - 2.262_157).abs() < 1e-6);
/// ```
#[must_use]
pub fn two_sided(confidence: f64, degrees: usize) -> f64 {
    if degrees == 0 {
        return f64::INFINITY;
    }
    let n = degrees as f64;
    if degrees > SUMMED {
        return expansion(normal::quantile(0.5 + 0.5 * confidence), n);
    }
    let (mut low, mut high) = (0.0, FRAC_PI_2);
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        if within(middle, degrees) < confidence {
            low = middle;
        } else {
            high = middle;
        }
    }
    n.sqrt() * libm::tan(0.5 * (low + high))
}

/// Probability between -t and t, from the angle whose tangent is t over the root of the degrees.
fn within(angle: f64, degrees: usize) -> f64 {
    let (sin, cos) = (libm::sin(angle), libm::cos(angle));
    let odd = degrees % 2 == 1;
    let terms = degrees / 2;
    // Odd: cos, 2/3 cos^3, 2*4/(3*5) cos^5 ...; even: 1, 1/2 cos^2, 1*3/(2*4) cos^4 ...
    let mut term = if odd { cos } else { 1.0 };
    let mut sum = 0.0;
    for number in 1..=terms {
        sum += term;
        let k = 2.0 * number as f64;
        let factor = if odd { k / (k + 1.0) } else { (k - 1.0) / k };
        term *= factor * cos * cos;
    }
    if odd {
        FRAC_2_PI * (angle + sin * sum)
    } else {
        sin * sum
    }
}

fn expansion(z: f64, n: f64) -> f64 {
    let z2 = z * z;
    let first = z * (z2 + 1.0) / 4.0;
    let second = z * ((5.0 * z2 + 16.0) * z2 + 3.0) / 96.0;
    let third = z * (((3.0 * z2 + 19.0) * z2 + 17.0) * z2 - 15.0) / 384.0;
    let fourth = z * ((((79.0 * z2 + 776.0) * z2 + 1482.0) * z2 - 1920.0) * z2 - 945.0) / 92_160.0;
    z + (first + (second + (third + fourth / n) / n) / n) / n
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Abramowitz & Stegun 1964, table 26.10, A = 0.95 and 0.99 [memory].
    #[test]
    fn deviates_are_those_of_the_published_table() {
        let table = [
            (0.95, 1, 12.706),
            (0.95, 2, 4.303),
            (0.95, 3, 3.182),
            (0.95, 9, 2.262),
            (0.95, 15, 2.131),
            (0.95, 30, 2.042),
            (0.95, 120, 1.980),
            (0.99, 4, 4.604),
            (0.99, 25, 2.787),
        ];
        for (confidence, degrees, t) in table {
            let found = two_sided(confidence, degrees);
            assert!((found - t).abs() < 6e-4, "{degrees}: {found}");
        }
    }

    #[test]
    fn sum_and_expansion_meet_where_one_gives_way_to_the_other() {
        let z = normal::quantile(0.975);
        let summed = two_sided(0.95, SUMMED);
        assert!((summed - expansion(z, SUMMED as f64)).abs() < 1e-9);
        assert!(two_sided(0.95, SUMMED + 1) < summed);
        assert_eq!(two_sided(0.95, 0), f64::INFINITY);
    }
}
