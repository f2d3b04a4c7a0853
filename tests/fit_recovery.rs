//! Fits to weights that the model made itself, with noise, from a colony whose numbers are known.

use overwinter::ensemble::{Draws, Plan};
use overwinter::fit::{Fit, Reading, Weights, fit};
use overwinter::season;
use overwinter::{normal, scenario};
use std::ops::Range;

/// Days of the winter that are weighed: early November to the middle of January.
const WEIGHED: Range<usize> = 35..105;
/// Standard deviation of a reading, kg: a hive scale of good make.
const READING_KG: f64 = 0.03;

/// The built-in sample in its third winter.
fn plan(seed: u64) -> Plan {
    let mut plan = scenario::built_in().prepare().expect("the sample").plan;
    plan.winters = vec![plan.winters[2].clone()];
    plan.seed = seed;
    plan
}

/// The weights of a member drawn from the scenario, the honey that it used between the first and the last, and its bees.
fn weighed(plan: &Plan, truth: u64) -> (Weights, f64, f64) {
    let draws = Draws::new(9_000 + truth);
    let member = plan.member(&draws, 0);
    let forcing = &plan.winters[0];
    let days = season::weighing(&member, &plan.site, forcing, WEIGHED.end).expect("a winter");
    let noise = |day: usize| READING_KG * normal::quantile(draws.uniform(day as u64, "noise"));
    let date = |day: usize| {
        let span = jiff::Span::new().days(day as i64);
        forcing.start.date().saturating_add(span)
    };
    let readings = WEIGHED.map(|day| Reading {
        date: date(day),
        kg: 60.0 + 0.5 * (days[day].change_kg + days[day + 1].change_kg) + noise(day),
    });
    let used_kg = days[WEIGHED.end - 1].used_kg - days[WEIGHED.start].used_kg;
    let readings = readings.collect();
    (Weights { readings }, used_kg, member.colony.bees)
}

fn fitted(plan: &Plan, weights: &Weights, each: usize) -> Fit {
    fit(plan, weights, &[], each, &()).expect("a fit")
}

#[test]
fn honey_used_is_found_far_closer_than_the_scenario_knew_it() {
    let plan = plan(1);
    let (weights, used_kg, _) = weighed(&plan, 1);
    let fit = fitted(&plan, &weights, 100);
    let width = |of: [f64; 3]| of[2] - of[0];
    let [low, median, high] = fit.used_kg.posterior;
    assert!(
        (median - used_kg).abs() < 0.08 * used_kg,
        "{fit:?} {used_kg}"
    );
    assert!(
        low - 0.1 < used_kg && used_kg < high + 0.1,
        "{fit:?} {used_kg}"
    );
    assert!(
        width(fit.used_kg.posterior) < 0.4 * width(fit.used_kg.prior),
        "{fit:?}"
    );
    assert_eq!((fit.cuts.len(), fit.kept), (0, WEIGHED.len() - 1));
    assert_eq!(fit.fitted[0].name, "bees");
}

/// Rain of 0.8 kg that dries off by two thirds a day, snow of 1.5 kg that lies for five days, an inspection that takes away a frame of 2 kg, fondant
/// of 1 kg.
#[test]
fn rain_and_snow_and_a_frame_taken_and_feeding_do_not_bias_it() {
    let plan = plan(2);
    let (clean, used_kg, _) = weighed(&plan, 2);
    let mut spoilt = clean.clone();
    for (number, reading) in spoilt.readings.iter_mut().enumerate() {
        let since = |day: usize| number as f64 - day as f64;
        for rain in [8, 55] {
            if since(rain) >= 0.0 {
                reading.kg += 0.8 * (-1.1 * since(rain)).exp();
            }
        }
        if (20..25).contains(&number) {
            reading.kg += 1.5;
        }
        reading.kg += if number >= 35 { -2.0 } else { 0.0 };
        reading.kg += if number >= 45 { 1.0 } else { 0.0 };
    }
    let [clean, spoilt] = [clean, spoilt].map(|weights| fitted(&plan, &weights, 100));
    let why = |why: &str| spoilt.cuts.iter().filter(|cut| cut.why == why).count();
    // Two rains, the snow's coming and the feed; the snow's going, and the frame's.
    assert_eq!((why("gain"), why("loss")), (4, 2), "{:?}", spoilt.cuts);
    let off_kg = spoilt.used_kg.posterior[1] - clean.used_kg.posterior[1];
    assert!(off_kg.abs() < 0.05 * used_kg, "{off_kg} of {used_kg}");
}

#[test]
fn the_same_seed_gives_the_same_fit() {
    let plan = plan(3);
    let (mut weights, _, _) = weighed(&plan, 3);
    weights.readings.truncate(30);
    assert_eq!(fitted(&plan, &weights, 50), fitted(&plan, &weights, 50));
}

/// Over 60 colonies, or FIT_REPEATS of them: 90 % intervals hold the truth in nine of ten, give or take two and a half standard errors. Takes minutes.
#[test]
#[ignore = "minutes: run with --ignored"]
fn intervals_of_many_colonies_hold_the_truth_as_often_as_they_say() {
    let repeats =
        std::env::var("FIT_REPEATS").map_or(60, |number| number.parse().expect("a number"));
    let (mut used, mut bees, mut thin) = (0, 0, 0);
    for truth in 0..repeats {
        let plan = plan(500 + truth);
        let (weights, used_kg, true_bees) = weighed(&plan, truth);
        let fit = fitted(&plan, &weights, 200);
        let holds = |of: [f64; 3], value: f64| u32::from((of[0]..=of[2]).contains(&value));
        used += holds(fit.used_kg.posterior, used_kg);
        bees += holds(fit.fitted[0].interval.posterior, true_bees);
        thin += u32::from(fit.is_thin());
    }
    println!("used {used}, bees {bees}, thin {thin} of {repeats}");
    let n = repeats as f64;
    let least = 0.9 * n - 2.5 * (n * 0.9 * 0.1).sqrt();
    assert!(
        f64::from(used) > least && f64::from(bees) > least,
        "{used} {bees}"
    );
}
