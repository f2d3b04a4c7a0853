//! The clock of a file's stamps, and the way from there to local standard time of the site.

use jiff::civil::Weekday;

use super::place::Place;
use super::stamp::{self, HOUR};
use super::variable::Variable;

/// Hours by which a clock may differ from its longitude / 15 before it is doubted. The widest among
/// legal times is western China, three hours ahead of its sun (from memory).
const WIDEST_ZONE_H: f64 = 3.25;

/// Hours by which the mean daily maximum may be off before a clock is doubted.
const MAXIMUM_SLACK_H: f64 = 3.0;

/// Solar hour of the daily maximum of air temperature over land, as the phase of the first harmonic.
/// Own estimate: the four real records this was made with peak between 14:00 and 14:50 by the sun.
const MAXIMUM_SOLAR_H: f64 = 14.5;

/// Daily waves smaller than this (K, half the range) say nothing about a clock: polar night, sea.
const SMALLEST_WAVE_K: f64 = 0.5;

/// What a file's stamps are on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Clock {
    /// Local standard time all year, without saying how far from UTC.
    LocalStandard,
    /// A clock that the file says is so many minutes ahead of UTC.
    Ahead(i64),
    /// UTC.
    Utc,
}

/// How to bring stamps to local standard time.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Shift {
    /// Minutes to add to the stamps.
    pub minutes: i64,
    /// Hours of local standard time ahead of UTC, if known.
    pub utc_offset_h: Option<f64>,
    /// What was done, in words, if anything.
    pub conversion: Option<String>,
    /// What is doubtful, in words.
    pub warning: Option<String>,
}

/// Hours ahead of UTC that a longitude suggests.
pub fn nautical_offset_h(longitude: f64) -> f64 {
    libm::round(longitude / 15.0)
}

/// Works out the shift: an offset that the user gives rules; then the one that the file states if it can
/// fit the longitude; then the longitude.
pub(crate) fn shift(clock: Clock, place: &Place, user: &Place) -> Shift {
    let longitude = user.longitude.or(place.longitude);
    let nautical = longitude.map(nautical_offset_h);
    let (ahead, stated) = match clock {
        Clock::LocalStandard => (None, place.utc_offset_h),
        Clock::Ahead(minutes) => (Some(minutes), Some(minutes as f64 / 60.0)),
        Clock::Utc => (Some(0), place.utc_offset_h),
    };
    let fits = |hours: f64| {
        longitude.is_none_or(|longitude| (hours - longitude / 15.0).abs() <= WIDEST_ZONE_H)
    };
    let mut warning = None;
    if let (Some(hours), Some(longitude)) = (stated, longitude)
        && !fits(hours)
    {
        warning = Some(format!(
            "the file states UTC{hours:+} h, which cannot be local time at longitude {longitude} (about UTC{:+.1} h there): its stamps are taken to be at UTC{hours:+} h as stated",
            longitude / 15.0
        ));
    }
    let utc_offset_h = user
        .utc_offset_h
        .or(stated.filter(|&hours| fits(hours)))
        .or(nautical);
    let Some(ahead) = ahead else {
        return Shift {
            minutes: 0,
            utc_offset_h,
            conversion: None,
            warning,
        };
    };
    let Some(hours) = utc_offset_h else {
        let unknown = "the stamps are UTC and neither the file nor the site says where the station lies: hours stay UTC; give the site's longitude or UTC offset";
        return Shift {
            minutes: -ahead,
            utc_offset_h: Some(0.0),
            conversion: None,
            warning: Some(unknown.to_owned()),
        };
    };
    let minutes = libm::round(hours * 60.0) as i64 - ahead;
    Shift {
        minutes,
        utc_offset_h,
        conversion: (minutes != 0).then(|| {
            format!(
                "clock: stamps at UTC{:+} h moved by {:+} h to local standard time, UTC{hours:+} h",
                ahead as f64 / 60.0,
                minutes as f64 / 60.0
            )
        }),
        warning,
    }
}

/// Hour of the day, 0 to 24, at which the mean daily wave of a temperature series peaks, by its first
/// harmonic; `None` when the wave is too small to tell. `first_hour_of_day` is the hour of the first value.
pub fn daily_maximum_h(temperature_c: &[f64], first_hour_of_day: i64) -> Option<f64> {
    let mut sums = [0.0; 24];
    let mut counts = [0_u32; 24];
    for (index, &value) in temperature_c.iter().enumerate() {
        if value.is_finite() {
            let hour = (first_hour_of_day + index as i64).rem_euclid(24) as usize;
            sums[hour] += value;
            counts[hour] += 1;
        }
    }
    if counts.iter().any(|&count| count < 10) {
        return None;
    }
    let (mut cosine, mut sine) = (0.0, 0.0);
    for hour in 0..24 {
        let mean = sums[hour] / f64::from(counts[hour]);
        let angle = std::f64::consts::TAU * hour as f64 / 24.0;
        cosine += mean * libm::cos(angle) / 12.0;
        sine += mean * libm::sin(angle) / 12.0;
    }
    if libm::hypot(cosine, sine) < SMALLEST_WAVE_K {
        return None;
    }
    Some((libm::atan2(sine, cosine) / std::f64::consts::TAU * 24.0).rem_euclid(24.0))
}

