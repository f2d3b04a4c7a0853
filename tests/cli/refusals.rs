//! Bad input through the program: one error that says what and where, exit code 2, nothing printed, nothing written.

use support::program::{Yard, one_winter, overwinter, scenario_with_weather, shipped};

/// Weather of one winter with a hand on its lines; the head takes the first seven.
fn changed(change: impl FnOnce(&mut Vec<String>)) -> String {
    let mut lines: Vec<String> = one_winter().lines().map(str::to_owned).collect();
    change(&mut lines);
    lines.join("\n") + "\n"
}

/// The second cell of a line, the temperature, as `change` makes it.
fn with_temperature(line: &str, change: impl FnOnce(f64) -> String) -> String {
    let mut cells: Vec<String> = line.split(',').map(str::to_owned).collect();
    cells[1] = change(cells[1].parse().expect("a temperature"));
    cells.join(",")
}

/// Every command that reads weather refuses this file, as part of a scenario and by itself.
#[track_caller]
fn weather_is_refused(bytes: impl AsRef<[u8]>, says: &[&str]) {
    let yard = Yard::new();
    yard.write("yard/bad.csv", bytes);
    yard.write("yard/oak.toml", scenario_with_weather("bad.csv"));
    yard.refuse(&["run", "yard/oak.toml", "--out", "results"], says);
    yard.refuse(&["run", "yard/oak.toml", "--json"], says);
    yard.refuse(&["trace", "yard/oak.toml", "--out", "results"], says);
    yard.refuse(&["weather", "yard/bad.csv", "--to", "clean.csv"], says);
}

#[track_caller]
fn scenario_is_refused(bytes: impl AsRef<[u8]>, says: &[&str]) {
    let yard = Yard::new();
    yard.write("oak.toml", bytes);
    yard.refuse(&["run", "oak.toml", "--out", "results"], says);
    yard.refuse(&["trace", "oak.toml", "--out", "results"], says);
    yard.refuse(&["heatloss", "oak.toml"], says);
}

#[test]
fn the_weather_that_the_other_tests_spoil_runs() {
    let yard = Yard::new();
    yard.write("yard/data/good.csv", one_winter());
    yard.write("yard/oak.toml", scenario_with_weather("data/good.csv"));
    // Paths are relative to the scenario, from wherever the program is started.
    let out = yard.succeed(&["run", "yard/oak.toml", "--members", "2"]);
    assert!(out.contains("2 members over 1 winter,"), "{out}");
    assert!(
        out.contains("Note: only 1 complete winter in the record"),
        "{out}"
    );
}

#[test]
fn a_run_says_what_was_assumed_of_its_weather_and_how_much_was_filled_in() {
    let yard = Yard::new();
    // Half a day is gone on each of four days.
    let gaps = changed(|lines| {
        lines.retain(|line| {
            let day = ["2011-11-03T", "2011-11-13T", "2012-01-03T", "2012-02-03T"];
            !day.iter().any(|day| line.starts_with(day)) || line.contains("T0")
        });
        lines[6] = lines[6].replace("pressure_hpa", "pressure");
    });
    yard.write("gaps.csv", gaps);
    yard.write("oak.toml", scenario_with_weather("gaps.csv"));
    let out = yard.succeed(&["run", "oak.toml", "--members", "1"]);
    assert!(
        out.contains("winter 2011-12: 56 h of its temperature are not measured but filled in"),
        "{out}"
    );
    assert!(out.contains("pressure names no unit"), "{out}");
    assert!(
        !Yard::new()
            .succeed(&["run", "--members", "1"])
            .contains("Note: weather")
    );
}

#[test]
fn a_missing_file_is_refused_by_its_path() {
    let yard = Yard::new();
    yard.refuse(
        &["run", "no.toml"],
        &["no.toml: no such file", "overwinter new"],
    );
    yard.refuse(
        &["weather", "no.csv"],
        &["no.csv: cannot be read", "check the path"],
    );
    yard.write("yard/oak.toml", scenario_with_weather("no.csv"));
    yard.refuse(
        &["run", "yard/oak.toml", "--out", "results"],
        &["no.csv: cannot be read"],
    );
}

#[test]
fn a_folder_in_place_of_a_file_is_refused() {
    let yard = Yard::new();
    yard.write("folder/a.txt", "");
    yard.refuse(&["run", "folder"], &["folder: is a folder"]);
    yard.refuse(
        &["weather", "folder"],
        &["folder: cannot be read", "directory"],
    );
    yard.refuse(&["new", "folder"], &["folder: is a folder; name a file"]);
}

#[test]
fn an_empty_file_is_refused() {
    weather_is_refused("", &["bad.csv: the file is empty"]);
    scenario_is_refused("", &["oak.toml: is empty", "overwinter new"]);
    scenario_is_refused(" \n\n", &["oak.toml: is empty"]);
}

#[test]
fn a_binary_file_is_refused() {
    let program = &std::fs::read(overwinter().get_program()).expect("a file")[..50_000];
    weather_is_refused(program, &["bad.csv", "binary"]);
    scenario_is_refused(program, &["oak.toml: is not text", "UTF-8"]);
}

