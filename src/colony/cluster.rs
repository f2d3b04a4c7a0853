//! The cluster: a core inside a mantle of bees that draws tight in the cold.
//!
//! Two zones stand for a ball of bees spread over combs, so the temperatures are means of each zone, not of a place in it.
//! Volume and surface from 4 to -23 degC are held against Severson & Erickson 1990 in `tests/published_cluster.rs`.

use super::metabolism::smooth_step;
use crate::lane::{Number, per_lane};
use crate::parameter::Parameters;
use serde::Serialize;

const PI: f64 = std::f64::consts::PI;

/// Set points and shape of a cluster of given mass and brood.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct Cluster<N = f64> {
    /// Mass of the core, kg.
    pub core_kg: N,
    /// Mass of the mantle, kg.
    pub mantle_kg: N,
    /// Set point of the core, degC.
    pub core_set_c: N,
    loose_radius_m: N,
    loose_film_w_k: N,
    ln_film_ratio: N,
    ln_radius_ratio: N,
    core_w_mk: N,
    loose_core_gain: N,
    mantle_loose_c: N,
    /// One over the band of mantle temperatures from tight to loose, 1/K; so with the next and the core's way out.
    mantle_per_k: N,
    core_relief_k: N,
    core_per_k: N,
    vent_start_c: N,
    vent_per_k: N,
    vent_gain: N,
}

per_lane!(Cluster {
    core_kg,
    mantle_kg,
    core_set_c,
    loose_radius_m,
    loose_film_w_k,
    ln_film_ratio,
    ln_radius_ratio,
    core_w_mk,
    loose_core_gain,
    mantle_loose_c,
    mantle_per_k,
    core_relief_k,
    core_per_k,
    vent_start_c,
    vent_per_k,
    vent_gain,
});

/// Conductances of a cluster at some tightness, with their derivatives by tightness.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Conductances<N = f64> {
    /// From core to mantle, W/K.
    pub core_w_k: N,
    /// Its derivative by the core's temperature, W/K2.
    pub core_by_core: N,
    /// Its derivative by tightness.
    pub core_by_x: N,
    /// From mantle to the upper air, W/K.
    pub mantle_w_k: N,
    /// Its derivative by tightness.
    pub mantle_by_x: N,
}

/// Tightness that bees seek, and its derivatives.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tightness<N = f64> {
    /// 0 loose to 1 tight.
    pub x: N,
    /// Derivative by the core's temperature, 1/K.
    pub by_core: N,
    /// Derivative by the mantle's temperature, 1/K.
    pub by_mantle: N,
}

impl Cluster {
    /// A cluster of `bees_kg`, its core filled with brood to a share `brood` of 0 to 1.
    #[must_use]
    pub fn new(bees_kg: f64, brood: f64, parameters: &Parameters) -> Self {
        let p = parameters;
        let tight = p.tight_density_kg_m3 * (1.0 - p.brood_density_cut * brood);
        let loose_radius_m = radius_m(bees_kg, p.loose_density_kg_m3);
        let ln_radius_ratio = libm::log(p.loose_density_kg_m3 / tight) / 3.0;
        let ln_film_ratio =
            libm::log(p.tight_film_w_m2k / p.loose_film_w_m2k) + 2.0 * ln_radius_ratio;
        Self {
            core_kg: bees_kg * p.core_mass_share,
            mantle_kg: bees_kg * (1.0 - p.core_mass_share),
            core_set_c: p.core_set_c + brood * (p.brood_set_c - p.core_set_c),
            loose_radius_m,
            loose_film_w_k: p.loose_film_w_m2k * 4.0 * PI * loose_radius_m * loose_radius_m,
            ln_film_ratio,
            ln_radius_ratio,
            core_w_mk: 4.0 * PI * p.cluster_conductivity_w_mk * p.core_shape_factor,
            loose_core_gain: p.loose_core_gain,
            mantle_loose_c: p.mantle_loose_c,
            mantle_per_k: 1.0 / (p.mantle_loose_c - p.mantle_tight_c),
            core_relief_k: p.core_relief_k,
            core_per_k: 1.0 / p.core_relief_k,
            vent_start_c: p.core_vent_start_c,
            vent_per_k: 1.0 / (p.core_vent_full_c - p.core_vent_start_c),
            vent_gain: p.core_vent_gain,
        }
    }
}

impl<N: Number> Cluster<N> {
    /// Radius of the ball, m, at tightness `x`: density is mixed in the logarithm.
    #[must_use]
    #[inline(always)]
    pub fn radius_m(&self, x: N) -> N {
        self.loose_radius_m * (self.ln_radius_ratio * x).exp()
    }

    /// Volume of the core, m3, at tightness `x`: its share of the ball.
    #[must_use]
    #[inline(always)]
    pub fn core_m3(&self, x: N) -> N {
        self.core_of_radius_m3(self.radius_m(x))
    }

    /// Volume of the core of a cluster of this radius, m3.
    #[inline(always)]
    pub(crate) fn core_of_radius_m3(&self, radius_m: N) -> N {
        let share = self.core_kg / (self.core_kg + self.mantle_kg);
        share * (4.0 / 3.0 * PI) * radius_m * radius_m * radius_m
    }

