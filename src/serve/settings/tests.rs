use super::*;
use crate::hive::Hive;
use crate::scenario::starter;

fn base(text: &str) -> Base {
    Base::new(text, Path::new("yard.toml"), Path::new("")).expect("a scenario")
}

fn changed(text: &str, settings: &Settings, units: System) -> Moved {
    base(text).moved(settings, units).expect("can be").changed
}

fn hive(text: &str, settings: &Settings) -> Hive {
    changed(text, settings, System::Metric).scenario.hive
}

fn refused(settings: &Settings) -> String {
    let refusal = base(starter()).moved(settings, System::Metric);
    refusal.expect_err("cannot be").to_string()
}

/// The sample with the members that the page runs.
fn as_run(text: &str) -> Scenario {
    let text = text.replace("members = 1000", &format!("members = {USUAL_MEMBERS}"));
    parse(&text, Path::new("yard.toml")).expect("a scenario")
}

#[test]
fn without_any_control_moved_both_hives_are_the_scenario() {
    let pair = base(starter())
        .moved(&Settings::default(), System::Us)
        .expect("can be");
    let own = as_run(starter());
    assert_eq!(pair.as_it_is.scenario, own);
    assert_eq!(pair.changed.scenario, own);
}

#[test]
fn a_hive_of_the_library_is_the_one_that_compare_takes() {
    let text = starter().replace("faces = \"south\"", "faces = \"east\"\ntare = \"24 kg\"")
        + "\n[prices]\nhive = 100\nlibrary = { foam-two-boxes = 190 }\n";
    let settings = Settings {
        hive: Some("foam-two-boxes".to_owned()),
        ..Settings::default()
    };
    let taken = changed(&text, &settings, System::Metric).scenario;
    let own = as_run(&text);
    let wanted = own.with_library_hive("foam-two-boxes").expect("fits");
    assert_eq!(taken.fingerprint, wanted.fingerprint);
    assert_eq!(taken.prices.hive, Some(190.0));
    assert_eq!(taken.name, format!("{}, changed", own.name));
}

#[test]
fn a_hive_that_was_changed_has_no_price_that_is_known() {
    let text = starter().to_owned() + "\n[prices]\nhive = 100\n";
    let settings = Settings {
        wall_added_m: Some(0.04),
        ..Settings::default()
    };
    let pair = base(&text)
        .moved(&settings, System::Metric)
        .expect("can be");
    assert_eq!(pair.as_it_is.scenario.prices.hive, Some(100.0));
    assert_eq!(pair.changed.scenario.prices.hive, None);
}

#[test]
fn what_is_moved_for_both_hives_is_in_both_and_in_the_texts() {
    let settings = Settings {
        bees: Some(9_000.4),
        stores_kg: Some(20.0),
        shelter: Some("open".to_owned()),
        members: Some(20),
        ..Settings::default()
    };
    let pair = base(starter())
        .moved(&settings, System::Us)
        .expect("can be");
    for moved in [&pair.as_it_is, &pair.changed] {
        let Scenario {
            colony,
            site,
            ensemble,
            ..
        } = &moved.scenario;
        assert_eq!(
            (colony.bees, site.shelter, ensemble.members),
            (9_000.0, 0.6, 20)
        );
        assert!((colony.stores_kg - 20.0).abs() < 1e-3);
        assert!(
            moved.text.contains("stores = \"44.092 lb\""),
            "{}",
            moved.text
        );
    }
    // The keeper's own words stay beside what was moved.
    assert!(
        pair.changed
            .text
            .contains("# the colony below is as it stands on this day")
    );
}

#[test]
fn foam_goes_outside_the_wall_of_any_hive() {
    let settings = Settings {
        wall_added_m: Some(0.0381),
        ..Settings::default()
    };
    let inches = changed(starter(), &settings, System::Us);
    assert!(inches.text.contains("\"1.5 in xps\""), "{}", inches.text);
    let short = starter().replace("wall = [\"19 mm softwood\"]", "wall = \"19 mm softwood\"");
    for text in [starter(), &short] {
        let wall = hive(text, &settings).wall;
        let names: Vec<&str> = wall
            .iter()
            .map(|layer| layer.material.name.as_ref())
            .collect();
        assert_eq!(names, ["softwood", "xps"]);
        assert!((wall[1].thickness_m - 0.0381).abs() < 1e-9);
    }
    let sandwich = Settings {
        hive: Some("sandwich-two-boxes".to_owned()),
        ..settings
    };
    let wall = hive(starter(), &sandwich).wall;
    assert_eq!(wall.len(), 4);
    assert!(wall[1].framing.is_some() && wall[3].material.name == "xps");
}

#[test]
fn the_lid_gets_more_of_what_insulates_it_or_a_board() {
    let lid = |name: &str| Settings {
        lid: Some(name.to_owned()),
        lid_added_m: Some(0.05),
        ..Settings::default()
    };
    let shavings = hive(starter(), &lid("shavings-lid")).lid;
    assert_eq!(
        (shavings.len(), shavings[1].material.name.as_ref()),
        (5, "shavings")
    );
    assert!((shavings[1].thickness_m - 0.14).abs() < 1e-9);
    let plain = hive(starter(), &lid("plain-inner-cover")).lid;
    assert_eq!((plain.len(), plain[1].material.name.as_ref()), (5, "xps"));
    let pair = base(starter())
        .moved(&lid("plain-inner-cover"), System::Metric)
        .expect("can be");
    assert_eq!(pair.thickened, None);
}

