//! Honey that whole winters take against published measurements and common practice: by the day, by the month, to first forage.
//!
//! Winters are made from invented normals in the manner of the place where was measured; hives are those of the library.

mod places;

use approx::assert_relative_eq;
use overwinter::colony::Placement;
use overwinter::colony::cluster::{mass_from_seams_kg, radius_m};
use overwinter::ensemble::{self, ColonySpread, MemberRow, Plan, Sampling};
use overwinter::hive::Hive;
use overwinter::parameter::{Parameters, find};
use overwinter::scenario::parse_hive;
use places::{Place, STORES_KG, mean};
use std::ops::Range;
use std::path::Path;

fn library(name: &str) -> Hive {
    parse_hive(&format!("[hive]\nfrom = '{name}'"), Path::new("case.toml")).expect("a hive")
}

const THIN: &str = "thin-softwood-two-boxes";
const FOAM: &str = "foam-two-boxes";

fn within(value: f64, range: Range<f64>) {
    assert!(range.contains(&value), "{value} is not in {range:?}");
}

/// Norrstrom et al. 2021, PLoS ONE 16:e0258398 [read, abstract]: 32 colonies in southern Sweden used 39 +- 13 g a day at a mean of 3.5 degC. That they were weighed, so
/// that water in the wood and dead bees are in the figure, is from memory; size of colonies and build of hives are not known to us.
///
/// Here whole winters of that mean with brood and flight: the published mean is that of 1.4 kg of bees (12,500), at the lower end of the 1.4 to 2.3 kg that are common; one
/// standard deviation spans 1.0 to 2.0 kg. On a scale thin wood shows 3 g a day less than the honey, as it takes up water, foam about the honey.
/// The model's colonies differ less, by 8 g with bees to 25 %: colonies of a trial differ more in size, or in what no parameter holds.
#[test]
fn a_swedish_winter_takes_what_was_measured_of_a_colony_of_common_size() {
    let place = Place::in_sweden("03-31");
    within(place.mean_c(), 3.2..3.8);
    let days = place.winters[0].days() as f64;
    for (name, used_g_day, lost_g_day) in [
        (THIN, [29.5, 38.5, 51.7], [26.6, 35.7, 49.1]),
        (FOAM, [29.4, 38.7, 52.7], [29.5, 38.9, 53.1]),
    ] {
        for (number, bees_kg) in [1.0, 1.4, 2.0].into_iter().enumerate() {
            let outcomes = place.run(&library(name), bees_kg);
            let used_kg = mean(&outcomes, |outcome| outcome.used.total_kg());
            let lost_kg = mean(&outcomes, |outcome| {
                outcome.bare_kg + STORES_KG - outcome.days[outcome.days.len() - 1].gross_kg
            });
            let [used, lost] = [used_kg, lost_kg].map(|kg| 1000.0 * kg / days);
            println!("{name}, {bees_kg} kg: {used:.1} g of honey a day, {lost:.1} g on a scale");
            assert_relative_eq!(used, used_g_day[number], max_relative = 0.03);
            assert_relative_eq!(lost, lost_g_day[number], max_relative = 0.03);
            within(used, 26.0..53.0);
        }
    }
    let plan = Plan {
        hive: library(THIN),
        site: place.site,
        colony: ColonySpread {
            bees: 12_500.0,
            bees_spread: 0.25,
            stores_kg: STORES_KG,
            stores_spread_kg: 0.0,
            placement: Placement::default(),
            feeds: vec![],
        },
        overrides: vec![],
        winters: place.winters,
        members: 80,
        seed: 1,
        sampling: Sampling::Plain,
        shared_draws: None,
        shared_sets: 100,
    };
    let rows = ensemble::run(&plan, &()).expect("an ensemble");
    let (rows, _) = rows.in_memory().expect("so few");
    let g_day = |row: &MemberRow| 1000.0 * row.need_kg / days;
    let middle = mean(rows, g_day);
    let spread = mean(rows, |row| (g_day(row) - middle).powi(2)).sqrt();
    println!("colonies drawn: {middle:.1} +- {spread:.1} g a day");
    within(middle, 36.0..42.0);
    within(spread, 7.0..10.5);
}

