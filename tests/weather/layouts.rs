//! Each layout: its clock, units, codes and kinds of rows, on short extracts (`tests/weather/extracts`) and invented
//! rows.

use jiff::civil::datetime;
use overwinter::weather::{
    Place, ReadOptions, Record, Season, Variable, WeatherError, layout, read_bytes,
};

fn read(text: &str) -> Result<Record, WeatherError> {
    read_bytes("w.csv", text.as_bytes(), &ReadOptions::default())
}

fn read_at(text: &str, site: Place) -> Record {
    let options = ReadOptions {
        site,
        ..ReadOptions::default()
    };
    read_bytes("w.csv", text.as_bytes(), &options).unwrap()
}

fn lincoln() -> Place {
    Place {
        latitude: Some(40.85),
        longitude: Some(-96.75),
        elevation_m: Some(363.0),
        ..Place::default()
    }
}

/// The value at an hour, not a number where there is none.
fn at(record: &Record, variable: Variable, month: i8, day: i8, hour: i8) -> f64 {
    let time = datetime(record.first().year(), month, day, hour, 0, 0, 0);
    let hours = time.duration_since(record.first()).as_hours();
    record.series(variable).unwrap()[usize::try_from(hours).unwrap()]
}

#[track_caller]
fn near(found: f64, expected: f64) {
    assert!(
        (found - expected).abs() < 0.006,
        "{found} is not {expected}"
    );
}

#[test]
fn every_layout_has_its_own_name() {
    let names = layout::names();
    let mut unique = names.clone();
    unique.sort_unstable();
    unique.dedup();
    assert_eq!(names.len(), unique.len());
}

#[test]
fn lcd_version_2_takes_the_routine_report_for_the_hour_and_drops_summaries() {
    let record = read(include_str!("extracts/lcd_v2_lincoln.csv")).unwrap();
    assert_eq!(record.files[0].layout, "NOAA LCD");
    assert_eq!(record.place.utc_offset_h, Some(-6.0));
    assert_eq!(record.place.elevation_m, Some(362.7));
    assert_eq!(record.first(), datetime(2023, 1, 1, 0, 0, 0, 0));
    // 00:00 has a synoptic report only; 00:54 is the hour of 01:00.
    near(at(&record, Variable::Temperature, 1, 1, 0), -2.2);
    near(at(&record, Variable::Temperature, 1, 1, 1), -3.3);
    near(at(&record, Variable::DewPoint, 1, 1, 1), -5.0);
    near(at(&record, Variable::Wind, 1, 1, 1), 2.6);
    near(at(&record, Variable::Pressure, 1, 1, 1), 96_650.0);
    near(at(&record, Variable::Cloud, 1, 1, 1), 0.0);
    near(at(&record, Variable::Cloud, 1, 1, 4), 0.5);
    // 14:00: the routine report of 13:54, not the special one of 13:52.
    near(at(&record, Variable::DewPoint, 1, 2, 14), 0.6);
    let rows = record.account.rows;
    assert_eq!((rows.read, rows.summary), (29, 2));
}

#[test]
fn lcd_version_1_is_known_by_its_pressure_and_read_in_us_units() {
    let text = "\"STATION\",\"DATE\",\"REPORT_TYPE\",\"HourlyDewPointTemperature\",\"HourlyDryBulbTemperature\",\"HourlySkyConditions\",\"HourlyStationPressure\",\"HourlyWindSpeed\"\n\
        \"72551014939\",\"2015-01-01T00:54:00\",\"FM-15\",\"5\",\"14s\",\"FEW:02 33 BKN:07 90\",\"28.54\",\"10\"\n\
        \"72551014939\",\"2015-01-01T01:54:00\",\"FM-15\",\"3\",\"13\",\"VV:09 2\",\"28.55s\",\"\"\n\
        \"72551014939\",\"2015-01-01T01:59:00\",\"SOD  \",\"\",\"\",\"\",\"\",\"\"\n";
    let record = read_at(text, lincoln());
    assert!(
        record
            .account
            .conversions
            .iter()
            .any(|text| text.contains("version 1"))
    );
    near(at(&record, Variable::Temperature, 1, 1, 1), -10.0);
    near(at(&record, Variable::DewPoint, 1, 1, 1), -15.0);
    near(at(&record, Variable::Wind, 1, 1, 1), 4.4704);
    near(at(&record, Variable::Cloud, 1, 1, 1), 0.875);
    near(at(&record, Variable::Cloud, 1, 1, 2), 1.0);
    // 28.54 inHg of 3,386.389 Pa.
    near(at(&record, Variable::Pressure, 1, 1, 1), 96_647.542);
    assert!(at(&record, Variable::Wind, 1, 1, 2).is_nan());
    assert_eq!(record.account.rows.summary, 1);
    assert_eq!(record.place.utc_offset_h, Some(-6.0));
}

