//! What sun, sky and colour do to a hive: directions that physics fixes, and one wall solved by hand.

use approx::assert_relative_eq;
use overwinter::colony::Cluster;
use overwinter::hive::{Finish, Hive, Side, film};
use overwinter::parameter::Parameters;
use overwinter::season::{self, Balance, Ledger, LossPath, Solver, State, Weather};
use support::hives::{NO_SUN, SITE, foam_hive, member, painted, sine_winter, thin_hive};

/// A hive at rest under unchanging weather, and an hour of its ledger.
fn steady(hive: &Hive, weather: &Weather) -> (Balance, State, Ledger) {
    let p = Parameters::default();
    let mut balance = Balance::new(hive, 0.3, &SITE, &p);
    balance.set_colony(Cluster::new(1.7, 0.0, &p), 15.0);
    let mut state = balance.start(weather);
    let mut solver = Solver::default();
    let mut ledger = Ledger::default();
    for _ in 0..40 * 24 {
        ledger = Ledger::default();
        let ends = (weather, weather);
        solver
            .step(&balance, &mut state, ends, 3600.0, &mut ledger)
            .expect("a balance");
    }
    (balance, state, ledger)
}

const SUNNY: Weather = Weather {
    vapour_pa: 300.0,
    outside_c: -10.0,
    wind_m_s: 1.0,
    pressure_pa: 97_000.0,
    sun_w_m2: [600.0, 200.0, 80.0, 250.0, 300.0],
    sky_w_m2: 80.0,
    snow_m: 0.0,
};

/// By hand: a front of U between air at -10 degC and its sol-air temperature, which is air + absorptance x sun / film less the sky's half.
#[test]
fn a_wall_meets_its_sol_air_temperature() {
    let hive = painted(&thin_hive(), "dark");
    let (_, state, ledger) = steady(&hive, &SUNNY);
    let front_m2 = hive.cavity.width_m * hive.cavity.height_m();
    let wall = 0.019 / 0.13;
    let film_out = film::outside_w_m2k(SUNNY.wind_m_s, SUNNY.outside_c, 0.9);
    let sol_air_c = SUNNY.outside_c + (0.85 * 600.0 - 0.5 * 0.9 * 80.0) / film_out;
    let air_c = 0.5 * (state.upper_c + state.lower_c);
    // The film inside depends a little on both temperatures; the edges add some 3 %.
    let film_in = film::inside_w_m2k(film::Orientation::Vertical, air_c, air_c + 10.0);
    let u = 1.0 / (1.0 / film_in + wall + 1.0 / film_out);
    let by_hand_w = u * front_m2 * (air_c - sol_air_c);
    let lost_w = ledger.lost_j(LossPath::Front) / 3600.0;
    assert!(lost_w < 0.0, "the sun heats through the front");
    assert_relative_eq!(lost_w, by_hand_w, max_relative = 0.07);
}

#[test]
fn the_ledger_closes_with_sun_and_sky() {
    let (_, _, ledger) = steady(&painted(&thin_hive(), "black"), &SUNNY);
    assert!(ledger.imbalance().abs() < 1e-9);
    assert!(ledger.sun_and_sky_j > 0.0);
    let night = Weather {
        sun_w_m2: [0.0; 5],
        ..SUNNY
    };
    let (_, _, ledger) = steady(&painted(&thin_hive(), "black"), &night);
    assert!(ledger.imbalance().abs() < 1e-9);
    assert!(ledger.sun_and_sky_j < 0.0);
}

#[test]
fn black_is_never_colder_than_white_in_sun() {
    for hive in [thin_hive(), foam_hive()] {
        for share in [0.0, 0.3, 1.0] {
            let weather = Weather {
                sun_w_m2: SUNNY.sun_w_m2.map(|sun| share * sun),
                ..SUNNY
            };
            let (_, white, _) = steady(&painted(&hive, "white"), &weather);
            let (_, black, _) = steady(&painted(&hive, "black"), &weather);
            assert!(black.upper_c >= white.upper_c && black.lower_c >= white.lower_c);
            assert_eq!(
                share > 0.0,
                black.upper_c > white.upper_c + 0.01,
                "{}",
                hive.name
            );
        }
    }
}

#[test]
fn a_clear_sky_cools_a_hive_below_a_covered_one_and_bright_metal_feels_it_least() {
    let night = |sky_w_m2| Weather {
        sun_w_m2: [0.0; 5],
        sky_w_m2,
        ..SUNNY
    };
    let (_, covered, _) = steady(&painted(&thin_hive(), "white"), &night(0.0));
    let (_, clear, _) = steady(&painted(&thin_hive(), "white"), &night(90.0));
    let (_, metal, _) = steady(&painted(&thin_hive(), "bright-metal"), &night(90.0));
    assert!(clear.upper_c < covered.upper_c - 0.2);
    assert!(metal.upper_c > clear.upper_c);
}

#[test]
fn a_side_before_a_wall_sees_neither_sun_nor_sky() {
    let mut hive = painted(&thin_hive(), "black");
    hive.shaded_sides = Side::ALL.to_vec();
    hive.lid_finish = Finish {
        absorptance: 0.0,
        emissivity: 0.05,
    };
    let (_, shaded, _) = steady(&hive, &SUNNY);
    let overcast = Weather {
        sun_w_m2: [0.0; 5],
        sky_w_m2: 0.0,
        ..SUNNY
    };
    let (_, without, _) = steady(&hive, &overcast);
    // What little remains is the lid's last twentieth of the sky.
    assert!((shaded.upper_c - without.upper_c).abs() < 0.2);
}

#[test]
fn a_dark_thin_hive_saves_honey_in_a_sunny_winter_and_none_in_the_shade() {
    let winter = sine_winter(120);
    let used = |hive: Hive| {
        let outcome = season::run(&member(hive), &SITE, &winter).expect("a winter");
        outcome.used.heat_kg
    };
    let (white, dark) = (
        used(painted(&thin_hive(), "white")),
        used(painted(&thin_hive(), "dark")),
    );
    assert!(dark < 0.98 * white, "{dark} {white}");
    let shade = |name: &str| Hive {
        shaded_sides: Side::ALL.to_vec(),
        lid_finish: NO_SUN,
        ..painted(&thin_hive(), name)
    };
    assert_relative_eq!(
        used(shade("white")),
        used(shade("dark")),
        max_relative = 1e-9
    );
}
