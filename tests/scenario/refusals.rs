//! What a scenario file can get wrong, and that each refusal names line, field, value and what is allowed.

use overwinter::scenario::{self, Problem, ScenarioError};
use std::path::Path;

/// A small scenario; its first line is line 1.
const SCENARIO: &str = r#"name = "refusals"
[site]
latitude = 47.2
shelter = "hedge"
[weather]
files = ["a.csv"]
[season]
start = "1 October"
first_forage = "20 April"
[hive]
boxes = 2
frames = 10
wall = [
  { material = "softwood", thickness = "19 mm" },
  { material = "xps", thickness = "38 mm", framing = { material = "softwood", share = "15 %" } },
]
lid = [{ material = "plywood", thickness = "9 mm" }]
entrance = { width = "150 mm", height = "10 mm" }
vents = [{ diameter = "20 mm", corked = true }]
shared_sides = ["left"]
[hive.floor]
screened = "closed"
board = [{ material = "plywood", thickness = "6 mm" }]
[colony]
bees = 15000
stores = "25 kg"
[parameters]
resting_w_kg = 2.6
[ensemble]
members = 100
[[material]]
name = "hemp-mat"
conductivity = "0.042 W/mK"
density = "40 kg/m3"
specific_heat = "1700 J/kgK"
"#;

fn refusal(text: &str) -> ScenarioError {
    match scenario::parse(text, Path::new("yard/oak.toml")) {
        Err(error) => error,
        Ok(scenario) => panic!("accepted: {scenario:?}"),
    }
}

/// Each case: what stands in the scenario, what stands there instead, line, field, and what the message must say.
#[track_caller]
fn refuses(cases: &[(&str, &str, usize, &str, &[&str])]) {
    assert!(scenario::parse(SCENARIO, Path::new("oak.toml")).is_ok());
    for (right, wrong, line, field, says) in cases {
        assert_eq!(
            SCENARIO.matches(right).count(),
            1,
            "'{right}' must stand once in the scenario"
        );
        let error = refusal(&SCENARIO.replace(right, wrong));
        let message = error.to_string();
        assert_eq!(
            (error.line, error.field.as_str()),
            (Some(*line), *field),
            "{message}"
        );
        assert!(
            message.starts_with(&format!("yard/oak.toml:{line}: {field}: ")),
            "{message}"
        );
        for part in *says {
            assert!(message.contains(part), "'{part}' is not in: {message}");
        }
    }
}

#[test]
#[rustfmt::skip]
fn unknown_keys_are_refused_with_the_nearest_and_all_allowed() {
    refuses(&[
        ("[ensemble]", "[ensembel]", 29, "ensembel", &["unknown key, nearest is 'ensemble'", "site, weather"]),
        ("frames = 10", "frame = 10", 12, "hive.frame", &["nearest is 'frames'", "allowed here: from, name, boxes"]),
        ("thickness = \"19 mm\"", "thicknes = \"19 mm\"", 14, "hive.wall[1].thicknes", &["nearest is 'thickness'"]),
        ("share = \"15 %\"", "part = \"15 %\"", 15, "hive.wall[2].framing.part", &["allowed here: material, share"]),
        ("corked = true", "cork = true", 19, "hive.vents[1].cork", &["nearest is 'corked'"]),
        ("board = ", "bord = ", 23, "hive.floor.bord", &["nearest is 'board'"]),
        ("resting_w_kg = 2.6", "resting = 2.6", 28, "parameters.resting", &["unknown parameter; nearest: resting_q10, resting_w_kg, rest_ageing; `overwinter parameters` lists all"]),
        ("[season]", "[winter]", 7, "winter", &["unknown key"]),
    ]);
}

