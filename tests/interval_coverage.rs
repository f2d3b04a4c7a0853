//! How often intervals hold the truth, and what Sobol draws gain, on the model itself.
//!
//! Cheap made-up responses stand beside the code (`ensemble::compare`, `ensemble::paired`, `ensemble::randomised`); here it is the real one, in two hives.

use overwinter::ensemble::{self, Difference, Fate, Plan, Sampling, Summary};
use overwinter::scenario::{self, Scenario};
use overwinter::season::Forcing;

/// Seeds, and so intervals.
const SEEDS: u64 = 30;

fn foam(of: &Scenario) -> Scenario {
    of.with_library_hive("foam-two-boxes").expect("known")
}

fn fates(plan: &Plan, seed: u64, members: u32, winters: Vec<Forcing>) -> Vec<Fate> {
    let plan = Plan {
        seed,
        members,
        winters,
        ..plan.clone()
    };
    let rows = ensemble::run(&plan, &()).expect("an ensemble");
    rows.iter().map(Fate::from).collect()
}

fn pairs(a: &[Fate], b: &[Fate]) -> (Difference, Difference) {
    let pairs = || a.iter().zip(b);
    let needs: Vec<_> = pairs()
        .map(|(a, b)| (a.winter, b.need_kg - a.need_kg))
        .collect();
    let risks: Vec<_> = pairs()
        .map(|(a, b)| (a.winter, a.starved(), b.starved()))
        .collect();
    (
        Difference::of_means(&needs).expect("pairs"),
        Difference::of_risks(&risks).expect("pairs"),
    )
}

/// Intervals that hold a value, and the least of so many that 95 % may give: three standard deviations below.
fn held(intervals: impl Iterator<Item = (f64, f64)>, truth: f64) -> (usize, usize) {
    let n = SEEDS as f64;
    let least = (0.95 * n - 3.0 * (0.95 * 0.05 * n).sqrt()).floor() as usize;
    let holds = intervals.filter(|(low, high)| (*low..=*high).contains(&truth));
    (holds.count(), least)
}

fn mean(values: impl Iterator<Item = f64>) -> f64 {
    let values: Vec<f64> = values.collect();
    values.iter().sum::<f64>() / values.len() as f64
}

#[test]
#[ignore = "9,600 winters: minutes"]
fn paired_intervals_hold_the_truth_as_often_as_said() {
    let scenario = scenario::built_in();
    let members = 80;
    // In these very winters: the interval of the draws.
    let here = [&scenario, &foam(&scenario)].map(|s| s.prepare().expect("the sample").plan);
    let here: Vec<_> = (0..SEEDS)
        .map(|seed| {
            let [a, b] = [0, 1].map(|n| fates(&here[n], seed, members, here[n].winters.clone()));
            pairs(&a, &b)
        })
        .collect();
    // In ten winters out of three hundred, others for each seed: the interval of the winters.
    let mut many = scenario.clone();
    many.weather.resample = Some(300);
    let plans = [&many, &foam(&many)].map(|s| s.prepare().expect("the sample").plan);
    let elsewhere: Vec<_> = (0..SEEDS)
        .map(|seed| {
            let first = seed as usize * 10;
            let [a, b] = [0, 1].map(|n| {
                let own = plans[n].winters[first..first + 10].to_vec();
                fates(&plans[n], seed, members, own)
            });
            pairs(&a, &b)
        })
        .collect();
    let need = |of: &[(Difference, Difference)]| mean(of.iter().map(|(need, _)| need.mean));
    let risk = |of: &[(Difference, Difference)]| mean(of.iter().map(|(_, risk)| risk.mean));
    let winters = |difference: &Difference| difference.winters.expect("ten winters");
    let counts = [
        (
            "need here",
            held(here.iter().map(|(need, _)| need.draws), need(&here)),
        ),
        (
            "risk here",
            held(here.iter().map(|(_, risk)| risk.draws), risk(&here)),
        ),
        (
            "need elsewhere",
            held(
                elsewhere.iter().map(|(need, _)| winters(need)),
                need(&elsewhere),
            ),
        ),
        (
            "risk elsewhere",
            held(
                elsewhere.iter().map(|(_, risk)| winters(risk)),
                risk(&elsewhere),
            ),
        ),
    ];
    println!(
        "of {SEEDS}: {counts:?}; truths {:.3} kg, {:.4}; {:.3} kg, {:.4}",
        need(&here),
        risk(&here),
        need(&elsewhere),
        risk(&elsewhere)
    );
    for (what, (held, least)) in counts {
        assert!(held >= least, "{what}: {held} of {SEEDS}");
    }
}

#[test]
#[ignore = "19,200 winters: minutes"]
fn sobol_draws_vary_less_than_plain_ones_and_their_intervals_hold_the_truth() {
    let plan = scenario::built_in().prepare().expect("the sample").plan;
    let members = 320;
    let of = |sampling| -> Vec<Summary> {
        let summary = |seed| {
            let plan = Plan {
                seed,
                members,
                sampling,
                ..plan.clone()
            };
            Summary::new(&plan, &ensemble::run(&plan, &()).expect("an ensemble"))
        };
        (0..SEEDS).map(summary).collect()
    };
    let [plain, sobol] = [Sampling::Plain, Sampling::Sobol].map(of);
    type Figure = (
        &'static str,
        fn(&Summary) -> f64,
        fn(&Summary) -> (f64, f64),
    );
    let figures: [Figure; 4] = [
        (
            "mean need",
            |s| s.mean_need_kg,
            |_| (f64::NEG_INFINITY, f64::INFINITY),
        ),
        ("median need", |s| s.needs[0].kg, |s| s.needs[0].interval_kg),
        (
            "need in 95 %",
            |s| s.needs[3].kg,
            |s| s.needs[3].interval_kg,
        ),
        ("risk", |s| s.starved, |s| s.starved_interval),
    ];
    for (what, value, interval) in figures {
        let truth = mean(plain.iter().chain(&sobol).map(value));
        let variance = |of: &[Summary]| {
            let middle = mean(of.iter().map(value));
            of.iter()
                .map(|s| (value(s) - middle) * (value(s) - middle))
                .sum::<f64>()
                / (SEEDS - 1) as f64
        };
        let width = |of: &[Summary]| mean(of.iter().map(|s| interval(s).1 - interval(s).0));
        let gain = variance(&plain) / variance(&sobol);
        let [plain_held, sobol_held] =
            [&plain, &sobol].map(|of| held(of.iter().map(interval), truth));
        println!(
            "{what}: {truth:.4}; sd {:.4} plain, {:.4} sobol: gain {gain:.2}; width {:.4} and {:.4}; held {} and {} of {SEEDS}",
            variance(&plain).sqrt(),
            variance(&sobol).sqrt(),
            width(&plain),
            width(&sobol),
            plain_held.0,
            sobol_held.0,
        );
        assert!(
            plain_held.0 >= plain_held.1 && sobol_held.0 >= sobol_held.1,
            "{what}"
        );
    }
}
