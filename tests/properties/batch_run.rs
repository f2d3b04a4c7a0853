//! Colonies stepped side by side have the bits of colonies stepped one after the other.

use overwinter::ensemble::Plan;
use overwinter::hive::{Alteration, Change, Floor, ScreenState, When};
use overwinter::scenario::built_in;
use overwinter::season::{
    Member, Outcome, RunInput, RunResult, SeasonError, Width, run, run_batch,
};
use support::hives::layer;

/// Members of a plan with their winters, stepped at a width.
fn at_width(plan: &Plan, members: &[Member], width: Width) -> Vec<Outcome> {
    let whole = |ran: RunResult| ran.expect("run").expect("a winter");
    let colonies = winterings(plan, members);
    let ran = run_batch(&colonies, width, &mut || true);
    ran.into_iter().map(whole).collect()
}

fn winterings<'a>(plan: &'a Plan, members: &'a [Member]) -> Vec<RunInput<'a>> {
    let numbered = (0..).zip(members);
    let wintering = |(number, member)| RunInput {
        member,
        site: &plan.site,
        forcing: &plan.winters[plan.winter_of(number)],
    };
    numbered.map(wintering).collect()
}

fn members(plan: &Plan, count: u32) -> Vec<Member> {
    let draws = plan.draws();
    (0..count)
        .map(|number| plan.member(&draws, number))
        .collect()
}

/// All widths against [`run`].
fn every_width_has_the_bits_of_one(plan: &Plan, count: u32) -> Vec<Outcome> {
    let members = members(plan, count);
    let one_by_one: Vec<Outcome> = winterings(plan, &members)
        .iter()
        .map(|own| run(own.member, own.site, own.forcing).expect("a winter"))
        .collect();
    for width in [Width::One, Width::Four, Width::Eight, Width::Fastest] {
        let outcomes = at_width(plan, &members, width);
        for (number, (outcome, alone)) in outcomes.iter().zip(&one_by_one).enumerate() {
            // Debug text tells every number to its last bit, and those that are none as alike.
            assert_eq!(
                format!("{outcome:?}"),
                format!("{alone:?}"),
                "member {number} at {width:?}"
            );
        }
    }
    one_by_one
}

#[test]
fn members_of_the_sample_have_the_same_bits_at_every_width() {
    let mut plan = built_in().prepare().expect("the sample").plan;
    plan.colony.stores_kg = 7.0;
    // More than the lanes of any width and not a multiple of them; several die and are led on as if fed.
    let outcomes = every_width_has_the_bits_of_one(&plan, 21);
    let ended = outcomes.iter().filter(|outcome| outcome.end_day.is_some());
    assert!(ended.count() > 1);
}

#[test]
fn a_hive_that_is_altered_by_the_weather_has_the_same_bits_at_every_width() {
    let mut plan = built_in().prepare().expect("the sample").plan;
    plan.hive.floor = Floor::Screened {
        free_share: 0.6,
        state: ScreenState::Open,
    };
    // Wrap, lid and floor come and go with the cold, so lanes hold hives of many shapes, each on its own days.
    let altered = Alteration {
        wrap: Some(vec![layer("xps", 0.038)]),
        lid: Some(vec![layer("shavings", 0.075), layer("softwood", 0.019)]),
        floor: Some(Floor::Screened {
            free_share: 0.6,
            state: ScreenState::Closed(vec![layer("plywood", 0.006)]),
        }),
        ..Alteration::default()
    };
    plan.hive.changes = vec![Change {
        when: When {
            below_c: Some(-8.0),
            ..When::default()
        },
        what: altered,
    }];
    let outcomes = every_width_has_the_bits_of_one(&plan, 11);
    let changed = |outcome: &Outcome| outcome.days.iter().any(|day| day.changes.has(0));
    assert!(outcomes.iter().any(changed));
}

#[test]
fn colonies_that_are_not_to_be_run_have_no_outcome() {
    let plan = built_in().prepare().expect("the sample").plan;
    let members = members(&plan, 12);
    for width in [Width::One, Width::Four] {
        let mut finished = 0;
        let ran = run_batch(&winterings(&plan, &members), width, &mut || {
            finished += 1;
            finished < 3
        });
        let whole = ran.iter().filter(|ran| ran.is_some()).count();
        assert!((3..7).contains(&whole), "{whole} at {width:?}");
    }
}

#[test]
fn a_colony_that_finds_no_balance_fails_alone_and_as_it_does_by_itself() {
    let plan = built_in().prepare().expect("the sample").plan;
    let mut members = members(&plan, 9);
    // Bees that burn without end, from the first hour on and from the first cold on.
    members[2].parameters.resting_w_kg = 1e9;
    members[5].parameters.heating_max_w_kg = 1e12;
    let colonies = winterings(&plan, &members);
    let alone: Vec<Option<_>> = colonies
        .iter()
        .map(|own| Some(run(own.member, own.site, own.forcing)))
        .collect();
    assert!(matches!(
        alone[2],
        Some(Err(SeasonError::NotConverged { .. }))
    ));
    for width in [Width::One, Width::Four, Width::Eight] {
        let ran = run_batch(&colonies, width, &mut || true);
        assert_eq!(format!("{ran:?}"), format!("{alone:?}"), "{width:?}");
    }
}

#[test]
fn a_winter_without_a_day_fails_alone() {
    let plan = built_in().prepare().expect("the sample").plan;
    let members = members(&plan, 3);
    let mut empty = plan.winters[0].clone();
    empty.instants.truncate(5);
    let mut colonies = winterings(&plan, &members);
    colonies[1].forcing = &empty;
    let ran = run_batch(&colonies, Width::Four, &mut || true);
    let is_whole = |number: usize| matches!(ran[number], Some(Ok(_)));
    assert!(is_whole(0) && is_whole(2));
    assert!(matches!(ran[1], Some(Err(SeasonError::NoDay { .. }))));
}
