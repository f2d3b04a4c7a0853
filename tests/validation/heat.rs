//! Films, resistances and periodic transmittance against ISO 6946 and ISO 13786; air flow against textbook cases.

use approx::assert_relative_eq;
use nalgebra::Complex;
use overwinter::hive::airflow::{
    air_density_kg_m3, orifice_m3_s, series_area_m2, stack_pa, two_way_m3_s, wind_pa,
};
use overwinter::hive::film::{self, Orientation};
use overwinter::hive::surface::{
    STANDARD_OUTSIDE_M2K_W, chains, resistance_limits, standard_inside_m2k_w,
};
use overwinter::hive::{Chain, Face, Framing, Layer, Side, Zone};
use overwinter::material::Material;
use overwinter::parameter::Parameters;
use support::hives::{foam_hive, layer, thin_hive};

fn made_of(conductivity: f64, density: f64, heat: f64, thickness_m: f64) -> Layer {
    let material =
        Material::defined("case", conductivity, density, heat, None).expect("a material");
    Layer::new(material, thickness_m)
}

/// ISO 6946:2017 annex C: h_r0 at -10 to 30 degC, published rounded 4.1 4.6 5.1 5.7 6.3.
#[test]
fn black_radiation_is_the_table_of_iso_6946() {
    let table = [
        (-10.0, 4.133),
        (0.0, 4.622),
        (10.0, 5.149),
        (20.0, 5.714),
        (30.0, 6.319),
    ];
    for (temperature_c, expected) in table {
        assert_relative_eq!(
            film::black_radiation_w_m2k(temperature_c),
            expected,
            epsilon = 5e-4
        );
    }
}

/// ISO 6946:2017 table 7 prints 0.13, 0.10 and 0.17; the formula at 20 degC gives 0.1308, 0.0986, 0.1712.
#[test]
fn inside_films_give_the_standard_resistances() {
    let cases = [
        (Orientation::Vertical, 0.1308),
        (Orientation::Lid, 0.0986),
        (Orientation::Floor, 0.1712),
    ];
    for (orientation, expected) in cases {
        // Both sides near 20 degC, the air warmer by enough to set the flow's direction.
        let film = film::inside_w_m2k(orientation, 20.5, 19.5);
        assert_relative_eq!(1.0 / film, expected, epsilon = 1e-4);
        assert_relative_eq!(standard_inside_m2k_w(orientation), expected, epsilon = 2e-3);
    }
}

/// ISO 6946:2017 annex C at 0 degC by wind (computed from its formula); 0.0406 at 4 m/s and 10 degC, printed 0.04.
#[test]
fn outside_films_follow_the_wind() {
    let table = [
        (1.0, 0.0822),
        (2.0, 0.0619),
        (3.0, 0.0496),
        (4.0, 0.0414),
        (5.0, 0.0355),
        (7.0, 0.0277),
        (10.0, 0.0208),
    ];
    for (wind, expected) in table {
        assert_relative_eq!(
            1.0 / film::outside_w_m2k(wind, 0.0, film::EMISSIVITY),
            expected,
            epsilon = 5e-5
        );
    }
    assert_relative_eq!(
        1.0 / film::outside_w_m2k(4.0, 10.0, film::EMISSIVITY),
        0.0406,
        epsilon = 5e-5
    );
}

/// ISO 6946:2017 table 8 prints 0.11 0.13 0.15 0.17 0.18 0.18 for 5 to 50 mm upright [memory]; its annex D gives the second figures.
/// 25 mm under heat going up 0.16, going down 0.19 [memory].
#[test]
fn closed_air_gaps_have_the_resistance_of_the_standard() {
    let table = [
        (0.005, 0.11, 0.1085),
        (0.007, 0.13, 0.1285),
        (0.010, 0.15, 0.1490),
        (0.015, 0.17, 0.1701),
        (0.025, 0.18, 0.1831),
        (0.050, 0.18, 0.1831),
    ];
    for (thickness_m, printed, formula) in table {
        let found = film::air_layer_m2k_w(thickness_m, Orientation::Vertical);
        assert_relative_eq!(found, formula, epsilon = 1e-4);
        assert_relative_eq!(found, printed, epsilon = 5e-3);
        // A layer of air in a wall takes it.
        let wall = [layer("air", thickness_m)];
        let limits = resistance_limits(&wall, Orientation::Vertical, 0.13, 0.04);
        assert_relative_eq!(limits.combined_m2k_w() - 0.17, found, epsilon = 1e-12);
    }
    assert_relative_eq!(
        film::air_layer_m2k_w(0.025, Orientation::Lid),
        0.16,
        epsilon = 5e-3
    );
    assert_relative_eq!(
        film::air_layer_m2k_w(0.025, Orientation::Floor),
        0.19,
        epsilon = 5e-3
    );
}

