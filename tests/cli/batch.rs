//! `overwinter batch` and `overwinter merge` through the program: cells, parts, failures, refusals, rules for the season.

use crate::studies::{results, study};
use std::fs::File;
use support::program::{column, table};

/// Results that do not depend on how a batch was run; the map is last, which takes three stations.
const RESULTS: [&str; 11] = [
    "results.csv",
    "results.parquet",
    "winters.csv",
    "winters.parquet",
    "stations.csv",
    "district.csv",
    "summary.json",
    "district-need.svg",
    "district-risk.svg",
    "district-map.svg",
    "district-map.png",
];

#[test]
fn parts_in_any_order_on_any_threads_merge_to_the_bytes_of_one_run() {
    let yard = study(3);
    let whole = yard.succeed(&["batch", "study.toml", "--out", "whole", "--threads", "2"]);
    for (part, threads) in [("2/3", "1"), ("3/3", "3"), ("1/3", "1")] {
        let own = format!("part-{}", part.replace('/', "-"));
        for folder in ["shared", &own] {
            let said = yard.succeed(&[
                "batch",
                "study.toml",
                "--out",
                folder,
                "--shard",
                part,
                "--threads",
                threads,
            ]);
            assert!(
                said.contains(&format!("Part {part} of Trial: 2 cells finished")),
                "{said}"
            );
        }
    }
    let merged = yard.succeed(&["merge", "shared"]);
    yard.succeed(&[
        "merge", "part-1-3", "part-2-3", "part-3-3", "--out", "together",
    ]);
    assert_eq!(merged, whole);
    for name in RESULTS {
        let one = yard.read(&format!("whole/{name}"));
        assert!(!one.is_empty());
        assert!(one == yard.read(&format!("shared/{name}")), "{name}");
        assert!(one == yard.read(&format!("together/{name}")), "{name}");
    }
}

#[test]
fn a_batch_started_elsewhere_gives_the_same_bytes() {
    let yard = study(1);
    yard.succeed(&["batch", "study.toml", "--out", "here"]);
    let mut elsewhere = yard.command(&["batch", "../study.toml", "--out", "../there"]);
    std::fs::create_dir(yard.path("sub")).expect("a folder");
    elsewhere.current_dir(yard.path("sub")).assert().success();
    for name in &RESULTS[..9] {
        assert!(
            yard.read(&format!("here/{name}")) == yard.read(&format!("there/{name}")),
            "{name}"
        );
    }
}

#[test]
fn only_cells_of_changed_weather_are_made_anew() {
    let yard = study(2);
    yard.succeed(&["batch", "study.toml", "--out", "d"]);
    let before = crate::studies::cells(&yard, "d");
    let weather = yard.text("weather/s2.csv");
    yard.write("weather/s2.csv", weather.replacen(",7.8,", ",7.9,", 1));
    yard.succeed(&["batch", "study.toml", "--out", "d"]);
    let after = crate::studies::cells(&yard, "d");
    assert_eq!(before.len(), 4);
    for ((name, cell), (same, now)) in before.iter().zip(&after) {
        assert_eq!(name, same);
        let touched = cell.modified != now.modified;
        assert_eq!(touched, name.starts_with("s2."), "{name}");
    }
    let changed = results(&yard, "d");
    assert_ne!(
        before["s2.thick.calendar"].bytes,
        after["s2.thick.calendar"].bytes
    );
    assert_eq!(changed.1.len(), 4);
}

#[test]
fn a_cell_that_cannot_be_run_is_told_and_does_not_stop_the_others() {
    let yard = study(1);
    yard.write("weather/bad.csv", "nonsense\n");
    let warm = yard
        .text("weather/s1.csv")
        .replace("latitude: 41", "latitude: -41");
    yard.write("weather/south.csv", warm);
    let ended = yard.start(&["batch", "study.toml", "--out", "d"]);
    assert_eq!(ended.code, 1, "{}", ended.err);
    assert!(
        ended.err.starts_with("error: 4 of 6 cells failed:\n"),
        "{}",
        ended.err
    );
    assert!(
        ended
            .err
            .contains("weather/bad.csv: none of the known layouts"),
        "{}",
        ended.err
    );
    assert!(
        ended.err.contains("latitude -41 is not 0 to 90"),
        "{}",
        ended.err
    );
    assert!(
        ended.out.contains("thin, season calendar: 1 station with"),
        "{}",
        ended.out
    );
    let (head, rows) = results(&yard, "d");
    let place = head
        .iter()
        .position(|name| name == "failure")
        .expect("a column");
    let failed: Vec<bool> = rows.iter().map(|row| !row[place].is_empty()).collect();
    assert_eq!(failed, [true, true, false, false, true, true]);

    // Mended, only its own cells are run.
    let good = yard.text("weather/s1.csv");
    yard.write("weather/bad.csv", &good);
    std::fs::remove_file(yard.path("weather/south.csv")).expect("removed");
    let before = crate::studies::cells(&yard, "d");
    yard.succeed(&["batch", "study.toml", "--out", "d"]);
    let after = crate::studies::cells(&yard, "d");
    assert_eq!(
        before["s1.thin.calendar"].modified,
        after["s1.thin.calendar"].modified
    );
    assert_ne!(
        before["bad.thin.calendar"].modified,
        after["bad.thin.calendar"].modified
    );
}

