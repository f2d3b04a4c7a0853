//! `heatloss` through the program: bridges, mass over conductance, the next board, the bill of materials.

use serde_json::Value;
use support::program::Yard;

fn read(json: &str) -> Value {
    serde_json::from_str(json).expect("JSON")
}

/// What the program says of the sample.
fn sample(options: &[&str]) -> Value {
    read(&Yard::new().succeed(&[&["heatloss", "--json"], options].concat()))
}

fn number(value: &Value) -> f64 {
    let number = value.as_f64();
    number.unwrap_or_else(|| panic!("no number: {value}"))
}

#[track_caller]
fn near(told: &Value, by_hand: f64) {
    let told = number(told);
    assert!(
        (told - by_hand).abs() < 1e-9,
        "told {told}, by hand {by_hand}"
    );
}

/// The text on one line, whatever its breaks.
fn plain(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A yard with the starter changed as `changes` say, in `hive.toml`.
fn yard(changes: &[(&str, &str)]) -> Yard {
    let yard = Yard::new();
    yard.succeed(&["new", "hive.toml"]);
    let mut text = yard.text("hive.toml");
    for (old, new) in changes {
        assert!(text.contains(old), "{old}");
        text = text.replace(old, new);
    }
    yard.write("hive.toml", text);
    yard
}

const WALL: &str = r#"wall = ["19 mm softwood"]"#;
const FLOOR: &str = r#"floor = ["19 mm softwood"]"#;
const STRAW_WALL: &str = r#"wall = ["19 mm softwood",
  { material = "straw", thickness = "80 mm", framing = { material = "softwood", share = "15 %" } }]"#;

#[test]
fn both_screens_fit_a_terminal_in_both_systems() {
    for units in ["metric", "us"] {
        for more in [&[][..], &["--build"]] {
            let arguments = [&["heatloss", "--units", units], more].concat();
            let out = Yard::new().succeed(&arguments);
            assert!(out.lines().count() <= 80, "{out}");
            for line in out.lines() {
                assert!(line.chars().count() <= 100, "{line}");
            }
        }
    }
}

#[test]
fn the_sample_is_told_in_sections() {
    let out = plain(&Yard::new().succeed(&["heatloss"]));
    for section in [
        "Surfaces: area in m²",
        "Air: what passes the openings",
        "Thermal bridges, in UA already",
        "No layer has framing.",
        "The next 25 mm of xps on the outside",
        "Wooden hives have less than 0.8, tree cavities more than 5.0 (Mitchell 2016)",
    ] {
        assert!(out.contains(section), "{section}: {out}");
    }
}

#[test]
fn the_next_board_is_an_inch_in_us_units_or_as_asked() {
    let yard = Yard::new();
    let us = yard.succeed(&["heatloss", "--units", "us"]);
    assert!(us.contains("The next 1 in of xps"), "{us}");
    let asked = yard.succeed(&["heatloss", "--board", "Rock wool", "--next", "2 in"]);
    let title = "The next 50.8 mm of mineral-wool";
    assert!(asked.contains(title), "{asked}");
}

