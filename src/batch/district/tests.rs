//! Tests of `district.rs`.

use super::*;
use crate::batch::{BatchPlan, Outcome, StationFacts};
use crate::ensemble::Sampling;

/// A cell of a station, by latitude, mean of January, honey needed and share that starves; none of the latter for one that failed.
fn cell(number: usize, place: (f64, f64), figures: Option<(f64, f64)>) -> CellRecord {
    let outcome = figures.map_or_else(
        || Outcome::Failed("no winter".to_owned()),
        |(need_kg, starved)| {
            Outcome::Finished(Box::new(Figures {
                start: "1 October".to_owned(),
                first_forage: "20 April".to_owned(),
                days: 201,
                winter_mean_c: 0.0,
                coldest_c: -20.0,
                refused_winters: 0,
                members: 10,
                crossed_by: (0, 0),
                member_needs_kg: Vec::new(),
                stores_kg: 15.0,
                needs: vec![
                    (0.5, need_kg - 2.0, (0.0, 0.0)),
                    (0.95, need_kg, (0.0, 0.0)),
                ],
                need_shared: vec![None; 2],
                mean_need_kg: need_kg,
                starved,
                starved_interval: (0.0, 1.0),
                starved_shared: None,
                alive: 1.0 - starved,
                stranded: 0.0,
                chilled: 0.0,
                wet_lid_h: 0.0,
                drip: 0.0,
                confined_days: 0.0,
                winters: Vec::new(),
                notes: Vec::new(),
            }))
        },
    );
    CellRecord {
        fingerprint: String::new(),
        station: format!("s{number}"),
        scenario: "thin".to_owned(),
        season: "calendar".to_owned(),
        place: Some(StationFacts {
            latitude_deg: Some(place.0),
            longitude_deg: None,
            elevation_m: None,
            utc_offset_h: None,
            january_mean_c: Some(place.1),
            first: String::new(),
            last: String::new(),
            files: Vec::new(),
        }),
        outcome,
    }
}

fn over(cells: Vec<CellRecord>, scenarios: &[&str]) -> Vec<District> {
    let plan = BatchPlan {
        program: String::new(),
        study: String::new(),
        members: 10,
        seed: 1,
        draws: Sampling::Plain,
        shared_sets: 100,
        scenarios: scenarios.iter().map(|name| (*name).to_owned()).collect(),
        stations: cells.iter().map(|cell| cell.station.clone()).collect(),
        seasons: vec!["calendar".to_owned()],
        cells: Vec::new(),
    };
    districts(&Gathered { plan, cells })
}

fn district(cells: Vec<CellRecord>) -> District {
    let mut all = over(cells, &["thin"]);
    assert_eq!(all.len(), 1);
    all.remove(0)
}

#[test]
fn stations_fall_into_bands_and_those_that_failed_count_for_nothing() {
    let district = district(vec![
        cell(1, (44.9, -4.0), Some((14.0, 0.2))),
        cell(2, (39.9, 1.0), Some((8.0, 0.0))),
        cell(3, (40.0, -6.0), Some((12.0, 0.1))),
        cell(4, (60.0, -9.0), None),
    ]);
    assert_eq!(district.stations, 3);
    let of = |against| -> Vec<(f64, f64, usize, f64, f64)> {
        let bands = district.bands.iter().filter(|band| band.against == against);
        bands
            .map(|band| {
                (
                    band.from,
                    band.to,
                    band.stations,
                    band.need_q95_kg,
                    band.starved_most,
                )
            })
            .collect()
    };
    assert_eq!(
        of(Against::Latitude),
        [(35.0, 40.0, 1, 8.0, 0.0), (40.0, 45.0, 2, 13.0, 0.2)]
    );
    assert_eq!(
        of(Against::January),
        [
            (-10.0, -5.0, 1, 12.0, 0.1),
            (-5.0, 0.0, 1, 14.0, 0.2),
            (0.0, 5.0, 1, 8.0, 0.0)
        ]
    );
    assert_eq!(
        of(Against::Parallel40),
        [(0.0, 40.0, 1, 8.0, 0.0), (40.0, 90.0, 2, 13.0, 0.2)]
    );
    assert!(district.trends.is_empty(), "three stations make no trend");
}

