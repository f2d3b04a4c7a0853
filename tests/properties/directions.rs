//! Which way a change of the hive or its place must move the heat that a colony needs, over hives as keepers build them.
//!
//! `SEARCH_CASES=2000 cargo test --release --test properties directions -- --ignored --nocapture` searches wider and says how near it came.
//!
//! Where physics knows exceptions, and so no law is tested: above the point of least use, where a warmer cluster spreads and burns more; in
//! sun, which insulation keeps out as well; under a clear sky, which cools a lid below the air, so that wind warms it; and for single nights after sun,
//! in which the wetter walls of a white hive freeze and so hold its air near 0 degC while that of a black one falls on (2.5 K for an hour seen, at
//! sixteen steps an hour as well).

use crate::sensible::{
    Cold, Days, Hour, bees_kg, broodless, cold, days, heat_at_rest_w, hive, insulation, mean,
    winter_of,
};
use overwinter::hive::{Floor, Hive, Joints, Layer};
use overwinter::parameter::Parameters;
use overwinter::season::{Site, Weather};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use support::hives::{SITE, painted, thin_hive};

/// One colony in one hive in dark, steady cold.
#[derive(Clone, Debug)]
struct Case {
    hive: Hive,
    cold: Cold,
    bees_kg: f64,
    /// Laid on the outside.
    board: Layer,
    /// Wider, windier or less sheltered.
    times: f64,
}

fn case() -> impl Strategy<Value = Case> {
    (hive(), cold(), bees_kg(), insulation(), 1.1..=3.0).prop_map(
        |(hive, cold, bees_kg, board, times)| Case {
            hive,
            cold,
            bees_kg,
            board,
            times,
        },
    )
}

/// A hive where it stands.
type Place<'a> = (&'a Hive, &'a Site, Cold);

/// How much more the colony needs in the `harder` place than in the `easier`, as a share; nothing where the easier one is so mild that the need does not
/// fall all the way from [`COLDER_K`] to a little milder: on the way a large, well packed colony may pass from shivering to spreading.
fn rise((harder, easier): (Place, Place), bees_kg: f64) -> Option<f64> {
    let p = Parameters::default();
    let heat_w = |(hive, site, cold): Place, milder_k: f64| {
        let outside_c = cold.outside_c + milder_k;
        let weather = Cold { outside_c, ..cold }.weather();
        heat_at_rest_w(hive, &p, site, bees_kg, &weather)
    };
    let (harder_w, easier_w) = (heat_w(harder, 0.0), heat_w(easier, 0.0));
    let mut milder_k = (-COLDER_K..=2).step_by(2);
    let first_w = heat_w(easier, f64::from(-COLDER_K - 2));
    milder_k
        .try_fold(first_w, |colder_w, milder_k| {
            let here_w = heat_w(easier, f64::from(milder_k));
            (here_w < colder_w).then_some(here_w)
        })
        .map(|_| harder_w / easier_w - 1.0)
}

/// What no board here is worth, K outside.
const COLDER_K: i32 = 8;

/// A rise that is one, but for what a thick hive still drifts after 40 days.
const NO_FALL: f64 = -1e-6;

/// What must not make the colony need less heat: its name, and by how much it rises. Without the openings or layers that a hive lacks.
fn rises(case: &Case) -> Vec<(&'static str, f64)> {
    let Case {
        hive,
        cold,
        bees_kg,
        board,
        times,
    } = case;
    let mut rises = Vec::new();
    let mut compare = |name, harder: Place, easier: Place| {
        rises.extend(rise((harder, easier), *bees_kg).map(|rise| (name, rise)));
    };
    let here: Place = (hive, &SITE, *cold);
    let with = |change: &dyn Fn(&mut Hive)| {
        let mut changed = hive.clone();
        change(&mut changed);
        changed
    };

    let boarded = with(&|hive| hive.wall.push(board.clone()));
    compare("walls without a board", here, (&boarded, &SITE, *cold));
    let boarded = with(&|hive| hive.lid.push(board.clone()));
    compare("a lid without a board", here, (&boarded, &SITE, *cold));
    if hive.floor.board().is_some() {
        let boarded = with(&|hive| {
            if let Some(layers) = hive.floor.board_mut() {
                layers.push(board.clone());
            }
        });
        compare("a floor without a board", here, (&boarded, &SITE, *cold));
    }

    let wind_m_s = times * cold.wind_m_s;
    compare("wind", (hive, &SITE, Cold { wind_m_s, ..*cold }), here);
    let shelter = SITE.shelter / times;
    let sheltered = Site { shelter, ..SITE };
    compare("less shelter", here, (hive, &sheltered, *cold));

    let wider = with(&|hive| hive.entrances[0].width_m *= times);
    compare("a wider entrance", (&wider, &SITE, *cold), here);
    if !hive.upper_entrances.is_empty() {
        let wider = with(&|hive| hive.upper_entrances[0].width_m *= times);
        compare("a wider upper entrance", (&wider, &SITE, *cold), here);
    }
    if let Some(open) = hive.vents.iter().position(|vent| !vent.corked) {
        let wider = with(&|hive| hive.vents[open].opening.width_m *= times);
        compare("a wider vent", (&wider, &SITE, *cold), here);
        let corked = with(&|hive| hive.vents[open].corked = true);
        compare("an uncorked vent", here, (&corked, &SITE, *cold));
    }
    if hive.floor.free_share() > 0.0 {
        let wider = with(&|hive| {
            if let Floor::Screened { free_share, .. } = &mut hive.floor {
                *free_share = (*free_share * times).min(0.95);
            }
        });
        compare("a more open mesh", (&wider, &SITE, *cold), here);
    }
    rises
}

