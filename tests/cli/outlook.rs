//! `overwinter outlook` through the program.

use serde_json::Value;
use support::program::{Yard, number};

const ASKED: [&str; 7] = [
    "outlook",
    "--on",
    "15 January",
    "--members",
    "30",
    "--seed",
    "5",
];

fn outlook(more: &[&str]) -> String {
    Yard::new().succeed(&[&ASKED, more].concat())
}

fn json(more: &[&str]) -> Value {
    let text = outlook(&[more, &["--json"]].concat());
    serde_json::from_str(&text).expect("JSON")
}

#[test]
fn the_first_lines_are_today_and_the_odds() {
    let out = outlook(&["--stores", "9 kg"]);
    let lines: Vec<&str> = out.lines().collect();
    assert!(lines[0].contains("from 15 January to 20 April, 30 members over 10 winters"));
    let begins = ["Today ", "Still needed ", "Risk ", "When ", "Feeding "];
    for (line, begin) in lines[1..6].iter().zip(begins) {
        assert!(line.starts_with(begin), "{line}");
    }
    assert!(out.contains("Caution: less than 10.0 kg of honey"), "{out}");
    assert!(out.contains("No syrup below 10 °C"), "{out}");
    assert!(!out.contains("NaN"), "{out}");
}

#[test]
fn feeding_more_never_starves_more() {
    let outlook = json(&["--stores", "6 kg"]);
    let starved: Vec<f64> = (0..4)
        .map(|feed| number(&outlook, &format!("/outlook/feeds/{feed}/starved")))
        .collect();
    assert!(
        starved.is_sorted_by(|more, less| more >= less),
        "{starved:?}"
    );
    assert!(starved[0] > starved[3], "{starved:?}");
    assert_eq!(number(&outlook, "/outlook/feeds/3/feed_kg"), 10.0);
    assert_eq!(number(&outlook, "/outlook/members"), 30.0);
}

#[test]
fn stores_are_spread_as_the_scenario_spreads_them_and_a_weight_by_hive_and_bees() {
    let by_stores = json(&["--stores", "9 kg"]);
    let median_kg = number(&by_stores, "/outlook/stores_kg/1");
    assert!((median_kg - 9.0).abs() < 0.5, "{median_kg}");
    let gross_kg = number(&by_stores, "/outlook/gross_kg/1");
    let by_weight = json(&["--weight", &format!("{gross_kg:.2} kg")]);
    for place in 0..3 {
        let weighed_kg = number(&by_weight, &format!("/outlook/gross_kg/{place}"));
        assert!((weighed_kg - gross_kg).abs() < 0.01, "{weighed_kg}");
    }
    let honey_kg = number(&by_weight, "/outlook/stores_kg/1");
    assert!((honey_kg - 9.0).abs() < 1.0, "{honey_kg}");
    // A hive that its keeper has weighed empty is known better.
    let spread = |outlook: &Value| {
        number(outlook, "/outlook/stores_kg/2") - number(outlook, "/outlook/stores_kg/0")
    };
    let yard = Yard::new();
    yard.succeed(&["new", "oak.toml"]);
    let text = yard.text("oak.toml");
    yard.write("oak.toml", text.replace("# tare =", "tare ="));
    let asked = [&["outlook", "oak.toml"], &ASKED[1..]].concat();
    let weighed = yard.succeed(&[&asked[..], &["--weight", "34 kg", "--json"]].concat());
    let weighed: Value = serde_json::from_str(&weighed).expect("JSON");
    assert!(spread(&weighed) < spread(&by_weight));
}

#[test]
fn without_stores_the_odds_are_those_of_the_scenario() {
    let outlook = json(&[]);
    let alive = number(&outlook, "/outlook/members") + number(&outlook, "/outlook/ended_before");
    assert_eq!(alive, 30.0);
    let run = Yard::new().succeed(&["run", "--members", "30", "--seed", "5", "--json"]);
    let run: Value = serde_json::from_str(&run).expect("JSON");
    let here = number(&outlook, "/outlook/feeds/0/starved") * number(&outlook, "/outlook/members");
    let starved_before = number(&outlook, "/outlook/ended_before");
    let there = number(&run, "/summary/starved") * 30.0;
    // The sample chills none, so all that ended before had starved.
    assert!(
        (here + starved_before - there).abs() < 1e-9,
        "{here} {there}"
    );
}

