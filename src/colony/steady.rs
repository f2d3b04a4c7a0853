//! A cluster at rest in unchanging air: what measurements in chambers, and in hives of a known conductance, are held against.
//!
//! With core `c`, mantle `m`, column `a` and outside `o`, the dry share `s` of the heat, masses `M`, and `K`, `H` of [`Cluster`]:
//!
//! ```text
//! s M_c q(T_c) = K(x, T_c) (T_c - T_m)
//! s M_m q(T_m) + K (T_c - T_m) = H(x) (T_m - T_a)
//! H (T_m - T_a) = G (T_a - T_o)          in a hive of conductance G; T_a = T_o in a chamber
//! x = tightness(T_m, T_a, T_o)
//! ```
//!
//! For a column at `T_a` the first two are solved by Newton's method; the third is then one equation of one unknown, whose right side
//! less its left rises through nothing once: [`equilibria`] looks for more.

use super::cluster::Cluster;
use super::metabolism::{Metabolism, vapour_share};
use crate::parameter::Parameters;

/// Newton stops when no temperature moves by more than this, K.
const CONVERGED_K: f64 = 1e-9;
const LARGEST_STEP_K: f64 = 4.0;
const MOST_ROUNDS: u32 = 200;
/// Halvings of the bracket of the column's temperature: from 80 K to below a nanokelvin.
const HALVINGS: u32 = 40;
/// Widest that a column is sought above the outside air, K: no cluster of the valid range keeps it warmer.
const WIDEST_K: f64 = 80.0;

/// Between these a mantle is sought by halving, degC.
const COLDEST_C: f64 = -60.0;
const HOTTEST_C: f64 = 80.0;

/// Where a falling value passes nothing, by [`HALVINGS`].
fn root((mut low, mut high): (f64, f64), value: impl Fn(f64) -> f64) -> f64 {
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        if value(middle) > 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    low
}

/// The air round a cluster.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Surroundings {
    /// Outside, or in the chamber, degC.
    pub outside_c: f64,
    /// From the air round the cluster to the outside, W/K; none in a chamber, whose air is all alike.
    pub loss_w_k: Option<f64>,
}

/// A cluster at rest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Steady {
    /// Core, degC.
    pub core_c: f64,
    /// Mantle, degC.
    pub mantle_c: f64,
    /// Air round it, degC.
    pub column_c: f64,
    /// Air right beside the mantle between the combs, degC: [`Cluster::beside_c`].
    pub beside_c: f64,
    /// 0 loose to 1 tight.
    pub tightness: f64,
    /// Radius of the ball, m.
    pub radius_m: f64,
    /// Heat made, W.
    pub heat_w: f64,
    /// Dry heat that leaves the mantle, W.
    pub dry_w: f64,
}

/// The cluster at rest in these surroundings; the coldest where there are several states, and none where no balance is found: bees that cannot keep warm.
#[must_use]
pub fn steady(
    cluster: &Cluster,
    surroundings: Surroundings,
    parameters: &Parameters,
) -> Option<Steady> {
    let air = Air::new(cluster, surroundings.outside_c, parameters);
    let Some(loss_w_k) = surroundings.loss_w_k else {
        return air.at(surroundings.outside_c);
    };
    let gains_w = |column_c: f64| {
        let state = air.at(column_c)?;
        Some(state.dry_w - loss_w_k * (column_c - surroundings.outside_c))
    };
    let (mut low_c, mut high_c) = (surroundings.outside_c, surroundings.outside_c + WIDEST_K);
    for _ in 0..HALVINGS {
        let middle_c = 0.5 * (low_c + high_c);
        // Where bees find no balance the air is too warm for them.
        if gains_w(middle_c).is_some_and(|gain_w| gain_w > 0.0) {
            low_c = middle_c;
        } else {
            high_c = middle_c;
        }
    }
    air.at(low_c)
}

/// How many steady states a cluster has in a hive: places where the heat that the air round it loses overtakes what it gains, looked for every `step_k` of
/// that air.
#[must_use]
pub fn equilibria(
    cluster: &Cluster,
    (outside_c, loss_w_k): (f64, f64),
    step_k: f64,
    parameters: &Parameters,
) -> usize {
    let air = Air::new(cluster, outside_c, parameters);
    let steps = (WIDEST_K / step_k) as u32;
    let gains = (0..=steps).map_while(|step| {
        let over_k = f64::from(step) * step_k;
        let state = air.at(outside_c + over_k)?;
        Some(state.dry_w > loss_w_k * over_k)
    });
    let gains: Vec<bool> = gains.collect();
    gains.windows(2).filter(|pair| pair[0] && !pair[1]).count()
}

/// A cluster with its metabolism, whatever the temperature of the air round it.
struct Air<'a> {
    cluster: &'a Cluster,
    metabolism: Metabolism,
    mantle_set_c: f64,
    sensible: f64,
    outside_c: f64,
}

impl<'a> Air<'a> {
    fn new(cluster: &'a Cluster, outside_c: f64, parameters: &Parameters) -> Self {
        Self {
            cluster,
            metabolism: Metabolism::new(parameters),
            mantle_set_c: parameters.mantle_set_c,
            sensible: 1.0 - vapour_share(parameters),
            outside_c,
        }
    }

    /// The state in air of `column_c`: by Newton's method, or, where that goes astray, by halving; none where there is none below [`HOTTEST_C`].
    fn at(&self, column_c: f64) -> Option<Steady> {
        self.newton(column_c).or_else(|| self.halved(column_c))
    }

