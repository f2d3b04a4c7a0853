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
    let asked = ["fit", "--scale", "hive.csv", "--draws", "60"];
    let out = yard.succeed(&asked);
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

    let fit: Value =
        serde_json::from_str(&yard.succeed(&[&asked[..], &["--json"]].concat())).expect("JSON");
    let snippet = fit["snippet"].as_str().expect("a snippet");
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
    yard.write("hive.csv", weights(&yard));
    yard.refuse(
        &["fit", "--scale", "hive.csv", "--fed", "soon"],
        &["--fed: 'soon' is no date", "2025-01-20"],
    );
}