#[test]
fn epw_hours_end_at_their_number_and_radiation_is_centred() {
    let record = read(include_str!("extracts/epw_chicago.epw")).unwrap();
    assert!(record.typical);
    assert_eq!(record.place.name.as_deref(), Some("Chicago Ohare Intl Ap"));
    assert_eq!(record.place.utc_offset_h, Some(-6.0));
    near(at(&record, Variable::Temperature, 1, 1, 1), -12.2);
    near(at(&record, Variable::Wind, 1, 1, 10), 5.7);
    near(at(&record, Variable::Pressure, 1, 1, 2), 99_600.0);
    near(at(&record, Variable::Cloud, 1, 1, 1), 0.9);
    // Hours 7 to 11 hold 0, 12, 115, 244, 341 Wh/m2, each of the hour that ends then.
    for (hour, mean) in [(7, 6.0), (8, 63.5), (9, 179.5), (10, 292.5)] {
        near(at(&record, Variable::Global, 1, 1, hour), mean);
    }
    near(
        at(&record, Variable::DirectNormal, 1, 1, 8),
        (22.0 + 397.0) / 2.0,
    );
    near(at(&record, Variable::Diffuse, 1, 1, 8), (10.0 + 47.0) / 2.0);
    // 1 February 1977 lies behind 1 January 1986 in the file.
    near(at(&record, Variable::Temperature, 2, 1, 1), -7.3);
    near(at(&record, Variable::Temperature, 2, 2, 0), record_end());
}

#[test]
fn epw_tells_the_depth_of_snow_in_cm_and_999_is_missing() {
    let text = include_str!("extracts/epw_chicago.epw");
    // The extract has 0 in every hour, as files have that were made from TMY3: nothing was measured.
    assert!(read(text).unwrap().series(Variable::SnowDepth).is_none());
    let with = |row: usize, line: &str| {
        let mut fields: Vec<&str> = line.split(',').collect();
        if row >= 8 {
            fields[30] = if row == 9 { "999" } else { "25" };
        }
        fields.join(",")
    };
    let lines = text.lines().enumerate();
    let text = lines.map(|(row, line)| with(row, line) + "\n");
    let record = read(&text.collect::<String>()).unwrap();
    near(at(&record, Variable::SnowDepth, 1, 1, 1), 0.25);
    assert!(at(&record, Variable::SnowDepth, 1, 1, 2).is_nan());
}

/// Hour 24 of 1 February in the extract, °C.
fn record_end() -> f64 {
    include_str!("extracts/epw_chicago.epw")
        .lines()
        .last()
        .and_then(|line| line.split(',').nth(6))
        .and_then(|text| text.parse().ok())
        .unwrap()
}

