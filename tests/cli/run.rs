//! The main job through the program: `run` on the built-in sample, its text, JSON and files.

use serde_json::Value;
use support::program::{Yard, column, number, table};

const SAMPLE: [&str; 5] = ["run", "--members", "40", "--seed", "3"];

fn run(yard: &Yard, more: &[&str]) -> String {
    yard.succeed(&[&SAMPLE, more].concat())
}

/// Type 7 quantile, as NumPy and R define it, written anew here.
fn quantile(values: &[f64], share: f64) -> f64 {
    let mut values = values.to_vec();
    values.sort_by(f64::total_cmp);
    let place = share * (values.len() - 1) as f64;
    let below = values[place.floor() as usize];
    let above = values[place.ceil() as usize];
    below + place.fract() * (above - below)
}

#[test]
fn the_first_lines_are_the_answer() {
    let out = run(&Yard::new(), &[]);
    let lines: Vec<&str> = out.lines().collect();
    assert!(lines[0].ends_with("40 members over 10 winters, 1 October to 20 April"));
    let begins = [
        "Honey needed ",
        "Risk ",
        "Not known ",
        "When ",
        "Heat goes ",
        "Water ",
    ];
    for (line, begin) in lines[1..7].iter().zip(begins) {
        assert!(line.starts_with(begin), "{line}");
    }
    for share in ["Half of winters need ", " kg or less", "80 % ", "95 % "] {
        assert!(lines[1].contains(share), "{}", lines[1]);
    }
    assert!(
        lines[2].contains("of colonies starve on 15.0 kg"),
        "{}",
        lines[2]
    );
    assert!(lines[3].contains("--members 1000 tells"), "{}", lines[3]);
    assert!(
        lines[7].starts_with("Colony ") && lines[7].contains("15500 bees"),
        "{}",
        lines[7]
    );
    assert!(
        lines[8].starts_with("Weight          target on 1 October: "),
        "{}",
        lines[8]
    );
    assert_eq!(lines[9], "");
    assert!(!out.contains("-0.0 ") && !out.contains("NaN"), "{out}");
}

#[test]
fn what_is_not_known_about_bees_has_a_range_of_its_own() {
    let yard = Yard::new();
    let out = yard.succeed(&["run", "--members", "100", "--quiet"]);
    let lines: Vec<&str> = out.lines().collect();
    for line in &lines[1..3] {
        assert!(
            line.contains("given what is not known about bees"),
            "{line}"
        );
    }
    assert!(lines[2].contains("sampling)"), "{}", lines[2]);
    let json = yard.succeed(&["run", "--members", "100", "--quiet", "--json"]);
    let json: serde_json::Value = serde_json::from_str(&json).expect("JSON");
    let shared = &json["summary"]["needs"][1]["shared"];
    assert_eq!(
        (&shared["sets"], &shared["colonies"]),
        (&10.into(), &10.into())
    );
    let [low, middle, high] = ["p05", "p50", "p95"].map(|at| shared[at].as_f64().expect("kg"));
    assert!(low < middle && middle < high, "{shared}");
}

#[test]
fn members_say_their_set_and_their_colony() {
    let yard = Yard::new();
    yard.succeed(&["run", "--members", "50", "--quiet", "--out", "results"]);
    let text = yard.text("results/members.csv");
    let text = text.split_once('\n').expect("a comment").1;
    let mut table = csv::Reader::from_reader(text.as_bytes());
    let head = table.headers().expect("a head").clone();
    let column = |name| head.iter().position(|own| own == name).expect("a column");
    let rows: Vec<csv::StringRecord> = table.records().map(|row| row.expect("a row")).collect();
    let of = |row: usize, name| rows[row][column(name)].to_owned();
    // Members 3 and 13 are one colony in one winter under two sets.
    for name in ["colony", "winter", "bees", "stores_kg"] {
        assert_eq!(of(3, name), of(13, name), "{name}");
    }
    for name in ["shared_set", "resting_w_kg"] {
        assert_ne!(of(3, name), of(13, name), "{name}");
    }
}

#[test]
fn every_text_ends_with_the_cautions_and_what_made_it() {
    let out = run(&Yard::new(), &[]);
    assert!(out.contains("Heft the hive and look"));
    let last = out.lines().last().expect("a line");
    let version = env!("CARGO_PKG_VERSION");
    assert!(last.starts_with(&format!(
        "Made by overwinter {version}, seed 3, 40 members, scenario "
    )));
    assert!(last.contains("weather/kettlewend.csv ("));
}

