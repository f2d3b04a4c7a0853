//! What a keeper changes on a hive in the course of a winter, and what that must and must not do.

use overwinter::hive::{Alteration, Change, Floor, Hive, Opening, ScreenState, Vent, When};
use overwinter::season::{Forcing, Outcome, Solver, State, days_in_force, run_with};
use support::hives::{SITE, layer, member, sine_winter, thin_hive};

const DAYS: usize = 200;

fn screened(state: ScreenState) -> Floor {
    Floor::Screened {
        free_share: 0.6,
        state,
    }
}

fn open_floor() -> Hive {
    Hive {
        floor: screened(ScreenState::Open),
        vents: vec![Vent {
            opening: Opening {
                width_m: 0.02,
                height_m: 0.02,
            },
            corked: false,
        }],
        ..thin_hive()
    }
}

/// All that a change can alter.
fn all_altered() -> Alteration {
    Alteration {
        wrap: Some(vec![layer("xps", 0.038)]),
        lid: Some(vec![layer("shavings", 0.075), layer("softwood", 0.019)]),
        floor: Some(screened(ScreenState::Closed(vec![layer("plywood", 0.006)]))),
        vents: Some(vec![]),
        entrances: Some(vec![Opening {
            width_m: 0.05,
            height_m: 0.01,
        }]),
        side_finish: Some(overwinter::hive::FINISHES[5].1),
        lid_finish: Some(overwinter::hive::FINISHES[6].1),
    }
}

fn with(hive: Hive, changes: Vec<Change>) -> Hive {
    Hive { changes, ..hive }
}

fn below(c: f64) -> When {
    When {
        below_c: Some(c),
        ..When::default()
    }
}

/// Outcome and every hour's state.
fn winter(hive: &Hive, forcing: &Forcing) -> (Outcome, Vec<State>) {
    let mut hours = Vec::new();
    let outcome = run_with(
        &member(hive.clone()),
        &SITE,
        forcing,
        &mut Solver::default(),
        &mut |watch| hours.push(watch.state.clone()),
    );
    (outcome.expect("a winter"), hours)
}

#[test]
fn a_change_that_never_holds_changes_nothing() {
    let forcing = sine_winter(DAYS);
    let never = Change {
        when: below(-80.0),
        what: all_altered(),
    };
    assert_eq!(
        winter(&with(open_floor(), vec![never]), &forcing),
        winter(&open_floor(), &forcing)
    );
}

#[test]
fn a_hive_changed_from_the_first_day_on_is_a_hive_built_so() {
    let forcing = sine_winter(DAYS);
    let what = all_altered();
    let built = Hive {
        wall: [thin_hive().wall, what.wrap.clone().expect("a wrap")].concat(),
        lid: what.lid.clone().expect("a lid"),
        floor: what.floor.clone().expect("a floor"),
        vents: vec![],
        entrances: what.entrances.clone().expect("entrances"),
        side_finish: what.side_finish.expect("a finish"),
        lid_finish: what.lid_finish.expect("a finish"),
        ..open_floor()
    };
    let always = Change {
        when: below(80.0),
        what,
    };
    let (mut changed, hours) = winter(&with(open_floor(), vec![always]), &forcing);
    let (built, built_hours) = winter(&built, &forcing);
    assert_eq!(hours, built_hours);
    for (day, built) in changed.days.iter_mut().zip(&built.days) {
        assert!(day.changes.has(0));
        day.changes = built.changes;
    }
    assert_eq!(changed, built);
}

