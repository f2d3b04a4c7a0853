//! Resampled winters against the record they are cut from: what is kept, and what is not.

use std::sync::LazyLock;

use crate::statistics::{
    anomalies, autocorrelation, correlation, daily_means, daily_ranges, longest_spell_h, mean, sd,
};
use overwinter::weather::resampling::{Blocks, gather, resample};
use overwinter::weather::sample;
use overwinter::weather::synthesis::{SyntheticHour, synthesise};

const RECORD: usize = 20;
const RESAMPLED: u64 = 200;

struct Winters(Vec<Vec<SyntheticHour>>);

/// A record of 20 winters, and 200 winters resampled from it.
static BOTH: LazyLock<(Winters, Winters)> = LazyLock::new(|| {
    let blocks = Blocks::default();
    record_and_resampled(&blocks)
});

fn record_and_resampled(blocks: &Blocks) -> (Winters, Winters) {
    let normals = sample::normals().expect("the sample's normals are sound");
    let winters = synthesise(&normals, 1950, RECORD, 8).expect("valid years");
    let record: Vec<Vec<SyntheticHour>> = winters.into_iter().map(|winter| winter.hours).collect();
    let temperatures: Vec<Vec<f64>> = record
        .iter()
        .map(|winter| winter.iter().map(|hour| hour.temperature_c).collect())
        .collect();
    let temperatures: Vec<&[f64]> = temperatures.iter().map(Vec::as_slice).collect();
    let rows: Vec<&[SyntheticHour]> = record.iter().map(Vec::as_slice).collect();
    let resampled = (0..RESAMPLED)
        .map(|index| {
            let sources =
                resample(&temperatures, 259 * 24, blocks, 3, index).expect("a sound record");
            gather(&rows, &sources).expect("every source is in the record")
        })
        .collect();
    (Winters(record), Winters(resampled))
}

impl Winters {
    fn values(&self, value: fn(&SyntheticHour) -> f64) -> Vec<Vec<f64>> {
        let cut = |winter: &Vec<SyntheticHour>| winter[..259 * 24].iter().map(value).collect();
        self.0.iter().map(cut).collect()
    }

    fn temperatures(&self) -> Vec<Vec<f64>> {
        self.values(|hour| hour.temperature_c)
    }

    /// Daily mean temperatures less the normal course of the record, December to February.
    fn cold_anomalies(&self) -> Vec<Vec<f64>> {
        let days: Vec<Vec<f64>> = self.temperatures().iter().map(|w| daily_means(w)).collect();
        anomalies(&days)
            .iter()
            .map(|winter| winter[77..167].to_vec())
            .collect()
    }
}

#[test]
fn means_through_the_season_and_daily_ranges_are_those_of_the_record() {
    let (record, resampled) = &*BOTH;
    let (record, resampled) = (record.temperatures(), resampled.temperatures());
    for month in 0..8 {
        let hours = month * 30 * 24..(month + 1) * 30 * 24;
        let part = |winters: &[Vec<f64>]| {
            winters
                .iter()
                .flat_map(|winter| winter[hours.clone()].to_vec())
                .collect::<Vec<_>>()
        };
        let (ours, theirs) = (part(&resampled), part(&record));
        let shift = mean(&ours) - mean(&theirs);
        assert!(shift.abs() < 0.6, "days {} on: {shift} K", month * 30);
        let ratio = mean(&daily_ranges(&ours)) / mean(&daily_ranges(&theirs));
        assert!(
            (ratio - 1.0).abs() < 0.03,
            "days {} on: {ratio}",
            month * 30
        );
    }
}

#[test]
fn spread_and_autocorrelation_of_daily_means_are_those_of_the_record() {
    let (record, resampled) = &*BOTH;
    let (theirs, ours) = (record.cold_anomalies(), resampled.cold_anomalies());
    let ratio = sd(&ours.concat()) / sd(&theirs.concat());
    assert!((ratio - 1.0).abs() < 0.05, "{ratio}");
    for (lag, allowed) in [(1, 0.03), (2, 0.05), (3, 0.07), (5, 0.08)] {
        let difference = autocorrelation(&ours, lag) - autocorrelation(&theirs, lag);
        println!("lag {lag}: {difference:+.3}");
        assert!(difference.abs() < allowed, "lag {lag}: {difference}");
    }
}

#[test]
fn cold_spells_are_as_long_as_in_the_record() {
    let (record, resampled) = &*BOTH;
    let spells = |winters: &Winters| {
        let longest = |winter: &Vec<f64>| longest_spell_h(winter, -10.0) as f64;
        winters
            .temperatures()
            .iter()
            .map(longest)
            .collect::<Vec<_>>()
    };
    let ratio = mean(&spells(resampled)) / mean(&spells(record));
    println!("longest spell: {ratio:.3} of the record's");
    assert!((ratio - 1.0).abs() < 0.12, "{ratio}");
}

#[test]
fn ties_between_variables_are_those_of_the_record() {
    let (record, resampled) = &*BOTH;
    let tie = |winters: &Winters, a: fn(&SyntheticHour) -> f64, b: fn(&SyntheticHour) -> f64| {
        correlation(&winters.values(a).concat(), &winters.values(b).concat())
    };
    type Value = fn(&SyntheticHour) -> f64;
    let pairs: [(&str, Value, Value); 4] = [
        (
            "temperature and cloud",
            |h| h.temperature_c,
            |h| h.cloud_fraction,
        ),
        (
            "temperature and dew point",
            |h| h.temperature_c,
            |h| h.dew_point_c,
        ),
        ("wind and pressure", |h| h.wind_m_s, |h| h.pressure_pa),
        (
            "radiation and cloud",
            |h| h.global_w_m2,
            |h| h.cloud_fraction,
        ),
    ];
    for (name, a, b) in pairs {
        let difference = tie(resampled, a, b) - tie(record, a, b);
        assert!(difference.abs() < 0.03, "{name}: {difference}");
    }
}

/// What is kept only in part: a winter put together from several is less unlike the others than recorded
/// ones are. Companions keep most of the spread, and without them more of it is lost.
#[test]
fn companions_keep_most_of_the_spread_of_whole_winters() {
    fn spread(winters: &Winters) -> f64 {
        sd(&winters
            .cold_anomalies()
            .iter()
            .map(|winter| mean(winter))
            .collect::<Vec<_>>())
    }
    let (record, resampled) = &*BOTH;
    let ratio = spread(resampled) / spread(record);
    println!("spread of winters: {ratio:.3} of the record's");
    assert!((0.85..1.05).contains(&ratio), "{ratio}");
    let blocks = Blocks {
        companions: Some(RECORD),
        ..Blocks::default()
    };
    let (_, from_all) = record_and_resampled(&blocks);
    let without = spread(&from_all) / spread(record);
    println!("without companions: {without:.3}");
    assert!(without < ratio - 0.03, "{without}");
}

/// What is **not** kept: no hour is colder than the coldest of the record.
#[test]
fn no_resampled_hour_is_colder_than_the_record() {
    let (record, resampled) = &*BOTH;
    let coldest = |winters: &Winters| {
        winters
            .temperatures()
            .concat()
            .into_iter()
            .fold(f64::INFINITY, f64::min)
    };
    assert!(coldest(resampled) >= coldest(record));
}