/// A warning when the daily maximum of temperature is more than three hours from where the sun puts it.
pub(crate) fn maximum_warning(
    temperature_c: &[f64],
    first_hour_of_day: i64,
    place: &Place,
) -> Option<String> {
    let peak = daily_maximum_h(temperature_c, first_hour_of_day)?;
    let solar_lag = match (place.longitude, place.utc_offset_h) {
        (Some(longitude), Some(offset)) => longitude / 15.0 - offset,
        _ => 0.0,
    };
    let expected = (MAXIMUM_SOLAR_H - solar_lag).rem_euclid(24.0);
    let off = (peak - expected + 12.0).rem_euclid(24.0) - 12.0;
    (off.abs() > MAXIMUM_SLACK_H).then(|| {
        format!(
            "the {} peaks at {peak:.1} h on average, {off:+.1} h from the {expected:.1} h expected: the clock looks wrong",
            Variable::Temperature.name()
        )
    })
}

/// A warning when stamps without an offset repeat an hour on a Sunday of autumn and pass over one on a
/// Sunday of spring (either hemisphere): a clock with daylight saving time.
pub(crate) fn daylight_saving_warning(minutes: &[i64]) -> Option<String> {
    let mut repeated = None;
    let mut passed_over = None;
    let mut repeats = 0;
    for pair in minutes.windows(2) {
        let step = pair[1] - pair[0];
        if step != 0 && step != 2 * HOUR {
            continue;
        }
        repeats += i64::from(step == 0);
        let time = stamp::civil(pair[1]);
        if time.weekday() != Weekday::Sunday || time.hour() > 4 {
            continue;
        }
        match (time.month(), step) {
            (3 | 4 | 9 | 10 | 11, 0) => repeated = Some(pair[1]),
            (3 | 4 | 9 | 10 | 11, _) => passed_over = Some(pair[1] - HOUR),
            _ => {}
        }
    }
    let (repeated, passed_over) = (repeated?, passed_over?);
    let years = (minutes.last()? - minutes.first()?) / (365 * stamp::DAY) + 1;
    if repeats > years {
        // Stamps repeat for another reason.
        return None;
    }
    Some(format!(
        "{} comes twice and {} not at all: the clock looks like daylight saving time; give stamps with their offset from UTC, or local standard time",
        stamp::text(repeated),
        stamp::text(passed_over)
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(longitude: f64) -> Place {
        Place {
            longitude: Some(longitude),
            ..Place::default()
        }
    }

    #[test]
    fn an_offset_that_fits_its_longitude_moves_nothing() {
        let shift = shift(Clock::Ahead(-360), &at(-87.9), &Place::default());
        assert_eq!((shift.minutes, shift.utc_offset_h), (0, Some(-6.0)));
        assert_eq!((shift.conversion, shift.warning), (None, None));
    }

    #[test]
    fn nine_hours_in_germany_are_honoured_moved_and_reported() {
        let shift = shift(Clock::Ahead(540), &at(13.4), &Place::default());
        assert_eq!((shift.minutes, shift.utc_offset_h), (-480, Some(1.0)));
        assert!(shift.warning.is_some_and(|text| text.contains("UTC+9 h")));
        assert!(shift.conversion.is_some());
    }

    #[test]
    fn utc_stamps_move_to_the_longitude_or_to_the_offset_the_user_gives() {
        assert_eq!(
            shift(Clock::Utc, &Place::default(), &at(-96.7)).minutes,
            -360
        );
        let user = Place {
            utc_offset_h: Some(5.5),
            ..at(77.0)
        };
        assert_eq!(shift(Clock::Utc, &Place::default(), &user).minutes, 330);
    }

    #[test]
    fn utc_stamps_of_an_unknown_place_are_said_to_stay() {
        let shift = shift(Clock::Utc, &Place::default(), &Place::default());
        assert_eq!(shift.minutes, 0);
        assert!(shift.warning.is_some());
    }

    #[test]
    fn a_wave_that_peaks_at_three_is_doubted_and_one_at_fifteen_is_not() {
        let wave = |peak: f64| -> Vec<f64> {
            (0..24 * 20)
                .map(|hour| {
                    5.0 * libm::cos((f64::from(hour) - peak) * std::f64::consts::TAU / 24.0)
                })
                .collect()
        };
        let peak = daily_maximum_h(&wave(3.0), 0).unwrap();
        assert!((peak - 3.0).abs() < 1e-9);
        assert!(maximum_warning(&wave(3.0), 0, &Place::default()).is_some());
        assert!(maximum_warning(&wave(15.0), 0, &Place::default()).is_none());
        assert!(daily_maximum_h(&[1.0; 480], 0).is_none());
    }
}