#[test]
fn vents_are_corked_only_on_the_changed_hive() {
    let text = starter().replace(
        "vents = [{ diameter = \"20 mm\", corked = false }]",
        "vents = [{ diameter = \"20 mm\" }, { width = \"30 mm\", height = \"9 mm\" }]",
    );
    let settings = Settings {
        vents: Some(Vents::Corked),
        ..Settings::default()
    };
    let pair = base(&text)
        .moved(&settings, System::Metric)
        .expect("can be");
    let corked = |moved: &Moved| -> Vec<bool> {
        let vents = &moved.scenario.hive.vents;
        vents.iter().map(|vent| vent.corked).collect()
    };
    assert_eq!(corked(&pair.as_it_is), [false, false]);
    assert_eq!(corked(&pair.changed), [true, true]);
}

#[test]
fn of_several_entrances_the_first_is_moved_and_the_others_stay() {
    let text = starter().replace(
        "entrance = { width = \"150 mm\", height = \"10 mm\" } ",
        "entrance = [{ diameter = \"20 mm\" }, { width = \"60 mm\", height = \"8 mm\" }]",
    );
    let settings = Settings {
        entrance_m: Some(0.05),
        ..Settings::default()
    };
    let entrances = hive(&text, &settings).entrances;
    let sizes = entrances.iter().map(|one| (one.width_m, one.height_m));
    for ((width_m, height_m), (w, h)) in sizes.zip([(0.05, 0.02), (0.06, 0.008)]) {
        assert!((width_m - w).abs() < 1e-6 && (height_m - h).abs() < 1e-6);
    }
}

#[test]
fn what_cannot_be_is_refused_in_words() {
    let none = Settings::default;
    assert!(
        refused(&Settings {
            stores_kg: Some(500.0),
            ..none()
        })
        .starts_with("colony.stores: ")
    );
    assert!(
        refused(&Settings {
            bees: Some(3.0),
            ..none()
        })
        .contains("500 to 100000")
    );
    assert!(
        refused(&Settings {
            bees: Some(f64::INFINITY),
            ..none()
        })
        .contains("no number")
    );
    assert!(
        refused(&Settings {
            members: Some(100_000),
            ..none()
        })
        .contains("10 to 1000")
    );
    assert!(
        refused(&Settings {
            wall_added_m: Some(9.0),
            ..none()
        })
        .contains("hive.wall")
    );
    for part in ["nowhere", "../../etc", "x\"]\n[colony]"] {
        let part = || Some(part.to_owned());
        assert!(
            refused(&Settings {
                hive: part(),
                ..none()
            })
            .contains("no such part")
        );
        assert!(
            refused(&Settings {
                lid: part(),
                ..none()
            })
            .contains("no such part")
        );
        assert!(
            refused(&Settings {
                shelter: part(),
                ..none()
            })
            .contains("no such shelter")
        );
        let file = part().map(Weather::File);
        assert!(
            refused(&Settings {
                weather: file,
                ..none()
            })
            .contains("no such weather file")
        );
    }
}

#[test]
fn another_weather_file_takes_the_place_of_files_and_station() {
    let home = tempfile::tempdir().expect("a folder");
    let name = "b \"quoted\".csv";
    std::fs::write(
        home.path().join(name),
        "time,temperature_c\n2019-11-01T00:00,3\n",
    )
    .expect("a file");
    let text = starter().replace(
        "sample = true ",
        "files = [\"a.csv\"]\nstation = \"MSP\"\nwarming = \"2 K\" ",
    );
    let base = Base::new(&text, &home.path().join("yard.toml"), home.path()).expect("a scenario");
    let with = |weather| {
        let settings = Settings {
            weather: Some(weather),
            ..Settings::default()
        };
        base.moved(&settings, System::Metric)
            .expect("can be")
            .as_it_is
            .scenario
            .weather
    };
    let of_file = with(Weather::File(name.to_owned()));
    let wanted = WeatherSource::Files {
        paths: vec![home.path().join(name)],
        station: None,
        columns: None,
    };
    assert_eq!((of_file.source, of_file.warming_k), (wanted, 2.0));
    assert_eq!(with(Weather::Sample).source, WeatherSource::Sample);
}

#[test]
fn weather_of_a_scenario_in_another_folder_is_named_whole() {
    let home = tempfile::tempdir().expect("a folder");
    let served = home.path().join("served");
    std::fs::create_dir(&served).expect("a folder");
    let text = starter().replace("sample = true ", "files = [\"a.csv\"] ");
    let base = Base::new(&text, &home.path().join("yard.toml"), &served).expect("a scenario");
    let WeatherSource::Files { paths, .. } = &base.scenario.weather.source else {
        panic!("files");
    };
    assert_eq!(paths, &[home.path().join("a.csv")]);
}
