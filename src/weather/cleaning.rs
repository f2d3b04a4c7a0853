//! Faults that show only beside the other hours: spikes, stuck sensors, a column in the wrong unit, a
//! clock that is off. What is impossible in itself was refused before, by [`super::rows`].

use super::clock;
use super::error::WeatherError;
use super::pressure;
use super::record::{self, Record};
use super::variable::Variable;

/// Latitude from which on a winter has a bound, degrees.
const WINTRY_LATITUDE: f64 = 36.0;

/// The warmest median of the three coldest months from that latitude on, °C. The mildest coasts there
/// have January means of 13 to 14 °C (Azores, Malta, California; from memory); with room.
const WARMEST_WINTER_C: f64 = 18.0;

/// Hours of winter that must be there for a median.
const WINTER_HOURS: usize = 240;

/// Mean wind above which a unit is doubted, m/s: reached on mountain tops only (own estimate).
const STRONGEST_MEAN_WIND_M_S: f64 = 12.0;

/// Share by which a mean pressure may differ from the standard one at the elevation (own estimate).
const PRESSURE_SHARE: f64 = 0.04;

/// A pressure of one value for this long was not measured, hours.
const CONSTANT_PRESSURE_H: usize = 30 * 24;

/// An hour that differs from both neighbours by more than this, to the same side, while they agree within
/// half of it, is a spike (own estimates; the real records this was made with have none).
fn spike_size(variable: Variable) -> Option<f64> {
    match variable {
        Variable::Temperature => Some(10.0),
        Variable::DewPoint => Some(14.0),
        Variable::Wind => Some(20.0),
        Variable::Pressure => Some(1_000.0),
        _ => None,
    }
}

/// Hours of one and the same value after which a sensor is stuck; the second number is for a value of
/// zero. The longest runs in four real records in whole degrees were 24 h of temperature, 23 h of dew
/// point, 26 h of pressure, 9 h of wind and 12 h of calm.
fn stuck_after_h(variable: Variable) -> Option<(usize, usize)> {
    match variable {
        Variable::Temperature => Some((48, 48)),
        Variable::DewPoint => Some((60, 60)),
        Variable::Wind => Some((24, 120)),
        Variable::Pressure => Some((96, 96)),
        Variable::Global | Variable::DirectNormal | Variable::Diffuse => Some((6, usize::MAX)),
        Variable::Cloud | Variable::SnowDepth => None,
    }
}

/// Cleans a record in place and counts what it did.
///
/// # Errors
/// [`WeatherError::TooWarm`] for a winter that its latitude cannot have.
pub(crate) fn clean(record: &mut Record) -> Result<(), WeatherError> {
    drop_constant_pressure(record);
    drop_snow_that_never_lies(record);
    for variable in Variable::ALL {
        let Some(series) = &mut record.series[variable as usize] else {
            continue;
        };
        let spikes = spike_size(variable).map_or(0, |size| remove_spikes(series, size));
        let stuck = stuck_after_h(variable).map_or(0, |hours| remove_stuck(series, hours));
        let missing = series.iter().filter(|value| value.is_nan()).count() as u64;
        let counts = record.account.of(variable);
        counts.spikes = spikes;
        counts.stuck = stuck;
        counts.missing = missing;
    }
    check_winter(record)?;
    check_units(record);
    let first_hour = record.first_hour.rem_euclid(24);
    if let Some(temperature) = record.series(Variable::Temperature)
        && let Some(warning) = clock::maximum_warning(temperature, first_hour, &record.place)
    {
        record.account.warn(warning);
    }
    Ok(())
}

/// Leaves out a pressure that never changes.
fn drop_constant_pressure(record: &mut Record) {
    let Some(series) = record.series(Variable::Pressure) else {
        return;
    };
    let mut values = series.iter().copied().filter(|value| value.is_finite());
    let Some(first) = values.next() else { return };
    let mut hours = 1;
    for value in values {
        if value != first {
            return;
        }
        hours += 1;
    }
    if hours >= CONSTANT_PRESSURE_H {
        record.series[Variable::Pressure as usize] = None;
        record.account.warn(format!(
            "pressure is {first} Pa in all {hours} h: it was not measured and is left out; that of the elevation serves"
        ));
    }
}

/// Leaves out a snow depth that is 0 in every hour: files without a measurement often say so (EPW made from TMY3 does).
fn drop_snow_that_never_lies(record: &mut Record) {
    let snow = &mut record.series[Variable::SnowDepth as usize];
    let lies = |series: &Vec<f64>| series.iter().any(|depth_m| *depth_m > 0.0);
    if !snow.as_ref().is_some_and(lies) {
        *snow = None;
    }
}