#[test]
fn two_runs_of_the_same_cells_do_not_work_side_by_side() {
    let yard = study(1);
    std::fs::create_dir(yard.path("d")).expect("a folder");
    let lock = File::create(yard.path("d/.overwinter-lock")).expect("a file");
    lock.lock_shared().expect("locked");
    let ended = yard.start(&["batch", "study.toml", "--out", "d"]);
    assert_eq!(ended.code, 1);
    assert!(
        ended.err.contains("another run of this batch"),
        "{}",
        ended.err
    );
    // A part shares the folder, but not its own cells.
    yard.succeed(&["batch", "study.toml", "--out", "d", "--shard", "1/2"]);
    let own = File::create(yard.path("d/.overwinter-lock-2-of-2")).expect("a file");
    own.lock().expect("locked");
    let part = ["batch", "study.toml", "--out", "d", "--shard", "2/2"];
    assert_eq!(yard.start(&part).code, 1);
    drop((lock, own));
    yard.succeed(&part);
    yard.succeed(&["merge", "d"]);
}

#[test]
fn what_is_not_finished_is_not_merged() {
    let yard = study(2);
    yard.succeed(&["batch", "study.toml", "--out", "d", "--shard", "1/2"]);
    let ended = yard.start(&["merge", "d"]);
    assert_eq!(ended.code, 1);
    let says = "2 of 4 cells are not finished, the first is s1, thick, calendar";
    assert!(ended.err.contains(says), "{}", ended.err);
    assert!(!yard.path("d/results.csv").exists());
    // Another seed is another batch.
    yard.succeed(&[
        "batch",
        "study.toml",
        "--out",
        "e",
        "--shard",
        "2/2",
        "--seed",
        "8",
    ]);
    yard.refuse(&["merge", "d", "e"], &["e: is of another batch than d"]);
    yard.refuse(
        &["merge", "weather"],
        &["weather/plan.json: there is no such file"],
    );
}

#[test]
fn results_of_a_study_before_its_change_do_not_stand_beside_the_new_plan() {
    let yard = study(2);
    let out = yard.succeed(&["batch", "study.toml", "--out", "d"]);
    let out = out.split_whitespace().collect::<Vec<_>>().join(" ");
    // One winter of three members: the reader must not take the figures for odds.
    assert!(
        out.contains("Note: only 1 complete winter") && out.contains("(s1, s2)."),
        "{out}"
    );
    assert!(yard.path("d/results.csv").exists());
    // One part is not the whole: nothing but its plan and cells is to be found.
    let part = ["batch", "study.toml", "--out", "d", "--shard", "1/2"];
    yard.succeed(&[&part[..], &["--members", "2"]].concat());
    let entries = std::fs::read_dir(yard.path("d")).expect("the folder");
    let names = entries.map(|entry| entry.expect("an entry").file_name());
    let mut names: Vec<String> = names
        .map(|name| name.to_string_lossy().into_owned())
        .filter(|name| !name.starts_with('.'))
        .collect();
    names.sort();
    assert_eq!(names, ["cells", "plan.json"]);
}

