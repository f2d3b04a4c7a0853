//! `overwinter fit` through the program, on weights that `overwinter trace` made.

mod program;

use program::{Yard, column, table};
use serde_json::Value;

/// Noon weights of the sample's coldest winter in pounds, from the 20th to the 80th day.
fn weights(yard: &Yard) -> String {
    let trace = table(&yard.succeed(&["trace", "--csv"]));
    let kg = column(&trace, "gross_kg");
    let noons = (20..80).map(|day| day * 24 + 11);
    let rows = noons.map(|hour| {
        let date = trace.1[hour][0].split('T').next().expect("a date");
        format!("{date},{:.2}\n", kg[hour] / 0.453_592_37)
    });
    format!("date,weight_lb\n{}", rows.collect::<String>())
}

#[test]
fn weights_of_a_trace_are_fitted_and_a_snippet_is_offered_that_runs() {
    let yard = Yard::new();
    yard.write("hive.csv", weights(&yard));
    let asked = ["fit", "--scale", "hive.csv", "--draws", "50"];
    let out = yard.succeed(&[&asked[..], &["--threads", "1", "--out", "told"]].concat());
    let lines: Vec<&str> = out.lines().collect();
    assert!(lines[0].contains("hive.csv fitted to winter"), "{out}");
    for (line, begin) in lines[1..4]
        .iter()
        .zip(["Honey used ", "Weights ", "Draws "])
    {
        assert!(line.starts_with(begin), "{line}");
    }
    assert!(out.contains("A fit holds for the model"), "{out}");
    assert!(!out.contains("NaN"), "{out}");

    let json = yard.succeed(&[&asked[..], &["--json", "--threads", "2"]].concat());
    assert_eq!(yard.text("told/fit.json"), json);
    let fit: Value = serde_json::from_str(&json).expect("JSON");
    for key in ["program", "seed", "fingerprint", "weather"] {
        assert!(!fit["provenance"][key].is_null(), "{key}");
    }
    yard.refuse(
        &[&asked[..], &["--out", "told"]].concat(),
        &["told: is there already", "--force"],
    );
    let snippet = fit["snippet"].as_str().expect("a snippet");
    let toml = yard.text("told/fitted.toml");
    assert!(
        toml.starts_with("# Fitted to hive.csv, ") && toml.ends_with(snippet),
        "{toml}"
    );
    // A start of brood that is pasted must be moved by warmth as it was in the fit.
    assert!(snippet.contains("brood_warm_days = 10"), "{snippet}");
    yard.succeed(&["new", "oak.toml"]);
    let text = yard.text("oak.toml");
    let (colony, parameters) = snippet.split_once("[parameters]").expect("both");
    let text = text
        .lines()
        .filter(|line| !line.starts_with("bees =") && !line.starts_with("spread ="))
        .map(|line| if line == "[colony]" { colony } else { line })
        .collect::<Vec<_>>()
        .join("\n");
    yard.write("oak.toml", format!("{text}\n[parameters]{parameters}"));
    yard.succeed(&["run", "oak.toml", "--members", "2"]);
}

#[test]
fn weights_that_nothing_can_be_fitted_to_are_refused() {
    let yard = Yard::new();
    let refuse = |text: &str, says: &[&str]| {
        yard.write("hive.csv", text);
        yard.refuse(&["fit", "--scale", "hive.csv", "--draws", "50"], says);
    };
    yard.refuse(&["fit"], &["--scale"]);
    yard.refuse(
        &["fit", "--scale", "no.csv"],
        &["no.csv: cannot be read", "check the path"],
    );
    refuse("date,weight\n2013-11-01,40\n", &["hive.csv:2: ", "unit"]);
    refuse(
        "when,weight_kg\n2013-11-01,40\n",
        &["hive.csv:1: has the columns when"],
    );
    refuse(
        "date,weight_kg\n1950-11-01,40\n1950-11-02,40\n",
        &["from 1950-11-01 to 1950-11-02", "first_forage"],
    );
    refuse(
        "date,weight_kg\n2013-11-01,40\n2013-11-02,40\n",
        &["cover 1 days", "21 days"],
    );
    refuse("", &["hive.csv:1: is empty"]);
    refuse(
        "date,weight_kg\n2013-11-01,40\n",
        &["cover 0 days", "21 days"],
    );
    refuse(
        "date,weight_kg\n31/12/2013,40\n",
        &["hive.csv:2: '31/12/2013' may mean two days", "yyyy-mm-dd"],
    );
    refuse(
        "date,weight_kg\n2013-11-01,40,5\n",
        &["hive.csv:2: has 3 cells", "semicolons"],
    );
    yard.write("hive.csv", b"\xff\xfed\x00a\x00");
    let asked = ["fit", "--scale", "hive.csv"];
    yard.refuse(&asked, &["hive.csv:1: is not UTF-8", "CSV UTF-8"]);
    yard.write("hive.csv", weights(&yard));
    let fed = |day: &str, says: &[&str]| {
        yard.refuse(
            &[&asked[..], &["--fed", day, "--out", "told"]].concat(),
            says,
        );
    };
    fed("soon", &["--fed: 'soon' is no date", "2025-01-20"]);
    fed(
        "1999-01-20",
        &["--fed: 1999-01-20 is not within the weights"],
    );
}
