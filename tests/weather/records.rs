//! Records read from invented text, and the winters cut out of them.

use overwinter::weather::{
    ReadOptions, Record, Season, Variable, WeatherError, read_bytes, write_plain,
};

const SEASON: Season = Season {
    start: (11, 1),
    end: (4, 1),
};

fn read(text: &str) -> Result<Record, WeatherError> {
    read_bytes("mine.csv", text.as_bytes(), &ReadOptions::default())
}

/// A daily wave that peaks at 14:00, °C.
fn temperature_c(hour: i64) -> f64 {
    5.0 * libm::cos((hour - 14) as f64 * std::f64::consts::TAU / 24.0) - 4.0
}

/// Hours from 2010-10-30 00:00 in the plain layout, those for which `keep` says so.
fn plain(hours: i64, keep: impl Fn(i64) -> bool) -> String {
    let first = jiff::civil::datetime(2010, 10, 30, 0, 0, 0, 0);
    let mut text = "# name: Hill\n# latitude: 60.5\ntime,temperature_c,wind_m_s\n".to_owned();
    for hour in (0..hours).filter(|&hour| keep(hour)) {
        let time = first + jiff::SignedDuration::from_hours(hour);
        text += &format!(
            "{},{:.2},{}\n",
            time.strftime("%Y-%m-%dT%H:%M"),
            temperature_c(hour),
            3 + hour % 5
        );
    }
    text
}

/// Hours from the start of [`plain`] to 2010-11-01 00:00, the start of the season.
const TO_START: i64 = 48;

/// Days from 1 November 2010 to 1 April 2011.
const DAYS: i64 = 30 + 31 + 31 + 28 + 31;

#[test]
fn a_winter_runs_from_midnight_to_midnight_with_both_ends() {
    let record = read(&plain(24 * 160, |_| true)).unwrap();
    assert_eq!(record.files[0].layout, "plain");
    assert_eq!(record.place.name.as_deref(), Some("Hill"));
    assert_eq!(record.place.latitude, Some(60.5));
    let winters = record.winters(SEASON).unwrap();
    let [winter] = winters.winters.as_slice() else {
        panic!("{winters:?}");
    };
    assert_eq!(winter.label, "2010-11");
    assert_eq!(winter.start, jiff::civil::datetime(2010, 11, 1, 0, 0, 0, 0));
    assert_eq!(winter.hours() as i64, 24 * DAYS + 1);
    assert_eq!(
        winter.instant(winter.hours() - 1),
        jiff::civil::datetime(2011, 4, 1, 0, 0, 0, 0)
    );
    assert_eq!(winter.temperature_c[14], 1.0);
    assert_eq!(winter.wind_m_s.as_ref().unwrap().len(), winter.hours());
    assert!(winter.cloud.is_none());
}

#[test]
fn a_missing_hour_is_bridged_and_counted_in_its_winter() {
    let gap = TO_START + 100..TO_START + 103;
    let record = read(&plain(24 * 160, |hour| !gap.contains(&hour))).unwrap();
    assert_eq!(record.account.variables[&Variable::Temperature].missing, 3);
    let winters = record.winters(SEASON).unwrap();
    let winter = &winters.winters[0];
    assert_eq!(winter.repairs[&Variable::Temperature].interpolated, 3);
    let values = &winter.temperature_c;
    assert!((values[101] - (values[99] + 0.5 * (values[103] - values[99]))).abs() < 1e-12);
}

#[test]
fn a_winter_with_a_gap_of_four_days_is_refused_with_its_place() {
    let gap = TO_START + 240..TO_START + 240 + 96;
    let record = read(&plain(24 * 160, |hour| !gap.contains(&hour))).unwrap();
    let error = record.winters(SEASON).unwrap_err().to_string();
    for part in [
        "11-01 to 04-01",
        "2010-10-30 00:00",
        "2010-11: no temperature from 2010-11-11 00:00 to 2010-11-14 23:00 (96 h)",
    ] {
        assert!(error.contains(part), "{error}");
    }
}