#[test]
fn us_units_give_pounds_and_fahrenheit_only() {
    let out = run(&Yard::new(), &["--units", "us"]);
    let kg: f64 = first_number(&run(&Yard::new(), &[]), "Honey needed");
    let lb: f64 = first_number(&out, "Honey needed");
    assert!(
        (lb - kg / 0.453_592_37).abs() < 0.62,
        "{lb} lb are not {kg} kg"
    );
    assert!(out.contains("33 lb of stores") && out.contains("°F"));
    assert!(!out.contains(" kg") && !out.contains("°C"), "{out}");
}

fn first_number(out: &str, begin: &str) -> f64 {
    let line = out.lines().find(|line| line.starts_with(begin));
    let mut words = line.expect("the line").split_whitespace();
    words.find_map(|word| word.parse().ok()).expect("a number")
}

#[test]
fn summary_json_says_what_members_csv_holds() {
    let yard = Yard::new();
    let printed = run(&yard, &["--json", "--out", "results"]);
    let written = yard.text("results/summary.json");
    assert_eq!(printed, written);
    let summary: Value = serde_json::from_str(&written).expect("JSON");
    let members = table(&yard.text("results/members.csv"));
    let (head, rows) = &members;
    assert_eq!(rows.len(), 40);
    assert_eq!(number(&summary, "/summary/members"), 40.0);
    assert_eq!(number(&summary, "/provenance/seed"), 3.0);

    // The table has four decimals of a kilogram.
    let needs = column(&members, "need_kg");
    for place in 0..5 {
        let share = number(&summary, &format!("/summary/needs/{place}/share"));
        let kg = number(&summary, &format!("/summary/needs/{place}/kg"));
        assert!((quantile(&needs, share) - kg).abs() < 1e-4, "{share}: {kg}");
        let low = number(&summary, &format!("/summary/needs/{place}/interval_kg/0"));
        let high = number(&summary, &format!("/summary/needs/{place}/interval_kg/1"));
        assert!(low <= kg && kg <= high, "{low} {kg} {high}");
    }
    let mean = needs.iter().sum::<f64>() / 40.0;
    assert!((mean - number(&summary, "/summary/mean_need_kg")).abs() < 1e-4);

    let end = head
        .iter()
        .position(|name| name == "end")
        .expect("a column");
    let starved = rows
        .iter()
        .filter(|row| ["stores ran out", "stranded"].contains(&row[end].as_str()));
    let starved = starved.count() as f64 / 40.0;
    assert!((starved - number(&summary, "/summary/starved")).abs() < 1e-12);
    let counts = (0..4).map(|end| number(&summary, &format!("/summary/ends/{end}/count")));
    assert_eq!(counts.sum::<f64>(), 40.0);

    // What each began with is used or left, and heat made has gone somewhere.
    let used = [
        "used_heat_kg",
        "used_brood_kg",
        "used_activity_kg",
        "left_kg",
    ]
    .map(|name| column(&members, name));
    for (row, stores_kg) in column(&members, "stores_kg").into_iter().enumerate() {
        let sum: f64 = used.iter().map(|column| column[row]).sum();
        assert!((sum - stores_kg).abs() < 1e-3, "{sum} of {stores_kg} kg");
    }
    let heat: f64 = (0..10)
        .map(|path| number(&summary, &format!("/summary/heat/{path}/share")))
        .sum();
    assert!((heat + number(&summary, "/summary/stored") - 1.0).abs() < 1e-9);
    assert!(number(&summary, "/summary/imbalance") <= 1e-9);
}

#[test]
fn daily_csv_is_the_daily_part_of_the_summary_and_ends_as_members_do() {
    let yard = Yard::new();
    let summary = run(&yard, &["--json", "--out", "results"]);
    let summary: Value = serde_json::from_str(&summary).expect("JSON");
    let daily = table(&yard.text("results/daily.csv"));
    let members = table(&yard.text("results/members.csv"));
    // 1 October to 20 April; dates are those of a year without 29 February.
    assert_eq!(daily.1.len(), 201);
    assert_eq!(
        (daily.1[0][1].as_str(), daily.1[200][1].as_str()),
        ("10-01", "04-19")
    );
    for (place, name) in ["q05", "q25", "q50", "q75", "q95"].iter().enumerate() {
        let stores = column(&daily, &format!("stores_{name}_kg"));
        for (day, kg) in stores.iter().enumerate() {
            let told = number(&summary, &format!("/summary/daily/{day}/stores_kg/{place}"));
            assert!((told - kg).abs() <= 6e-4, "day {day}: {told} and {kg}");
        }
        assert!(stores.windows(2).all(|two| two[1] <= two[0]), "stores grow");
    }
    let alive = column(&daily, "alive");
    assert!(alive.windows(2).all(|two| two[1] <= two[0]));
    let lived = members
        .1
        .iter()
        .filter(|row| row[6] == "alive at first forage")
        .count();
    assert_eq!(alive[200], lived as f64 / 40.0);
    let left = quantile(&column(&members, "left_kg"), 0.5);
    assert!(
        (column(&daily, "stores_q50_kg")[200] - left).abs() < 0.1,
        "{left}"
    );
}

