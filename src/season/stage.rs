//! The coupled heat balance of core, mantle, upper and lower air at the end of one implicit stage.

use super::balance::Balance;
use super::elimination::WallPull;
use super::ledger::{Ledger, Path};
use super::state::State;
use crate::hive::airflow::Airflow;
use crate::lane::{Mask, Number};

/// Newton stops when no temperature moves by more than this, K: the next step would be some 1e-10 K.
const CONVERGED_K: f64 = 1e-5;
/// Largest change of a temperature in one Newton step, K: smooth steps are flat outside their bands.
const LARGEST_STEP_K: f64 = 4.0;
/// Most balances that are looked at before the search is given up (own choice).
const MOST_ROUNDS: u32 = 200;
/// Smallest share of a Newton step that is tried.
const SMALLEST_SHARE: f64 = 1.0 / 64.0;

/// Core, mantle, upper and lower air.
pub(super) type Four<N> = [N; 4];

/// The coupled system of one stage, with what its rounds share.
pub(super) struct StageProblem<'a, N> {
    balance: &'a Balance<N>,
    base: &'a State<N>,
    outside_c: N,
    air: Airflow<N>,
    pulls: (WallPull<N>, WallPull<N>),
    /// Exchange between upper and lower air, W/K.
    zones_w_k: N,
    /// What core, mantle and each air zone store over the stage, W/K.
    core_store_w_k: N,
    mantle_store_w_k: N,
    air_store_w_k: N,
    /// Conductance from the upper air to the comb's temperature at the base, once the comb is eliminated, W/K.
    comb_w_k: N,
    /// How far the comb's temperature goes over the stage to that of the air, 0 to 1.
    comb_warming: N,
    /// How far tightness goes over the stage to what the bees seek, 0 to 1.
    tightening: N,
}

/// What a search found.
pub(super) struct Found<N: Number> {
    /// The temperatures at the stage's end.
    pub t: Four<N>,
    /// Where they are a balance; elsewhere they are the last that was looked at.
    pub is_balance: N::Mask,
    /// Balances that were looked at.
    pub rounds: u32,
}

/// Newton's matrix of the four balances; the core touches no air, and only the upper air the cluster.
struct Matrix<N> {
    core: [N; 2],
    mantle: [N; 3],
    upper: [N; 4],
    lower: [N; 2],
}

impl<'a, N: Number> StageProblem<'a, N> {
    /// The system that leads from `base` over `stage_s` while air moves and walls pull like this.
    #[inline(always)]
    pub(super) fn new(
        balance: &'a Balance<N>,
        base: &'a State<N>,
        outside_c: N,
        stage_s: f64,
        air: Airflow<N>,
        pulls: (WallPull<N>, WallPull<N>),
    ) -> Self {
        let c = &balance.of_day.capacities;
        let per_s = 1.0 / stage_s;
        let comb_store_w_k = c.comb_j_k * per_s;
        let film_w_k = balance.comb_film_w_k;
        let comb_warming = film_w_k / (film_w_k + comb_store_w_k);
        Self {
            balance,
            base,
            outside_c,
            zones_w_k: balance.zone_exchange_w_k(&air),
            air,
            pulls,
            core_store_w_k: c.core_j_k * per_s,
            mantle_store_w_k: c.mantle_j_k * per_s,
            air_store_w_k: c.air_j_k * per_s,
            comb_w_k: comb_warming * comb_store_w_k,
            comb_warming,
            tightening: outside_c.like(stage_s) / (balance.tightening_time_s + stage_s),
        }
    }