#[test]
fn tmy3_is_a_typical_year_in_local_standard_time() {
    let record = read(include_str!("extracts/tmy3_sand_point.csv")).unwrap();
    assert!(record.typical);
    assert_eq!(record.place.name.as_deref(), Some("SAND POINT"));
    assert_eq!(record.place.utc_offset_h, Some(-9.0));
    near(at(&record, Variable::Temperature, 1, 1, 8), 7.0);
    near(at(&record, Variable::DewPoint, 1, 1, 8), 6.0);
    near(at(&record, Variable::Wind, 1, 1, 8), 2.1);
    near(at(&record, Variable::Cloud, 1, 1, 10), 0.9);
    // 0, 5 and 30 W/m2 in the hours ending at 10:00, 11:00 and 12:00.
    near(at(&record, Variable::Global, 1, 1, 10), 2.5);
    near(at(&record, Variable::Global, 1, 1, 11), 17.5);
    assert!(
        record
            .account
            .warnings
            .iter()
            .any(|w| w.contains("typical year"))
    );
}

#[test]
fn a_typical_year_is_one_winter_that_wraps_round_the_turn_of_the_year() {
    let mut text = include_str!("extracts/epw_chicago.epw")
        .lines()
        .take(8)
        .collect::<Vec<_>>()
        .join("\n");
    let mut day = jiff::civil::date(2001, 1, 1);
    let mut global = 0.0;
    while day.year() == 2001 {
        // Every month of another year; day of the year and hour make the temperature.
        let (year, month) = (1980 + 3 * i32::from(day.month()) % 17, day.month());
        for hour in 1..=24 {
            let temperature = f64::from(day.day_of_year()) / 10.0 + f64::from(hour) / 100.0;
            let sun = if (8..=16).contains(&hour) {
                7 * hour
            } else {
                0
            };
            if month <= 4 {
                global += f64::from(sun);
            }
            text += &format!(
                "\n{year},{month},{},{hour},60,?,{temperature:.2},99.9,50,999999,0,0,0,{sun},9999,9999,0,0,0,0,0,999,99",
                day.day()
            );
        }
        day = day.tomorrow().unwrap();
    }
    let record = read(&text).unwrap();
    let season = Season {
        start: (12, 1),
        end: (3, 1),
    };
    let winters = record.winters(season).unwrap();
    let winter = &winters.winters[0];
    assert_eq!(
        (winters.winters.len(), winter.label.as_str()),
        (1, "typical")
    );
    assert_eq!(winter.hours(), 24 * (31 + 31 + 28) + 1);
    // Hour 24 of 30 November, hour 24 of 31 December, hour 1 of 1 January.
    near(winter.temperature_c[0], 33.4 + 0.24);
    near(winter.temperature_c[24 * 31], 36.5 + 0.24);
    near(winter.temperature_c[24 * 31 + 1], 0.1 + 0.01);
    assert!(winter.wind_m_s.is_none() && winter.pressure_pa.is_none());
    // Four months of radiation keep their sum.
    let sum: f64 = record.series(Variable::Global).unwrap()[..24 * 120]
        .iter()
        .sum();
    near(sum, global);
    let error = overwinter_joined(&text);
    assert!(
        matches!(error, WeatherError::TypicalJoined { .. }),
        "{error}"
    );
}

/// The error of joining a typical year with itself.
fn overwinter_joined(text: &str) -> WeatherError {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("year.epw");
    std::fs::write(&path, text).unwrap();
    overwinter::weather::read(&[path.clone(), path], &ReadOptions::default()).unwrap_err()
}

#[test]
fn the_airport_table_is_us_units_on_utc_stamps() {
    let text = include_str!("extracts/airports.csv");
    let error = read(text).unwrap_err().to_string();
    assert!(error.contains("3 stations (EWR, JFK, LGA)"), "{error}");
    let options = ReadOptions {
        station: Some("EWR".to_owned()),
        ..ReadOptions::default()
    };
    let record = read_bytes("w.csv", text.as_bytes(), &options).unwrap();
    assert_eq!(record.place.utc_offset_h, Some(-5.0));
    assert_eq!(record.account.rows.other_station, 20);
    // 39.92 °F, 39.02 °F and 6.90468 mph at 0 h, which is standard time in February.
    near(at(&record, Variable::Temperature, 2, 12, 0), 4.4);
    near(at(&record, Variable::DewPoint, 2, 12, 0), 3.9);
    near(at(&record, Variable::Wind, 2, 12, 0), 3.0867);
    assert!(at(&record, Variable::Wind, 2, 12, 3).is_nan());
    assert_eq!(record.account.refused[0].value, "1048.36058 mph");
    // 8 h of summer time, 78.08 °F, is 7 h of standard time.
    near(at(&record, Variable::Temperature, 7, 1, 7), 25.6);
}