#[test]
fn a_record_that_ends_in_february_gives_no_winter_and_says_what_it_spans() {
    let record = read(&plain(24 * 110, |_| true)).unwrap();
    let error = record.winters(SEASON).unwrap_err().to_string();
    assert!(
        error.contains("spans 2010-10-30 00:00 to 2011-02-16 23:00"),
        "{error}"
    );
    assert!(
        error.contains("no temperature from 2011-02-17 00:00"),
        "{error}"
    );
}

#[test]
fn the_last_day_of_february_ends_a_season_in_every_year() {
    let season = Season {
        start: (11, 1),
        end: (2, 29),
    };
    let record = read(&plain(24 * 160, |_| true)).unwrap();
    let winters = record.winters(season).unwrap();
    assert_eq!(winters.winters[0].hours() as i64, 24 * (DAYS - 32) + 1);
}

#[test]
fn a_season_within_one_year_takes_its_winter_from_that_year() {
    let season = Season {
        start: (1, 5),
        end: (3, 1),
    };
    let winters = read(&plain(24 * 160, |_| true))
        .unwrap()
        .winters(season)
        .unwrap();
    assert_eq!(winters.winters[0].label, "2011");
    assert_eq!(winters.winters[0].hours(), 24 * 55 + 1);
}

#[test]
fn time_going_backwards_is_refused_with_its_line() {
    let text = "time,temperature_c\n2019-10-01T01:00,5\n2019-10-01T02:00,5\n2019-10-01T00:00,4\n";
    let error = read(text).unwrap_err().to_string();
    assert!(
        error.starts_with("mine.csv:4: time goes backwards"),
        "{error}"
    );
}

#[test]
fn a_repeated_hour_keeps_the_first_value_and_is_counted() {
    let text = "time,temperature_c\n2019-10-01T01:00,5\n2019-10-01T01:00,6\n2019-10-01T02:00,7\n";
    let record = read(text).unwrap();
    assert_eq!(record.account.rows.duplicate, 1);
    assert_eq!(
        record.series(Variable::Temperature),
        Some([5.0, 7.0].as_slice())
    );
}

#[test]
fn fahrenheit_in_a_celsius_column_is_refused_with_its_row() {
    let text =
        "time,temperature_c\n2019-10-01T01:00,58\n2019-10-01T02:00,61\n2019-10-01T03:00,64\n";
    let error = read(text).unwrap_err().to_string();
    for part in [
        "mine.csv:3",
        "temperature_c",
        "61",
        "-90 to 60",
        "temperature (F)",
    ] {
        assert!(error.contains(part), "{error}");
    }
}

#[test]
fn an_offset_on_every_row_is_honoured() {
    let text = "time,temperature_c\n2019-10-01T01:00-05:00,5\n2019-10-01T02:00-05:00,6\n";
    let record = read(text).unwrap();
    assert_eq!(record.place.utc_offset_h, Some(-5.0));
    assert_eq!(
        record.first(),
        jiff::civil::datetime(2019, 10, 1, 1, 0, 0, 0)
    );
    let mixed = "time,temperature_c\n2019-10-01T01:00-05:00,5\n2019-10-01T02:00,6\n";
    assert!(read(mixed).unwrap_err().to_string().contains("mine.csv:3"));
}

#[test]
fn a_running_sum_of_wind_starts_again_when_the_direction_turns() {
    let text = "year,month,day,hour,TEMP,cbwd,Iws\n\
        2010,1,1,0,-5,NE,1.5\n2010,1,1,1,-5,NE,4\n2010,1,1,2,-5,NW,5\n2010,1,1,3,NA,NA,NA\n\
        2010,1,1,4,-6,NW,6\n2010,1,1,5,-6,NW,7.5\n";
    let record = read(text).unwrap();
    let wind = record.series(Variable::Wind).unwrap();
    assert_eq!(wind[..3], [1.5, 2.5, 5.0]);
    assert!(wind[3].is_nan());
    assert_eq!(wind[4..], [6.0, 1.5]);
    assert!(
        record
            .account
            .conversions
            .iter()
            .any(|text| text.contains("running sum"))
    );
}