#[test]
fn confinement_is_told_alike_in_json_table_and_text() {
    let yard = Yard::new();
    let text = run(&yard, &["--out", "results"]);
    let summary: Value = serde_json::from_str(&yard.text("results/summary.json")).expect("JSON");
    let members = table(&yard.text("results/members.csv"));
    let told = |path: &str| number(&summary, &format!("/summary/confinement/{path}"));
    for (column_name, path, off) in [
        ("confined_days", "longest_days", 1e-9),
        ("gut_share", "gut_share", 1e-4),
    ] {
        let values = column(&members, column_name);
        for (place, share) in [0.05, 0.5, 0.95].into_iter().enumerate() {
            let value = told(&format!("{path}/{place}"));
            assert!(
                (quantile(&values, share) - value).abs() < off,
                "{path}: {value}"
            );
        }
    }
    let place = members.0.iter().position(|name| name == "gut_past_limit");
    let place = place.expect("a column");
    let past = members.1.iter().filter(|row| row[place] == "true").count();
    assert_eq!(told("past_limit/share"), past as f64 / 40.0);
    let days = format!("cleansing flight is {:.0} days", told("longest_days/1"));
    assert!(text.contains(&days), "{days} is not in: {text}");
    // Bees at the start and those that emerged are alive or dead, but for rounding to whole bees.
    let [start, emerged, dead, end] =
        ["bees", "emerged_bees", "dead_bees", "bees_end"].map(|name| column(&members, name));
    for member in 0..start.len() {
        let off = start[member] + emerged[member] - dead[member] - end[member];
        assert!(off.abs() <= 2.0, "member {member}: {off}");
    }
}

#[test]
fn one_thread_and_two_give_the_same_bytes() {
    let files = ["summary.json", "members.csv", "daily.csv"];
    let results = ["1", "2"].map(|threads| {
        let yard = Yard::new();
        let out = run(&yard, &["--threads", threads, "--out", "results"]);
        (out, files.map(|name| yard.read(&format!("results/{name}"))))
    });
    assert!(results[0] == results[1]);
}

#[test]
fn more_members_leave_the_first_ones_as_they_were() {
    let rows = |members: &str| {
        let yard = Yard::new();
        yard.succeed(&["run", "--members", members, "--out", "results"]);
        table(&yard.text("results/members.csv")).1
    };
    let (few, many) = (rows("12"), rows("30"));
    assert_eq!(few.len(), 12);
    assert_eq!(few[..], many[..12]);
}

#[test]
fn another_seed_gives_other_draws() {
    let needs = |seed: &str| {
        let yard = Yard::new();
        yard.succeed(&["run", "--members", "10", "--seed", seed, "--out", "results"]);
        column(&table(&yard.text("results/members.csv")), "need_kg")
    };
    assert_ne!(needs("1"), needs("2"));
}

#[test]
fn a_risk_of_none_does_not_hide_colonies_lost_to_cold() {
    let yard = Yard::new();
    yard.succeed(&["new", "small.toml"]);
    let small = yard
        .text("small.toml")
        .replace("bees = 15500", "bees = 3000 ");
    yard.write("small.toml", small);
    let out = yard.succeed(&["run", "small.toml", "--members", "20"]);
    let risk = out.lines().nth(2).expect("a line");
    assert!(
        risk.contains(" 0 % of colonies starve") && risk.contains("% die of cold or too few bees"),
        "{risk}"
    );
}

#[test]
fn one_member_is_one_member() {
    let out = Yard::new().succeed(&["run", "--members", "1"]);
    assert!(
        out.lines()
            .next()
            .expect("a line")
            .contains(": 1 member over 1 winter,")
    );
}
