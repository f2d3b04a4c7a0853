//! Advice on stores and feed in `overwinter run`, through the program.

use serde_json::Value;
use support::program::{Yard, column, number, table};

fn run(stores: &str) -> (Value, String, Yard) {
    let yard = Yard::new();
    yard.succeed(&["new", "yard.toml"]);
    let text = yard
        .text("yard.toml")
        .replace("stores = \"15 kg\"", &format!("stores = \"{stores}\""));
    yard.write("yard.toml", text);
    let arguments = ["run", "yard.toml", "--members", "30", "--seed", "5"];
    let text = yard.succeed(&[&arguments[..], &["--out", "r"]].concat());
    let json = serde_json::from_str(&yard.text("r/summary.json")).expect("JSON");
    (json, text, yard)
}

#[test]
fn sugar_and_syrup_make_what_stores_lack() {
    let (json, text, _) = run("6 kg");
    assert!(text.contains("Lacking from 6.0 kg of stores."), "{text}");
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        text.contains("the warm hours (outside air of 10 °C or above)"),
        "{text}"
    );
    for (place, need) in [(0, 1), (1, 2), (2, 3), (3, 4)] {
        let need_kg = number(&json, &format!("/summary/needs/{need}/kg"));
        let feed = format!("/stores_advice/feeds/{place}");
        let lacking_kg = number(&json, &format!("{feed}/lacking_kg"));
        assert!((lacking_kg - (need_kg - 6.0)).abs() < 1e-9);
        let sugar_kg = number(&json, &format!("{feed}/sugar_kg"));
        // A kilogram of sugar makes 1.206 kg of stores, and a tenth goes for taking it in.
        assert!((sugar_kg * 1.206 * 0.9 - lacking_kg).abs() < 1e-9);
        // Two to one: 1.333 kg a litre, two thirds of it sugar.
        let litres = 1e3 * number(&json, &format!("{feed}/syrup_m3"));
        assert!((litres * 1.3333 * 2.0 / 3.0 - sugar_kg).abs() < 1e-3 * sugar_kg);
    }
}

#[test]
fn more_feed_and_more_certainty_must_be_earlier() {
    let (json, ..) = run("6 kg");
    let first = number(&json, "/stores_advice/first_day");
    let day = |feed: usize, share: usize| {
        let day = json.pointer(&format!("/stores_advice/feeds/{feed}/latest_days/{share}"));
        // None is before the first day that was looked at.
        day.expect("a day").as_f64().unwrap_or(first - 1.0)
    };
    for place in 0..3 {
        assert!(day(3, place) <= day(0, place), "{place}");
    }
    for feed in 0..4 {
        assert!(
            day(feed, 0) >= day(feed, 1) && day(feed, 1) >= day(feed, 2),
            "{feed}"
        );
        assert!(day(feed, 0) < 81.0, "{feed}: after 21 December");
    }
    assert!(day(0, 0) > first, "no day at all is in time");
}

#[test]
fn the_curve_counts_needs_and_the_runs_own_risk_stands_beside_it() {
    let (json, text, yard) = run("14 kg");
    let members = table(&yard.text("r/members.csv"));
    let needs = column(&members, "need_kg");
    let curve = json
        .pointer("/stores_advice/curve")
        .and_then(Value::as_array)
        .expect("a curve");
    assert!((3..=12).contains(&curve.len()), "{}", curve.len());
    for point in curve {
        let stores_kg = number(point, "/stores_kg");
        let more = needs.iter().filter(|need| **need > stores_kg).count() as f64 / 30.0;
        assert!(
            (number(point, "/needing_more/share") - more).abs() < 1e-9,
            "{stores_kg}"
        );
    }
    assert_eq!(number(&curve[0], "/needing_more/share"), 1.0);
    assert_eq!(number(&curve[curve.len() - 1], "/needing_more/share"), 0.0);
    assert_eq!(
        number(&json, "/stores_advice/starved/share"),
        number(&json, "/summary/starved")
    );
    let own = needs
        .iter()
        .zip(column(&members, "stores_kg"))
        .filter(|(need, stores)| *need > stores)
        .count();
    assert_eq!(number(&json, "/stores_advice/own/share"), own as f64 / 30.0);
    assert!(text.contains("needed more than they had"), "{text}");
}

#[test]
fn ample_stores_need_no_feed() {
    let (json, text, _) = run("40 kg");
    assert!(text.contains("nothing to feed"), "{text}");
    assert!(
        json.pointer("/stores_advice/feeds/3/latest_days/0")
            .expect("a place")
            .is_null()
    );
    assert_eq!(number(&json, "/stores_advice/feeds/3/sugar_kg"), 0.0);
}

#[test]
fn in_the_middle_of_winter_no_day_is_named_for_syrup() {
    let yard = Yard::new();
    yard.succeed(&["new", "yard.toml"]);
    let text = yard.text("yard.toml");
    let late = text
        .replace("start = \"1 October\"", "start = \"5 January\"")
        .replace("stores = \"15 kg\"", "stores = \"3 kg\"");
    assert_ne!(late, text);
    yard.write("yard.toml", late);
    let ask = ["run", "yard.toml", "--members", "10", "--seed", "5"];
    let text = yard.succeed(&ask);
    let feed = text.split("To have the honey of").nth(1).expect("feeds");
    let row = feed.lines().nth(1).expect("a row");
    assert_eq!(row.matches("too late").count(), 3, "{feed}");
    let json: Value =
        serde_json::from_str(&yard.succeed(&[&ask[..], &["--json"]].concat())).expect("JSON");
    assert_eq!(json["stores_advice"]["too_late"], true);
    let none = Value::Array(vec![Value::Null; 3]);
    for feed in json["stores_advice"]["feeds"].as_array().expect("feeds") {
        assert_eq!(feed["latest_days"], none);
    }
}