/// Common practice of central and northern Europe (from memory): 0.5 to 1 kg a month in November to January, 1 to 1.5 in February, 2 to 3 in March, 3 to 5 in April.
///
/// Agrees for 1.4 kg of bees; April is at the lower end.
#[test]
fn use_is_low_and_flat_to_january_and_rises_with_brood() {
    let place = Place::in_sweden("04-30");
    let (used_kg, _) = place.by_month(&place.run(&library(FOAM), 1.4));
    println!("October to April: {used_kg:.2?} kg");
    let [_, november, december, january, february, march, april, _] = used_kg;
    for midwinter in [november, december, january] {
        within(midwinter, 0.5..1.05);
    }
    within(february, 1.0..1.5);
    within(march, 1.9..3.0);
    within(april, 2.7..5.0);
}

/// USDA Production Research Report 169 (1977, as quoted in the design): 40.8 kg of honey in October are recommended in Wisconsin, most of which is eaten in spring brood rearing.
///
/// The model agrees that most is eaten in spring: 70 % after January, 60 % after February, though only a quarter is food of brood; the rest keeps it warm.
/// It disagrees on the sum: 3.0 to 3.6 kg of bees, strong colonies, eat 27 and 31 kg to 15 May, 10 to 14 kg less than advised. What would explain it: an advice
/// has a reserve for the worst colony and a late spring; colonies of that advice were given pollen and bred from midwinter on (from memory).
#[test]
fn most_is_eaten_in_spring_in_wisconsin_but_less_in_all_than_advised() {
    let place = Place::in_wisconsin();
    for (bees_kg, expected_kg) in [(3.0, 27.0), (3.6, 31.3)] {
        let outcomes = place.run(&library(THIN), bees_kg);
        let (used_kg, _) = place.by_month(&outcomes);
        let sum_kg: f64 = used_kg.iter().sum();
        let after_january = used_kg[4..].iter().sum::<f64>() / sum_kg;
        let after_february = used_kg[5..].iter().sum::<f64>() / sum_kg;
        let brood = mean(&outcomes, |outcome| outcome.used.brood_kg) / sum_kg;
        println!(
            "{bees_kg} kg: {used_kg:.2?}, {sum_kg:.1} kg; {after_january:.2} after January, {after_february:.2} after February; brood food {brood:.2}"
        );
        within(after_january, 0.66..0.74);
        within(after_february, 0.56..0.64);
        within(brood, 0.20..0.26);
        assert_relative_eq!(sum_kg, expected_kg, max_relative = 0.03);
    }
}

/// Common practice, no source: 9 to 14 kg are said to be enough in a well insulated hive; 45 kg are often advised for thin ones, which are said to winter badly north of 40 degrees.
///
/// The model agrees with the first (8 and 12 kg for 1.0 and 1.75 kg of bees to 20 April in the sample's winters) and disagrees with the second: thin
/// walls take as much, within 4 %, a third of what is advised. What would explain it: the bees' own shell, which the model takes to be sheltered by combs. With its film at the
/// top of its range, as Southwick's clusters ask for (`published_explained.rs`), a colony of 1.75 kg needs 14.7 kg in thin walls and 13.4 in foam. That is still far from 45 kg, which
/// holds a reserve and the weeks after 20 April: 22 kg is the need of the biggest cluster tried.
#[test]
fn an_insulated_hive_needs_what_practice_says_and_a_thin_one_a_third() {
    let place = Place::in_the_sample();
    let need_kg = |name, bees_kg| {
        mean(&place.run(&library(name), bees_kg), |outcome| {
            outcome.need_kg
        })
    };
    for (bees_kg, expected_kg) in [(1.0, 8.1), (1.75, 12.4), (3.6, 22.3)] {
        let (thin_kg, foam_kg) = (need_kg(THIN, bees_kg), need_kg(FOAM, bees_kg));
        println!("{bees_kg} kg: thin {thin_kg:.1}, foam {foam_kg:.1} kg");
        assert_relative_eq!(thin_kg, expected_kg, max_relative = 0.03);
        within(foam_kg / thin_kg, 0.96..1.03);
    }
    let bare = Parameters {
        tight_film_w_m2k: find("tight_film_w_m2k").expect("a parameter").high,
        ..Parameters::default()
    };
    let with_less_shelter = |name| {
        let outcomes = place.run_with(&library(name), 1.75, &bare);
        mean(&outcomes, |outcome| outcome.need_kg)
    };
    let (thin_kg, foam_kg) = (with_less_shelter(THIN), with_less_shelter(FOAM));
    println!("less shelter: thin {thin_kg:.1}, foam {foam_kg:.1} kg");
    within(thin_kg, 14.2..15.2);
    within(foam_kg / thin_kg, 0.88..0.94);
}

