//! The weight of a winter day by day against its parts.

use overwinter::hive::InForce;
use overwinter::season;
use support::hives::{SITE, foam_hive, member, sine_winter, thin_hive};

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
    assert!(water_kg > 0.0, "{water_kg}");
    // What the keeper weighs as tare shifts every weight alike.
    let sum_kg = member.hive.empty_kg(InForce::default(), &member.parameters);
    member.hive.tare_kg = Some(sum_kg + 3.0);
    let heavier = season::run(&member, &SITE, &sine_winter(90)).expect("a winter");
    for (with, without) in heavier.days.iter().zip(&outcome.days) {
        assert!((with.gross_kg - without.gross_kg - 3.0).abs() < 1e-9);
    }
}
