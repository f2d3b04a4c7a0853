//! Pictures of the stations of a batch: what their titles say, names that nobody expected, bytes.

use overwinter::batch::{
    BatchPlan, CellRecord, Figures, Gathered, Outcome, StationFacts, WinterFigures, districts,
};
use overwinter::chart::district::pictures;
use overwinter::chart::{Look, Picture, Theme};
use overwinter::ensemble::Sampling;
use overwinter::units::System;
use roxmltree::Document;

/// A station as a picture needs it.
#[derive(Clone)]
struct Place {
    name: String,
    north_east: Option<(f64, f64)>,
    january_c: f64,
    need_kg: f64,
    starved: (f64, (f64, f64)),
}

fn place(number: u32, january_c: f64, need_kg: f64, starved: f64) -> Place {
    Place {
        name: format!("s{number}"),
        north_east: Some((40.0 + f64::from(number), 10.0 + 2.0 * f64::from(number))),
        january_c,
        need_kg,
        starved: (starved, ((starved - 0.1).max(0.0), starved + 0.1)),
    }
}

fn cell(scenario: &str, place: &Place) -> CellRecord {
    let figures = Figures {
        start: "1 October".to_owned(),
        first_forage: "20 April".to_owned(),
        days: 201,
        winter_mean_c: 0.0,
        coldest_c: -20.0,
        refused_winters: 0,
        members: 10,
        stores_kg: 15.0,
        needs: vec![(
            0.95,
            place.need_kg,
            (place.need_kg - 1.0, place.need_kg + 1.0),
        )],
        crossed_by: (0, 0),
        member_needs_kg: Vec::new(),
        need_shared: vec![None],
        mean_need_kg: place.need_kg,
        starved: place.starved.0,
        starved_interval: place.starved.1,
        starved_shared: None,
        alive: 1.0 - place.starved.0,
        stranded: 0.0,
        chilled: 0.0,
        wet_lid_h: 0.0,
        drip: 0.0,
        confined_days: 0.0,
        winters: vec![WinterFigures {
            label: "2011/12".to_owned(),
            members: 10,
            mean_c: 0.0,
            coldest_c: -20.0,
            need_kg: place.need_kg,
            starved: place.starved.0,
        }],
        notes: Vec::new(),
    };
    CellRecord {
        fingerprint: String::new(),
        station: place.name.clone(),
        scenario: scenario.to_owned(),
        season: "calendar".to_owned(),
        place: Some(StationFacts {
            latitude_deg: place.north_east.map(|at| at.0),
            longitude_deg: place.north_east.map(|at| at.1),
            elevation_m: None,
            utc_offset_h: None,
            january_mean_c: Some(place.january_c),
            first: String::new(),
            last: String::new(),
            files: Vec::new(),
        }),
        outcome: Outcome::Finished(Box::new(figures)),
    }
}

fn draw(scenarios: &[&str], places: &[Place], look: Look) -> Vec<Picture> {
    let cells = places
        .iter()
        .flat_map(|place| scenarios.iter().map(|scenario| cell(scenario, place)))
        .collect();
    let batch = Gathered {
        plan: BatchPlan {
            program: "overwinter".to_owned(),
            study: "Trial".to_owned(),
            members: 10,
            seed: 1,
            draws: Sampling::Plain,
            shared_sets: 100,
            scenarios: scenarios.iter().map(|name| (*name).to_owned()).collect(),
            stations: places.iter().map(|place| place.name.clone()).collect(),
            seasons: vec!["calendar".to_owned()],
            cells: Vec::new(),
        },
        cells,
    };
    pictures(&batch, &districts(&batch), "overwinter, seed 1", look)
}

/// The title of a picture, which screen readers read first.
#[track_caller]
fn title(pictures: &[Picture], name: &str) -> String {
    let picture = pictures.iter().find(|picture| picture.name == name);
    let svg = &picture.expect("the picture").svg;
    let document = Document::parse(svg).expect("XML");
    let title = document.root_element().first_element_child();
    let title = title.filter(|title| title.has_tag_name("title"));
    let text = title.and_then(|title| title.text()).expect("a title");
    text.replace('\u{a0}', " ")
}

/// Stations that need 0.5 kg more for each degree colder, and starve more.
fn colder_is_worse() -> Vec<Place> {
    let number = |n: u32| {
        let cold = f64::from(n);
        // A little off the line, so that the test of its slope has something to test.
        let off = if n.is_multiple_of(2) { 0.1 } else { -0.1 };
        place(n, -cold, 8.0 + 0.5 * cold + off, 0.04 * cold)
    };
    (0..8).map(number).collect()
}

