//! The coupled heat balance of core, mantle, upper and lower air at the end of one implicit stage.

use super::balance::{Balance, State};
use super::elimination::WallPull;
use super::ledger::{Ledger, Path};
use super::run::SeasonError;
use crate::hive::airflow::Airflow;

/// Newton stops when no temperature moves by more than this, K: the next step would be some 1e-10 K.
const CONVERGED_K: f64 = 1e-5;
/// Largest change of a temperature in one Newton step, K: smooth steps are flat outside their bands.
const LARGEST_STEP_K: f64 = 4.0;
const MOST_ITERATIONS: u32 = 60;
/// Smallest share of a Newton step that is tried.
const SMALLEST_SHARE: f64 = 1.0 / 64.0;

/// Core, mantle, upper and lower air.
pub(super) type Four = [f64; 4];

/// The coupled system of one stage, with what its rounds share.
pub(super) struct StageProblem<'a> {
    balance: &'a Balance,
    base: &'a State,
    outside_c: f64,
    stage_s: f64,
    air: Airflow,
    pulls: (WallPull, WallPull),
    /// Exchange between upper and lower air, W/K.
    zones_w_k: f64,
    /// What core, mantle and each air zone store over the stage, W/K.
    core_store_w_k: f64,
    mantle_store_w_k: f64,
    air_store_w_k: f64,
    /// Conductance from the upper air to the comb's temperature at the base, once the comb is eliminated, W/K.
    comb_w_k: f64,
    /// How far tightness goes over the stage to what the bees seek, 0 to 1.
    tightening: f64,
}

impl<'a> StageProblem<'a> {
    /// The system that leads from `base` over `stage_s` while air moves and walls pull like this.
    pub(super) fn new(
        balance: &'a Balance,
        base: &'a State,
        outside_c: f64,
        stage_s: f64,
        air: Airflow,
        pulls: (WallPull, WallPull),
    ) -> Self {
        let (c, p) = (&balance.capacities, &balance.parameters);
        let comb_store_w_k = c.comb_j_k / stage_s;
        let ratio = stage_s / p.tightening_time_s;
        Self {
            balance,
            base,
            outside_c,
            stage_s,
            zones_w_k: balance.zone_exchange_w_k(&air),
            air,
            pulls,
            core_store_w_k: c.core_j_k / stage_s,
            mantle_store_w_k: c.mantle_j_k / stage_s,
            air_store_w_k: c.air_j_k / stage_s,
            comb_w_k: p.comb_film_w_k * comb_store_w_k / (p.comb_film_w_k + comb_store_w_k),
            tightening: ratio / (1.0 + ratio),
        }
    }

    /// The four temperatures at the stage's end, searched from `t`, and the rounds that it took.
    pub(super) fn solve(&self, mut t: Four) -> Result<(Four, u32), SeasonError> {
        let (mut jacobian, mut residual) = self.linearise(&t);
        for round in 1..=MOST_ITERATIONS {
            let full = solve(jacobian, residual);
            if !full.iter().all(|step| step.is_finite()) {
                break;
            }
            let size_k = full
                .iter()
                .fold(0.0, |size: f64, step| size.max(step.abs()));
            let change = full.map(|step| step.clamp(-LARGEST_STEP_K, LARGEST_STEP_K));
            if size_k <= CONVERGED_K {
                return Ok((moved(&t, &change, 1.0), round));
            }
            // A step that leaves more imbalance than it found went too far: take half of it, and half again.
            let before = squares(&residual);
            let mut share = 1.0;
            loop {
                let next = moved(&t, &change, share);
                (jacobian, residual) = self.linearise(&next);
                if squares(&residual) <= before || share < SMALLEST_SHARE {
                    t = next;
                    break;
                }
                share *= 0.5;
            }
        }
        Err(SeasonError::NotConverged {
            temperatures_c: t,
            outside_c: self.outside_c,
        })
    }

    /// Sets all of `end` but its walls from the four temperatures at the stage's end.
    pub(super) fn set_lumped(&self, t: Four, end: &mut State) {
        [end.core_c, end.mantle_c, end.upper_c, end.lower_c] = t;
        end.tightness = self.tightness(end.core_c, end.mantle_c).0;
        let comb_c = self.base.comb_c;
        let warmed_j = self.comb_w_k * (end.upper_c - comb_c) * self.stage_s;
        end.comb_c = comb_c + warmed_j / self.balance.capacities.comb_j_k;
    }

    /// Tightness at the stage's end, relaxed implicitly towards what the bees seek, and its derivatives by core and mantle.
    fn tightness(&self, core_c: f64, mantle_c: f64) -> (f64, f64, f64) {
        let weight = self.tightening;
        let sought = self.balance.cluster.tightness(core_c, mantle_c);
        (
            self.base.tightness + weight * (sought.x - self.base.tightness),
            weight * sought.by_core,
            weight * sought.by_mantle,
        )
    }

