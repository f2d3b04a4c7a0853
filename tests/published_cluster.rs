//! The colony's heat against the design's table and published measurements.

mod common;

use common::{foam_hive, incubator, steady, thin_hive};
use overwinter::colony::Cluster;
use overwinter::hive::Hive;
use overwinter::parameter::{Parameters, find};

/// Wind at the hive that gives the outside surface its standard resistance of 0.04 m2K/W (ISO 6946), m/s.
const STANDARD_WIND_M_S: f64 = 4.0;
/// Grams of honey a day for a watt, at 12.8 MJ/kg.
const G_DAY_W: f64 = 6.75;

fn heat_w(hive: &Hive, parameters: &Parameters, bees_kg: f64, outside_c: f64, wind: f64) -> f64 {
    let (balance, state) = steady(hive, parameters, bees_kg, outside_c, wind);
    balance.heat_made_w(&state)
}

const OUTSIDE_C: [f64; 8] = [10.0, 4.0, 0.0, -5.0, -10.0, -20.0, -30.0, -40.0];
const THIN_W: [f64; 8] = [7.8, 7.4, 6.8, 6.8, 8.9, 12.9, 17.0, 21.1];
const FOAM_W: [f64; 8] = [8.0, 7.8, 7.5, 6.8, 6.9, 10.1, 13.3, 16.5];

/// The prototype's table, 2 kg of bees in two-box hives. It holds with the standard outside resistance of 0.04 m2K/W and without joints,
/// of which the prototype knew nothing.
#[test]
fn two_kilograms_of_bees_make_the_heat_of_the_design_table() {
    let sealed = Parameters {
        joint_gap_m: 0.0,
        ..Parameters::default()
    };
    for (hive, table) in [(thin_hive(), THIN_W), (foam_hive(), FOAM_W)] {
        for (outside_c, expected_w) in OUTSIDE_C.into_iter().zip(table) {
            let made_w = heat_w(&hive, &sealed, 2.0, outside_c, STANDARD_WIND_M_S);
            let off = made_w / expected_w - 1.0;
            assert!(off.abs() < 0.05, "{} at {outside_c}: {made_w} W", hive.name);
        }
    }
}

/// In truly still air the outside film of a thin hive is three times as resistive, 0.12 m2K/W, and deep cold costs less.
#[test]
fn still_air_spares_a_thin_hive_some_heat_in_deep_cold() {
    let p = Parameters::default();
    for outside_c in [-10.0, -20.0, -30.0, -40.0] {
        let still = heat_w(&thin_hive(), &p, 2.0, outside_c, 0.0);
        let windy = heat_w(&thin_hive(), &p, 2.0, outside_c, STANDARD_WIND_M_S);
        let spared = 1.0 - still / windy;
        assert!((0.02..0.05).contains(&spared), "{outside_c}: {spared}");
    }
}

/// Southwick 1985, J Comp Physiol B 156:143: V_O2 = 22.69 m^-0.479 ml/g/h at 2 degC (m in g) [read, abstract]; 21 J/ml.
/// At 1.2 kg that is 4.4-4.5 W/kg. The default parameters give some 15 % less; the published value lies inside the spread
/// of film and resting heat that the ensemble draws.
#[test]
fn a_cluster_in_air_of_two_degrees_brackets_southwick() {
    let published_w_kg = 22.69 * 1200.0_f64.powf(-0.479) * 21.0 / 3.6;
    assert!((published_w_kg - 4.45).abs() < 0.05);
    let incubator = incubator();
    let w_kg = |parameters: &Parameters| {
        let (balance, state) = steady(&incubator, parameters, 1.2, 2.0, 0.0);
        assert!(
            (state.upper_c - 2.0).abs() < 0.2,
            "air at {}",
            state.upper_c
        );
        balance.heat_made_w(&state) / 1.2
    };
    let mid = w_kg(&Parameters::default());
    assert!((3.5..4.5).contains(&mid), "{mid}");
    let with = |film: f64, resting: f64| Parameters {
        tight_film_w_m2k: film,
        resting_w_kg: resting,
        ..Parameters::default()
    };
    let row = |name| find(name).expect("a parameter");
    let (film, resting) = (row("tight_film_w_m2k"), row("resting_w_kg"));
    let least = w_kg(&with(film.low, resting.low));
    let most = w_kg(&with(film.high, resting.high));
    println!("1.2 kg: {mid:.2} W/kg, {least:.2} to {most:.2}");
    assert!(least < published_w_kg && published_w_kg < most);
}

/// Southwick's law spans 5 g to 1.2 kg. The model's small clusters burn too little: by 29 % at 0.6 kg, 37 % at 0.3 kg and 47 % at 0.1 kg, so it
/// is kind to small colonies. This test keeps the disagreement in sight.
#[test]
fn small_clusters_burn_less_than_southwick_found() {
    for (bees_kg, lowest, highest) in [(0.6, 0.24, 0.34), (0.3, 0.32, 0.42), (0.1, 0.42, 0.52)] {
        let published_w_kg = 22.69 * (1000.0_f64 * bees_kg).powf(-0.479) * 21.0 / 3.6;
        let (balance, state) = steady(&incubator(), &Parameters::default(), bees_kg, 2.0, 0.0);
        let made_w_kg = balance.heat_made_w(&state) / bees_kg;
        let short = 1.0 - made_w_kg / published_w_kg;
        println!("{bees_kg} kg: {made_w_kg:.1} W/kg, {published_w_kg:.1} published");
        assert!((lowest..highest).contains(&short), "{bees_kg} kg: {short}");
    }
}

