use super::super::sample;
use super::*;
use proptest::prelude::*;

fn made(winters: usize) -> Vec<SyntheticWinter> {
    let normals = sample::normals().expect("the sample's normals are sound");
    synthesise(&normals, sample::FIRST_YEAR, winters, sample::SEED).expect("valid years")
}

fn bits(winter: &SyntheticWinter) -> Vec<u64> {
    let hours = winter.hours.iter();
    hours
        .flat_map(|h| {
            [
                h.temperature_c,
                h.dew_point_c,
                h.wind_m_s,
                h.global_w_m2,
                h.cloud_fraction,
                h.pressure_pa,
            ]
        })
        .map(f64::to_bits)
        .collect()
}

/// The shipped file, byte for byte. To make it anew after a change of the method:
/// `overwinter weather synth weather/kettlewend-normals.toml --winters 10 --seed 17 --to FILE`.
#[test]
fn the_first_winter_of_the_shipped_sample_comes_out_byte_for_byte() {
    let normals = sample::normals().expect("the sample's normals are sound");
    let mut text = Vec::new();
    write_winters(&normals, sample::SEED, &made(1), &mut text).expect("memory takes all");
    let rows = |text: &[u8]| -> Vec<String> {
        let text = String::from_utf8_lossy(text);
        text.lines()
            .filter(|line| !line.starts_with("# invented"))
            .map(str::to_owned)
            .collect()
    };
    let (ours, shipped) = (rows(&text), rows(sample::WINTERS_CSV));
    assert!(ours.len() > 6_200, "{} lines", ours.len());
    assert!(shipped.len() > 9 * ours.len());
    for (ours, shipped) in ours.iter().zip(&shipped) {
        assert_eq!(ours, shipped);
    }
}

#[test]
fn asking_for_more_winters_or_for_later_ones_changes_none() {
    let normals = sample::normals().expect("the sample's normals are sound");
    let three = made(3);
    let last = synthesise(&normals, sample::FIRST_YEAR + 2, 1, sample::SEED).expect("valid years");
    assert_eq!(bits(&three[2]), bits(&last[0]));
    assert_ne!(bits(&three[0])[..600], bits(&three[1])[..600]);
    let other = synthesise(&normals, sample::FIRST_YEAR, 1, 99).expect("valid years");
    assert_ne!(bits(&three[0]), bits(&other[0]));
}

#[test]
fn a_winter_has_every_hour_from_mid_september_to_the_end_of_may() {
    for winter in made(2) {
        let days = if winter.year == 2011 { 260 } else { 259 };
        assert_eq!(winter.hours.len(), days * 24, "{}", winter.year);
        let follows =
            |pair: &[SyntheticHour]| pair[0].time.saturating_add(1.hour()) == pair[1].time;
        assert!(winter.hours.windows(2).all(follows));
        assert_eq!(
            winter.hours[0].time,
            date(winter.year, 9, 15).at(0, 0, 0, 0)
        );
    }
}

#[test]
fn every_hour_is_physically_consistent() {
    for hour in made(3).iter().flat_map(|winter| &winter.hours) {
        assert!(hour.dew_point_c <= hour.temperature_c, "{hour:?}");
        assert!((0.0..=1.0).contains(&hour.cloud_fraction), "{hour:?}");
        assert!((0.0..30.0).contains(&hour.wind_m_s), "{hour:?}");
        assert!(
            (90_000.0..104_000.0).contains(&hour.pressure_pa),
            "{hour:?}"
        );
        let clock = hour.time.hour();
        assert!((0.0..1_100.0).contains(&hour.global_w_m2), "{hour:?}");
        if !(4..=20).contains(&clock) {
            assert_eq!(hour.global_w_m2, 0.0, "{hour:?}");
        }
    }
}

