//! The cluster: a core inside a mantle of bees that draws together as the air round it grows cold.
//!
//! | symbol | here | meaning |
//! |---|---|---|
//! | `T` | contraction temperature | `T_out + f (T_col - T_out)`, degC: what contraction answers to |
//! | `x` | tightness | 0 loose to 1 tight |
//! | `V` | volume | `V_tight r^(1 - x)`, m3 |
//! | `K` | `core_w_k` | `4 pi k R s (1 + g (1 - x))` from core to mantle, W/K; times `1 + 8` for a hot core |
//! | `h` | film | `h_loose^(1-x) h_tight^x (m / 1.2 kg)^-n`, at most that of a bare sphere, W/m2K |
//!
//! Contraction: volume falls five-fold between 18 degC, where clusters begin, and -10 degC, where they are tight (Canadian federal
//! wintering bulletin, Melathopoulos). With the logarithm of the volume straight in temperature between the two that is 55 % from 4 degC
//! down, which is what Severson & Erickson 1990 (Apidologie 21:135) measured to -23 degC. Their axis is the outside air; bees feel the air in their
//! nest. So the share `f` of the nest in what they answer to is not known, and is drawn. Whatever the air, bees whose own mantle is warm do not stay packed:
//! without that a large cluster in a well insulated hive in frost would have a second, impossible state, packed and hot throughout.
//!
//! Weak: two zones stand for a ball of bees spread over combs, so temperatures are means of each zone, not of a place in it.

use super::metabolism::smooth_step;
use crate::lane::{Number, per_lane};
use crate::parameter::Parameters;
use serde::Serialize;

const PI: f64 = std::f64::consts::PI;

/// Mass of a cluster whose film is that of the parameters, kg: the largest that Southwick 1985 measured.
pub const FILM_REFERENCE_KG: f64 = 1.2;
/// Half width of the rounded ends of contraction, as a share of its range (own choice: 2 K; a corner would put a bump into every hive's heat).
const ROUNDED: f64 = 0.08;
/// Power with which two limits that act together are blended (own choice: within 4 % of the lower one where the other is half as far again).
const BLEND: i32 = 4;

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
    ln_radius_ratio: N,
    loose_film_w_m2k: N,
    ln_film_ratio: N,
    bare_film_w_m2k: N,
    core_w_mk: N,
    loose_core_gain: N,
    contraction_start_c: N,
    /// One over the range of temperatures from loose to tight, 1/K; so with the core's way out.
    contraction_per_k: N,
    nest_share: N,
    mantle_warm_c: N,
    mantle_per_k: N,
    vent_start_c: N,
    vent_per_k: N,
    vent_gain: N,
}

per_lane!(Cluster {
    core_kg,
    mantle_kg,
    core_set_c,
    loose_radius_m,
    ln_radius_ratio,
    loose_film_w_m2k,
    ln_film_ratio,
    bare_film_w_m2k,
    core_w_mk,
    loose_core_gain,
    contraction_start_c,
    contraction_per_k,
    nest_share,
    mantle_warm_c,
    mantle_per_k,
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
    /// From mantle to the air round it, W/K.
    pub mantle_w_k: N,
    /// Its derivative by tightness.
    pub mantle_by_x: N,
}

/// Tightness that bees seek, and its derivatives.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tightness<N = f64> {
    /// 0 loose to 1 tight.
    pub x: N,
    /// Derivative by the mantle's temperature, 1/K.
    pub by_mantle: N,
    /// Derivative by that of the air round it, 1/K.
    pub by_column: N,
}

