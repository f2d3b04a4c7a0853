//! What a scenario file means: each key read into its type and unit, and the fingerprint of it all.

use overwinter::colony::{FeedKind, Placement};
use overwinter::ensemble::{OverrideValue, Sampling, most_likely};
use overwinter::hive::{Floor, Joints, ScreenState, Side};
use overwinter::scenario::{self, MonthDay, Scenario, WeatherSource};
use overwinter::season::SnowBank;
use std::path::{Path, PathBuf};

const US: &str = r#"
[site]
name = "Hill yard"
latitude = "44 deg"
longitude = -93.2
elevation = "1000 ft"
utc_offset = "-6 h"
shelter = 0.5

[weather]
files = ["a.csv", "b/c.csv"]
station = "MSP"

[season]
start = "Oct 1"
first_forage = "04-20"

[hive]
name = "US hive"
boxes = 2
frames = 8
comb_pitch = "1 3/8 in"
cavity = { width = "12 1/4 in", length = "18 3/8 in", box_height = "9 5/8 in" }
faces = "SE"
wall = ["3/4 in pine", { material = "straw", thickness = "3 in", framing = { material = "pine", share = "20 %" } }]
lid = "2 in hemp-mat"
floor = { screened = "half", free_share = "50 %", board = ["1/4 in plywood"] }
entrance = [{ width = "4 in", height = "3/8 in" }, { diameter = "1 in" }]
vents = [{ width = "2 in", height = "1/2 in", corked = true }]
shared_sides = ["right", "left"]

[colony]
mass = "4 lb"
spread = "10 %"
stores = "80 lb of honey"
stores_spread = "10 %"

[parameters]
core_set_c = "70 °F"
resting_w_kg = { low = 2.2, mode = 2.5, high = 3.0 }
chill_hours = "2 days"
bee_mass_kg = "120 mg"

[ensemble]
members = 1_000_000
seed = 0

[[material]]
name = "hemp-mat"
title = "Hemp mat"
conductivity = "R-3.4 per inch"
density = "40 kg/m3"
specific_heat = "1.7 kJ/kgK"
vapour_factor = 2
"#;

fn read(text: &str) -> Scenario {
    scenario::parse(text, Path::new("yard/hill.toml")).unwrap()
}

fn near(value: f64, expected: f64) {
    assert!(
        (value - expected).abs() <= 1e-9 * expected.abs().max(1e-3),
        "{value} is not {expected}"
    );
}

#[test]
fn site_weather_and_season_are_read_into_si() {
    let scenario = read(US);
    assert_eq!(scenario.name, "hill");
    let site = &scenario.site;
    assert_eq!(
        (
            site.name.as_str(),
            site.shelter,
            site.shelter_words.as_str()
        ),
        ("Hill yard", 0.5, "0.5")
    );
    near(site.latitude_deg, 44.0);
    assert_eq!(site.longitude_deg, Some(-93.2));
    near(site.elevation_m.unwrap(), 304.8);
    near(site.utc_offset_h.unwrap(), -6.0);
    let paths = vec![PathBuf::from("yard/a.csv"), PathBuf::from("yard/b/c.csv")];
    let weather = &scenario.weather;
    assert_eq!(
        weather.source,
        WeatherSource::Files {
            paths,
            station: Some("MSP".to_owned()),
            columns: None
        }
    );
    assert_eq!((weather.resample, weather.warming_k), (None, 0.0));
    assert_eq!(scenario.season.start, MonthDay { month: 10, day: 1 });
    assert_eq!(scenario.season.first_forage, MonthDay { month: 4, day: 20 });
    assert_eq!(scenario.season.days(), 201);
    assert_eq!(scenario.season.start.to_string(), "1 October");
}

