//! How often intervals hold the truth, and what Sobol draws gain, on the model itself.
//!
//! Cheap made-up responses stand beside the code (`ensemble::compare`, `ensemble::paired`, `ensemble::randomised`); here it is the real one, in two hives.

use overwinter::ensemble::{self, Crossing, Difference, Fate, Plan, Sampling, Summary};
use overwinter::scenario::{self, Scenario};
use overwinter::season::Forcing;

/// Seeds, and so intervals.
const SEEDS: u64 = 100;
/// Seeds with ten winters of their own each; at most 500 winters are made.
const ELSEWHERE: u64 = 50;
/// Half the width of a 95 % interval, in standard deviations of what it is of, when that is known.
const NORMAL: f64 = 1.959_964;
/// The same in the mean when ten winters or sets tell the deviation: Student's 2.262 for nine degrees, times the 0.973 by which a sample's deviation falls short.
const TEN: f64 = 2.262 * 0.973;
/// The same of sixteen replicates: 2.131 for fifteen degrees, times 0.983.
const SIXTEEN: f64 = 2.131 * 0.983;

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
    ensemble::run_as(&plan, &()).expect("an ensemble")
}

fn pairs(crossing: &Crossing, a: &[Fate], b: &[Fate]) -> (Difference, Difference) {
    let pairs = || a.iter().zip(b);
    let needs: Vec<_> = pairs()
        .map(|(a, b)| (a.member, b.need_kg - a.need_kg))
        .collect();
    let risks: Vec<_> = pairs()
        .map(|(a, b)| (a.member, a.starved(), b.starved()))
        .collect();
    (
        Difference::of_crossed_means(crossing, &needs).expect("pairs"),
        Difference::of_crossed_risks(crossing, &risks).expect("pairs"),
    )
}

/// Widest of those that leave a gain out, as a share of what they should be.
const MOST_WIDE: f64 = 1.5;

/// What many intervals of one figure show.
#[derive(Debug)]
struct Shown {
    what: &'static str,
    /// Intervals.
    of: usize,
    /// Intervals that hold the truth.
    held: usize,
    /// Mean of half their width over what it should be: so many deviations of the figure from seed to seed.
    width: f64,
    /// Whether they are known to be wider than that, and why is said where they are made.
    wider: bool,
}

/// Of figures, their intervals and the truth; `deviations` is half a width in standard deviations.
fn shown(
    what: &'static str,
    figures: impl Iterator<Item = (f64, (f64, f64))>,
    truth: f64,
    deviations: f64,
    wider: bool,
) -> Shown {
    let figures: Vec<_> = figures.collect();
    let holds = figures
        .iter()
        .filter(|(_, (low, high))| (*low..=*high).contains(&truth));
    let half = mean(figures.iter().map(|(_, (low, high))| 0.5 * (high - low)));
    Shown {
        what,
        of: figures.len(),
        held: holds.count(),
        width: half / (deviations * deviation(figures.iter().map(|(value, _)| *value))),
        wider,
    }
}

impl Shown {
    /// As many hold it as 95 % may give, and they are as wide as they should be, each give or take three standard errors over the seeds.
    fn check(&self) {
        let n = self.of as f64;
        let slack = 3.0 * (0.95 * 0.05 * n).sqrt();
        let least = (0.95 * n - slack).floor() as usize;
        assert!(self.held >= least, "{}: {self:?}", self.what);
        // That of a standard deviation of n values.
        let slack = 3.0 / (2.0 * n).sqrt();
        assert!(self.width > 1.0 - slack, "{}: {self:?}", self.what);
        let most = if self.wider { MOST_WIDE } else { 1.0 + slack };
        assert!(self.width < most, "{}: {self:?}", self.what);
    }
}

fn deviation(values: impl Iterator<Item = f64>) -> f64 {
    let values: Vec<f64> = values.collect();
    let middle = mean(values.iter().copied());
    let squares = values
        .iter()
        .map(|value| (value - middle) * (value - middle));
    (squares.sum::<f64>() / (values.len() - 1) as f64).sqrt()
}

fn mean(values: impl Iterator<Item = f64>) -> f64 {
    let values: Vec<f64> = values.collect();
    values.iter().sum::<f64>() / values.len() as f64
}

