//! What would explain where clusters of the model differ from published ones: each parameter at the ends of its range, and what an
//! explanation does to the other published values. Nothing here is a default: no set meets all of them.

mod common;

use approx::assert_relative_eq;
use common::{incubator, steady, thin_hive};
use overwinter::colony::Cluster;
use overwinter::hive::Hive;
use overwinter::parameter::{Parameters, TABLE, find};
use std::ops::Range;

const SOUTHWICK_KG: [f64; 4] = [1.2, 0.6, 0.3, 0.1];

/// Southwick 1985, J Comp Physiol B 156:143 [read, abstract]: V_O2 = 22.69 m^-0.479 ml/g/h at 2 degC, m in g; 21 J/ml.
fn southwick_w_kg(bees_kg: f64) -> f64 {
    22.69 * (1000.0 * bees_kg).powf(-0.479) * 21.0 / 3.6
}

fn w_kg(hive: &Hive, parameters: &Parameters, bees_kg: f64, outside_c: f64) -> f64 {
    let (balance, state) = steady(hive, parameters, bees_kg, outside_c, 0.0);
    balance.heat_made_w(&state) / bees_kg
}

fn within(value: f64, range: Range<f64>) {
    assert!(range.contains(&value), "{value} is not in {range:?}");
}

/// Film that gives a cluster Southwick's heat at 2 degC, all else by default, W/m2K.
fn film_of_southwick_w_m2k(bees_kg: f64) -> f64 {
    let with = |film: f64| Parameters {
        tight_film_w_m2k: film,
        ..Parameters::default()
    };
    // From 3.5 W/m2K up heat rises with the film.
    let (mut low, mut high) = (3.5, 12.0);
    for _ in 0..30 {
        let mid = 0.5 * (low + high);
        if w_kg(&incubator(), &with(mid), bees_kg, 2.0) < southwick_w_kg(bees_kg) {
            low = mid;
        } else {
            high = mid;
        }
    }
    low
}

/// Free convection of a sphere, Nu = 2 + 0.454 Ra^(1/4) in air (Churchill 1983, in textbooks of heat transfer; from memory), and radiation, for a bare
/// ball 10 K above air of 2 degC, W/m2K.
fn bare_film_w_m2k(bees_kg: f64) -> f64 {
    let diameter_m = 2.0 * Cluster::new(bees_kg, 0.0, &Parameters::default()).radius_m(0.95);
    let (viscosity_m2_s, diffusivity_m2_s, conductivity_w_mk) = (1.38e-5, 1.95e-5, 0.0247);
    let rayleigh = 9.81 / 280.0 * 10.0 * diameter_m.powi(3) / (viscosity_m2_s * diffusivity_m2_s);
    let convective = conductivity_w_mk / diameter_m * (2.0 + 0.454 * rayleigh.powf(0.25));
    convective + 4.6
}

/// What would explain Southwick: shelter. His clusters lose heat as if through a film of 5.8 W/m2K at 1.2 kg up to 8.7 at 0.1 kg. A bare ball in still air has 8.2 to 9.3,
/// the model's cluster among its combs 3.2, whatever its size. A cluster of 0.1 kg is 8 cm across, two seams: no comb shelters it. Its own
/// convection (4.7 against 3.6 W/m2K) explains a fraction. The published values ask for a film that nears that of a bare ball as the cluster gets small.
#[test]
fn southwicks_clusters_lose_heat_as_through_a_film_between_combs_and_a_bare_ball() {
    let p = Parameters::default();
    let expected = [5.4..6.1, 6.2..6.8, 6.9..7.6, 8.4..9.1];
    for (bees_kg, range) in SOUTHWICK_KG.into_iter().zip(expected) {
        let film = film_of_southwick_w_m2k(bees_kg);
        let bare = bare_film_w_m2k(bees_kg);
        println!("{bees_kg} kg: film {film:.2}, bare {bare:.2} W/m2K");
        assert!(p.tight_film_w_m2k < film && film < bare, "{bees_kg} kg");
        within(film, range);
    }
    within(bare_film_w_m2k(1.2), 8.0..8.4);
    within(bare_film_w_m2k(0.1), 9.1..9.5);
}

/// The defaults with one parameter changed.
fn with(name: &str, value: f64) -> Parameters {
    let changed = find(name).expect("a parameter").name;
    let p = Parameters::default();
    Parameters::from_rows(|_, row| match p.get(row.name) {
        Some(default) if row.name != changed => default,
        _ => value,
    })
}

