//! Draws of a batch through the program: they are the study's, those of `overwinter run`, and count in what tells cells apart.

use crate::studies::{cells, results, study};
use support::program::{Yard, column};

/// A study of one station whose cells are drawn so.
fn drawn(how: &str) -> Yard {
    let yard = study(1);
    let text = yard.text("study.toml");
    yard.write(
        "study.toml",
        text.replacen(
            "members = 3",
            &format!("members = 40\ndraws = \"{how}\""),
            1,
        ),
    );
    yard
}

fn mean_need_kg(yard: &Yard, how: &str) -> f64 {
    let json = yard.succeed(&[
        "run",
        "alone.toml",
        "--members",
        "40",
        "--seed",
        "7",
        "--draws",
        how,
        "--json",
    ]);
    let json: serde_json::Value = serde_json::from_str(&json).expect("JSON");
    json["summary"]["mean_need_kg"].as_f64().expect("a need")
}

#[test]
fn a_cell_has_the_figures_of_a_run_with_the_same_draws() {
    for how in ["plain", "sobol"] {
        let yard = drawn(how);
        yard.succeed(&["batch", "study.toml", "--out", "d"]);
        let alone = yard
            .text("thin.toml")
            .replacen("sample = true", "files = [\"weather/s1.csv\"]", 1)
            .replacen("latitude = 47.2", "latitude = 41", 1);
        yard.write("alone.toml", alone);
        let needs_kg = column(&results(&yard, "d"), "need_mean_kg");
        let run_kg = mean_need_kg(&yard, how);
        // Four decimals in the table.
        assert!(
            (needs_kg[0] - run_kg).abs() <= 5e-5,
            "{how}: {needs_kg:?} {run_kg}"
        );
        let other = if how == "plain" { "sobol" } else { "plain" };
        assert!((needs_kg[0] - mean_need_kg(&yard, other)).abs() > 1e-3);
    }
}

#[test]
fn draws_are_told_with_the_results_and_other_draws_make_every_cell_anew() {
    let yard = drawn("sobol");
    let said = yard.succeed(&["batch", "study.toml", "--out", "d"]);
    assert!(
        said.contains("40 members a cell along Sobol sequences"),
        "{said}"
    );
    let head = yard.text("d/results.csv");
    assert!(
        head.lines()
            .next()
            .is_some_and(|line| line.contains("along Sobol sequences"))
    );
    let json: serde_json::Value =
        serde_json::from_slice(&yard.read("d/summary.json")).expect("JSON");
    assert_eq!(json["provenance"]["draws"], "sobol");
    let sobol = cells(&yard, "d");

    let said = yard.succeed(&["batch", "study.toml", "--out", "d", "--draws", "plain"]);
    assert!(!said.contains("Sobol"), "{said}");
    let plain = cells(&yard, "d");
    assert_eq!(plain.len(), 2);
    for (name, cell) in &plain {
        assert_ne!(cell.bytes, sobol[name].bytes, "{name}");
    }
    // Parts of one are not put together with parts of the other.
    let part = |out: &str, shard: &str, how: &str| {
        yard.succeed(&[
            "batch",
            "study.toml",
            "--out",
            out,
            "--shard",
            shard,
            "--draws",
            how,
        ]);
    };
    part("one", "1/2", "sobol");
    part("two", "2/2", "plain");
    yard.refuse(
        &["merge", "one", "two"],
        &["two: is of another batch than one"],
    );

    let text = yard.text("study.toml");
    yard.write("wrong.toml", text.replacen("\"sobol\"", "\"even\"", 1));
    yard.refuse(
        &["batch", "wrong.toml", "--out", "d"],
        &["wrong.toml:4: draws: \"even\"", "plain"],
    );
}

#[test]
fn prices_change_no_cell() {
    let yard = drawn("plain");
    yard.succeed(&["batch", "study.toml", "--out", "d"]);
    let before = cells(&yard, "d");
    let priced = format!("{}\n[prices]\nhive = 140\n", yard.text("thin.toml"));
    yard.write("thin.toml", priced);
    yard.succeed(&["batch", "study.toml", "--out", "d"]);
    for (name, cell) in cells(&yard, "d") {
        assert_eq!(cell.modified, before[&name].modified, "{name}");
    }
}