impl Cluster {
    /// A cluster of `bees_kg` with so many cells of brood.
    ///
    /// Brood fills the core to a share of 0 to 1 and warms its set point in that proportion. Bees over brood cannot enter the cells they warm, so
    /// the ball is less dense; and it must cover all brood, so few bees on much brood spread thin and lose more heat each (Kronenberg & Heller 1982, J Comp
    /// Physiol B 148:65: heat rises in proportion to cooling, and more with few bees for their brood).
    #[must_use]
    pub fn new(bees_kg: f64, brood_cells: f64, parameters: &Parameters) -> Self {
        let p = parameters;
        let brood = brood_share(bees_kg, brood_cells, p);
        let bare_m3 = bees_kg / (p.tight_density_kg_m3 * (1.0 - p.brood_density_cut * brood));
        let covering_m3 = brood_cells / p.brood_cells_m3 / p.brood_ball_share;
        let tight_m3 = larger(bare_m3, covering_m3);
        let loose_m3 = larger(p.contraction_ratio * bare_m3, covering_m3);
        let of_mass = libm::pow(bees_kg / FILM_REFERENCE_KG, -p.film_mass_exponent);
        Self {
            core_kg: bees_kg * p.core_mass_share,
            mantle_kg: bees_kg * (1.0 - p.core_mass_share),
            core_set_c: p.core_set_c + brood * (p.brood_set_c - p.core_set_c),
            loose_radius_m: ball_radius_m(loose_m3),
            ln_radius_ratio: libm::log(tight_m3 / loose_m3) / 3.0,
            loose_film_w_m2k: p.loose_film_w_m2k * of_mass,
            ln_film_ratio: libm::log(p.tight_film_w_m2k / p.loose_film_w_m2k),
            bare_film_w_m2k: p.bare_film_w_m2k,
            core_w_mk: 4.0 * PI * p.cluster_conductivity_w_mk * p.core_shape_factor,
            loose_core_gain: p.loose_core_gain,
            contraction_start_c: p.contraction_start_c,
            contraction_per_k: 1.0 / (p.contraction_start_c - p.contraction_full_c),
            nest_share: p.contraction_nest_share,
            mantle_warm_c: p.mantle_warm_c,
            mantle_per_k: 1.0 / (p.mantle_loose_c - p.mantle_warm_c),
            vent_start_c: p.core_vent_start_c,
            vent_per_k: 1.0 / (p.core_vent_full_c - p.core_vent_start_c),
            vent_gain: p.core_vent_gain,
        }
    }
}

/// How far brood fills the core of a cluster of `bees_kg`, 0 to 1: its cells against those in the volume of a tight core settled on brood.
#[must_use]
pub fn brood_share(bees_kg: f64, brood_cells: f64, parameters: &Parameters) -> f64 {
    let p = parameters;
    let density = p.tight_density_kg_m3 * (1.0 - p.brood_density_cut);
    let core_m3 = bees_kg * p.core_mass_share / density;
    (brood_cells / (p.brood_cells_m3 * core_m3)).min(1.0)
}

impl<N: Number> Cluster<N> {
    /// Radius of the ball, m, at tightness `x`: the logarithm of the volume is straight in it.
    #[must_use]
    #[inline(always)]
    pub fn radius_m(&self, x: N) -> N {
        self.loose_radius_m * (self.ln_radius_ratio * x).exp()
    }

    /// Section of the ball at tightness `x` over that of the tight one.
    #[must_use]
    #[inline(always)]
    pub fn section_ratio(&self, x: N) -> N {
        (self.ln_radius_ratio * 2.0 * (x - 1.0)).exp()
    }

    /// Volume of the core, m3, at tightness `x`: its share of the ball.
    #[must_use]
    #[inline(always)]
    pub fn core_m3(&self, x: N) -> N {
        let radius_m = self.radius_m(x);
        let share = self.core_kg / (self.core_kg + self.mantle_kg);
        share * (4.0 / 3.0 * PI) * radius_m * radius_m * radius_m
    }

