//! The other commands through the program: `new`, `materials`, `heatloss`, `trace`, `weather`, `weather synth`.

use serde_json::Value;
use support::program::{Yard, column, one_winter, shipped, table};

#[test]
fn new_writes_a_scenario_that_runs_as_the_sample_does() {
    let yard = Yard::new();
    let out = yard.succeed(&["new", "oak.toml"]);
    assert!(out.contains("overwinter run oak.toml"), "{out}");
    let run = ["run", "--members", "3"];
    assert_eq!(
        yard.succeed(&[&run[..], &["oak.toml"]].concat()),
        yard.succeed(&run)
    );
}

#[test]
fn new_overwrites_only_when_forced() {
    let yard = Yard::new();
    yard.write("oak.toml", "mine");
    yard.refuse(
        &["new", "oak.toml"],
        &["oak.toml: is there already", "--force"],
    );
    assert_eq!(yard.text("oak.toml"), "mine");
    yard.refuse(
        &["new", "missing/oak.toml"],
        &["missing: there is no such folder"],
    );
    yard.succeed(&["new", "oak.toml", "--force"]);
    assert!(
        yard.text("oak.toml")
            .starts_with("# An overwinter scenario")
    );
}

#[test]
fn materials_are_listed_with_mark_and_source_in_both_systems() {
    let yard = Yard::new();
    let out = yard.succeed(&["materials"]);
    let softwood = out
        .lines()
        .find(|line| line.trim_start().starts_with("softwood"));
    let softwood = softwood.expect("softwood");
    assert!(
        softwood.contains("0.130") && softwood.contains("1600") && softwood.contains("from memory"),
        "{softwood}"
    );
    assert!(out.contains("Granum 1951"), "sources follow");
    // 0.13 W/mK / 0.14422789 and 1600 J/kgK / 4186.8.
    let out = yard.succeed(&["materials", "--units", "us"]);
    assert!(
        out.lines()
            .any(|line| line.trim_start().starts_with("softwood")
                && line.contains("0.901")
                && line.contains("0.38"))
    );
    let rows: Value = serde_json::from_str(&yard.succeed(&["materials", "--json"])).expect("JSON");
    let rows = rows.as_array().expect("a list");
    assert!(
        rows.iter()
            .all(|row| row["source"].as_str().is_some_and(|text| !text.is_empty()))
    );
}

fn heatloss(more: &[&str]) -> Value {
    let arguments = [&["heatloss", "--json"], more].concat();
    serde_json::from_str(&Yard::new().succeed(&arguments)).expect("JSON")
}

/// The sample's build-up summed by hand by ISO 6946:2017, equation 4 and annex C: layers 19 mm of softwood at 0.13 W/mK;
/// lid 9 mm of plywood at 0.13, 12 mm of wood-fibre board at 0.07, 19 mm of softwood at 0.13, 0.5 mm of steel at 50. Standard
/// films 0.13, 0.10 and 0.17 inside and 0.04 outside.
#[test]
fn heatloss_of_the_sample_is_the_iso_6946_sum_done_by_hand() {
    let loss = heatloss(&[]);
    let surfaces = loss["loss"]["surfaces"].as_array().expect("a list");
    let wall = 0.019 / 0.13;
    let lid = 0.009 / 0.13 + 0.012 / 0.07 + 0.019 / 0.13 + 0.0005 / 50.0;
    // Ten combs on 35 mm and 25 mm beside them; 465 mm long; two boxes of 244 mm.
    let (width, length, height) = (0.375, 0.465, 0.488);
    let expected = [
        ("front", width * height, wall, 0.13),
        ("right side", length * height, wall, 0.13),
        ("back", width * height, wall, 0.13),
        ("left side", length * height, wall, 0.13),
        ("lid", width * length, lid, 0.10),
        ("floor", width * length, wall, 0.17),
    ];
    assert_eq!(surfaces.len(), expected.len());
    for (surface, (name, area_m2, layers, inside)) in surfaces.iter().zip(expected) {
        let near = |key: &str, value: f64, tolerance: f64| {
            let told = surface[key].as_f64().expect("a number");
            assert!(
                (told - value).abs() <= tolerance,
                "{name} {key}: {told}, by hand {value}"
            );
        };
        assert_eq!(surface["name"], name);
        near("area_m2", area_m2, 1e-9);
        near("layers_m2k_w", layers, 1e-9);
        near("upper_m2k_w", inside + layers + 0.04, 1e-9);
        near("lower_m2k_w", inside + layers + 0.04, 1e-9);
        // At the pair of temperatures that is asked for, with the films that it makes.
        let film_in = surface["inside_film_m2k_w"].as_f64().expect("a number");
        let film_out = surface["outside_film_m2k_w"].as_f64().expect("a number");
        near(
            "transmittance_w_m2k",
            1.0 / (film_in + layers + film_out),
            1e-9,
        );
        // CHECKS: outside at 1 m/s is 0.0822 at 0 degC; colder air radiates less, and the lid's bright metal a quarter.
        let outside = if name == "lid" {
            0.110..0.112
        } else {
            0.0822..0.087
        };
        assert!(outside.contains(&film_out), "{name}: {film_out}");
        // Thin walls have inside and outside areas that differ by their edges: UA is a little above U A.
        let ua = surface["conductance_w_k"].as_f64().expect("a number");
        let least = area_m2 / (film_in + layers + film_out);
        assert!(ua > least && ua < 1.1 * least, "{name}: {ua} for {least}");
    }
}