#[test]
#[ignore = "30,000 winters: minutes"]
fn paired_intervals_hold_the_truth_as_often_as_said() {
    let mut scenario = scenario::built_in();
    // Stores with which a fair share starves: intervals of next to no risk are rightly wide.
    scenario.colony.stores_kg = 9.0;
    // Ten sets of shared unknowns and twenty colonies.
    let members = 100;
    let crossing = Crossing::new(10, scenario.ensemble.shared_sets);
    // In these very winters: the interval of the draws.
    let here = [&scenario, &foam(&scenario)].map(|s| s.prepare().expect("the sample").plan);
    let here: Vec<_> = (0..SEEDS)
        .map(|seed| {
            let [a, b] = [0, 1].map(|n| fates(&here[n], seed, members, here[n].winters.clone()));
            pairs(&crossing, &a, &b)
        })
        .collect();
    // In ten winters out of five hundred, others for each seed: the interval of the winters.
    let mut many = scenario.clone();
    many.weather.resample = Some(10 * ELSEWHERE as u16);
    let plans = [&many, &foam(&many)].map(|s| s.prepare().expect("the sample").plan);
    let elsewhere: Vec<_> = (0..ELSEWHERE)
        .map(|seed| {
            let first = seed as usize * 10;
            let [a, b] = [0, 1].map(|n| {
                let own = plans[n].winters[first..first + 10].to_vec();
                fates(&plans[n], seed, members, own)
            });
            pairs(&crossing, &a, &b)
        })
        .collect();
    let need = |of: &[(Difference, Difference)]| mean(of.iter().map(|(need, _)| need.mean));
    let risk = |of: &[(Difference, Difference)]| mean(of.iter().map(|(_, risk)| risk.mean));
    let winters = |difference: &Difference| difference.winters.expect("ten winters");
    let figures = |of: &[(Difference, Difference)], risk: bool, winters_too: bool| -> Vec<_> {
        let figure = |(need, starved): &(Difference, Difference)| {
            let difference = if risk { starved } else { need };
            let interval = if winters_too {
                winters(difference)
            } else {
                difference.draws
            };
            (difference.mean, interval)
        };
        of.iter().map(figure).collect()
    };
    // The larger of two parts stands where their sum falls below it; Tango's interval is never narrower elsewhere than here.
    let all = [
        shown(
            "need here",
            figures(&here, false, false).into_iter(),
            need(&here),
            TEN,
            true,
        ),
        shown(
            "risk here",
            figures(&here, true, false).into_iter(),
            risk(&here),
            TEN,
            true,
        ),
        shown(
            "need elsewhere",
            figures(&elsewhere, false, true).into_iter(),
            need(&elsewhere),
            TEN,
            true,
        ),
        shown(
            "risk elsewhere",
            figures(&elsewhere, true, true).into_iter(),
            risk(&elsewhere),
            TEN,
            true,
        ),
    ];
    println!(
        "{all:#?}; truths {:.3} kg, {:.4}; {:.3} kg, {:.4}",
        need(&here),
        risk(&here),
        need(&elsewhere),
        risk(&elsewhere)
    );
    all.iter().for_each(Shown::check);
}

#[test]
#[ignore = "160,000 winters: a quarter of an hour on two cores"]
fn sobol_draws_vary_less_than_plain_ones_and_their_intervals_hold_the_truth() {
    let plan = scenario::built_in().prepare().expect("the sample").plan;
    // Every one of sixteen replicates has a group of sets.
    let members = 800;
    let of = |sampling| -> Vec<Summary> {
        let summary = |seed| {
            let plan = Plan {
                seed,
                members,
                sampling,
                ..plan.clone()
            };
            let rows = ensemble::run(&plan, &()).expect("an ensemble");
            Summary::new(&plan, &rows).expect("rows")
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
        let spread = |of: &[Summary]| deviation(of.iter().map(value));
        let gain = (spread(&plain) / spread(&sobol)) * (spread(&plain) / spread(&sobol));
        println!(
            "{what}: {truth:.4}; sd {:.4} plain, {:.4} sobol: gain {gain:.2}",
            spread(&plain),
            spread(&sobol),
        );
        if what == "mean need" {
            // The summary gives it no interval.
            continue;
        }
        // The larger of two parts stands where their sum falls below it.
        let of = |of: &[Summary], deviations, wider| {
            let figures: Vec<_> = of.iter().map(|s| (value(s), interval(s))).collect();
            shown(what, figures.into_iter(), truth, deviations, wider)
        };
        let both = [of(&plain, NORMAL, true), of(&sobol, SIXTEEN, false)];
        println!("{both:#?}");
        both.iter().for_each(Shown::check);
    }
}
