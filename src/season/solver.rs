//! The implicit step: a diagonally implicit Runge-Kutta method of two stages, of second order where couplings are constant and
//! L-stable (Alexander 1977, SIAM J Numer Anal 14:1006, `gamma = 1 - 1/sqrt 2`).
//!
//! In each stage the wall chains are eliminated by the Thomas method, comb and tightness by hand, and what is left, core,
//! mantle, upper and lower air, is solved by Newton's method (`stage`). Inside films are taken at the step's start, air flow at the stage's. The ledger uses
//! the stages' own flows, so it closes to rounding whatever the step.

use super::balance::{Balance, State, Weather};
use super::elimination::Elimination;
use super::ledger::{Ledger, Path};
use super::moisture::MoistureWork;
use super::run::SeasonError;
use super::stage::{Four, StageProblem, lumped, moved};
use super::walls::Films;
use super::water::Water;

/// Most that heat freed by water otherwise than foreseen may move a temperature over a step, K; what is unforeseen is given later (own choice).
const MOST_UNFORESEEN_K: f64 = 3.0;
/// A step this short is kept whatever it frees, s (own choice: a 64th of an hour).
const SHORTEST_STEP_S: f64 = 60.0;

const GAMMA: f64 = 1.0 - std::f64::consts::FRAC_1_SQRT_2;

/// Advances states of one [`Balance`]; keeps its workspace between steps.
#[derive(Clone, Debug, Default)]
pub struct Solver {
    films: Films,
    work: Elimination,
    moisture: MoistureWork,
    /// States to write on.
    spare: [State; 2],
    /// Where the hour began, to step it again in parts.
    pub(super) hour_began: State,
    /// How the four temperatures of the last stage moved, K/s: where the next stage begins to search.
    drift_k_s: Four,
    iterations: u64,
}

impl Solver {
    /// Newton iterations so far, over all stages.
    #[must_use]
    pub fn iterations(&self) -> u64 {
        self.iterations
    }

    /// Advances `state` by an hour in `parts` equal steps.
    pub(super) fn steps(
        &mut self,
        balance: &Balance,
        state: &mut State,
        (from, to): (&Weather, &Weather),
        parts: u32,
        ledger: &mut Ledger,
    ) -> Result<(), SeasonError> {
        let share = |part: u32| f64::from(part) / f64::from(parts);
        for part in 0..parts {
            let (begin, end) = (
                from.towards(to, share(part)),
                from.towards(to, share(part + 1)),
            );
            self.step(balance, state, (&begin, &end), 3600.0 * share(1), ledger)?;
        }
        Ok(())
    }

    /// Advances `state` by `step_s` while the hive's weather runs straight from `from` to `to`, and books the heat.
    ///
    /// # Errors
    /// [`SeasonError::NotConverged`] when Newton's method fails, [`SeasonError::Unforeseen`] when water frees heat that this step cannot
    /// follow: a shorter step can. What `state` and `ledger` hold then is of no use.
    pub fn step(
        &mut self,
        balance: &Balance,
        state: &mut State,
        (from, to): (&Weather, &Weather),
        step_s: f64,
        ledger: &mut Ledger,
    ) -> Result<(), SeasonError> {
        // Heat from water is foreseen from the step before; the water itself waits for the new temperatures.
        let mut water = std::mem::take(&mut state.water);
        let made_before_j = ledger.made_j;
        if let Err(error) = self.thermal_step(balance, state, &water, (from, to), step_s, ledger) {
            state.water = water;
            return Err(error);
        }
        let made_kg = balance.water_kg(ledger.made_j - made_before_j);
        let made_in = (made_kg, step_s);
        let unforeseen_k = self.moisture_step(balance, state, &mut water, to, made_in, ledger);
        state.water = water;
        let follows = unforeseen_k <= MOST_UNFORESEEN_K
            || (step_s <= SHORTEST_STEP_S && unforeseen_k.is_finite());
        if !follows {
            return Err(SeasonError::Unforeseen {
                off_k: unforeseen_k,
            });
        }
        Ok(())
    }

