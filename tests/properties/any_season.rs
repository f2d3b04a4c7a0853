//! What must hold for every hive, colony, draw of parameters and course of weather that a scenario allows.
//!
//! `PROPTEST_CASES=10000 cargo test --release --test properties any_season` searches wider. A seed that once failed is kept in
//! `tests/proptest-regressions/any_season.txt` by proptest.

use crate::allowed::{Case, case, hive, parameters};
use overwinter::colony::Colony;
use overwinter::hive::heatloss::{HeatLoss, Pair};
use overwinter::hive::{Hive, Joints};
use overwinter::parameter::Parameters;
use overwinter::season::{Member, RunInput, Solver, Width, run, run_batch, run_with};
use proptest::prelude::*;
use proptest::strategy::ValueTree as _;
use proptest::test_runner::{Config, RngAlgorithm, RngSeed, TestRng, TestRunner};
use std::ops::RangeInclusive;

/// How far still air lets a clear sky cool a surface of emissivity 0.9 below air of -60 degC, K: 108 / (4 + 0.9 x 2.19), rounded up; and the sun
/// heat a black one above the warmest inside: 380 / (4 + 2).
const SKY_K: f64 = 18.5;
const SUN_K: f64 = 64.0;

/// Hours after the last sun in which a thick floor or wall still gives off its heat.
const COOLING_H: usize = 8;

/// Hotter than any core that vents, degC.
const HOTTEST_C: f64 = 48.0;

/// Most that a wall may swing to and fro from hour to hour, K: no weather here does. Heat of frost that was held back is given by up to 10 K at a place
/// (`season::water`), which melting frost may undo the next hour; what swings further is a step that is not stable. Seen: 8.8.
const MOST_SWING_K: f64 = 12.0;

/// Finite and 0 or more.
const NOT_NEGATIVE: RangeInclusive<f64> = 0.0..=f64::MAX;
/// What a sum may be off, as a share of it.
const CLOSED: RangeInclusive<f64> = -1e-9..=1e-9;

/// Water on a surface or in a node: nothing to a hundred times what the winter's honey gives, and rounding.
const WATER_KG: RangeInclusive<f64> = -1e-12..=1e4;
/// Vapour in the hive's air: at most as air saturated at the hottest wall holds, 110 degC.
const VAPOUR_PA: RangeInclusive<f64> = 0.0..=1.45e5;

/// Widest swing of any wall node to and fro over four hours one after the other, K: the least of three changes of which each goes back on the last. None
/// when the hive was altered between them.
fn swing_k(past: &[Vec<f64>; 4]) -> Option<f64> {
    let nodes = past[3].len();
    if past.iter().any(|walls_c| walls_c.len() != nodes) {
        return None;
    }
    let swing_k = |node: usize| {
        let [first, second, third] = [0, 1, 2].map(|hour| past[hour + 1][node] - past[hour][node]);
        let to_and_fro = first * second < 0.0 && second * third < 0.0;
        to_and_fro.then(|| first.abs().min(second.abs()).min(third.abs()))
    };
    (0..nodes).filter_map(swing_k).reduce(f64::max)
}