#[test]
fn what_was_written_in_the_plain_layout_reads_the_same() {
    let text = "# name: Hill\n# latitude: 60.5\n# utc_offset: 2\n\
        time,temperature (F),relative_humidity (%),wind (km/h),cloud (%),pressure (kPa),global (W/m2)\n\
        2019-10-01T00:00,50,80,36,50,101.3,0\n2019-10-01T01:00,41,100,18,100,,12\n2019-10-01T02:00,,,,,,\n\
        2019-10-01T03:00,32,90,0,0,101.1,NaN\n";
    let record = read(text).unwrap();
    let temperature = record.series(Variable::Temperature).unwrap();
    assert!((temperature[1] - 5.0).abs() < 1e-12 && temperature[2].is_nan());
    assert!((record.series(Variable::DewPoint).unwrap()[0] - 6.713).abs() < 0.01);
    let mut written = Vec::new();
    write_plain(&record, &mut written).unwrap();
    let again = read_bytes("again.csv", &written, &ReadOptions::default()).unwrap();
    let mut rewritten = Vec::new();
    write_plain(&again, &mut rewritten).unwrap();
    assert_eq!(
        String::from_utf8(written).unwrap(),
        String::from_utf8(rewritten).unwrap()
    );
    assert_eq!(record.place, again.place);
}

#[test]
fn several_stations_need_one_to_be_named() {
    let text = "station,year,month,day,hour,temp (C)\nA,2019,10,1,0,1\nA,2019,10,1,1,2\nB,2019,10,1,0,3\nB,2019,10,1,1,4\n";
    let error = read(text).unwrap_err().to_string();
    assert!(error.contains("2 stations (A, B)"), "{error}");
    let at = |station: &str| {
        let options = ReadOptions {
            station: Some(station.to_owned()),
            ..ReadOptions::default()
        };
        read_bytes("mine.csv", text.as_bytes(), &options)
    };
    assert_eq!(
        at("b").unwrap().series(Variable::Temperature),
        Some([3.0, 4.0].as_slice())
    );
    assert!(at("C").unwrap_err().to_string().contains("A, B"));
}

#[test]
fn a_row_cut_at_the_end_of_the_file_is_truncated_and_one_inside_is_short() {
    let cut = "time,temperature_c\n2019-10-01T01:00,5\n2019-10-01T02";
    assert!(matches!(
        read(cut),
        Err(WeatherError::Truncated { line: 3, .. })
    ));
    let short = "time,temperature_c\n2019-10-01T01:00\n2019-10-01T02:00,5\n";
    assert!(matches!(
        read(short),
        Err(WeatherError::ShortRow { line: 2, .. })
    ));
}

#[test]
fn a_file_of_another_kind_is_told_the_known_layouts() {
    let error = read("colour,size\nred,5\n").unwrap_err().to_string();
    assert!(
        error.contains("colour,size") && error.contains("plain"),
        "{error}"
    );
}

#[test]
fn a_winter_in_fahrenheit_without_a_hot_day_is_refused_by_its_latitude() {
    let text = plain(24 * 160, |_| true).replace("temperature_c", "temperature");
    assert!(read(&text).is_ok());
    let fahrenheit: String = text
        .lines()
        .map(|line| match line.split(',').collect::<Vec<_>>()[..] {
            [time, value, wind] if value != "temperature" => {
                let celsius: f64 = value.parse().unwrap();
                format!("{time},{:.1},{wind}\n", celsius * 1.8 + 32.0)
            }
            _ => format!("{line}\n"),
        })
        .collect();
    let error = read(&fahrenheit).unwrap_err();
    assert!(matches!(error, WeatherError::TooWarm { .. }), "{error}");
}