#[test]
fn a_floor_closed_in_the_cold_is_warmer_below_on_cold_days_than_one_left_open() {
    let mut forcing = sine_winter(DAYS);
    // A clear sky cools thin walls below the air outside, to which an open floor keeps the lower air: here it is covered.
    for weather in &mut forcing.instants {
        weather.sky_w_m2 = 0.0;
    }
    let close = Change {
        when: below(5.0),
        what: Alteration {
            floor: Some(screened(ScreenState::Closed(vec![layer("plywood", 0.006)]))),
            ..Alteration::default()
        },
    };
    let hive = with(open_floor(), vec![close]);
    let days = days_in_force(&hive.changes, &forcing);
    let (closed, closed_hours) = winter(&hive, &forcing);
    let (open, open_hours) = winter(&open_floor(), &forcing);
    let mean_c = |hours: &[State], day: usize| {
        let hours = &hours[24 * day..24 * (day + 1)];
        hours.iter().map(|state| state.lower_c).sum::<f64>() / 24.0
    };
    let cold_days: Vec<usize> = (0..DAYS).filter(|day| days[*day].has(0)).collect();
    assert!((100..DAYS).contains(&cold_days.len()), "{cold_days:?}");
    let gain_k = |day: &usize| mean_c(&closed_hours, *day) - mean_c(&open_hours, *day);
    let gains_k: Vec<f64> = cold_days.iter().map(gain_k).collect();
    let mean_k = gains_k.iter().sum::<f64>() / gains_k.len() as f64;
    assert!(mean_k > 0.2, "{mean_k}");
    // A day that warms fast leaves a closed hive behind; such days are few.
    let warmer = gains_k.iter().filter(|gain_k| **gain_k > 0.0).count();
    assert!(4 * warmer > 3 * gains_k.len(), "{warmer}");
    assert!(closed.used.heat_kg < open.used.heat_kg);
}

#[test]
fn a_wrap_warms_while_it_is_on_and_leaves_little_behind() {
    let forcing = sine_winter(DAYS);
    let wrap = Change {
        when: When {
            from: Some((12, 1)),
            until: Some((2, 1)),
            ..When::default()
        },
        what: Alteration {
            wrap: Some(vec![layer("xps", 0.038)]),
            ..Alteration::default()
        },
    };
    let (_, wrapped) = winter(&with(thin_hive(), vec![wrap]), &forcing);
    let (_, bare) = winter(&thin_hive(), &forcing);
    // By how much the upper air is warmer in the mean of some days.
    let gain_k = |days: std::ops::Range<usize>| {
        let hours = 24 * days.start..24 * days.end;
        let count = hours.len() as f64;
        let each = hours.map(|hour| wrapped[hour].upper_c - bare[hour].upper_c);
        each.sum::<f64>() / count
    };
    // 1 October to 1 December are 61 days, to 1 February 123.
    let (before, during, after) = (gain_k(0..61), gain_k(71..123), gain_k(133..143));
    assert_eq!(before, 0.0);
    assert!(during > 1.0, "{during}");
    assert!(after.abs() < 0.1 * during, "{after} of {during}");
}

#[test]
fn the_night_of_a_change_leaves_the_air_and_the_old_wall_as_they_were() {
    let forcing = sine_winter(DAYS);
    let wrap = Change {
        when: When {
            from: Some((12, 1)),
            ..When::default()
        },
        what: Alteration {
            wrap: Some(vec![layer("xps", 0.038)]),
            ..Alteration::default()
        },
    };
    let (outcome, hours) = winter(&with(thin_hive(), vec![wrap]), &forcing);
    let (_, bare) = winter(&thin_hive(), &forcing);
    // 1 October to 1 December are 61 days.
    let midnight = 61 * 24 - 1;
    assert_eq!(hours[..=midnight], bare[..=midnight]);
    assert!(hours[midnight + 1].walls_c.len() > hours[midnight].walls_c.len());
    let jump_k = (hours[midnight + 1].upper_c - bare[midnight + 1].upper_c).abs();
    assert!(jump_k < 1.0, "{jump_k}");
    assert!(outcome.ledger.imbalance().abs() < 1e-9);
    let held = outcome.days.iter().filter(|day| day.changes.has(0)).count();
    assert_eq!(held, DAYS - 61);
}
