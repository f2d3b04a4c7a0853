use super::*;
use proptest::prelude::*;

/// Winters of a daily course, each at its own level.
fn record(levels: &[f64], days: usize) -> Vec<Vec<f64>> {
    let course = |level: f64| (0..days * 24).map(move |hour| level + (hour % 24) as f64 / 4.0);
    levels
        .iter()
        .map(|&level| course(level).collect())
        .collect()
}

fn slices(record: &[Vec<f64>]) -> Vec<&[f64]> {
    record.iter().map(Vec::as_slice).collect()
}

#[test]
fn hours_of_the_day_and_the_calendar_window_are_kept() {
    let record = record(&[-8.0, -7.5, -7.0, -6.5], 200);
    let blocks = Blocks::default();
    let sources = resample(&slices(&record), 4_800, &blocks, 3, 0).expect("a sound record");
    assert_eq!(sources.len(), 4_800);
    // A block starts within the window and then runs on for up to its length with the same shift.
    for (hour, source) in sources.iter().enumerate() {
        assert_eq!(source.hour % 24, hour % 24);
        assert!(
            source.hour.abs_diff(hour) <= blocks.window_days * 24,
            "{hour}: {source:?}"
        );
    }
}

#[test]
fn the_last_instant_of_a_winter_comes_with_its_last_day() {
    let mut winters = record(&[-8.0, -7.5, -7.0], 60);
    for winter in &mut winters {
        winter.push(-6.0);
    }
    for index in 0..20 {
        let sources = resample(&slices(&winters), 60 * 24 + 1, &Blocks::default(), 1, index)
            .expect("a sound record");
        assert_eq!(sources.len(), 60 * 24 + 1);
        assert_eq!(sources[60 * 24 - 1].winter, sources[60 * 24].winter);
        assert_eq!(sources[60 * 24 - 1].hour + 1, sources[60 * 24].hour);
    }
}

#[test]
fn blocks_have_the_lengths_asked_and_change_the_winter_at_each_joint() {
    let record = record(&[-8.0, -7.5, -7.0, -6.5], 200);
    let sources =
        resample(&slices(&record), 4_800, &Blocks::default(), 4, 0).expect("a sound record");
    let mut starts = vec![0];
    for hour in 1..sources.len() {
        let (before, after) = (sources[hour - 1], sources[hour]);
        if after.winter == before.winter {
            assert_eq!(after.hour, before.hour + 1);
        } else {
            starts.push(hour);
        }
    }
    assert!(starts.len() > 12);
    for pair in starts.windows(2) {
        let days = (pair[1] - pair[0]) / 24;
        // A block at the end of its winter may be cut short there.
        let at_the_end = sources[pair[1] - 1].hour + 1 == 4_800;
        assert!((7..=14).contains(&days) || at_the_end, "{days} days");
    }
}

#[test]
fn jumps_at_joints_are_within_the_bound_where_any_block_offers_it() {
    let record = record(&[-20.0, -19.0, -18.0], 150);
    let sources =
        resample(&slices(&record), 3_600, &Blocks::default(), 5, 0).expect("a sound record");
    for pair in sources
        .windows(2)
        .filter(|pair| pair[0].winter != pair[1].winter)
    {
        let old = &record[pair[0].winter];
        let expected = old[(pair[0].hour + 1).min(old.len() - 1)];
        let jump = (record[pair[1].winter][pair[1].hour] - expected).abs();
        let at_the_end = pair[0].hour + 1 == old.len();
        assert!(jump <= 2.0 || at_the_end, "{jump} K");
    }
}

#[test]
fn the_smallest_jump_is_taken_where_none_is_within_the_bound() {
    let record = record(&[-30.0, -10.0, 5.0], 100);
    let blocks = Blocks {
        companions: Some(3),
        ..Blocks::default()
    };
    let sources = resample(&slices(&record), 2_400, &blocks, 6, 0).expect("a sound record");
    for pair in sources
        .windows(2)
        .filter(|pair| pair[0].winter != pair[1].winter)
    {
        let ends_in_the_middle = pair[0].winter == 1 || pair[1].winter == 1;
        assert!(
            ends_in_the_middle,
            "{pair:?}: 35 K where 15 or 20 K would do"
        );
    }
}

