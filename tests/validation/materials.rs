//! The table of materials against the values of its sources.
//!
//! ISO 10456:2007 and the tables marked so are quoted from memory; ASHRAE Fundamentals 2005 (chapter 25) and
//! Granum 1951 were read.

use overwinter::material::{Material, find};
use overwinter::source::Mark;
use overwinter::units::{Dimension, parse};

fn material(name: &str) -> &'static Material {
    find(name).unwrap_or_else(|error| panic!("{error}"))
}

fn within((low, high): (f64, f64), value: f64) -> bool {
    (low..=high).contains(&value)
}

/// ISO 10456:2007 tables 3 and 4, from memory: name, W/mK, kg/m3, J/kgK, vapour factor dry and wet.
#[test]
fn iso_10456_design_values_are_those_of_the_table() {
    let cases = [
        ("softwood", 0.13, 500.0, 1_600.0, Some((50.0, 20.0))),
        ("plywood", 0.13, 500.0, 1_600.0, Some((200.0, 70.0))),
        ("wood-fibre-board", 0.07, 250.0, 1_700.0, Some((5.0, 3.0))),
        ("wood-fibre-board-400", 0.10, 400.0, 1_700.0, None),
        ("wood-fibre-board-600", 0.14, 600.0, 1_700.0, None),
        ("steel", 50.0, 7_800.0, 450.0, None),
        ("aluminium", 160.0, 2_800.0, 880.0, None),
        ("bitumen-felt", 0.23, 1_100.0, 1_000.0, None),
    ];
    for (name, conductivity_w_mk, density_kg_m3, specific_heat_j_kgk, vapour) in cases {
        let row = material(name);
        assert_eq!(row.conductivity_w_mk, conductivity_w_mk, "{name}");
        assert_eq!(row.density_kg_m3, density_kg_m3, "{name}");
        assert_eq!(row.specific_heat_j_kgk, specific_heat_j_kgk, "{name}");
        if let Some((dry, wet)) = vapour {
            assert_eq!(
                (row.vapour_factor_dry, row.vapour_factor_wet),
                (Some(dry), Some(wet)),
                "{name}"
            );
        }
        assert_eq!(row.mark, Mark::FromMemory, "{name}");
    }
    let softwood_450 = (0.12, 450.0);
    assert!(within(
        material("softwood").conductivity_range_w_mk,
        softwood_450.0
    ));
    assert!(within(
        material("softwood").density_range_kg_m3,
        softwood_450.1
    ));
    for (name, conductivity_w_mk, density_kg_m3) in [
        ("snow-fresh", 0.05, 100.0),
        ("snow", 0.12, 200.0),
        ("snow-old", 0.23, 300.0),
    ] {
        assert_eq!(
            (
                material(name).conductivity_w_mk,
                material(name).density_kg_m3
            ),
            (conductivity_w_mk, density_kg_m3)
        );
    }
}

/// ASHRAE Fundamentals 2005, chapter 25, read: EPS by density, and plywood.
#[test]
fn the_ashrae_values_lie_within_the_ranges() {
    let eps = material("eps");
    for (conductivity_w_mk, density_kg_m3) in
        [(0.037, 16.0), (0.036, 20.0), (0.035, 24.0), (0.033, 32.0)]
    {
        assert!(within(eps.conductivity_range_w_mk, conductivity_w_mk));
        assert!(within(eps.density_range_kg_m3, density_kg_m3));
    }
    assert_eq!((eps.conductivity_w_mk, eps.density_kg_m3), (0.036, 20.0));
    assert_eq!(
        (eps.mark, eps.specific_heat_j_kgk, eps.vapour_factor_dry),
        (Mark::Published, 1_450.0, Some(60.0))
    );

    let plywood = material("plywood");
    assert!(within(plywood.conductivity_range_w_mk, 0.12));
    assert!(within(plywood.density_range_kg_m3, 544.0));
    assert!(within(plywood.specific_heat_range_j_kgk, 1_210.0));
}

/// Granum 1951, read: shavings conduct less the closer they are packed. Other tables: 0.042 to 0.12.
#[test]
fn shavings_follow_granum_by_density_and_carry_the_range_of_other_tables() {
    for (name, conductivity_w_mk, density_kg_m3) in [
        ("shavings-loose", 0.120, 80.0),
        ("shavings", 0.080, 130.0),
        ("shavings-packed", 0.060, 180.0),
    ] {
        let row = material(name);
        assert_eq!(
            (row.conductivity_w_mk, row.density_kg_m3),
            (conductivity_w_mk, density_kg_m3)
        );
        assert_eq!(
            (row.conductivity_range_w_mk, row.mark),
            ((0.042, 0.12), Mark::Published)
        );
    }
    assert!(within(material("shavings").density_range_kg_m3, 150.0));
}

/// Building and food engineering tables, from memory: range of W/mK, of kg/m3, of J/kgK.
#[test]
fn ranges_are_those_of_the_sources_and_hold_the_value_used() {
    let cases = [
        ("xps", (0.029, 0.042), (30.0, 55.0), (1_450.0, 1_450.0)),
        ("pur", (0.025, 0.030), (30.0, 45.0), (1_400.0, 1_400.0)),
        (
            "mineral-wool",
            (0.035, 0.048),
            (20.0, 200.0),
            (1_030.0, 1_030.0),
        ),
        (
            "sawdust",
            (0.071, 0.081),
            (120.0, 200.0),
            (2_000.0, 2_000.0),
        ),
        ("straw", (0.045, 0.070), (100.0, 100.0), (2_000.0, 2_000.0)),
        ("cork", (0.037, 0.047), (110.0, 200.0), (1_560.0, 1_560.0)),
        (
            "corrugated-card",
            (0.05, 0.07),
            (100.0, 150.0),
            (1_400.0, 1_400.0),
        ),
        (
            "sheep-wool",
            (0.035, 0.045),
            (15.0, 30.0),
            (1_700.0, 1_700.0),
        ),
        (
            "honey",
            (0.50, 0.56),
            (1_425.0, 1_425.0),
            (2_200.0, 2_400.0),
        ),
        ("beeswax", (0.25, 0.25), (960.0, 960.0), (2_000.0, 2_500.0)),
    ];
    for (name, conductivity_w_mk, density_kg_m3, specific_heat_j_kgk) in cases {
        let row = material(name);
        assert_eq!(row.conductivity_range_w_mk, conductivity_w_mk, "{name}");
        assert_eq!(row.density_range_kg_m3, density_kg_m3, "{name}");
        assert_eq!(row.specific_heat_range_j_kgk, specific_heat_j_kgk, "{name}");
        assert!(within(conductivity_w_mk, row.conductivity_w_mk), "{name}");
    }
    assert_eq!(material("xps").vapour_factor_dry, Some(150.0));
    assert_eq!(material("mineral-wool").vapour_factor_dry, Some(1.0));
}

/// Common practice, no source: 38 mm of foam board is about R 1.3 m2K/W (R-7.5 in US units).
#[test]
fn the_r_value_said_of_foam_board_is_at_the_good_end_of_the_range() {
    let said_m2k_w = parse("R-7.5", Dimension::Resistance).unwrap();
    let (best_w_mk, worst_w_mk) = material("xps").conductivity_range_w_mk;
    assert!((0.038 / best_w_mk - said_m2k_w).abs() < 0.02 * said_m2k_w);
    assert!(0.038 / worst_w_mk < said_m2k_w);
}
