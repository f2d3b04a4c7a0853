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
use super::stage::{Found, StageProblem, lumped, moved};
use super::walls::Films;
use crate::lane::{Mask, Number, PerLane, set_lane};

/// Most that heat freed by water otherwise than foreseen may move a temperature over a step, K; what is unforeseen is given later (own choice).
const MOST_UNFORESEEN_K: f64 = 3.0;
/// A step this short is kept whatever it frees, s (own choice: a 64th of an hour).
const SHORTEST_STEP_S: f64 = 60.0;
/// Parts that an hour is cut into when it cannot be stepped whole, one try after the other.
const SHORTER: [u32; 3] = [4, 16, 64];

const HOUR_S: f64 = 3600.0;
const GAMMA: f64 = 1.0 - std::f64::consts::FRAC_1_SQRT_2;

/// Advances states of one [`Balance`], or of as many side by side as a [`Number`] has lanes; keeps its workspace between steps.
#[derive(Clone, Debug)]
pub struct Solver<N = f64> {
    work: Work<N>,
    spare: Option<Box<Spare<N>>>,
    iterations: u64,
}

/// What a step works on.
#[derive(Clone, Debug)]
struct Work<N> {
    films: Films<N>,
    heat: Elimination<N>,
    moisture: MoistureWork<N>,
}

/// States to write on.
#[derive(Clone, Debug)]
struct Spare<N> {
    /// Where the first stage ends, and then where the second starts.
    base: State<N>,
    /// Where the step ends.
    end: State<N>,
}

impl<N> Default for Solver<N> {
    fn default() -> Self {
        Self {
            work: Work {
                films: Films::default(),
                heat: Elimination::default(),
                moisture: MoistureWork::default(),
            },
            spare: None,
            iterations: 0,
        }
    }
}

impl<N: Number> Spare<N> {
    fn like(state: &State<N>) -> Self {
        Self {
            base: state.clone(),
            end: state.clone(),
        }
    }

    fn fits(&self, state: &State<N>) -> bool {
        self.end.walls_c.len() == state.walls_c.len()
            && self.end.water.films_kg.len() == state.water.films_kg.len()
    }
}

/// What a step came to.
struct Stepped<N: Number> {
    /// Where both stages found a balance.
    found: N::Mask,
    /// By how much heat that water freed otherwise than foreseen could have moved a temperature, K.
    unforeseen_k: N,
    /// Newton iterations of both stages.
    rounds: u32,
}

impl<N: Number> Solver<N> {
    /// Newton iterations so far, over all stages.
    #[must_use]
    pub fn iterations(&self) -> u64 {
        self.iterations
    }

    /// Advances `state` by an hour and books the heat. A lane that cannot be stepped by the hour is stepped by itself in parts; those that cannot
    /// be stepped at all are returned, and what their state and ledger hold is of no use.
    ///
    /// # Errors
    /// For each lane that failed, its number and why.
    #[inline(always)]
    pub(super) fn hour(
        &mut self,
        balance: &Balance<N>,
        state: &mut State<N>,
        (from, to): (&Weather<N>, &Weather<N>),
        ledger: &mut Ledger<N>,
    ) -> Result<(), Vec<(usize, SeasonError)>> {
        let Spare { base, end } = spare_for(&mut self.spare, state);
        let mut booked = *ledger;
        let states = (&*state, base, &mut *end);
        let step = self
            .work
            .advance(balance, states, (from, to), HOUR_S, &mut booked);
        self.iterations += u64::from(step.rounds);
        let follows = step.unforeseen_k.le(from.outside_c.like(MOST_UNFORESEEN_K));
        let well = step.found & follows;
        let mut failed = Vec::new();
        if (!well).any() {
            for lane in (0..N::LANES).filter(|lane| !well.holds(*lane)) {
                match in_parts(balance, state, (from, to), ledger, lane) {
                    Ok((mut own, mut own_ledger)) => {
                        set_lane(end, lane, &mut own);
                        set_lane(&mut booked, lane, &mut own_ledger);
                    }
                    Err(error) => failed.push((lane, error)),
                }
            }
        }
        std::mem::swap(state, end);
        *ledger = booked;
        if failed.is_empty() {
            Ok(())
        } else {
            Err(failed)
        }
    }
}