/// What a set saves is known, and the same at both stations: half the sets 1 kg, half 2 kg, whatever the colony and winter.
#[test]
fn a_difference_has_the_range_of_the_sets_that_all_stations_share() {
    let crossing = crate::ensemble::Crossing::new(10, 100);
    let saves_kg = |member: u64| 1.0 + f64::from(crossing.cell(member).set % 2);
    let with_needs = |name: &str, number: usize, saves: bool| {
        let mut cell = CellRecord {
            scenario: name.to_owned(),
            ..cell(number, (41.0, -4.0), Some((14.0, 0.2)))
        };
        if let Outcome::Finished(figures) = &mut cell.outcome {
            figures.crossed_by = (10, 100);
            let need_kg = |member| {
                let own = 10.0 + f64::from(crossing.cell(member).colony % 7);
                own - if saves { saves_kg(member) } else { 0.0 }
            };
            figures.member_needs_kg = (0..1000).map(need_kg).collect();
        }
        cell
    };
    let cells = [("thin", false), ("thick", true)]
        .into_iter()
        .flat_map(|(name, saves)| [1, 2].map(|number| with_needs(name, number, saves)));
    let all = over(cells.collect(), &["thin", "thick"]);
    let contrast = all[1].against_first.expect("two stations");
    let (low, high) = contrast.need_mean_shared_kg.expect("a hundred sets");
    assert!(
        (low + 2.0).abs() < 0.05 && (high + 1.0).abs() < 0.05,
        "{low} {high}"
    );
}

#[test]
fn a_second_hive_is_held_against_the_first_at_the_same_stations() {
    let first = [
        cell(1, (41.0, -4.0), Some((14.0, 0.2))),
        cell(2, (42.0, -5.0), Some((15.0, 0.4))),
        cell(3, (43.0, -6.0), None),
    ];
    let second = [(13.0, 0.2), (12.0, 0.1), (9.0, 0.0)];
    let second = second.iter().zip(1..).map(|(figures, number)| CellRecord {
        scenario: "thick".to_owned(),
        ..cell(number, (40.0 + number as f64, -4.0), Some(*figures))
    });
    let cells: Vec<CellRecord> = first.into_iter().chain(second).collect();
    let all = over(cells, &["thin", "thick"]);
    assert_eq!(all[0].against_first, None);
    let contrast = all[1].against_first.expect("two stations that both have");
    assert_eq!(contrast.stations, 2, "the third has no thin hive");
    // Less by 1 and 3 kg: mean 2, standard error 1, Student's deviate of one degree of freedom 12.706.
    let (low, high) = contrast.need_q95_kg.interval.expect("two stations");
    assert!((contrast.need_q95_kg.mean + 2.0).abs() < 1e-12);
    assert!(
        (low + 14.706).abs() < 1e-3 && (high - 10.706).abs() < 1e-3,
        "{low} {high}"
    );
    assert!(contrast.need_q95_kg.may_be_none());
    assert!((contrast.starved.mean + 0.15).abs() < 1e-12);
    assert_eq!(contrast.need_mean_shared_kg, None, "no needs of members");
    let north = all[1]
        .bands
        .iter()
        .find(|band| band.against == Against::Parallel40);
    assert_eq!(north.and_then(|band| band.against_first), Some(contrast));
}

/// Expected values by numpy's polyfit and corrcoef of the same pairs: slope 0.0282, intercept 7.6539, r2 0.0058.
#[test]
fn a_trend_is_the_line_of_least_squares() {
    let pairs = [
        (10.0, 8.04),
        (8.0, 6.95),
        (13.0, 7.58),
        (9.0, 8.81),
        (11.0, 8.33),
    ];
    let cells = pairs.iter().enumerate();
    let cells = cells.map(|(n, (x, y))| cell(n, (*x, -2.0), Some((*y, 0.0))));
    let district = district(cells.collect());
    // All have the same January, along which there is no line.
    let [trend] = district.trends[..] else {
        panic!("{:?}", district.trends);
    };
    assert_eq!(trend.against, Against::Latitude);
    assert!((trend.slope_kg - 0.0282).abs() < 5e-5, "{trend:?}");
    assert!((trend.at_zero_kg - 7.6539).abs() < 5e-5, "{trend:?}");
    assert!((trend.r2 - 0.0058).abs() < 5e-5, "{trend:?}");
}
