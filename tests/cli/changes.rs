//! Changes of the hive through the program: told by `run`, `trace` and `heatloss` in text, JSON and CSV, and only where there are any.

use serde_json::Value;
use support::program::{Yard, table};

const CHANGES: &str = r#"[[hive.change]]
from = "15 November"
until = "1 March"
wrap = ["1 1/2 in xps"]
[[hive.change]]
below = "0 °C"
vents = "corked"
[colony]"#;

/// A yard with the starter as `plain.toml`, and as `changed.toml` with two changes.
fn yard() -> Yard {
    let yard = Yard::new();
    yard.succeed(&["new", "plain.toml"]);
    let starter = yard.text("plain.toml");
    assert_eq!(starter.matches("\n[colony]").count(), 1);
    yard.write("changed.toml", starter.replace("[colony]", CHANGES));
    yard
}

fn json(yard: &Yard, arguments: &[&str]) -> Value {
    serde_json::from_str(&yard.succeed(arguments)).expect("JSON")
}

#[test]
fn run_tells_on_how_many_days_each_change_held() {
    let yard = yard();
    let arguments = ["run", "changed.toml", "--members", "10"];
    let out = yard.succeed(&arguments);
    // 16 days of November, 31, 31 and 28 or 29: three of the ten winters have a 29 February.
    let wrap = "1 from 15 November until 1 March: wrap";
    let line = out.lines().find(|line| line.contains(wrap)).expect(wrap);
    assert!(line.ends_with(" 106"), "{line}");
    let all = json(&yard, &[&arguments[..], &["--json"]].concat());
    let changes = all["changes"].as_array().expect("a list");
    let days = |number: usize| changes[number]["days"].as_f64().expect("a number");
    assert!((days(0) - 106.3).abs() < 1e-9, "{}", days(0));
    assert_eq!(changes[1]["when"], "below 0.0 °C");
    assert_eq!(changes[1]["alters"], serde_json::json!(["vents"]));
    let cork = "2 below 0.0 °C: vents";
    let line = out.lines().find(|line| line.contains(cork)).expect("cork");
    assert!(line.ends_with(&format!(" {:.0}", days(1))), "{line}");
    assert!(days(1) > 50.0 && days(1) < 190.0);

    let us = yard.succeed(&[&arguments[..], &["--units", "us"]].concat());
    assert!(us.contains("2 below 32.0 °F: vents"), "{us}");
    let plain = yard.succeed(&["run", "plain.toml", "--members", "10"]);
    assert!(!plain.contains("Change of the hive"), "{plain}");
}

#[test]
fn trace_tells_the_changes_of_every_hour_and_day() {
    let yard = yard();
    let trace = ["trace", "changed.toml", "--winter", "2018-19"];
    let (head, rows) = table(&yard.succeed(&[&trace[..], &["--csv"]].concat()));
    let place = head.iter().position(|name| name == "changes");
    let place = place.expect("a column of changes");
    let with = |number: &str| {
        let hours = rows.iter();
        hours
            .filter(|row| row[place].split(' ').any(|in_force| in_force == number))
            .count()
    };
    // The hour that ends at 01:00 is the first of a day.
    let first = rows.iter().find(|row| row[place].contains('1'));
    assert_eq!(first.expect("an hour")[0], "2018-11-15T01:00");
    assert_eq!(with("1"), 106 * 24);
    let all = json(&yard, &[&trace[..], &["--json"]].concat());
    let days = all["days"].as_array().expect("days");
    let corked = days
        .iter()
        .filter(|day| {
            day["changes"]
                .as_array()
                .expect("a list")
                .contains(&2.into())
        })
        .count();
    assert_eq!(with("2"), corked * 24);
    let out = yard.succeed(&trace);
    assert!(out.contains(&format!("{corked} of 201")), "{out}");
    assert!(out.contains("106 of 201"), "{out}");
}

#[test]
fn heatloss_tells_the_whole_of_each_change() {
    let yard = yard();
    let all = json(&yard, &["heatloss", "changed.toml", "--json"]);
    let plain = json(&yard, &["heatloss", "plain.toml", "--json"]);
    assert_eq!(all["loss"], plain["loss"]);
    assert_eq!(plain["changes"], serde_json::json!([]));
    let whole = |value: &Value| value["whole_w_k"].as_f64().expect("a number");
    let wrapped = json_of_a_hive_built_so(&yard, "wall = [\"19 mm softwood\", \"1 1/2 in xps\"]");
    assert_eq!(whole(&all["changes"][0]), whole(&wrapped));
    let out = yard.succeed(&["heatloss", "changed.toml"]);
    let line = format!("until 1 March: wrap {:>8.2} W/K", whole(&wrapped));
    let words = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words(&out).contains(&words(&line)), "{out}");
}

/// The heat loss of the starter with another wall.
fn json_of_a_hive_built_so(yard: &Yard, wall: &str) -> Value {
    let starter = yard.text("plain.toml");
    let own = "wall = [\"19 mm softwood\"]";
    assert_eq!(starter.matches(own).count(), 1);
    yard.write("built.toml", starter.replace(own, wall));
    json(yard, &["heatloss", "built.toml", "--json"])
}