/// Runs the season and says every way in which it is not sound.
fn faults(case: &Case) -> Vec<String> {
    let Case {
        member,
        site,
        forcing,
    } = case;
    let mut faults = Vec::new();
    if let Err(error) = member.hive.validate() {
        faults.push(format!("the hive is refused: {error}"));
    }
    let mut solver = Solver::default();
    let mut coldest_c = forcing.instants[0].outside_c;
    let mut sun_h = 0;
    let mut past: [Vec<f64>; 4] = Default::default();
    let outcome = run_with(member, site, forcing, &mut solver, &mut |watch| {
        coldest_c = coldest_c.min(watch.weather.outside_c);
        let (s, life) = (watch.state, watch.life);
        let inside = [s.core_c, s.mantle_c, s.upper_c, s.lower_c, s.comb_c];
        let mut say = |what: &str, value: f64| {
            if faults.len() < 5 {
                faults.push(format!("hour {}: {what} {value}", watch.hour));
            }
        };
        // A thin dark hive in full sun is an oven; by night only bees heat it.
        if watch.weather.sun_w_m2.iter().any(|sun| *sun > 0.0) {
            sun_h = watch.hour;
        }
        let sunny = watch.hour <= sun_h + COOLING_H;
        let hottest_c = if sunny { HOTTEST_C + SUN_K } else { HOTTEST_C };
        for c in inside {
            if !(coldest_c - 1.0 - SKY_K..hottest_c).contains(&c) {
                say("a temperature is", c);
            }
        }
        for c in &s.walls_c {
            if !(coldest_c - 1.0 - SKY_K..HOTTEST_C + SUN_K).contains(c) {
                say("a wall is at", *c);
            }
        }
        past.rotate_left(1);
        past[3].clone_from(&s.walls_c);
        if let Some(swing_k) = swing_k(&past).filter(|swing_k| *swing_k > MOST_SWING_K) {
            say("a wall swings to and fro by", swing_k);
        }
        if !(-0.1..=1.1).contains(&s.tightness) {
            say("tightness is", s.tightness);
        }
        let bees = life.bees.headcount();
        if !(life.bees.total() > 0.0 && life.bees.total().is_finite()) {
            say("bees are", life.bees.total());
        }
        for count in [bees.winter, bees.reared] {
            if !NOT_NEGATIVE.contains(&count) {
                say("bees of a kind are", count);
            }
        }
        if !NOT_NEGATIVE.contains(&life.gut.load_kg) {
            say("gut load is", life.gut.load_kg);
        }
        if !NOT_NEGATIVE.contains(&life.stores.total_kg()) {
            say("stores are", life.stores.total_kg());
        }
        let (place, stores_kg) = (life.place(watch.seams), life.stores.total_kg());
        if !(0.0..=stores_kg * (1.0 + 1e-9)).contains(&place.in_reach_kg) {
            say("stores in reach are", place.in_reach_kg);
        }
        let inside_m = member.hive.cavity.height_m() * (1.0 + 1e-9);
        if !(0.0..=inside_m).contains(&place.crown_m) {
            say("the crown is at", place.crown_m);
        }
        if !NOT_NEGATIVE.contains(&life.feeder.syrup_kg()) {
            say("syrup is", life.feeder.syrup_kg());
        }
        if !NOT_NEGATIVE.contains(&life.brood.total()) {
            say("brood is", life.brood.total());
        }
        let water = &s.water;
        for kg in water.films_kg.iter().chain(&water.nodes_kg) {
            if !WATER_KG.contains(kg) {
                say("water is", *kg);
            }
        }
        for pa in [water.upper_pa, water.lower_pa] {
            if !VAPOUR_PA.contains(&pa) {
                say("vapour is at", pa);
            }
        }
    });
    let outcome = match outcome {
        Ok(outcome) => outcome,
        Err(error) => {
            faults.push(error.to_string());
            return faults;
        }
    };
    if !CLOSED.contains(&outcome.ledger.imbalance()) {
        faults.push(format!(
            "the ledger is off by {}",
            outcome.ledger.imbalance()
        ));
    }
    let water = &outcome.ledger.water;
    if !CLOSED.contains(&water.imbalance()) {
        faults.push(format!("the water is off by {}", water.imbalance()));
    }
    let used_kg = outcome.used.total_kg();
    let had_kg = member.colony.stores_kg + outcome.feed.stored_kg;
    let taken_kg = had_kg - outcome.stores_left_kg;
    let off = (used_kg - taken_kg) / had_kg;
    if !CLOSED.contains(&off) {
        faults.push(format!("{used_kg} kg used, {taken_kg} kg taken"));
    }
    let feed = &outcome.feed;
    let waiting = feed.waiting_kg() / feed.offered_kg.max(1.0);
    if !(waiting >= -1e-9 && feed.stored_kg >= 0.0 && feed.lost_kg >= 0.0) {
        faults.push(format!("feed is off: {feed:?}"));
    }
    let (bees, brood) = (outcome.headcount, outcome.brood);
    let ever = member.colony.bees + bees.emerged;
    let off = (bees.winter + bees.reared + bees.died - ever) / ever;
    if !CLOSED.contains(&off) {
        faults.push(format!("bees are off by {off}: {bees:?}"));
    }
    let off = (brood.laid - brood.lost - brood.cells - bees.emerged) / brood.laid.max(1.0);
    if !CLOSED.contains(&off) {
        faults.push(format!("brood is off by {off}: {brood:?}, {bees:?}"));
    }
    // A fed colony does all that this one did, and may rear more brood, whose warm, loose core can spare a hair of heat elsewhere
    // (seen: 5e-6): it is no law that it needs as much to the last gram.
    if !(outcome.need_kg >= used_kg * (1.0 - 1e-3) && outcome.need_kg.is_finite()) {
        faults.push(format!("{} kg needed, {used_kg} kg used", outcome.need_kg));
    }
    if !(outcome.bees > 0.0 && outcome.stores_left_kg >= 0.0 && used_kg.is_finite()) {
        faults.push(format!("{outcome:?}"));
    }
    faults
}

