//! What a scenario makes of its weather: columns mapped, winters resampled and warmed, each said in the notes.

use overwinter::scenario::{self, PrepareError, Prepared, Scenario, WeatherSource};
use overwinter::weather::layout::ColumnMap;
use std::fmt::Write as _;
use std::path::Path;
use support::hives::one_box;

const SEED: &str = "[ensemble]\nseed = 3\n";

fn read(weather: &str, folder: &Path) -> Scenario {
    let text = one_box(weather) + SEED;
    scenario::parse(&text, &folder.join("oak.toml")).unwrap()
}

fn prepare(weather: &str) -> Prepared {
    read(weather, Path::new("yard")).prepare().unwrap()
}

fn labels(prepared: &Prepared) -> Vec<&str> {
    prepared
        .winters
        .iter()
        .map(|winter| winter.label.as_str())
        .collect()
}

fn noted(prepared: &Prepared, part: &str) -> bool {
    prepared.notes.iter().any(|note| note.contains(part))
}

#[test]
fn resampled_winters_stand_for_the_recorded_ones_and_are_said_to_be_made() {
    let recorded = prepare("sample = true");
    let made = prepare("sample = true\nresample = 25");
    assert_eq!((recorded.winters.len(), made.winters.len()), (10, 25));
    assert_eq!(made.plan.winters.len(), 25);
    assert_eq!(labels(&made)[24], "resampled 25");
    assert!(
        noted(&made, "25 winters made from the 10 recorded ones"),
        "{:?}",
        made.notes
    );
    assert!(noted(&made, "no hour is colder than recorded"));
    assert!(noted(&made, "whole winters differ somewhat less"));
    assert!(!noted(&recorded, "made"));
    let lowest = |prepared: &Prepared| {
        let hours = prepared
            .winters
            .iter()
            .flat_map(|winter| &winter.temperature_c);
        hours.copied().fold(f64::INFINITY, f64::min)
    };
    assert!(lowest(&made) >= lowest(&recorded));
}

#[test]
fn resampled_winters_are_those_of_the_seed() {
    let weather = "sample = true\nresample = 3";
    let first = prepare(weather);
    assert_eq!(prepare(weather).winters, first.winters);
    let mut other = read(weather, Path::new("yard"));
    other.ensemble.seed = 4;
    assert_ne!(other.prepare().unwrap().winters, first.winters);
}

#[test]
fn warming_moves_every_hour_and_is_said() {
    let recorded = prepare("sample = true");
    let warmer = prepare("sample = true\nwarming = \"3.6 F\"");
    for (before, after) in recorded.plan.winters.iter().zip(&warmer.plan.winters) {
        for (before, after) in before.instants.iter().zip(&after.instants) {
            assert!((after.outside_c - before.outside_c - 2.0).abs() < 1e-9);
            assert_eq!(after.wind_m_s, before.wind_m_s);
        }
    }
    assert!(
        noted(&warmer, "every hour made 2.0 K warmer than recorded"),
        "{:?}",
        warmer.notes
    );
    let colder = prepare("sample = true\nwarming = \"-1.5 K\"");
    assert!(noted(&colder, "1.5 K colder"));
    assert_eq!(
        prepare("sample = true\nwarming = \"0 K\"").notes,
        recorded.notes
    );
}

#[test]
fn winters_are_resampled_and_warmed_together() {
    let plain = prepare("sample = true\nresample = 2");
    let both = prepare("sample = true\nresample = 2\nwarming = \"2 K\"");
    assert_eq!(labels(&both), ["resampled 1", "resampled 2"]);
    let shift = both.winters[1].temperature_c[700] - plain.winters[1].temperature_c[700];
    assert!((shift - 2.0).abs() < 1e-9);
    assert!(noted(&both, "2 winters made") && noted(&both, "2.0 K warmer"));
}

