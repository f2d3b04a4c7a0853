//! `overwinter compare` through the program.

use serde_json::Value;
use support::program::{Yard, column, number, table};

const PRICES: &str =
    "\n[prices]\nhive = 120\nhoney_per_kg = 8\ncolony = 150\nlibrary = { foam-two-boxes = 190 }\n";
const FEW: [&str; 4] = ["--members", "20", "--seed", "5"];

/// A folder with the starter scenario and prices.
fn yard() -> Yard {
    let yard = Yard::new();
    yard.succeed(&["new", "yard.toml"]);
    let text = yard.text("yard.toml");
    yard.write("yard.toml", text + PRICES);
    yard
}

#[test]
fn a_library_hive_is_compared_with_the_scenarios_own() {
    let yard = yard();
    let arguments = [
        &["compare", "yard.toml", "--hive", "foam-two-boxes"],
        &FEW[..],
    ]
    .concat();
    let out = yard.succeed(&arguments);
    assert!(
        out.starts_with("The same 20 draws over the same 10 winters"),
        "{out}"
    );
    for words in [
        "B against A",
        "  Honey needed ",
        "  Risk ",
        "  Left in spring ",
        "  Money           costs 70 more",
        "B made by",
    ] {
        assert!(out.contains(words), "{words}: {out}");
    }
    assert!(!out.contains("NaN"), "{out}");
    let us = yard.succeed(&[&arguments[..], &["--units", "us"]].concat());
    assert!(us.contains(" lb") && !us.contains(" kg"), "{us}");
}

#[test]
fn what_is_not_known_about_bees_has_a_range_that_says_whether_the_direction_is_certain() {
    let yard = yard();
    let few = yard.succeed(&["compare", "--hive", "foam-two-boxes", "--members", "90"]);
    let words = few.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("--members 1000 tells"), "{few}");
    let asked = ["compare", "--hive", "foam-two-boxes", "--members", "100"];
    let text = yard.succeed(&asked);
    let json: Value =
        serde_json::from_str(&yard.succeed(&[&asked[..], &["--json"]].concat())).expect("JSON");
    let need = "/entries/1/against_first/need_kg";
    assert_eq!(number(&json, &format!("{need}/shared/sets")), 10.0);
    let [low, high] = ["p05", "p95"].map(|end| number(&json, &format!("{need}/shared/{end}")));
    let line = text.lines().find(|line| line.contains("Honey needed  "));
    let line = line.expect("a verdict");
    assert!(
        line.contains("given what is not known about bees"),
        "{line}"
    );
    assert_eq!(
        line.contains("direction uncertain"),
        low < 0.0 && high > 0.0,
        "{line}"
    );
}

#[test]
fn the_pairs_table_has_the_differences_of_the_comparison() {
    let yard = yard();
    let arguments = [
        &[
            "compare",
            "yard.toml",
            "--hive",
            "foam-two-boxes",
            "--json",
            "--out",
            "c",
        ],
        &FEW[..],
    ]
    .concat();
    let json: Value = serde_json::from_str(&yard.succeed(&arguments)).expect("JSON");
    assert_eq!(
        yard.text("c/comparison.json"),
        yard.succeed(&[&arguments[..], &["--force"]].concat())
    );
    let pairs = table(&yard.text("c/pairs.csv"));
    assert_eq!(pairs.1.len(), 20);
    let (a, b) = (column(&pairs, "need_kg_a"), column(&pairs, "need_kg_b"));
    let mean = a.iter().zip(&b).map(|(a, b)| b - a).sum::<f64>() / 20.0;
    let against = "/entries/1/against_first";
    assert!((number(&json, &format!("{against}/need_kg/mean")) - mean).abs() < 1e-4);
    let less = a.iter().zip(&b).filter(|(a, b)| b < a).count();
    assert_eq!(
        number(&json, &format!("{against}/needs_less/share")),
        less as f64 / 20.0
    );
    assert_eq!(column(&pairs, "bees_a"), column(&pairs, "bees_b"));
    assert_eq!(
        number(&json, &format!("{against}/money/prices/extra")),
        70.0
    );
}

#[test]
fn another_hive_in_a_comparison_changes_no_other_hives_figures() {
    let yard = yard();
    let two = [
        "compare",
        "yard.toml",
        "--hive",
        "thin-softwood-three-boxes",
        "--out",
        "two",
    ];
    let three = [
        "compare",
        "yard.toml",
        "--hive",
        "thin-softwood-three-boxes",
        "--hive",
        "foam-two-boxes",
        "--threads",
        "1",
        "--out",
        "three",
    ];
    yard.succeed(&[&two[..], &FEW].concat());
    yard.succeed(&[&three[..], &FEW].concat());
    let rows = |name: &str| -> Vec<String> {
        let lines = yard.text(name);
        lines
            .lines()
            .skip(1)
            .map(|line| line.split(',').take(14).collect::<Vec<_>>().join(","))
            .collect()
    };
    assert_eq!(rows("two/pairs.csv"), rows("three/pairs.csv"));
    // And a run by itself gives the same members.
    yard.succeed(&[&["run", "yard.toml", "--out", "one"], &FEW[..]].concat());
    let alone = table(&yard.text("one/members.csv"));
    let pairs = table(&yard.text("two/pairs.csv"));
    assert_eq!(column(&alone, "need_kg"), column(&pairs, "need_kg_a"));
}

#[test]
fn a_hive_against_itself_is_the_same() {
    let yard = yard();
    let out = yard.succeed(&[&["compare", "sample", "yard.toml"], &FEW[..]].concat());
    assert!(out.contains("Honey needed    no pair differs"), "{out}");
    assert!(
        out.contains("more starve, sampling; no number of members is likely to tell"),
        "{out}"
    );
}

#[test]
fn what_cannot_be_compared_is_refused_with_the_reason() {
    let yard = yard();
    let later = yard
        .text("yard.toml")
        .replace("\"1 October\"", "\"15 October\"");
    yard.write("later.toml", later);
    yard.write(
        "priced.toml",
        yard.text("yard.toml")
            .replace("foam-two-boxes = 190", "foam-two-boxs = 190"),
    );
    yard.refuse(
        &["compare", "yard.toml", "later.toml"],
        &[
            "later.toml has other winters than yard.toml",
            "from 15 October",
        ],
    );
    yard.refuse(
        &["compare", "yard.toml"],
        &["1 given", "--hive foam-two-boxes"],
    );
    yard.refuse(
        &["compare", "--hive", "foam"],
        &["--hive", "is no hive of the library"],
    );
    yard.refuse(
        &["compare", "priced.toml", "yard.toml"],
        &[
            "priced.toml:",
            "prices.library.foam-two-boxs",
            "nearest is 'foam-two-boxes'",
        ],
    );
}
