//! How fast weather is read: forty years of hourly rows in two layouts, against the raw pass of the `csv`
//! crate over the same bytes. `cargo bench -p overwinter-benches --bench readers`.

use std::fmt::Write;
use std::sync::LazyLock;

use divan::Bencher;
use divan::counter::BytesCount;
use overwinter::weather::{ReadOptions, Season, read_bytes};

/// Years of rows.
const YEARS: i64 = 40;

const SEASON: Season = Season {
    start: (10, 1),
    end: (4, 15),
};

fn main() {
    divan::main();
}

/// Hour, temperature, humidity in per cent and wind of each row.
fn weather() -> impl Iterator<Item = (jiff::civil::DateTime, f64, f64, f64)> {
    let first = jiff::civil::datetime(1980, 1, 1, 0, 0, 0, 0);
    (0..YEARS * 8_766).map(move |hour| {
        let day = 8.0 - 14.0 * libm::cos(hour as f64 / 8_766.0 * std::f64::consts::TAU);
        let wave = 4.0 * libm::sin((hour - 9) as f64 / 24.0 * std::f64::consts::TAU);
        let time = first + jiff::SignedDuration::from_hours(hour);
        let spread = (hour * 7 % 40) as f64;
        (time, day + wave, 55.0 + spread, 1.0 + spread / 10.0)
    })
}

/// The plain layout with all that a run uses.
static PLAIN: LazyLock<String> = LazyLock::new(|| {
    let mut text =
        "time,temperature_c,dew_point_c,wind_m_s,global_w_m2,cloud_fraction,pressure_hpa\n"
            .to_owned();
    for (time, temperature, _, wind) in weather() {
        let time = time.strftime("%Y-%m-%dT%H:%M");
        let dew_point = temperature - 2.0;
        writeln!(
            text,
            "{time},{temperature:.1},{dew_point:.1},{wind:.1},120.0,0.50,1009.3"
        )
        .expect("text grows");
    }
    text
});

/// Rows with humidity instead of a dew point, in the layout without a header.
static BULK: LazyLock<String> = LazyLock::new(|| {
    let mut text = String::new();
    for (time, temperature, humidity, wind) in weather() {
        let (date, hour) = (time.strftime("%Y-%m-%d"), time.hour());
        writeln!(
            text,
            "{date},{hour},{temperature:.1},,{humidity:.0},0.0,,240,{wind:.1},,1015.3,,"
        )
        .expect("text grows");
    }
    text
});

#[divan::bench]
fn csv_raw_pass_over_plain(bencher: Bencher) {
    raw_pass(bencher, &PLAIN);
}

#[divan::bench]
fn csv_raw_pass_over_bulk(bencher: Bencher) {
    raw_pass(bencher, &BULK);
}

fn raw_pass(bencher: Bencher, text: &str) {
    bencher.counter(BytesCount::of_str(text)).bench(|| {
        let mut reader = csv::Reader::from_reader(text.as_bytes());
        let mut record = csv::ByteRecord::new();
        let mut fields = 0;
        while reader
            .read_byte_record(&mut record)
            .expect("text is well formed")
        {
            fields += record.len();
        }
        fields
    });
}

#[divan::bench]
fn read_plain(bencher: Bencher) {
    read(bencher, &PLAIN);
}

#[divan::bench]
fn read_bulk_with_humidity(bencher: Bencher) {
    read(bencher, &BULK);
}

fn read(bencher: Bencher, text: &str) {
    bencher.counter(BytesCount::of_str(text)).bench(|| {
        read_bytes("bench", text.as_bytes(), &ReadOptions::default()).expect("text is well formed")
    });
}

#[divan::bench]
fn cut_winters(bencher: Bencher) {
    let record = read_bytes("bench", PLAIN.as_bytes(), &ReadOptions::default())
        .expect("text is well formed");
    bencher.bench(|| record.winters(SEASON).expect("winters are complete"));
}