    fn moisture_step(
        &mut self,
        balance: &Balance,
        state: &State,
        water: &mut Water,
        weather: &Weather,
        made_in: (f64, f64),
        ledger: &mut Ledger,
    ) -> f64 {
        let zones_c = (state.upper_c, state.lower_c);
        let surfaces_c = self.work.surfaces.iter().map(|surface| surface.c);
        water.surfaces_c.clear();
        water.surfaces_c.extend(surfaces_c);
        balance.walls.surfaces(
            zones_c,
            weather.pressure_pa,
            &water.surfaces_c,
            &mut self.moisture.surfaces,
        );
        let air = balance.airflow(weather, state.upper_c, state.lower_c);
        balance.moisture.step(
            &balance.vapour_air(&air, weather, state.upper_c),
            (&state.walls_c, &self.work),
            made_in,
            water,
            &mut self.moisture,
            &mut ledger.water,
        )
    }

    fn thermal_step(
        &mut self,
        balance: &Balance,
        state: &mut State,
        water: &Water,
        (from, to): (&Weather, &Weather),
        step_s: f64,
        ledger: &mut Ledger,
    ) -> Result<(), SeasonError> {
        let stage_s = GAMMA * step_s;
        let walls = &balance.walls;
        walls.inside_films(
            state.upper_c,
            state.lower_c,
            &state.walls_c,
            &mut self.films,
        );
        walls.begin_step(stage_s, (&self.films, water), &mut self.work);
        let [mut other, mut base] = std::mem::take(&mut self.spare);
        other.clone_from(state);

        let weather = from.towards(to, GAMMA);
        let first_s = (1.0 - GAMMA) * step_s;
        self.stage(
            (balance, water),
            state,
            &mut other,
            &weather,
            stage_s,
            first_s,
            ledger,
        )?;

        // The second stage starts from the state moved on by the first stage's rates and searches from the first's end.
        let on = (1.0 - GAMMA) / GAMMA;
        base.clone_from(state);
        base.each(&other, |base, first| *base += on * (first - *base));
        std::mem::swap(state, &mut other);
        self.stage((balance, water), &base, state, to, stage_s, stage_s, ledger)?;

        ledger.stored_j += stored_j(balance, &other, state);
        self.spare = [other, base];
        Ok(())
    }

    /// One stage: solves `end = base + stage_s * rates(end)`, starting the search from `end`, and books its flows for `seconds`.
    #[expect(clippy::too_many_arguments, reason = "one stage of one step, private")]
    fn stage(
        &mut self,
        (balance, water): (&Balance, &Water),
        base: &State,
        end: &mut State,
        weather: &Weather,
        stage_s: f64,
        seconds: f64,
        ledger: &mut Ledger,
    ) -> Result<(), SeasonError> {
        let walls = &balance.walls;
        let air = balance.airflow(weather, end.upper_c, end.lower_c);
        walls.outside_films(weather, &mut self.films);
        let outside_c = weather.outside_c;
        let pulls = walls.eliminate(&base.walls_c, outside_c, &self.films, &mut self.work);

        let problem = StageProblem::new(balance, base, outside_c, stage_s, air, pulls);
        let begun = lumped(base);
        let (t, rounds) = problem.solve(moved(&begun, &self.drift_k_s, stage_s))?;
        self.iterations += u64::from(rounds);
        self.drift_k_s = std::array::from_fn(|i| (t[i] - begun[i]) / stage_s);
        problem.set_lumped(t, end);
        let freed_j = walls.substitute(
            (end.upper_c, end.lower_c),
            water,
            seconds,
            &mut self.work,
            &mut end.walls_c,
        );
        // What condenses or is sorbed gives back the heat that left with the vapour.
        ledger.lose(Path::Vapour, -freed_j);
        walls.book_losses(&end.walls_c, outside_c, &self.films, seconds, ledger);
        problem.book(end, seconds, ledger);
        Ok(())
    }
}

