//! The season's implicit solver against an explicit integrator of tight tolerance on the same equations.

use ode_solvers::dop_shared::OutputType;
use ode_solvers::{DVector, Dopri5, System};
use overwinter::ensemble::Plan;
use overwinter::hive::{Alteration, Change, Hive, Opening, Vent, When};
use overwinter::scenario;
use overwinter::season::{
    Advance, Balance, Ledger, Outcome, SeasonError, Solver, State, Weather, run_with,
};
use support::hives::{SITE, foam_hive, layer, member, sine_winter, thin_hive};

/// Dormand and Prince's fifth-order pair over each hour, with the heat made as one more unknown.
struct Reference;

/// Relative and absolute tolerance of the reference's steps.
const TOLERANCE: f64 = 1e-7;

struct Hour<'a> {
    balance: &'a Balance,
    began: State,
    from: &'a Weather,
    to: &'a Weather,
}

fn flat(state: &State, last: f64) -> DVector<f64> {
    let water = &state.water;
    let lumped = [
        state.core_c,
        state.mantle_c,
        state.column_c,
        state.upper_c,
        state.lower_c,
        state.comb_c,
        state.tightness,
        water.column_pa,
        water.upper_pa,
        water.lower_pa,
    ];
    let grams = |kg: &f64| 1e3 * kg;
    let values = lumped
        .iter()
        .chain(&state.walls_c)
        .copied()
        .chain(water.films_kg.iter().map(grams))
        .chain(water.nodes_kg.iter().map(grams))
        .chain([last]);
    DVector::from_iterator(11 + 2 * state.walls_c.len() + water.films_kg.len(), values)
}

/// As `like`, with the values of `y`.
fn state(y: &DVector<f64>, like: &State) -> State {
    let mut state = like.clone();
    let mut values = y.iter().copied();
    let mut next = || values.next().expect("as many values as were laid out");
    for lumped in [
        &mut state.core_c,
        &mut state.mantle_c,
        &mut state.column_c,
        &mut state.upper_c,
        &mut state.lower_c,
        &mut state.comb_c,
        &mut state.tightness,
        &mut state.water.column_pa,
        &mut state.water.upper_pa,
        &mut state.water.lower_pa,
    ] {
        *lumped = next();
    }
    state.walls_c.iter_mut().for_each(|node| *node = next());
    let water = &mut state.water;
    for kg in water.films_kg.iter_mut().chain(&mut water.nodes_kg) {
        *kg = 1e-3 * next();
    }
    state
}

impl System<f64, DVector<f64>> for Hour<'_> {
    fn system(&self, t: f64, y: &DVector<f64>, dy: &mut DVector<f64>) {
        let here = state(y, &self.began);
        let rates = self
            .balance
            .rates(&here, &self.from.towards(self.to, t / 3600.0));
        dy.copy_from(&flat(&rates, self.balance.heat_made_w(&here)));
    }
}

impl Advance for Reference {
    fn hour(
        &mut self,
        balance: &Balance,
        here: &mut State,
        from: &Weather,
        to: &Weather,
        ledger: &mut Ledger,
    ) -> Result<(), SeasonError> {
        let hour = Hour {
            balance,
            began: here.clone(),
            from,
            to,
        };
        let began = here.clone();
        let (safety, beta, slowest, fastest) = (0.9, 0.04, 0.2, 10.0);
        let mut stepper = Dopri5::from_param(
            hour,
            0.0,
            3600.0,
            3600.0,
            flat(here, 0.0),
            TOLERANCE,
            TOLERANCE,
            safety,
            beta,
            slowest,
            fastest,
            3600.0,
            10.0,
            100_000,
            100_000,
            OutputType::Sparse,
        );
        stepper
            .integrate()
            .expect("the reference integrates an hour");
        let end = stepper.y_out().last().expect("an end").clone();
        *here = state(&end, &began);
        here.water.surfaces_c = balance.surfaces_c(here);
        here.water.surfaces_c.push(here.comb_c);
        ledger.made_j += end[end.len() - 1];
        Ok(())
    }
}

/// The solver at so many steps an hour, or more where water frees more heat than such a step can follow.
struct Steps(Solver, u32);

/// Halvings of a step before it is given up.
const HALVINGS: u32 = 6;

