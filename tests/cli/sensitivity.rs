//! `overwinter sensitivity` through the program.

use serde_json::Value;
use support::program::{Yard, column, table};

const ASKED: [&str; 5] = ["sensitivity", "--rows", "8", "--seed", "3"];

fn one_of(json: &Value, name: &str) -> Value {
    let factors = json["factors"].as_array().expect("factors");
    let found = factors.iter().find(|factor| factor["factor"] == name);
    found.unwrap_or_else(|| panic!("no {name}")).clone()
}

fn the_ranked_tables_are_told_and_few_rows_are_warned_of(out: &str) {
    let lines: Vec<&str> = out.lines().collect();
    assert!(
        lines[0].contains("8 rows of 13 factors, 232 members over 10 winters"),
        "{}",
        lines[0]
    );
    assert!(lines[1].starts_with("Honey need ") && lines[2].starts_with("Risk "));
    // A ranking that the note below calls untrustworthy is no headline.
    assert!(
        lines[2].ends_with(": too few to tell on what"),
        "{}",
        lines[2]
    );
    for says in [
        "What is not known about bees, and what learning it is worth",
        "What to measure better, the most telling first",
        "What to build or do differently",
        "`overwinter sweep`",
        "Note: 8 rows are few",
        "colonies starved: a yes or no",
        "Next to no part in it: ",
        "seed 3, 232 members",
        "an inch (25 mm) of foam board round the sides",
        "a wind break that halves the wind",
        "16 pairs of alike colonies",
    ] {
        assert!(out.contains(says), "{says} is not in {out}");
    }
    assert!(!out.contains("NaN"), "{out}");
}

#[test]
fn threads_change_nothing_and_files_hold_what_is_printed() {
    let yard = Yard::new();
    let out = yard.succeed(&[&ASKED[..], &["--threads", "1", "--out", "one"]].concat());
    let one = yard.text("one/sensitivity.json");
    let two = yard.succeed(&[&ASKED[..], &["--json", "--threads", "2"]].concat());
    assert_eq!(one, two);
    the_ranked_tables_are_told_and_few_rows_are_warned_of(&out);
    let json: Value = serde_json::from_str(&one).expect("JSON");
    let csv = table(&yard.text("one/sensitivity.csv"));
    assert_eq!(csv.1.len(), 13);
    assert_eq!(
        table(&yard.text("one/learning.csv")).0[..3],
        ["of", "learned", "kind"]
    );
    let totals = column(&csv, "need_total");
    assert!(totals.is_sorted_by(|a, b| a >= b), "{totals:?}");
    let most = json["factors"][0]["need"]["total"]
        .as_f64()
        .expect("a number");
    assert!((totals[0] - most).abs() < 1e-4);
    // Weighing frames or guts moves no honey.
    assert_eq!(one_of(&json, "frame_kg_m2")["need"]["total"], 0.0);
    // More honey at the start never starves more.
    assert!(one_of(&json, "stores")["starved"]["change"].as_f64() <= Some(0.0));
    for many in ["winter", "shared"] {
        assert_eq!(one_of(&json, many)["need"]["change"], Value::Null);
    }
    assert_eq!(one_of(&json, "joint_gap_m")["remedy"], "do");
    assert_eq!(one_of(&json, "stores")["remedy"], "measure");
    // Steps are ranked by the honey that they save.
    let steps = json["steps"].as_array().expect("steps");
    let mean = |step: &Value| step["need_kg"]["mean"].as_f64().expect("a number");
    assert!(steps.is_sorted_by(|a, b| mean(a) <= mean(b)), "{steps:?}");
}

#[test]
fn what_is_not_drawn_is_no_factor() {
    let yard = Yard::new();
    yard.succeed(&["new", "oak.toml"]);
    let known = yard
        .text("oak.toml")
        .replace("spread = \"15 %\"", "spread = \"0 %\"")
        + "\n[parameters]\nresting_w_kg = 2.6\n";
    yard.write("known.toml", known);
    let out = yard.succeed(&["sensitivity", "known.toml", "--rows", "8", "--json"]);
    let json: Value = serde_json::from_str(&out).expect("JSON");
    let names: Vec<&str> = json["factors"]
        .as_array()
        .expect("factors")
        .iter()
        .filter_map(|f| f["factor"].as_str())
        .collect();
    assert!(
        !names.contains(&"bees") && names.contains(&"shared"),
        "{names:?}"
    );
    let learned = json["learning"]["need"].as_array().expect("unknowns");
    assert!(learned.iter().all(|own| own["unknown"] != "resting_w_kg"));
    let steps = json["steps"].as_array().expect("steps").len();
    // Four sets, each with four colonies without and with each step.
    assert_eq!(json["members"], 8 * (names.len() + 2) + 16 * (1 + steps));
}

/// Sixty-four rows have 32 sets: few, so only what is plain is asked.
#[test]
fn what_moves_no_honey_is_not_worth_learning_and_shares_stay_within_all() {
    let yard = Yard::new();
    let out = yard.succeed(&["sensitivity", "--rows", "64", "--json"]);
    let json: Value = serde_json::from_str(&out).expect("JSON");
    let learning = &json["learning"];
    assert_eq!(
        (&learning["sets"], &learning["colonies"]),
        (&32.into(), &4.into())
    );
    let need = learning["need"].as_array().expect("unknowns");
    let share = |own: &Value| own["share"].as_f64().expect("a share");
    let sd = learning["need_kg"]["sd"].as_f64().expect("a mass");
    assert!(share(&need[0]) > 0.2 && sd > 0.1, "{need:?}");
    assert!(need[0]["sd_left_kg"].as_f64() < Some(0.9 * sd));
    // What guts hold and what drips move no honey; chance over so few sets may make a little of one.
    let idle = [
        "gut_limit_share",
        "gut_residue_kg_kg",
        "gut_brood_residue_kg_kg",
    ];
    let told = need
        .iter()
        .filter(|own| idle.iter().any(|name| own["unknown"] == *name));
    assert!(told.map(share).sum::<f64>() < 0.4, "{need:?}");
    for choice in learning["choices"].as_array().expect("choices") {
        let now = choice["loss_now_kg"].as_f64().expect("a mass");
        let flips = choice["flips"].as_f64().expect("a share");
        assert!(
            (0.0..=0.6).contains(&flips) && (now > 1e-9) == (flips > 0.0),
            "{choice}"
        );
        let all = ["unknowns", "measurements"].map(|kind| choice[kind].as_array().expect("some"));
        assert_eq!(all[1].len(), 5);
        for own in all.into_iter().flatten() {
            assert!((0.0..=1.0).contains(&share(own)), "{own}");
            let left = own["loss_left_kg"].as_f64().expect("a mass");
            assert!((0.0..=now).contains(&left), "{own} {now}");
        }
    }
}

#[test]
fn too_many_or_too_few_rows_are_refused() {
    let yard = Yard::new();
    yard.refuse(&["sensitivity", "--rows", "7"], &["8..=100000"]);
    yard.refuse(
        &["sensitivity", "--rows", "90000"],
        &["--rows", "more than the 1000000"],
    );
}
