//! The coupled heat balance of core, mantle, column, upper and lower air at the end of one implicit stage.
//!
//! With `c`, `m`, `a`, `u`, `l` for the five, `o` for outside, `k` for the combs and `s` for the dry share of the heat:
//!
//! ```text
//! C_c T_c' = s Q_c - K (T_c - T_m)
//! C_m T_m' = s Q_m + K (T_c - T_m) - H (T_m - T_a)
//! C_a T_a' = H (T_m - T_a) - G (T_a - T_u) - walls_a + L f_a
//! C_a T_u' = G (T_a - T_u) - (Z + up) (T_u - T_l) - (V_u + down) (T_u - T_o) - fanning - walls_u - F (T_u - T_k) + L f_u
//! C_a T_l' = (Z + down) (T_u - T_l) - (V_l + up) (T_l - T_o) - walls_l + L f_l
//! C_k T_k' = F (T_u - T_k) + L f_k
//! ```
//!
//! `K` and `H` depend on the tightness and so on `T_a`; `L f` is what water frees there as mist and frost form. Walls and combs are eliminated before; what
//! is left is solved by Newton's method, whose matrix has three diagonals and one entry more.

use super::balance::Balance;
use super::elimination::{CondensedWalls, Elimination, NodeHeat};
use super::ledger::{Ledger, LossPath};
use super::state::State;
use super::zoned::Zoned;
use crate::colony::cluster::Tightness;
use crate::hive::Zone;
use crate::hive::airflow::Airflow;
use crate::lane::{Mask, Number};

/// Newton stops when no temperature moves by more than this, K: the next step would be some 1e-10 K.
const CONVERGED_K: f64 = 1e-5;
/// Largest change of a temperature in one Newton step, K: smooth steps are flat outside their bands.
const LARGEST_STEP_K: f64 = 4.0;
/// Most balances that are looked at before the search is given up (own choice).
const MOST_ITERATIONS: u32 = 200;
/// Smallest share of a Newton step that is tried.
const SMALLEST_SHARE: f64 = 1.0 / 64.0;

/// Core, mantle, column, upper and lower air.
pub(super) type Five<N> = [N; 5];

/// The coupled system of one stage, with what its iterations share.
pub(super) struct NewtonSystem<'a, N> {
    balance: &'a Balance<N>,
    base: &'a State<N>,
    outside_c: N,
    air: Airflow<N>,
    condensed: CondensedWalls<N>,
    /// What mist frees in each part of the air.
    mist: Zoned<NodeHeat<N>>,
    /// Exchange between the column and the upper air, W/K.
    column_w_k: N,
    /// Exchange between upper and lower air, W/K.
    zones_w_k: N,
    /// What core, mantle and each air zone store over the stage, W/K.
    core_store_w_k: N,
    mantle_store_w_k: N,
    air_store_w_k: N,
    /// Heat from the upper air to the combs, once they are eliminated, is `comb_w_k * upper - comb_w`.
    comb_w_k: N,
    comb_w: N,
    /// The combs' temperature at the stage's end is `comb_warming * upper + comb_rest_c`.
    comb_warming: N,
    comb_rest_c: N,
    /// How far tightness goes over the stage to what the bees seek, 0 to 1.
    tightening: N,
}

/// What a search found.
pub(super) struct NewtonSolution<N: Number> {
    /// The temperatures at the stage's end.
    pub t: Five<N>,
    /// Where they are a balance; elsewhere they are the last that was looked at.
    pub is_balance: N::Mask,
    /// Balances that were looked at.
    pub iterations: u32,
}

/// Newton's matrix of the five balances: rows from the first entry that is not nothing. Core and mantle answer to the column through the tightness.
struct Matrix<N> {
    core: [N; 3],
    mantle: [N; 3],
    column: [N; 3],
    upper: [N; 3],
    lower: [N; 2],
}

