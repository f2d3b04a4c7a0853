//! Which way a change of the hive or its colony must move the water in it, over hives as keepers build them.
//!
//! `SEARCH_CASES=2000 cargo test --release --test properties damp_directions -- --ignored --nocapture` searches wider.
//!
//! All in the dark, under a covered sky and in weather that holds still, where outside air always dries a hive that bees warm. Elsewhere
//! there are exceptions: a lid that a clear sky has cooled below the air, or a hive still cold on a warm day, takes up water from air that
//! comes in, so that a vent wets it; and sun on a damp lid drives water down out of the filling, which then condenses below.

use crate::sensible::{Days, Hour, bees_kg, days, hive, mean, open_lid, winter};
use overwinter::hive::{Hive, Layer, Opening, Vent};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use support::hives::layer;

/// Weather that holds still, with neither sun nor sky.
fn still() -> impl Strategy<Value = Days> {
    days().prop_map(|days| Days {
        day_k: 0.0,
        passing_k: 0.0,
        sun_w_m2: 0.0,
        sky_w_m2: 0.0,
        ..days
    })
}

/// The hive with all vents corked or open, and one more where it has none.
fn vented(hive: &Hive, corked: bool) -> Hive {
    let mut hive = hive.clone();
    if hive.vents.is_empty() {
        let opening = Opening {
            width_m: 0.02,
            height_m: 0.02,
        };
        hive.vents.push(Vent { opening, corked });
    }
    for vent in &mut hive.vents {
        vent.corked = corked;
    }
    hive
}

/// Share of its sorbed water that wood gives off for each kelvin that it is warmed in air of the same vapour pressure: saturation
/// pressure rises by 7 to 8.5 % a kelvin, and the wood's water by at most 0.7 % for each percent of humidity between 30 and 80 %.
const DRIED_BY_WARMTH_PER_K: f64 = 0.06;
/// Rounding, and what explicit coupling of water and heat leaves unsettled.
const NO_FALL: f64 = -1e-6;

/// By how much corking all vents raises, as shares in the mean of the winter, the upper air's vapour pressure and the hive's water; the
/// latter beyond what the warmth of the corked hive alone drives out.
fn corking(hive: &Hive, bees_kg: f64, days: Days) -> Vec<(&'static str, f64)> {
    let forcing = days.forcing();
    let (_, open) = winter(&vented(hive, false), bees_kg, &forcing);
    let (_, corked) = winter(&vented(hive, true), bees_kg, &forcing);
    let ratio = |of: fn(&Hour) -> f64| mean(&corked, of) / mean(&open, of);
    let warmer_k = mean(&corked, |hour| hour.upper_c) - mean(&open, |hour| hour.upper_c);
    let water = ratio(Hour::water_kg) - 1.0;
    vec![
        ("vapour of a corked hive", ratio(|hour| hour.upper_pa) - 1.0),
        (
            "water of a corked hive",
            water + DRIED_BY_WARMTH_PER_K * warmer_k.max(0.0),
        ),
    ]
}

/// How much more condensate, kg, a foil under the open lid of a hive lets hang there, in the mean and at most.
fn foil(hive: &Hive, lid: &[Layer], bees_kg: f64, days: Days) -> Vec<(&'static str, f64)> {
    let forcing = days.forcing();
    let under = |lid: Vec<Layer>| {
        let hive = Hive {
            lid,
            ..hive.clone()
        };
        let (_, hours) = winter(&hive, bees_kg, &forcing);
        let most_kg = hours
            .iter()
            .map(|hour| hour.dampness.lid.film_kg)
            .fold(0.0, f64::max);
        (mean(&hours, |hour| hour.dampness.lid.film_kg), most_kg)
    };
    let open = under(lid.to_vec());
    let tight = under([&[layer("aluminium", 0.0001)], lid].concat());
    vec![
        ("condensate under a foil in the mean, kg", tight.0 - open.0),
        ("condensate under a foil at most, kg", tight.1 - open.1),
    ]
}

/// By how much the water given off rises with the bees, as a share.
fn more_bees(hive: &Hive, bees_kg: f64, days: Days, times: f64) -> Vec<(&'static str, f64)> {
    let forcing = days.forcing();
    let made_kg = |bees_kg| winter(hive, bees_kg, &forcing).0.ledger.water.made_kg;
    vec![(
        "water of more bees",
        made_kg(times * bees_kg) / made_kg(bees_kg) - 1.0,
    )]
}

proptest! {
    #![proptest_config(ProptestConfig {
        // The same cases on every run, as in `properties`.
        rng_seed: RngSeed::Fixed(2_021),
        cases: if std::env::var_os("PROPTEST_CASES").is_some() { ProptestConfig::default().cases } else { 48 },
        ..ProptestConfig::default()
    })]

    #[test]
    fn corking_the_vents_does_not_dry_a_hive(hive in hive(), days in still(), bees_kg in bees_kg()) {
        for (what, margin) in corking(&hive, bees_kg, days) {
            prop_assert!(margin >= NO_FALL, "{what}: {margin}");
        }
    }

    #[test]
    fn no_more_water_hangs_under_a_lid_open_to_vapour_than_under_a_foil(
        hive in hive(), lid in open_lid(), days in still(), bees_kg in bees_kg()
    ) {
        for (what, margin) in foil(&hive, &lid, bees_kg, days) {
            prop_assert!(margin >= NO_FALL, "{what}: {margin}");
        }
    }

    #[test]
    fn more_bees_give_off_more_water(hive in hive(), days in days(), bees_kg in bees_kg(), times in 1.05..=2.0) {
        for (what, margin) in more_bees(&hive, bees_kg, days, times) {
            prop_assert!(margin > 0.0, "{what}: {margin}");
        }
    }
}

#[test]
#[ignore = "minutes long: a wide search that tells how near each direction comes to failing"]
fn a_wide_search_finds_no_damp_direction_turned_round() {
    let corked = crate::sensible::search((hive(), still(), bees_kg()), |(hive, days, bees_kg)| {
        corking(hive, *bees_kg, *days)
    });
    let foil = crate::sensible::search(
        (hive(), open_lid(), still(), bees_kg()),
        |(hive, lid, days, bees_kg)| foil(hive, lid, *bees_kg, *days),
    );
    let more = crate::sensible::search(
        (hive(), days(), bees_kg(), 1.05..=2.0),
        |(hive, days, bees_kg, times)| more_bees(hive, *bees_kg, *days, *times),
    );
    for (what, least) in corked.into_iter().chain(foil).chain(more) {
        assert!(least >= NO_FALL, "{what}: {least}");
    }
}