#[test]
fn a_hive_built_as_advised_conducts_less_by_the_gain_promised() {
    let boarded = yard(&[(WALL, r#"wall = ["19 mm softwood", "25 mm xps"]"#)]);
    let after = read(&boarded.succeed(&["heatloss", "--json", "hive.toml"]));
    let before = sample(&[]);
    let first = &before["gains"][0];
    assert_eq!(first["place"], "all four sides");
    let less_w_k = number(&before["whole_w_k"]) - number(&after["whole_w_k"]);
    near(&first["less_w_k"], less_w_k);
    near(&first["share"], less_w_k / number(&before["whole_w_k"]));
}

#[test]
fn honey_is_the_heat_of_the_best_board_over_thirty_days_at_most() {
    let watts = number(&sample(&[])["gains"][0]["less_w_k"]) * 20.0;
    let honey_kg = watts * 30.0 * 86_400.0 / 12.8e6;
    let out = plain(&Yard::new().succeed(&["heatloss"]));
    let told = format!(
        "On the four sides that is {watts:.1} W at these temperatures: at the very most {honey_kg:.1} kg of honey in 30 days"
    );
    assert!(out.contains(&told), "{told}: {out}");
    assert!(out.contains("`overwinter run` answers that"), "{out}");
    // Where it is warmer outside, nothing is saved.
    let warm = Yard::new().succeed(&["heatloss", "--outside", "20 °C"]);
    assert!(!warm.contains("honey"), "{warm}");
}

#[test]
fn an_open_mesh_is_told_to_be_closed() {
    let open = yard(&[(FLOOR, r#"floor = { screened = "open" }"#)]);
    let out = open.succeed(&["heatloss", "hive.toml"]);
    for words in [
        "closing the floor with 6 mm of plywood",
        "a board outside cannot help; closing it does",
    ] {
        assert!(plain(&out).contains(words), "{out}");
    }
}

#[test]
fn framing_is_told_with_its_cost_the_limits_and_their_error() {
    let straw = yard(&[(WALL, STRAW_WALL)]);
    let out = straw.succeed(&["heatloss", "hive.toml"]);
    let row = "all four sides: straw with 15 % softwood";
    assert!(out.contains(row), "{out}");
    assert!(out.contains("the standard's own bound"), "{out}");
    let longest = out.lines().map(|line| line.chars().count()).max();
    assert!(longest.is_some_and(|longest| longest <= 100), "{out}");
    let told = read(&straw.succeed(&["heatloss", "--json", "hive.toml"]));
    let bridge = &told["framing"][0];
    // Films 0.17 and softwood 0.019 / 0.13, then straw 0.08 / 0.055 or timber 0.08 / 0.13.
    let base = 0.17 + 0.019 / 0.13;
    let upper = 1.0 / (0.85 / (base + 0.08 / 0.055) + 0.15 / (base + 0.08 / 0.13));
    let lower = base + 0.08 / (0.85 * 0.055 + 0.15 * 0.13);
    near(&bridge["upper_m2k_w"], upper);
    near(&bridge["lower_m2k_w"], lower);
    near(&bridge["error_share"], (upper - lower) / (upper + lower));
    assert!(number(&bridge["with_w_k"]) > number(&bridge["without_w_k"]));
}

#[test]
fn mass_over_conductance_is_of_the_scenarios_bees() {
    let told = sample(&[]);
    // 15,500 bees of 113 mg.
    let cluster_kg = 15_500.0 * 0.000_113;
    near(&told["cluster_kg"], cluster_kg);
    let ratio = cluster_kg / number(&told["whole_w_k"]);
    near(&told["mass_per_conductance_kgk_w"], ratio);
}

#[test]
fn the_bill_has_pieces_sheets_and_mass_in_both_systems() {
    let yard = Yard::new();
    let metric = yard.succeed(&["heatloss", "--build"]);
    let us = yard.succeed(&["heatloss", "--build", "--units", "us"]);
    for (out, words) in [
        (
            &metric,
            [
                "two softwood boxes: 14.5 kg empty, without frames",
                "413 x 244 x 19",
                "Sheets of 1220 x 2440 mm, cuts 3 mm wide",
            ],
        ),
        (
            &us,
            [
                "two softwood boxes: 31.9 lb empty, without frames",
                "16.26 x 9.61 x 0.748",
                "Sheets of 4 x 8 ft, cuts 0.125 in wide",
            ],
        ),
    ] {
        for words in words {
            assert!(out.contains(words), "{words}: {out}");
        }
    }
}

#[test]
fn sheets_are_counted_for_the_size_asked_and_larger_pieces_named() {
    let softwood = sample(&[])["build"]["sheets"][0].clone();
    assert_eq!(softwood["material"], "softwood");
    assert_eq!(softwood["sheets"], 1);
    // 1.272 m2 of pieces: more than one sheet of 0.72 m2.
    let sheets = ["--sheet", "600 x 1200 mm", "--kerf", "0 mm"];
    let small = sample(&sheets)["build"]["sheets"][0].clone();
    assert!(number(&small["sheets"]) >= 2.0, "{small}");
    let arguments = ["heatloss", "--build", "--sheet", "450 mm x 480 mm"];
    let smaller = plain(&Yard::new().succeed(&arguments));
    assert!(
        smaller.contains("Larger than a sheet, to be joined and not counted in sheets: 19 mm softwood of 503 x 413, 503 x 413; 9 mm plywood of 503 x 413;"),
        "{smaller}"
    );
}

#[test]
fn a_filling_is_billed_by_volume_and_its_framing_apart() {
    let straw = yard(&[(WALL, STRAW_WALL)]);
    let us = straw.succeed(&["heatloss", "--build", "--units", "us", "hive.toml"]);
    assert!(
        us.contains("volume ft³") && us.contains("softwood, framing"),
        "{us}"
    );
    let build = read(&straw.succeed(&["heatloss", "--json", "hive.toml"]))["build"].clone();
    // Two boxes: a ring of 80 mm round 413 x 503 mm, 488 mm high, 85 % of it straw.
    let ring_m2 = 0.573 * 0.663 - 0.413 * 0.503;
    let filling = &build["fillings_and_framing"][0];
    assert_eq!(filling["material"], "straw");
    near(&filling["volume_m3"], 0.85 * ring_m2 * 0.488);
    let pieces = build["pieces"].as_array().expect("a list").iter();
    let amounts = pieces.flat_map(|pieces| [&pieces["filling"], &pieces["framing"]]);
    let masses = amounts.filter_map(|amount| amount["mass_kg"].as_f64());
    near(&build["mass_kg"], masses.sum());
}

#[test]
fn a_material_that_the_hive_defines_can_be_the_next_board() {
    let hemp = "[[material]]\nname = \"hemp-mat\"\nconductivity = \"0.042 W/mK\"\ndensity = \"40 kg/m3\"\nspecific_heat = \"1700 J/kgK\"\n";
    let yard = yard(&[(r#""12 mm wood-fibre-board""#, r#""12 mm hemp-mat""#)]);
    let text = yard.text("hive.toml");
    yard.write("hive.toml", format!("{text}\n{hemp}"));
    let out = yard.succeed(&["heatloss", "--board", "hemp-mat", "hive.toml"]);
    assert!(out.contains("The next 25 mm of hemp-mat"), "{out}");
}

#[test]
fn wrong_boards_sheets_and_cuts_are_refused_with_what_is_allowed() {
    let yard = Yard::new();
    let cases: [([&str; 2], &[&str]); 8] = [
        (
            ["--board", "shavngs"],
            &["--board: unknown material 'shavngs'", "nearest: 'shavings'"],
        ),
        (["--board", "air"], &["--board: air is no board", "xps"]),
        (["--next", "2 m"], &["--next: 2 m is not 1 mm to 0.5 m"]),
        (["--next", "thick"], &["--next: 'thick'", "'1.5 in'"]),
        (
            ["--sheet", "4 ft"],
            &["--sheet: '4 ft' is no size of a sheet", "4 ft x 8 ft"],
        ),
        (["--sheet", "4 x 8"], &["--sheet: '4': the unit is missing"]),
        (
            ["--sheet", "1 kg x 2 m"],
            &["--sheet: '1 kg'", "a length is asked"],
        ),
        (["--kerf", "5 cm"], &["--kerf: 5 cm is not 0 to 20 mm"]),
    ];
    for (arguments, says) in cases {
        yard.refuse(&[&["heatloss"], &arguments[..]].concat(), says);
    }
}
