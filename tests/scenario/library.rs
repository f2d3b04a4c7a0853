//! The library of hives, lids and floors in a scenario and through the program.

use overwinter::hive::{Floor, Joints};
use overwinter::scenario::{
    self, LibraryEntry, Part, Scenario, ScenarioError, library, parse_hive,
};
use overwinter::season;
use serde_json::Value;
use std::path::Path;
use support::hives::{SITE, member, sine_winter};
use support::program::Yard;

fn of(part: Part) -> Vec<LibraryEntry> {
    let mut library = library();
    library.retain(|entry| entry.part == part);
    library
}

/// The starter with another hive.
fn read(hive: &str) -> Result<Scenario, ScenarioError> {
    let text = scenario::starter();
    let (before, rest) = text.split_once("[hive]").expect("a hive");
    let (_, after) = rest.split_once("[colony]").expect("a colony");
    let text = format!("{before}{hive}\n[colony]{after}");
    scenario::parse(&text, Path::new("yard.toml"))
}

#[test]
fn every_hive_with_every_lid_and_floor_is_sound_and_runs_a_short_winter() {
    let forcing = sine_winter(15);
    for hive in of(Part::Hive) {
        for lid in of(Part::Lid) {
            for floor in of(Part::Floor) {
                let names = [hive.name, lid.name, floor.name];
                let text = format!(
                    "[hive]\nfrom = {:?}\nlid = {:?}\nfloor = {:?}",
                    names[0], names[1], names[2]
                );
                let built = parse_hive(&text, Path::new("case.toml")).expect("a hive");
                built
                    .validate()
                    .unwrap_or_else(|error| panic!("{names:?}: {error}"));
                let outcome = season::run(&member(built), &SITE, &forcing)
                    .unwrap_or_else(|error| panic!("{names:?}: {error}"));
                assert!(outcome.used.total_kg() > 0.1, "{names:?}: {outcome:?}");
                assert!(outcome.ledger.imbalance().abs() < 1e-9, "{names:?}");
            }
        }
    }
}

#[test]
fn a_hive_by_its_name_is_the_hive_written_out() {
    let mut seen = std::collections::HashSet::new();
    for LibraryEntry { name, text, .. } in of(Part::Hive) {
        let named = read(&format!("[hive]\nfrom = {name:?}")).expect("by name");
        let written = read(&text).unwrap_or_else(|error| panic!("{error}\n{text}"));
        assert_eq!(named.fingerprint, written.fingerprint, "{name}");
        assert_eq!(named.hive.name, name);
        assert!(seen.insert(named.fingerprint), "{name} is another too");
    }
}

#[test]
fn a_lid_or_floor_by_its_name_is_the_one_written_out() {
    for LibraryEntry {
        part, name, text, ..
    } in library()
    {
        let key = match part {
            Part::Hive => continue,
            Part::Lid => "lid",
            Part::Floor => "floor",
        };
        let from = "[hive]\nfrom = \"thin-softwood-one-box\"";
        let named = read(&format!("{from}\n{key} = {name:?}")).expect("by name");
        let written = read(&format!("{from}\n{text}")).expect("written out");
        assert_eq!(named.fingerprint, written.fingerprint, "{name}");
    }
}

#[test]
fn what_a_keeper_writes_beside_from_takes_the_place_of_what_the_library_says() {
    let hive = read(
        "[hive]\nname = \"mine\"\nfrom = \"Thin softwood two boxes\"\nboxes = 3\nframes = 8\nlid = \"shavings_lid\"\njoints = \"loose\"\n\
         entrance = []\nupper_entrance = { diameter = \"25 mm\" }\nfloor = { screened = \"open\" }\nwall = \"1 in pine\"",
    )
    .expect("a hive")
    .hive;
    assert_eq!(
        (hive.name.as_str(), hive.cavity.boxes, hive.frames),
        ("mine", 3, 8)
    );
    // Eight frames of 35 mm and 25 mm beside them.
    assert!((hive.cavity.width_m - 0.305).abs() < 1e-12);
    assert_eq!(hive.lid[1].material.name, "shavings");
    assert_eq!((hive.joints, hive.entrances.len()), (Joints::Loose, 0));
    assert!(matches!(hive.floor, Floor::Screened { .. }));
    assert!((hive.wall[0].thickness_m - 0.0254).abs() < 1e-12);
}

