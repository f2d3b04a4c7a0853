//! What an ensemble's rows say together of water in the hive.

use super::members::MemberRows;
use super::members::{largest, mean_of};
use super::replicates::Chance;
use super::rows::MemberRow;
use super::shared::SharedRange;
use super::spill::RowsError;
use super::statistics::{quantile, sorted};
use serde::Serialize;

/// Lower twentieth, median and upper twentieth of the members.
pub(super) const SPREAD: [f64; 3] = [0.05, 0.5, 0.95];

/// A share of members.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Share {
    /// 0 to 1.
    pub share: f64,
    /// Interval of it by the chance of the draws.
    pub interval: (f64, f64),
    /// Range of it over what is not known about bees; none with too few sets.
    pub shared: Option<SharedRange>,
}

impl Share {
    /// Of members, one or more, each with its number.
    #[must_use]
    pub fn new(chance: &Chance, are: &[(u32, bool)]) -> Self {
        let count = are.iter().filter(|(_, is)| *is).count();
        Self {
            share: count as f64 / are.len() as f64,
            interval: chance.of_share(are),
            shared: SharedRange::of_share(chance.crossing(), are),
        }
    }
}

impl Share {
    /// As [`Share::new`], of members that are so the likelier the larger a value of theirs is ([`SharedRange::of_share_by`]).
    #[must_use]
    pub fn by(chance: &Chance, are: &[(u32, bool)], values: &[(u32, f64)]) -> Self {
        Self {
            shared: SharedRange::of_share_by(chance.crossing(), are, values),
            ..Self::new(chance, are)
        }
    }
}

/// A loose filling in the lid.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Filling {
    /// Most water a kilogram of dry filling over the winter, kg/kg: twentieth, median, nineteen twentieths of members.
    pub most_kg_kg: [f64; 3],
    /// Members in which it got so damp that it should be changed.
    pub damp: Share,
    /// Days after the start by which a twentieth, half and nineteen twentieths of those had got so damp; none when none had.
    pub damp_days: Option<[f64; 3]>,
}

/// Water in the hive over all members, each to its end.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Damp {
    /// Hours with a wet or frosted lid: twentieth, median, nineteen twentieths of members.
    pub wet_lid_h: [f64; 3],
    /// Mean hours of them with frost.
    pub frost_lid_h: f64,
    /// Median of the most water on the lid, kg.
    pub lid_most_kg: f64,
    /// Hours with a wet or frosted wall: twentieth, median, nineteen twentieths.
    pub wet_walls_h: [f64; 3],
    /// Mean hours of them with frost.
    pub frost_walls_h: f64,
    /// Median of the most water on the walls, kg.
    pub walls_most_kg: f64,
    /// Members in which water fell from the lid.
    pub drip: Share,
    /// Mean water that fell, kg.
    pub dripped_kg: f64,
    /// Mean relative humidity of the upper air, 0 to 1.
    pub upper_humidity: f64,
    /// Mean relative humidity of the lower air, 0 to 1.
    pub lower_humidity: f64,
    /// Loose filling in the lid, if there is one.
    pub filling: Option<Filling>,
    /// Mean water that the bees gave off, kg.
    pub made_kg: f64,
    /// Shares of it that left with air, through layers, and as liquid; what is left is stored.
    pub left: [f64; 3],
    /// Largest imbalance of any member's water.
    pub imbalance: f64,
}

impl Damp {
    /// Of one or more rows.
    ///
    /// # Errors
    /// [`RowsError`] when rows cannot be read back.
    pub fn new(chance: &Chance, rows: &MemberRows) -> Result<Self, RowsError> {
        let average = |value: fn(&MemberRow) -> f64| mean_of(rows, value);
        let spread = |value: fn(&MemberRow) -> f64| spread_of(rows, value);
        let made_kg = average(|row| row.ledger.water.made_kg)?;
        let left = |value: fn(&MemberRow) -> f64| average(value).map(|mean_kg| mean_kg / made_kg);
        Ok(Self {
            wet_lid_h: spread(|row| row.wetness.wet_lid_h)?,
            frost_lid_h: average(|row| row.wetness.frost_lid_h)?,
            lid_most_kg: spread(|row| row.wetness.lid_most_kg)?[1],
            wet_walls_h: spread(|row| row.wetness.wet_walls_h)?,
            frost_walls_h: average(|row| row.wetness.frost_walls_h)?,
            walls_most_kg: spread(|row| row.wetness.walls_most_kg)?[1],
            drip: share_of(chance, rows, |row| row.wetness.drip_h > 0.0)?,
            dripped_kg: average(|row| row.wetness.dripped_kg)?,
            upper_humidity: average(|row| row.wetness.upper_humidity)?,
            lower_humidity: average(|row| row.wetness.lower_humidity)?,
            filling: filling(chance, rows)?,
            made_kg,
            left: [
                left(|row| row.ledger.water.air_kg)?,
                left(|row| row.ledger.water.layers_kg)?,
                left(|row| row.ledger.water.drained_kg)?,
            ],
            imbalance: largest(rows, |row| row.ledger.water.imbalance().abs())?,
        })
    }
}

/// The share of members that are so.
pub(super) fn share_of(
    chance: &Chance,
    rows: &MemberRows,
    is: impl Fn(&MemberRow) -> bool,
) -> Result<Share, RowsError> {
    Ok(Share::new(chance, &rows.numbered(is)?))
}

/// Lower twentieth, median and upper twentieth of a figure.
pub(super) fn spread_of(
    rows: &MemberRows,
    value: impl Fn(&MemberRow) -> f64,
) -> Result<[f64; 3], RowsError> {
    let values = sorted(rows.values(value)?);
    Ok(SPREAD.map(|share| quantile(&values, share)))
}

fn filling(chance: &Chance, rows: &MemberRows) -> Result<Option<Filling>, RowsError> {
    let most = rows.values_of_some(|row| row.wetness.filling_most_kg_kg)?;
    if most.len() < rows.len() {
        return Ok(None);
    }
    let most = sorted(most);
    let days = rows.values_of_some(|row| row.wetness.filling_damp_day.map(|day| day as f64))?;
    let damp = share_of(chance, rows, |row| row.wetness.filling_damp_day.is_some())?;
    Ok(Some(Filling {
        most_kg_kg: SPREAD.map(|share| quantile(&most, share)),
        damp,
        damp_days: (!days.is_empty()).then(|| {
            let days = sorted(days);
            SPREAD.map(|share| quantile(&days, share))
        }),
    }))
}