/// ISO 6946:2017 6.7.2, combined method, worked with an independent script.
#[test]
fn framing_is_weighed_by_the_combined_method() {
    let mut framed = made_of(0.037, 50.0, 1030.0, 0.1);
    framed.framing = Some(Framing {
        material: Material::defined("timber", 0.13, 500.0, 1600.0, None).expect("a material"),
        share: 0.15,
    });
    let layers = [
        made_of(0.13, 500.0, 1600.0, 0.02),
        framed,
        made_of(0.13, 500.0, 1600.0, 0.012),
    ];
    let limits = resistance_limits(&layers, Orientation::Vertical, 0.13, 0.04);
    assert_relative_eq!(limits.upper_m2k_w, 2.505_782, epsilon = 1e-6);
    assert_relative_eq!(limits.lower_m2k_w, 2.378_862, epsilon = 1e-6);
    assert_relative_eq!(limits.combined_m2k_w(), 2.442_322, epsilon = 1e-6);

    // The chain that the season runs has the same resistance.
    let place = (Face::Side(Side::Front), Zone::Upper, Orientation::Vertical);
    let chain = Chain::new(place, &layers, 1.0, 0.0);
    assert_relative_eq!(chain.resistance_k_w() + 0.17, 2.442_322, epsilon = 1e-6);
}

/// Periodic transmittance Y12, W/m2K, of a chain of a square metre between standard films: heat that reaches an inside held at rest
/// for each kelvin of a daily wave outside.
fn periodic_transmittance(chain: &Chain) -> Complex<f64> {
    let omega = std::f64::consts::TAU / 86_400.0;
    let inside_w_k = 1.0 / (chain.first_k_w + 0.13);
    let outside_w_k = 1.0 / (chain.last_k_w + 0.04);
    // From outside in: each node is a source behind a resistance.
    let (mut source, mut towards) = (Complex::from(outside_w_k), Complex::from(outside_w_k));
    for node in (0..chain.len()).rev() {
        let inward = if node == 0 {
            inside_w_k
        } else {
            chain.links_w_k[node - 1]
        };
        let pivot = towards + inward + Complex::new(0.0, omega * chain.capacity_j_k[node]);
        source = source * inward / pivot;
        towards = Complex::from(inward) - inward * inward / pivot;
    }
    source
}

/// ISO 13786:2017, 24 h, films 0.13 / 0.04: values by the standard's matrix method, computed independently.
#[test]
fn chains_pass_a_daily_wave_as_iso_13786() {
    // conductivity, density, heat, thickness of each layer; U, |Y12|, lag in hours
    type Case<'a> = (&'a [(f64, f64, f64, f64)], f64, f64, f64);
    let cases: [Case; 5] = [
        (&[(1.8, 2400.0, 1000.0, 0.2)], 3.55731, 1.82707, 5.6757),
        (&[(0.13, 500.0, 1600.0, 0.02)], 3.08789, 3.08234, 0.3047),
        (&[(0.13, 500.0, 1600.0, 0.04)], 2.09340, 2.06670, 0.8722),
        (&[(0.036, 20.0, 1450.0, 0.04)], 0.78057, 0.78051, 0.0768),
        (
            &[(0.13, 500.0, 1600.0, 0.02), (0.07, 100.0, 2000.0, 0.1)],
            0.57064,
            0.52601,
            2.5823,
        ),
    ];
    for (layers, transmittance, periodic, lag_h) in cases {
        let layers: Vec<Layer> = layers
            .iter()
            .map(|(k, rho, c, d)| made_of(*k, *rho, *c, *d))
            .collect();
        let place = (Face::Side(Side::Front), Zone::Upper, Orientation::Vertical);
        let chain = Chain::new(place, &layers, 1.0, 0.0);
        assert_relative_eq!(
            1.0 / (chain.resistance_k_w() + 0.17),
            transmittance,
            epsilon = 1e-5
        );
        let y12 = periodic_transmittance(&chain);
        assert_relative_eq!(y12.norm(), periodic, max_relative = 0.01);
        assert!((-y12.arg() * 24.0 / std::f64::consts::TAU - lag_h).abs() < 0.1);
    }
}