#[test]
fn a_name_that_the_library_lacks_is_answered_with_the_nearest_and_all() {
    let from = "[hive]\nfrom = \"thin-softwood-one-box\"\n";
    for (hive, place, said) in [
        (
            "[hive]\nfrom = \"foam-two-box\"".to_owned(),
            "hive.from",
            [
                "\"foam-two-box\" is unknown, nearest is 'foam-two-boxes'",
                "hollow-log",
            ],
        ),
        (
            format!("{from}lid = \"insulated\""),
            "hive.lid",
            ["nearest is 'insulated-lid'", "shavings-lid"],
        ),
        (
            format!("{from}floor = \"screened\""),
            "hive.floor",
            ["nearest is 'screened-", "solid-board"],
        ),
        (
            format!("{from}floor = \"shavings-lid\""),
            "hive.floor",
            ["\"shavings-lid\" is unknown", "solid-board"],
        ),
        (
            "[hive]\nfrom = 3".to_owned(),
            "hive.from",
            ["a text is needed", "thin-softwood-one-box"],
        ),
        (
            format!("{from}title = \"x\""),
            "hive.title",
            ["unknown key", "from"],
        ),
    ] {
        let error = read(&hive).expect_err(&hive);
        let message = error.to_string();
        assert_eq!(error.field, place, "{message}");
        assert!(
            message.starts_with("yard.toml:") && error.line.is_some(),
            "{message}"
        );
        assert!(said.iter().all(|said| message.contains(said)), "{message}");
    }
}

#[test]
fn frames_that_do_not_fit_are_told_at_the_line_of_the_keeper() {
    let cavity = "cavity = { width = \"300 mm\", length = \"465 mm\", box_height = \"244 mm\" }";
    let error = read(&format!(
        "[hive]\nfrom = \"thin-softwood-one-box\"\n{cavity}"
    ))
    .unwrap_err();
    assert_eq!(error.field, "hive.cavity");
    assert_eq!(error.file, Path::new("yard.toml"));
}

#[test]
fn hives_are_listed_with_their_conductances_in_both_systems() {
    let yard = Yard::new();
    let out = yard.succeed(&["hives"]);
    for entry in library() {
        let listed =
            |line: &str| line.trim_start().starts_with(entry.name) && line.ends_with(entry.title);
        assert!(out.lines().any(listed), "{}: {out}", entry.name);
    }
    let listing: Value = serde_json::from_str(&yard.succeed(&["hives", "--json"])).expect("JSON");
    for hive in listing["hives"].as_array().expect("hives") {
        let w_k = |key: &str| hive[key].as_f64().expect("a number");
        let sum_w_k = w_k("surfaces_w_k") + w_k("air_w_k");
        assert!((w_k("whole_w_k") - sum_w_k).abs() < 1e-12, "{hive}");
        let name = hive["name"].as_str().expect("a name");
        let row = |out: &str| -> Vec<f64> {
            let line = out
                .lines()
                .find(|line| line.trim_start().starts_with(name))
                .expect("a row");
            let cells = line.split_whitespace().skip(1).take(3);
            cells.map(|cell| cell.parse().expect("a number")).collect()
        };
        assert!(
            (row(&out)[0] - w_k("whole_w_k")).abs() <= 0.005 + 1e-9,
            "{out}"
        );
        // 1 W/K is 1.8956 Btu/h F.
        let us = yard.succeed(&["hives", "--units", "us"]);
        assert!(
            (row(&us)[1] - 1.895_634 * w_k("surfaces_w_k")).abs() <= 0.005 + 1e-6,
            "{us}"
        );
    }
    assert_eq!(listing["floors"][1]["layers_m2k_w"], Value::Null);
}

#[test]
fn the_lines_of_a_hive_are_a_hive_in_a_file() {
    let yard = Yard::new();
    let lines = yard.succeed(&["hives", "sandwich-two-boxes"]);
    let scenario = read(&lines).expect("a scenario");
    assert!(scenario.hive.wall[1].framing.is_some());
    let json: Value =
        serde_json::from_str(&yard.succeed(&["hives", "Hollow log", "--json"])).expect("JSON");
    assert!(
        json["text"]
            .as_str()
            .expect("lines")
            .starts_with("[hive]\n")
    );
    yard.refuse(
        &["hives", "hollow-tree"],
        &["\"hollow-tree\"", "nearest is 'hollow-log'", "solid-board"],
    );
}
