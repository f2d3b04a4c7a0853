//! `--precision` and `--draws` through the program.

use serde_json::Value;
use support::program::{Yard, column, number, table};

/// The sample with ten colonies to begin with.
const TEN: [&str; 5] = ["run", "--members", "10", "--seed", "5"];

#[test]
fn members_double_until_the_risk_is_as_precise_as_asked() {
    let yard = Yard::new();
    let asked = [&TEN[..], &["--precision", "risk 11%"]].concat();
    let out = yard.succeed(&[&asked[..], &["--out", "p"]].concat());
    let json: Value = serde_json::from_str(&yard.text("p/summary.json")).expect("JSON");
    let members = number(&json, "/precision/members");
    assert!([20.0, 40.0, 80.0].contains(&members), "{members}");
    assert_eq!(number(&json, "/summary/members"), members);
    assert!(number(&json, "/precision/half_width") <= 0.11);
    assert!(
        json.pointer("/precision/members_needed")
            .expect("a key")
            .is_null()
    );
    assert!(out.contains("Precision       risk to "), "{out}");
    // It is the run with so many members.
    let count = format!("{members:.0}");
    yard.succeed(&["run", "--members", &count, "--seed", "5", "--out", "r"]);
    assert_eq!(yard.text("p/members.csv"), yard.text("r/members.csv"));
}

#[test]
fn what_cannot_be_reached_says_how_many_members_it_would_take() {
    let yard = Yard::new();
    let asked = [
        &TEN[..],
        &["--most", "20", "--precision", "need 0.05 kg", "--json"],
    ]
    .concat();
    let json: Value = serde_json::from_str(&yard.succeed(&asked)).expect("JSON");
    assert_eq!(number(&json, "/precision/members"), 20.0);
    let half = number(&json, "/precision/half_width");
    let needed = number(&json, "/precision/members_needed");
    assert!(
        (needed - (20.0 * half * half / 0.0025).ceil()).abs() <= 1.0,
        "{needed}"
    );
    let text = yard.succeed(&asked[..asked.len() - 1]);
    assert!(text.contains("would be needed (--most)"), "{text}");
}

#[test]
fn sobol_draws_are_others_are_told_and_are_the_same_for_any_threads() {
    let yard = Yard::new();
    let few = ["run", "--members", "20", "--seed", "5", "--out"];
    yard.succeed(&[&few[..], &["plain"]].concat());
    let out = yard.succeed(&[&few[..], &["one", "--draws", "sobol", "--threads", "1"]].concat());
    yard.succeed(&[&few[..], &["two", "--draws", "sobol", "--threads", "2"]].concat());
    assert!(out.contains("20 members along Sobol sequences"), "{out}");
    assert_eq!(yard.text("one/members.csv"), yard.text("two/members.csv"));
    let bees = |name: &str| column(&table(&yard.text(name)), "bees");
    assert_ne!(bees("plain/members.csv"), bees("one/members.csv"));
    yard.succeed(&["new", "yard.toml"]);
    let text = yard
        .text("yard.toml")
        .replace("[ensemble]", "[ensemble]\ndraws = \"sobol\"");
    yard.write("yard.toml", text);
    yard.succeed(&[
        "run",
        "yard.toml",
        "--members",
        "20",
        "--seed",
        "5",
        "--out",
        "file",
    ]);
    assert_eq!(bees("file/members.csv"), bees("one/members.csv"));
}

#[test]
fn a_precision_that_is_none_is_refused() {
    let yard = Yard::new();
    yard.refuse(
        &["run", "--precision", "honey 1 kg"],
        &["--precision", "\"risk 1%\""],
    );
    yard.refuse(&["run", "--precision", "risk 1 kg"], &["--precision"]);
    yard.refuse(
        &["run", "--precision", "need 0 kg"],
        &["--precision", "from 0.001 kg to 10 kg"],
    );
    yard.refuse(&["run", "--most", "50"], &["--precision"]);
}
