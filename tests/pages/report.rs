//! The page of a result: what it holds, that nothing in it comes from elsewhere, and that it can be made again from what its folder keeps.

use overwinter::scenario::starter;
use support::program::Yard;

/// A run of the sample in a folder `results`.
fn run(yard: &Yard) {
    yard.succeed(&["run", "--members", "10", "--quiet", "--out", "results"]);
}

#[test]
fn a_run_has_a_page_with_question_answer_pictures_limits_and_what_repeats_it() {
    let yard = Yard::new();
    run(&yard);
    let page = yard.text("results/report.html");
    for part in [
        "How much honey does a winter take here",
        "<dt>Honey needed</dt>",
        "Half of winters need ",
        "<h2 id=\"limits-head\">Limits and cautions</h2>",
        "apiary inspector",
        "overwinter run sample.toml --members 10 --seed 1",
        "An overwinter scenario",
        "role=\"img\"",
    ] {
        assert!(page.contains(part), "{part}");
    }
    for ending in [".svg", ".png"] {
        let drawn = yard.read(&format!("results/coldness{ending}"));
        assert!(drawn.len() > 5_000, "{ending}: {}", drawn.len());
    }
}

#[test]
fn nothing_on_a_page_or_in_a_picture_comes_from_elsewhere() {
    let yard = Yard::new();
    run(&yard);
    for file in ["results/report.html", "results/coldness.svg"] {
        let text = yard.text(file);
        // A namespace names; it is not fetched.
        let text = text.replace("http://www.w3.org/2000/svg", "");
        for from in [
            "http:", "https:", "//cdn", "src=\"", "@import", "href=\"/", "url(\"",
        ] {
            assert!(!text.contains(from), "{file}: {from}");
        }
        assert!(text.contains("url(data:font/ttf;base64,"), "{file}");
    }
}

#[test]
fn the_command_on_a_page_makes_the_same_page_from_the_scenario_on_it() {
    let yard = Yard::new();
    run(&yard);
    yard.write("sample.toml", starter());
    yard.succeed(&[
        "run",
        "sample.toml",
        "--members",
        "10",
        "--seed",
        "1",
        "--quiet",
        "--threads",
        "1",
        "--out",
        "again",
    ]);
    assert_eq!(
        yard.text("again/report.html"),
        yard.text("results/report.html")
    );
    assert_eq!(
        yard.read("again/coldness.png"),
        yard.read("results/coldness.png")
    );
}

#[test]
fn a_page_is_made_again_in_other_units_without_running_anything() {
    let yard = Yard::new();
    run(&yard);
    let metric = yard.text("results/report.html");
    let summary = yard.read("results/summary.json");
    let said = yard.succeed(&[
        "report",
        "results",
        "--units",
        "us",
        "--chart-theme",
        "dark",
    ]);
    assert!(said.contains("report.html"), "{said}");
    let us = yard.text("results/report.html");
    assert!(us.contains("data-theme=\"dark\"") && us.contains(" lb or less"));
    assert_eq!(yard.read("results/summary.json"), summary);
    yard.succeed(&["report", "results"]);
    assert_eq!(yard.text("results/report.html"), metric);
    // A folder of its own is not overwritten.
    yard.succeed(&["report", "results", "--out", "elsewhere"]);
    assert_eq!(yard.text("elsewhere/report.html"), metric);
    yard.refuse(
        &["report", "results", "--out", "elsewhere"],
        &["is there already"],
    );
}

#[test]
fn every_command_with_charts_has_a_page() {
    let yard = Yard::new();
    let commands: [&[&str]; 4] = [
        &[
            "compare",
            "sample",
            "--hive",
            "foam-two-boxes",
            "--members",
            "10",
            "--quiet",
        ],
        &["sensitivity", "--rows", "8", "--quiet"],
        &[
            "sweep",
            "--set",
            "colony.bees=9000,15000",
            "--members",
            "10",
            "--quiet",
        ],
        &["trace"],
    ];
    for command in commands {
        let name = command[0];
        yard.succeed(&[command, &["--out", name]].concat());
        let page = yard.text(&format!("{name}/report.html"));
        assert!(page.contains(&format!("overwinter {name} ")), "{name}");
        assert!(page.contains("</svg>"), "{name}");
        yard.succeed(&["report", name, "--units", "us"]);
    }
}

#[test]
fn a_folder_that_keeps_no_result_is_refused() {
    let yard = Yard::new();
    yard.write("empty/notes.txt", "mine");
    yard.refuse(
        &["report", "empty"],
        &["empty: has no report.json", "--out"],
    );
    yard.refuse(&["report", "missing"], &["missing: has no report.json"]);
    yard.write("other/report.json", "{\"format\": 1, \"charts\": ");
    yard.refuse(
        &["report", "other"],
        &["report.json: is no report of this program"],
    );
    yard.write("other/report.json", "{\"format\": 99}");
    yard.refuse(
        &["report", "other"],
        &["has format 99, and this program reads 1"],
    );
}

#[test]
fn a_chart_cannot_name_a_file_elsewhere() {
    let yard = Yard::new();
    run(&yard);
    let saved = yard.text("results/report.json");
    for key in ["../coldness", "", "report.html", "Coldness"] {
        yard.write(
            "results/report.json",
            saved.replacen("\"key\": \"coldness\"", &format!("\"key\": {key:?}"), 1),
        );
        yard.refuse(&["report", "results"], &["has a chart named"]);
    }
}

#[test]
fn names_that_nobody_expected_are_shown_and_do_nothing() {
    let long = "x".repeat(500);
    let names = [
        "<script>alert(1)</script>",
        "</title><img src=x onerror=alert(1)>",
        "]]><svg onload=alert(1)>",
        "\u{202e}drah si retniw",
        "חורף קר ושלג",
        "🐝❄️👩‍👩‍👧",
        long.as_str(),
    ];
    for name in names {
        let yard = Yard::new();
        let quoted = format!("name = {}", serde_json::Value::from(name));
        let text = starter().replacen(
            "name = \"Kettlewend, two boxes of 19 mm softwood\"",
            &quoted,
            1,
        );
        assert_ne!(text, starter());
        yard.write("yard.toml", text);
        yard.succeed(&[
            "run",
            "yard.toml",
            "--members",
            "4",
            "--quiet",
            "--out",
            "results",
        ]);
        let page = yard.text("results/report.html");
        // One script, ours; its text alone may hold these words.
        assert_eq!(page.matches("<script").count(), 1, "{name}");
        for tag in ["<img", "<svg onload", "<script>alert"] {
            assert!(!page.contains(tag), "{name}: {tag}");
        }
        let svg = yard.text("results/coldness.svg");
        roxmltree::Document::parse(&svg).expect("an SVG that can be read");
    }
}