#[test]
#[rustfmt::skip]
fn colours_and_snow_that_cannot_be_are_refused() {
    let boxes = "boxes = 2\n";
    let site = "latitude = 47.2\n";
    refuses(&[
        (boxes, "boxes = 2\ncolour = \"wite\"\n", 12, "hive.colour", &["\"wite\" is unknown", "'white'", "bright-metal"]),
        (boxes, "boxes = 2\ncolour = 1.2\n", 12, "hive.colour", &["1.2", "0 to 1"]),
        (boxes, "boxes = 2\nshaded_sides = [\"up\"]\n", 12, "hive.shaded_sides[1]", &["\"up\"", "front"]),
        (site, "latitude = 47.2\nsnow = [\"1 December\"]\n", 4, "site.snow", &["two days"]),
        (site, "latitude = 47.2\nsnow = [\"1 December\", \"40 March\"]\n", 4, "site.snow[2]", &["40 March"]),
        (site, "latitude = 47.2\nsnow_bank = \"30 cm\"\n", 4, "site.snow_bank", &["its days too"]),
        (site, "latitude = 47.2\nsnow_bank = \"forecast\"\n", 4, "site.snow_bank", &["forecast"]),
        (site, "latitude = 47.2\nsnow = [\"1 December\", \"1 March\"]\nsnow_bank = \"4 m\"\n", 5, "site.snow_bank", &["0 cm to 300 cm"]),
    ]);
}

#[test]
#[rustfmt::skip]
fn feeds_and_places_that_cannot_be_are_refused() {
    let stores = "stores = \"25 kg\"\n";
    let feed = |lines: &str| format!("stores = \"25 kg\"\n[[colony.feed]]\n{lines}\n");
    let cases = [
        (feed("fondant = \"2 kg\""), 27, "colony.feed[1].on", "is missing; write, for example, on = \"1 February\""),
        (feed("on = \"1 June\"\nfondant = \"2 kg\""), 28, "colony.feed[1].on", "1 October to the day before 20 April"),
        (feed("on = \"1 February\""), 27, "colony.feed[1]", "fondant"),
        (feed("on = \"1 February\"\nfondant = \"2 kg\"\nsyrup = \"1 kg\""), 27, "colony.feed[1]", "exactly one of fondant, sugar, syrup"),
        (feed("on = \"1 February\"\nfondant = \"2 L\""), 29, "colony.feed[1].fondant", "a mass is asked"),
        (feed("on = \"1 February\"\nfondant = \"2 kg\"\nstrength = \"2:1\""), 30, "colony.feed[1].strength", "is of syrup, and this feed is fondant"),
        (feed("on = \"5 October\"\nsyrup = \"200 kg\""), 29, "colony.feed[1].syrup", "0.1 kg to 60 kg"),
        (feed("on = \"5 October\"\nsyrup = \"90 L\""), 29, "colony.feed[1].syrup", "0.1 L to 50 L"),
        (feed("on = \"5 October\"\nsyrup = \"9 kg\"\nstrength = \"9:1\""), 30, "colony.feed[1].strength", "sugar to water by weight"),
        (feed("on = \"5 October\"\nsyrup = \"9 kg\"\nstrength = \"-2:-1\""), 30, "colony.feed[1].strength", "sugar to water by weight"),
        (format!("{stores}stores_by_box = [1, 2, 3]\n"), 27, "colony.stores_by_box", "has 3 numbers, and the hive has 2 boxes"),
        ("stores = \"70 kg\"\nstores_by_box = [1, 0]\n".to_owned(), 27, "colony.stores_by_box", "puts 70 kg of honey into one box, which holds 43 kg"),
        (format!("{}[[colony.feed]]\non = \"2 February\"\nfondant = \"60 kg\"\n", feed("on = \"1 February\"\nfondant = \"60 kg\"")), 27, "colony.feed", "do not fit into this hive"),
        (format!("{stores}stores_by_box = [0, 0]\n"), 27, "colony.stores_by_box", "holds no honey"),
        (format!("{stores}stores_by_box = [1, -1]\n"), 27, "colony.stores_by_box[2]", "-1 is not allowed; give 0 to 1000000"),
        (format!("{stores}stores_by_seam = [1]\n"), 27, "colony.stores_by_seam", "the hive has 10 seams"),
        (format!("{stores}cluster_box = 3\n"), 27, "colony.cluster_box", "3 is not allowed; give 1 to 2"),
        (format!("{stores}cluster_seam = 11\n"), 27, "colony.cluster_seam", "give 1 to 10"),
    ];
    for (instead, line, field, said) in &cases {
        refuses(&[(stores, instead, *line, field, &[said])]);
    }
    let many = feed("on = \"1 February\"\nsugar = \"1 kg\"").repeat(17).replace(stores, "");
    refuses(&[(stores, &format!("{stores}{many}"), 27, "colony.feed", &["17 feeds are more than the 16"])]);
}

