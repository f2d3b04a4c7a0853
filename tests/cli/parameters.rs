//! `overwinter parameters` through the program.

use overwinter::parameter::TABLE;
use support::program::Yard;

fn printed(arguments: &[&str]) -> String {
    Yard::new().succeed(arguments)
}

/// Text with any blanks, line breaks too, as one blank.
fn unwrapped(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn every_parameter_is_listed_with_all_that_the_table_says_of_it() {
    let text = unwrapped(&printed(&["parameters"]));
    for row in TABLE {
        let Some(at) = text.find(&format!("{} {} {} ", row.name, row.unit, row.default)) else {
            panic!("{} is not listed", row.name);
        };
        let entry = format!(
            "{} {} {} {} to {} {} {} {} Source: {}",
            row.name,
            row.unit,
            row.default,
            row.low,
            row.high,
            row.spread,
            row.mark,
            row.meaning,
            row.source
        );
        assert!(text[at..].starts_with(&unwrapped(&entry)), "{entry}");
    }
}

#[test]
fn no_line_of_the_list_is_wider_than_100_characters() {
    for line in printed(&["parameters"]).lines() {
        assert!(line.chars().count() <= 100, "{line}");
        assert_eq!(line.trim_end(), line);
    }
}

#[test]
fn the_list_as_json_has_every_row_of_the_table() {
    let rows: Vec<serde_json::Value> =
        serde_json::from_str(&printed(&["parameters", "--json"])).unwrap();
    assert_eq!(rows.len(), TABLE.len());
    for (found, row) in rows.iter().zip(TABLE) {
        assert_eq!(found["name"], row.name);
        assert_eq!(found["unit"], row.unit);
        assert_eq!(found["default"], row.default);
        assert_eq!(
            (&found["low"], &found["high"]),
            (&row.low.into(), &row.high.into())
        );
        assert_eq!(found["meaning"], row.meaning);
        assert_eq!(found["source"], row.source);
    }
    let film = rows
        .iter()
        .find(|row| row["name"] == "tight_film_w_m2k")
        .unwrap();
    assert_eq!(
        (&film["spread"], &film["mark"]),
        (&"log-triangular".into(), &"own-estimate".into())
    );
}

#[test]
fn a_unit_system_is_refused_since_the_list_is_in_the_units_of_the_names() {
    let ended = Yard::new().start(&["parameters", "--units", "us"]);
    assert_eq!(ended.code, 2);
}
