//! Small and big clusters against published measurements; `published_explained.rs` has what would explain where they differ.

mod common;

use approx::assert_relative_eq;
use common::{foam_hive, incubator, steady, thin_hive};
use overwinter::hive::Hive;
use overwinter::parameter::Parameters;
use overwinter::scenario::parse_hive;
use std::ops::Range;
use std::path::Path;

/// Southwick 1985, J Comp Physiol B 156:143 [read, abstract]: V_O2 = 22.69 m^-0.479 ml/g/h at 2 degC, m in g from 5 to 1,200; 21 J/ml.
const SOUTHWICK_EXPONENT: f64 = -0.479;

fn southwick_w_kg(bees_kg: f64) -> f64 {
    22.69 * (1000.0 * bees_kg).powf(SOUTHWICK_EXPONENT) * 21.0 / 3.6
}

fn w_kg(hive: &Hive, parameters: &Parameters, bees_kg: f64, outside_c: f64) -> f64 {
    let (balance, state) = steady(hive, parameters, bees_kg, outside_c, 0.0);
    balance.heat_made_w(&state) / bees_kg
}

fn within(value: f64, range: Range<f64>) {
    assert!(range.contains(&value), "{value} is not in {range:?}");
}

/// The exponent of mass between two clusters.
fn exponent(hive: &Hive, small_kg: f64, big_kg: f64, outside_c: f64) -> f64 {
    let at = |bees_kg| w_kg(hive, &Parameters::default(), bees_kg, outside_c);
    (at(big_kg) / at(small_kg)).ln() / (big_kg / small_kg).ln()
}

/// Published: a bee of a small cluster makes more heat; at 2 degC by m^-0.479 (Southwick 1985), 1.69 times as much in 1 kg as in 3 kg.
///
/// So it is in the model in every cold. In deep cold, where loss alone decides, by nearly as much as published (1.6 times at -20 degC in a thin hive, 1.7 in foam); at
/// 2 degC, where most bees only rest, far less (1.1 to 1.2 times). See the tests below.
#[test]
fn a_bee_of_a_small_cluster_makes_more_heat_than_one_of_a_big_one() {
    let published = 3.0_f64.powf(-SOUTHWICK_EXPONENT);
    within(published, 1.68..1.70);
    let p = Parameters::default();
    for (hive, mild, deep) in [
        (thin_hive(), 1.12..1.18, 1.55..1.66),
        (foam_hive(), 1.08..1.17, 1.68..1.80),
    ] {
        let ratio = |outside_c| w_kg(&hive, &p, 1.0, outside_c) / w_kg(&hive, &p, 3.0, outside_c);
        for outside_c in [5.0, 2.0, 0.0, -5.0, -10.0, -20.0, -30.0] {
            println!(
                "{} at {outside_c}: 1 kg makes {:.2} times the heat of 3 kg a bee",
                hive.name,
                ratio(outside_c)
            );
            assert!(ratio(outside_c) > 1.04, "{} at {outside_c}", hive.name);
        }
        within(ratio(2.0), mild);
        within(ratio(-20.0), deep);
    }
}

/// The model disagrees with Southwick's exponent: -0.29 from 0.1 to 1.2 kg (surface over mass gives -1/3), and -0.1 from 1 to 3 kg, beyond his range, where all
/// but a little is resting heat, 2.8 W/kg at 10 degC whatever the size. Extended to 3 kg his law gives 2.9 W/kg, the model 3.5.
#[test]
fn heat_falls_less_with_size_than_southwick_found() {
    within(exponent(&incubator(), 0.1, 1.2, 2.0), -0.31..-0.27);
    within(exponent(&incubator(), 1.0, 3.0, 2.0), -0.13..-0.08);
    within(southwick_w_kg(3.0), 2.8..2.9);
    within(
        w_kg(&incubator(), &Parameters::default(), 3.0, 2.0),
        3.4..3.55,
    );
}