/// Seeley 2019 (as quoted in the design): with -21 degC outside, -21 at the nest's bottom and -1 round the cluster. Warm above cold is
/// reproduced; the model's thin hive is colder round the cluster (-15) and its lower air, a mean of the lower half, warmer (-18).
/// This test keeps the disagreement in sight.
#[test]
fn a_nest_is_warm_round_the_cluster_and_cold_below_but_less_than_seeley_found() {
    let (_, thin) = steady(&thin_hive(), &Parameters::default(), 2.0, -21.0, 0.0);
    let (_, foam) = steady(&foam_hive(), &Parameters::default(), 2.0, -21.0, 0.0);
    for state in [&thin, &foam] {
        println!(
            "lower {:.1}, upper {:.1} degC",
            state.lower_c, state.upper_c
        );
        assert!(-21.0 < state.lower_c && state.lower_c + 2.0 < state.upper_c);
    }
    assert!((-17.5..-14.0).contains(&thin.upper_c), "{}", thin.upper_c);
    assert!((-12.5..-9.0).contains(&foam.upper_c), "{}", foam.upper_c);
    assert!((-20.0..-17.0).contains(&thin.lower_c), "{}", thin.lower_c);
}

/// Norrstrom et al. 2021, PLoS ONE 16:e0258398 [read, abstract]: 32 Swedish colonies used 39 +- 13 g a day at a mean of 3.5 degC.
#[test]
fn clusters_of_the_swedish_trial_use_its_honey() {
    let mut sum_g = 0.0;
    for bees_kg in [1.2, 1.4, 1.6] {
        for hive in [thin_hive(), foam_hive()] {
            let w = heat_w(&hive, &Parameters::default(), bees_kg, 3.5, 1.0);
            let g_day = w * G_DAY_W;
            sum_g += g_day / 6.0;
            assert!(
                (g_day - 39.0).abs() < 13.0,
                "{bees_kg} kg, {}: {g_day} g",
                hive.name
            );
        }
    }
    // The mean of 32 colonies is known to 13 / sqrt 32 = 2.3 g; two of that.
    assert!((sum_g - 39.0).abs() < 4.6, "{sum_g}");
}

/// Severson & Erickson 1990 (as quoted in the design): from 4 to -23 degC a cluster's volume falls 55 %, its surface 40 %.
///
/// The model disagrees: it gives some 38 % and 27 %, because at 4 degC its cluster has drawn two thirds of the way together
/// already. This test keeps the disagreement in sight.
#[test]
fn a_cluster_shrinks_less_than_severson_and_erickson_saw() {
    let p = Parameters::default();
    let radius_m = |outside_c: f64| {
        let (_, state) = steady(&thin_hive(), &p, 2.0, outside_c, 0.0);
        Cluster::new(2.0, 0.0, &p).radius_m(state.tightness)
    };
    let ratio = radius_m(-23.0) / radius_m(4.0);
    let (volume_fall, surface_fall) = (1.0 - ratio.powi(3), 1.0 - ratio.powi(2));
    println!("volume falls by {volume_fall:.2}, surface by {surface_fall:.2}");
    assert!((0.33..0.43).contains(&volume_fall), "{volume_fall}");
    assert!((0.23..0.31).contains(&surface_fall), "{surface_fall}");
}

/// Seeley 2019 (as quoted in the design): broodless core 21 degC in the mean, 12 to 33.5; mantle about 10.
#[test]
fn core_and_mantle_in_the_cold_have_published_temperatures() {
    for outside_c in [-30.0, -20.0, -10.0] {
        let (_, state) = steady(&thin_hive(), &Parameters::default(), 2.0, outside_c, 0.0);
        println!(
            "at {outside_c}: core {:.1}, mantle {:.1} degC",
            state.core_c, state.mantle_c
        );
        assert!((18.0..26.0).contains(&state.core_c), "{}", state.core_c);
        assert!((9.0..12.0).contains(&state.mantle_c), "{}", state.mantle_c);
    }
}

/// Published: least use with 5-10 degC round the cluster (as quoted in the design).
///
/// The model's minimum is flat and lies lower, at 0 to -2 degC round the cluster; with 5 degC outside it makes 14 to 17 % more heat
/// than at the minimum. This test keeps the disagreement in sight.
#[test]
fn the_least_use_is_flat_and_colder_than_published() {
    for (bees_kg, lowest_c, highest_c) in [(2.0, -1.0, 1.0), (1.2, -2.0, 0.0)] {
        let at = |outside_c: i32| {
            let outside_c = f64::from(outside_c);
            let (balance, state) = steady(
                &thin_hive(),
                &Parameters::default(),
                bees_kg,
                outside_c,
                0.0,
            );
            (balance.heat_made_w(&state), state.upper_c)
        };
        let (least_w, air_c) = (-12..=16)
            .map(at)
            .min_by(|a, b| a.0.total_cmp(&b.0))
            .expect("a least use");
        assert!((lowest_c..highest_c).contains(&air_c), "{bees_kg}: {air_c}");
        let more = at(5).0 / least_w - 1.0;
        println!(
            "{bees_kg} kg: least {least_w:.2} W with {air_c:.1} degC round it, {more:.2} more at 5 degC outside"
        );
        assert!((0.12..0.19).contains(&more), "{more}");
    }
}