#[test]
fn a_file_that_is_not_utf_8_is_refused_with_its_line() {
    let mut bytes = one_winter().into_bytes();
    // "Kettlewend" with the e acute of Latin-1.
    bytes[9] = 0xe9;
    weather_is_refused(bytes, &["bad.csv:1: ", "not UTF-8"]);
    scenario_is_refused(
        b"# oak\nname = \"caf\xe9\"\n",
        &["oak.toml:2: ", "not UTF-8"],
    );
}

#[test]
fn a_file_cut_off_is_refused() {
    let whole = one_winter();
    let last = whole.lines().nth(3_000).expect("a line");
    let cut = whole.find(last).expect("that line") + 20;
    weather_is_refused(
        &whole[..cut],
        &["bad.csv:3001: ", "ends in the middle of its last row"],
    );
    let scenario = scenario_with_weather("bad.csv");
    let cut = scenario.find("[hive]").expect("a section") + 3;
    scenario_is_refused(&scenario[..cut], &["oak.toml:", "not TOML", "[hi"]);
}

#[test]
fn fahrenheit_in_a_celsius_column_is_refused_with_its_row() {
    let fahrenheit = changed(|lines| {
        for line in &mut lines[7..] {
            *line = with_temperature(line, |c| format!("{:.1}", c * 1.8 + 32.0));
        }
    });
    weather_is_refused(
        fahrenheit,
        &[
            "bad.csv:",
            "temperature_c",
            "°C\" is impossible",
            "allowed: -90 to 60 °C",
            "°F",
        ],
    );
}

#[test]
fn a_value_that_is_no_number_is_refused_with_line_column_and_what_is_allowed() {
    for text in ["mild", "inf", "1e400"] {
        let spoilt =
            changed(|lines| lines[200] = with_temperature(&lines[200], |_| text.to_owned()));
        let value = format!("{text:?} is no number");
        weather_is_refused(
            spoilt,
            &[
                "bad.csv:201: temperature_c: ",
                &value,
                "allowed: a number in °C",
            ],
        );
    }
}

#[test]
fn time_going_backwards_is_refused_with_both_times() {
    let swapped = changed(|lines| lines.swap(57, 107));
    weather_is_refused(
        swapped,
        &[
            "bad.csv:59: time goes backwards: ",
            "comes after",
            "sort the rows",
        ],
    );
}

#[test]
fn a_time_that_is_none_is_refused() {
    let spoilt = changed(|lines| lines[100] = lines[100].replacen("2011-09-", "2011-13-", 1));
    weather_is_refused(
        spoilt,
        &[
            "bad.csv:101: time: ",
            "is no date and hour",
            "allowed: such as",
        ],
    );
}

#[test]
fn a_record_without_a_complete_winter_runs_nothing() {
    let yard = Yard::new();
    let half = changed(|lines| lines.truncate(2_000));
    yard.write("half.csv", half);
    yard.write("oak.toml", scenario_with_weather("half.csv"));
    let says = [
        "no complete winter from 10-01 to 04-20",
        "2011-09-15",
        "2011-12: no temperature from",
    ];
    yard.refuse(&["run", "oak.toml", "--out", "results"], &says);
    yard.refuse(&["trace", "oak.toml"], &says);
    // What the file holds can be told all the same.
    let out = yard.succeed(&["weather", "half.csv"]);
    assert!(out.contains("No winter: no complete winter"), "{out}");
}

#[test]
fn impossible_scenarios_are_refused_with_line_field_value_and_what_is_allowed() {
    let good = scenario_with_weather("good.csv");
    let cases: [(&str, &str, &[&str]); 8] = [
        ("boxes = 2", "boxes = 0", &["hive.boxes", "0", "1"]),
        (
            "wall = [\"19 mm softwood\"]",
            "wall = [\"-19 mm softwood\"]",
            &["hive.wall[1]", "-19 mm", "0.1 mm to 1 m"],
        ),
        (
            "wall = [\"19 mm softwood\"]",
            "wall = [\"19 softwood\"]",
            &["hive.wall[1]", "19"],
        ),
        (
            "stores = \"15 kg\"",
            "stores = \"1000 kg\"",
            &["colony.stores", "1000 kg", "200 kg"],
        ),
        (
            "stores = \"15 kg\"",
            "stores = \"15 m\"",
            &["colony.stores", "15 m", "kg"],
        ),
        (
            "members = 1000",
            "members = 0   ",
            &["ensemble.members", "0", "1"],
        ),
        (
            "frames = 10 ",
            "frame = 10  ",
            &["hive.frame", "unknown key", "'frames'"],
        ),
        (
            "start = \"1 October\"",
            "start = \"1 May\"",
            &["season", "1 May", "20 April"],
        ),
    ];
    for (right, wrong, says) in cases {
        assert_eq!(good.matches(right).count(), 1, "{right}");
        let line = 1 + good[..good.find(right).expect("it")].matches('\n').count();
        let place = if wrong.contains("May") {
            "oak.toml:".to_owned()
        } else {
            format!("oak.toml:{line}: ")
        };
        let says = [&[place.as_str()], says].concat();
        scenario_is_refused(good.replace(right, wrong), &says);
    }
}

