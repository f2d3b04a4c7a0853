//! The daily course: how far the temperature is above or below its mean of the day.
//!
//! The ground warms by the sun it takes in and cools to the sky; the air follows some hours later. The
//! forcing (absorbed sun less net long wave) runs through a first-order lag and loses its running mean of
//! 24 h, so that it moves no daily mean; a gain for each month brings the daily range to the normals.
//! Clear days swing, overcast ones hardly do, and the coldest hour is round sunrise.

use super::super::normals::{AnnualCycle, Months, Normals};
use super::super::radiation::{clear_sky_global_w_m2, cloud_transmission};
use super::super::sky::CLOUD_WEIGHT;
use super::super::sun::{SunError, sun_position};
use crate::normal;
use jiff::civil::date;

/// Share of the sun's radiation that heats the ground (own estimate: between snow and grass; the gain
/// makes up for it, only its ratio to the long wave matters).
const ABSORBED: f64 = 0.5;

/// Net long-wave loss of the ground under a clear sky, W/m2 (common practice: 60 to 90).
const CLEAR_LOSS_W_M2: f64 = 70.0;

/// Time by which air follows the forcing, h (own estimate: the warmest hour comes 3 h after noon).
const LAG_H: f64 = 4.0;

/// Mean range within 24 h that passing weather alone makes, for a standard deviation of daily means of
/// 1 K (own estimate, from simulation).
const RANGE_OF_PASSING_WEATHER: f64 = 1.15;

/// Least swing of lagged forcing that a month's daily range is laid on, W/m2 (own estimate). Under a sun
/// that hardly rises what swings is the cloud, and a range made of the little sun would blow that up.
const LEAST_SWING_W_M2: f64 = 15.0;

/// Steepness of the cloud distribution: 3.0 makes clear and overcast the most frequent skies.
const CLOUD_STEEPNESS: f64 = 3.0;

/// What drives the daily course in one hour, W/m2.
pub(crate) fn forcing_w_m2(global_w_m2: f64, cloud_fraction: f64) -> f64 {
    ABSORBED * global_w_m2 - CLEAR_LOSS_W_M2 * (1.0 - CLOUD_WEIGHT * cloud_fraction)
}

/// Hours at either end of a forcing that have no [`departure`].
pub(crate) const LOST_HOURS: usize = 12;

/// The lagged forcing less its running mean of 24 h, for the hours that have [`LOST_HOURS`] on either side.
pub(crate) fn departure(forcing: &[f64]) -> Vec<f64> {
    let follow = 1.0 - libm::exp(-1.0 / LAG_H);
    let mut air = forcing.first().copied().unwrap_or(0.0);
    let lagged: Vec<f64> = forcing
        .iter()
        .map(|f| {
            air += follow * (f - air);
            air
        })
        .collect();
    lagged
        .windows(25)
        .map(|day| {
            // 25 values with the two ends at half weight are 24 hours about the middle one.
            let sum: f64 = day[1..24].iter().sum::<f64>() + 0.5 * (day[0] + day[24]);
            day[12] - sum / 24.0
        })
        .collect()
}

/// Kelvin of daily course for each W/m2 of lagged forcing, through the year.
pub(crate) fn gain(normals: &Normals) -> Result<AnnualCycle, SunError> {
    let mut gains: Months = [0.0; 12];
    for (month, gain) in gains.iter_mut().enumerate() {
        let transmission = mean_over_cloud(normals.cloud_fraction[month], cloud_transmission);
        let mut day = Vec::with_capacity(24);
        for hour in 0..24 {
            // Any year does: the sun is the same to a fraction of a degree.
            let noonish = date(2021, month as i8 + 1, 15).at(hour, 0, 0, 0);
            let cos_zenith = sun_position(noonish, &normals.site)?.cos_zenith();
            day.push(forcing_w_m2(
                transmission * clear_sky_global_w_m2(cos_zenith),
                normals.cloud_fraction[month],
            ));
        }
        let days = day.repeat(4);
        let swing = range(&departure(&days)[36..60]).max(LEAST_SWING_W_M2);
        let passing = RANGE_OF_PASSING_WEATHER * normals.daily_mean_sd_k[month];
        let wanted = normals.daily_range_k[month];
        // Ranges of independent courses add nearly as their squares do; some course of the day stays.
        let own = libm::sqrt((wanted * wanted - passing * passing).max(0.09 * wanted * wanted));
        *gain = own / swing;
    }
    Ok(AnnualCycle::new(&gains))
}

fn range(values: &[f64]) -> f64 {
    let (low, high) = values
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| {
            (low.min(*v), high.max(*v))
        });
    high - low
}

/// Cloud cover from a standard normal deviate, so that its mean is the one asked.
pub(crate) fn cloud_fraction(mean: f64, deviate: f64) -> f64 {
    let centre = libm::sqrt(1.0 + CLOUD_STEEPNESS * CLOUD_STEEPNESS) * normal::quantile(mean);
    normal::probability(centre + CLOUD_STEEPNESS * deviate)
}

/// Mean of a function of cloud cover over the distribution with a mean cover.
fn mean_over_cloud(mean: f64, of: impl Fn(f64) -> f64) -> f64 {
    const PARTS: i32 = 50;
    (0..PARTS)
        .map(|part| {
            let deviate = normal::quantile((f64::from(part) + 0.5) / f64::from(PARTS));
            of(cloud_fraction(mean, deviate))
        })
        .sum::<f64>()
        / f64::from(PARTS)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cloud_has_the_mean_asked_and_is_mostly_clear_or_overcast() {
        for mean in [0.2, 0.5, 0.65, 0.9] {
            assert!(
                (mean_over_cloud(mean, |cloud| cloud) - mean).abs() < 0.01,
                "{mean}"
            );
        }
        let middle = mean_over_cloud(0.5, |cloud| f64::from((0.25..0.75).contains(&cloud)));
        assert!(middle < 0.3, "{middle}");
    }

    #[test]
    fn the_departure_moves_no_daily_mean_and_peaks_in_the_afternoon() {
        let day: Vec<f64> = (0..24)
            .map(|hour| {
                let cosine = (f64::from(hour - 12) * std::f64::consts::TAU / 24.0).cos();
                300.0 * cosine.max(0.0) - 70.0
            })
            .collect();
        let course = departure(&day.repeat(5));
        let settled = &course[48..72]; // starts at noon, as the first 12 hours are lost
        let mean = settled.iter().sum::<f64>() / 24.0;
        assert!(mean.abs() < 0.05, "{mean}");
        let warmest = (0..24).max_by(|a, b| settled[*a].total_cmp(&settled[*b]));
        assert!(matches!(warmest, Some(2..=4)), "{warmest:?} h after noon");
        let coldest = (0..24).min_by(|a, b| settled[*a].total_cmp(&settled[*b]));
        assert!(matches!(coldest, Some(17..=19)), "{coldest:?} h after noon");
    }
}
