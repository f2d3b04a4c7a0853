//! The implicit step: a singly diagonally implicit Runge-Kutta (SDIRK) method of two stages, of second order where couplings are constant and L-stable.
//!
//! ```text
//! Y1      = y_n + g h f(t_n + g h, Y1)
//! y_(n+1) = y_n + (1 - g) h f(t_n + g h, Y1) + g h f(t_n + h, y_(n+1))        g = 1 - 1/sqrt 2
//! ```
//!
//! `begin` is `y_n`, `base` the part of a stage that is known before it is solved (for the second stage `y_n + (1 - g)/g (Y1 - y_n)`), `end` its solution,
//! `step_s` is `h` and `stage_s` is `g h`. Source: Alexander 1977, SIAM J Numer Anal 14:1006.
//!
//! In each stage the wall chains are eliminated by the Thomas method, comb and tightness by hand, and what is left, core,
//! mantle, column, upper and lower air, is solved by Newton's method (`newton_system`). Inside films are taken at the step's start, air flow at the stage's. The ledger uses
//! the stages' own flows, so it closes to rounding whatever the step.

use super::balance::Balance;
use super::elimination::Elimination;
use super::instant::Weather;
use super::ledger::{Ledger, LossPath};
use super::moisture::MoistureWork;
use super::newton_system::{NewtonSolution, NewtonSystem, lumped, moved};
use super::state::State;
use super::walls::Films;
use crate::lane::Number;

/// Of the method, the share of the step that each stage takes implicitly (Alexander 1977).
const GAMMA: f64 = 1.0 - std::f64::consts::FRAC_1_SQRT_2;

/// What a step works on.
#[derive(Clone, Debug)]
pub(super) struct Work<N: Number> {
    films: Films<N>,
    heat: Elimination<N>,
    moisture: MoistureWork<N>,
}

impl<N: Number> Default for Work<N> {
    fn default() -> Self {
        Self {
            films: Films::default(),
            heat: Elimination::default(),
            moisture: MoistureWork::default(),
        }
    }
}

/// What a step came to.
pub(super) struct Stepped<N: Number> {
    /// Where both stages found a balance.
    pub found: N::Mask,
    /// Splitting error: by how much latent heat freed otherwise than it was linearised could have moved a temperature, K.
    pub splitting_error_k: N,
    /// Newton iterations of both stages.
    pub iterations: u32,
}

/// Where a step begins, where its first stage ends and then its second starts, and where it ends.
pub(super) type Along<'a, N> = (&'a State<N>, &'a mut State<N>, &'a mut State<N>);

impl<N: Number> Work<N> {
    /// Advances from the first of the states to the last by `step_s` while the hive's weather runs straight from `from` to `to`, and books the heat. The others
    /// are of the same shape; their numbers do not matter.
    #[inline(always)]
    pub(super) fn advance(
        &mut self,
        balance: &Balance<N>,
        (begin, base, end): Along<'_, N>,
        (from, to): (&Weather<N>, &Weather<N>),
        step_s: f64,
        ledger: &mut Ledger<N>,
    ) -> Stepped<N> {
        // Latent heat is linearised from the step before; the water itself waits for the new temperatures.
        let made_before_j = ledger.made_j;
        let states = (begin, base, &mut *end);
        let (found, iterations) = self.thermal_step(balance, states, (from, to), step_s, ledger);
        let made_kg = balance.water_kg(ledger.made_j - made_before_j);
        let surfaces = end.water.surfaces_c.iter_mut().zip(&self.heat.surfaces);
        for (surface_c, surface) in surfaces {
            *surface_c = surface.c;
        }
        balance.walls.surfaces(
            &end.air_c(),
            to.pressure_pa,
            &end.water.surfaces_c,
            &mut self.moisture.surfaces,
        );
        let comb = balance.comb_surface(end.comb_c, to.pressure_pa);
        self.moisture.surfaces.push(comb);
        let air = balance.airflow(to, end.upper_c, end.lower_c);
        let vapour_air = balance.vapour_air(&air, to, end);
        let splitting_error_k = balance.moisture.step(
            &vapour_air,
            (&begin.walls_c, &end.walls_c, &self.heat),
            (made_kg, step_s),
            (&begin.water, &mut end.water),
            &mut self.moisture,
            &mut ledger.water,
        );
        Stepped {
            found,
            splitting_error_k,
            iterations,
        }
    }