/// Conductance of all air paths of a hive that is at least as warm as the outside, W/K.
/// The case of a number, the same on every run.
fn numbered(number: u64) -> Case {
    let mut seed = [0; 32];
    seed[..8].copy_from_slice(&number.to_le_bytes());
    let rng = TestRng::from_seed(RngAlgorithm::ChaCha, &seed);
    let mut runner = TestRunner::new_with_rng(Config::default(), rng);
    case().new_tree(&mut runner).expect("a case").current()
}

/// Says where colonies of a case, more and less of bees and honey in its hive, differ side by side from each by itself.
fn differs_abreast(case: &Case) -> Option<String> {
    let with = |share: f64| {
        let colony = Colony {
            bees: share * case.member.colony.bees,
            stores_kg: share * case.member.colony.stores_kg,
            ..case.member.colony.clone()
        };
        Member {
            colony,
            ..case.member.clone()
        }
    };
    let members = [1.0, 0.5, 0.8, 0.9, 0.2].map(with);
    let (site, forcing) = (&case.site, &case.forcing);
    let wintering = |member| RunInput {
        member,
        site,
        forcing,
    };
    let colonies: Vec<RunInput<'_>> = members.iter().map(wintering).collect();
    let alone = members
        .iter()
        .map(|member| Some(run(member, site, forcing)));
    // Debug text tells every number to its last bit, and those that are none as alike.
    let alone: Vec<String> = alone.map(|ran| format!("{ran:?}")).collect();
    [Width::One, Width::Four, Width::Eight]
        .into_iter()
        .find_map(|width| {
            let ran = run_batch(&colonies, width, &mut || true);
            let texts = ran.iter().map(|ran| format!("{ran:?}"));
            let differs = texts
                .zip(&alone)
                .position(|(abreast, alone)| abreast != *alone);
            differs.map(|colony| format!("colony {colony} at {width:?}"))
        })
}

/// The first days of seasons of any kind: whole ones take minutes.
#[test]
fn colonies_of_hives_of_any_kind_have_the_same_bits_side_by_side() {
    const CASES: u64 = 60;
    const DAYS: usize = 3;
    for number in 0..CASES {
        let mut case = numbered(number);
        case.forcing.instants.truncate(24 * DAYS + 1);
        assert_eq!(differs_abreast(&case), None, "case {number}");
    }
}

fn air_w_k(hive: &Hive, (outside_c, excess_k, wind_m_s): (f64, f64, f64), p: &Parameters) -> f64 {
    let pair = Pair {
        inside_c: outside_c + excess_k,
        outside_c,
        wind_m_s,
    };
    HeatLoss::new(hive, pair, p).air_w_k()
}