#[test]
fn heatloss_reads_either_system_and_shows_the_same_heat_in_both() {
    let yard = Yard::new();
    let metric = heatloss(&[
        "--inside",
        "50 °F",
        "--outside",
        "14 F",
        "--wind",
        "3.6 km/h",
    ]);
    assert_eq!(metric["loss"]["pair"]["inside_c"], 10.0);
    let watts = metric["whole_w_k"].as_f64().expect("a number") * 20.0;
    let us = yard.succeed(&["heatloss", "--units", "us"]);
    let line = us.lines().nth(1).expect("a line");
    let btu_h = format!("it loses {:.1} BTU/h", watts * 3.412_141_63);
    assert!(
        line.starts_with("With 50 °F inside and 14 °F outside") && line.contains(&btu_h),
        "{line}, {btu_h}"
    );
}

#[test]
fn every_hour_traced_has_powers_that_sum_to_the_heat_made() {
    let yard = Yard::new();
    let trace = table(&yard.succeed(&["trace", "--csv", "--winter", "2018-19"]));
    let (head, rows) = &trace;
    assert_eq!(rows.len(), 201 * 24);
    let made = column(&trace, "made_w");
    let parts = head
        .iter()
        .filter(|name| name.ends_with("_w") && *name != "made_w");
    let parts: Vec<Vec<f64>> = parts.map(|name| column(&trace, name)).collect();
    assert_eq!(parts.len(), 11, "ten paths and storage");
    for (hour, made_w) in made.iter().enumerate() {
        let sum: f64 = parts.iter().map(|part| part[hour]).sum();
        // Twelve numbers rounded to 5 decimals.
        assert!(
            (sum - made_w).abs() <= 12.0 * 0.5e-5,
            "hour {hour}: {sum} of {made_w} W"
        );
    }
    // Heat and brood take the honey: 12.8 MJ a kilogram, nothing comes back.
    let stores = column(&trace, "stores_kg");
    assert!(stores.windows(2).all(|two| two[1] <= two[0]));
    let heat_kg = made.iter().sum::<f64>() * 3600.0 / 12.8e6;
    assert!(
        stores[0] - stores[stores.len() - 1] >= heat_kg - 0.02,
        "{heat_kg}"
    );
}

#[test]
fn a_member_traced_is_the_member_of_the_run() {
    let yard = Yard::new();
    yard.succeed(&["run", "--members", "5", "--out", "results"]);
    let left = column(&table(&yard.text("results/members.csv")), "left_kg")[4];
    let trace: Value =
        serde_json::from_str(&yard.succeed(&["trace", "--member", "4", "--json"])).expect("JSON");
    assert_eq!(trace["colony"], "member 4");
    assert_eq!(trace["winter"], "2015-16");
    let traced = trace["stores_left_kg"].as_f64().expect("a number");
    assert!((traced - left).abs() < 1e-4, "{traced} and {left}");
}

#[test]
fn trace_without_a_winter_takes_the_coldest_and_us_units_show_fahrenheit() {
    let yard = Yard::new();
    let out = yard.succeed(&["trace"]);
    assert!(
        out.starts_with("Winter 2020-21, colony and parameters without spread: "),
        "{out}"
    );
    let us = yard.succeed(&["trace", "--units", "us"]);
    assert!(
        us.contains("°F") && us.contains(" lb") && !us.contains("°C") && !us.contains(" kg"),
        "{us}"
    );
}

#[test]
fn weather_tells_what_a_file_holds_and_writes_it_cleaned() {
    let yard = Yard::new();
    yard.write("winter.csv", one_winter());
    let out = yard.succeed(&["weather", "winter.csv", "--to", "clean.csv"]);
    assert!(
        out.contains("winter.csv: plain") && out.contains("1 complete winter, "),
        "{out}"
    );
    let found: Value =
        serde_json::from_str(&yard.succeed(&["weather", "winter.csv", "--json"])).expect("JSON");
    assert_eq!(found["winters"][0]["label"], "2011-12");
    assert_eq!(found["winters"][0]["figures"]["lowest_c"], -34.9);
    let us = yard.succeed(&["weather", "winter.csv", "--units", "us"]);
    assert!(
        us.contains("longest below 14 °F")
            && us.contains("degree hours below 50 °F")
            && !us.contains("°C"),
        "{us}"
    );
    // What was written is read as the same weather, and kept.
    let again: Value =
        serde_json::from_str(&yard.succeed(&["weather", "clean.csv", "--json"])).expect("JSON");
    assert_eq!(found["winters"], again["winters"]);
    yard.refuse(
        &["weather", "winter.csv", "--to", "clean.csv"],
        &["clean.csv: is there already"],
    );
}

#[test]
fn weather_synth_makes_the_shipped_sample_again_byte_for_byte() {
    let yard = Yard::new();
    yard.write("normals.toml", shipped("weather/kettlewend-normals.toml"));
    let synth = [
        "weather",
        "synth",
        "normals.toml",
        "--seed",
        "17",
        "--to",
        "made.csv",
    ];
    let out = yard.succeed(&synth);
    assert!(out.contains("10 invented winters of Kettlewend"), "{out}");
    assert!(yard.read("made.csv") == shipped("weather/kettlewend.csv"));
    yard.refuse(&synth, &["made.csv: is there already"]);
}

#[test]
fn the_guide_lists_its_pages_shows_one_and_names_them_when_asked_for_another() {
    let yard = Yard::new();
    let list = yard.succeed(&["guide"]);
    assert!(list.contains("  first-hive ") && list.contains("The scenario file"));
    for line in list.lines().skip(2) {
        let name = line.split_whitespace().next().expect("a name");
        let page = yard.succeed(&["guide", name]);
        assert!(page.lines().count() > 5, "{name}");
    }
    let limits = yard.succeed(&["guide", "limits"]);
    assert!(limits.starts_with("Limits and cautions"), "{limits}");
    yard.refuse(
        &["guide", "nope"],
        &["no page 'nope'", "first-hive, get-weather"],
    );
}
