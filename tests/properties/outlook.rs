//! The rest of a winter from a day in it: what was found is what goes on, more honey never hurts, and from the first day on it is the whole
//! winter.

use overwinter::colony::{Colony, End};
use overwinter::ensemble::{Asked, day_of, outlook};
use overwinter::season::{self, Found, Honey, Rest};
use overwinter::{ensemble, scenario};
use support::hives::{SITE, member, sine_winter, thin_hive};

const DAYS: usize = 160;
const DAY: usize = 100;

fn rest(found: Found, feeds_kg: &[f64]) -> Rest {
    let rest = season::rest(
        &member(thin_hive()),
        &SITE,
        &sine_winter(DAYS),
        &found,
        feeds_kg,
    );
    rest.expect("a winter").expect("a colony alive")
}

fn found(honey: Honey) -> Found {
    Found {
        day: DAY,
        bees: None,
        honey,
    }
}

#[test]
fn with_what_the_winter_left_the_rest_is_the_whole_winter_less_its_beginning() {
    let whole = season::run(&member(thin_hive()), &SITE, &sine_winter(DAYS)).expect("a winter");
    let rest = rest(found(Honey::Expected), &[0.0]);
    let at = &whole.days[DAY - 1];
    assert_eq!(rest.stores_kg, at.stores_kg);
    assert_eq!(rest.bees, at.bees);
    assert_eq!(rest.gross_kg, at.gross_kg);
    assert_eq!(rest.fed[0].left_kg, whole.stores_left_kg);
    assert!((rest.need_kg - (whole.need_kg - at.used_kg)).abs() < 1e-9);
}

/// With so little honey that some starve and some do not.
#[test]
fn from_the_first_day_with_the_stores_of_the_scenario_it_is_the_whole_winter_of_every_member() {
    let mut plan = scenario::built_in().prepare().expect("the sample").plan;
    plan.members = 30;
    plan.colony.stores_kg = 11.0;
    let rows = ensemble::run(&plan, &()).expect("an ensemble");
    let (rows, _) = rows.in_memory().expect("so few");
    assert!(
        rows.iter().any(overwinter::ensemble::MemberRow::starved)
            && rows.iter().any(|row| !row.starved())
    );
    let start = plan.winters[0].start.date();
    let asked = |honey| Asked {
        on: (start.month(), start.day()),
        bees: None,
        honey,
        feeds_kg: vec![0.0],
    };
    for honey in [Honey::Expected, Honey::Stores(plan.colony.stores_kg)] {
        let rests = outlook(&plan, &asked(honey), &()).expect("an outlook");
        assert_eq!(rests.len(), rows.len());
        for (row, rest) in rows.iter().zip(rests) {
            let rest = rest.expect("alive on the first day");
            let at = format!("member {} with {honey:?}", row.member);
            assert_eq!(rest.bees, row.bees, "{at}");
            // A sum over seams.
            assert!((rest.stores_kg - row.stores_kg).abs() < 1e-9, "{at}");
            assert!(
                (rest.gross_kg - row.bare_kg - row.stores_kg).abs() < 1e-9,
                "{at}"
            );
            let fed = rest.fed[0];
            assert_eq!(fed.end, row.end, "{at}");
            assert_eq!(
                (fed.end_day, fed.end_date),
                (row.end_day(), row.end_date),
                "{at}"
            );
            // Stores that are put in place of the same stores differ by a rounding.
            let allowed_kg = 1e-9 * row.need_kg;
            let off_kg = rest.need_kg - row.need_kg;
            assert!(off_kg.abs() < allowed_kg, "{at}: {off_kg}");
            if row.end_date.is_none() {
                let off_kg = fed.left_kg - row.left_kg;
                assert!(off_kg.abs() < allowed_kg, "{at}: {off_kg}");
            }
        }
    }
}

#[test]
fn stores_found_are_the_stores_that_go_on() {
    let rest = rest(found(Honey::Stores(4.0)), &[0.0, 1.0, 20.0]);
    assert!((rest.stores_kg - 4.0).abs() < 1e-9);
    let [scant, more, ample] = &rest.fed[..] else {
        panic!("{rest:?}");
    };
    assert_eq!(ample.end, End::Alive);
    assert!((4.0 + 20.0 - ample.left_kg - rest.need_kg).abs() < 1e-9);
    // 4 kg do not last for 60 days in a thin hive; a kilogram more does longer.
    assert_ne!(scant.end, End::Alive);
    assert!(more.end_day.unwrap_or(DAYS) > scant.end_day.expect("an end"));
    assert!(scant.end_day.expect("an end") >= DAY);
}

#[test]
fn a_weight_finds_the_same_honey_as_the_stores_that_make_it() {
    let by_stores = rest(found(Honey::Stores(6.0)), &[0.0]);
    let by_weight = rest(found(Honey::Gross(by_stores.gross_kg)), &[0.0]);
    // The two are led there from stores that differ a little, and so is the water in the wood.
    assert!(
        (by_weight.stores_kg - 6.0).abs() < 0.02,
        "{}",
        by_weight.stores_kg
    );
    assert!((by_weight.gross_kg - by_stores.gross_kg).abs() < 1e-9);
}

#[test]
fn a_weight_below_that_of_hive_and_bees_leaves_no_honey() {
    let rest = rest(found(Honey::Gross(10.0)), &[0.0]);
    assert_eq!(rest.stores_kg, 0.0);
    assert_eq!(rest.fed[0].end, End::StoresRanOut);
}

#[test]
fn bees_found_are_met() {
    for bees in [6_000.0, 9_000.0, 18_000.0] {
        let found = Found {
            bees: Some(bees),
            ..found(Honey::Stores(12.0))
        };
        let rest = rest(found, &[0.0]);
        assert!(
            (rest.bees / bees - 1.0).abs() < 1e-9,
            "{bees}: {}",
            rest.bees
        );
    }
}

#[test]
fn a_colony_that_has_starved_by_the_day_has_no_rest_unless_its_keeper_found_it_alive() {
    let mut member = member(thin_hive());
    member.colony = Colony {
        stores_kg: 2.0,
        ..member.colony
    };
    let forcing = sine_winter(DAYS);
    let rest = |honey| season::rest(&member, &SITE, &forcing, &found(honey), &[0.0]);
    assert_eq!(rest(Honey::Expected), Ok(None));
    let alive = rest(Honey::Stores(8.0)).expect("a winter").expect("alive");
    assert!((alive.stores_kg - 8.0).abs() < 1e-9);
}

#[test]
fn days_are_counted_through_new_year_and_a_leap_day() {
    let start = jiff::civil::date(2019, 10, 1);
    assert_eq!(day_of(start, (10, 1)), Some(0));
    assert_eq!(day_of(start, (1, 1)), Some(92));
    assert_eq!(day_of(start, (3, 1)), Some(92 + 31 + 29));
    assert_eq!(day_of(start, (2, 30)), None);
}
