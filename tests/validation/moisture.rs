//! Vapour and water against standards and published tables. The condensing wall of ISO 13788 is held beside the solver, in
//! `src/season/moisture/condensation.rs`; moist air of weather files in `moist_air`.

use approx::assert_relative_eq;
use overwinter::hive::vapour::{LEWIS_NUMBER, film_vapour, saturation_pa};
use overwinter::material::sorption::wood_moisture_kg_kg;
use overwinter::season::run;
use support::hives::{SITE, member, sine_winter, thin_hive};

/// ASHRAE Fundamentals 2017, chapter 1, equations 5 and 6 (computed with PsychroLib 2.5.0), over ice below zero. The surfaces of a hive take
/// the shorter form of ISO 13788 annex E: a fifth of a percent low down to -10 degC, half a percent at -20, one at -30 and nearly two at -40.
/// The deviations, in percent, are those of the standard's formula.
#[test]
fn saturation_on_surfaces_is_no_farther_from_the_ashrae_correlation_than_iso_13788() {
    for (temperature_c, published_pa, off_percent) in [
        (-40.0, 12.845249, -1.88),
        (-30.0, 38.015677, -1.03),
        (-20.0, 103.260379, -0.50),
        (-10.0, 259.902865, -0.22),
        (0.0, 611.15, -0.11),
        (10.0, 1_227.995275, -0.06),
        (20.0, 2_338.803700, -0.08),
        (30.0, 4_246.030244, -0.13),
        (35.0, 5_627.819446, -0.15),
    ] {
        let off = 100.0 * (saturation_pa(temperature_c) / published_pa - 1.0);
        assert!(
            off.abs() < f64::abs(off_percent) + 0.01,
            "{temperature_c} degC: {off} %"
        );
    }
}

/// ISO 13788:2012 annex E turned round [standard from memory; value computed]: 12.004 degC.
#[test]
fn air_of_twenty_degrees_and_sixty_percent_is_saturated_at_its_dew_point() {
    let vapour_pa = 0.6 * saturation_pa(20.0);
    assert!(saturation_pa(12.003) < vapour_pa && vapour_pa < saturation_pa(12.005));
}

/// Lewis relation by hand, air of 20 degC: `h_m = h_c / (rho c_p Le^(2/3))` in m/s, over `R_v T` to kg/(m2 s Pa). Illig 1952, Gesundheits-Ingenieur 73:124
/// (from memory): 7e-9 kg/(m2 s Pa) for each W/m2K.
#[test]
fn a_film_lets_vapour_through_as_lewis_and_illig_have_it() {
    let (density_kg_m3, heat_j_kgk, vapour_j_kgk, kelvin) = (1.2041, 1_006.0, 461.5, 293.15);
    for convection_w_m2k in [0.7, 2.5, 5.0] {
        let film = film_vapour(convection_w_m2k, 101_325.0);
        let speed_m_s =
            convection_w_m2k / (density_kg_m3 * heat_j_kgk * LEWIS_NUMBER.powf(2.0 / 3.0));
        assert_relative_eq!(
            film,
            speed_m_s / (vapour_j_kgk * kelvin),
            max_relative = 1e-3
        );
        assert_relative_eq!(film, 7e-9 * convection_w_m2k, max_relative = 0.04);
    }
}

/// Wood Handbook (USDA Forest Products Laboratory 2010), table 4-2 (from memory): moisture content in equilibrium, percent. The table is
/// rounded to a tenth of a percent and comes from the same equation with Fahrenheit coefficients.
#[test]
fn wood_holds_the_water_of_the_wood_handbook() {
    let at_70_f = [2.5, 4.5, 6.2, 7.7, 9.2, 11.0, 13.1, 16.0, 20.5];
    let rows = (1..)
        .zip(at_70_f)
        .map(|(tenth, published)| (21.1, 0.1 * f64::from(tenth), published));
    for (temperature_c, humidity, published) in rows.chain([(4.4, 0.5, 9.5), (4.4, 0.8, 16.5)]) {
        let percent = 100.0 * wood_moisture_kg_kg(temperature_c, humidity);
        assert!(
            (percent - published).abs() < 0.11,
            "{temperature_c} degC {humidity}: {percent}"
        );
    }
}

/// Water of combustion of honey's sugars and its own 17 % (USDA: 17.1 %, from memory): `0.83 x 0.60 + 0.17 = 0.67` kg/kg, with 6 moles of water of
/// 18 g from each mole of hexose of 180 g.
#[test]
fn a_kilogram_of_honey_burnt_becomes_two_thirds_of_a_kilogram_of_water() {
    let from_sugar: f64 = 0.829 * 6.0 * 18.015 / 180.16;
    assert!((from_sugar + 0.171 - 0.67).abs() < 2e-3);
    let outcome = run(&member(thin_hive()), &SITE, &sine_winter(60)).expect("a winter");
    assert_relative_eq!(
        outcome.ledger.water.made_kg,
        0.67 * outcome.used.heat_kg,
        max_relative = 1e-9
    );
}