#[test]
fn names_cannot_carry_control_characters_to_the_terminal() {
    let hostile = scenario_with_weather("good.csv").replacen("name = \"", "name = \"\\u001b[2J", 1);
    scenario_is_refused(hostile, &["oak.toml:", "name", "control characters"]);
}

#[test]
fn options_out_of_range_are_refused_with_the_range() {
    let yard = Yard::new();
    yard.refuse(
        &["run", "--members", "0"],
        &["'0' for '--members", "1..=1000000"],
    );
    yard.refuse(
        &["run", "--members", "-3"],
        &["'-3' for '--members", "1..=1000000"],
    );
    yard.refuse(
        &["run", "--members", "99999999999"],
        &["--members", "1..=1000000"],
    );
    yard.refuse(
        &["run", "--seed", "-1"],
        &["'-1' for '--seed", "0 to 18446744073709551615"],
    );
    yard.refuse(
        &["run", "--threads", "0"],
        &["'0' for '--threads", "1 to 1024"],
    );
    yard.refuse(&["run", "--threads", "5000"], &["--threads", "1 to 1024"]);
    yard.refuse(&["run", "--units", "imperial"], &["imperial", "metric, us"]);
    yard.refuse(
        &["trace", "--winter", "1999-00"],
        &["--winter: '1999-00'", "2011-12"],
    );
    yard.refuse(
        &["trace", "--member", "1000"],
        &["--member: 1000", "0 to 999"],
    );
    yard.refuse(
        &["heatloss", "--inside", "10"],
        &["--inside: '10': the unit is missing", "'20 °C'"],
    );
    yard.refuse(
        &["heatloss", "--outside", "-80 °C"],
        &["--outside: -80 °C", "-60 to 60 °C"],
    );
    yard.refuse(
        &["heatloss", "--wind", "-1 m/s"],
        &["--wind: -1 m/s", "0 to 40 m/s"],
    );
    yard.refuse(&["heatloss", "--wind", "nan"], &["--wind: 'nan'", "finite"]);
    yard.refuse(
        &["heatloss", "--outside", "10 °C"],
        &["--outside: 10 °C is the inside temperature too"],
    );
}

#[test]
fn bad_climate_normals_are_refused_with_line_field_and_range() {
    let yard = Yard::new();
    let normals = String::from_utf8(shipped("weather/kettlewend-normals.toml")).expect("UTF-8");
    let cases: [(&str, &str, &[&str]); 3] = [
        (
            "latitude_deg = 47.2",
            "latitude_deg = 147.2",
            &["line 4: latitude_deg is 147.2", "-66 to 66"],
        ),
        (
            "persistence =",
            "persistense =",
            &["line 10: ", "persistense", "persistence"],
        ),
        ("[-11.0, -8.6", "[-8.6", &["line 13: ", "length 11"]),
    ];
    let synth = ["weather", "synth", "normals.toml", "--to", "made.csv"];
    for (right, wrong, says) in cases {
        yard.write("normals.toml", normals.replacen(right, wrong, 1));
        yard.refuse(&synth, &[&["normals.toml: "], says].concat());
    }
    yard.write("normals.toml", b"name = \"caf\xe9\"\n");
    yard.refuse(&synth, &["normals.toml is not text; save it as UTF-8"]);
    yard.write("normals.toml", normals);
    yard.refuse(
        &[&synth[..], &["--winters", "0"]].concat(),
        &["cannot make 0 winters", "1 to 1,000"],
    );
    yard.refuse(
        &["weather", "synth", "no.toml", "--to", "made.csv"],
        &["no.toml cannot be read"],
    );
}

#[test]
fn unknown_commands_and_options_are_refused_with_the_nearest() {
    let yard = Yard::new();
    yard.refuse(&["rum"], &["'rum'", "'run'"]);
    yard.refuse(&["run", "--member", "5"], &["'--member'", "'--members'"]);
    yard.refuse(
        &["trace", "--csv", "--json"],
        &["'--csv' cannot be used with '--json'"],
    );
    yard.refuse(&["weather"], &["<FILE>"]);
    yard.refuse(
        &["weather", "a.csv", "--start", "13-45"],
        &["13-45", "MM-DD"],
    );
}

#[test]
fn help_and_version_are_no_errors() {
    let yard = Yard::new();
    assert!(
        yard.succeed(&["--help"])
            .contains("Usage: overwinter <COMMAND>")
    );
    assert_eq!(
        yard.succeed(&["--version"]),
        concat!("overwinter ", env!("CARGO_PKG_VERSION"), "\n")
    );
    for command in [
        "run",
        "trace",
        "heatloss",
        "hives",
        "weather",
        "materials",
        "new",
    ] {
        assert!(
            yard.succeed(&[command, "--help"])
                .contains("Usage: overwinter")
        );
    }
}
