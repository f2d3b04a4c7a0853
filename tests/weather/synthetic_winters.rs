//! Made winters against the normals they are made from.

use std::sync::LazyLock;

use crate::statistics::{
    anomalies, autocorrelation, correlation, daily_means, daily_ranges, longest_spell_h, mean, sd,
};
use overwinter::weather::normals::Normals;
use overwinter::weather::sample;
use overwinter::weather::synthesis::{SyntheticHour, SyntheticWinter, synthesise};

const WINTERS: usize = 30;

static MADE: LazyLock<(Normals, Vec<SyntheticWinter>)> = LazyLock::new(|| {
    let normals = sample::normals().expect("the sample's normals are sound");
    let winters = synthesise(&normals, 1950, WINTERS, 5).expect("valid years");
    (normals, winters)
});

fn of_month(
    winters: &[SyntheticWinter],
    month: i8,
    value: impl Fn(&SyntheticHour) -> f64,
) -> Vec<f64> {
    let hours = winters.iter().flat_map(|winter| &winter.hours);
    hours
        .filter(|hour| hour.time.month() == month)
        .map(value)
        .collect()
}

/// The months that the season holds whole, from October to May.
const WHOLE_MONTHS: [i8; 8] = [10, 11, 12, 1, 2, 3, 4, 5];

#[test]
fn monthly_means_are_those_of_the_normals_within_their_sampling_error() {
    let (normals, winters) = &*MADE;
    for month in WHOLE_MONTHS {
        let m = month as usize - 1;
        // Monthly means differ by about 0.45 of the spread of days from year to year.
        let error = 3.0 * 0.45 * normals.daily_mean_sd_k[m] / (WINTERS as f64).sqrt();
        let found = mean(&of_month(winters, month, |hour| hour.temperature_c));
        assert!(
            (found - normals.temperature_c[m]).abs() < error,
            "month {month}: {found} °C"
        );
        let found = mean(&of_month(winters, month, |hour| hour.wind_m_s));
        assert!(
            (found / normals.wind_m_s[m] - 1.0).abs() < 0.05,
            "month {month}: {found} m/s"
        );
        let found = mean(&of_month(winters, month, |hour| hour.cloud_fraction));
        assert!(
            (found - normals.cloud_fraction[m]).abs() < 0.05,
            "month {month}: cloud {found}"
        );
    }
}

#[test]
fn daily_ranges_are_those_of_the_normals_to_a_tenth() {
    let (normals, winters) = &*MADE;
    for month in WHOLE_MONTHS {
        let found = mean(&daily_ranges(&of_month(winters, month, |hour| {
            hour.temperature_c
        })));
        let ratio = found / normals.daily_range_k[month as usize - 1];
        assert!((ratio - 1.0).abs() < 0.10, "month {month}: {found} K");
    }
}

#[test]
fn relative_humidity_is_that_of_the_normals_within_three_points() {
    use overwinter::weather::humidity::relative_humidity_fraction;
    let (normals, winters) = &*MADE;
    for month in WHOLE_MONTHS {
        let found = mean(&of_month(winters, month, |hour| {
            relative_humidity_fraction(hour.temperature_c, hour.dew_point_c)
        }));
        let wanted = normals.relative_humidity[month as usize - 1];
        assert!((found - wanted).abs() < 0.03, "month {month}: {found}");
    }
}

#[test]
fn spread_and_persistence_of_daily_means_are_those_of_the_normals() {
    let (normals, winters) = &*MADE;
    let days: Vec<Vec<f64>> = winters
        .iter()
        .map(|winter| {
            daily_means(
                &winter
                    .hours
                    .iter()
                    .map(|h| h.temperature_c)
                    .collect::<Vec<_>>(),
            )
        })
        .collect();
    let anomalies = anomalies(&days);
    // December to February are days 77 to 167 of the season.
    let cold: Vec<Vec<f64>> = anomalies
        .iter()
        .map(|winter| winter[77..167].to_vec())
        .collect();
    let spread = sd(&cold.concat());
    let wanted = mean(&[
        normals.daily_mean_sd_k[11],
        normals.daily_mean_sd_k[0],
        normals.daily_mean_sd_k[1],
    ]);
    assert!(
        (spread / wanted - 1.0).abs() < 0.06,
        "{spread} K, {wanted} K"
    );
    let found = autocorrelation(&cold, 1);
    assert!((found - normals.persistence).abs() < 0.03, "{found}");
    // Five days on the weather has gone by, but spells and the winter's own level are still there.
    let later = autocorrelation(&cold, 5);
    assert!((0.10..0.32).contains(&later), "{later}");
}

#[test]
fn cold_is_clear_cloud_damps_the_day_and_highs_are_calm() {
    let (_, winters) = &*MADE;
    let cold: Vec<SyntheticHour> = winters
        .iter()
        .flat_map(|winter| &winter.hours)
        .filter(|hour| [12, 1, 2].contains(&hour.time.month()))
        .copied()
        .collect();
    let days = |value: fn(&SyntheticHour) -> f64| cold.iter().map(value).collect::<Vec<_>>();
    let temperature = days(|hour| hour.temperature_c);
    let (warmth, swing) = (daily_means(&temperature), daily_ranges(&temperature));
    let cloud = daily_means(&days(|hour| hour.cloud_fraction));
    let wind = daily_means(&days(|hour| hour.wind_m_s));
    let pressure = daily_means(&days(|hour| hour.pressure_pa));
    for (tie, found, low, high) in [
        (
            "cloud with temperature",
            correlation(&cloud, &warmth),
            0.3,
            0.6,
        ),
        (
            "cloud with daily range",
            correlation(&cloud, &swing),
            -0.7,
            -0.3,
        ),
        (
            "pressure with temperature",
            correlation(&pressure, &warmth),
            -0.6,
            -0.3,
        ),
        (
            "pressure with cloud",
            correlation(&pressure, &cloud),
            -0.65,
            -0.3,
        ),
        (
            "pressure with wind",
            correlation(&pressure, &wind),
            -0.45,
            -0.15,
        ),
    ] {
        assert!((low..high).contains(&found), "{tie}: {found}");
    }
}

#[test]
fn winters_differ_as_real_ones_do() {
    let (_, winters) = &*MADE;
    let mut means = Vec::new();
    let mut spells = Vec::new();
    for winter in winters {
        let all: Vec<f64> = winter.hours.iter().map(|hour| hour.temperature_c).collect();
        means.push(mean(&all[77 * 24..167 * 24]));
        spells.push(longest_spell_h(&all, -10.0));
    }
    // Stations in the middle of northern North America: 2 to 3 K (from memory).
    let spread = sd(&means);
    assert!((1.8..3.3).contains(&spread), "{spread} K");
    let longest = spells.iter().max().copied().unwrap_or(0);
    let shortest = spells.iter().min().copied().unwrap_or(0);
    assert!(
        longest > 2 * shortest && longest > 200,
        "{shortest} to {longest} h"
    );
}