#[test]
#[rustfmt::skip]
fn missing_keys_are_refused_at_the_line_of_their_table_with_an_example() {
    refuses(&[
        ("shelter = \"hedge\"\n", "", 2, "site.shelter", &["is missing; write, for example, shelter = \"hedge\""]),
        ("latitude = 47.2\n", "", 2, "site.latitude", &["latitude = 47.2"]),
        ("start = \"1 October\"\n", "", 7, "season.start", &["start = \"1 October\""]),
        ("boxes = 2\n", "", 10, "hive.boxes", &["boxes = 2"]),
        (", thickness = \"9 mm\"", "", 17, "hive.lid[1].thickness", &["thickness = \"19 mm\""]),
        ("stores = \"25 kg\"\n", "", 24, "colony.stores", &["stores = \"25 kg\""]),
        (", height = \"10 mm\"", "", 18, "hive.entrance.height", &["height = \"10 mm\""]),
        ("density = \"40 kg/m3\"\n", "", 31, "material[1].density", &["density = \"40 kg/m3\""]),
        ("board = [{ material = \"plywood\", thickness = \"6 mm\" }]", "", 21, "hive.floor.board", &["board = ["]),
    ]);
}

#[test]
fn a_missing_section_is_refused_with_an_example() {
    let without = SCENARIO.replace(
        "[season]\nstart = \"1 October\"\nfirst_forage = \"20 April\"\n",
        "",
    );
    let error = refusal(&without);
    assert_eq!((error.line, error.field.as_str()), (None, "season"));
    assert!(
        error
            .to_string()
            .starts_with("yard/oak.toml: season: is missing"),
        "{error}"
    );
}

#[test]
#[rustfmt::skip]
fn bare_numbers_and_wrong_units_are_refused_with_the_accepted_ones() {
    refuses(&[
        ("\"38 mm\"", "38", 15, "hive.wall[2].thickness", &["'38': the unit is missing", "write '38 mm' or '1.5 in'"]),
        ("\"38 mm\"", "\"38\"", 15, "hive.wall[2].thickness", &["'38': the unit is missing"]),
        ("\"38 mm\"", "\"38 kg\"", 15, "hive.wall[2].thickness", &["'kg' is a mass; a length is asked"]),
        ("lid = [{ material = \"plywood\", thickness = \"9 mm\" }]", "lid = [\"9 kg plywood\"]", 17, "hive.lid[1]", &["'kg' is a mass; a length is asked"]),
        ("\"38 mm\"", "\"38 nm\"", 15, "hive.wall[2].thickness", &["unknown unit 'nm'"]),
        ("\"38 mm\"", "\"3,8 cm\"", 15, "hive.wall[2].thickness", &["comma", "'3.8 cm'"]),
        ("\"25 kg\"", "\"25 mm\"", 26, "colony.stores", &["'mm' is a length; a mass is asked"]),
        ("\"25 kg\"", "25.0", 26, "colony.stores", &["'25.0': the unit is missing"]),
        ("\"0.042 W/mK\"", "0.042", 33, "material[1].conductivity", &["the unit is missing", "W/mK"]),
        ("resting_w_kg = 2.6", "resting_w_kg = \"2.6 W\"", 28, "parameters.resting_w_kg", &["'W' is a power; a power per mass is asked"]),
    ]);
}

#[test]
#[rustfmt::skip]
fn values_of_the_wrong_type_are_refused() {
    refuses(&[
        ("corked = true", "corked = \"yes\"", 19, "hive.vents[1].corked", &["\"yes\" is a text; true or false is needed"]),
        ("frames = 10", "frames = 10.0", 12, "hive.frames", &["10.0 is a number with decimals; a whole number is needed"]),
        ("frames = 10", "frames = \"10\"", 12, "hive.frames", &["\"10\" is a text; a whole number is needed"]),
        ("\"hedge\"", "true", 4, "site.shelter", &["true is a true or false; a text is needed", "\"open\""]),
        ("name = \"refusals\"", "name = 7", 1, "name", &["7 is a whole number; a text is needed"]),
        ("[\"a.csv\"]", "\"a.csv\"", 6, "weather.files", &["\"a.csv\" is a text; a list is needed, as [\"station.csv\"]"]),
        ("bees = 15000", "bees = \"many\"", 25, "colony.bees", &["a number is needed"]),
        ("{ width = \"150 mm\", height = \"10 mm\" }", "\"150 mm\"", 18, "hive.entrance", &["a table is needed"]),
        ("\"1 October\"", "2019-10-01", 8, "season.start", &["2019-10-01 is no day of the year", "leave the year out"]),
    ]);
}

