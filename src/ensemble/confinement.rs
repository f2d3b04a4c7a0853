//! What an ensemble's rows say together of bees kept in.

use super::damp::{Share, share_of, spread_of};
use super::members::MemberRows;
use super::replicates::Chance;
use super::rows::MemberRow;
use super::spill::RowsError;
use serde::Serialize;

/// Confinement over all members, each to its end.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Confinement {
    /// Longest time without a cleansing day, days: twentieth, median, nineteen twentieths of members.
    pub longest_days: [f64; 3],
    /// Most faeces that a bee held, as a share of its mass: twentieth, median, nineteen twentieths.
    pub gut_share: [f64; 3],
    /// Members in which that was more than a bee can hold.
    pub past_limit: Share,
}

impl Confinement {
    /// Of one or more rows.
    ///
    /// # Errors
    /// [`RowsError`] when rows cannot be read back.
    pub fn new(chance: &Chance, rows: &MemberRows) -> Result<Self, RowsError> {
        let spread = |value: fn(&MemberRow) -> f64| spread_of(rows, value);
        Ok(Self {
            longest_days: spread(|row| row.confined_days)?,
            gut_share: spread(|row| row.gut_share)?,
            past_limit: share_of(chance, rows, |row| row.gut_past_limit)?,
        })
    }
}