    /// Conductances at tightness `x` with the core at `core_c`; the film is mixed in the logarithm.
    ///
    /// Without a way out for a hot core, resting heat, which rises with temperature, would run away in a well packed cluster.
    #[must_use]
    #[inline(always)]
    pub fn conductances(&self, x: N, core_c: N) -> Conductances<N> {
        let (vent, vent_by_s) = smooth_step((core_c - self.vent_start_c) * self.vent_per_k);
        let open = self.vent_gain * vent + 1.0;
        let radius_w_k = self.core_w_mk * self.radius_m(x);
        let ease = self.loose_core_gain * (x.like(1.0) - x) + 1.0;
        let mantle_w_k = self.loose_film_w_k * (self.ln_film_ratio * x).exp();
        Conductances {
            core_w_k: radius_w_k * ease * open,
            core_by_core: radius_w_k * ease * self.vent_gain * vent_by_s * self.vent_per_k,
            core_by_x: radius_w_k * open * (self.ln_radius_ratio * ease - self.loose_core_gain),
            mantle_w_k,
            mantle_by_x: mantle_w_k * self.ln_film_ratio,
        }
    }

    /// Tightness that the bees seek: tight when mantle or core is short of heat, `1 - (1 - x_m)(1 - x_c)`.
    #[must_use]
    #[inline(always)]
    pub fn tightness(&self, core_c: N, mantle_c: N) -> Tightness<N> {
        let (x_m, m_slope) = smooth_step((self.mantle_loose_c - mantle_c) * self.mantle_per_k);
        let (x_c, c_slope) =
            smooth_step((self.core_set_c + self.core_relief_k - core_c) * self.core_per_k);
        let one = x_m.like(1.0);
        Tightness {
            x: one - (one - x_m) * (one - x_c),
            by_core: -((one - x_m) * c_slope * self.core_per_k),
            by_mantle: -((one - x_c) * m_slope * self.mantle_per_k),
        }
    }
}

/// Radius of a ball of `kg` at a density, m.
#[must_use]
pub fn radius_m(kg: f64, density_kg_m3: f64) -> f64 {
    libm::cbrt(3.0 * kg / (4.0 * PI * density_kg_m3))
}

/// Mass of a tight, broodless cluster that covers so many seams, kg: a ball whose diameter is the seams' pitch times their number.
///
/// The inverse of the seams a cluster covers, `2 R / pitch`; `density_kg_m3` lies between loose and tight.
#[must_use]
pub fn mass_from_seams_kg(seams: f64, comb_pitch_m: f64, density_kg_m3: f64) -> f64 {
    let radius_m = 0.5 * seams * comb_pitch_m;
    4.0 / 3.0 * PI * radius_m * radius_m * radius_m * density_kg_m3
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cluster() -> Cluster {
        Cluster::new(2.0, 0.0, &Parameters::default())
    }

    #[test]
    fn a_two_kilogram_cluster_drawn_tight_is_ten_centimetres_in_radius() {
        assert!((cluster().radius_m(1.0) - 0.1020).abs() < 1e-4);
        assert!((cluster().conductances(1.0, 20.0).core_w_k - 0.1743).abs() < 2e-4);
    }

    #[test]
    fn derivatives_by_tightness_are_finite_differences() {
        let step = 1e-6;
        for x in [0.1, 0.5, 0.9] {
            let (low, high) = (
                cluster().conductances(x - step, 36.0),
                cluster().conductances(x + step, 36.0),
            );
            let here = cluster().conductances(x, 36.0);
            let core = (high.core_w_k - low.core_w_k) / (2.0 * step);
            let mantle = (high.mantle_w_k - low.mantle_w_k) / (2.0 * step);
            assert!((core - here.core_by_x).abs() < 1e-6);
            assert!((mantle - here.mantle_by_x).abs() < 1e-6);
        }
    }

    #[test]
    fn a_hot_core_opens_and_its_derivative_is_the_finite_difference() {
        let step = 1e-5;
        let at = |core_c: f64| cluster().conductances(0.9, core_c);
        assert_eq!(at(20.0).core_w_k, at(35.0).core_w_k);
        assert!(at(38.0).core_w_k > 8.0 * at(35.0).core_w_k);
        let rise = (at(36.0 + step).core_w_k - at(36.0 - step).core_w_k) / (2.0 * step);
        assert!((rise - at(36.0).core_by_core).abs() < 1e-6);
    }

    #[test]
    fn derivatives_by_temperature_are_finite_differences() {
        let step = 1e-6;
        for (core_c, mantle_c) in [(21.0, 12.0), (20.5, 15.0), (21.8, 18.0)] {
            let here = cluster().tightness(core_c, mantle_c);
            let by_core = cluster().tightness(core_c + step, mantle_c).x
                - cluster().tightness(core_c - step, mantle_c).x;
            let by_mantle = cluster().tightness(core_c, mantle_c + step).x
                - cluster().tightness(core_c, mantle_c - step).x;
            assert!((by_core / (2.0 * step) - here.by_core).abs() < 1e-6);
            assert!((by_mantle / (2.0 * step) - here.by_mantle).abs() < 1e-6);
        }
    }

    #[test]
    fn brood_warms_the_core_and_loosens_the_ball() {
        let p = Parameters::default();
        let (bare, brood) = (Cluster::new(2.0, 0.0, &p), Cluster::new(2.0, 1.0, &p));
        assert_eq!(brood.core_set_c, p.brood_set_c);
        assert!(brood.radius_m(1.0) > bare.radius_m(1.0));
    }

    #[test]
    fn mass_and_seams_are_inverse() {
        let kg = mass_from_seams_kg(6.0, 0.035, 450.0);
        assert!((2.0 * radius_m(kg, 450.0) / 0.035 - 6.0).abs() < 1e-9);
    }
}