#[test]
#[rustfmt::skip]
fn impossible_values_are_refused_with_the_allowed_range() {
    refuses(&[
        ("\"38 mm\"", "\"-38 mm\"", 15, "hive.wall[2].thickness", &["\"-38 mm\" is not allowed; give 0.1 mm to 1 m"]),
        ("\"38 mm\"", "\"0 mm\"", 15, "hive.wall[2].thickness", &["0.1 mm to 1 m"]),
        ("\"15 %\"", "\"115 %\"", 15, "hive.wall[2].framing.share", &["0 % to 90 %"]),
        ("boxes = 2", "boxes = 0", 11, "hive.boxes", &["0 is not allowed; give 1 to 10"]),
        ("boxes = 2", "boxes = -2", 11, "hive.boxes", &["-2 is not allowed"]),
        ("boxes = 2", "boxes = 99999999999999999999", 11, "hive.boxes", &["1 to 10"]),
        ("\"25 kg\"", "\"1000 kg\"", 26, "colony.stores", &["\"1000 kg\" is not allowed; give 0.1 kg to 200 kg"]),
        ("\"25 kg\"", "\"150 kg\"", 26, "colony.stores", &["do not fit into this hive", "85 kg at the very most"]),
        ("bees = 15000", "bees = 0", 25, "colony.bees", &["0 is not allowed; give 500 to 100000"]),
        ("bees = 15000", "bees = nan", 25, "colony.bees", &["nan is not allowed; give a finite number"]),
        ("bees = 15000", "mass = \"20 g\"", 25, "colony.mass", &["give 0.05 kg to 15 kg"]),
        ("bees = 15000", "seams = 25", 25, "colony.seams", &["give 1 to 11"]),
        ("bees = 15000", "seams = 1", 25, "colony.seams", &["500 to 100000 bees", "this makes 4"]),
        ("latitude = 47.2", "latitude = 95", 3, "site.latitude", &["95 is not allowed; give 0 to 90"]),
        ("latitude = 47.2", "latitude = -37", 3, "site.latitude", &["northern hemisphere"]),
        ("\"hedge\"", "1.5", 4, "site.shelter", &["give 0 to 1"]),
        ("members = 100", "members = 0", 30, "ensemble.members", &["0 is not allowed; give 1 to 1000000"]),
        ("members = 100", "shared_sets = 12", 30, "ensemble.shared_sets", &["12 is not allowed; give a multiple of 5 from 10 to 100000"]),
        ("members = 100", "shared_sets = 5", 30, "ensemble.shared_sets", &["give 10 to 100000"]),
        ("members = 100", "members = 1000001", 30, "ensemble.members", &["give 1 to 1000000"]),
        ("resting_w_kg = 2.6", "resting_w_kg = 26", 28, "parameters.resting_w_kg", &["26 is not allowed; give 1.2 to 3.6 W/kg"]),
        ("resting_w_kg = 2.6", "resting_w_kg = { low = 3.0, mode = 2.6, high = 3.2 }", 28, "parameters.resting_w_kg", &["low must be below high"]),
        ("\"0.042 W/mK\"", "\"42 kW/mK\"", 33, "material[1].conductivity", &["unknown unit"]),
        ("\"40 kg/m3\"", "\"-40 kg/m3\"", 34, "material[1].density", &["density is -40 kg/m3; allowed is 1 to 12000"]),
        ("name = \"refusals\"", "name = \"a\\u001bb\"", 1, "name", &["\"a\\u001bb\" is not allowed; give a text in one line"]),
        ("name = \"refusals\"", "\"na\\nme\" = 1", 1, "name", &["unknown key"]),
        ("name = \"refusals\"", "name = \" \"", 1, "name", &["a text that is not empty"]),
    ]);
}