/// Removes single hours that stand out; gives how many.
fn remove_spikes(series: &mut [f64], size: f64) -> u64 {
    let mut count = 0;
    for hour in 1..series.len().saturating_sub(1) {
        let (before, value, after) = (series[hour - 1], series[hour], series[hour + 1]);
        let (up, down) = (value - before, value - after);
        // False for missing values.
        if up * down > 0.0
            && up.abs() > size
            && down.abs() > size
            && (after - before).abs() < size / 2.0
        {
            series[hour] = f64::NAN;
            count += 1;
        }
    }
    count
}

/// Removes runs of one value that are too long; gives how many hours.
fn remove_stuck(series: &mut [f64], (longest, longest_zero): (usize, usize)) -> u64 {
    let mut count = 0;
    let mut start = 0;
    while start < series.len() {
        let value = series[start];
        let run = series[start..]
            .iter()
            .take_while(|&&other| other == value)
            .count()
            .max(1);
        let bound = if value == 0.0 { longest_zero } else { longest };
        if run > bound {
            series[start..start + run].fill(f64::NAN);
            count += run as u64;
        }
        start += run;
    }
    count
}

/// Refuses a winter that is warmer than its latitude allows: most likely °F taken for °C.
fn check_winter(record: &Record) -> Result<(), WeatherError> {
    let Some(latitude) = record.place.latitude else {
        return Ok(());
    };
    let Some(temperature) = record.series(Variable::Temperature) else {
        return Ok(());
    };
    if latitude.abs() < WINTRY_LATITUDE {
        return Ok(());
    }
    let first_day = record.first().date();
    let first_hour = record.first_hour.rem_euclid(24) as usize;
    let mut month = first_day.month();
    let mut day = first_day;
    let mut winter = Vec::new();
    for (index, &value) in temperature.iter().enumerate() {
        if index > 0 && (first_hour + index).is_multiple_of(24) {
            day = day.tomorrow().unwrap_or(day);
            month = day.month();
        }
        let wintry = match latitude > 0.0 {
            true => matches!(month, 12 | 1 | 2),
            false => matches!(month, 6..=8),
        };
        if wintry && value.is_finite() {
            winter.push(value);
        }
    }
    if winter.len() < WINTER_HOURS {
        return Ok(());
    }
    let middle = winter.len() / 2;
    let (_, &mut median_c, _) = winter.select_nth_unstable_by(middle, f64::total_cmp);
    if median_c <= WARMEST_WINTER_C {
        return Ok(());
    }
    Err(WeatherError::TooWarm {
        file: record::names(&record.files),
        median_c,
        latitude,
        warmest_c: WARMEST_WINTER_C,
    })
}

/// Warns of a wind or a pressure that is probably in another unit or of another kind.
fn check_units(record: &mut Record) {
    let mean = |variable: Variable| {
        let values = record.series(variable)?.iter().filter(|v| v.is_finite());
        let (sum, count) = values.fold((0.0, 0.0), |(sum, count), v| (sum + v, count + 1.0));
        (count > 0.0).then(|| sum / count)
    };
    let wind = mean(Variable::Wind).filter(|&wind| wind > STRONGEST_MEAN_WIND_M_S);
    let standard = record.place.elevation_m.map(pressure::standard_pressure_pa);
    let pressure = mean(Variable::Pressure)
        .zip(standard)
        .filter(|(mean, standard)| (mean / standard - 1.0).abs() > PRESSURE_SHARE);
    if let Some(wind) = wind {
        record.account.warn(format!(
            "the mean wind is {wind:.1} m/s, as on a mountain top: it looks like km/h, mph or a running sum; name the unit in the header"
        ));
    }
    if let Some((mean, standard)) = pressure {
        record.account.warn(format!(
            "the mean pressure is {mean:.0} Pa where the elevation suggests {standard:.0} Pa: it looks like pressure at sea level, or the elevation is wrong"
        ));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_hour_that_stands_out_is_a_spike_and_a_front_is_not() {
        let mut series = vec![0.0, 0.5, 15.0, 1.0, 1.0];
        assert_eq!(remove_spikes(&mut series, 10.0), 1);
        assert!(series[2].is_nan());
        let front = vec![12.0, 12.0, 0.0, -1.0, -1.0];
        let mut series = front.clone();
        assert_eq!(remove_spikes(&mut series, 10.0), 0);
        assert_eq!(series, front);
        assert_eq!(remove_spikes(&mut [f64::NAN, 30.0, 0.0], 10.0), 0);
        assert_eq!(remove_spikes(&mut [1.0], 10.0), 0);
    }

    #[test]
    fn a_run_longer_than_its_bound_is_stuck_and_calm_is_allowed_longer() {
        let mut series = vec![3.0; 30];
        series[0] = 2.0;
        series[29] = f64::NAN;
        assert_eq!(remove_stuck(&mut series, (27, 120)), 28);
        assert_eq!(series[0], 2.0);
        assert!(series[1..].iter().all(|value| value.is_nan()));
        let mut calm = vec![0.0; 100];
        assert_eq!(remove_stuck(&mut calm, (24, 120)), 0);
        assert_eq!(remove_stuck(&mut [f64::NAN; 500], (24, 120)), 0);
    }
}
