//! Moist air and the standard atmosphere against published tables and a reference library.

use approx::assert_relative_eq;
use overwinter::weather::humidity::{
    air_density_kg_m3, dew_point_c, humidity_ratio, latent_heat_of_sublimation_j_kg,
    latent_heat_of_vaporisation_j_kg, saturation_pressure_over_ice_pa,
    saturation_pressure_over_water_pa,
};
use overwinter::weather::pressure::standard_pressure_pa;

/// Murphy & Koop 2005, Q. J. R. Meteorol. Soc. 131:1539, table C1 (values recalled, not re-read):
/// temperature K, over ice Pa, over liquid Pa.
#[test]
fn saturation_pressures_give_the_table_of_murphy_and_koop() {
    for (temperature_k, ice, water) in [
        (210.0, 0.7020, 1.2335),
        (240.0, 27.272, 37.667),
        (273.15, 611.154, 611.213),
        (273.16, 611.657, 611.657),
    ] {
        let temperature_c = temperature_k - 273.15;
        assert_relative_eq!(
            saturation_pressure_over_ice_pa(temperature_c),
            ice,
            max_relative = 1e-4
        );
        assert_relative_eq!(
            saturation_pressure_over_water_pa(temperature_c),
            water,
            max_relative = 1e-4
        );
    }
    assert_relative_eq!(
        saturation_pressure_over_water_pa(26.85),
        3_536.8,
        max_relative = 1e-4
    );
}

/// ASHRAE Handbook, Fundamentals 2017, chapter 1, equations 5 and 6 (Hyland & Wexler 1983), computed with
/// PsychroLib 2.5.0 `GetSatVapPres`. Two correlations of the same measurements: they agree to 0.1 %.
#[test]
fn saturation_pressures_agree_with_the_ashrae_correlation_to_a_tenth_of_a_percent() {
    for (temperature_c, ice) in [
        (-40.0, 12.845249),
        (-30.0, 38.015677),
        (-20.0, 103.260379),
        (-10.0, 259.902865),
        (-0.0001, 611.148538),
    ] {
        assert_relative_eq!(
            saturation_pressure_over_ice_pa(temperature_c),
            ice,
            max_relative = 1e-3
        );
    }
    for (temperature_c, water) in [
        (10.0, 1_227.995275),
        (20.0, 2_338.803700),
        (30.0, 4_246.030244),
        (35.0, 5_627.819446),
        (45.0, 9_593.219934),
    ] {
        assert_relative_eq!(
            saturation_pressure_over_water_pa(temperature_c),
            water,
            max_relative = 1e-3
        );
    }
}

/// Supercooled water of Murphy & Koop 2005, equation 10, to the digits of the project's list of check
/// values.
#[test]
fn water_below_zero_has_a_higher_saturation_pressure_than_ice() {
    for (temperature_c, water) in [(-30.0, 50.9), (-20.0, 125.5), (-10.0, 286.5)] {
        assert_relative_eq!(
            saturation_pressure_over_water_pa(temperature_c),
            water,
            max_relative = 1e-3
        );
    }
    let ratio = saturation_pressure_over_water_pa(-20.0) / saturation_pressure_over_ice_pa(-20.0);
    assert_relative_eq!(ratio, 1.22, max_relative = 0.005);
}

/// PsychroLib 2.5.0: `GetTDewPointFromRelHum` (above 0 °C, where it is over water), and the dew point of
/// 20 °C and 60 % in the project's list of check values, from the Magnus form of ISO 13788: 12.004 °C.
#[test]
fn dew_points_agree_with_psychrolib() {
    for (temperature_c, fraction, dew_point) in [
        (10.0, 0.8, 6.713005),
        (25.0, 0.5, 13.863973),
        (5.0, 0.9, 3.498473),
        (35.0, 0.2, 8.706691),
        (20.0, 0.6, 12.007470),
    ] {
        let computed = dew_point_c(temperature_c, fraction);
        assert!(
            (computed - dew_point).abs() < 0.005,
            "{temperature_c} °C {fraction}: {computed} °C against {dew_point} °C"
        );
    }
    assert!((dew_point_c(20.0, 0.6) - 12.004).abs() < 0.005);
}

/// PsychroLib 2.5.0: `GetHumRatioFromRelHum`, `GetHumRatioFromTDewPoint`, `GetMoistAirDensity`.
#[test]
fn humidity_ratio_and_density_agree_with_psychrolib() {
    let dew_point = dew_point_c(10.0, 0.8);
    assert_relative_eq!(
        humidity_ratio(dew_point, 101_325.0),
        0.006_089_1,
        max_relative = 1e-3
    );
    assert_relative_eq!(
        humidity_ratio(15.0, 95_000.0),
        0.011_369_310,
        max_relative = 1e-3
    );
    assert_relative_eq!(
        air_density_kg_m3(20.0, 15.0, 95_000.0),
        // PsychroLib counts the mass of the vapour as well: (1 + W) / specific volume.
        1.121_323,
        max_relative = 2e-4
    );
}

/// IAPWS-95 steam table: 2500.9, 2453.5 and 2417.9 kJ/kg at 0.01, 20 and 35 °C. Sublimation at the triple
/// point 2,834.4 kJ/kg (CRC Handbook, recalled).
#[test]
fn latent_heats_give_the_steam_table() {
    for (temperature_c, latent_heat) in [(0.01, 2_500.9e3), (20.0, 2_453.5e3), (35.0, 2_417.9e3)] {
        assert_relative_eq!(
            latent_heat_of_vaporisation_j_kg(temperature_c),
            latent_heat,
            max_relative = 1e-4
        );
    }
    assert_relative_eq!(
        latent_heat_of_sublimation_j_kg(0.0),
        2_834.4e3,
        max_relative = 5e-4
    );
    // Murphy & Koop 2005, equation 9, at 243.15 K: 46,398 J/mol.
    assert_relative_eq!(
        latent_heat_of_vaporisation_j_kg(-30.0),
        46_398.0 / 0.018_015_28,
        max_relative = 3e-3
    );
}

/// ISO 2533:1975, table of pressures by geopotential height; 350 m from PsychroLib 2.5.0
/// `GetStandardAtmPressure`.
#[test]
fn the_standard_atmosphere_gives_its_table() {
    for (elevation_m, pressure_pa) in [
        (0.0, 101_325.0),
        (350.0, 97_190.4),
        (500.0, 95_461.0),
        (1_000.0, 89_874.6),
        (2_000.0, 79_495.2),
        (5_000.0, 54_019.9),
        (11_000.0, 22_632.0),
    ] {
        assert_relative_eq!(
            standard_pressure_pa(elevation_m),
            pressure_pa,
            max_relative = 1e-5
        );
    }
}
