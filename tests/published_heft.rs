//! Weights of whole hives in autumn against what keepers are told to weigh, and the weight of a winter day by day against its parts.

mod common;

use common::{SITE, foam_hive, member, sine_winter, thin_hive};
use overwinter::hive::{Cavity, Hive, InForce};
use overwinter::parameter::Parameters;
use overwinter::season;

/// Bees of a colony that goes into winter as advised, kg: 1.4 to 2.3 kg are common (common practice).
const BEES_KG: f64 = 1.8;

/// Honey in a hive of that gross weight, kg.
fn honey_kg(hive: &Hive, gross_kg: f64) -> f64 {
    gross_kg - hive.empty_kg(InForce::default(), &Parameters::default()) - BEES_KG
}

/// Ontario's advice (read in the provincial note on fall feeding): a single brood chamber should weigh at least 31.9 kg (70 lb) before winter, a
/// double one 45.5 kg (100 lb), of which common practice takes 13 to 18 kg and 20 to 27 kg to be honey, lids and floors differing.
///
/// The model's hive of 19 mm softwood with flat lid and floor leaves 17.4 and 22.4 kg for honey: within the usual range, the single chamber at
/// its upper end. A yard's hive is heavier by cleats, rim, inner cover and a sheet-metal roof, some 2 to 4 kg, and leaves so much
/// less: that is what a tare is for.
#[test]
fn ontarios_least_gross_weights_leave_the_usual_honey() {
    let double = thin_hive();
    let single = Hive {
        cavity: Cavity {
            boxes: 1,
            ..double.cavity
        },
        ..double.clone()
    };
    let (one_kg, two_kg) = (honey_kg(&single, 31.9), honey_kg(&double, 45.5));
    println!("left for honey: {one_kg:.1} and {two_kg:.1} kg");
    assert!((13.0..18.0).contains(&one_kg), "{one_kg}");
    assert!((20.0..27.0).contains(&two_kg), "{two_kg}");
}

#[test]
fn weight_is_hive_and_bees_and_brood_and_honey_and_the_water_taken_up() {
    let member = member(foam_hive());
    let p = &member.parameters;
    let forcing = sine_winter(120);
    let (outcome, hours) = season::trace(&member, &SITE, &forcing).expect("a winter");
    let empty_kg = member.hive.empty_kg(InForce::default(), p);
    let mut shifts_kg = Vec::new();
    for (day, last) in outcome.days.iter().zip(hours.chunks(24).map(|day| day[23])) {
        let damp = &last.dampness;
        let films_kg = damp.lid.film_kg + damp.walls.film_kg + damp.floor.film_kg + damp.combs_kg;
        let colony_kg = day.bees * p.bee_mass_kg + day.brood * p.brood_cell_kg + day.stores_kg;
        let water_kg = day.gross_kg - empty_kg - colony_kg;
        shifts_kg.push(water_kg - films_kg - damp.layers_kg);
    }
    // What the layers hold at the start is counted in their densities: the same on all days.
    assert!(
        shifts_kg
            .iter()
            .all(|shift_kg| (shift_kg - shifts_kg[0]).abs() < 1e-9)
    );
    assert!(shifts_kg[0] < 0.0);
    let start_kg = outcome.bare_kg + member.colony.stores_kg;
    let bees_kg = member.colony.bees * p.bee_mass_kg;
    // The three days of settling before the start move some water already.
    assert!((start_kg - empty_kg - bees_kg - member.colony.stores_kg).abs() < 0.2);
}

/// In the model 19 mm of softwood takes up 1.7 kg of water in 90 damp days, a fifth of what the scale would show of honey. No published series
/// of hives with and without bees was at hand to hold it against.
#[test]
fn a_scale_under_the_hive_shows_the_honey_used_less_the_water_taken_up() {
    let mut member = member(thin_hive());
    let outcome = season::run(&member, &SITE, &sine_winter(90)).expect("a winter");
    let lost_kg = outcome.bare_kg + member.colony.stores_kg - outcome.days[89].gross_kg;
    let p = &member.parameters;
    let bees_kg = (member.colony.bees - outcome.bees) * p.bee_mass_kg;
    let brood_kg = outcome.days[89].brood * p.brood_cell_kg;
    let water_kg = outcome.used.total_kg() + bees_kg - brood_kg - lost_kg;
    // Vapour in the hive's air is in the ledger's storage and not on the scale: grams.
    let stored_kg = outcome.ledger.water.stored_kg;
    assert!(
        (water_kg - stored_kg).abs() < 3e-3,
        "{water_kg} {stored_kg}"
    );
    assert!((0.5..2.5).contains(&water_kg), "{water_kg}");
    // What the keeper weighs as tare shifts every weight alike.
    let sum_kg = member.hive.empty_kg(InForce::default(), &member.parameters);
    member.hive.tare_kg = Some(sum_kg + 3.0);
    let heavier = season::run(&member, &SITE, &sine_winter(90)).expect("a winter");
    for (with, without) in heavier.days.iter().zip(&outcome.days) {
        assert!((with.gross_kg - without.gross_kg - 3.0).abs() < 1e-9);
    }
}
