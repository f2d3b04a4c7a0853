//! `overwinter sweep` through the program.

use serde_json::Value;
use support::program::{Yard, column, number, table};

const FEW: [&str; 5] = ["--members", "20", "--seed", "4", "--json"];

fn sweep(yard: &Yard, more: &[&str]) -> Value {
    let text = yard.succeed(&[&["sweep"], more, &FEW].concat());
    serde_json::from_str(&text).expect("JSON")
}

#[test]
fn a_thicker_wall_needs_less_and_each_value_is_what_run_gives() {
    let yard = Yard::new();
    let swept = sweep(&yard, &["--set", "wall[1].thickness=19 mm..60 mm:3"]);
    let points = swept["points"].as_array().expect("points");
    let needs_kg: Vec<f64> = points
        .iter()
        .map(|point| number(point, "/mean_need_kg"))
        .collect();
    assert!(
        needs_kg.is_sorted_by(|thin, thick| thin > thick),
        "{needs_kg:?}"
    );
    assert_eq!(points[0]["difference"], Value::Null);
    let difference = number(&points[2], "/difference/need_kg/mean");
    assert!((difference - (needs_kg[2] - needs_kg[0])).abs() < 1e-9);
    let [low, high] = [0, 1].map(|end| {
        let end = format!("/difference/need_kg/draws/{end}");
        number(&points[2], &end)
    });
    assert!(low < difference && difference < high, "{low} {high}");
    // The same scenario written out, run by itself.
    yard.succeed(&["new", "oak.toml"]);
    let thick = yard
        .text("oak.toml")
        .replace("wall = [\"19 mm softwood\"]", "wall = [\"60 mm softwood\"]");
    yard.write("thick.toml", thick);
    let run = yard.succeed(&[&["run", "thick.toml"], &FEW[..]].concat());
    let run: Value = serde_json::from_str(&run).expect("JSON");
    assert_eq!(run["provenance"]["fingerprint"], points[2]["fingerprint"]);
    assert_eq!(number(&run, "/summary/mean_need_kg"), needs_kg[2]);
    assert_eq!(
        number(&run, "/summary/needs/3/kg"),
        number(&points[2], "/need_kg/2")
    );
    assert_eq!(
        number(&run, "/summary/starved"),
        number(&points[2], "/starved")
    );
}

#[test]
fn two_settings_make_a_grid_and_files_hold_every_pair() {
    let yard = Yard::new();
    let asked = [
        "sweep",
        "--set",
        "stores=10 kg,25 kg",
        "--set",
        "entrance.width=20 mm..150 mm:3",
        "--members",
        "10",
        "--out",
        "grid",
    ];
    let out = yard.succeed(&asked);
    assert!(out.contains("colony.stores and hive.entrance.width over 6 values, 10 members each over 10 winters, 60 in all"), "{out}");
    let grid = out
        .split("Share that starves")
        .nth(1)
        .expect("a grid of risk");
    let head = grid.lines().nth(1).expect("a head");
    assert!(
        ["20 mm", "85 mm", "150 mm"]
            .iter()
            .all(|value| head.contains(value)),
        "{head}"
    );
    let csv = table(&yard.text("grid/sweep.csv"));
    assert_eq!(csv.0[..2], ["colony.stores", "hive.entrance.width"]);
    let starved = column(&csv, "starved");
    assert_eq!(starved.len(), 6);
    // Ten kilograms starve more than twenty-five, whatever the entrance.
    assert!(
        (0..3).all(|width| starved[width] > starved[width + 3]),
        "{starved:?}"
    );
    let again = yard.succeed(&[&asked[..], &["--force", "--threads", "1"]].concat());
    assert_eq!(out, again);
}

#[test]
fn values_with_other_winters_are_not_paired() {
    let swept = sweep(
        &Yard::new(),
        &[
            "--set",
            "start=1 October,15 October",
            "--set",
            "weather.resample=4,5",
        ],
    );
    let points = swept["points"].as_array().expect("points");
    assert_eq!(points.len(), 4);
    assert_eq!(
        points[1]["difference"],
        Value::Null,
        "five winters are not four"
    );
    assert!(
        points[2]["difference"].is_object(),
        "the same winters, begun later"
    );
}

#[test]
fn every_kind_of_setting_can_be_swept() {
    let yard = Yard::new();
    yard.succeed(&["new", "oak.toml"]);
    let text = yard.text("oak.toml").replace(
        "floor = [\"19 mm softwood\"]",
        "floor = { screened = \"half\", board = [\"6 mm plywood\"] }",
    );
    let text = text.replace(
        "[colony]",
        "[[hive.change]]\nfrom = \"15 November\"\nfloor = \"closed\"\n\n[colony]",
    );
    yard.write("oak.toml", text);
    for set in [
        "change[1].from=1 November..15 January:2",
        "lid=insulated-lid,shavings-lid",
        "colour=white,black",
        "mass=1 kg,2 kg",
        "shelter=open,0.2",
        "tight_film_w_m2k=2.5,4",
        "vents=[],[{ diameter = \"20 mm\" }]",
    ] {
        let out = yard.succeed(&[
            "sweep",
            "oak.toml",
            "--members",
            "3",
            "--json",
            "--set",
            set,
        ]);
        let swept: Value = serde_json::from_str(&out).expect("JSON");
        let need = |point| number(&swept, &format!("/points/{point}/mean_need_kg"));
        assert!(need(0) != need(1), "{set} changes nothing");
    }
}

#[test]
fn a_refusal_names_the_value_and_runs_nothing() {
    let yard = Yard::new();
    for (set, says) in [
        (
            &["wall[1].thickness=19 mm,-40 mm"][..],
            &[
                "--set",
                "with hive.wall[1].thickness = -40 mm: sample.toml:",
                "hive.wall[1]",
            ][..],
        ),
        (
            &["hive.collour=white"],
            &["hive.collour = white", "unknown key, nearest is 'colour'"],
        ),
        (&["wall[4].thickness=1 mm"], &["hive.wall has 1 entry"]),
        (&["stores=1 kg..2 lb:3"], &["different units"]),
        (
            &["bees=9000", "colony.bees=8000"],
            &["colony.bees is given twice"],
        ),
        (&["bees=1..99:20", "boxes=1..9:9"], &["180 pairs"]),
        (&["bees=9000", "boxes=1", "frames=9"], &["3 settings"]),
        (&["ensemble.members=3"], &["--members"]),
    ] {
        let mut asked = vec!["sweep"];
        set.iter().for_each(|set| asked.extend(["--set", set]));
        yard.refuse(&asked, says);
    }
}