#[test]
#[rustfmt::skip]
fn words_that_are_not_known_are_refused_with_the_nearest() {
    refuses(&[
        ("\"xps\"", "\"xpss\"", 15, "hive.wall[2].material", &["unknown material 'xpss'; nearest: 'xps'"]),
        ("\"hedge\"", "\"hedges\"", 4, "site.shelter", &["\"hedges\" is unknown, nearest is 'hedge'; allowed: open, hedge, walled"]),
        ("\"closed\"", "\"shut\"", 22, "hive.floor.screened", &["allowed: open, half, closed"]),
        ("[\"left\"]", "[\"left\", \"front\"]", 20, "hive.shared_sides[2]", &["\"front\" is unknown", "left, right, back"]),
        ("\"hemp-mat\"", "\"xps\"", 32, "material[1].name", &["'xps' is defined already"]),
        ("\"hemp-mat\"", "\"Hemp mat\"", 32, "material[1].name", &["lower-case letters"]),
    ]);
}

#[test]
#[rustfmt::skip]
fn layers_in_short_are_refused_as_those_in_full() {
    let lid = "[{ material = \"plywood\", thickness = \"9 mm\" }]";
    refuses(&[
        (lid, "[\"9 mm plywod\"]", 17, "hive.lid[1]", &["unknown material 'plywod'; nearest: 'plywood'"]),
        (lid, "[\"9 plywood\"]", 17, "hive.lid[1]", &["unknown unit 'plywood'"]),
        (lid, "[\"9 mm\"]", 17, "hive.lid[1]", &["\"9 mm\" is not allowed; give the material too"]),
        (lid, "[\"plywood\"]", 17, "hive.lid[1]", &["begins with a number"]),
        (lid, "\"-9 mm plywood\"", 17, "hive.lid", &["\"-9 mm plywood\" is not allowed; give 0.1 mm to 1 m"]),
        (lid, "[9]", 17, "hive.lid[1]", &["9 is a whole number"]),
        (lid, "[]", 17, "hive.lid", &["[] is not allowed; give at least one layer"]),
    ]);
}

/// A change stands before `[colony]`, so that its keys begin in line 25.
#[test]
#[rustfmt::skip]
fn changes_that_cannot_be_are_refused_at_their_line() {
    let wrap = "wrap = \"38 mm xps\"";
    let from = "from = \"1 December\"";
    for (lines, line, field, says) in [
        (wrap.to_owned(), 24, "", &["has no condition; give at least one of from, until, below, above", "below = \"5 °C\""] as &[_]),
        (from.to_owned(), 24, "", &["changes nothing; give at least one of wrap, lid, floor", "floor = \"closed\""]),
        (format!("form = \"1 December\"\n{wrap}"), 25, ".form", &["unknown key, nearest is 'from'"]),
        (format!("from = \"31 November\"\n{wrap}"), 25, ".from", &["\"31 November\" is no day of the year"]),
        (format!("from = 2020-12-01\n{wrap}"), 25, ".from", &["leave the year out"]),
        (format!("below = 5\n{wrap}"), 25, ".below", &["'5': the unit is missing"]),
        (format!("below = \"5 mm\"\n{wrap}"), 25, ".below", &["'mm' is a length; a temperature is asked"]),
        (format!("below = \"500 °C\"\n{wrap}"), 25, ".below", &["give -50 °C to 40 °C"]),
        (format!("below = \"0 °C\"\nabove = \"5 °C\"\n{wrap}"), 24, "", &["above = \"5 °C\" and below = \"0 °C\" never hold together"]),
        (format!("{from}\nuntil = \"12-01\"\n{wrap}"), 24, "", &["from and until are the same day", "the day on which the change is undone"]),
        (format!("from = \"1 May\"\n{wrap}"), 24, "", &["from 1 May never holds in a winter from 1 October to 20 April; give dates within it"]),
        (format!("from = \"1 May\"\nuntil = \"1 October\"\n{wrap}"), 24, "", &["from 1 May until 1 October never holds"]),
        (format!("{from}\nwrap = \"38 mm xpss\""), 26, ".wrap", &["nearest: 'xps'"]),
        (format!("{from}\nwrap = []"), 26, ".wrap", &["at least one layer"]),
        (format!("{from}\nfloor = \"close\""), 26, ".floor", &["\"close\" is unknown, nearest is 'closed'; allowed: open, half, closed"]),
        (format!("{from}\nfloor = \"19 mm softwod\""), 26, ".floor", &["nearest: 'softwood'"]),
        (format!("{from}\nvents = \"shut\""), 26, ".vents", &["\"shut\" is unknown", "allowed: corked, open"]),
        (format!("{from}\nvents = [{{ diameter = \"20 mm\", cork = true }}]"), 26, ".vents[1].cork", &["nearest is 'corked'"]),
        (format!("{from}\nentrance = []"), 26, ".entrance", &["at least one entrance"]),
        (format!("{from}\nentrance = {{ width = \"900 mm\", height = \"10 mm\" }}"), 24, "", &["entrance is 0.9; it must be no wider than the hive"]),
        (format!("{from}\ncolour = \"wite\""), 26, ".colour", &["nearest is 'white'"]),
    ] {
        refuses(&[("[colony]", &format!("[[hive.change]]\n{lines}\n[colony]"), line, &format!("hive.change[1]{field}"), says)]);
    }
}