#[test]
fn fahrenheit_that_does_not_fit_the_humidity_is_refused() {
    let mut text = "time,temperature_c,dew_point_c,relative_humidity (%)\n".to_owned();
    for day in 1..=3 {
        for hour in 0..24 {
            // 5 °C and -5 °C, 48 % over water.
            text += &format!("2019-10-{day:02}T{hour:02}:00,41,23,48\n");
        }
    }
    let error = read(&text).unwrap_err();
    assert!(
        matches!(error, WeatherError::HumidityDisagrees { .. }),
        "{error}"
    );
}

#[test]
fn an_impossible_gust_is_refused_with_its_place_and_the_rest_is_kept() {
    let mut text = "time,temperature_c,wind (mph)\n".to_owned();
    for hour in 0..24 {
        let wind = if hour == 3 { 1048.36 } else { f64::from(hour) };
        text += &format!("2019-10-01T{hour:02}:00,5,{wind}\n");
    }
    let record = read(&text).unwrap();
    let refused = &record.account.refused[0];
    assert_eq!((refused.line, refused.value.as_str()), (5, "1048.36 mph"));
    assert_eq!(record.account.variables[&Variable::Wind].out_of_range, 1);
    let wind = record.series(Variable::Wind).unwrap();
    assert!(wind[3].is_nan() && (wind[10] - 4.4704).abs() < 1e-12);
}

#[test]
fn a_running_sum_that_is_not_named_is_suspected() {
    let mut text = "time,temperature_c,wind_m_s\n".to_owned();
    for hour in 0..24 {
        text += &format!("2019-10-01T{hour:02}:00,5,{}\n", 10 * hour);
    }
    let record = read(&text).unwrap();
    assert!(record.series(Variable::Wind).is_none());
    let warnings = record.account.warnings.join("\n");
    assert!(
        warnings.contains("line 10") && warnings.contains("running sum"),
        "{warnings}"
    );
}

#[test]
fn a_pressure_that_never_changes_is_left_out_with_a_warning() {
    let text = plain(24 * 40, |_| true).replace("wind_m_s", "pressure_hpa");
    let text = text
        .lines()
        .map(|line| match line.rsplit_once(',') {
            Some((rest, value)) if value != "pressure_hpa" => format!("{rest},1012\n"),
            _ => format!("{line}\n"),
        })
        .collect::<String>();
    let record = read(&text).unwrap();
    assert!(record.series(Variable::Pressure).is_none());
    assert!(
        record
            .account
            .warnings
            .iter()
            .any(|w| w.contains("101200 Pa in all 960 h"))
    );
}

#[test]
fn a_variable_that_a_winter_lacks_is_left_out_of_that_winter_only() {
    let text: String = plain(24 * 160, |_| true)
        .lines()
        .map(|line| match line.rsplit_once(',') {
            Some((rest, _)) if line.contains("2010-12-1") => format!("{rest},\n"),
            _ => format!("{line}\n"),
        })
        .collect();
    let winters = read(&text).unwrap().winters(SEASON).unwrap();
    let winter = &winters.winters[0];
    assert!(winter.wind_m_s.is_none());
    assert_eq!(
        winter.warnings,
        ["without wind: no wind from 2010-12-10 00:00 to 2010-12-19 23:00 (240 h)"]
    );
}

#[test]
fn files_of_a_month_each_join_in_any_order() {
    let text = plain(24 * 160, |_| true);
    let lines: Vec<&str> = text.lines().collect();
    let folder = tempfile::tempdir().unwrap();
    let mut paths = Vec::new();
    for (number, part) in lines[3..].chunks(700).enumerate() {
        let path = folder.path().join(format!("{number}.csv"));
        let body = [&lines[..3], part].concat().join("\n");
        std::fs::write(&path, body + "\n").unwrap();
        paths.insert(0, path);
    }
    let options = ReadOptions::default();
    let joined = overwinter::weather::read(&paths, &options).unwrap();
    let whole = read(&text).unwrap();
    assert_eq!(joined.files.len(), 6);
    assert_eq!(
        joined.series(Variable::Temperature),
        whole.series(Variable::Temperature)
    );
    let missing = folder.path().join("none.csv");
    let error = overwinter::weather::read(&[missing], &options).unwrap_err();
    assert!(error.to_string().contains("none.csv"), "{error}");
}