#[test]
fn a_reanalysis_export_nine_hours_ahead_is_moved_to_its_longitude() {
    let text = "latitude,longitude,elevation,utc_offset_seconds,timezone,timezone_abbreviation\n\
        52.5,13.4,38.0,32400,Asia/Tokyo,GMT+9\n\n\
        time,temperature_2m (°C),relative_humidity_2m (%),cloud_cover (%),wind_speed_10m (km/h),shortwave_radiation (W/m²)\n\
        2020-01-01T17:00,1.5,100,25,18.0,40.0\n\
        2020-01-01T18:00,2.5,80,50,36.0,80.0\n\
        2020-01-01T19:00,NaN,NaN,NaN,NaN,NaN\n\
        2020-01-01T20:00,NaN,NaN,NaN,NaN,NaN\n";
    let record = read(text).unwrap();
    assert_eq!(record.first(), datetime(2020, 1, 1, 9, 0, 0, 0));
    assert_eq!(record.last(), datetime(2020, 1, 1, 10, 0, 0, 0));
    assert_eq!(record.place.utc_offset_h, Some(1.0));
    near(at(&record, Variable::Wind, 1, 1, 9), 5.0);
    near(at(&record, Variable::Cloud, 1, 1, 10), 0.5);
    near(at(&record, Variable::DewPoint, 1, 1, 9), 1.5);
    near(at(&record, Variable::Global, 1, 1, 9), 60.0);
    // Rows without values at the end: today is where the export ends.
    assert_eq!(record.account.rows.empty, 2);
    assert!(record.account.warnings[0].contains("UTC+9 h"));
}

#[test]
fn a_second_table_behind_an_export_is_left_out() {
    let text = "latitude,longitude,elevation,utc_offset_seconds\n52.5,13.4,38,3600\n\ntime,temperature_2m (°C)\n\
        2020-01-01T17:00,1.5\n2020-01-01T18:00,2.5\n\ntime,temperature_2m_max (°C)\n2020-01-01,9.0\n";
    let record = read(text).unwrap();
    assert_eq!(record.hours(), 2);
    assert!(
        record.account.warnings[0].contains("line 7 on"),
        "{:?}",
        record.account.warnings
    );
}

#[test]
fn isd_lite_is_tenths_on_utc() {
    let text = "2010 01 01 06   -22   -61 10218   230    26     4 -9999 -9999\n\
        2010 01 01 07   -28   -61 10220   240    31     9     0 -9999\n\
        2010 01 01 08 -9999 -9999 -9999 -9999 -9999 -9999 -9999 -9999\n";
    let record = read_at(text, lincoln());
    assert_eq!(record.files[0].layout, "ISD-Lite");
    assert_eq!(record.first(), datetime(2010, 1, 1, 0, 0, 0, 0));
    near(at(&record, Variable::Temperature, 1, 1, 0), -2.2);
    near(at(&record, Variable::DewPoint, 1, 1, 0), -6.1);
    near(at(&record, Variable::Wind, 1, 1, 1), 3.1);
    near(at(&record, Variable::Cloud, 1, 1, 0), 0.5);
    near(at(&record, Variable::Cloud, 1, 1, 1), 1.0);
    // 1,021.8 hPa at sea level is some 4 % less at 363 m.
    let pressure = at(&record, Variable::Pressure, 1, 1, 0);
    assert!((97_500.0..98_300.0).contains(&pressure), "{pressure}");
    assert_eq!(record.account.rows.empty, 1);
}

