//! Bees, brood and confinement over a winter against published measurements and common practice.

use overwinter::colony::bees::{Bees, Toil};
use overwinter::colony::{Colony, End};
use overwinter::hive::Hive;
use overwinter::hive::vapour::saturation_pa;
use overwinter::parameter::{Parameters, find};
use overwinter::season::{DayRecord, Forcing, Member, Outcome, Weather, run};
use support::figures::{mean_life_d, reared};
use support::hives::{SITE, foam_hive, thin_hive};

/// A dark, windless winter of unchanging air from 1 October on: a wintering building.
fn indoors(outside_c: f64, days: usize) -> Forcing {
    let instant = Weather {
        outside_c,
        pressure_pa: 98_000.0,
        vapour_pa: 0.6 * saturation_pa(outside_c),
        ..Weather::default()
    };
    Forcing {
        label: "indoors".to_owned(),
        start: jiff::civil::date(2021, 10, 1).at(0, 0, 0, 0),
        instants: vec![instant; 24 * days + 1],
        daylight: vec![false; 24 * days + 1],
        first_day: -91.0,
    }
}

fn winter(hive: Hive, bees: f64, parameters: Parameters, forcing: &Forcing) -> Outcome {
    let member = Member {
        hive,
        colony: Colony {
            bees,
            stores_kg: 40.0,
            ..Colony::default()
        },
        parameters,
    };
    run(&member, &SITE, forcing).expect("a winter")
}

/// Mean of a value over the days of the year from `from` to `until`, of a winter from 1 October on.
fn mean(outcome: &Outcome, from: usize, until: usize, value: fn(&DayRecord) -> f64) -> f64 {
    let days = &outcome.days[from + 91..until + 91];
    days.iter().map(value).sum::<f64>() / days.len() as f64
}

/// Harris 2009 (as quoted in the design): colonies wintered indoors in Manitoba had 13,274 +- 1,078 adults in March, 34 to 50 % of them reared in winter.
///
/// How many they had in autumn is not known to us, so the number is a check of scale only: from 15,500 bees on 1 October in air of 5 degC it comes out
/// near the published one. The share does not depend on it much.
#[test]
fn indoors_in_manitoba_a_third_to_a_half_of_the_bees_of_march_are_reared_in_winter() {
    let outcome = winter(
        thin_hive(),
        15_500.0,
        Parameters::default(),
        &indoors(5.0, 182),
    );
    assert_eq!(outcome.end, End::Alive);
    let adults = mean(&outcome, 60, 90, |day| day.bees);
    let reared = mean(&outcome, 60, 90, |day| day.reared_bees) / adults;
    println!("adults in March {adults:.0}, reared in winter {reared:.3}");
    assert!((0.34..0.50).contains(&reared), "{reared}");
    assert!((adults - 13_274.0).abs() < 2.0 * 1_078.0, "{adults}");
}

/// Fukuda & Sekiguchi 1966, Jap J Ecol 16:206 (from memory): in Sapporo bees of March lived 35 d in the mean, those of September 154 d, outdoors. Practice
/// gives bees that nurse without rest 40 to 60 d.
///
/// Known miss: the model's winter bees would live 250 d at rest and 167 d in hard cold all along, because their rate of 0.3 to 0.6 % a day is taken from
/// counts of winter losses, which hold no spring.
#[test]
fn spring_bees_live_some_weeks_and_rested_ones_as_long_as_in_sapporo() {
    let toil = |nursing: f64, cold: f64| Toil { nursing, cold };
    let spring = mean_life_d(reared(), toil(1.0, 0.0));
    assert!((35.0..60.0).contains(&spring), "{spring}");
    let row = find("reared_life_days").expect("a parameter");
    assert!(row.low < 35.0 && 35.0 < row.high);
    let resting = mean_life_d(reared(), toil(0.0, 0.0));
    assert!((resting - 154.0).abs() < 8.0, "{resting}");
    let winter = |cold: f64| mean_life_d(Bees::new(1_000.0), toil(0.0, cold));
    let (rested, cold) = (winter(0.0), winter(1.0));
    println!("reared {spring:.0} d nursing, {resting:.0} d at rest");
    println!(
        "known miss: winter bees {rested:.0} d at rest and {cold:.0} d in the cold, 154 d published"
    );
    assert!(rested > cold);
}

