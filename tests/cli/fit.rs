//! `overwinter fit` through the program, on weights that `overwinter trace` made.

use serde_json::Value;
use support::program::{Yard, column, table};

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
    // The trace is the scenario's own middle: no forecast of it can fail.
    assert!(
        lines[4].starts_with("Last autumn ") && lines[4].contains(" held: "),
        "{out}"
    );
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
    // The colony's own stays in the lines to paste, what all colonies share in the draws.
    assert!(!snippet.contains("resting_w_kg"), "{snippet}");
    let names = fit["shared"]["names"].as_array().expect("names");
    assert!(names.contains(&"resting_w_kg".into()) && !names.contains(&"brood_start_day".into()));
    let draws = fit["shared"]["draws"].as_array().expect("draws");
    assert!(
        draws
            .iter()
            .all(|draw| draw["values"].as_array().map(Vec::len) == Some(names.len()))
    );
    let weight = draws
        .iter()
        .filter_map(|draw| draw["weight"].as_f64())
        .sum::<f64>();
    assert!((weight - 1.0).abs() < 1e-9, "{weight}");
    let toml = yard.text("told/fitted.toml");
    assert!(
        toml.starts_with("# Fitted to hive.csv, ") && toml.ends_with(snippet),
        "{toml}"
    );
    assert!(snippet.contains("brood_start_rank = {"), "{snippet}");
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

/// Bees and stores of members, as printed.
fn colonies(yard: &Yard, folder: &str) -> [Vec<f64>; 2] {
    let members = table(&yard.text(&format!("{folder}/members.csv")));
    ["bees", "stores_kg"].map(|name| column(&members, name))
}

#[test]
fn a_fit_tells_other_colonies_of_bees_and_leaves_them_their_own() {
    let yard = Yard::new();
    yard.write("hive.csv", weights(&yard));
    yard.succeed(&[
        "fit", "--scale", "hive.csv", "--draws", "50", "--out", "told",
    ]);
    let with = ["--with", "told/fit.json"];
    let asked = ["run", "--members", "30", "--quiet"];
    yard.succeed(&[&asked[..], &["--out", "before"]].concat());
    let out = yard.succeed(&[&asked[..], &with, &["--out", "after"]].concat());
    assert!(out.contains("drawn as told/fit.json ("), "{out}");
    assert_eq!(colonies(&yard, "before"), colonies(&yard, "after"));
    let need = |folder: &str| {
        column(
            &table(&yard.text(&format!("{folder}/members.csv"))),
            "need_kg",
        )
    };
    assert_ne!(need("before"), need("after"));
    let page: Value = serde_json::from_str(&yard.text("after/report.json")).expect("JSON");
    assert!(
        page["repeat"]["command"]
            .as_str()
            .is_some_and(|own| own.ends_with("--with told/fit.json"))
    );
    let compared = [
        "compare",
        "--hive",
        "foam-two-boxes",
        "--members",
        "10",
        "--json",
    ];
    let json = yard.succeed(&[&compared[..], &with].concat());
    assert!(json.contains("told/fit.json ("), "{json}");
    yard.succeed(
        &[
            &["outlook", "--on", "15 January", "--members", "10"][..],
            &with,
        ]
        .concat(),
    );
    yard.succeed(&[&["sensitivity", "--rows", "8"][..], &with].concat());
}

#[test]
fn a_fit_of_another_form_or_with_values_that_cannot_be_is_refused_with_its_row() {
    let yard = Yard::new();
    yard.write("hive.csv", weights(&yard));
    yard.succeed(&[
        "fit", "--scale", "hive.csv", "--draws", "50", "--out", "told",
    ]);
    let fit: Value = serde_json::from_str(&yard.text("told/fit.json")).expect("JSON");
    let refuse = |change: &dyn Fn(&mut Value), says: &[&str]| {
        let mut fit = fit.clone();
        change(&mut fit);
        yard.write("fit.json", fit.to_string());
        yard.refuse(&["run", "--members", "2", "--with", "fit.json"], says);
    };
    let name = fit["shared"]["names"][1]
        .as_str()
        .expect("a name")
        .to_owned();
    refuse(
        &|fit| fit["format"] = 99.into(),
        &["fit.json: has format 99", "reads 1"],
    );
    refuse(
        &|fit| fit["format"] = Value::Null,
        &["fit.json: has no format"],
    );
    refuse(
        &|fit| fit["parameters"] = "0123456789abcdef".into(),
        &["another table of parameters (0123456789abcdef"],
    );
    refuse(
        &|fit| fit["shared"]["draws"][2]["values"][1] = 1e9.into(),
        &[&format!(
            "fit.json: shared: row 3: {name} is 1000000000, outside"
        )],
    );
    refuse(
        &|fit| fit["shared"]["names"][1] = "wing_beat_hz".into(),
        &["'wing_beat_hz' is no parameter that all colonies share"],
    );
    refuse(
        &|fit| fit["shared"]["names"][1] = "brood_start_day".into(),
        &["'brood_start_day' is no parameter that all colonies share"],
    );
    refuse(
        &|fit| fit["shared"]["draws"][0]["weight"] = (-0.1).into(),
        &["row 1: a weight of -0.1"],
    );
    refuse(
        &|fit| fit["shared"] = Value::Null,
        &["fit.json: is no file of a fit"],
    );
    yard.write("fit.json", "no JSON");
    let asked = ["compare", "--hive", "foam-two-boxes", "--with"];
    yard.refuse(
        &[&asked[..], &["fit.json"]].concat(),
        &["--with: fit.json: is no file of a fit"],
    );
    yard.refuse(
        &[&asked[..], &["none.json"]].concat(),
        &["--with: none.json: cannot be read"],
    );
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
