//! Heat that bees make: rest, which rises with temperature, and shivering round a set point.
//!
//! Held against Southwick 1985 and Norrstrom 2021 in `tests/validation/cluster.rs`. Weak below the chill temperature, where bees
//! can no longer shiver: the season counts those hours instead.

use crate::lane::{Number, per_lane};
use crate::parameter::Parameters;
use serde::Serialize;

/// Temperature at which [`Parameters::resting_w_kg`] holds, degC.
pub const RESTING_REFERENCE_C: f64 = 10.0;

/// Temperature above which resting heat rises no further, degC: no rate is known above the brood nest's 33-36 degC, and a rise
/// without end would run away in a large, well packed cluster. Own estimate.
pub const RESTING_HOTTEST_C: f64 = 36.0;
/// Range above it over which bees leave the combs and hang outside, K: no cluster is hotter. Own estimate.
pub const LEAVING_BAND_K: f64 = 10.0;

/// A value and its derivative by temperature.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slope<N = f64> {
    /// The value.
    pub value: N,
    /// Its derivative by K.
    pub per_k: N,
}

impl<N: Number> Slope<N> {
    /// So many times as much.
    #[must_use]
    #[inline(always)]
    pub fn times(self, factor: N) -> Self {
        Self {
            value: factor * self.value,
            per_k: factor * self.per_k,
        }
    }
}

/// Smooth step from 0 at `s <= 0` to 1 at `s >= 1`: `3 s^2 - 2 s^3`, and its derivative by `s`.
#[must_use]
#[inline(always)]
pub fn smooth_step<N: Number>(s: N) -> (N, N) {
    let s = s.within(0.0, 1.0);
    (
        s * s * (s.splat(3.0) - s * 2.0),
        s * 6.0 * (s.splat(1.0) - s),
    )
}

/// How bees of one zone answer to temperature.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct Metabolism<N = f64> {
    resting_w_kg: N,
    ln_q10_per_k: N,
    heating_max_w_kg: N,
    /// One over the band in which bees pass from rest to all shivering, 1/K.
    heating_per_k: N,
}

per_lane!(Metabolism {
    resting_w_kg,
    ln_q10_per_k,
    heating_max_w_kg,
    heating_per_k
});

impl Metabolism {
    /// From the parameters of a member.
    #[must_use]
    pub fn new(parameters: &Parameters) -> Self {
        Self {
            resting_w_kg: parameters.resting_w_kg,
            ln_q10_per_k: libm::log(parameters.resting_q10) / 10.0,
            heating_max_w_kg: parameters.heating_max_w_kg,
            heating_per_k: 1.0 / parameters.heating_band_k,
        }
    }
}

impl<N: Number> Metabolism<N> {
    /// Heat of bees at `bees_c` whose set point is `set_c`, W/kg.
    ///
    /// ```
    /// use overwinter::{colony::metabolism::Metabolism, parameter::Parameters};
    /// let p = Parameters::default();
    /// let bees = Metabolism::new(&p);
    /// assert!((bees.heat_w_kg(10.0, -50.0).value - p.resting_w_kg).abs() < 1e-12); // at rest
    /// assert!(bees.heat_w_kg(10.0, 20.0).value > 40.0); // all shivering
    /// ```
    #[must_use]
    #[inline(always)]
    pub fn heat_w_kg(&self, bees_c: N, set_c: N) -> Slope<N> {
        let hottest_c = bees_c.splat(RESTING_HOTTEST_C);
        let warmth_k = bees_c.min(hottest_c) - RESTING_REFERENCE_C;
        let all = self.resting_w_kg * (self.ln_q10_per_k * warmth_k).exp();
        let (left, left_by_s) = smooth_step((bees_c - hottest_c) * (1.0 / LEAVING_BAND_K));
        let rest = all - all * left;
        let rest_per_k = N::choose(
            bees_c.lt(hottest_c),
            all * self.ln_q10_per_k,
            all * left_by_s * (-1.0 / LEAVING_BAND_K),
        );
        let (share, by_s) = smooth_step((set_c - bees_c) * self.heating_per_k + 0.5);
        Slope {
            value: rest + self.heating_max_w_kg * share,
            per_k: rest_per_k - self.heating_max_w_kg * by_s * self.heating_per_k,
        }
    }
}

/// Share of the heat of honey that leaves as water vapour, 0 to 1.
#[must_use]
pub fn vapour_share(parameters: &Parameters) -> f64 {
    parameters.honey_water_kg_kg * parameters.vaporisation_j_kg / parameters.honey_heat_j_kg
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_slope_of_the_heat_is_its_finite_difference() {
        let bees = Metabolism::new(&Parameters::default());
        for bees_c in [-5.0, 8.4, 9.3, 10.6, 19.0, 20.4, 33.0, 40.0, 44.0, 50.0] {
            let step = 1e-5;
            let rise =
                bees.heat_w_kg(bees_c + step, 9.5).value - bees.heat_w_kg(bees_c - step, 9.5).value;
            let slope = bees.heat_w_kg(bees_c, 9.5).per_k;
            assert!(
                (rise / (2.0 * step) - slope).abs() < 1e-4 * slope.abs().max(1.0),
                "{bees_c}"
            );
        }
    }

    #[test]
    fn about_an_eighth_of_the_heat_leaves_as_vapour() {
        assert!((vapour_share(&Parameters::default()) - 0.1282).abs() < 1e-4);
    }
}