/// Common practice (from memory): bees outdoors stand two to four months without a flight, indoors at 5 degC five to six.
///
/// Known miss: with default parameters the model's bees stand six months and more, longer than outdoors in practice: what faeces honey leaves is not known to a factor
/// of five. With the most residue and the least room that are drawn they stand as long as practice has it.
#[test]
fn with_the_most_residue_and_the_least_room_confined_bees_are_full_when_keepers_see_it() {
    let full_days = |hive: &Hive, outside_c: f64, p: &Parameters| {
        let outcome = winter(hive.clone(), 15_500.0, p.clone(), &indoors(outside_c, 200));
        let full = |day: &DayRecord| day.gut_share > p.gut_limit_share;
        outcome.days.iter().position(full)
    };
    let row = |name| find(name).expect("a parameter");
    let soonest = Parameters {
        gut_residue_kg_kg: row("gut_residue_kg_kg").high,
        gut_limit_share: row("gut_limit_share").low,
        ..Parameters::default()
    };
    let (outdoors, indoors) = (122, 183);
    for (hive, outside_c, longest) in [
        (thin_hive(), -12.0, outdoors),
        (thin_hive(), -5.0, outdoors),
        (foam_hive(), -12.0, outdoors),
        (thin_hive(), 5.0, indoors),
    ] {
        let usual = full_days(&hive, outside_c, &Parameters::default());
        let early = full_days(&hive, outside_c, &soonest);
        println!(
            "{} at {outside_c}: full after {usual:?} days, {early:?} at the soonest",
            hive.name
        );
        assert!(usual.is_none_or(|day| day > 60), "{usual:?}");
        assert!(
            early.is_some_and(|day| (60..=longest).contains(&day)),
            "{} at {outside_c}: {early:?}",
            hive.name
        );
    }
}

/// Common practice, no source: small colonies in the cold suffer first, as each bee eats more.
#[test]
fn a_small_colony_in_the_cold_is_full_long_before_a_large_one() {
    let p = Parameters::default();
    let full = |bees: f64| {
        let outcome = winter(thin_hive(), bees, p.clone(), &indoors(-12.0, 90));
        outcome.gut.highest_share(&p)
    };
    let (small, large) = (full(7_000.0), full(25_000.0));
    println!("after 90 days at -12 degC: {small:.3} and {large:.3}");
    assert!(small > 1.2 * large, "{small} {large}");
}

/// One sunny calm hour of 8 degC on the eightieth day.
fn with_a_flight() -> Forcing {
    let mut forcing = indoors(-5.0, 120);
    let noon = 24 * 79 + 12;
    forcing.daylight[noon] = true;
    forcing.instants[noon].outside_c = 8.0;
    forcing.instants[noon].sun_w_m2 = [600.0, 200.0, 0.0, 200.0, 300.0];
    forcing
}

/// Farrar and others, from memory: one good flight in midwinter carries a colony to spring.
#[test]
fn a_flight_in_midwinter_empties_the_bees() {
    let p = Parameters::default();
    let of = |forcing: &Forcing| winter(thin_hive(), 15_500.0, p.clone(), forcing).gut;
    let (without, with) = (of(&indoors(-5.0, 120)), of(&with_a_flight()));
    assert_eq!((without.longest_days, with.longest_days), (120.0, 79.0));
    assert_eq!(with.confined_days, 40.0);
    assert!(with.highest_kg < 0.8 * without.highest_kg);
}