impl<'a, N: Number> NewtonSystem<'a, N> {
    /// The system that leads from `base` over `stage_s` while air moves like this and walls are condensed to this.
    #[inline(always)]
    pub(super) fn new(
        balance: &'a Balance<N>,
        base: &'a State<N>,
        outside_c: N,
        stage_s: f64,
        air: Airflow<N>,
        (condensed, heat): (CondensedWalls<N>, &Elimination<N>),
    ) -> Self {
        let c = &balance.of_day.capacities;
        let per_s = 1.0 / stage_s;
        let comb_store_w_k = c.comb_j_k * per_s;
        let film_w_k = balance.comb_film_w_k;
        let comb = heat.comb();
        let answer_k_w = outside_c.splat(1.0) / (film_w_k + comb_store_w_k + comb.source_slope_w_k);
        let comb_warming = film_w_k * answer_k_w;
        let comb_rest_c = (comb_store_w_k * base.comb_c + comb.source_w) * answer_k_w;
        Self {
            balance,
            base,
            outside_c,
            zones_w_k: balance.zone_exchange_w_k(&air),
            column_w_k: balance.column_exchange_w_k(&air, base.tightness),
            mist: heat.mist(),
            air,
            condensed,
            core_store_w_k: c.core_j_k * per_s,
            mantle_store_w_k: c.mantle_j_k * per_s,
            air_store_w_k: c.air_j_k * per_s,
            comb_w_k: film_w_k - film_w_k * comb_warming,
            comb_w: film_w_k * comb_rest_c,
            comb_warming,
            comb_rest_c,
            tightening: outside_c.splat(stage_s) / (balance.tightening_time_s + stage_s),
        }
    }