/// States to write on, as many numbers long as `state`.
#[inline(always)]
fn spare_for<'a, N: Number>(
    spare: &'a mut Option<Box<Spare<N>>>,
    state: &State<N>,
) -> &'a mut Spare<N> {
    if !spare.as_ref().is_some_and(|spare| spare.fits(state)) {
        *spare = None;
    }
    spare.get_or_insert_with(|| Box::new(Spare::like(state)))
}

/// Where a step begins, where its first stage ends and then its second starts, and where it ends.
type Along<'a, N> = (&'a State<N>, &'a mut State<N>, &'a mut State<N>);

impl<N: Number> Work<N> {
    /// Advances from the first of the states to the last by `step_s` while the hive's weather runs straight from `from` to `to`, and books the heat. The others
    /// are of the same shape; their numbers do not matter.
    #[inline(always)]
    fn advance(
        &mut self,
        balance: &Balance<N>,
        (begin, base, end): Along<'_, N>,
        (from, to): (&Weather<N>, &Weather<N>),
        step_s: f64,
        ledger: &mut Ledger<N>,
    ) -> Stepped<N> {
        // Heat from water is foreseen from the step before; the water itself waits for the new temperatures.
        let made_before_j = ledger.made_j;
        let states = (begin, base, &mut *end);
        let (found, rounds) = self.thermal_step(balance, states, (from, to), step_s, ledger);
        let made_kg = balance.water_kg(ledger.made_j - made_before_j);
        let surfaces = end.water.surfaces_c.iter_mut().zip(&self.heat.surfaces);
        for (surface_c, surface) in surfaces {
            *surface_c = surface.c;
        }
        balance.walls.surfaces(
            (end.upper_c, end.lower_c),
            to.pressure_pa,
            &end.water.surfaces_c,
            &mut self.moisture.surfaces,
        );
        let air = balance.airflow(to, end.upper_c, end.lower_c);
        let vapour_air = balance.vapour_air(&air, to, end.upper_c);
        let unforeseen_k = balance.moisture.step(
            &vapour_air,
            (&end.walls_c, &self.heat),
            (made_kg, step_s),
            (&begin.water, &mut end.water),
            &mut self.moisture,
            &mut ledger.water,
        );
        Stepped {
            found,
            unforeseen_k,
            rounds,
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
        walls.inside_films(
            begin.upper_c,
            begin.lower_c,
            &begin.walls_c,
            &mut self.films,
        );
        walls.begin_step(stage_s, (&self.films, begin), &mut self.heat);

        let middle = from.towards(to, GAMMA);
        let mut zones_c = (begin.upper_c, begin.lower_c);
        let mut drift_k_s = begin.drift_k_s;
        let mut found = zones_c.0.mask(true);
        let mut rounds = 0;
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
                &mut drift_k_s,
                ledger,
            );
            found = found & is_balance;
            rounds += of_stage;
        }
        end.drift_k_s = drift_k_s;
        ledger.stored_j = ledger.stored_j + stored_j(balance, begin, end);
        (found, rounds)
    }

    /// One stage: solves `end = base + stage_s * rates(end)` and books its flows for `seconds`, of which the second number is `stage_s`. Air flows as between
    /// zones at `zones_c`; the search begins where `drift_k_s` leads. Where it found a balance, and after how many iterations.
    #[inline(always)]
    fn stage(
        &mut self,
        balance: &Balance<N>,
        (base, end): (&State<N>, &mut State<N>),
        (weather, zones_c): (&Weather<N>, (N, N)),
        (seconds, stage_s): (f64, f64),
        drift_k_s: &mut [N; 4],
        ledger: &mut Ledger<N>,
    ) -> (N::Mask, u32) {
        let walls = &balance.walls;
        let air = balance.airflow(weather, zones_c.0, zones_c.1);
        walls.outside_films(weather, &mut self.films);
        let outside_c = weather.outside_c;
        let from = (base.walls_c.as_slice(), stage_s);
        let pulls = walls.eliminate(from, outside_c, &self.films, &mut self.heat);

        let problem = StageProblem::new(balance, base, outside_c, stage_s, air, pulls);
        let begun = lumped(base);
        let Found {
            t,
            is_balance,
            rounds,
        } = problem.solve(moved(&begun, drift_k_s, outside_c.like(stage_s)));
        for (drift_k_s, (t, begun)) in drift_k_s.iter_mut().zip(t.iter().zip(&begun)) {
            *drift_k_s = (*t - *begun) * (1.0 / stage_s);
        }
        problem.set_lumped(t, end);
        let freed_j = walls.substitute(
            (end.upper_c, end.lower_c),
            seconds,
            &mut self.heat,
            &mut end.walls_c,
        );
        // What condenses or is sorbed gives back the heat that left with the vapour.
        ledger.lose(Path::Vapour, -freed_j);
        walls.book_losses(&end.walls_c, outside_c, &self.films, seconds, ledger);
        problem.book(end, seconds, ledger);
        (is_balance, rounds)
    }
}