#[test]
fn utc_layouts_without_a_place_say_that_hours_stay_utc() {
    let record = read("2010 01 01 06   -22   -61 10218   230    26     4 -9999 -9999\n").unwrap();
    assert_eq!(record.first(), datetime(2010, 1, 1, 6, 0, 0, 0));
    let warnings = record.account.warnings.join("\n");
    assert!(
        warnings.contains("hours stay UTC") && warnings.contains("elevation"),
        "{warnings}"
    );
}

#[test]
fn nsrdb_readings_on_the_half_hour_become_hours_and_keep_the_sum_of_radiation() {
    let text = "Source,Location ID,Latitude,Longitude,Time Zone,Elevation,Local Time Zone,Temperature Units,Pressure Units\n\
        NSRDB,123456,40.85,-96.75,-6,363,-6,c,mbar\n\
        Year,Month,Day,Hour,Minute,DHI,DNI,GHI,Dew Point,Temperature,Pressure,Relative Humidity,Wind Speed,Cloud Type\n\
        2015,1,1,8,30,0,0,0,-12.0,-9.0,970,60,3.0,0\n\
        2015,1,1,9,30,40,200,100,-12.0,-8.0,971,60,4.0,7\n\
        2015,1,1,10,30,60,300,200,-11.0,-6.0,972,60,5.0,7\n\
        2015,1,1,11,30,0,0,0,-11.0,-5.0,972,60,5.0,7\n";
    let record = read(text).unwrap();
    assert_eq!(record.files[0].layout, "NSRDB");
    assert_eq!(record.first(), datetime(2015, 1, 1, 9, 0, 0, 0));
    near(at(&record, Variable::Temperature, 1, 1, 9), -8.5);
    near(at(&record, Variable::Temperature, 1, 1, 10), -7.0);
    near(at(&record, Variable::Pressure, 1, 1, 9), 97_050.0);
    near(at(&record, Variable::Wind, 1, 1, 10), 4.5);
    for (hour, mean) in [(9, 50.0), (10, 150.0), (11, 100.0)] {
        near(at(&record, Variable::Global, 1, 1, hour), mean);
    }
    assert!(record.series(Variable::Cloud).is_none());
    assert!(!record.typical);
}

#[test]
fn half_hourly_radiation_is_averaged_over_the_hour() {
    let mut text = "Source,Location ID,Latitude,Longitude,Time Zone,Elevation,Local Time Zone\nNSRDB,1,40.85,-96.75,0,363,-6\n\
        Year,Month,Day,Hour,Minute,GHI,Temperature\n"
        .to_owned();
    for (step, global) in [0, 10, 40, 90, 160, 90, 40, 10, 0].into_iter().enumerate() {
        let (hour, minute) = (14 + step / 2, 30 * (step % 2));
        text += &format!("2015,1,1,{hour},{minute},{global},{}\n", step as f64 / 2.0);
    }
    let record = read(&text).unwrap();
    // UTC in the file, -6 h at the site: 16:00 is 10:00, where the mean is (90/2 + 160 + 90/2) / 2.
    near(at(&record, Variable::Global, 1, 1, 10), 125.0);
    near(at(&record, Variable::Temperature, 1, 1, 10), 2.0);
    assert_eq!(record.account.rows.sub_hourly, 0);
}

#[test]
fn meteostat_rows_without_a_header_are_utc_and_kilometres_an_hour() {
    let text = "2020-01-01,6,5.4,3.2,86,0.0,,240,36.0,,1015.3,,\n2020-01-01,7,5.0,,100,0.0,,240,18.0,,1015.3,,\n";
    let record = read_at(text, lincoln());
    assert_eq!(record.files[0].layout, "Meteostat hourly");
    assert_eq!(record.first(), datetime(2020, 1, 1, 0, 0, 0, 0));
    near(at(&record, Variable::Wind, 1, 1, 0), 10.0);
    near(at(&record, Variable::DewPoint, 1, 1, 0), 3.2);
    near(at(&record, Variable::DewPoint, 1, 1, 1), 5.0);
    let newer = "year,month,day,hour,temp,rhum,prcp,snwd,wdir,wspd,wpgt,pres,tsun,cldc,coco\n\
        2024,1,1,6,5.4,86,0.0,,240,36.0,,1015.3,,4,3\n";
    let record = read_at(newer, lincoln());
    assert_eq!(record.files[0].layout, "Meteostat hourly");
    near(at(&record, Variable::Cloud, 1, 1, 0), 0.5);
}