    /// The four temperatures at the stage's end, searched from `t` by Newton's method.
    #[inline(always)]
    pub(super) fn solve(&self, mut t: Four<N>) -> Found<N> {
        let one = self.outside_c.like(1.0);
        let (mut next, mut step) = (t, t);
        let (mut imbalance, mut share) = (one * f64::INFINITY, one);
        let mut is_balance = one.mask(false);
        let mut searching = one.mask(true);
        for round in 1..=MOST_ROUNDS {
            // The balance is written out in one place only, the first look counted in: code that fits the cache is faster.
            let (matrix, residual) = self.linearise(&next);
            let left = squares(&residual);
            // A step that leaves more imbalance than it found went too far: take half of it, and half again.
            let better = left.le(imbalance) | share.lt(one * SMALLEST_SHARE);
            let taken = searching & (better | one.mask(round == 1));
            t = chosen(taken, &next, &t);
            step = chosen(taken, &matrix.solve(residual), &step);
            imbalance = N::choose(taken, left, imbalance);
            share = N::choose(taken, one, share * 0.5);

            let size_k = largest(&step);
            let here = searching & size_k.le(one * CONVERGED_K);
            let mut change = step;
            for change_k in &mut change {
                *change_k = change_k.within(-LARGEST_STEP_K, LARGEST_STEP_K);
            }
            next = moved(&t, &change, share);
            t = chosen(here, &next, &t);
            is_balance = is_balance | here;
            searching = searching & !here & size_k.finite();
            if !searching.any() {
                return Found {
                    t,
                    is_balance,
                    rounds: round,
                };
            }
        }
        Found {
            t,
            is_balance,
            rounds: MOST_ROUNDS,
        }
    }

    /// Sets all of `end` but its walls from the four temperatures at the stage's end.
    #[inline(always)]
    pub(super) fn set_lumped(&self, t: Four<N>, end: &mut State<N>) {
        [end.core_c, end.mantle_c, end.upper_c, end.lower_c] = t;
        end.tightness = self.tightness(end.core_c, end.mantle_c).0;
        let comb_c = self.base.comb_c;
        end.comb_c = comb_c + self.comb_warming * (end.upper_c - comb_c);
    }

    /// Tightness at the stage's end, relaxed implicitly towards what the bees seek, and its derivatives by core and mantle.
    #[inline(always)]
    fn tightness(&self, core_c: N, mantle_c: N) -> (N, N, N) {
        let weight = self.tightening;
        let sought = self.balance.cluster().tightness(core_c, mantle_c);
        (
            self.base.tightness + weight * (sought.x - self.base.tightness),
            weight * sought.by_core,
            weight * sought.by_mantle,
        )
    }

