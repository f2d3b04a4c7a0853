//! Faults that show only beside the neighbouring hours: spikes, stuck sensors, a doubtful clock.

use super::clock;
use super::error::WeatherError;
use super::record::Record;
use super::variable::Variable;

/// Cleans a record in place and counts what it did.
pub(crate) fn clean(record: &mut Record) -> Result<(), WeatherError> {
    for variable in Variable::ALL {
        if let Some(series) = &record.series[variable as usize] {
            let missing = series.iter().filter(|value| value.is_nan()).count() as u64;
            record.account.of(variable).missing = missing;
        }
    }
    let first_hour = record.first_hour.rem_euclid(24);
    if let Some(temperature) = record.series(Variable::Temperature)
        && let Some(warning) = clock::maximum_warning(temperature, first_hour, &record.place)
    {
        record.account.warn(warning);
    }
    Ok(())
}