#[test]
fn a_title_says_what_the_stations_say() {
    let drawn = draw(&["thin"], &colder_is_worse(), Look::default());
    assert_eq!(
        title(&drawn, "district-need"),
        "Honey needed rises by 0.49 kg for each °C colder in January, and by 0.49 kg for each degree further north"
    );
    assert_eq!(
        title(&drawn, "district-risk"),
        "More starve where January is colder and further north: 26 % against 2 %, means of the coldest and mildest third of stations"
    );
    assert_eq!(
        title(&drawn, "district-map"),
        "More than 5 % starve at 4 of 8 stations, fewer at 0; at 4 the draws cannot tell"
    );
}

#[test]
fn a_title_says_so_when_stations_cannot_tell() {
    let needs = [12.0, 9.0, 13.0, 8.0, 12.5, 9.5];
    let shares = [0.1, 0.0, 0.2, 0.1, 0.0, 0.1];
    let places = (0..6).zip(needs).zip(shares);
    let places: Vec<Place> = places
        .map(|((n, need), share)| place(n, -f64::from(n), need, share))
        .collect();
    let drawn = draw(&["thin"], &places, Look::default());
    assert_eq!(
        title(&drawn, "district-need"),
        "These 6 stations cannot tell whether honey needed goes with January or with latitude"
    );
    let risk = title(&drawn, "district-risk");
    assert!(risk.starts_with("These 6 stations cannot tell"), "{risk}");
    let one = draw(&["thin"], &places[..1], Look::default());
    assert_eq!(
        title(&one, "district-need"),
        "One station, s0, tells nothing of others: 12.0 kg"
    );
}

#[test]
fn where_none_starved_the_title_tells_how_many_may() {
    let places: Vec<Place> = (0..6).map(|n| place(n, -f64::from(n), 9.0, 0.0)).collect();
    assert_eq!(
        title(&draw(&["thin"], &places, Look::default()), "district-risk"),
        "None starved in the draws at any of 6 stations; so few draws leave up to 10 % possible"
    );
}

#[test]
fn stations_without_coordinates_have_no_map_and_the_chart_says_so() {
    let mut places = colder_is_worse();
    for place in places.iter_mut().skip(2) {
        place.north_east = None;
    }
    let drawn = draw(&["thin"], &places, Look::default());
    let names: Vec<&str> = drawn.iter().map(|picture| picture.name.as_str()).collect();
    assert_eq!(names, ["district-need", "district-risk"]);
    assert!(drawn[0].svg.contains("No map: 2 of 8 stations"));
}

#[test]
fn no_name_breaks_a_picture_or_runs_out_of_it() {
    let pile = "e".to_owned() + &"\u{301}".repeat(300);
    let long = "x".repeat(500);
    let names = [
        "<script>alert(1)</script>",
        "a\u{0}\u{8}\u{fffe}b]]>&amp;\"'",
        "\u{202e}בית קר עם דבורים",
        "👩‍👩‍👧🐝🏠",
        &pile,
        &long,
        "",
    ];
    let mut places = colder_is_worse();
    for (place, name) in places.iter_mut().zip(names) {
        place.name = (*name).to_owned();
    }
    for width_px in [320, 640, 1280] {
        for units in [System::Metric, System::Us] {
            let look = Look {
                width_px,
                theme: Theme::Dark,
                units,
            };
            for Picture { name, svg } in draw(&names, &places, look) {
                let document = Document::parse(&svg).expect("XML");
                let root = document.root_element();
                assert!(
                    !document
                        .descendants()
                        .any(|node| node.has_tag_name("script"))
                );
                assert!(!svg.contains('\u{202e}') && !svg.contains(&"x".repeat(40)));
                let number = |node: roxmltree::Node<'_, '_>, key: &str| -> f64 {
                    let text = node
                        .attribute(key)
                        .unwrap_or_else(|| panic!("{key} in {name}"));
                    text.parse().expect("a number")
                };
                let (width, height) = (number(root, "width"), number(root, "height"));
                assert_eq!(width, f64::from(width_px));
                for text in document
                    .descendants()
                    .filter(|node| node.has_tag_name("text"))
                {
                    let (x, y) = (number(text, "x"), number(text, "y"));
                    assert!(
                        (0.0..=width).contains(&x) && (0.0..=height).contains(&y),
                        "{name}: {text:?}"
                    );
                }
            }
        }
    }
}

#[test]
fn the_same_stations_are_drawn_to_the_same_bytes() {
    let draw = || draw(&["thin", "thick"], &colder_is_worse(), Look::default());
    assert_eq!(draw(), draw());
}

#[test]
fn a_small_chart_is_drawn_as_it_was() {
    let look = Look {
        width_px: 400,
        ..Look::default()
    };
    let drawn = draw(&["thin"], &colder_is_worse()[..5], look);
    insta::assert_snapshot!(drawn[0].svg);
}