    /// The five temperatures at the stage's end, searched from `t` by Newton's method.
    #[inline(always)]
    pub(super) fn solve(&self, mut t: Five<N>) -> NewtonSolution<N> {
        let one = self.outside_c.splat(1.0);
        let (mut next, mut step) = (t, t);
        let (mut imbalance, mut share) = (one * f64::INFINITY, one);
        let mut is_balance = one.mask(false);
        let mut searching = one.mask(true);
        for round in 1..=MOST_ITERATIONS {
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
                return NewtonSolution {
                    t,
                    is_balance,
                    iterations: round,
                };
            }
        }
        NewtonSolution {
            t,
            is_balance,
            iterations: MOST_ITERATIONS,
        }
    }

    /// Sets all of `end` but its walls from the five temperatures at the stage's end.
    #[inline(always)]
    pub(super) fn set_lumped(&self, t: Five<N>, end: &mut State<N>) {
        [
            end.core_c,
            end.mantle_c,
            end.column_c,
            end.upper_c,
            end.lower_c,
        ] = t;
        end.tightness = self.tightness(end.mantle_c, end.column_c).x;
        end.comb_c = self.comb_warming * end.upper_c + self.comb_rest_c;
    }

    /// Tightness at the stage's end, relaxed implicitly towards what the bees seek.
    #[inline(always)]
    fn tightness(&self, mantle_c: N, column_c: N) -> Tightness<N> {
        let weight = self.tightening;
        let cluster = self.balance.cluster();
        let sought = cluster.tightness(mantle_c, (column_c, self.outside_c));
        Tightness {
            x: self.base.tightness + weight * (sought.x - self.base.tightness),
            by_mantle: weight * sought.by_mantle,
            by_column: weight * sought.by_column,
        }
    }

    /// What a part of the air loses for each kelvin to walls, mist and its own store, W/K, and what they give it at 0 degC, W.
    #[inline(always)]
    fn held(&self, zone: Zone, base_c: N) -> (N, N) {
        let (mist, store_w_k) = (self.mist.of(zone), self.air_store_w_k);
        (
            self.condensed.w_k.of(zone) + mist.source_slope_w_k + store_w_k,
            self.condensed.w.of(zone) + mist.source_w + store_w_k * base_c,
        )
    }

    /// The negative Jacobian of the five balances, and their residual, W.
    #[inline(always)]
    fn linearise(&self, t: &Five<N>) -> (Matrix<N>, Five<N>) {
        let [core_c, mantle_c, column_c, upper_c, lower_c] = *t;
        let b = self.balance;
        let outside_c = self.outside_c;
        let (core_heat, mantle_heat) = b.heat(core_c, mantle_c);
        let x = self.tightness(mantle_c, column_c);
        let k = b.cluster().conductances(x.x, core_c);
        let inner_k = core_c - mantle_c;
        let outer_k = mantle_c - column_c;
        let (core_store, mantle_store) = (self.core_store_w_k, self.mantle_store_w_k);
        let (zones, column) = (self.zones_w_k, self.column_w_k);
        let fanning = b.fanning(upper_c, outside_c);
        let (up, down) = (self.air.up_w_k(), self.air.down_w_k());

        let core_w = k.core_w_k * inner_k;
        let mantle_w = k.mantle_w_k * outer_k;
        let column_w = column * (column_c - upper_c);
        let open_upper = self.air.upper_w_k + down;
        let open_lower = self.air.enters_below_w_k();
        let (column_held, column_w0) = self.held(Zone::Column, self.base.column_c);
        let (upper_held, upper_w0) = self.held(Zone::Upper, self.base.upper_c);
        let (upper_held, upper_w0) = (upper_held + self.comb_w_k, upper_w0 + self.comb_w);
        let (lower_held, lower_w0) = self.held(Zone::Lower, self.base.lower_c);
        let residual = [
            b.sensible * core_heat.value - core_w - core_store * (core_c - self.base.core_c),
            b.sensible * mantle_heat.value + core_w
                - mantle_w
                - mantle_store * (mantle_c - self.base.mantle_c),
            mantle_w - column_w - column_held * column_c + column_w0,
            column_w
                - fanning.value
                - (zones + up) * (upper_c - lower_c)
                - open_upper * (upper_c - outside_c)
                - upper_held * upper_c
                + upper_w0,
            (zones + down) * (upper_c - lower_c)
                - open_lower * (lower_c - outside_c)
                - lower_held * lower_c
                + lower_w0,
        ];
        // Derivatives of the two cluster flows, through the tightness too.
        let core_by_core = k.core_w_k + k.core_by_core * inner_k;
        let core_by_mantle = k.core_by_x * x.by_mantle * inner_k - k.core_w_k;
        let core_by_column = k.core_by_x * x.by_column * inner_k;
        let mantle_by_mantle = k.mantle_by_x * x.by_mantle * outer_k + k.mantle_w_k;
        let mantle_by_column = k.mantle_by_x * x.by_column * outer_k - k.mantle_w_k;
        let matrix = Matrix {
            core: [
                core_by_core + core_store - b.sensible * core_heat.per_k,
                core_by_mantle,
                core_by_column,
            ],
            mantle: [
                -core_by_core,
                mantle_by_mantle - core_by_mantle + mantle_store - b.sensible * mantle_heat.per_k,
                mantle_by_column - core_by_column,
            ],
            column: [
                -mantle_by_mantle,
                column + column_held - mantle_by_column,
                -column,
            ],
            upper: [
                -column,
                column + zones + up + open_upper + fanning.per_k + upper_held,
                -(zones + up),
            ],
            lower: [-(zones + down), zones + down + open_lower + lower_held],
        };
        (matrix, residual)
    }

    /// Books what the lumped nodes make and lose at the stage's end.
    #[inline(always)]
    pub(super) fn book(&self, end: &State<N>, seconds: f64, ledger: &mut Ledger<N>) {
        let b = self.balance;
        let made_j = b.heat_made_w(end) * seconds;
        ledger.made_j = ledger.made_j + made_j;
        ledger.lose(LossPath::Vapour, made_j - b.sensible * made_j);
        let fanned_w = b.fanning(end.upper_c, self.outside_c).value;
        let upper_j = (end.upper_c - self.outside_c) * seconds;
        let lower_j = (end.lower_c - self.outside_c) * seconds;
        let (up, down) = (self.air.up_w_k(), self.air.down_w_k());
        ledger.lose(LossPath::UpperAir, (self.air.upper_w_k + up) * upper_j);
        ledger.lose(LossPath::LowerAir, (self.air.lower_w_k + down) * lower_j);
        ledger.lose(LossPath::Fanning, fanned_w * seconds);
    }
}