impl Steps {
    fn part(
        &mut self,
        balance: &Balance,
        state: &mut State,
        ends: (&Weather, &Weather),
        step_s: f64,
        ledger: &mut Ledger,
        halvings: u32,
    ) -> Result<(), SeasonError> {
        let began = (state.clone(), *ledger);
        match self.0.step(balance, state, ends, step_s, ledger) {
            Err(SeasonError::SplittingError { .. }) if halvings > 0 => {
                (*state, *ledger) = began;
                let middle = ends.0.towards(ends.1, 0.5);
                for half in [(ends.0, &middle), (&middle, ends.1)] {
                    self.part(balance, state, half, 0.5 * step_s, ledger, halvings - 1)?;
                }
                Ok(())
            }
            done => done,
        }
    }
}

impl Advance for Steps {
    fn hour(
        &mut self,
        balance: &Balance,
        state: &mut State,
        from: &Weather,
        to: &Weather,
        ledger: &mut Ledger,
    ) -> Result<(), SeasonError> {
        let steps = self.1;
        let share = |step: u32| f64::from(step) / f64::from(steps);
        for step in 0..steps {
            let ends = (
                &from.towards(to, share(step)),
                &from.towards(to, share(step + 1)),
            );
            self.part(balance, state, ends, 3600.0 * share(1), ledger, HALVINGS)?;
        }
        Ok(())
    }
}

/// Days of the winters compared.
const DAYS: usize = 80;
/// Day of the year on which the colony begins to breed, so that the last fortnight has brood in it.
const BROOD_START_DAY: f64 = -25.0;

/// Outcome, and upper air and water in the hive at every hour.
struct Winter {
    outcome: Outcome,
    upper_c: Vec<f64>,
    water_kg: Vec<f64>,
}

fn winter(hive: &Hive, advance: &mut impl Advance) -> Winter {
    let (mut upper_c, mut water_kg) = (Vec::new(), Vec::new());
    let mut member = member(hive.clone());
    member.parameters.brood_start_day = BROOD_START_DAY;
    member.parameters.brood_start_per_day = 0.0;
    let outcome = run_with(&member, &SITE, &sine_winter(DAYS), advance, &mut |watch| {
        upper_c.push(watch.state.upper_c);
        let damp = watch.dampness;
        let films_kg = damp.lid.film_kg + damp.walls.film_kg + damp.floor.film_kg;
        water_kg.push(films_kg + damp.combs_kg + damp.layers_kg);
    })
    .expect("a winter");
    Winter {
        outcome,
        upper_c,
        water_kg,
    }
}

fn rms(a: &[f64], b: &[f64]) -> f64 {
    let sum: f64 = a.iter().zip(b).map(|(a, b)| (a - b) * (a - b)).sum();
    (sum / a.len() as f64).sqrt()
}

fn vented(hive: Hive) -> Hive {
    Hive {
        vents: vec![Vent {
            opening: Opening {
                width_m: 0.03,
                height_m: 0.015,
            },
            corked: false,
        }],
        ..hive
    }
}

/// The promise is 0.1 % of honey and 0.1 K. The reference lumps frost that melts on a wall with the wall's first node, for which the upper air is given
/// half as much again; and what melts an hour earlier may have run off, which is 2 % of the water. What the step by itself does is held below.
fn within_the_promise(hive: &Hive, reference: &Winter) {
    let hourly = winter(hive, &mut Solver::default());
    let honey = hourly.outcome.used.total_kg() / reference.outcome.used.total_kg() - 1.0;
    let off_k = rms(&hourly.upper_c, &reference.upper_c);
    let off_kg = rms(&hourly.water_kg, &reference.water_kg);
    println!("honey {honey:.1e}, upper air {off_k:.3} K, water {off_kg:.4} kg");
    assert!(honey.abs() < 1e-3, "honey use differs by {honey:e}");
    assert!(off_k < 0.15, "upper air differs by {off_k} K rms");
    assert!(
        off_kg < 0.02 * reference.water_kg.iter().copied().fold(0.0, f64::max),
        "water in the hive differs by {off_kg} kg rms"
    );
    assert_eq!(hourly.outcome.end, reference.outcome.end);
}

#[test]
fn a_thin_hive_by_the_hour_agrees_with_the_reference() {
    let hive = thin_hive();
    within_the_promise(&hive, &winter(&hive, &mut Reference));
}

#[test]
fn a_foam_hive_by_the_hour_agrees_with_the_reference() {
    let hive = foam_hive();
    within_the_promise(&hive, &winter(&hive, &mut Reference));
}

#[test]
fn a_vented_hive_by_the_hour_agrees_with_the_reference() {
    let hive = vented(foam_hive());
    within_the_promise(&hive, &winter(&hive, &mut Reference));
}

