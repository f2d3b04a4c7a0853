//! No sequence of bytes makes a reader panic or hang, and what it returns is no longer than its rows allow.

use std::io::Write;

use flate2::{Compression, write::GzEncoder};
use overwinter::weather::{ReadOptions, Season, read_bytes};
use proptest::prelude::*;

const SEASON: Season = Season {
    start: (10, 1),
    end: (4, 15),
};

/// Files of every layout, whole, to be cut and spoilt.
const SEEDS: [&str; 12] = [
    include_str!("extracts/lcd_v2_lincoln.csv"),
    include_str!("extracts/epw_chicago.epw"),
    include_str!("extracts/tmy3_sand_point.csv"),
    include_str!("extracts/airports.csv"),
    "# latitude: 50\ntime,temperature_c,wind_m_s,global_w_m2\n2019-10-01T00:00,5,3,0\n2019-10-01T01:00,4,3,\n",
    "year,month,day,hour,TEMP,cbwd,Iws\n2010,1,1,0,-5,NE,1.5\n2010,1,1,1,-5,NE,4\n",
    "latitude,longitude,elevation,utc_offset_seconds\n52.5,13.4,38,32400\n\ntime,temperature_2m (°C),shortwave_radiation (W/m²)\n2020-01-01T17:00,1.5,40\n2020-01-01T18:00,2.5,80\n",
    "2010 01 01 06   -22   -61 10218   230    26     4 -9999 -9999\n2010 01 01 07   -28   -61 10220   240    31     9     0 -9999\n",
    "Source,Location ID,Latitude,Longitude,Time Zone,Elevation,Local Time Zone\nNSRDB,1,40.85,-96.75,0,363,-6\nYear,Month,Day,Hour,Minute,GHI,Temperature\n2015,1,1,9,30,40,2\n2015,1,1,10,0,40,2\n",
    "2020-01-01,6,5.4,3.2,86,0.0,,240,36.0,,1015.3,,\n2020-01-01,7,5.0,,100,0.0,,240,18.0,,1015.3,,\n",
    "\u{feff}\"Longitude (x)\",\"Latitude (y)\",\"Station Name\",\"Climate ID\",\"Date/Time (LST)\",\"Temp (°C)\",\"Wind Spd (km/h)\",\"Stn Press (kPa)\"\n\"-97.24\",\"49.92\",\"HILL\",\"5\",\"2020-01-01 00:00\",\"-10.5\",\"18\",\"98.15\"\n",
    "STATIONS_ID;MESS_DATUM;QN_9;TT_TU;RF_TU;eor\n        403;2010010106;    3;  -1.5;  100.0;eor\n        403;2010010107;    3;-999;-999;eor\n",
];

/// The hourly grid is bounded by the rows: see the reader of hours.
fn most_hours(bytes: usize) -> usize {
    2 * 8_784 + 64 * bytes
}

fn check(bytes: &[u8]) {
    match read_bytes("any", bytes, &ReadOptions::default()) {
        Ok(record) => {
            assert!(record.hours() <= most_hours(bytes.len()));
            let _ = record.winters(SEASON);
        }
        Err(error) => assert!(!error.to_string().is_empty()),
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2_000))]

    #[test]
    fn any_bytes_are_read_or_refused(bytes in proptest::collection::vec(any::<u8>(), 0..2_000)) {
        check(&bytes);
    }

    #[test]
    fn a_spoilt_file_is_read_or_refused(
        seed in 0..SEEDS.len(),
        cut in 0.0..1.0_f64,
        spoils in proptest::collection::vec((any::<proptest::sample::Index>(), any::<u8>()), 0..6),
    ) {
        let mut bytes = SEEDS[seed].as_bytes().to_vec();
        if cut > 0.5 {
            bytes.truncate((cut * bytes.len() as f64) as usize);
        }
        for (at, byte) in spoils {
            if !bytes.is_empty() {
                let at = at.index(bytes.len());
                bytes[at] = byte;
            }
        }
        check(&bytes);
    }

    #[test]
    fn lines_of_digits_and_separators_are_read_or_refused(
        seed in 0..SEEDS.len(),
        rows in proptest::collection::vec("[-0-9,;: TZ.\"]{0,60}", 0..8),
    ) {
        let mut text = SEEDS[seed].to_owned();
        for row in rows {
            text += &row;
            text.push('\n');
        }
        check(text.as_bytes());
    }

    #[test]
    fn spoilt_gzip_is_read_or_refused(
        seed in 0..SEEDS.len(),
        at in any::<proptest::sample::Index>(),
        byte in any::<u8>(),
    ) {
        let mut encoder = GzEncoder::new(Vec::new(), Compression::fast());
        encoder.write_all(SEEDS[seed].as_bytes()).unwrap();
        let mut bytes = encoder.finish().unwrap();
        let whole = bytes.len();
        bytes[at.index(whole)] = byte;
        if let Ok(record) = read_bytes("any", &bytes, &ReadOptions::default()) {
            prop_assert!(record.hours() <= most_hours(SEEDS[seed].len()));
        }
    }
}

#[test]
fn every_seed_is_read_whole() {
    for seed in SEEDS {
        let options = ReadOptions {
            station: seed.starts_with("origin").then(|| "EWR".to_owned()),
            ..ReadOptions::default()
        };
        read_bytes("seed", seed.as_bytes(), &options).unwrap();
    }
}