#[test]
fn the_hive_is_read_into_si() {
    let hive = read(US).hive;
    assert_eq!(
        (hive.name.as_str(), hive.frames, hive.cavity.boxes),
        ("US hive", 8, 2)
    );
    near(hive.comb_pitch_m, 0.034925);
    near(hive.cavity.width_m, 0.31115);
    near(hive.cavity.box_height_m, 0.244475);
    near(hive.faces_deg, 135.0);
    assert_eq!(hive.wall[0].material.name, "softwood");
    near(hive.wall[0].thickness_m, 0.01905);
    near(hive.wall[1].framing.as_ref().unwrap().share, 0.2);
    assert_eq!(hive.lid[0].material.title, "Hemp mat");
    near(hive.lid[0].thickness_m, 0.0508);
    near(
        hive.lid[0].material.conductivity_w_mk,
        0.0254 / (3.4 * 0.176_110_183_682_306),
    );
    let Floor::Screened {
        free_share,
        state: ScreenState::Half(board),
    } = &hive.floor
    else {
        panic!("{:?}", hive.floor)
    };
    near(*free_share, 0.5);
    near(board[0].thickness_m, 0.00635);
    near(hive.entrances[0].area_m2(), 0.1016 * 0.009525);
    near(
        hive.entrances[1].area_m2(),
        std::f64::consts::PI * 0.0127 * 0.0127,
    );
    near(hive.entrances[1].height_m, 0.0254);
    assert!(hive.vents[0].corked);
    assert_eq!(hive.shared_sides, [Side::Right, Side::Left]);
}

#[test]
fn an_upper_entrance_may_be_the_only_one() {
    let lower = "entrance = [{ width = \"4 in\", height = \"3/8 in\" }, { diameter = \"1 in\" }]\n";
    let upper = "upper_entrance = { width = \"3 in\", height = \"3/8 in\" }\n";
    for entrances in [upper.to_owned(), format!("entrance = []\n{upper}")] {
        let hive = read(&US.replace(lower, &entrances)).hive;
        assert!(hive.entrances.is_empty());
        near(hive.upper_entrances[0].area_m2(), 0.0762 * 0.009525);
    }
    let both = read(&US.replace(lower, &format!("{lower}{upper}"))).hive;
    assert_eq!((both.entrances.len(), both.upper_entrances.len()), (2, 1));
    for (entrances, said) in [
        ("", "hive.entrance: is missing"),
        ("entrance = []\n", "at least one entrance"),
        ("upper_entrance = []\n", "hive.entrance: is missing"),
    ] {
        let text = US.replace(lower, entrances);
        let error = scenario::parse(&text, Path::new("hill.toml")).unwrap_err();
        assert!(error.to_string().contains(said), "{error}");
    }
}

#[test]
fn a_tare_is_read_in_any_unit_and_none_is_assumed() {
    assert_eq!(read(US).hive.tare_kg, None);
    let text = US.replace("[colony]", "tare = \"60 lb\"\n[colony]");
    let tare_kg = read(&text).hive.tare_kg.expect("a tare");
    assert!((tare_kg - 27.215_542).abs() < 1e-5);
    assert_ne!(read(US).fingerprint, read(&text).fingerprint);
}

#[test]
fn joints_are_propolised_unless_the_scenario_says_otherwise() {
    assert_eq!(read(US).hive.joints, Joints::Propolised);
    for (word, joints) in [("Loose", Joints::Loose), ("tight", Joints::Tight)] {
        let text = US.replace("[colony]", &format!("joints = \"{word}\"\n[colony]"));
        assert_eq!(read(&text).hive.joints, joints);
    }
    let text = US.replace("[colony]", "joints = \"propolized\"\n[colony]");
    let error = scenario::parse(&text, Path::new("hill.toml")).unwrap_err();
    assert!(
        error.to_string().contains("nearest is 'propolised'"),
        "{error}"
    );
}

#[test]
fn the_colony_is_read_with_the_bee_mass_of_the_scenario() {
    let scenario = read(US);
    let colony = scenario.colony;
    near(colony.bees, 4.0 * 0.453_592_37 / 0.000_12);
    near(colony.bees_spread, 0.1);
    near(colony.stores_kg, 80.0 * 0.453_592_37);
    near(colony.stores_spread_kg, 8.0 * 0.453_592_37);
    assert_eq!(
        (scenario.ensemble.members, scenario.ensemble.seed),
        (1_000_000, 0)
    );
}