    /// The temperatures of a step; where both stages found a balance, and their Newton iterations.
    #[inline(always)]
    fn thermal_step(
        &mut self,
        balance: &Balance<N>,
        (begin, base, end): Along<'_, N>,
        (from, to): (&Weather<N>, &Weather<N>),
        step_s: f64,
        ledger: &mut Ledger<N>,
    ) -> (N::Mask, u32) {
        let stage_s = GAMMA * step_s;
        let walls = &balance.walls;
        walls.inside_films(&begin.air_c(), &begin.walls_c, &mut self.films);
        walls.begin_step(
            stage_s,
            (&self.films, begin),
            (balance.comb_film_w_k, &balance.of_day.capacities),
            &mut self.heat,
        );

        let middle = from.towards(to, GAMMA);
        let mut zones_c = (begin.upper_c, begin.lower_c);
        let mut predictor_k_s = begin.predictor_k_s;
        let mut found = zones_c.0.mask(true);
        let mut iterations = 0;
        // Both stages by the same code: it is long, and the shorter the faster.
        for is_second in [false, true] {
            let weather = if is_second { to } else { &middle };
            let seconds = if is_second {
                stage_s
            } else {
                (1.0 - GAMMA) * step_s
            };
            let states: (&State<N>, &mut State<N>) = if is_second {
                // It starts from the state moved on by the first stage's rates and searches from the first's end.
                zones_c = (base.upper_c, base.lower_c);
                base.move_on(begin);
                (&*base, &mut *end)
            } else {
                (begin, &mut *base)
            };
            let (is_balance, of_stage) = self.stage(
                balance,
                states,
                (weather, zones_c),
                (seconds, stage_s),
                &mut predictor_k_s,
                ledger,
            );
            found = found & is_balance;
            iterations += of_stage;
        }
        end.predictor_k_s = predictor_k_s;
        ledger.stored_j = ledger.stored_j + stored_j(balance, begin, end);
        (found, iterations)
    }

    /// One stage: solves `end = base + stage_s * rates(end)` and books its flows for `seconds`, of which the second number is `stage_s`. Air flows as between
    /// zones at `zones_c`; the search begins where `predictor_k_s` leads. Where it found a balance, and after how many iterations.
    #[inline(always)]
    fn stage(
        &mut self,
        balance: &Balance<N>,
        (base, end): (&State<N>, &mut State<N>),
        (weather, zones_c): (&Weather<N>, (N, N)),
        (seconds, stage_s): (f64, f64),
        predictor_k_s: &mut [N; 5],
        ledger: &mut Ledger<N>,
    ) -> (N::Mask, u32) {
        let walls = &balance.walls;
        let air = balance.airflow(weather, zones_c.0, zones_c.1);
        walls.outside_films(weather, &mut self.films);
        let outside_c = weather.outside_c;
        let from = (base.walls_c.as_slice(), stage_s);
        let condensed = walls.eliminate(from, outside_c, &self.films, &mut self.heat);

        let problem = NewtonSystem::new(
            balance,
            base,
            outside_c,
            stage_s,
            air,
            (condensed, &self.heat),
        );
        let begun = lumped(base);
        let NewtonSolution {
            t,
            is_balance,
            iterations,
        } = problem.solve(moved(&begun, predictor_k_s, outside_c.splat(stage_s)));
        for (predictor_k_s, (t, begun)) in predictor_k_s.iter_mut().zip(t.iter().zip(&begun)) {
            *predictor_k_s = (*t - *begun) * (1.0 / stage_s);
        }
        problem.set_lumped(t, end);
        let freed_j = walls.substitute(&end.air_c(), seconds, &mut self.heat, &mut end.walls_c)
            + self.heat.free_lumped(end, seconds);
        // What condenses or is sorbed gives back the heat that left with the vapour.
        ledger.lose(LossPath::Vapour, -freed_j);
        walls.book_losses(&end.walls_c, outside_c, &self.films, seconds, ledger);
        problem.book(end, seconds, ledger);
        (is_balance, iterations)
    }
}

impl<N: Number> State<N> {
    /// Moves its temperatures and tightness from the first stage's end to where the second starts: as far beyond as that stage led from `begin`, in
    /// proportion.
    #[inline(always)]
    fn move_on(&mut self, begin: &Self) {
        const ON: f64 = (1.0 - GAMMA) / GAMMA;
        self.core_c = begin.core_c.towards(self.core_c, ON);
        self.mantle_c = begin.mantle_c.towards(self.mantle_c, ON);
        self.column_c = begin.column_c.towards(self.column_c, ON);
        self.upper_c = begin.upper_c.towards(self.upper_c, ON);
        self.lower_c = begin.lower_c.towards(self.lower_c, ON);
        self.comb_c = begin.comb_c.towards(self.comb_c, ON);
        self.tightness = begin.tightness.towards(self.tightness, ON);
        for (own, begin) in self.walls_c.iter_mut().zip(&begin.walls_c) {
            *own = begin.towards(*own, ON);
        }
    }
}

#[inline(always)]
fn stored_j<N: Number>(balance: &Balance<N>, before: &State<N>, after: &State<N>) -> N {
    let c = &balance.of_day.capacities;
    c.core_j_k * (after.core_c - before.core_c)
        + c.mantle_j_k * (after.mantle_c - before.mantle_c)
        + c.air_j_k * (after.upper_c - before.upper_c + after.lower_c - before.lower_c)
        + c.air_j_k * (after.column_c - before.column_c)
        + c.comb_j_k * (after.comb_c - before.comb_c)
        + balance.walls.stored_j(&before.walls_c, &after.walls_c)
}