#[test]
#[rustfmt::skip]
fn words_for_parts_that_the_hive_lacks_are_refused() {
    let change = |line: &str| format!("[hive.floor]\nscreened = \"open\"\n[[hive.change]]\nbelow = \"5 °C\"\n{line}\n[colony]");
    let floor = "[hive.floor]\nscreened = \"closed\"\nboard = [{ material = \"plywood\", thickness = \"6 mm\" }]\n[colony]";
    let solid = change("floor = \"closed\"").replace("[hive.floor]\nscreened = \"open\"\n", "floor = [\"19 mm softwood\"]\n");
    refuses(&[
        (floor, &change("floor = \"closed\""), 25, "hive.change[1].floor", &["\"closed\" needs a board", "floor = { screened = \"closed\", board = [\"6 mm plywood\"] }"]),
        (floor, &change("floor = \"half\""), 25, "hive.change[1].floor", &["\"half\" needs a board"]),
    ]);
    assert!(SCENARIO.contains(floor));
    let error = refusal(&SCENARIO.replace(floor, &solid));
    assert_eq!((error.line, error.field.as_str()), (Some(24), "hive.change[1].floor"), "{error}");
    assert!(error.to_string().contains("the floor of this hive is solid; give the layers of another floor"), "{error}");
    let vents = "vents = [{ diameter = \"20 mm\", corked = true }]\n";
    let text = SCENARIO.replace(vents, "").replace("[colony]", "[[hive.change]]\nbelow = \"5 °C\"\nvents = \"corked\"\n[colony]");
    let error = refusal(&text);
    assert_eq!((error.line, error.field.as_str()), (Some(25), "hive.change[1].vents"), "{error}");
    assert!(error.to_string().contains("the hive has none; give it vents = ["), "{error}");
    let many = "[[hive.change]]\nbelow = \"5 °C\"\nvents = \"corked\"\n".repeat(17);
    let error = refusal(&SCENARIO.replace("[colony]", &format!("{many}[colony]")));
    assert_eq!((error.line, error.field.as_str()), (Some(24), "hive.change"), "{error}");
    assert!(error.to_string().contains("17 changes are more than the 16"), "{error}");
}

#[test]
#[rustfmt::skip]
fn keys_that_exclude_each_other_are_refused_together() {
    refuses(&[
        ("bees = 15000", "bees = 15000\nmass = \"1.7 kg\"", 24, "colony", &["give exactly one of bees, mass, seams; bees and mass are given"]),
        ("bees = 15000\n", "", 24, "colony", &["exactly one of bees, mass, seams; none is given"]),
        ("files = [\"a.csv\"]", "", 5, "weather", &["exactly one of files, sample; none is given"]),
        ("files = [\"a.csv\"]", "files = []", 6, "weather.files", &["at least one file"]),
        ("files = [\"a.csv\"]", "sample = false", 6, "weather.sample", &["true for the built-in sample"]),
        ("\"closed\"", "\"open\"", 23, "hive.floor.board", &["an open screen has no board"]),
        ("frames = 10", "frames = 10\ncavity = { width = \"300 mm\", length = \"465 mm\", box_height = \"244 mm\" }", 12, "hive.frames", &["need 350 mm; the cavity is 300 mm wide"]),
        ("diameter = \"20 mm\"", "diameter = \"20 mm\", height = \"1 cm\"", 19, "hive.vents[1].height", &["a round hole"]),
    ]);
}