/// Heat at 2 degC of 1.2, 0.6, 0.3 and 0.1 kg, W/kg, with a parameter at the low and the high end of its range. Southwick's law gives 4.4, 6.2, 8.6 and 14.6,
/// the defaults 3.8, 4.4, 5.4 and 7.7.
const ENDS: [(&str, [f64; 4], [f64; 4]); 8] = [
    (
        "tight_film_w_m2k",
        [4.02, 4.68, 5.52, 7.15],
        [4.94, 6.20, 7.79, 11.25],
    ),
    (
        "resting_w_kg",
        [2.94, 3.68, 4.77, 7.19],
        [4.52, 5.18, 6.12, 8.22],
    ),
    (
        "cluster_conductivity_w_mk",
        [3.45, 3.52, 4.27, 6.32],
        [4.97, 5.87, 6.93, 9.05],
    ),
    (
        "core_set_c",
        [3.22, 3.65, 4.44, 6.46],
        [4.93, 5.92, 7.10, 9.40],
    ),
    (
        "mantle_set_c",
        [3.76, 4.45, 5.45, 7.70],
        [3.76, 4.45, 5.45, 7.70],
    ),
    (
        "tight_density_kg_m3",
        [3.73, 4.58, 5.84, 8.82],
        [3.78, 4.41, 5.29, 7.17],
    ),
    (
        "core_relief_k",
        [3.91, 4.83, 6.36, 8.73],
        [3.48, 4.10, 5.07, 7.46],
    ),
    (
        "heating_band_k",
        [3.37, 3.93, 4.90, 7.34],
        [4.22, 5.15, 6.29, 8.26],
    ),
];

/// No single parameter gives Southwick's law. The film comes nearest: at 6.5 W/m2K 0.3 to 1.2 kg are within 11 %, 0.1 kg is 23 % short. More resting heat, conduction or a warmer core lift big
/// clusters as much as small ones. The set point of the mantle is never met at 2 degC: mantles stand at 13.
#[test]
fn no_single_parameter_gives_southwicks_law_and_the_film_comes_nearest() {
    let worst = |name, value: f64, expected: [f64; 4]| {
        let mut worst = 0.0_f64;
        let mut told = String::new();
        for (bees_kg, expected_w_kg) in SOUTHWICK_KG.into_iter().zip(expected) {
            let found_w_kg = w_kg(&incubator(), &with(name, value), bees_kg, 2.0);
            assert_relative_eq!(found_w_kg, expected_w_kg, max_relative = 0.02);
            let off = found_w_kg / southwick_w_kg(bees_kg) - 1.0;
            told += &format!(" {found_w_kg:5.2} ({:+.0} %)", 100.0 * off);
            worst = worst.max(off.abs());
        }
        println!("{name} {value}:{told}");
        worst
    };
    for (name, at_low, at_high) in ENDS {
        let row = TABLE.iter().find(|row| row.name == name).expect("a row");
        let best = worst(name, row.low, at_low).min(worst(name, row.high, at_high));
        assert_eq!(best < 0.30, name == "tight_film_w_m2k", "{name}: {best}");
    }
}

/// What an explanation gives, beside what was published.
struct Elsewhere {
    /// Heat over Southwick's, less 1, for 1.2, 0.6, 0.3 and 0.1 kg.
    southwick: [f64; 4],
    /// Air round 2 kg of bees at their least use; published 5 to 10 degC.
    least_use_c: f64,
    /// Fall of volume of 2 kg from 4 to -23 degC; published 0.55.
    volume_fall: f64,
    /// Heat of 2 kg tight over core less air, W/kgK; published 0.10 for the tightest, to about 0.2.
    tight_w_kgk: f64,
    /// Core of 3 kg at -20 degC; published 12 to 33.5, 21 in the mean.
    big_core_c: f64,
}

