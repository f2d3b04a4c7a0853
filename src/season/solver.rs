//! Leads states through hours: by the hour where that goes well, in parts where it does not.
//!
//! Heat and water are split (Lie splitting with a deferred, linearised source): a step of length `h` first solves the temperatures `T` (`step`), then the water
//! `w` at the new temperatures (`moisture::step`), and latent heat enters the temperatures a step later:
//!
//! ```text
//! C (T' - T) / h = f(T') + q - s (T' - T)          q, s: `w` and `source_slope_w_k` of `DeferredLatentHeat`
//! (w' - w) / h = g(w', T')
//! q' = L (w' - w) / h + what was deferred
//! ```
//!
//! A step is accepted while the splitting error, `|L (w' - w) / h - q + s (T' - T)|` over the conductance that holds a place, stays below
//! [`MOST_SPLITTING_ERROR_K`]. Source, from memory: Hundsdorfer & Verwer 2003, Numerical solution of time-dependent advection-diffusion-reaction equations, IV.1.

use super::balance::Balance;
use super::instant::Weather;
use super::ledger::Ledger;
use super::newton_system::lumped;
use super::season_error::SeasonError;
use super::state::State;
use super::step::Work;
use crate::lane::{Mask, Number, PerLane, set_lane};

/// Largest splitting error of a step, K: by how much latent heat that is freed otherwise than it was linearised may move a temperature; it is deferred (own
/// choice).
const MOST_SPLITTING_ERROR_K: f64 = 3.0;
/// A step this short is kept whatever it frees, s (own choice: a 64th of an hour).
const SHORTEST_STEP_S: f64 = 60.0;
/// Parts that an hour is cut into when it cannot be stepped whole, one try after the other (own choice).
const SHORTER: [u32; 3] = [4, 16, 64];

const HOUR_S: f64 = 3600.0;
/// Advances states of one [`Balance`], or of as many side by side as a [`Number`] has lanes; keeps its workspace between steps.
#[derive(Clone, Debug)]
pub struct Solver<N: Number = f64> {
    work: Work<N>,
    spare: Option<Box<Spare<N>>>,
    iterations: u64,
}

/// States to write on.
#[derive(Clone, Debug)]
struct Spare<N> {
    /// Where the first stage ends, and then where the second starts.
    base: State<N>,
    /// Where the first of two steps ends.
    half: State<N>,
    /// Where the step ends.
    end: State<N>,
}

impl<N: Number> Default for Solver<N> {
    fn default() -> Self {
        Self {
            work: Work::default(),
            spare: None,
            iterations: 0,
        }
    }
}

impl<N: Number> Spare<N> {
    fn like(state: &State<N>) -> Self {
        Self {
            base: state.clone(),
            half: state.clone(),
            end: state.clone(),
        }
    }

    fn fits(&self, state: &State<N>) -> bool {
        self.end.walls_c.len() == state.walls_c.len()
            && self.end.water.films_kg.len() == state.water.films_kg.len()
    }
}

impl<N: Number> Solver<N> {
    /// Newton iterations so far, over all stages.
    #[must_use]
    pub fn iterations(&self) -> u64 {
        self.iterations
    }

    /// Advances `state` by an hour and books the heat: by half hours where the lid has a loose filling, whose water an hour's step overstates by a twentieth and
    /// more. A lane that cannot be stepped by the hour is stepped by itself in parts; those that cannot
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
        let Spare { base, half, end } = spare_for(&mut self.spare, state);
        let mut booked = *ledger;
        let most_k = from.outside_c.splat(MOST_SPLITTING_ERROR_K);
        let mut well = from.outside_c.mask(true);
        let middle = from.towards(to, 0.5);
        let halves = balance.moisture.has_filling();
        let weather = if halves {
            [(from, &middle), (&middle, to)]
        } else {
            [(from, to); 2]
        };
        let steps = if halves { 2 } else { 1 };
        for (step, ends) in weather.into_iter().take(steps).enumerate() {
            if step > 0 {
                std::mem::swap(half, end);
            }
            let began = if step > 0 { &*half } else { &*state };
            let states = (began, &mut *base, &mut *end);
            let step_s = HOUR_S / steps as f64;
            let step = self
                .work
                .advance(balance, states, ends, step_s, &mut booked);
            self.iterations += u64::from(step.iterations);
            well = well & step.found & step.splitting_error_k.le(most_k);
        }
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
    /// [`SeasonError::NotConverged`] when Newton's method fails, [`SeasonError::SplittingError`] when water frees heat that this step cannot
    /// follow: a shorter step can. What `state` and `ledger` hold then is of no use.
    pub fn step(
        &mut self,
        balance: &Balance,
        state: &mut State,
        (from, to): (&Weather, &Weather),
        step_s: f64,
        ledger: &mut Ledger,
    ) -> Result<(), SeasonError> {
        let Spare { base, end, .. } = spare_for(&mut self.spare, state);
        let states = (&*state, base, &mut *end);
        let step = self
            .work
            .advance(balance, states, (from, to), step_s, ledger);
        self.iterations += u64::from(step.iterations);
        std::mem::swap(state, end);
        if !step.found {
            return Err(SeasonError::NotConverged {
                temperatures_c: lumped(state),
                outside_c: to.outside_c,
            });
        }
        let splitting_error_k = step.splitting_error_k;
        let follows = splitting_error_k <= MOST_SPLITTING_ERROR_K
            || (step_s <= SHORTEST_STEP_S && splitting_error_k.is_finite());
        if !follows {
            return Err(SeasonError::SplittingError {
                off_k: splitting_error_k,
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
    Err(failed.unwrap_or(SeasonError::SplittingError { off_k: f64::NAN }))
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

    /// A chain that touches next to no inside air and meets the outside through `last_k_w` alone, its film being a million m2.
    fn loose_chain(links_w_k: Vec<f64>, capacity_j_k: Vec<f64>, last_k_w: f64) -> Chain {
        let finish = FINISHES[0].1;
        let steel = crate::material::find("steel").expect("steel").clone();
        let sheet = Layer::new(steel, 0.001);
        Chain {
            face: Face::Side(Side::Front),
            zone: Zone::Upper,
            orientation: Orientation::Vertical,
            inside_m2: 1e-13,
            edges_m: [0.0; 2],
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
            snow_bank: None,
            shelter: 0.35,
        };
        let p = Parameters::default();
        let mut balance = Balance::new(&hive, 0.3, &site, &p);
        balance.set_colony(Cluster::new(1.5, 0.0, &p), 10.0);
        let chains = std::slice::from_ref(chain);
        balance.walls = Walls::new(chains, 1.0);
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
            vapour_pa: 300.0,
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