#[test]
#[rustfmt::skip]
fn a_map_of_columns_is_refused_at_the_column_that_is_wrong() {
    let files = "files = [\"a.csv\"]";
    let map = |columns: &str| format!("{files}\ncolumns = {{ {columns} }}");
    let sound = "time = \"date\", temperature = { column = \"T\", unit = \"F\" }";
    for (columns, field, says) in [
        ("temperature = { column = \"T\", unit = \"F\" }".to_owned(), "time", "is missing; write, for example, time = \"date\""),
        ("time = \"date\"".to_owned(), "temperature", "write, for example, temperature = { column = \"T\", unit = \"C\" }"),
        (sound.replace(", unit = \"F\"", ""), "temperature.unit", "is missing; write, for example, temperature = {"),
        (sound.replace("\"F\"", "\"Fahr\""), "temperature.unit", "\"Fahr\" is unknown; allowed: C, F, K"),
        (format!("{sound}, wind = {{ column = \"W\", unit = \"knot/h\" }}"), "wind.unit", "allowed: m/s, km/h, mph, kn"),
        (format!("{sound}, winds = {{ column = \"W\", unit = \"m/s\" }}"), "winds", "unknown key, nearest is 'wind'"),
        (sound.replace("{ column = \"T\", unit = \"F\" }", "\"T\""), "temperature", "\"T\" is a text; a table is needed, as temperature = {"),
        (sound.replace("\"T\"", "0"), "temperature.column", "0 is not allowed; give 1 to 10000"),
        (sound.replace("\"T\"", "true"), "temperature.column", "a text is needed, as \"T\", or its number from 1"),
        (format!("{sound}, header = false"), "time", "give the number of the column, from 1: header = false leaves no names"),
        (format!("{sound}, delimiter = \":\""), "delimiter", "allowed: ,, ;, |, tab"),
        (format!("{sound}, radiation = \"ends\""), "radiation", "nearest is 'end'; allowed: end, start, instant"),
        (format!("{sound}, missing = \"-99\""), "missing", "a list is needed, as [-999]"),
        (format!("{sound}, missing = [-99, \"x\"]"), "missing[2]", "a number is needed, as -999"),
        (format!("{sound}, utc_offset = 1"), "utc_offset", "'1': the unit is missing"),
        (format!("{sound}, utc_offset = \"15 h\""), "utc_offset", "give -12 h to 14 h"),
        (sound.replace("\"date\"", "{ column = \"date\", format = \"%d.%m.%Y\" }"), "time.format", "\"%d.%m.%Y\" is not allowed; give year, month, day and hour"),
        (sound.replace("\"date\"", "{ column = \"date\", format = \"%Y-%m-%d %H:%M %z\" }"), "time.format", "ahead of UTC go into utc_offset"),
        (sound.replace("\"date\"", "{ year = 1, month = 2, day = 3 }"), "time.hour", "is missing; write, for example, hour = \"Hour\""),
        (sound.replace("\"date\"", "{ column = 1, year = 1 }"), "time", "exactly one of column, year"),
        (sound.replace("\"date\"", "{ column = 1, hour = 2 }"), "time.hour", "unknown key; allowed here: column, format"),
    ] {
        refuses(&[(files, &map(&columns), 7, &format!("weather.columns.{field}"), &[says])]);
    }
    let sample = format!("sample = true\ncolumns = {{ {sound} }}");
    refuses(&[(files, &sample, 7, "weather.columns", &["no columns with sample = true"])]);
}

#[test]
#[rustfmt::skip]
fn what_is_made_of_the_winters_is_refused_out_of_range() {
    let files = "files = [\"a.csv\"]";
    let with = |line: &str| format!("{files}\n{line}");
    refuses(&[
        (files, &with("resample = 0"), 7, "weather.resample", &["0 is not allowed; give 1 to 500"]),
        (files, &with("resample = 501"), 7, "weather.resample", &["1 to 500"]),
        (files, &with("resample = true"), 7, "weather.resample", &["true is a true or false; a whole number is needed"]),
        (files, &with("warming = 2"), 7, "weather.warming", &["'2': the unit is missing"]),
        (files, &with("warming = \"11 K\""), 7, "weather.warming", &["\"11 K\" is not allowed; give -10 K to 10 K"]),
        (files, &with("warming = \"-19 F\""), 7, "weather.warming", &["-10 K to 10 K"]),
        (files, &with("warming = \"2 mm\""), 7, "weather.warming", &["'mm' is a length; a temperature difference is asked"]),
        (files, &with("warmer = \"2 K\""), 7, "weather.warmer", &["nearest is 'warming'"]),
    ]);
}