#[test]
fn each_index_gives_another_winter_and_always_the_same() {
    let record = record(&[-8.0, -7.5, -7.0, -6.5], 100);
    let draw = |seed, index| {
        resample(&slices(&record), 2_400, &Blocks::default(), seed, index).expect("sound")
    };
    assert_eq!(draw(1, 0), draw(1, 0));
    assert_ne!(draw(1, 0), draw(1, 1));
    assert_ne!(draw(1, 0), draw(2, 0));
}

#[test]
fn a_record_that_cannot_be_resampled_is_refused_with_the_reason() {
    let two = record(&[-8.0, -7.0], 100);
    let blocks = Blocks::default();
    let message = |record: &[&[f64]], hours, blocks: &Blocks| {
        resample(record, hours, blocks, 1, 0)
            .expect_err("refused")
            .to_string()
    };
    assert!(message(&[&two[0]], 2_400, &blocks).contains("the record has 1"));
    assert!(message(&slices(&two), 2_425, &blocks).contains("winter 0 of the record has 2400"));
    assert!(message(&[&[], &[]], 0, &blocks).contains("0 hours"));
    let mut gap = two.clone();
    gap[1][77] = f64::NAN;
    assert!(message(&slices(&gap), 2_400, &blocks).contains("winter 1 of the record, hour 77"));
    for wrong in [
        Blocks {
            shortest_days: 0,
            ..blocks.clone()
        },
        Blocks {
            longest_days: 3,
            ..blocks.clone()
        },
        Blocks {
            window_days: 99,
            ..blocks.clone()
        },
        Blocks {
            joint_k: f64::NAN,
            ..blocks.clone()
        },
        Blocks {
            companions: Some(1),
            ..blocks.clone()
        },
    ] {
        assert!(message(&slices(&two), 2_400, &wrong).starts_with("resampling: the "));
    }
}

#[test]
fn warming_keeps_the_relative_humidity() {
    let (temperature, dew_point) = warmed(-10.0, -13.0, 2.5);
    assert_eq!(temperature, -7.5);
    let before = relative_humidity_fraction(-10.0, -13.0);
    let after = relative_humidity_fraction(temperature, dew_point);
    assert!((before - after).abs() < 1e-9);
    let (_, unchanged) = warmed(-10.0, -13.0, 0.0);
    assert!((unchanged + 13.0).abs() < 1e-9);
}

proptest! {
    /// A leap year's winter beside shorter ones, of any length and any blocks: all hours come from
    /// the record and none is missing.
    #[test]
    fn any_sound_record_gives_a_whole_winter(
        days in 2_usize..80,
        shortest in 1_usize..20,
        more in 0_usize..20,
        window in 1_usize..45,
        seed in 0_u64..1_000,
        cut in 0_usize..24,
        extra in 0_usize..24,
    ) {
        let mut winters = record(&[-9.0, -3.0, 2.0, -20.0], days);
        winters.push(record(&[-5.0], days + 1).remove(0));
        // The first instant of the day after, or more of a broken day.
        winters[1].extend(vec![-3.0; extra]);
        let blocks = Blocks {
            shortest_days: shortest,
            longest_days: shortest + more,
            window_days: window,
            ..Blocks::default()
        };
        let hours = (days + 1) * 24 - cut;
        let sources = resample(&slices(&winters), hours, &blocks, seed, 9).expect("a sound record");
        prop_assert_eq!(sources.len(), hours);
        for (hour, source) in sources.iter().enumerate() {
            prop_assert_eq!(source.hour % 24, hour % 24);
        }
        prop_assert!(gather(&slices(&winters), &sources).is_some());
    }
}