    /// Conductances at tightness `x` with the core at `core_c`.
    ///
    /// The film is mixed in the logarithm and blended with that of a bare sphere, `(h^-4 + h_bare^-4)^(-1/4)`: no shelter loses more than none. Without a way
    /// out for a hot core, resting heat, which rises with temperature, would run away in a well packed cluster.
    #[must_use]
    #[inline(always)]
    pub fn conductances(&self, x: N, core_c: N) -> Conductances<N> {
        let one = x.splat(1.0);
        let (vent, vent_by_s) = smooth_step((core_c - self.vent_start_c) * self.vent_per_k);
        let open = self.vent_gain * vent + 1.0;
        let radius_m = self.radius_m(x);
        let radius_w_k = self.core_w_mk * radius_m;
        let ease = self.loose_core_gain * (one - x) + 1.0;
        let sheltered = self.loose_film_w_m2k * (self.ln_film_ratio * x).exp();
        let of_bare = sheltered / self.bare_film_w_m2k;
        let of_bare = of_bare * of_bare;
        let blend = one + of_bare * of_bare;
        let mantle_w_k = sheltered / blend.sqrt().sqrt() * (4.0 * PI) * radius_m * radius_m;
        Conductances {
            core_w_k: radius_w_k * ease * open,
            core_by_core: radius_w_k * ease * self.vent_gain * vent_by_s * self.vent_per_k,
            core_by_x: radius_w_k * open * (self.ln_radius_ratio * ease - self.loose_core_gain),
            mantle_w_k,
            mantle_by_x: mantle_w_k * (self.ln_film_ratio / blend + self.ln_radius_ratio * 2.0),
        }
    }

    /// Tightness that the bees seek in air of `column_c` round them with `outside_c` outside: the law's, and none where the mantle is as warm as that of bees
    /// that do not cluster.
    #[must_use]
    #[inline(always)]
    pub fn tightness(&self, mantle_c: N, (column_c, outside_c): (N, N)) -> Tightness<N> {
        let felt_c = outside_c + self.nest_share * (column_c - outside_c);
        let drawn = (self.contraction_start_c - felt_c) * self.contraction_per_k;
        let (low, low_slope) = rounded_ramp(drawn);
        let (high, high_slope) = rounded_ramp(drawn - 1.0);
        let per_k = (high_slope - low_slope) * self.contraction_per_k * self.nest_share;
        let law = low - high;
        let (warm, by_s) = smooth_step((mantle_c - self.mantle_warm_c) * self.mantle_per_k);
        let cool = law.splat(1.0) - warm;
        Tightness {
            x: law * cool,
            by_mantle: -(law * by_s * self.mantle_per_k),
            by_column: per_k * cool,
        }
    }

    /// Temperature of the air right beside the mantle, degC, between combs that shelter it from the rest of the air at `column_c`: where the film of a bare
    /// sphere would bring the same heat.
    #[must_use]
    #[inline(always)]
    pub fn beside_c(&self, x: N, mantle_c: N, column_c: N) -> N {
        let radius_m = self.radius_m(x);
        let area_m2 = radius_m * radius_m * (4.0 * PI);
        let film_w_m2k = self.conductances(x, mantle_c).mantle_w_k / area_m2;
        mantle_c - film_w_m2k / self.bare_film_w_m2k * (mantle_c - column_c)
    }
}

/// Nothing below 0, `u` above, rounded in between: `(u + sqrt(u^2 + e^2)) / 2`, and its derivative.
#[inline(always)]
fn rounded_ramp<N: Number>(u: N) -> (N, N) {
    let root = (u * u + ROUNDED * ROUNDED).sqrt();
    ((u + root) * 0.5, (u / root + 1.0) * 0.5)
}

/// The larger of two volumes, blended where they are alike: `(a^4 + b^4)^(1/4)`.
fn larger(a: f64, b: f64) -> f64 {
    let (most, least) = (a.max(b), a.min(b));
    most * libm::pow(1.0 + (least / most).powi(BLEND), 1.0 / f64::from(BLEND))
}

/// Radius of a ball of a volume, m.
fn ball_radius_m(volume_m3: f64) -> f64 {
    libm::cbrt(3.0 * volume_m3 / (4.0 * PI))
}

