//! What became of feed, over the members of an ensemble.

use super::members::MemberRows;
use super::rows::MemberRow;
use super::spill::RowsError;
use serde::Serialize;

/// Share of what is offered that may be left without a word: bees lick a feeder clean or not.
const WHOLE: f64 = 0.02;

/// Feed given by a scenario, as stores.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Feeding {
    /// Share of members that had ended before the last feed was brought; all else is of the others.
    pub ended_before: f64,
    /// What its sugar makes, kg, mean.
    pub offered_kg: f64,
    /// Of it, what came to the combs or over the cluster, kg, mean.
    pub stored_kg: f64,
    /// What bees used for taking it in, kg, mean.
    pub lost_kg: f64,
    /// Share that took all that they were brought.
    pub whole: f64,
}

impl Feeding {
    /// Of rows, one or more, that were to be brought so many feeds; none where that is 0 or no member lived to the last.
    pub(super) fn new(rows: &MemberRows, feeds: usize) -> Result<Option<Self>, RowsError> {
        let is_fed = |row: &MemberRow| feeds > 0 && row.feed.brought as usize == feeds;
        let fed = rows.count(is_fed)?;
        if fed == 0 {
            return Ok(None);
        }
        let of = |value: fn(&MemberRow) -> f64| {
            let sum = rows.sum(|row| if is_fed(row) { value(row) } else { 0.0 })?;
            Ok::<f64, RowsError>(sum / fed as f64)
        };
        Ok(Some(Self {
            ended_before: 1.0 - fed as f64 / rows.len() as f64,
            offered_kg: of(|row| row.feed.offered_kg)?,
            stored_kg: of(|row| row.feed.stored_kg)?,
            lost_kg: of(|row| row.feed.lost_kg)?,
            whole: of(|row| {
                let feed = &row.feed;
                f64::from(u8::from(feed.waiting_kg() <= WHOLE * feed.offered_kg))
            })?,
        }))
    }
}