fn elsewhere(parameters: &Parameters) -> Elsewhere {
    let hive = thin_hive();
    let at = |bees_kg, outside_c| steady(&hive, parameters, bees_kg, outside_c, 0.0);
    let heat_and_air = |outside_c: i32| {
        let (balance, state) = at(2.0, f64::from(outside_c));
        (balance.heat_made_w(&state), state.upper_c)
    };
    let least = (-12..=16)
        .map(heat_and_air)
        .min_by(|a, b| a.0.total_cmp(&b.0));
    let radius_m = |outside_c| {
        let tightness = at(2.0, outside_c).1.tightness;
        Cluster::new(2.0, 0.0, parameters).radius_m(tightness)
    };
    let (balance, state) = at(2.0, -20.0);
    Elsewhere {
        southwick: SOUTHWICK_KG.map(|bees_kg| {
            w_kg(&incubator(), parameters, bees_kg, 2.0) / southwick_w_kg(bees_kg) - 1.0
        }),
        least_use_c: least.expect("a least use").1,
        volume_fall: 1.0 - (radius_m(-23.0) / radius_m(4.0)).powi(3),
        tight_w_kgk: balance.heat_made_w(&state) / 2.0 / (state.core_c - state.upper_c),
        big_core_c: at(3.0, -20.0).1.core_c,
    }
}

/// Three explanations inside the ranges, and what they do to the other published values.
///
/// - Less shelter, film 6.5 W/m2K: Southwick within 11 % but for the smallest, the least use where published; but the cluster hardly shrinks below 4 degC and, tight, leads two to three times
///   as well as published.
/// - Less shelter in clusters that lead (k 0.15 W/mK), cool (mantle 8 degC) and idle (2.0 W/kg): Southwick within 14 % at all sizes; the rest worse, the least use at 18 degC.
/// - A cluster that draws together later (core relief 0.5 K instead of 2, k 0.12, film 4.0): Southwick within 8 % down to 0.3 kg, volume falls by nearly the published share, and
///   the core of a big cluster is as published; the least use stays too cold, the smallest cluster short by a third.
///
/// So Southwick's and Severson & Erickson's values, and cores of big clusters, agree in this: clusters of 4 to 2 degC are looser and lead better than the model's. The defaults are left as they are
/// until someone measures it: no set meets all.
#[test]
fn three_explanations_of_southwick_and_what_they_do_elsewhere() {
    let film = with("tight_film_w_m2k", 6.5);
    let exposed = Parameters {
        cluster_conductivity_w_mk: 0.15,
        mantle_set_c: 8.0,
        resting_w_kg: 2.0,
        ..film.clone()
    };
    let loose = Parameters {
        core_relief_k: 0.5,
        cluster_conductivity_w_mk: 0.12,
        tight_film_w_m2k: 4.0,
        ..Parameters::default()
    };
    let p = Parameters::default();
    for (label, parameters, expected) in [
        (
            "default",
            p,
            Elsewhere {
                southwick: [-0.15, -0.28, -0.37, -0.47],
                least_use_c: -0.2,
                volume_fall: 0.38,
                tight_w_kgk: 0.156,
                big_core_c: 34.8,
            },
        ),
        (
            "film",
            film,
            Elsewhere {
                southwick: [0.11, 0.00, -0.10, -0.23],
                least_use_c: 5.7,
                volume_fall: 0.15,
                tight_w_kgk: 0.300,
                big_core_c: 34.8,
            },
        ),
        (
            "exposed",
            exposed,
            Elsewhere {
                southwick: [-0.02, -0.06, -0.09, -0.14],
                least_use_c: 18.2,
                volume_fall: 0.13,
                tight_w_kgk: 0.30,
                big_core_c: 21.0,
            },
        ),
        (
            "loose",
            loose,
            Elsewhere {
                southwick: [0.06, 0.00, -0.08, -0.34],
                least_use_c: -1.0,
                volume_fall: 0.49,
                tight_w_kgk: 0.20,
                big_core_c: 21.0,
            },
        ),
    ] {
        let found = elsewhere(&parameters);
        println!(
            "{label}: Southwick {:+.2?}, least use at {:.1} degC, volume falls {:.2}, {:.3} W/kgK, core of 3 kg {:.1} degC",
            found.southwick,
            found.least_use_c,
            found.volume_fall,
            found.tight_w_kgk,
            found.big_core_c
        );
        for (found, expected) in found.southwick.into_iter().zip(expected.southwick) {
            within(found - expected, -0.02..0.02);
        }
        within(found.least_use_c - expected.least_use_c, -1.2..1.2);
        within(found.volume_fall - expected.volume_fall, -0.02..0.02);
        assert_relative_eq!(found.tight_w_kgk, expected.tight_w_kgk, max_relative = 0.05);
        within(found.big_core_c - expected.big_core_c, -1.0..1.0);
    }
}