#[test]
fn feeds_are_read_by_weight_or_volume_and_syrup_by_its_strength() {
    let none = read(US);
    assert_eq!(none.colony.feeds, []);
    let feeds = "[[colony.feed]]\non = \"Oct 5\"\nsyrup = \"2 gal\"\nstrength = \"1:1\"\n[[colony.feed]]\non = \"1 February\"\nfondant = \"4 lb\"\n\
                 [[colony.feed]]\non = \"02-20\"\nsugar = \"1 kg\"\n[[colony.feed]]\non = \"1 March\"\nsyrup = \"3 kg\"\n";
    let scenario = read(&format!("{US}\n{feeds}"));
    let [syrup, fondant, sugar, thick] = &scenario.colony.feeds[..] else {
        panic!("{:?}", scenario.colony.feeds)
    };
    assert_eq!((syrup.on, fondant.on, sugar.on), ((10, 5), (2, 1), (2, 20)));
    assert_eq!(syrup.kind, FeedKind::Syrup { sugar_share: 0.5 });
    // Two US gallons of 3.785 l at 1.231 kg/l.
    assert!((syrup.kg - 9.319).abs() < 0.005, "{}", syrup.kg);
    assert_eq!(fondant.kind, FeedKind::Fondant);
    near(fondant.kg, 4.0 * 0.453_592_37);
    assert_eq!((sugar.kind, sugar.kg), (FeedKind::Sugar, 1.0));
    let sugar_share = 2.0 / 3.0;
    assert_eq!(thick.kind, FeedKind::Syrup { sugar_share });
    assert_ne!(scenario.fingerprint, none.fingerprint);
}

#[test]
fn sets_of_what_colonies_share_are_read_and_count_for_the_results() {
    let none = read(US);
    assert_eq!(none.ensemble.shared_sets, 100);
    let scenario = read(&US.replace("[ensemble]", "[ensemble]\nshared_sets = 40"));
    assert_eq!(scenario.ensemble.shared_sets, 40);
    assert_ne!(scenario.fingerprint, none.fingerprint);
}

#[test]
fn where_honey_and_cluster_are_is_read_from_the_lowest_box_and_the_left() {
    let none = read(US);
    assert_eq!(none.colony.placement, Placement::default());
    let boxes = none.hive.cavity.boxes as usize;
    let by_box = vec!["2"; boxes].join(", ");
    let keys = format!("[colony]\nstores_by_box = [{by_box}]\ncluster_box = 1\ncluster_seam = 3");
    let scenario = read(&US.replace("[colony]", &keys));
    let placement = &scenario.colony.placement;
    assert_eq!(placement.boxes, vec![2.0; boxes]);
    assert_eq!(
        (placement.cluster_box, placement.cluster_seam),
        (Some(0), Some(2.5))
    );
    assert_ne!(scenario.fingerprint, none.fingerprint);
}

#[test]
fn seams_are_a_ball_of_bees_at_the_density_of_an_autumn_cluster() {
    let scenario = read(
        &US.replace("mass = \"4 lb\"", "seams = 7")
            .replace("bee_mass_kg = \"120 mg\"\n", ""),
    );
    // A ball 7 x 34.925 mm across, 55 % less dense than a tight cluster: some 1.6 kg.
    let density_kg_m3 = 0.45 * most_likely(&[]).tight_density_kg_m3;
    let kg = std::f64::consts::PI / 6.0 * f64::powi(7.0 * 0.034925, 3) * density_kg_m3;
    assert!(
        (scenario.colony.bees - kg / 0.000_113).abs() < 1.0,
        "{}",
        scenario.colony.bees
    );
}