    /// The Jacobian of the heat balance of core, mantle, upper and lower air, and its negative residual, W.
    #[inline(always)]
    fn linearise(&self, t: &Four<N>) -> (Matrix<N>, Four<N>) {
        let [core_c, mantle_c, upper_c, lower_c] = *t;
        let b = self.balance;
        let outside_c = self.outside_c;
        let (core_heat, mantle_heat) = b.heat(core_c, mantle_c);
        let (x, x_by_core, x_by_mantle) = self.tightness(core_c, mantle_c);
        let k = b.cluster().conductances(x, core_c);
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
        let core_by_mantle = k.core_by_x * x_by_mantle * inner_k - k.core_w_k;
        let mantle_by_core = k.mantle_by_x * x_by_core * outer_k;
        let mantle_by_mantle = k.mantle_w_k + k.mantle_by_x * x_by_mantle * outer_k;
        let matrix = Matrix {
            core: [
                core_by_core + core_store - b.sensible * core_heat.per_k,
                core_by_mantle,
            ],
            mantle: [
                mantle_by_core - core_by_core,
                mantle_by_mantle - core_by_mantle + mantle_store - b.sensible * mantle_heat.per_k,
                -k.mantle_w_k,
            ],
            upper: [
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
            lower: [
                -(zones + down),
                zones + down + open_lower + lower_pull.w_k + air_store,
            ],
        };
        (matrix, residual)
    }

    /// Books what the lumped nodes make and lose at the stage's end.
    #[inline(always)]
    pub(super) fn book(&self, end: &State<N>, seconds: f64, ledger: &mut Ledger<N>) {
        let b = self.balance;
        let made_j = b.heat_made_w(end) * seconds;
        ledger.made_j = ledger.made_j + made_j;
        ledger.lose(Path::Vapour, made_j - b.sensible * made_j);
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
#[inline(always)]
pub(super) fn lumped<N: Number>(state: &State<N>) -> Four<N> {
    [state.core_c, state.mantle_c, state.upper_c, state.lower_c]
}

/// Temperatures moved by a share of a change.
#[inline(always)]
pub(super) fn moved<N: Number>(t: &Four<N>, change: &Four<N>, share: N) -> Four<N> {
    let mut moved = *t;
    for (t, change) in moved.iter_mut().zip(change) {
        *t = *t + share * *change;
    }
    moved
}

#[inline(always)]
fn chosen<N: Number>(mask: N::Mask, yes: &Four<N>, no: &Four<N>) -> Four<N> {
    let mut chosen = *no;
    for (no, yes) in chosen.iter_mut().zip(yes) {
        *no = N::choose(mask, *yes, *no);
    }
    chosen
}

#[inline(always)]
fn squares<N: Number>(residual: &Four<N>) -> N {
    let [core, mantle, upper, lower] = *residual;
    core * core + mantle * mantle + (upper * upper + lower * lower)
}

/// The largest of the four without its sign; no number where one of them is none.
#[inline(always)]
fn largest<N: Number>(step: &Four<N>) -> N {
    let [core, mantle, upper, lower] = *step;
    // Nothing times all of them keeps what is no number.
    let none = (core + mantle + upper + lower) * 0.0;
    let cluster = core.abs().max(mantle.abs());
    cluster.max(upper.abs().max(lower.abs())) + none
}

impl<N: Number> Matrix<N> {
    /// Solves the system by elimination; the diagonal dominates, so rows keep their order.
    #[inline(always)]
    fn solve(self, b: Four<N>) -> Four<N> {
        let one = b[0].like(1.0);
        let [core, mantle, upper, lower] = b;
        let per_core = one / self.core[0];
        let (of_mantle, of_upper) = (self.mantle[0] * per_core, self.upper[0] * per_core);
        let mantle = mantle - of_mantle * core;
        let upper = upper - of_upper * core;
        let per_mantle = one / (self.mantle[1] - of_mantle * self.core[1]);
        let of_upper = (self.upper[1] - of_upper * self.core[1]) * per_mantle;
        let upper = upper - of_upper * mantle;
        let per_upper = one / (self.upper[2] - of_upper * self.mantle[2]);
        let of_lower = self.lower[0] * per_upper;
        let lower = lower - of_lower * upper;
        let lower = lower / (self.lower[1] - of_lower * self.upper[3]);
        let upper = (upper - self.upper[3] * lower) * per_upper;
        let mantle = (mantle - self.mantle[2] * upper) * per_mantle;
        let core = (core - self.core[1] * mantle) * per_core;
        [core, mantle, upper, lower]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn four_equations_are_solved() {
        let matrix = Matrix {
            core: [4.0, 1.0],
            mantle: [1.0, 5.0, 2.0],
            upper: [0.5, -1.0, 6.0, 1.0],
            lower: [1.0, 3.0],
        };
        let x = [1.0, -2.0, 3.0, 0.5];
        let b = [
            4.0 - 2.0,
            1.0 - 10.0 + 6.0,
            0.5 + 2.0 + 18.0 + 0.5,
            3.0 + 1.5,
        ];
        for (found, expected) in matrix.solve(b).iter().zip(x) {
            assert!((found - expected).abs() < 1e-12);
        }
    }

    #[test]
    fn a_step_that_is_no_number_is_none_in_size() {
        assert!(largest(&[1.0, f64::NAN, 2.0, 0.0]).is_nan());
        assert_eq!(largest(&[1.0, -3.0, 2.0, 0.0]), 3.0);
    }
}