/// Small clusters use more a bee (Southwick 1985 and common practice); in still air of 2 degC 1.69 times as much in 1 kg as in 3 kg, by Southwick's law.
///
/// Over a winter of the sample 1 kg of bees uses 1.26 times as much a bee as 3 kg, in foam 1.23 times: less, as most of it goes at rest or for brood.
#[test]
fn a_bee_of_a_small_colony_uses_more_over_a_winter() {
    let place = Place::in_the_sample();
    for name in [THIN, FOAM] {
        let a_kg = |bees_kg| {
            mean(&place.run(&library(name), bees_kg), |outcome| {
                outcome.used.total_kg() / bees_kg
            })
        };
        let ratio = a_kg(1.0) / a_kg(3.0);
        println!(
            "{name}: {:.2} and {:.2} kg a kilogram of bees, {ratio:.2} times",
            a_kg(1.0),
            a_kg(3.0)
        );
        within(ratio, 1.20..1.30);
    }
}

/// Two Czech hives on scales (project note) [read]: 5 to 8 W, 33 to 50 g a day. Ontario [read]: feed at once when stores fall below 10 kg.
///
/// Agrees: in the sample's November to January 1.5 to 2.2 kg of bees make 5.6 to 7.2 W from 38 to 49 g a day; from 1 March to first forage no colony up to 3 kg of bees
/// needs more than 10 kg.
#[test]
fn midwinter_heat_and_what_is_left_on_the_first_of_march_are_as_on_scales() {
    let place = Place::in_the_sample();
    let hive = library(THIN);
    for bees_kg in [1.5, 2.2] {
        let outcomes = place.run(&hive, bees_kg);
        let heat_w = mean(&outcomes, |outcome| {
            mean(&outcome.days[31..123], |day| day.heat_w)
        });
        let g_day = mean(&outcomes, |outcome| {
            1000.0 * (outcome.days[122].used_kg - outcome.days[30].used_kg) / 92.0
        });
        println!("{bees_kg} kg: {heat_w:.2} W, {g_day:.1} g a day");
        within(heat_w, 5.0..8.0);
        within(g_day, 33.0..50.5);
    }
    let spring_kg = |bees_kg| {
        mean(&place.run(&hive, bees_kg), |outcome| {
            outcome.used.total_kg() - outcome.days[150].used_kg
        })
    };
    println!(
        "from March: {:.1}, {:.1} kg",
        spring_kg(1.75),
        spring_kg(3.0)
    );
    within(spring_kg(1.75), 4.9..5.6);
    within(spring_kg(3.0), 7.9..9.0);
}

/// 1 W is 6.75 g of honey a day at 12.8 MJ/kg [computed]; 4,000 bees a pound, 113 mg each [read]; six seams on a 35 mm pitch are 210 mm [computed].
#[test]
fn a_watt_a_bee_and_six_seams_are_what_is_said() {
    let p = Parameters::default();
    let g_day = 86_400.0 / p.honey_heat_j_kg * 1000.0;
    assert!((g_day - 6.75).abs() < 0.005, "{g_day}");
    let pound_kg = 0.453_592_37;
    assert_relative_eq!(pound_kg / p.bee_mass_kg, 4_000.0, max_relative = 0.005);
    let hive = library(THIN);
    let tight_kg = mass_from_seams_kg(6.0, hive.comb_pitch_m, p.tight_density_kg_m3);
    assert_relative_eq!(
        2.0 * radius_m(tight_kg, p.tight_density_kg_m3),
        0.21,
        max_relative = 1e-9
    );
}