#[test]
fn parameters_are_overridden_by_row_in_its_unit() {
    let scenario = read(US);
    let overrides = &scenario.overrides;
    let find = |name| {
        *overrides
            .iter()
            .find(|set| set.parameter().name == name)
            .unwrap()
    };
    assert_eq!(overrides.len(), 4);
    assert!(overrides.is_sorted_by_key(|set| set.row));
    near(find("core_set_c").most_likely(), (70.0 - 32.0) / 1.8);
    near(find("chill_hours").quantile(0.9), 48.0);
    let resting = find("resting_w_kg");
    assert_eq!(
        resting.value,
        OverrideValue::Range {
            low: 2.2,
            mode: 2.5,
            high: 3.0
        }
    );
    assert_eq!((resting.quantile(0.0), resting.quantile(1.0)), (2.2, 3.0));
    let parameters = scenario.parameters();
    near(parameters.resting_w_kg, 2.5);
    near(parameters.bee_mass_kg, 0.000_12);
}

#[test]
fn a_range_for_a_parameter_that_the_table_fixes_is_drawn() {
    let scenario = read(&US.replace(
        "chill_hours = \"2 days\"",
        "chill_hours = { low = 30, mode = 40, high = 60 }",
    ));
    let chill = scenario
        .overrides
        .iter()
        .find(|set| set.parameter().name == "chill_hours")
        .unwrap();
    assert_eq!((chill.quantile(0.0), chill.quantile(1.0)), (30.0, 60.0));
}