impl Solver {
    /// Advances `state` by an hour in `parts` equal steps.
    fn steps(
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
            self.step(balance, state, (&begin, &end), HOUR_S * share(1), ledger)?;
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
        let Spare { base, end } = spare_for(&mut self.spare, state);
        let states = (&*state, base, &mut *end);
        let step = self
            .work
            .advance(balance, states, (from, to), step_s, ledger);
        self.iterations += u64::from(step.rounds);
        std::mem::swap(state, end);
        if !step.found {
            return Err(SeasonError::NotConverged {
                temperatures_c: lumped(state),
                outside_c: to.outside_c,
            });
        }
        let unforeseen_k = step.unforeseen_k;
        let follows = unforeseen_k <= MOST_UNFORESEEN_K
            || (step_s <= SHORTEST_STEP_S && unforeseen_k.is_finite());
        if !follows {
            return Err(SeasonError::Unforeseen {
                off_k: unforeseen_k,
            });
        }
        Ok(())
    }
}

/// One lane by itself over an hour in ever shorter steps: steep control at the edge of what bees can hold may defeat an hour's step, and shorter ones
/// are closer to linear.
#[cold]
#[inline(never)]
fn in_parts<N: Number>(
    balance: &Balance<N>,
    state: &State<N>,
    (from, to): (&Weather<N>, &Weather<N>),
    ledger: &Ledger<N>,
    lane: usize,
) -> Result<(State, Ledger), SeasonError> {
    let balance = balance.spread::<f64>(lane, ());
    let (from, to) = (from.spread::<f64>(lane, ()), to.spread::<f64>(lane, ()));
    let mut solver = Solver::default();
    let mut failed = None;
    for parts in SHORTER {
        let mut state = state.spread::<f64>(lane, ());
        let mut ledger = ledger.spread::<f64>(lane, ());
        match solver.steps(&balance, &mut state, (&from, &to), parts, &mut ledger) {
            Ok(()) => return Ok((state, ledger)),
            Err(error) => failed = Some(error),
        }
    }
    Err(failed.unwrap_or(SeasonError::Unforeseen { off_k: f64::NAN }))
}

impl<N: Number> State<N> {
    /// Moves its temperatures and tightness from the first stage's end to where the second starts: as far beyond as that stage led from `begin`, in
    /// proportion.
    #[inline(always)]
    fn move_on(&mut self, begin: &Self) {
        const ON: f64 = (1.0 - GAMMA) / GAMMA;
        self.core_c = begin.core_c.towards(self.core_c, ON);
        self.mantle_c = begin.mantle_c.towards(self.mantle_c, ON);
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