#[test]
fn studies_that_cannot_be_are_refused_with_their_line() {
    let yard = study(1);
    let good = yard.text("study.toml");
    let refuse = |from: &str, to: &str, says: &[&str]| {
        assert!(good.contains(from), "{from}");
        yard.write("wrong.toml", good.replacen(from, to, 1));
        yard.refuse(&["batch", "wrong.toml", "--out", "d"], says);
    };
    refuse(
        "scenarios",
        "scenario",
        &["wrong.toml:2: scenario: unknown key, nearest is 'scenarios'"],
    );
    refuse(
        "\"thick.toml\"",
        "\"thin.toml\"",
        &["wrong.toml:2: scenarios[2]", "'thin' comes twice"],
    );
    refuse("\"thick.toml\"", "\"no.toml\"", &["no.toml: no such file"]);
    refuse(
        "folder = \"weather\"",
        "folder = \"none\"",
        &["wrong.toml:6: weather.folder: \"none\""],
    );
    refuse(
        "folder = \"weather\"",
        "",
        &["station: is missing", "[[station]]"],
    );
    refuse(
        "[[season]]",
        "[[station]]\nname = \"Home\"\nfiles = [\"weather/none.csv\"]\n[[season]]",
        &[
            "wrong.toml:9: station[1].files[1]: \"weather/none.csv\"",
            "a file that is there",
        ],
    );
    refuse(
        "members = 3",
        "members = 0",
        &["wrong.toml:3: members: 0 is not allowed; give 1 to"],
    );
    refuse(
        "20 April",
        "20 September",
        &["wrong.toml:7: season[1]", "midsummer"],
    );
    refuse(
        "\"1 October\"",
        "{ below = \"50 °C\" }",
        &["wrong.toml:9: season[1].start.below"],
    );
    refuse(
        "\"20 April\"",
        "{ after = 3 }",
        &["first_forage.after: unknown key", "above, degree_days"],
    );
    yard.refuse(
        &["batch", "no.toml", "--out", "d"],
        &["no.toml: cannot be read"],
    );
    yard.refuse(
        &["batch", "study.toml", "--out", "weather"],
        &["holds no batch"],
    );
    yard.refuse(
        &["batch", "study.toml", "--out", "study.toml"],
        &["is a file"],
    );
    yard.refuse(
        &["batch", "study.toml", "--out", "d", "--shard", "3/2"],
        &["as 2/8"],
    );
    yard.succeed(&["batch", "study.toml", "--out", "d"]);
    yard.write("other.toml", good.replacen("Trial", "Other", 1));
    yard.refuse(
        &["batch", "other.toml", "--out", "d"],
        &["study 'Trial', not of 'Other'"],
    );
}

#[test]
fn a_station_may_be_listed_with_what_its_files_do_not_say() {
    let yard = study(1);
    let bare: String = yard
        .text("weather/s1.csv")
        .lines()
        .filter(|line| !line.starts_with('#'))
        .map(|line| format!("{line}\n"))
        .collect();
    yard.write("weather/bare.csv", bare);
    let ended = yard.start(&["batch", "study.toml", "--out", "d"]);
    assert!(ended.err.contains("no latitude"), "{}", ended.err);
    let listed = format!(
        "{}\n[[station]]\nname = \"Home\"\nfiles = [\"weather/bare.csv\"]\nlatitude = 44\nelevation = \"700 ft\"\n",
        yard.text("study.toml")
    );
    yard.write("study.toml", listed);
    yard.succeed(&["batch", "study.toml", "--out", "d"]);
    let stations = table(&yard.text("d/stations.csv"));
    let names: Vec<&str> = stations.1.iter().map(|row| row[0].as_str()).collect();
    assert_eq!(names, ["Home", "s1"]);
    assert_eq!(column(&stations, "latitude_deg"), [44.0, 41.0]);
    assert_eq!(column(&stations, "elevation_m"), [213.0, 350.0]);
}

#[test]
fn a_rule_finds_the_days_of_a_winter_in_each_stations_mean_year() {
    let yard = study(1);
    // 6 K colder: winter begins earlier and ends later.
    let text = yard.text("weather/s1.csv");
    let colder = text.lines().map(|line| {
        let mut cells: Vec<String> = line.split(',').map(str::to_owned).collect();
        if line.starts_with('2') {
            let c: f64 = cells[1].parse().expect("a temperature");
            cells[1] = format!("{:.1}", c - 6.0);
            cells[2].clear();
        }
        cells.join(",") + "\n"
    });
    yard.write("weather/s2.csv", colder.collect::<String>());
    let study = yard
        .text("study.toml")
        .replace("\"1 October\"", "{ below = \"4 °C\" }")
        .replace("\"20 April\"", "{ above = \"4 °C\" }");
    yard.write("study.toml", study);
    yard.succeed(&["batch", "study.toml", "--out", "d"]);
    let found = results(&yard, "d");
    let days = column(&found, "days");
    assert!(days[2] > days[0] + 14.0, "{days:?}");
    let (need, short, long) = (column(&found, "need_mean_kg"), 0, 2);
    assert!(need[long] > need[short], "{need:?}");
}
