//! Scenarios made ready to be compared: on the same winters and draws, or not at all.

use thiserror::Error;

use super::{PrepareError, Prepared, Scenario};
use crate::ensemble::Sampling;

/// Why scenarios cannot be compared.
#[derive(Debug, Error)]
pub enum TogetherError {
    /// One cannot be run at all.
    #[error(transparent)]
    Prepare(#[from] PrepareError),
    /// Their winters are not the same.
    #[error(
        "{other} has other winters than {first}: {difference}; only hives, colonies, sites and parameters may differ"
    )]
    Winters {
        /// The first scenario.
        first: String,
        /// The one that differs from it.
        other: String,
        /// In what.
        difference: String,
    },
    /// Their draws are not the same.
    #[error(
        "{other} draws {members} members{} from seed {seed} under {shared_sets} shared sets and {first} does not; give both the same members, seed, draws and shared_sets", .sampling.words()
    )]
    Draws {
        /// The first scenario.
        first: String,
        /// The one that differs from it.
        other: String,
        /// Members of the other.
        members: u32,
        /// Its seed.
        seed: u64,
        /// How it draws them.
        sampling: Sampling,
        /// Its sets of what all colonies share.
        shared_sets: u32,
    },
}

/// Prepares scenarios that are to be compared, and refuses those whose winters or draws are not the first's. Winters count by what was read, not by
/// the names of files.
///
/// # Errors
/// [`TogetherError`].
pub fn prepare_together(scenarios: &[Scenario]) -> Result<Vec<Prepared>, TogetherError> {
    let mut all: Vec<Prepared> = Vec::new();
    for scenario in scenarios {
        if let Some(first) = scenarios.first() {
            same_terms(first, scenario)?;
        }
        let prepared = scenario.prepare()?;
        if let (Some(first), Some(before)) = (scenarios.first(), all.first())
            && before.winters != prepared.winters
        {
            return Err(differ(first, scenario, weather(before, &prepared)));
        }
        all.push(prepared);
    }
    Ok(all)
}

fn same_terms(first: &Scenario, other: &Scenario) -> Result<(), TogetherError> {
    if first.ensemble != other.ensemble {
        return Err(TogetherError::Draws {
            first: named(first),
            other: named(other),
            members: other.ensemble.members,
            seed: other.ensemble.seed,
            sampling: other.ensemble.sampling,
            shared_sets: other.ensemble.shared_sets,
        });
    }
    let span = |scenario: &Scenario| {
        let season = scenario.season;
        format!("{} to {}", season.start, season.first_forage)
    };
    if first.season != other.season {
        let difference = format!("they run from {} and not from {}", span(other), span(first));
        return Err(differ(first, other, difference));
    }
    let (was, is) = (&first.weather, &other.weather);
    if was.warming_k != is.warming_k {
        let difference = format!(
            "they are {} K warmer and not {} K",
            is.warming_k, was.warming_k
        );
        return Err(differ(first, other, difference));
    }
    if was.resample != is.resample {
        let words = |count: Option<u16>| {
            count.map_or_else(
                || "not resampled".to_owned(),
                |count| format!("resampled to {count}"),
            )
        };
        let difference = format!(
            "they are {} and those {}",
            words(is.resample),
            words(was.resample)
        );
        return Err(differ(first, other, difference));
    }
    Ok(())
}

/// In what two readings of weather differ.
fn weather(first: &Prepared, other: &Prepared) -> String {
    let files = |prepared: &Prepared| {
        let read = prepared.record.files.iter().map(|read| {
            let digits: String = read.sha256.chars().take(8).collect();
            format!("{} ({digits})", read.file)
        });
        read.collect::<Vec<_>>().join(", ")
    };
    if files(first) == files(other) {
        // The same files, taken otherwise: another clock, station, column or elevation.
        "the same files are read otherwise; give both the same station, columns, utc_offset and elevation".to_owned()
    } else {
        format!("they are of {} and not of {}", files(other), files(first))
    }
}

fn differ(first: &Scenario, other: &Scenario, difference: String) -> TogetherError {
    TogetherError::Winters {
        first: named(first),
        other: named(other),
        difference,
    }
}

/// The scenario's file, or its name where it has none.
fn named(scenario: &Scenario) -> String {
    let path = scenario.path.as_ref();
    path.map_or_else(|| scenario.name.clone(), |path| path.display().to_string())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::{built_in, parse, starter};
    use std::path::Path;

    fn refused(change: impl Fn(&mut Scenario)) -> String {
        let mut other = built_in();
        change(&mut other);
        prepare_together(&[built_in(), other])
            .expect_err("differs")
            .to_string()
    }

    #[test]
    fn scenarios_of_other_winters_or_draws_are_refused_with_the_difference() {
        assert!(refused(|s| s.ensemble.seed = 9).contains("from seed 9"));
        assert!(
            refused(|s| s.ensemble.sampling = Sampling::Sobol).contains("along Sobol sequences")
        );
        assert!(refused(|s| s.weather.warming_k = 2.0).contains("2 K warmer and not 0 K"));
        assert!(
            refused(|s| s.weather.resample = Some(20))
                .contains("resampled to 20 and those not resampled")
        );
        let later = starter().replace("\"1 October\"", "\"15 October\"");
        let later = parse(&later, Path::new("later.toml")).expect("a scenario");
        let error = prepare_together(&[built_in(), later]).expect_err("later");
        assert!(
            error
                .to_string()
                .starts_with("later.toml has other winters"),
            "{error}"
        );
    }

    #[test]
    fn hive_colony_and_site_may_differ() {
        let mut other = built_in()
            .with_library_hive("foam-two-boxes")
            .expect("known");
        other.site.shelter = 1.0;
        other.colony.stores_kg = 20.0;
        let prepared = prepare_together(&[built_in(), other]).expect("comparable");
        assert_eq!(prepared[0].winters, prepared[1].winters);
    }
}
