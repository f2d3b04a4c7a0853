//! Snow banked against a hive: what it saves and where it costs, and that the weather file's depth means what days and a height mean.

use overwinter::colony::Cluster;
use overwinter::hive::{FINISHES, Hive};
use overwinter::parameter::Parameters;
use overwinter::scenario::{self, PrepareError, Prepared};
use overwinter::season::{self, Balance, Ledger, Solver, State, Weather, column_share};
use std::fmt::Write as _;
use std::path::Path;
use support::hives::{SITE, foam_hive, member, one_box, thin_hive};

const BEES_KG: f64 = 1.7;
/// Up to half of the upper part of two deep boxes.
const BANK_M: f64 = 0.37;

fn cold(wind_m_s: f64) -> Weather {
    Weather {
        outside_c: -15.0,
        wind_m_s,
        pressure_pa: 97_000.0,
        vapour_pa: 130.0,
        ..Weather::default()
    }
}

/// A broodless colony at rest under unchanging weather.
fn rest(hive: &Hive, weather: &Weather) -> (f64, State) {
    let p = Parameters::default();
    let mut balance = Balance::new(hive, column_share(hive, BEES_KG, &p), &SITE, &p);
    balance.set_colony(Cluster::new(BEES_KG, 0.0, &p), 15.0);
    let mut state = balance.start(weather);
    let mut solver = Solver::default();
    for _ in 0..30 * 24 {
        let ledger = &mut Ledger::default();
        solver
            .step(&balance, &mut state, (weather, weather), 3600.0, ledger)
            .expect("a balance");
    }
    (balance.heat_made_w(&state), state)
}

/// Heat that bees need not make with snow against the hive, W.
fn saved_w(hive: &Hive, weather: Weather) -> f64 {
    let banked = Weather {
        snow_m: BANK_M,
        ..weather
    };
    rest(hive, &weather).0 - rest(hive, &banked).0
}

/// In still air the bank saves 0.11 W in a thin hive and 0.09 W in foam. At 4 m/s it is 0.07 W in both: air through the openings, which snow leaves
/// open, then decides how warm the hive is.
#[test]
fn in_the_cold_a_bank_saves_heat_and_in_still_air_more_of_it_in_a_thin_hive() {
    let saved = |wind_m_s| [thin_hive(), foam_hive()].map(|hive| saved_w(&hive, cold(wind_m_s)));
    for wind_m_s in [0.3, 2.0, 4.0] {
        let [thin_w, foam_w] = saved(wind_m_s);
        assert!(
            thin_w > 0.02 && foam_w > 0.02,
            "{wind_m_s} m/s: {thin_w} {foam_w}"
        );
    }
    let [thin_w, foam_w] = saved(0.3);
    assert!(thin_w > 1.1 * foam_w, "{thin_w} {foam_w}");
}

#[test]
fn more_snow_never_costs_heat_in_the_dark() {
    let heat_w = [0.0, 0.1, 0.2, 0.3, 0.4, 0.5, 1.0].map(|snow_m| {
        let weather = Weather {
            snow_m,
            ..cold(2.0)
        };
        rest(&thin_hive(), &weather).0
    });
    for pair in heat_w.windows(2) {
        assert!(pair[1] <= pair[0] + 1e-6, "{heat_w:?}");
    }
}

#[test]
fn on_a_mild_sunny_day_a_bank_keeps_the_sun_from_a_dark_hive() {
    let dark = FINISHES.iter().find(|(name, _)| *name == "dark");
    let (_, finish) = dark.expect("a finish");
    let hive = Hive {
        side_finish: *finish,
        lid_finish: *finish,
        ..thin_hive()
    };
    let bare = Weather {
        outside_c: 4.0,
        vapour_pa: 600.0,
        sun_w_m2: [500.0, 250.0, 80.0, 250.0, 300.0],
        ..cold(1.0)
    };
    let banked = Weather {
        snow_m: BANK_M,
        ..bare
    };
    let [(_, bare), (_, banked)] = [bare, banked].map(|weather| rest(&hive, &weather));
    assert!(
        banked.lower_c < bare.lower_c - 1.0 && banked.upper_c < bare.upper_c,
        "{} {} {} {}",
        banked.lower_c,
        bare.lower_c,
        banked.upper_c,
        bare.upper_c
    );
}

