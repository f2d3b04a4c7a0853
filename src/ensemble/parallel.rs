//! Members stepped side by side, on all cores.

use super::ensemble_error::EnsembleError;
use super::watcher::Watcher;
use crate::season::{Forcing, Member, Outcome, RunInput, Site, Width, run_batch};
use rayon::prelude::*;
use std::ops::Range;

/// Most members that one thread steps as a batch: so many that lanes seldom stand idle at its end (own choice).
const MOST_IN_BATCH: usize = 128;
/// Batches that each thread gets at least while members suffice, so that threads end together (own choice).
const BATCHES_A_THREAD: usize = 4;
/// Fewest members of a batch while there are more: as many as the widest vectors have lanes.
const FEWEST_IN_BATCH: usize = 8;

/// What batches are made of: members by number, and what is kept of them.
pub(super) trait MemberRuns: Sync {
    /// What is kept of a member's winter.
    type Kept: Send;

    /// A member by its number, where its hive stands, and the winter that it goes through.
    fn member(&self, number: usize) -> (Member, &Site, &Forcing);

    /// Keeps what matters of what became of it.
    fn keep(&self, number: usize, member: &Member, outcome: Outcome) -> Self::Kept;
}

/// Runs members of consecutive numbers; what is kept, in their order, whatever the threads.
///
/// # Errors
/// [`EnsembleError`]; of several failing members the one with the lowest number is named.
pub(super) fn run_members<E: MemberRuns>(
    runs: &E,
    numbers: Range<usize>,
    watcher: &impl Watcher,
) -> Result<Vec<E::Kept>, EnsembleError> {
    let numbers: Vec<usize> = numbers.collect();
    let kept: Vec<Result<E::Kept, EnsembleError>> = numbers
        .par_chunks(batch_size(numbers.len()))
        .flat_map_iter(|numbers| batch(runs, numbers, watcher))
        .collect();
    kept.into_iter().collect()
}

fn batch_size(members: usize) -> usize {
    let share = members.div_ceil(BATCHES_A_THREAD * rayon::current_num_threads());
    share.clamp(FEWEST_IN_BATCH, MOST_IN_BATCH)
}

/// Members stepped side by side on one thread.
fn batch<E: MemberRuns>(
    runs: &E,
    numbers: &[usize],
    watcher: &impl Watcher,
) -> Vec<Result<E::Kept, EnsembleError>> {
    if watcher.stop() {
        return numbers
            .iter()
            .map(|_| Err(EnsembleError::Interrupted))
            .collect();
    }
    let members: Vec<(Member, &Site, &Forcing)> =
        numbers.iter().map(|number| runs.member(*number)).collect();
    let colonies: Vec<RunInput<'_>> = members
        .iter()
        .map(|(member, site, forcing)| RunInput {
            member,
            site,
            forcing,
        })
        .collect();
    let mut finished = || {
        watcher.finished();
        !watcher.stop()
    };
    let outcomes = run_batch(&colonies, Width::Fastest, &mut finished);
    let by_member = outcomes.into_iter().zip(numbers).zip(&members);
    by_member
        .map(|((outcome, number), (member, _, forcing))| match outcome {
            Some(Ok(outcome)) => Ok(runs.keep(*number, member, outcome)),
            Some(Err(source)) => Err(EnsembleError::Member {
                member: u32::try_from(*number).unwrap_or(u32::MAX),
                winter: forcing.label.clone(),
                source,
            }),
            None => Err(EnsembleError::Interrupted),
        })
        .collect()
}