/// No less, but for rounding.
fn at_least(more_w_k: f64, less_w_k: f64) -> bool {
    more_w_k >= less_w_k * (1.0 - 1e-12)
}

proptest! {
    #![proptest_config(ProptestConfig {
        // The same cases on every run: chance fails no build. The search below, and the environment, look at others.
        rng_seed: RngSeed::Fixed(2_021),
        cases: if std::env::var_os("PROPTEST_CASES").is_some() { ProptestConfig::default().cases } else { 96 },
        ..ProptestConfig::default()
    })]

    #[test]
    fn every_season_is_sound_whatever_hive_colony_parameters_and_weather(case in case()) {
        let faults = faults(&case);
        prop_assert!(faults.is_empty(), "{faults:#?}");
    }

    // In a hive colder than the outside the stack draws down and the wind, taken to drive up, holds it back: no law there.
    #[test]
    fn more_wind_or_a_wider_opening_lets_no_less_air_through_a_warm_hive(
        hive in hive(), p in parameters(), pair in (-40.0..=20.0, 0.0..=50.0, 0.0..=15.0), more in 1.0..=3.0
    ) {
        let air = air_w_k(&hive, pair, &p);
        let (outside_c, excess_k, wind_m_s) = pair;
        let windier = air_w_k(&hive, (outside_c, excess_k, wind_m_s * more), &p);
        prop_assert!(at_least(windier, air), "wind: {air} to {windier}");
        let mut wider = hive.clone();
        for place in 0..hive.entrances.len() + hive.upper_entrances.len() + hive.vents.len() {
            let low = hive.entrances.len();
            let upper = low + hive.upper_entrances.len();
            let opening = match place {
                _ if place < low => &mut wider.entrances[place],
                _ if place < upper => &mut wider.upper_entrances[place - low],
                _ => &mut wider.vents[place - upper].opening,
            };
            opening.width_m *= more;
            let wider_w_k = air_w_k(&wider, pair, &p);
            prop_assert!(at_least(wider_w_k, air), "opening {place}: {air} to {wider_w_k}");
        }
    }

    #[test]
    fn tighter_joints_let_no_more_air_through(
        hive in hive(), p in parameters(), pair in (-40.0..=20.0, -30.0..=50.0, 0.0..=15.0)
    ) {
        let with = |joints| air_w_k(&Hive { joints, ..hive.clone() }, pair, &p);
        let (tight, propolised, loose) = (with(Joints::Tight), with(Joints::Propolised), with(Joints::Loose));
        prop_assert!(at_least(propolised, tight) && at_least(loose, propolised), "{tight} {propolised} {loose}");
        prop_assert!(tight > 0.0 || pair.1 == 0.0 || loose == 0.0, "cracks alone let air through: {tight}");
    }
}

mod search {
    //! By hand: `SEARCH_CASES=10000 cargo test --release --test properties any_season -- --ignored --nocapture`; `SEARCH_FROM=10000` goes on from there.
    use super::{faults, numbered};
    use rayon::prelude::*;

    #[test]
    #[ignore = "minutes long: a search that goes on after a fault and tells them all"]
    fn a_wide_search_finds_no_unsound_season() {
        let number = |name: &str, otherwise: u64| {
            std::env::var(name).map_or(otherwise, |text| text.parse().expect("a number"))
        };
        let (from, cases) = (number("SEARCH_FROM", 0), number("SEARCH_CASES", 2_000));
        let unsound: Vec<String> = (from..from + cases)
            .into_par_iter()
            .filter_map(|number: u64| {
                let faults = faults(&numbered(number));
                (!faults.is_empty()).then(|| format!("seed {number}: {faults:?}"))
            })
            .collect();
        assert!(
            unsound.is_empty(),
            "{} of {cases} cases:\n{}",
            unsound.len(),
            unsound.join("\n")
        );
    }
}