/// Hourly weather of two winters with the depth of snow that each hour gets.
fn file(depth: impl Fn(jiff::civil::DateTime) -> String) -> String {
    let mut text =
        "time,temperature_c,dew_point_c,wind_m_s,cloud_fraction,snow_depth_m\n".to_owned();
    for year in [2018, 2019] {
        let mut time = jiff::civil::date(year, 10, 25).at(0, 0, 0, 0);
        for hour in 0..60 * 24 {
            let outside_c = -8.0 + f64::from((hour * 7) % 24) / 3.0;
            let wind_m_s = 1.0 + f64::from((hour * 5) % 20) / 4.0;
            let stamp = time.strftime("%Y-%m-%dT%H:%M");
            let (cloud, depth) = (f64::from(hour % 11) / 10.0, depth(time));
            writeln!(
                text,
                "{stamp},{outside_c:.1},-12,{wind_m_s:.1},{cloud},{depth}"
            )
            .unwrap();
            time += jiff::Span::new().hours(1);
        }
    }
    text
}

fn prepare(snow: &str, weather: &str) -> Result<Prepared, PrepareError> {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("yard.csv"), weather).unwrap();
    let text = one_box("files = [\"yard.csv\"]").replace("[site]", &format!("[site]\n{snow}"));
    scenario::parse(&text, &folder.path().join("oak.toml"))
        .unwrap()
        .prepare()
}

const BY_WEATHER: &str = "snow_bank = \"weather\"";
/// The stand is 0.2 m high by default.
const BY_DATE: &str = "snow = [\"1 November\", \"20 December\"]\nsnow_bank = \"30 cm\"";

#[test]
fn a_winter_with_snow_of_one_depth_is_that_with_its_height_by_date() {
    let run = |snow: &str| {
        let plan = prepare(snow, &file(|_| "0.5".to_owned())).unwrap().plan;
        let outcome = season::run(&member(thin_hive()), &plan.site, &plan.winters[1]);
        format!("{:?}", outcome.expect("a winter"))
    };
    let by_date = run(BY_DATE);
    assert!(run(BY_WEATHER) == by_date);
    assert!(run("snow = [\"1 November\", \"20 December\"]") != by_date);
}

#[test]
fn one_reading_a_day_is_held_till_the_next() {
    let daily = file(|time| match time.hour() {
        7 => format!("0.{:02}", time.day()),
        _ => String::new(),
    });
    let prepared = prepare(BY_WEATHER, &daily).unwrap();
    let depth_m = prepared.winters[0].snow_depth_m.as_ref().unwrap();
    // 1 November at 6 h has that of 31 October.
    assert_eq!(
        [6, 7, 24, 31].map(|hour| depth_m[hour]),
        [0.31, 0.01, 0.01, 0.02]
    );
    assert!(prepared.notes.iter().all(|note| !note.contains("snow")));
}

#[test]
fn winters_without_a_depth_say_so_and_a_file_without_any_is_refused() {
    let half = file(|time| match time.year() {
        2018 => "0.2".to_owned(),
        _ => String::new(),
    });
    let prepared = prepare(BY_WEATHER, &half).unwrap();
    let note = "no usable depth of snow in the winters 2019: run without snow against the hive";
    assert!(
        prepared.notes.iter().any(|known| known.contains(note)),
        "{:?}",
        prepared.notes
    );
    for depth in ["", "0"] {
        let weather = file(|_| depth.to_owned());
        let error = prepare(BY_WEATHER, &weather).unwrap_err();
        let message = error.to_string();
        assert!(
            matches!(error, PrepareError::NoSnowDepth { .. }),
            "{message}"
        );
        assert!(
            message.contains("yard.csv: no winter has a depth of snow"),
            "{message}"
        );
        // Whoever does not ask for it needs none.
        assert!(prepare("", &weather).is_ok());
    }
}

#[test]
fn a_height_without_days_is_refused() {
    let text = one_box("files = [\"yard.csv\"]").replace("[site]", "[site]\nsnow_bank = \"30 cm\"");
    let error = scenario::parse(&text, Path::new("oak.toml")).unwrap_err();
    let message = error.to_string();
    for part in [
        "oak.toml:3: site.snow_bank: ",
        "snow = [\"1 December\"",
        "\"weather\"",
    ] {
        assert!(message.contains(part), "{message}");
    }
}
