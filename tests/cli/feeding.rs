//! Feed and the place of honey through the program: told by `run`, `trace`, JSON and CSV, and only where there is any.

use serde_json::Value;
use support::program::{Yard, table};

const FEEDS: &str = r#"[colony]
stores_by_box = [1, 3]
cluster_box = 1
[[colony.feed]]
on = "5 October"
syrup = "10 kg"
[[colony.feed]]
on = "1 February"
fondant = "2 kg""#;

/// A yard with the starter as `plain.toml`, and as `fed.toml` with its honey in both boxes, syrup in autumn and fondant in winter.
fn yard() -> Yard {
    let yard = Yard::new();
    yard.succeed(&["new", "plain.toml"]);
    let starter = yard.text("plain.toml");
    let (places, feeds) = FEEDS.split_once("\n[[colony.feed]]").expect("feeds");
    let fed = starter
        .replace("[colony]", places)
        .replace("[ensemble]", &format!("[[colony.feed]]{feeds}\n[ensemble]"));
    yard.write("fed.toml", fed);
    yard
}

fn json(yard: &Yard, arguments: &[&str]) -> Value {
    serde_json::from_str(&yard.succeed(arguments)).expect("JSON")
}

#[test]
fn run_tells_what_became_of_feed_and_hefts_without_it() {
    let yard = yard();
    let arguments = ["run", "fed.toml", "--members", "20"];
    let text = yard.succeed(&arguments);
    let line = text.lines().find(|line| line.starts_with("Feed "));
    let line = line.expect("a line of feed");
    assert!(
        line.contains("10.0 kg of syrup on 5 October, 2.0 kg of fondant on 1 February"),
        "{line}"
    );
    let summary = &json(&yard, &[&arguments[..], &["--json"]].concat())["summary"];
    let number = |value: &Value| value.as_f64().expect("a number");
    let feeding = &summary["feeding"];
    // 10 x 2/3 + 2 x 0.88 kg of sugar in 1.206 kg of stores each.
    assert!(
        (number(&feeding["offered_kg"]) - 10.162).abs() < 0.01,
        "{feeding}"
    );
    let need = &summary["needs"][1];
    let bare_kg = number(&summary["bare_kg"][1]);
    let start_kg = number(&need["gross_kg"]) - bare_kg;
    // Before the syrup is in, four days' honey and some; never the whole need.
    let need_kg = number(&need["kg"]);
    assert!(
        start_kg > 0.2 && start_kg < need_kg - 6.0,
        "{start_kg} of {need_kg}"
    );
    let plain = yard.succeed(&["run", "plain.toml", "--members", "20"]);
    assert!(!plain.contains("Feed "), "{plain}");
    let us = yard.succeed(&[&arguments[..], &["--units", "us"]].concat());
    assert!(us.contains("4.4 lb of fondant on 1 February"), "{us}");
}

/// What comes in February feeds no one in January.
#[test]
fn the_weight_to_heft_for_holds_what_is_used_before_the_feed_comes() {
    let yard = yard();
    let late = yard.text("plain.toml").replace(
        "[ensemble]",
        "[[colony.feed]]\non = \"1 February\"\nfondant = \"15 kg\"\n[ensemble]",
    );
    for stores in ["15 kg", "5 kg"] {
        yard.write(
            "late.toml",
            late.replace("stores = \"15 kg\"", &format!("stores = \"{stores}\"")),
        );
        let run = json(&yard, &["run", "late.toml", "--members", "20", "--json"]);
        let summary = &run["summary"];
        let of = |value: &Value| value.as_f64().expect("a number");
        let start_kg = of(&summary["needs"][0]["gross_kg"]) - of(&summary["bare_kg"][1]);
        assert!(start_kg > 4.0 && start_kg < 9.0, "{stores}: {start_kg}");
    }
    // Most of those with 5 kg are dead by then, and the feed is told of the others.
    let text = yard.succeed(&["run", "late.toml", "--members", "20"]);
    assert!(
        text.contains("had ended before the last of it")
            || text.contains("no colony lives to the last"),
        "{text}"
    );
}

#[test]
fn members_account_for_every_gram_of_feed_and_stores() {
    let yard = yard();
    yard.succeed(&["run", "fed.toml", "--members", "20", "--out", "fed"]);
    let members = yard.text("fed/members.csv");
    let (head, rows) = table(&members);
    let column = |name: &str| head.iter().position(|cell| *cell == name).expect(name);
    for row in &rows {
        let kg = |name: &str| -> f64 { row[column(name)].parse().expect("a number") };
        let had_kg = kg("stores_kg") + kg("fed_kg");
        let used_kg = kg("used_heat_kg") + kg("used_brood_kg") + kg("used_activity_kg");
        assert!((had_kg - used_kg - kg("left_kg")).abs() < 1e-3, "{row:?}");
        let share = kg("feed_lost_kg") / (kg("fed_kg") + kg("feed_lost_kg"));
        assert!((share - kg("feed_loss")).abs() < 1e-3, "{row:?}");
    }
}

#[test]
fn trace_tells_where_honey_and_cluster_are() {
    let yard = yard();
    let trace = ["trace", "fed.toml", "--winter", "2018-19"];
    let text = yard.succeed(&trace);
    assert!(text.contains("of feed 9."), "{text}");
    let head = "Month's end  seams  round seam  crown above floor  in reach  box 1, lowest";
    assert!(text.contains(head), "{text}");
    let csv = yard.succeed(&[&trace[..], &["--csv"]].concat());
    let (head, rows) = table(&csv);
    let column = |name: &str| head.iter().position(|cell| *cell == name).expect(name);
    let number =
        |row: usize, name: &str| -> f64 { rows[row][column(name)].parse().expect("a number") };
    // The first hour: fifteen kilograms, a quarter of them below, the crown at the top of the lower box.
    let boxes_kg = (number(0, "box_1_kg"), number(0, "box_2_kg"));
    assert!((boxes_kg.0 - 3.75).abs() < 1e-3 && (boxes_kg.1 - 11.25).abs() < 1e-3);
    assert!((number(0, "cluster_crown_m") - 0.244).abs() < 1e-9);
    let mut highest_m = 0.0;
    for row in 0..rows.len() {
        let sum_kg = number(row, "box_1_kg") + number(row, "box_2_kg");
        assert!((sum_kg - number(row, "stores_kg")).abs() < 1e-3);
        assert!(number(row, "in_reach_kg") <= sum_kg + 1e-3);
        highest_m = f64::max(highest_m, number(row, "cluster_crown_m"));
    }
    assert!(highest_m > 0.244, "it climbs");
}

#[test]
fn an_outlook_counts_the_feed_that_is_still_to_come() {
    let yard = yard();
    let on = |day: &str, file: &str| {
        yard.succeed(&[
            "outlook",
            file,
            "--on",
            day,
            "--stores",
            "4 kg",
            "--members",
            "20",
        ])
    };
    let planned = "Planned         2.0 kg of fondant on 1 February: the scenario's, counted";
    let before = on("15 January", "fed.toml");
    assert!(
        before.contains(planned) && !before.contains("syrup on"),
        "{before}"
    );
    assert!(!on("2 February", "fed.toml").contains("Planned"));
    assert!(!on("15 January", "plain.toml").contains("Planned"));
    let starve = |text: &str| -> f64 {
        let line = text
            .lines()
            .find(|line| line.trim_start().starts_with("nothing"));
        let share = line
            .expect("a row")
            .split_whitespace()
            .nth(1)
            .expect("a share");
        share.parse().expect("a number")
    };
    assert!(starve(&before) < starve(&on("15 January", "plain.toml")));
}