#[test]
#[rustfmt::skip]
fn a_season_that_is_no_winter_is_refused() {
    refuses(&[
        ("\"1 October\"", "\"21 April\"", 7, "season", &["364 days through midsummer: start is after the end"]),
        ("\"1 October\"", "\"1 April\"", 7, "season", &["19 days; a winter", "30 to 330 days later"]),
        ("\"1 October\"", "\"20 April\"", 7, "season", &["no time at all"]),
        ("\"20 April\"", "\"20 September\"", 7, "season", &["through midsummer"]),
        ("\"1 October\"", "\"31 September\"", 8, "season.start", &["\"31 September\" is no day of the year"]),
        ("\"1 October\"", "\"29 February\"", 8, "season.start", &["28 February or 1 March"]),
        ("\"1 October\"", "\"soon\"", 8, "season.start", &["write '1 October'"]),
        ("\"1 October\"", "\"1.10.\"", 8, "season.start", &["write '1 October'"]),
        ("\"1 October\"", "\"2019-10-01\"", 8, "season.start", &["is no day of the year"]),
    ]);
}

#[test]
fn faults_of_toml_are_refused_with_their_line() {
    let cases = [
        ("boxes = 2", "boxes = ", 11),
        ("boxes = 2", "boxes = 2\nboxes = 3", 12),
        ("\"25 kg\"", "25 kg", 26),
        ("[hive.floor]", "[hive.floor", 21),
        ("members = 100", "members = 100\n[site]", 31),
    ];
    for (right, wrong, line) in cases {
        let error = refusal(&SCENARIO.replace(right, wrong));
        assert_eq!(error.line, Some(line), "{error}");
        assert!(matches!(*error.problem, Problem::Syntax { .. }), "{error}");
    }
}

#[test]
fn a_file_cut_anywhere_is_read_or_refused_at_a_line_it_has() {
    let starter = scenario::starter();
    for (at, _) in starter.char_indices().step_by(5) {
        if let Err(error) = scenario::parse(&starter[..at], Path::new("cut.toml")) {
            let lines = starter[..at].matches('\n').count() + 1;
            assert!(
                error.line.is_none_or(|line| (1..=lines).contains(&line)),
                "{error}"
            );
        }
    }
}

#[test]
fn lines_are_right_in_files_with_windows_line_ends() {
    let windows = SCENARIO
        .replace("bees = 15000", "bees = 0")
        .replace('\n', "\r\n");
    assert_eq!(refusal(&windows).line, Some(25));
}

#[test]
fn files_that_are_no_scenario_are_refused() {
    let folder = tempfile::tempdir().unwrap();
    let refused = |name: &str, bytes: &[u8]| {
        let path = folder.path().join(name);
        std::fs::write(&path, bytes).unwrap();
        let error = scenario::read(&path).unwrap_err();
        let message = error.to_string();
        assert!(
            message.starts_with(&path.display().to_string()),
            "{message}"
        );
        message
    };
    assert!(refused("empty.toml", b"").contains("is empty"));
    assert!(refused("blank.toml", b" \n\t\n").contains("is empty"));
    assert!(refused("binary.toml", b"name = \"a\0b\"").contains("is not text"));
    assert!(
        refused("latin.toml", b"name = \"x\"\n# Fa\xfcr\n")
            .contains("latin.toml:2: byte 16 of the file is not UTF-8")
    );
    assert!(refused("large.toml", &vec![b'#'; 2 << 20]).contains("larger than 1024 KiB"));
    assert!(refused("weather.csv", b"time,temperature\n2019-10-01T00:00,5\n").contains("not TOML"));
    let none = scenario::read(&folder.path().join("none.toml")).unwrap_err();
    assert_eq!(*none.problem, Problem::NoFile);
    assert_eq!(
        *scenario::read(folder.path()).unwrap_err().problem,
        Problem::Folder
    );
}