#[test]
fn what_is_left_out_has_its_default() {
    let scenario = read(
        "site = { latitude = 60, shelter = \"Walled\" }
         weather.sample = true
         season = { start = \"1st January\", first_forage = \"May 1\" }
         colony = { bees = 9000, stores = \"10 kg\" }
         [hive]
         boxes = 1
         frames = 10
         wall = [\"40 mm straw\"]
         lid = [\"40 mm straw\"]
         floor = [\"40 mm straw\"]
         entrance = { width = \"10 cm\", height = \"1 cm\" }",
    );
    near(scenario.site.shelter, 0.15);
    assert_eq!(
        (scenario.site.longitude_deg, scenario.site.elevation_m),
        (None, None)
    );
    assert_eq!(scenario.weather.source, WeatherSource::Sample);
    assert_eq!(scenario.season.days(), 120);
    assert_eq!(
        (scenario.ensemble.members, scenario.ensemble.seed),
        (1000, 1)
    );
    let cavity = scenario.hive.cavity;
    near(cavity.width_m, 0.375);
    assert_eq!((cavity.length_m, cavity.box_height_m), (0.465, 0.244));
    assert_eq!(
        (scenario.hive.faces_deg, scenario.hive.vents.len()),
        (180.0, 0)
    );
    assert_eq!(scenario.hive.name, "hill");
    near(scenario.colony.bees_spread, 0.15);
    near(scenario.colony.stores_spread_kg, 0.5);
    assert!(scenario.overrides.is_empty());
}

#[test]
fn the_fingerprint_does_not_see_layout_comments_names_or_units() {
    let fingerprint = read(US).fingerprint;
    assert_eq!(fingerprint.len(), 16);
    for (written, otherwise) in [
        ("[site]", "# a comment\n\n[site]"),
        ("boxes = 2\nframes = 8", "frames = 8\nboxes = 2"),
        (
            "\"3/4 in pine\"",
            "{ thickness = \"19.05 mm\", material = \"softwood\" }",
        ),
        ("\"80 lb of honey\"", "\"1280 oz\""),
        ("name = \"US hive\"", "name = \"another\""),
        ("\"04-20\"", "\"20 April\""),
        ("[\"right\", \"left\"]", "[\"left\", \"right\"]"),
        ("shelter = 0.5", "shelter = 0.50"),
    ] {
        assert_eq!(US.matches(written).count(), 1, "{written}");
        assert_eq!(
            read(&US.replace(written, otherwise)).fingerprint,
            fingerprint,
            "{otherwise}"
        );
    }
    // Outputs of different versions can be matched: change this only with the form or the meaning.
    assert_eq!(fingerprint, "9ce6614ccbf690cc");
    let elsewhere = scenario::parse(US, Path::new("/other/place/x.toml")).unwrap();
    assert_eq!(elsewhere.fingerprint, fingerprint);
}

#[test]
#[rustfmt::skip]
fn the_fingerprint_sees_every_value() {
    let mut seen = std::collections::HashSet::from([read(US).fingerprint]);
    for (written, otherwise) in [
        ("\"44 deg\"", "\"45 deg\""), ("-93.2", "-93.3"), ("1000 ft", "1001 ft"), ("\"-6 h\"", "\"-7 h\""),
        ("shelter = 0.5", "shelter = \"open\""), ("\"a.csv\", ", ""), ("\"MSP\"", "\"RST\""), ("\"Oct 1\"", "\"Oct 2\""),
        ("\"04-20\"", "\"04-21\""), ("boxes = 2", "boxes = 3"), ("frames = 8", "frames = 7"), ("1 3/8 in", "1 1/4 in"),
        ("12 1/4 in", "12 3/8 in"), ("18 3/8 in", "18 1/2 in"), ("9 5/8 in", "9 1/2 in"), ("\"SE\"", "\"south\""),
        ("3/4 in pine", "7/8 in pine"), ("3/4 in pine", "3/4 in plywood"), ("20 %", "21 %"), ("\"half\"", "\"closed\""),
        ("free_share = \"50 %\"", "free_share = \"51 %\""), ("1/4 in plywood", "1/2 in plywood"),
        ("4 in\", height", "5 in\", height"), ("diameter = \"1 in\"", "diameter = \"2 in\""),
        ("corked = true", "corked = false"), ("\"right\", ", ""), ("\"4 lb\"", "\"4.5 lb\""),
        ("spread = \"10 %\"\nstores =", "spread = \"11 %\"\nstores ="), ("80 lb", "81 lb"),
        ("stores_spread = \"10 %\"", "stores_spread = \"11 %\""), ("70 °F", "71 °F"), ("low = 2.2", "low = 2.3"),
        ("mode = 2.5", "mode = 2.6"), ("high = 3.0", "high = 3.1"), ("2 days", "49 h"), ("1_000_000", "1_000"),
        ("seed = 0", "seed = 1"), ("R-3.4", "R-3.5"), ("40 kg/m3", "41 kg/m3"), ("1.7 kJ", "1.8 kJ"),
        ("vapour_factor = 2", "vapour_factor = 3"),
        ("[colony]", "upper_entrance = { diameter = \"1 in\" }\n[colony]"),
        ("[colony]", "joints = \"loose\"\n[colony]"), ("[colony]", "joints = \"tight\"\n[colony]"),
        ("[season]", "resample = 40\n[season]"), ("[season]", "resample = 41\n[season]"),
        ("[weather]", "snow_bank = \"weather\"\n[weather]"),
        ("[weather]", "snow = [\"12-01\", \"03-01\"]\n[weather]"),
        ("[weather]", "snow = [\"12-01\", \"03-01\"]\nsnow_bank = \"1 ft\"\n[weather]"),
        ("[weather]", "snow = [\"12-01\", \"03-01\"]\nsnow_bank = \"13 in\"\n[weather]"),
        ("[season]", "warming = \"2 K\"\n[season]"), ("[season]", "warming = \"-2 K\"\n[season]"),
    ] {
        assert_eq!(US.matches(written).count(), 1, "{written}");
        assert!(
            seen.insert(read(&US.replace(written, otherwise)).fingerprint),
            "{otherwise}"
        );
    }
}

#[test]
fn colours_are_words_or_shares_and_snow_has_its_days() {
    let with = |site: &str, hive: &str| {
        let text = scenario::starter();
        let lines = text.lines().filter(|line| {
            !["colour =", "lid_colour =", "snow ="]
                .iter()
                .any(|key| line.starts_with(key))
        });
        let text = lines.collect::<Vec<_>>().join("\n");
        read(
            &text
                .replace("[site]", &format!("[site]\n{site}"))
                .replace("[hive]", &format!("[hive]\n{hive}")),
        )
    };
    let bare = with("", "").hive;
    assert_eq!(
        (bare.side_finish.absorptance, bare.lid_finish.absorptance),
        (0.6, 0.6)
    );
    let dark = with("", "colour = \"Dark\"\nlid_colour = \"bright metal\"").hive;
    assert_eq!(
        (dark.side_finish.absorptance, dark.side_finish.emissivity),
        (0.85, 0.9)
    );
    assert_eq!(dark.lid_finish.emissivity, 0.25);
    assert_eq!(with("", "colour = 0.33").hive.side_finish.absorptance, 0.33);
    let snow = with("snow = [\"15 Nov\", \"04-01\"]", "")
        .site
        .snow
        .expect("snow");
    assert_eq!(snow.map(|day| day.to_string()), ["15 November", "1 April"]);
    let bank = |site| with(site, "").site.snow_bank;
    assert_eq!(bank(""), None);
    assert_eq!(bank("snow_bank = \"Weather\""), Some(SnowBank::FromWeather));
    let by_date = bank("snow = [\"15 Nov\", \"04-01\"]\nsnow_bank = \"10 in\"");
    assert_eq!(by_date, Some(SnowBank::OnDays(0.254)));
}

#[test]
fn changes_are_read_against_the_hive_that_they_alter() {
    let with = |change: &str| read(&format!("{US}\n[[hive.change]]\n{change}\n")).hive;
    let hive = with(
        "from = \"Nov 15\"\nuntil = \"March 1\"\nwrap = \"1 1/2 in xps\"\ncolour = \"black\"
         [[hive.change]]
         below = \"41 °F\"
         above = \"-10 °C\"
         floor = \"Closed\"
         vents = \"open\"
         entrance = { width = \"2 in\", height = \"3/8 in\" }
         lid = [\"2 in hemp-mat\", \"3/4 in pine\"]
         lid_colour = 0.3",
    );
    let [first, second] = &hive.changes[..] else {
        panic!("{:?}", hive.changes)
    };
    assert_eq!(
        (first.when.from, first.when.until),
        (Some((11, 15)), Some((3, 1)))
    );
    assert_eq!((first.when.below_c, first.when.above_c), (None, None));
    assert_eq!(first.what.parts(), ["wrap", "colour"]);
    near(first.what.wrap.as_ref().unwrap()[0].thickness_m, 0.0381);
    assert_eq!(first.what.side_finish.unwrap().absorptance, 0.95);

    near(second.when.below_c.unwrap(), 5.0);
    assert_eq!(second.when.above_c, Some(-10.0));
    // The board that covers half of the hive's own mesh covers it all.
    let Some(Floor::Screened {
        free_share,
        state: ScreenState::Closed(board),
    }) = &second.what.floor
    else {
        panic!("{:?}", second.what.floor)
    };
    near(*free_share, 0.5);
    near(board[0].thickness_m, 0.00635);
    let vents = second.what.vents.as_ref().unwrap();
    assert_eq!((vents.len(), vents[0].corked), (1, false));
    assert_eq!(vents[0].opening, hive.vents[0].opening);
    near(second.what.entrances.as_ref().unwrap()[0].width_m, 0.0508);
    assert_eq!(second.what.lid.as_ref().unwrap().len(), 2);
    assert_eq!(second.what.lid_finish.unwrap().absorptance, 0.3);

    let open = with("above = \"10 °C\"\nfloor = \"open\"");
    let Some(floor) = &open.changes[0].what.floor else {
        panic!("{:?}", open.changes)
    };
    assert_eq!(floor.board(), None);
    let solid = with("until = \"1 December\"\nfloor = \"3/4 in pine\"");
    assert!(matches!(solid.changes[0].what.floor, Some(Floor::Solid(_))));
}

#[test]
#[rustfmt::skip]
fn the_fingerprint_sees_every_change() {
    let change = "from = \"1 Dec\"\nuntil = \"1 March\"\nbelow = \"5 °C\"\nabove = \"-20 °C\"\nwrap = \"38 mm xps\"\nlid = \"40 mm xps\"\n\
        floor = \"closed\"\nvents = \"open\"\nentrance = { width = \"50 mm\", height = \"9 mm\" }\ncolour = \"black\"\nlid_colour = \"white\"\n";
    let with = |change: &str| read(&format!("{US}\n[[hive.change]]\n{change}")).fingerprint;
    let mut seen = std::collections::HashSet::from([read(US).fingerprint]);
    assert!(seen.insert(with(change)));
    assert_eq!(with(&change.replace("\"1 Dec\"", "\"12-01\"")), with(change));
    for (written, otherwise) in [
        ("1 Dec", "2 Dec"), ("1 March", "2 March"), ("\"5 °C", "\"6 °C"), ("-20", "-21"), ("38 mm xps", "39 mm xps"), ("40 mm xps", "41 mm xps"),
        ("floor = \"closed\"", "floor = \"open\""), ("vents = \"open\"", "vents = \"corked\""), ("50 mm", "51 mm"), ("9 mm\" }", "8 mm\" }"),
        ("\"black\"", "\"dark\""), ("\"white\"", "\"light\""), ("wrap", "# wrap"), ("vents", "# vents"), ("from", "# from"), ("above", "# above"),
    ] {
        assert_eq!(change.matches(written).count(), 1, "{written}");
        assert!(seen.insert(with(&change.replace(written, otherwise))), "{otherwise}");
    }
}

#[test]
fn how_draws_are_taken_is_part_of_the_fingerprint_and_prices_are_not() {
    let priced = format!("{US}\n[prices]\nhive = 100\nhoney_per_lb = 4\n");
    assert_eq!(read(&priced).fingerprint, read(US).fingerprint);
    let per_kg = read(&priced).prices.honey_per_kg.expect("a price");
    assert!((per_kg - 4.0 / 0.453_592_37).abs() < 1e-12);
    let starter = scenario::starter();
    let sobol = starter.replace("# draws = \"sobol\"", "draws = \"sobol\"");
    assert_ne!(read(&sobol).fingerprint, read(starter).fingerprint);
}

#[test]
fn a_file_is_read_with_a_byte_order_mark_and_windows_line_ends() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("hill.toml");
    std::fs::write(&path, format!("\u{feff}{}", US.replace('\n', "\r\n"))).unwrap();
    let scenario = scenario::read(&path).unwrap();
    assert_eq!(scenario.fingerprint, read(US).fingerprint);
    assert_eq!(scenario.path.as_deref(), Some(path.as_path()));
}

#[test]
fn every_line_that_the_starter_has_commented_out_can_be_switched_on() {
    let option = |line: &&str| {
        let key = line.split([' ', '=']).next().unwrap_or_default();
        let is_key = !key.is_empty()
            && key
                .chars()
                .all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_');
        (is_key && line[key.len()..].starts_with(" = ")) || line.starts_with('[')
    };
    let mut switched = 0;
    let lines =
        scenario::starter()
            .lines()
            .map(|line| match line.strip_prefix("# ").filter(option) {
                Some(line) => {
                    switched += 1;
                    line
                }
                // What the lines switched on stand in for.
                None if line.starts_with("sample = true")
                    || line == "floor = [\"19 mm softwood\"]" =>
                {
                    ""
                }
                None => line,
            });
    let scenario = read(&lines.collect::<Vec<_>>().join("\n"));
    assert_eq!(switched, 51);
    assert_eq!(scenario.prices.library, [("foam-two-boxes", 190.0)]);
    assert_eq!(scenario.ensemble.sampling, Sampling::Sobol);
    assert_eq!(scenario.colony.feeds.len(), 2);
    let [wrap, cork] = &scenario.hive.changes[..] else {
        panic!("{:?}", scenario.hive.changes)
    };
    assert_eq!(wrap.what.parts(), ["wrap"]);
    assert_eq!(cork.what.parts(), ["vents", "entrance"]);
    assert!(matches!(scenario.hive.floor, Floor::Screened { .. }));
    assert!(matches!(
        scenario.weather.source,
        WeatherSource::Files {
            columns: Some(_),
            ..
        }
    ));
    assert_eq!(
        (scenario.weather.resample, scenario.weather.warming_k),
        (Some(40), 2.0)
    );
    assert_eq!(scenario.overrides.len(), 2);
}