/// The five temperatures of a state.
#[inline(always)]
pub(super) fn lumped<N: Number>(state: &State<N>) -> Five<N> {
    [
        state.core_c,
        state.mantle_c,
        state.column_c,
        state.upper_c,
        state.lower_c,
    ]
}

/// Temperatures moved by a share of a change.
#[inline(always)]
pub(super) fn moved<N: Number>(t: &Five<N>, change: &Five<N>, share: N) -> Five<N> {
    let mut moved = *t;
    for (t, change) in moved.iter_mut().zip(change) {
        *t = *t + share * *change;
    }
    moved
}

#[inline(always)]
fn chosen<N: Number>(mask: N::Mask, yes: &Five<N>, no: &Five<N>) -> Five<N> {
    let mut chosen = *no;
    for (no, yes) in chosen.iter_mut().zip(yes) {
        *no = N::choose(mask, *yes, *no);
    }
    chosen
}

#[inline(always)]
fn squares<N: Number>(residual: &Five<N>) -> N {
    let [core, mantle, column, upper, lower] = *residual;
    core * core + mantle * mantle + column * column + (upper * upper + lower * lower)
}

/// The largest of the five without its sign; no number where one of them is none.
#[inline(always)]
fn largest<N: Number>(step: &Five<N>) -> N {
    let [core, mantle, column, upper, lower] = *step;
    // Nothing times all of them keeps what is no number.
    let zero = (core + mantle + column + upper + lower) * 0.0;
    let cluster = core.abs().max(mantle.abs()).max(column.abs());
    cluster.max(upper.abs().max(lower.abs())) + zero
}

impl<N: Number> Matrix<N> {
    /// Solves the system by elimination; the diagonal dominates, so rows keep their order.
    #[inline(always)]
    fn solve(self, b: Five<N>) -> Five<N> {
        let one = b[0].splat(1.0);
        let [core, mantle, column, upper, lower] = b;
        let per_core = one / self.core[0];
        let of_mantle = self.mantle[0] * per_core;
        let mantle = mantle - of_mantle * core;
        let mantle_by_column = self.mantle[2] - of_mantle * self.core[2];
        let per_mantle = one / (self.mantle[1] - of_mantle * self.core[1]);
        let of_column = self.column[0] * per_mantle;
        let column = column - of_column * mantle;
        let per_column = one / (self.column[1] - of_column * mantle_by_column);
        let of_upper = self.upper[0] * per_column;
        let upper = upper - of_upper * column;
        let per_upper = one / (self.upper[1] - of_upper * self.column[2]);
        let of_lower = self.lower[0] * per_upper;
        let lower = lower - of_lower * upper;
        let lower = lower / (self.lower[1] - of_lower * self.upper[2]);
        let upper = (upper - self.upper[2] * lower) * per_upper;
        let column = (column - self.column[2] * upper) * per_column;
        let mantle = (mantle - mantle_by_column * column) * per_mantle;
        let core = (core - self.core[1] * mantle - self.core[2] * column) * per_core;
        [core, mantle, column, upper, lower]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn five_equations_are_solved() {
        let matrix = Matrix {
            core: [4.0, 1.0, 0.5],
            mantle: [1.0, 5.0, 2.0],
            column: [-1.0, 6.0, 1.0],
            upper: [-0.5, 3.0, 1.5],
            lower: [1.0, 3.0],
        };
        let x = [1.0, -2.0, 3.0, 0.5, -1.0];
        let b = [
            4.0 - 2.0 + 1.5,
            1.0 - 10.0 + 6.0,
            2.0 + 18.0 + 0.5,
            -1.5 + 1.5 - 1.5,
            0.5 - 3.0,
        ];
        for (found, expected) in matrix.solve(b).iter().zip(x) {
            assert!((found - expected).abs() < 1e-12);
        }
    }

    #[test]
    fn a_step_that_is_no_number_is_none_in_size() {
        assert!(largest(&[1.0, f64::NAN, 2.0, 0.0, 1.0]).is_nan());
        assert_eq!(largest(&[1.0, -3.0, 2.0, 0.0, 1.0]), 3.0);
    }
}