/// A hive wrapped from December on whose vent is corked in the cold.
fn changed() -> Hive {
    let wrap = Change {
        when: When {
            from: Some((12, 1)),
            until: Some((3, 1)),
            ..When::default()
        },
        what: Alteration {
            wrap: Some(vec![layer("xps", 0.038)]),
            ..Alteration::default()
        },
    };
    let cork = Change {
        when: When {
            below_c: Some(0.0),
            ..When::default()
        },
        what: Alteration {
            vents: Some(vec![]),
            ..Alteration::default()
        },
    };
    Hive {
        changes: vec![wrap, cork],
        ..vented(thin_hive())
    }
}

#[test]
fn a_hive_that_changes_in_winter_agrees_with_the_reference() {
    let hive = changed();
    within_the_promise(&hive, &winter(&hive, &mut Reference));
}

/// The convergence study that chose steps of an hour: at an hour the error is below the promise, and it falls with the step, by half or
/// more from one to four: films, air flow and the heat of water are taken at the start, and a night's frost melts in one step or the next.
#[test]
fn shorter_steps_come_closer_to_very_short_ones() {
    for hive in [thin_hive(), foam_hive(), changed()] {
        let by_steps = |steps| winter(&hive, &mut Steps(Solver::default(), steps));
        let shortest = by_steps(16);
        let off_k = [1, 2, 4].map(|steps| rms(&by_steps(steps).upper_c, &shortest.upper_c));
        println!("{off_k:.4?}");
        assert!(off_k[0] < 0.1, "{off_k:?}");
        assert!(
            off_k[1] < off_k[0] && off_k[2] < 0.5 * off_k[0],
            "{off_k:?}"
        );
    }
}

#[test]
fn the_ledgers_of_heat_and_water_close_at_any_step() {
    for steps in [1, 3] {
        for hive in [thin_hive(), vented(foam_hive()), changed()] {
            let ledger = winter(&hive, &mut Steps(Solver::default(), steps))
                .outcome
                .ledger;
            let imbalances = [ledger.imbalance(), ledger.water.imbalance()];
            let closes = |imbalance: &f64| imbalance.abs() < 1e-9;
            assert!(imbalances.iter().all(closes), "{steps}: {imbalances:?}");
        }
    }
}

/// Share of members whose filling gets damp, and the most water in it, kg/kg on average.
fn damp<A: Advance>(plan: &Plan, new: impl Fn() -> A) -> (f64, f64) {
    let draws = plan.draws();
    let (mut damp, mut most_kg_kg) = (0.0, 0.0);
    for number in 0..plan.members {
        let member = plan.member(&draws, number);
        let winter = &plan.winters[plan.winter_of(number)];
        let mut advance = new();
        let wet = run_with(&member, &plan.site, winter, &mut advance, &mut |_| {})
            .expect("a winter")
            .wetness;
        damp += f64::from(u8::from(wet.filling_damp_day.is_some()));
        most_kg_kg += wet.filling_most_kg_kg.expect("a filling");
    }
    let count = f64::from(plan.members);
    (damp / count, most_kg_kg / count)
}

/// Once the damp fillings of the sample went from 34 to 43 % with the stepping.
#[test]
#[ignore = "minutes: 300 members under four lids, as stepped and with steps half as long"]
fn fillings_get_damp_as_often_with_steps_half_as_long() {
    let closed = ["cotton-cloth", "shavings", "softwood"];
    let vented = ["cotton-cloth", "shavings", "vented-air", "softwood"];
    for (what, lid, foam_m) in [
        ("thin, closed lid", &closed[..], None),
        ("thin, vented lid", &vented[..], None),
        ("foam, closed lid", &closed[..], Some(0.038)),
        ("foam, vented lid", &vented[..], Some(0.038)),
    ] {
        let mut plan = scenario::built_in().prepare().expect("the sample").plan;
        plan.members = 300;
        let thick_m = |name| match name {
            "cotton-cloth" => 0.0005,
            "shavings" => 0.09,
            "vented-air" => 0.01,
            _ => 0.019,
        };
        plan.hive.lid = lid.iter().map(|name| layer(name, thick_m(*name))).collect();
        plan.hive
            .wall
            .extend(foam_m.map(|foam_m| layer("xps", foam_m)));
        let whole = damp(&plan, Solver::default);
        // Hours under a filled lid are stepped in halves already.
        let halved = damp(&plan, || Steps(Solver::default(), 4));
        println!(
            "{what}: damp {:.3} and {:.3}, most {:.4} and {:.4} kg/kg",
            whole.0, halved.0, whole.1, halved.1
        );
        assert!((whole.0 - halved.0).abs() < 0.02, "{what}");
        assert!((whole.1 - halved.1).abs() < 0.005, "{what}");
    }
}