/// Hourly rows of 1 November to 20 December 2019 in a layout of our own.
fn own_layout() -> String {
    let mut text = "a station in a yard\nDatum;Temp;Wind\n".to_owned();
    let mut day = jiff::civil::date(2019, 11, 1);
    while day <= jiff::civil::date(2019, 12, 21) {
        for hour in 0..24 {
            let fahrenheit = 20.0 + f64::from((hour + i32::from(day.day())) % 24);
            let wind = 17 + (5 * hour + i32::from(day.day())) % 20;
            let number = format!("{fahrenheit:.1}").replace('.', ",");
            writeln!(
                text,
                "{} {hour:02}:00;{number};{wind},0",
                day.strftime("%d.%m.%Y")
            )
            .unwrap();
        }
        day = day.tomorrow().unwrap();
    }
    text
}

const OWN_COLUMNS: &str = r#"files = ["own.txt"]
[weather.columns]
delimiter = ";"
skip_lines = 1
decimal_comma = true
missing = -99
time = { column = "Datum", format = "%d.%m.%Y %H:%M" }
temperature = { column = "Temp", unit = "F" }
wind = { column = 3, unit = "km/h" }"#;

#[test]
fn a_file_in_no_known_layout_is_read_by_its_map_of_columns() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("own.txt"), own_layout()).unwrap();
    let prepared = read(OWN_COLUMNS, folder.path()).prepare().unwrap();
    let winter = &prepared.winters[0];
    // 1 November 00:00: 21 °F; 18 km/h.
    assert!((winter.temperature_c[0] - (21.0 - 32.0) / 1.8).abs() < 1e-9);
    assert!((winter.wind_m_s.as_ref().unwrap()[0] - 5.0).abs() < 1e-9);
    let without = read("files = [\"own.txt\"]", folder.path())
        .prepare()
        .unwrap_err();
    assert!(
        without.to_string().contains("as [weather] columns"),
        "{without}"
    );
}

#[test]
fn a_column_that_the_file_lacks_is_named_with_file_and_line() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("own.txt"), own_layout()).unwrap();
    let wrong = OWN_COLUMNS.replace("\"Temp\"", "\"Tmp\"");
    let error = read(&wrong, folder.path())
        .prepare()
        .unwrap_err()
        .to_string();
    for part in ["own.txt:2: ", "\"Tmp\"", "found: Datum, Temp, Wind"] {
        assert!(error.contains(part), "'{part}' is not in: {error}");
    }
}

#[test]
fn one_recorded_winter_is_too_few_to_resample() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("own.txt"), own_layout()).unwrap();
    let weather = format!("resample = 40\n{OWN_COLUMNS}");
    let error = read(&weather, folder.path()).prepare().unwrap_err();
    let message = error.to_string();
    assert!(
        matches!(error, PrepareError::Resampling { asked: 40, .. }),
        "{message}"
    );
    for part in [
        "oak.toml: weather.resample: 40: ",
        "at least 2 recorded winters",
        "the record has 1",
        "leave resample out",
    ] {
        assert!(message.contains(part), "'{part}' is not in: {message}");
    }
}

fn program(scenario: &Path, arguments: &[&str]) -> std::process::Output {
    let mut command = support::program::overwinter();
    command.arg("run").arg(scenario).args(arguments);
    command.output().unwrap()
}

#[test]
fn too_few_winters_to_resample_are_a_fault_of_the_input() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("own.txt"), own_layout()).unwrap();
    let path = folder.path().join("oak.toml");
    let weather = format!("resample = 40\n{OWN_COLUMNS}");
    std::fs::write(&path, one_box(&weather) + SEED).unwrap();
    let output = program(&path, &["--quiet"]);
    assert_eq!(output.status.code(), Some(2));
    let message = String::from_utf8(output.stderr).unwrap();
    assert!(
        message.contains("oak.toml: weather.resample: 40: "),
        "{message}"
    );
}