#[test]
fn environment_canada_is_local_standard_time_with_kilopascals() {
    let text = "\u{feff}\"Longitude (x)\",\"Latitude (y)\",\"Station Name\",\"Climate ID\",\"Date/Time (LST)\",\"Year\",\"Month\",\"Day\",\"Time (LST)\",\"Temp (°C)\",\"Temp Flag\",\"Dew Point Temp (°C)\",\"Dew Point Temp Flag\",\"Rel Hum (%)\",\"Rel Hum Flag\",\"Wind Dir (10s deg)\",\"Wind Dir Flag\",\"Wind Spd (km/h)\",\"Wind Spd Flag\",\"Stn Press (kPa)\",\"Stn Press Flag\",\"Weather\"\n\
        \"-97.24\",\"49.92\",\"WINNIPEG, ON THE HILL\",\"5023227\",\"2020-01-01 00:00\",\"2020\",\"01\",\"01\",\"00:00\",\"-10.5\",\"\",\"-12.0\",\"\",\"89\",\"\",\"20\",\"\",\"18\",\"\",\"98.15\",\"\",\"Snow\"\n\
        \"-97.24\",\"49.92\",\"WINNIPEG, ON THE HILL\",\"5023227\",\"2020-01-01 01:00\",\"2020\",\"01\",\"01\",\"01:00\",\"\",\"M\",\"\",\"M\",\"\",\"M\",\"\",\"M\",\"\",\"M\",\"\",\"M\",\"NA\"\n\
        \"-97.24\",\"49.92\",\"WINNIPEG, ON THE HILL\",\"5023227\",\"2020-01-01 02:00\",\"2020\",\"01\",\"01\",\"02:00\",\"-11.5\",\"\",\"-13.0\",\"\",\"89\",\"\",\"21\",\"\",\"9\",\"E\",\"98.17\",\"\",\"NA\"\n";
    let record = read(text).unwrap();
    assert_eq!(record.files[0].layout, "Environment Canada hourly");
    assert_eq!(record.place.name.as_deref(), Some("WINNIPEG, ON THE HILL"));
    assert_eq!(
        (record.place.latitude, record.place.utc_offset_h),
        (Some(49.92), Some(-6.0))
    );
    assert_eq!(record.first(), datetime(2020, 1, 1, 0, 0, 0, 0));
    near(at(&record, Variable::Temperature, 1, 1, 2), -11.5);
    near(at(&record, Variable::Wind, 1, 1, 0), 5.0);
    near(at(&record, Variable::Pressure, 1, 1, 0), 98_150.0);
    assert_eq!(record.account.variables[&Variable::Temperature].missing, 1);
}