#[test]
fn rows_a_century_apart_are_no_record() {
    let text = "time,temperature_c\n1800-01-01T00:00,5\n2150-01-01T00:00,6\n";
    let error = read(text).unwrap_err();
    assert!(
        matches!(error, WeatherError::Sparse { rows: 2, .. }),
        "{error}"
    );
}

#[test]
fn readings_on_the_half_hour_become_the_hours_between_them() {
    let text = "time,temperature_c,wind_m_s\n2019-10-01T00:30,5,1\n2019-10-01T01:30,7,3\n2019-10-01T02:30,8,2\n";
    let record = read(text).unwrap();
    assert_eq!(
        record.first(),
        jiff::civil::datetime(2019, 10, 1, 1, 0, 0, 0)
    );
    assert_eq!(
        record.series(Variable::Temperature),
        Some([6.0, 7.5].as_slice())
    );
    assert_eq!(record.account.rows.sub_hourly, 0);
}

#[test]
fn a_header_without_temperature_or_with_a_strange_unit_is_named_with_its_line() {
    let error = |header: &str| {
        let text = format!("# name: Hill\n\n{header}\n2019-10-01T00:00,5\n");
        read(&text).unwrap_err().to_string()
    };
    let missing = error("time,wind_m_s");
    assert!(
        missing.starts_with("mine.csv:3: no column for the temperature"),
        "{missing}"
    );
    let strange = error("time,temperature (R)");
    assert!(
        strange.contains("\"R\"") && strange.contains("C, F, K"),
        "{strange}"
    );
}

#[test]
fn a_word_in_a_number_column_is_refused_with_its_place() {
    let text = "time,temperature_c\n2019-10-01T00:00,5\n2019-10-01T01:00,cold\n";
    let error = read(text).unwrap_err().to_string();
    assert!(
        error.starts_with("mine.csv:3: temperature_c: \"cold\" is no number"),
        "{error}"
    );
    let text = "time,temperature_c\n2019-10-01T00:00,5\n01/10/2019 01:00,6\n";
    let error = read(text).unwrap_err().to_string();
    assert!(
        error.starts_with("mine.csv:3: time: \"01/10/2019 01:00\""),
        "{error}"
    );
}

#[test]
fn a_clock_with_daylight_saving_is_noticed() {
    let mut text = "time,temperature_c\n".to_owned();
    let zone = jiff::tz::TimeZone::posix("CET-1CEST,M3.5.0,M10.5.0/3").unwrap();
    let first = jiff::civil::datetime(2019, 10, 20, 0, 0, 0, 0)
        .to_zoned_datetime(zone)
        .unwrap();
    for hour in 0..24 * 180 {
        let time = &first + jiff::SignedDuration::from_hours(hour);
        text += &format!(
            "{},{:.1}\n",
            time.strftime("%Y-%m-%d %H:%M"),
            temperature_c(hour)
        );
    }
    let record = read(&text).unwrap();
    assert_eq!(record.account.rows.duplicate, 1);
    let warnings = record.account.warnings.join("\n");
    assert!(
        warnings.contains("2019-10-27 02:00 comes twice and 2020-03-29 02:00 not at all"),
        "{warnings}"
    );
    assert!(
        read(&plain(24 * 160, |_| true))
            .unwrap()
            .account
            .warnings
            .is_empty()
    );
}

#[test]
fn readings_every_three_hours_make_a_winter_that_says_so() {
    let record = read(&plain(24 * 160, |hour| hour % 3 == 0)).unwrap();
    let winters = record.winters(SEASON).unwrap();
    let winter = &winters.winters[0];
    assert_eq!(
        winter.repairs[&Variable::Temperature].interpolated as i64,
        16 * DAYS
    );
    assert!(
        winter.warnings[0].contains("interpolated in 2416 of 3625 h"),
        "{:?}",
        winter.warnings
    );
}