/// Radius of a ball of `kg` at a density, m.
#[must_use]
pub fn radius_m(kg: f64, density_kg_m3: f64) -> f64 {
    ball_radius_m(kg / density_kg_m3)
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

    /// Volume of a ball of bees at a tightness, m3.
    fn volume_m3(x: f64) -> f64 {
        4.0 / 3.0 * PI * cluster().radius_m(x).powi(3)
    }

    #[test]
    fn a_tight_cluster_has_its_density_and_a_loose_one_a_fifth_of_it() {
        let p = Parameters::default();
        assert!((2.0 / volume_m3(1.0) / p.tight_density_kg_m3 - 1.0).abs() < 1e-9);
        assert!((volume_m3(0.0) / volume_m3(1.0) / p.contraction_ratio - 1.0).abs() < 1e-9);
    }

    /// Severson & Erickson 1990, Apidologie 21:135 [read, abstract]: volume falls 55 % and surface 40 % from 4 to -23 degC outside.
    #[test]
    fn contraction_by_the_outside_air_is_that_of_severson_and_erickson() {
        let p = Parameters {
            contraction_nest_share: 0.0,
            ..Parameters::default()
        };
        let volume = |outside_c: f64| {
            let cluster = Cluster::new(1.5, 0.0, &p);
            let tightness = cluster.tightness(10.0, (0.0, outside_c));
            cluster.radius_m(tightness.x).powi(3)
        };
        let fall = 1.0 - volume(-23.0) / volume(4.0);
        assert!((fall - 0.55).abs() < 0.02, "{fall}");
        let surface = 1.0 - libm::pow(1.0 - fall, 2.0 / 3.0);
        assert!((surface - 0.40).abs() < 0.02, "{surface}");
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
    fn the_derivatives_of_tightness_are_finite_differences() {
        let step = 1e-5;
        for (mantle_c, column_c) in [
            (10.0, -30.0),
            (10.0, -8.0),
            (14.0, 3.0),
            (17.0, 12.0),
            (19.0, 18.0),
        ] {
            let at = |mantle_c: f64, column_c: f64| cluster().tightness(mantle_c, (column_c, -5.0));
            let here = at(mantle_c, column_c);
            let by_column = at(mantle_c, column_c + step).x - at(mantle_c, column_c - step).x;
            let by_mantle = at(mantle_c + step, column_c).x - at(mantle_c - step, column_c).x;
            assert!((by_column / (2.0 * step) - here.by_column).abs() < 1e-7);
            assert!((by_mantle / (2.0 * step) - here.by_mantle).abs() < 1e-7);
        }
    }

    #[test]
    fn no_shelter_loses_more_than_a_bare_sphere() {
        let p = Parameters::default();
        for kg in [0.005, 0.1, 1.2, 4.0] {
            let cluster = Cluster::new(kg, 0.0, &p);
            for x in [0.0, 0.5, 1.0] {
                let area_m2 = 4.0 * PI * cluster.radius_m(x).powi(2);
                let film = cluster.conductances(x, 20.0).mantle_w_k / area_m2;
                assert!(film > 0.0 && film < p.bare_film_w_m2k, "{kg} kg: {film}");
            }
        }
    }

    #[test]
    fn the_air_beside_the_mantle_lies_between_it_and_the_column() {
        let beside_c = cluster().beside_c(0.9, 10.0, -12.0);
        assert!(-12.0 < beside_c && beside_c < 10.0);
    }

    #[test]
    fn brood_warms_the_core_and_loosens_the_ball() {
        let p = Parameters::default();
        let (bare, brood) = (Cluster::new(2.0, 0.0, &p), Cluster::new(2.0, 9_000.0, &p));
        assert_eq!(brood.core_set_c, p.brood_set_c);
        assert!(brood.radius_m(1.0) > bare.radius_m(1.0));
    }

    #[test]
    fn few_bees_on_the_same_brood_lose_more_heat_each() {
        let p = Parameters::default();
        let each = |kg: f64| {
            Cluster::new(kg, 8_000.0, &p)
                .conductances(1.0, 34.0)
                .mantle_w_k
                / kg
        };
        assert!(each(0.6) > 1.5 * each(1.2), "{} {}", each(0.6), each(1.2));
    }

    #[test]
    fn mass_and_seams_are_inverse() {
        let kg = mass_from_seams_kg(6.0, 0.035, 450.0);
        assert!((2.0 * radius_m(kg, 450.0) / 0.035 - 6.0).abs() < 1e-9);
    }
}