/// Tightest cluster 0.10 W/kgK, clustering below 18 degC, tightest at -10 (Canadian federal wintering bulletin, Melathopoulos) [read];
/// whole-cluster estimates to about 0.2.
///
/// Over core less upper air the model's tight clusters have 0.10 W/kgK at 3 kg to 0.21 at 1 kg: the tightest is a big one. A cluster of 2 kg begins to draw together
/// with 17.5 degC round it (14.4 outside), has gone most of the way at 0 degC outside, and is tight at -10.
#[test]
fn tight_clusters_have_published_conductances_and_draw_together_where_published() {
    let p = Parameters::default();
    for (bees_kg, expected) in [(1.0, 0.215), (2.0, 0.156), (3.0, 0.104)] {
        let (balance, state) = steady(&thin_hive(), &p, bees_kg, -20.0, 0.0);
        let w_kgk = balance.heat_made_w(&state) / bees_kg / (state.core_c - state.upper_c);
        println!("{bees_kg} kg: {w_kgk:.3} W/kgK");
        assert_relative_eq!(w_kgk, expected, max_relative = 0.04);
    }
    let at = |outside_c| {
        let (_, state) = steady(&thin_hive(), &p, 2.0, outside_c, 0.0);
        (state.upper_c, state.tightness)
    };
    // Outside air at which the cluster begins to draw together; the air round it is warmer.
    let begins_c = (0..80)
        .map(|tenths| 20.0 - 0.1 * f64::from(tenths))
        .find(|outside_c| at(*outside_c).1 > 0.01)
        .expect("a beginning");
    let round_c = at(begins_c).0;
    println!("begins to draw together at {begins_c:.1} degC outside, {round_c:.1} round it");
    within(round_c, 17.0..18.2);
    within(at(-10.0).1, 0.98..1.01);
    within(at(-5.0).1, 0.95..1.0);
    within(at(0.0).1, 0.75..0.9);
}

/// Broodless core 21 degC in the mean, 12 to 33.5 (Seeley 2019, as quoted in the design).
///
/// The model disagrees for big clusters in deep cold: with 3 kg at -20 degC the core stands at 35. A core of 0.9 kg cannot give off its resting heat, which
/// rises with its temperature, through a tight mantle, and warms till the bees open it. A cluster that leads a little better (k 0.12 instead of 0.08 W/mK, inside the
/// range), or with less resting heat, has 21 to 22 degC.
#[test]
fn the_core_of_a_big_cluster_is_warmer_in_deep_cold_than_measured() {
    let core_c =
        |parameters: &Parameters| steady(&thin_hive(), parameters, 3.0, -20.0, 0.0).1.core_c;
    within(core_c(&Parameters::default()), 34.0..35.6);
    let leading = Parameters {
        cluster_conductivity_w_mk: 0.12,
        ..Parameters::default()
    };
    let idle = Parameters {
        resting_w_kg: 2.0,
        ..Parameters::default()
    };
    within(core_c(&leading), 20.0..23.0);
    within(core_c(&idle), 20.0..23.0);
}

fn over_mesh(floor: &str) -> Hive {
    let text = format!("[hive]\nfrom = 'thin-softwood-two-boxes'\nfloor = '{floor}'");
    parse_hive(&text, Path::new("case.toml")).expect("a hive")
}

/// Common practice, no source: a screened floor is partly closed when it gets colder than about 5 degC; some say that it warms the hive by as much.
///
/// The model disagrees with both. A board over half of the mesh warms the upper air by 0.5 to 0.9 K, one over all of it by 1.5 to 2.7 K. It costs honey down to
/// -2 degC, as cool bees make the least heat there, and spares it in the cold below, a tenth at -20 degC. That the least use lies too cold (`published_cluster.rs`)
/// explains the first; that combs and bees hold the air in the nest, which the two mixed zones do not know, may explain the second.
#[test]
fn a_board_under_the_mesh_warms_less_and_pays_in_deeper_cold_than_in_practice() {
    let p = Parameters::default();
    let [open, half, closed] =
        ["screened-open", "screened-half", "screened-with-board"].map(over_mesh);
    let of = |hive: &Hive, outside_c| {
        let (balance, state) = steady(hive, &p, 2.0, outside_c, 0.0);
        (balance.heat_made_w(&state), state.upper_c)
    };
    for outside_c in [5.0, -5.0, -20.0] {
        let [(_, open_c), (_, half_c), (_, closed_c)] =
            [&open, &half, &closed].map(|hive| of(hive, outside_c));
        println!(
            "at {outside_c}: half {:+.2} K, closed {:+.2} K",
            half_c - open_c,
            closed_c - open_c
        );
        within(half_c - open_c, 0.4..1.0);
        within(closed_c - open_c, 1.4..2.8);
    }
    let gain_w = |outside_c| of(&open, outside_c).0 - of(&closed, outside_c).0;
    let (mut cold_c, mut mild_c) = (-10.0, 5.0);
    assert!(gain_w(cold_c) > 0.0 && gain_w(mild_c) < 0.0);
    for _ in 0..12 {
        let mid_c = 0.5 * (cold_c + mild_c);
        if gain_w(mid_c) > 0.0 {
            cold_c = mid_c;
        } else {
            mild_c = mid_c;
        }
    }
    let spared = gain_w(-20.0) / of(&open, -20.0).0;
    println!("pays below {cold_c:.1} degC; {spared:.3} at -20");
    within(cold_c, -3.5..-1.0);
    within(spared, 0.085..0.11);
}