#[test]
fn dwd_files_of_several_quantities_join() {
    let files = [
        "STATIONS_ID;MESS_DATUM;QN_9;TT_TU;RF_TU;eor\n        403;2010010106;    3;  -1.5;  100.0;eor\n        403;2010010107;    3;-999;-999;eor\n        403;2010010108;    3;  -2.5;  96.0;eor\n",
        "STATIONS_ID;MESS_DATUM;QN_3;   F;   D;eor\n        403;2010010106;    3;   4.0; 230;eor\n        403;2010010108;    3;   5.0; 230;eor\n",
        "STATIONS_ID;MESS_DATUM;QN_8;V_N_I; V_N;eor\n        403;2010010106;    3;P;   6;eor\n        403;2010010108;    3;P;  -1;eor\n",
        "STATIONS_ID;MESS_DATUM;QN_592;ATMO_LBERG;FD_LBERG;FG_LBERG;SD_LBERG;ZENIT;MESS_DATUM_WOZ;eor\n        403;2010010107:00;    1;100;  18.0;  36.0;   0;  80.0;2010010108:00;eor\n        403;2010010108:00;    1;100;  36.0;  72.0;   0;  80.0;2010010109:00;eor\n",
    ];
    let folder = tempfile::tempdir().unwrap();
    let paths: Vec<_> = files
        .iter()
        .enumerate()
        .map(|(number, text)| {
            let path = folder.path().join(format!("produkt_{number}.txt"));
            std::fs::write(&path, text).unwrap();
            path
        })
        .collect();
    let options = ReadOptions {
        site: Place {
            longitude: Some(13.4),
            ..Place::default()
        },
        ..ReadOptions::default()
    };
    let record = overwinter::weather::read(&paths, &options).unwrap();
    assert_eq!(record.files[3].layout, "DWD CDC hourly");
    assert_eq!(record.first(), datetime(2010, 1, 1, 7, 0, 0, 0));
    near(at(&record, Variable::DewPoint, 1, 1, 7), -1.5);
    assert!(at(&record, Variable::Temperature, 1, 1, 8).is_nan());
    near(at(&record, Variable::Wind, 1, 1, 9), 5.0);
    near(at(&record, Variable::Cloud, 1, 1, 7), 0.75);
    assert!(at(&record, Variable::Cloud, 1, 1, 9).is_nan());
    // 36 J/cm2 are 100 W/m2 over the hour from 7 to 8 h local time, 72 are 200 from 8 to 9 h.
    near(at(&record, Variable::Global, 1, 1, 8), 150.0);
    let alone = overwinter::weather::read(&paths[1..2], &options).unwrap_err();
    assert!(
        matches!(alone, WeatherError::NoTemperature { .. }),
        "{alone}"
    );
}

#[test]
fn a_column_map_names_what_it_does_not_find() {
    let map = |text: &str| ReadOptions {
        columns: Some(toml::from_str(text).unwrap()),
        ..ReadOptions::default()
    };
    let file = b"when;T\n2020-01-01T00:00;1\n";
    let error = |text: &str| {
        read_bytes("w.csv", file, &map(text))
            .unwrap_err()
            .to_string()
    };
    let column = "delimiter = \";\"\ntime = { column = \"when\" }\n[columns]\ntemperature = { column = \"TT\", unit = \"C\" }";
    assert!(error(column).contains("\"TT\"") && error(column).contains("when, T"));
    let unit = "delimiter = \";\"\ntime = { column = \"when\" }\n[columns]\ntemperature = { column = 2, unit = \"mph\" }";
    assert!(error(unit).contains("mph") && error(unit).contains("C, F, K"));
    let nothing = "time = { column = \"when\" }\n[columns]\nwind = { column = 2, unit = \"m/s\" }";
    assert!(error(nothing).contains("temperature"));
    let good = "delimiter = \";\"\ntime = { column = 1 }\n[columns]\ntemperature = { column = 2, unit = \"F\" }";
    assert_eq!(read_bytes("w.csv", file, &map(good)).unwrap().hours(), 1);
}

#[test]
fn a_column_map_reads_parts_of_a_date_without_a_header() {
    let map = "header = false\nskip_lines = 1\ntime = { year = 1, month = 2, day = 3, hour = 4 }\nradiation = \"end\"\n\
        [columns]\ntemperature = { column = 5, unit = \"K\" }\nglobal = { column = 6, unit = \"kJ/m2\" }";
    let options = ReadOptions {
        columns: Some(toml::from_str(map).unwrap()),
        ..ReadOptions::default()
    };
    let text = "made by hand\n2020,1,1,10,268.15,360\n2020,1,1,11,269.15,720\n";
    let record = read_bytes("w.txt", text.as_bytes(), &options).unwrap();
    near(at(&record, Variable::Temperature, 1, 1, 10), -5.0);
    near(at(&record, Variable::Global, 1, 1, 10), 150.0);
}
