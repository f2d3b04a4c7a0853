//! Resampling and warming of whole winters with all that was recorded in them.

use super::super::gaps::Repairs;
use super::super::variable::Variable;
use super::super::winter::Winter;
use super::{Blocks, ResamplingError, gather, resample, warmed};

/// Winters resampled from the winters of a record, labelled `resampled 1` and so on.
///
/// They have the variables that every recorded winter has, the length of the shortest one, and its
/// calendar. Hours that were repaired in the record are taken as they are; how many there were is said
/// with the recorded winters, not with these.
///
/// # Errors
/// As [`resample`].
pub fn resample_winters(
    record: &[Winter],
    count: usize,
    blocks: &Blocks,
    seed: u64,
) -> Result<Vec<Winter>, ResamplingError> {
    let temperatures: Vec<&[f64]> = record
        .iter()
        .map(|winter| winter.temperature_c.as_slice())
        .collect();
    let Some(shortest) = record.iter().min_by_key(|winter| winter.hours()) else {
        return Err(ResamplingError::Winters { found: 0 });
    };
    (0..count)
        .map(|index| {
            let sources = resample(&temperatures, shortest.hours(), blocks, seed, index as u64)?;
            let mut winter = Winter::new(format!("resampled {}", index + 1), shortest.start);
            for variable in Variable::ALL {
                let recorded: Option<Vec<&[f64]>> = record
                    .iter()
                    .map(|winter| series(winter, variable))
                    .collect();
                if let Some(values) = recorded.and_then(|series| gather(&series, &sources)) {
                    winter.set(variable, values, Repairs::default());
                }
            }
            Ok(winter)
        })
        .collect()
}

/// The winter made warmer by `shift_k` in every hour at unchanged relative humidity; a negative shift
/// makes it colder. Nothing else is changed: not the daily range, not the cloud, not the snow, not the spread, though a
/// warmer climate changes those too.
pub fn warm_winter(winter: &Winter, shift_k: f64) -> Winter {
    let mut warmer = winter.clone();
    if let Some(dew_points) = &mut warmer.dew_point_c {
        for (dew_point, temperature) in dew_points.iter_mut().zip(&winter.temperature_c) {
            *dew_point = warmed(*temperature, *dew_point, shift_k).1;
        }
    }
    for temperature in &mut warmer.temperature_c {
        *temperature += shift_k;
    }
    warmer
}

/// The hours of one variable, if the winter has it.
fn series(winter: &Winter, variable: Variable) -> Option<&[f64]> {
    match variable {
        Variable::Temperature => Some(&winter.temperature_c),
        Variable::DewPoint => winter.dew_point_c.as_deref(),
        Variable::Wind => winter.wind_m_s.as_deref(),
        Variable::Cloud => winter.cloud.as_deref(),
        Variable::Pressure => winter.pressure_pa.as_deref(),
        Variable::Global => winter.global_w_m2.as_deref(),
        Variable::DirectNormal => winter.direct_normal_w_m2.as_deref(),
        Variable::Diffuse => winter.diffuse_w_m2.as_deref(),
        Variable::SnowDepth => winter.snow_depth_m.as_deref(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::weather::{ReadOptions, Season, read_bytes, sample};

    fn recorded() -> Vec<Winter> {
        let record = read_bytes(
            sample::WINTERS_FILE,
            sample::WINTERS_CSV,
            &ReadOptions::default(),
        )
        .expect("the sample is sound");
        let season = Season::parse("10-15", "04-15").expect("two days");
        record.winters(season).expect("whole winters").winters
    }

    #[test]
    fn resampled_winters_are_whole_and_keep_the_variables_of_an_hour_together() {
        let record = recorded();
        let winters = resample_winters(&record, 3, &Blocks::default(), 1).expect("ten winters");
        let bits = |winter: &Winter, hour: usize| -> Vec<u64> {
            Variable::ALL
                .iter()
                .filter_map(|variable| series(winter, *variable))
                .map(|series| series[hour].to_bits())
                .collect()
        };
        let rows: std::collections::HashSet<Vec<u64>> = record
            .iter()
            .flat_map(|winter| (0..winter.hours()).map(move |hour| bits(winter, hour)))
            .collect();
        assert_eq!(winters[2].label, "resampled 3");
        for winter in &winters {
            // 15 October to 15 April without a leap day, and the last instant.
            assert_eq!(winter.hours(), 182 * 24 + 1);
            for hour in 0..winter.hours() {
                let row = bits(winter, hour);
                assert_eq!(row.len(), 6);
                assert!(rows.contains(&row), "{} hour {hour}", winter.label);
            }
        }
    }

    #[test]
    fn a_variable_that_one_winter_lacks_is_left_out() {
        let mut record = recorded();
        record[4].wind_m_s = None;
        let winters = resample_winters(&record, 1, &Blocks::default(), 1).expect("ten winters");
        assert!(winters[0].wind_m_s.is_none() && winters[0].cloud.is_some());
    }

    #[test]
    fn no_winters_are_refused() {
        let error = resample_winters(&[], 1, &Blocks::default(), 1).expect_err("none");
        assert_eq!(error, ResamplingError::Winters { found: 0 });
    }

    #[test]
    fn a_warmer_winter_is_warmer_by_the_shift_and_its_dew_points_stay_below_the_temperatures() {
        let winter = &recorded()[0];
        let warmer = warm_winter(winter, 3.0);
        let shift = warmer.figures().mean_c - winter.figures().mean_c;
        assert!((shift - 3.0).abs() < 1e-9);
        let dew_points = warmer
            .dew_point_c
            .as_ref()
            .expect("the sample has dew points");
        let pairs = warmer.temperature_c.iter().zip(dew_points);
        assert!(
            pairs
                .clone()
                .all(|(temperature, dew_point)| dew_point <= temperature)
        );
        assert_eq!(warmer.wind_m_s, winter.wind_m_s);
    }
}