    /// The Jacobian of the heat balance of core, mantle, upper and lower air, and its negative residual, W.
    fn linearise(&self, t: &Four) -> ([Four; 4], Four) {
        let [core_c, mantle_c, upper_c, lower_c] = *t;
        let b = self.balance;
        let outside_c = self.outside_c;
        let (core_heat, mantle_heat) = b.heat(core_c, mantle_c);
        let (x, x_by_core, x_by_mantle) = self.tightness(core_c, mantle_c);
        let k = b.cluster.conductances(x, core_c);
        let inner_k = core_c - mantle_c;
        let outer_k = mantle_c - upper_c;
        let (core_store, mantle_store) = (self.core_store_w_k, self.mantle_store_w_k);
        let (air_store, zones) = (self.air_store_w_k, self.zones_w_k);
        let (comb_w_k, comb_c) = (self.comb_w_k, self.base.comb_c);
        let fanning = b.fanning(upper_c, outside_c);
        let (up, down) = (self.air.up_w_k(), self.air.down_w_k());
        let (upper_pull, lower_pull) = self.pulls;

        let core_w = k.core_w_k * inner_k;
        let mantle_w = k.mantle_w_k * outer_k;
        let open_upper = self.air.upper_w_k + down;
        let open_lower = self.air.lower_w_k + up;
        let residual = [
            b.sensible * core_heat.value - core_w - core_store * (core_c - self.base.core_c),
            b.sensible * mantle_heat.value + core_w
                - mantle_w
                - mantle_store * (mantle_c - self.base.mantle_c),
            mantle_w
                - fanning.value
                - (zones + up) * (upper_c - lower_c)
                - open_upper * (upper_c - outside_c)
                - (upper_pull.w_k * upper_c - upper_pull.w)
                - comb_w_k * (upper_c - comb_c)
                - air_store * (upper_c - self.base.upper_c),
            (zones + down) * (upper_c - lower_c)
                - open_lower * (lower_c - outside_c)
                - (lower_pull.w_k * lower_c - lower_pull.w)
                - air_store * (lower_c - self.base.lower_c),
        ];
        // Derivatives of the two cluster flows by core and mantle, through the tightness too.
        let core_by_core = k.core_w_k + (k.core_by_core + k.core_by_x * x_by_core) * inner_k;
        let core_by_mantle = -k.core_w_k + k.core_by_x * x_by_mantle * inner_k;
        let mantle_by_core = k.mantle_by_x * x_by_core * outer_k;
        let mantle_by_mantle = k.mantle_w_k + k.mantle_by_x * x_by_mantle * outer_k;
        let jacobian = [
            [
                core_by_core + core_store - b.sensible * core_heat.per_k,
                core_by_mantle,
                0.0,
                0.0,
            ],
            [
                mantle_by_core - core_by_core,
                mantle_by_mantle - core_by_mantle + mantle_store - b.sensible * mantle_heat.per_k,
                -k.mantle_w_k,
                0.0,
            ],
            [
                -mantle_by_core,
                -mantle_by_mantle,
                k.mantle_w_k
                    + zones
                    + up
                    + open_upper
                    + fanning.per_k
                    + upper_pull.w_k
                    + comb_w_k
                    + air_store,
                -(zones + up),
            ],
            [
                0.0,
                0.0,
                -(zones + down),
                zones + down + open_lower + lower_pull.w_k + air_store,
            ],
        ];
        (jacobian, residual)
    }

    /// Books what the lumped nodes make and lose at the stage's end.
    pub(super) fn book(&self, end: &State, seconds: f64, ledger: &mut Ledger) {
        let b = self.balance;
        let made_j = b.heat_made_w(end) * seconds;
        ledger.made_j += made_j;
        ledger.lose(Path::Vapour, (1.0 - b.sensible) * made_j);
        let fanned_w = b.fanning(end.upper_c, self.outside_c).value;
        let upper_j = (end.upper_c - self.outside_c) * seconds;
        let lower_j = (end.lower_c - self.outside_c) * seconds;
        let (up, down) = (self.air.up_w_k(), self.air.down_w_k());
        ledger.lose(Path::UpperAir, (self.air.upper_w_k + up) * upper_j);
        ledger.lose(Path::LowerAir, (self.air.lower_w_k + down) * lower_j);
        ledger.lose(Path::Fanning, fanned_w * seconds);
    }
}

/// The four temperatures of a state.
pub(super) fn lumped(state: &State) -> Four {
    [state.core_c, state.mantle_c, state.upper_c, state.lower_c]
}

/// Temperatures moved by a share of a change.
pub(super) fn moved(t: &Four, change: &Four, share: f64) -> Four {
    std::array::from_fn(|i| t[i] + share * change[i])
}

fn squares(residual: &Four) -> f64 {
    residual.iter().map(|r| r * r).sum()
}

/// Solves a system of four by elimination; the diagonal dominates, so rows keep their order.
fn solve(mut a: [Four; 4], mut b: Four) -> Four {
    for pivot in 0..4 {
        let (above, below) = a.split_at_mut(pivot + 1);
        let head = &above[pivot];
        for (offset, row) in below.iter_mut().enumerate() {
            if row[pivot] == 0.0 {
                // The core touches no air, and only the upper air the cluster.
                continue;
            }
            let factor = row[pivot] / head[pivot];
            for (value, head) in row.iter_mut().zip(head).skip(pivot) {
                *value -= factor * head;
            }
            b[pivot + 1 + offset] -= factor * b[pivot];
        }
    }
    for row in (0..4).rev() {
        for column in row + 1..4 {
            b[row] -= a[row][column] * b[column];
        }
        b[row] /= a[row][row];
    }
    b
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn four_equations_are_solved() {
        let a = [
            [4.0, 1.0, 0.0, 0.0],
            [1.0, 5.0, 2.0, 0.0],
            [0.0, -1.0, 6.0, 1.0],
            [0.5, 0.0, 1.0, 3.0],
        ];
        let x = [1.0, -2.0, 3.0, 0.5];
        let b = a.map(|row| row.iter().zip(x).map(|(a, x)| a * x).sum());
        for (found, expected) in solve(a, b).iter().zip(x) {
            assert!((found - expected).abs() < 1e-12);
        }
    }
}