#[test]
fn the_same_seed_gives_the_same_bytes_on_any_number_of_threads() {
    let one = outlook(&["--stores", "8 kg", "--threads", "1"]);
    let two = outlook(&["--stores", "8 kg", "--threads", "2"]);
    assert_eq!(one, two);
}

#[test]
fn pounds_are_shown_without_a_kilogram() {
    let out = outlook(&["--stores", "20 lb", "--units", "us", "--feed", "4 lb"]);
    assert!(out.contains("4 lb") && out.contains("nothing"), "{out}");
    assert!(!out.contains(" kg"), "{out}");
}

#[test]
fn what_cannot_be_is_refused_with_what_can() {
    let yard = Yard::new();
    let refuse = |arguments: &[&str], says: &[&str]| {
        yard.refuse(&[&["outlook", "--members", "4"], arguments].concat(), says);
    };
    refuse(&[], &["--on"]);
    refuse(&["--on", "sometime"], &["--on: 'sometime'", "15 January"]);
    refuse(&["--on", "29 February"], &["--on: '29 February'"]);
    refuse(
        &["--on", "1 July"],
        &[
            "--on: 1 July is outside",
            "1 October to the day before 20 April",
        ],
    );
    refuse(&["--on", "20 April"], &["--on: 20 April is outside"]);
    let on = |more: &[&str], says: &[&str]| {
        refuse(&[&["--on", "2026-01-15"], more].concat(), says);
    };
    on(&["--stores", "9"], &["--stores", "unit"]);
    on(
        &["--stores", "900 kg"],
        &["--stores: 900 kg is not from 0.1 kg to 200 kg"],
    );
    on(
        &["--stores", "150 kg"],
        &["--stores: 150 kg of honey do not fit into this hive"],
    );
    on(&["--stores", "nan kg"], &["--stores"]);
    on(&["--stores", "-9 kg"], &["--stores"]);
    on(&["--stores", "9 kg", "--weight", "30 kg"], &["--weight"]);
    on(
        &["--weight", "180 kg"],
        &["--weight: 180 kg would be", "hold", "tare", "snow"],
    );
    on(
        &["--weight", "12 kg"],
        &[
            "--weight: 12 kg is less than hive, frames and bees weigh",
            "tare",
        ],
    );
    on(
        &["--bees", "3"],
        &["--bees: 3 bees are not from 500 to 100000"],
    );
    on(&["--seams", "30"], &["--seams: 30 is not from 1 to 11"]);
    on(&["--mass", "90 kg"], &["--mass: 90 kg is not from"]);
    on(&["--feed", "90 kg"], &["--feed: 90 kg is not from"]);
}

#[test]
fn results_go_to_a_folder_whole_with_what_made_them() {
    let yard = Yard::new();
    let asked = [
        &ASKED[..],
        &["--stores", "8 kg", "--feed", "3 kg", "--out", "rest"],
    ]
    .concat();
    yard.succeed(&asked);
    let json: Value = serde_json::from_str(&yard.text("rest/outlook.json")).expect("JSON");
    for key in ["program", "seed", "fingerprint", "weather"] {
        assert!(!json["provenance"][key].is_null(), "{key}");
    }
    let text = yard.text("rest/outlook.csv");
    let lines: Vec<&str> = text.lines().collect();
    assert!(lines[0].starts_with("# overwinter ") && lines[0].contains("seed 5"));
    assert!(lines[1].starts_with("member,winter,bees,"), "{}", lines[1]);
    // Every member found alive, with and without feed.
    assert_eq!(lines.len(), 2 + 2 * 30);
    let ended = lines[2..]
        .iter()
        .filter(|line| line.contains(",0.000,") && !line.contains(",alive at first forage,"));
    assert_eq!(
        ended.count() as f64 / 30.0,
        number(&json, "/outlook/feeds/0/starved") + number(&json, "/outlook/feeds/0/chilled")
    );
    yard.refuse(&asked, &["rest: is there already", "--force"]);
    yard.succeed(&[&asked[..], &["--force"]].concat());
    yard.refuse(
        &["outlook", "--on", "1 July", "--out", "other"],
        &["--on: 1 July is outside"],
    );
}