#[test]
fn southern_winters_begin_in_march_and_are_cold_in_july() {
    let mut normals = sample::normals().expect("the sample's normals are sound");
    normals.site.latitude_deg = -45.0;
    normals.site.longitude_deg = 170.0;
    normals.site.utc_offset_h = 12.0;
    normals.temperature_c.rotate_left(6);
    let winter = &synthesise(&normals, 2015, 1, 1).expect("valid years")[0];
    assert_eq!(winter.hours[0].time, date(2015, 3, 15).at(0, 0, 0, 0));
    let mean_of = |month: i8| {
        let month: Vec<f64> = winter
            .hours
            .iter()
            .filter(|hour| hour.time.month() == month)
            .map(|hour| hour.temperature_c)
            .collect();
        month.iter().sum::<f64>() / month.len() as f64
    };
    assert!(mean_of(7) < mean_of(4) - 5.0);
}

#[test]
fn impossible_numbers_of_winters_are_refused() {
    let normals = sample::normals().expect("the sample's normals are sound");
    for (first_year, winters) in [
        (2011, 0),
        (2011, 1_001),
        (1500, 3),
        (2199, 5),
        (i16::MAX, 2),
    ] {
        let error = synthesise(&normals, first_year, winters, 1).expect_err("out of range");
        assert!(
            error.to_string().contains(&format!("{winters} winters")),
            "{error}"
        );
    }
}

#[test]
fn a_place_near_the_polar_circle_has_no_wild_days_under_its_low_sun() {
    let mut normals = sample::normals().expect("the sample's normals are sound");
    normals.site.latitude_deg = 65.9;
    for winter in synthesise(&normals, 2000, 5, 1).expect("valid years") {
        for day in winter
            .hours
            .chunks_exact(24)
            .filter(|day| day[0].time.month() == 12)
        {
            let low = day
                .iter()
                .map(|hour| hour.temperature_c)
                .fold(f64::INFINITY, f64::min);
            let high = day
                .iter()
                .map(|hour| hour.temperature_c)
                .fold(f64::NEG_INFINITY, f64::max);
            assert!(high - low < 35.0, "{}: {low} to {high} °C", day[0].time);
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// Any normals that the reader lets through, the same in every month but for a summer.
    #[test]
    fn any_normals_give_finite_and_consistent_hours(
        latitude_deg in -66.0..66.0,
        longitude_deg in -180.0..180.0,
        elevation_m in -500.0..6_000.0,
        temperature_c in -60.0..40.0,
        daily_range_k in 1.0..25.0,
        daily_mean_sd_k in 0.5..15.0,
        wind_m_s in 0.2..20.0,
        cloud_fraction in 0.02..0.98,
        relative_humidity in 0.25..0.98,
        persistence in 0.57..0.9,
    ) {
        let mut normals = sample::normals().expect("the sample's normals are sound");
        normals.site.latitude_deg = latitude_deg;
        normals.site.longitude_deg = longitude_deg;
        normals.site.elevation_m = elevation_m;
        normals.persistence = persistence;
        normals.temperature_c = [temperature_c; 12];
        normals.temperature_c[6] = 40.0;
        normals.daily_range_k = [daily_range_k; 12];
        normals.daily_mean_sd_k = [daily_mean_sd_k; 12];
        normals.wind_m_s = [wind_m_s; 12];
        normals.cloud_fraction = [cloud_fraction; 12];
        normals.relative_humidity = [relative_humidity; 12];
        for hour in &synthesise(&normals, 2001, 1, 3).expect("valid years")[0].hours {
            prop_assert!(hour.temperature_c.is_finite() && hour.wind_m_s >= 0.0, "{:?}", hour);
            prop_assert!(hour.dew_point_c <= hour.temperature_c, "{:?}", hour);
            prop_assert!(hour.global_w_m2 >= 0.0 && hour.global_w_m2 < 1_200.0, "{:?}", hour);
            prop_assert!((0.0..=1.0).contains(&hour.cloud_fraction), "{:?}", hour);
            prop_assert!(hour.pressure_pa > 30_000.0, "{:?}", hour);
        }
    }
}