#[test]
fn a_seed_on_the_command_line_also_makes_the_resampled_winters() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("oak.toml");
    let text = one_box("sample = true\nresample = 3") + SEED;
    let summary = |text: &str, arguments: &[&str]| -> serde_json::Value {
        std::fs::write(&path, text).unwrap();
        let output = program(
            &path,
            &[&["--members", "6", "--quiet", "--json"], arguments].concat(),
        );
        let whole: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
        assert!(
            whole["notes"][0]
                .as_str()
                .unwrap()
                .starts_with("3 winters made from the 10")
        );
        whole["summary"].clone()
    };
    let asked = summary(&text, &["--seed", "4"]);
    assert_eq!(summary(&text.replace("seed = 3", "seed = 4"), &[]), asked);
    assert_ne!(summary(&text, &[])["winters"], asked["winters"]);
}

fn map(weather: &str) -> ColumnMap {
    match read(weather, Path::new("yard")).weather.source {
        WeatherSource::Files {
            columns: Some(map), ..
        } => *map,
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_map_of_columns_means_what_the_reader_of_weather_takes() {
    let written = r#"files = ["a.csv"]
[weather.columns]
header = false
delimiter = "tab"
missing = [-99, 9999.5]
utc_offset = "-360 min"
radiation = "end"
station = 6
time = { year = 1, month = 2, day = 3, hour = 4, minute = 5 }
temperature = { column = 7, unit = "K" }
global = { column = 8, unit = "J/cm2" }"#;
    let expected: ColumnMap = toml::from_str(
        r#"
        header = false
        delimiter = "\t"
        missing = [-99.0, 9999.5]
        utc_offset_h = -6.0
        radiation = "end"
        station = 6
        time = { year = 1, month = 2, day = 3, hour = 4, minute = 5 }
        [columns]
        temperature = { column = 7, unit = "K" }
        global = { column = 8, unit = "J/cm2" }"#,
    )
    .unwrap();
    assert_eq!(map(written), expected);
    let shortest = "files = [\"a.csv\"]\ncolumns = { time = \"date\", temperature = { column = \"T\", unit = \"C\" } }";
    let expected: ColumnMap = toml::from_str(
        "time = { column = \"date\" }\ncolumns.temperature = { column = \"T\", unit = \"C\" }",
    )
    .unwrap();
    assert_eq!(map(shortest), expected);
}

#[test]
fn the_fingerprint_sees_every_part_of_the_map_but_not_how_a_unit_is_spelt() {
    let fingerprint = |weather: &str| read(weather, Path::new("yard")).fingerprint;
    let whole =
        format!("{OWN_COLUMNS}\nstation = \"S\"\nutc_offset = \"1 h\"\nradiation = \"end\"");
    let mut seen = std::collections::HashSet::from([fingerprint(&whole)]);
    for (written, otherwise) in [
        ("delimiter = \";\"", "delimiter = \"|\""),
        ("skip_lines = 1", "skip_lines = 2"),
        ("comma = true", "comma = false"),
        ("missing = -99", "missing = [-99, -9]"),
        ("%d.%m", "%m.%d"),
        ("\"Datum\"", "\"Date\""),
        ("\"Temp\"", "\"T\""),
        ("unit = \"F\"", "unit = \"C\""),
        ("column = 3", "column = 4"),
        ("km/h", "kn"),
        ("\nwind =", "\ncloud ="),
        ("\"S\"", "\"R\""),
        ("\"1 h\"", "\"2 h\""),
        ("\"end\"", "\"start\""),
    ] {
        assert_eq!(whole.matches(written).count(), 1, "{written}");
        let changed = whole.replace(written, otherwise).replace(
            "cloud = { column = 3, unit = \"km/h\" }",
            "cloud = { column = 3, unit = \"%\" }",
        );
        assert!(seen.insert(fingerprint(&changed)), "{otherwise}");
    }
    let spelt = whole
        .replace("\"F\"", "\"deg F\"")
        .replace("km/h", "kph")
        .replace("\"1 h\"", "\"60 min\"");
    assert_eq!(fingerprint(&spelt), fingerprint(&whole));
}