impl State {
    /// Applies `change` to each value of `self` with its counterpart in `other`.
    fn each(&mut self, other: &Self, change: impl Fn(&mut f64, f64)) {
        change(&mut self.core_c, other.core_c);
        change(&mut self.mantle_c, other.mantle_c);
        change(&mut self.upper_c, other.upper_c);
        change(&mut self.lower_c, other.lower_c);
        change(&mut self.comb_c, other.comb_c);
        change(&mut self.tightness, other.tightness);
        for (own, others) in self.walls_c.iter_mut().zip(&other.walls_c) {
            change(own, *others);
        }
    }
}

fn stored_j(balance: &Balance, before: &State, after: &State) -> f64 {
    let c = &balance.capacities;
    c.core_j_k * (after.core_c - before.core_c)
        + c.mantle_j_k * (after.mantle_c - before.mantle_c)
        + c.air_j_k * (after.upper_c - before.upper_c + after.lower_c - before.lower_c)
        + c.comb_j_k * (after.comb_c - before.comb_c)
        + balance.walls.stored_j(&before.walls_c, &after.walls_c)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colony::Cluster;
    use crate::hive::film::Orientation;
    use crate::hive::vapour::DampCell;
    use crate::hive::{Cavity, Chain, FINISHES, Face, Floor, Hive, Layer, Side, Zone};
    use crate::parameter::Parameters;
    use crate::season::Site;
    use crate::season::moisture::Moisture;
    use crate::season::walls::Walls;
    use nalgebra::{DMatrix, DVector};

    /// A chain that touches no inside air and meets the outside through `last_k_w` alone, its film being a million m2.
    fn loose_chain(links_w_k: Vec<f64>, capacity_j_k: Vec<f64>, last_k_w: f64) -> Chain {
        let finish = FINISHES[0].1;
        let steel = crate::material::find("steel").expect("steel").clone();
        let sheet = Layer::new(steel, 0.001);
        Chain {
            face: Face::Side(Side::Front),
            zone: Zone::Upper,
            orientation: Orientation::Vertical,
            inside_m2: 0.0,
            outside_m2: 1e9,
            shared: false,
            shaded: false,
            finish,
            first_k_w: 1.0,
            last_k_w,
            half_k_w: vec![0.0; capacity_j_k.len()],
            damp: vec![DampCell::new(&sheet, 0.001, 0.01, 50.0); capacity_j_k.len()],
            vapour_nodes: 0,
            links_w_k,
            layer_nodes: vec![capacity_j_k.len()],
            depth_m: vec![0.0; capacity_j_k.len()],
            capacity_j_k,
        }
    }

    /// A real balance with `chain` in place of its walls.
    fn balance_with(chain: &Chain) -> Balance {
        let wood = crate::material::find("softwood").expect("softwood").clone();
        let layers = vec![Layer::new(wood, 0.02)];
        let hive = Hive {
            name: "case".to_owned(),
            cavity: Cavity {
                width_m: 0.4,
                length_m: 0.4,
                box_height_m: 0.25,
                boxes: 1,
            },
            frames: 10,
            comb_pitch_m: 0.035,
            faces_deg: 180.0,
            wall: layers.clone(),
            lid: layers.clone(),
            floor: Floor::Solid(layers),
            entrances: vec![],
            upper_entrances: vec![],
            vents: vec![],
            joints: crate::hive::Joints::default(),
            shared_sides: vec![],
            shaded_sides: vec![],
            side_finish: FINISHES[0].1,
            lid_finish: FINISHES[0].1,
            tare_kg: None,
            changes: vec![],
        };
        let site = Site {
            latitude_deg: 45.0,
            longitude_deg: None,
            utc_offset_h: None,
            elevation_m: None,
            snow: None,
            shelter: 0.35,
        };
        let p = Parameters::default();
        let mut balance = Balance::new(&hive, &site, &p);
        balance.set_colony(Cluster::new(1.5, 0.0, &p), 10.0);
        let chains = std::slice::from_ref(chain);
        balance.walls = Walls::new(chains);
        balance.moisture = Moisture::new(chains, &hive, &p);
        balance
    }

    /// Node temperatures after `steps` of `step_s` from `start_c`, the outside given at each time.
    fn advanced(
        chain: &Chain,
        start_c: &[f64],
        step_s: f64,
        steps: u32,
        outside_c: impl Fn(f64) -> f64,
    ) -> Vec<f64> {
        let balance = balance_with(chain);
        let mut solver = Solver::default();
        let weather = |step: u32| Weather {
            outside_c: outside_c(f64::from(step) * step_s),
            wind_m_s: 2.0,
            pressure_pa: 101_325.0,
            ..Weather::default()
        };
        let mut state = balance.start(&weather(0));
        state.walls_c.copy_from_slice(start_c);
        for step in 0..steps {
            let ends = (&weather(step), &weather(step + 1));
            let mut ledger = Ledger::default();
            solver
                .step(&balance, &mut state, ends, step_s, &mut ledger)
                .expect("a balance");
        }
        state.walls_c
    }

    /// `y' = -(y - To) / 36000 s`, `To = -10 + 5 sin(2 pi t / 86400)`, `y0 = 20`: `y(86400) = -8.793948785321` (analytic).
    #[test]
    fn one_node_follows_its_analytic_course_to_second_order() {
        let chain = loose_chain(vec![], vec![36.0], 1000.0);
        let outside = |t: f64| -10.0 + 5.0 * libm::sin(t * std::f64::consts::TAU / 86_400.0);
        let off = |step_s: f64| {
            let steps = (86_400.0 / step_s) as u32;
            let end_c = advanced(&chain, &[20.0], step_s, steps, outside)[0];
            (end_c + 8.793_948_785_321).abs()
        };
        assert!(off(3600.0) < 0.02, "{}", off(3600.0));
        assert!(off(60.0) < 1e-5, "{}", off(60.0));
        let gain = off(1200.0) / off(600.0);
        assert!((3.5..4.5).contains(&gain), "halving the step gains {gain}");
    }

    /// By its series for a 64th, squared six times.
    fn exponential(a: &DMatrix<f64>) -> DMatrix<f64> {
        let part = a / 64.0;
        let mut term = DMatrix::identity(a.nrows(), a.ncols());
        let mut sum = term.clone();
        for order in 1..=20 {
            term = &term * &part / f64::from(order);
            sum += &term;
        }
        (0..6).fold(sum, |power, _| &power * &power)
    }

    /// A linear chain of four unlike nodes against the matrix exponential of its network.
    #[test]
    fn a_chain_of_nodes_follows_the_matrix_exponential() {
        let (links, capacity, last_k_w) =
            (vec![0.5, 0.2, 2.0], vec![800.0, 2500.0, 600.0, 4000.0], 1.5);
        let chain = loose_chain(links.clone(), capacity.clone(), last_k_w);
        let start_c = [15.0, 4.0, -2.0, 8.0];
        let outside_c = -7.0;
        let mut a = DMatrix::zeros(4, 4);
        for (node, link) in links.iter().enumerate() {
            for (from, to) in [(node, node + 1), (node + 1, node)] {
                a[(from, from)] -= link / capacity[from];
                a[(from, to)] += link / capacity[from];
            }
        }
        a[(3, 3)] -= 1.0 / (last_k_w * capacity[3]);
        let seconds = 7200.0;
        let start = DVector::from_row_slice(&start_c).add_scalar(-outside_c);
        let exact = (exponential(&(a * seconds)) * start).add_scalar(outside_c);
        let found = advanced(&chain, &start_c, 20.0, 360, |_| outside_c);
        for (found, exact) in found.iter().zip(exact.iter()) {
            assert!((found - exact).abs() < 1e-4, "{found} {exact}");
        }
    }
}
