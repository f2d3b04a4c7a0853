//! What became of feed, over the members of an ensemble.

use super::rows::MemberRow;
use super::statistics::mean;
use serde::Serialize;

/// Share of what is offered that may be left without a word: bees lick a feeder clean or not.
const WHOLE: f64 = 0.02;

/// Feed given by a scenario, as stores, in the mean over members.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Feeding {
    /// What its sugar makes, kg; of colonies that end before a feed, without it.
    pub offered_kg: f64,
    /// Of it, what came to the combs or over the cluster, kg.
    pub stored_kg: f64,
    /// What bees used for taking it in, kg.
    pub lost_kg: f64,
    /// Share of members that took all that they were brought.
    pub whole: f64,
}

impl Feeding {
    /// Of rows, one or more; none where no feed was brought.
    pub(super) fn new(rows: &[MemberRow]) -> Option<Self> {
        let of = |value: fn(&MemberRow) -> f64| mean(&rows.iter().map(value).collect::<Vec<_>>());
        let offered_kg = of(|row| row.feed.offered_kg);
        (offered_kg > 0.0).then(|| Self {
            offered_kg,
            stored_kg: of(|row| row.feed.stored_kg),
            lost_kg: of(|row| row.feed.lost_kg),
            whole: of(|row| {
                let feed = &row.feed;
                f64::from(u8::from(feed.waiting_kg() <= WHOLE * feed.offered_kg))
            }),
        })
    }
}
