//! Hives of the library against published and customary conductances.
//!
//! Surfaces are summed with their edges at 10 degC inside and -10 degC outside, without openings: in still air, and with the 4 m/s that
//! give ISO 6946 its outside resistance of 0.04 m2K/W. No build is tuned to a published figure; a known miss is listed with its size, printed, and kept in
//! `tests/regression/own_figures.rs`.

use approx::assert_relative_eq;
use overwinter::hive::film::Orientation;
use overwinter::hive::{Chain, Face, Side, Zone};
use std::ops::RangeInclusive;
use support::figures::{
    LARCH, SMALL, STANDARD_WIND_M_S, STILL_M_S, THICK_LOG, UPPER_THIRD, above_the_floor_w_k, hive,
    surfaces_w_k,
};

/// A wintering colony of middling size, kg.
const BEES_KG: f64 = 2.0;

fn within(value: f64, range: RangeInclusive<f64>) {
    assert!(range.contains(&value), "{value} is not in {range:?}");
}

/// Two thin boxes 2.5-4 W/K (Mitchell 2016, Int J Biometeorol 60:629 [read], and the ISO sum of 3.7 with a bare lid board [computed]);
/// two boxes of foam 0.9-1.3 [common practice].
#[test]
fn thin_and_foam_hives_lose_what_is_customary() {
    for wind_m_s in [STILL_M_S, STANDARD_WIND_M_S] {
        for name in ["thin-softwood-two-boxes", "foam-two-boxes"] {
            let w_k = surfaces_w_k(&format!("from = '{name}'"), wind_m_s);
            println!("{name} at {wind_m_s} m/s: {w_k:.2} W/K");
        }
        within(
            surfaces_w_k("from = 'thin-softwood-two-boxes'", wind_m_s),
            2.5..=4.0,
        );
        within(surfaces_w_k("from = 'foam-two-boxes'", wind_m_s), 0.9..=1.3);
        within(
            surfaces_w_k("from = 'sandwich-two-boxes'", wind_m_s),
            0.9..=1.3,
        );
    }
}

/// "Two-box 25 mm larch with a shavings quilt 0.75-0.86 W/K" (web note) [read].
///
/// Known miss: the sum of such a hive's surfaces cannot be that. 25 mm of softwood between standard films is U = 1 / (0.13 + 0.025 / 0.13 + 0.04) = 2.76
/// W/m2K, the walls of two ten-frame deep boxes are 0.82 m2, so the walls alone pass 2.3 W/K, with edges, quilt and floor 2.8. What the note may have counted:
/// - a small box: two of 300 by 300 by 210 mm pass 1.7 W/K, still twice the note;
/// - of those the box round the cluster and the quilt, nothing below: 0.79 W/K, inside the note's range. This is thought the likeliest;
/// - still air and combs before the walls of the ten-frame hive: 0.8 W/K over its 1.17 m2 would take 0.97 m2K/W more than is there, as much as
///   24 mm of air that neither moves nor radiates, or five closed air gaps in a row. Not likely.
#[test]
fn a_published_larch_hive_with_a_quilt_is_its_upper_box_alone() {
    let two_small = format!("{LARCH}\n{SMALL}");
    println!(
        "known miss: two deep boxes {:.2} W/K, two small ones {:.2} W/K, 0.75 to 0.86 published",
        surfaces_w_k(LARCH, STANDARD_WIND_M_S),
        surfaces_w_k(&two_small, STANDARD_WIND_M_S)
    );
    let one = format!("{two_small}\nboxes = 1");
    within(above_the_floor_w_k(&one, STANDARD_WIND_M_S), 0.75..=0.86);
}

/// Common hives lose 4-7 times the heat of a tree cavity; mass over conductance below 0.8 kgK/W in wood, above 5 in trees (Mitchell 2016)
/// [read]. The thin hive agrees with 2 kg of bees.
///
/// Known miss: the whole log does not, at any thickness of wall that trees have: two
/// boxes lose 2.3 times as much as 100 mm of wood round 46 l, 2.8 times as much as 150 mm; 2 kg over that is 1.7 and 2.1. A tall cavity
/// has 0.9 m2 of wall, and wood leads 0.13 W/mK. What the published figures count is nearer to the part that bees warm: the upper third of the
/// cavity, 370 mm behind 150 mm of wood with the top and nothing below, has 5.5 kgK/W and a seventh of the thin hive's loss. The season's
/// two zones of air give the lower half its own, colder air; a winter in a log is not run on the whole's conductance.
#[test]
fn a_hollow_log_is_a_tree_cavity_in_its_upper_third() {
    let thin_w_k = surfaces_w_k("from = 'thin-softwood-two-boxes'", STILL_M_S);
    println!("thin {thin_w_k:.2} W/K, {:.2} kgK/W", BEES_KG / thin_w_k);
    assert!(BEES_KG / thin_w_k < 0.8);
    for log in ["from = 'hollow-log'", THICK_LOG] {
        let log_w_k = surfaces_w_k(log, STILL_M_S);
        println!(
            "known miss: thin over log {:.2}, 4 to 7 published; log {:.2} kgK/W, over 5 published",
            thin_w_k / log_w_k,
            BEES_KG / log_w_k
        );
    }
    let upper_w_k = above_the_floor_w_k(UPPER_THIRD, STILL_M_S);
    println!(
        "upper third {:.2} kgK/W, thin over it {:.2}",
        BEES_KG / upper_w_k,
        thin_w_k / upper_w_k
    );
    assert!(BEES_KG / upper_w_k > 5.0);
    assert!(thin_w_k / upper_w_k > 4.0);
}

/// A pipe passes `2 pi k L / ln(r2 / r1)` (any textbook of heat transfer). The square of equal area has the volume of the round cavity and, with
/// the edges that the model counts, passes 1 % more.
#[test]
fn the_square_that_stands_for_a_round_cavity_conducts_nearly_as_a_pipe() {
    let (diameter_m, length_m, wall_m) = (0.23, 1.1, 0.1);
    let softwood = [support::hives::layer("softwood", wall_m)];
    let conductivity = softwood[0].material.conductivity_w_mk;
    let pipe_w_k = std::f64::consts::TAU * conductivity * length_m
        / f64::ln((0.5 * diameter_m + wall_m) / (0.5 * diameter_m));
    let side_m = 0.5 * std::f64::consts::PI.sqrt() * diameter_m;
    let log = hive("from = 'hollow-log'").cavity;
    assert_relative_eq!(log.width_m, side_m, epsilon = 5e-4);
    assert_relative_eq!(log.length_m, side_m, epsilon = 5e-4);
    // Four faces, each with two upright edges.
    let place = (Face::Side(Side::Front), Zone::Upper, Orientation::Vertical);
    let chain = Chain::new(place, &softwood, 4.0 * side_m * length_m, 8.0 * length_m);
    assert_relative_eq!(1.0 / chain.resistance_k_w(), pipe_w_k, max_relative = 0.02);
}