/// By how much black is warmer than white in the upper and the lower air, whichever gains less, in the mean of the `hours` on end in which it gains least, K.
fn warmer_k(hive: &Hive, bees_kg: f64, days: Days, hours: usize, parameters: &Parameters) -> f64 {
    let forcing = days.forcing();
    let run = |name| winter_of(&painted(hive, name), bees_kg, &forcing, parameters).1;
    let (white, black) = (run("white"), run("black"));
    let least_k = |of: fn(&Hour) -> f64| {
        let on_end = black.windows(hours).zip(white.windows(hours));
        on_end
            .map(|(black, white)| mean(black, of) - mean(white, of))
            .fold(f64::INFINITY, f64::min)
    };
    least_k(|hour| hour.upper_c).min(least_k(|hour| hour.lower_c))
}

/// A winter in which water takes and gives no heat.
fn dry_heat() -> Parameters {
    Parameters {
        vaporisation_j_kg: 0.0,
        fusion_j_kg: 0.0,
        ..broodless()
    }
}

/// Without heat of water: rounding of the solver's Newton iterations.
const ROUNDING_K: f64 = 1e-6;

proptest! {
    #![proptest_config(ProptestConfig {
        // The same cases on every run, as in `properties`.
        rng_seed: RngSeed::Fixed(2_021),
        cases: if std::env::var_os("PROPTEST_CASES").is_some() { ProptestConfig::default().cases } else { 32 },
        ..ProptestConfig::default()
    })]

    #[test]
    fn in_the_dark_and_cold_neither_less_insulation_nor_wind_nor_a_wider_opening_spares_heat(case in case()) {
        let rises = rises(&case);
        prop_assume!(!rises.is_empty());
        for (what, rise) in rises {
            prop_assert!(rise >= NO_FALL, "{what}: {rise}");
        }
    }

    // The same for one hive under steady sun by hand: `sun_and_sky`.
    #[test]
    fn over_weeks_of_sun_a_black_hive_is_no_colder_than_a_white_one(
        hive in hive(), days in days(), bees_kg in bees_kg()
    ) {
        let least_k = warmer_k(&hive, bees_kg, days, days.days * 24, &broodless());
        prop_assert!(least_k >= 0.0, "{least_k} K");
    }

    #[test]
    fn without_heat_of_water_a_black_hive_is_at_no_hour_colder_than_a_white_one(
        hive in hive(), days in days(), bees_kg in bees_kg()
    ) {
        let least_k = warmer_k(&hive, bees_kg, days, 1, &dry_heat());
        prop_assert!(least_k >= -ROUNDING_K, "{least_k} K");
    }
}

/// The exception: what a clear night takes from thin walls is more than they lose to the air, and wind gives it back.
#[test]
fn under_a_clear_sky_wind_spares_a_thin_tight_hive_heat() {
    let hive = Hive {
        joints: Joints::Tight,
        ..painted(&thin_hive(), "white")
    };
    let heat_w = |wind_m_s: f64, sky_w_m2: f64| {
        let night = Weather {
            sky_w_m2,
            ..Cold {
                outside_c: -15.0,
                wind_m_s,
                humidity: 0.8,
            }
            .weather()
        };
        heat_at_rest_w(&hive, &Parameters::default(), &SITE, 1.5, &night)
    };
    assert!(heat_w(6.0, 0.0) > 1.01 * heat_w(0.0, 0.0));
    assert!(
        heat_w(6.0, 100.0) < 0.99 * heat_w(0.0, 100.0),
        "{} {}",
        heat_w(6.0, 100.0),
        heat_w(0.0, 100.0)
    );
}

#[test]
#[ignore = "minutes long: a wide search that tells how near each direction comes to failing"]
fn a_wide_search_finds_no_direction_turned_round() {
    let directions = crate::sensible::search(case(), rises);
    let black = crate::sensible::search((hive(), days(), bees_kg()), |(hive, days, bees_kg)| {
        let least_k = |hours, parameters| warmer_k(hive, *bees_kg, *days, hours, parameters);
        vec![
            ("black over weeks, K", least_k(days.days * 24, &broodless())),
            (
                "black without heat of water, K",
                least_k(1, &dry_heat()) + ROUNDING_K,
            ),
        ]
    });
    for (what, least) in directions.into_iter().chain(black) {
        assert!(least >= NO_FALL, "{what}: {least}");
    }
}