    /// The mantle by halving, and for each mantle the core so.
    fn halved(&self, column_c: f64) -> Option<Steady> {
        let core_of = |mantle_c: f64| {
            root((mantle_c - 5.0, HOTTEST_C), |core_c| {
                self.residual([core_c, mantle_c], column_c).0[0]
            })
        };
        let mantle_c = root((column_c.min(COLDEST_C), HOTTEST_C), |mantle_c| {
            self.residual([core_of(mantle_c), mantle_c], column_c).0[1]
        });
        (mantle_c < HOTTEST_C - 1.0).then(|| self.state([core_of(mantle_c), mantle_c], column_c))
    }

    fn newton(&self, column_c: f64) -> Option<Steady> {
        let mut t = [self.cluster.core_set_c, self.mantle_set_c.max(column_c)];
        let mut best = f64::INFINITY;
        let (mut from, mut step, mut share) = (t, [0.0; 2], 1.0);
        for _ in 0..MOST_ROUNDS {
            let (residual, jacobian) = self.residual(t, column_c);
            let size = residual[0] * residual[0] + residual[1] * residual[1];
            if size <= best || share < 1.0 / 64.0 {
                let [a, b, c, d] = jacobian;
                let determinant = a * d - b * c;
                step = [
                    (residual[0] * d - b * residual[1]) / determinant,
                    (a * residual[1] - c * residual[0]) / determinant,
                ];
                if !(step[0].is_finite() && step[1].is_finite()) {
                    return None;
                }
                if step[0].abs().max(step[1].abs()) < CONVERGED_K {
                    return Some(self.state(t, column_c));
                }
                (from, best, share) = (t, size, 1.0);
            } else {
                share *= 0.5;
            }
            for node in 0..2 {
                t[node] = from[node] + share * step[node].clamp(-LARGEST_STEP_K, LARGEST_STEP_K);
            }
        }
        None
    }

    /// What is left of the balance of core and mantle, W, and its negative Jacobian by rows.
    fn residual(&self, [core_c, mantle_c]: [f64; 2], column_c: f64) -> ([f64; 2], [f64; 4]) {
        let (cluster, s) = (self.cluster, self.sensible);
        let core = self.metabolism.heat_w_kg(core_c, cluster.core_set_c);
        let core = core.times(s * cluster.core_kg);
        let mantle = self.metabolism.heat_w_kg(mantle_c, self.mantle_set_c);
        let mantle = mantle.times(s * cluster.mantle_kg);
        let x = cluster.tightness(mantle_c, (column_c, self.outside_c));
        let k = cluster.conductances(x.x, core_c);
        let inner_w = k.core_w_k * (core_c - mantle_c);
        let inner_by_core = k.core_w_k + k.core_by_core * (core_c - mantle_c);
        let inner_by_mantle = k.core_by_x * x.by_mantle * (core_c - mantle_c) - k.core_w_k;
        let outer_by_mantle = k.mantle_by_x * x.by_mantle * (mantle_c - column_c) + k.mantle_w_k;
        (
            [
                core.value - inner_w,
                mantle.value + inner_w - k.mantle_w_k * (mantle_c - column_c),
            ],
            [
                inner_by_core - core.per_k,
                inner_by_mantle,
                -inner_by_core,
                outer_by_mantle - inner_by_mantle - mantle.per_k,
            ],
        )
    }

    fn state(&self, [core_c, mantle_c]: [f64; 2], column_c: f64) -> Steady {
        let cluster = self.cluster;
        let x = cluster.tightness(mantle_c, (column_c, self.outside_c)).x;
        let core = self.metabolism.heat_w_kg(core_c, cluster.core_set_c).value;
        let mantle = self.metabolism.heat_w_kg(mantle_c, self.mantle_set_c).value;
        let heat_w = core * cluster.core_kg + mantle * cluster.mantle_kg;
        Steady {
            core_c,
            mantle_c,
            column_c,
            beside_c: cluster.beside_c(x, mantle_c, column_c),
            tightness: x,
            radius_m: cluster.radius_m(x),
            heat_w,
            dry_w: self.sensible * heat_w,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Conductances of a thin and of a foam hive, W/K (`tests/validation/hives.rs` has those of whole hives; joints and entrance left out).
    const HIVES_W_K: [f64; 2] = [2.7, 0.95];
    const MASSES_KG: [f64; 3] = [1.0, 1.75, 3.0];

    #[test]
    fn heat_made_is_heat_lost() {
        let p = Parameters::default();
        let cluster = Cluster::new(1.75, 0.0, &p);
        for loss_w_k in HIVES_W_K {
            let surroundings = Surroundings {
                outside_c: -10.0,
                loss_w_k: Some(loss_w_k),
            };
            let state = steady(&cluster, surroundings, &p).expect("a balance");
            let lost_w = loss_w_k * (state.column_c + 10.0);
            assert!((state.dry_w / lost_w - 1.0).abs() < 1e-6);
        }
    }

    #[test]
    fn every_cluster_has_one_equilibrium_in_every_hive_from_minus_forty_to_fifteen() {
        let p = Parameters::default();
        for nest_share in [0.0, 0.5, 1.0] {
            let p = Parameters {
                contraction_nest_share: nest_share,
                ..p.clone()
            };
            for kg in MASSES_KG {
                let cluster = Cluster::new(kg, 0.0, &p);
                for loss_w_k in HIVES_W_K {
                    for outside_c in (-40..=15).map(f64::from) {
                        let found = equilibria(&cluster, (outside_c, loss_w_k), 0.1, &p);
                        assert_eq!(found, 1, "{kg} kg at {outside_c} degC, {loss_w_k} W/K");
                    }
                }
            }
        }
    }
}