/// Two-box hives by the ISO 6946 sum of their surfaces (computed, design checks): thin about 3.7 W/K, foam about 0.9.
///
/// The check's foam build is not stated to the layer: its value lies between this one's plane sum and that with the box's edges.
#[test]
fn two_box_hives_have_the_conductance_of_their_surfaces() {
    let plane_sum = |hive: &overwinter::hive::Hive| -> f64 {
        let floor = match &hive.floor {
            overwinter::hive::Floor::Solid(layers) => layers,
            overwinter::hive::Floor::Screened { .. } => unreachable!("a solid floor"),
        };
        let u = |layers: &[Layer], orientation| {
            let inside = standard_inside_m2k_w(orientation);
            1.0 / resistance_limits(layers, orientation, inside, STANDARD_OUTSIDE_M2K_W)
                .combined_m2k_w()
        };
        let c = hive.cavity;
        let sides_m2 = 2.0 * (c.width_m + c.length_m) * c.height_m();
        sides_m2 * u(&hive.wall, Orientation::Vertical)
            + c.plan_m2() * u(&hive.lid, Orientation::Lid)
            + c.plan_m2() * u(floor, Orientation::Floor)
    };
    assert_relative_eq!(plane_sum(&thin_hive()), 3.7, max_relative = 0.03);
    let with_edges: f64 = chains(&foam_hive())
        .iter()
        .map(|chain| {
            let inside = standard_inside_m2k_w(chain.orientation) / chain.inside_m2;
            1.0 / (inside + chain.resistance_k_w() + STANDARD_OUTSIDE_M2K_W / chain.outside_m2)
        })
        .sum();
    let plane = plane_sum(&foam_hive());
    assert!(plane < 0.9 && 0.9 < with_edges, "{plane} {with_edges}");
    assert!(plane > 0.8 && with_edges < 1.0, "{plane} {with_edges}");
}

/// Langmuir, Adams and Meikle 1913: a box adds 0.54 times the conductivity for each metre of edge to the plane sum.
#[test]
fn the_edges_of_a_box_add_their_shape_factor() {
    let mut hive = thin_hive();
    let foam = vec![layer("xps", 0.05)];
    (hive.wall, hive.lid) = (foam.clone(), foam.clone());
    hive.floor = overwinter::hive::Floor::Solid(foam);
    let c = hive.cavity;
    let conductivity = layer("xps", 0.05).material.conductivity_w_mk;
    let whole: f64 = chains(&hive)
        .iter()
        .map(|chain| 1.0 / chain.resistance_k_w())
        .sum();
    let inside_m2: f64 = chains(&hive).iter().map(|chain| chain.inside_m2).sum();
    let edge_m = 4.0 * (c.width_m + c.length_m + c.height_m());
    let shape = inside_m2 * conductivity / 0.05 + 0.54 * conductivity * edge_m;
    assert_relative_eq!(whole, shape, max_relative = 0.01);
}

/// ASHRAE Fundamentals, ventilation: two openings in series over a stack; the design's worked case.
#[test]
fn a_stack_draws_through_two_openings() {
    let pressure_pa = stack_pa(0.4, 10.0, -10.0, 101_325.0);
    assert_relative_eq!(pressure_pa, 0.371_657, max_relative = 1e-3);
    let area_m2 = series_area_m2(4e-4, 4e-4);
    let flow = orifice_m3_s(
        area_m2,
        pressure_pa,
        air_density_kg_m3(-10.0, 101_325.0),
        0.61,
    );
    assert_relative_eq!(flow, 1.284_36e-4, max_relative = 1e-3);
    assert_relative_eq!(
        orifice_m3_s(10e-4, 1.0, 1.2, 0.61),
        7.875_066e-4,
        max_relative = 1e-6
    );
}

/// Wind 3 m/s, Cp 0.6, -10 degC: 3.6217 Pa.
#[test]
fn wind_presses_by_half_its_density_times_its_square() {
    let density = air_density_kg_m3(-10.0, 101_325.0);
    assert_relative_eq!(wind_pa(0.6, 3.0, density), 3.6217, max_relative = 1e-4);
}

/// EN 16798-7:2017, airing through one opening: `0.5 A sqrt(0.01 + 0.001 v^2 + 0.0035 H dT)` by hand.
#[test]
fn one_opening_breathes_as_the_standard_says() {
    let flow = two_way_m3_s(20e-4, 0.01, 2.0, 10.0, &Parameters::default());
    assert_relative_eq!(
        flow,
        0.5 * 20e-4 * (0.01_f64 + 0.004 + 0.00035).sqrt(),
        epsilon = 1e-12
    );
}
