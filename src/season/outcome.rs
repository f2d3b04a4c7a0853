//! What became of a member in a winter.

use super::forcing::Forcing;
use super::ledger::Ledger;
use super::monthly::MonthlyHeat;
use super::wetness::Wetness;
use crate::colony::{BroodCount, End, FeedCount, Gut, Headcount, HoneyUse, Place};
use crate::hive::InForce;
use jiff::civil::Date;
use serde::Serialize;

/// A day's end, as kept for every member.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct DayRecord {
    /// Honey left in the hive, kg.
    pub stores_kg: f64,
    /// Where the cluster is and what of it is in its reach.
    pub place: Place,
    /// Honey used since the start, kg.
    pub used_kg: f64,
    /// Adult bees.
    pub bees: f64,
    /// Those of them that were reared in winter.
    pub reared_bees: f64,
    /// Brood cells.
    pub brood: f64,
    /// Hours in which bees could fly.
    pub flight_h: f64,
    /// Hours in which they could fly out to void.
    pub cleansing_h: f64,
    /// Faeces that a bee holds, as a share of its mass.
    pub gut_share: f64,
    /// Mean heat made over the day, W.
    pub heat_w: f64,
    /// Hours of the day with a wet or frosted lid.
    pub wet_lid_h: f64,
    /// What the hive weighs with all that is in it, kg; without rain, snow and stand.
    pub gross_kg: f64,
    /// Mean outside air, degC.
    pub outside_c: f64,
    /// Mean air right beside the cluster between the combs, degC.
    pub beside_c: f64,
    /// Mean seams that the cluster covered.
    pub seams: f64,
    /// Changes of the hive that held on the day.
    pub changes: InForce,
}

/// What became of one member in one winter.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcome {
    /// How it ended.
    pub end: End,
    /// The day it ended before first forage, counted from 0 at the start.
    pub end_day: Option<usize>,
    /// Date of [`Outcome::end_day`].
    pub end_date: Option<Date>,
    /// Honey used to its end, by purpose.
    pub used: HoneyUse,
    /// Honey left at its end, kg.
    pub stores_left_kg: f64,
    /// What became of feed brought to its end.
    pub feed: FeedCount,
    /// Bees at its end.
    pub bees: f64,
    /// They by kind, and those that died.
    pub headcount: Headcount,
    /// Eggs laid, larvae lost and brood left to its end.
    pub brood: BroodCount,
    /// Confinement and what bees held.
    pub gut: Gut,
    /// Honey that the winter takes from this colony when it never lacks any and lives to first forage, kg.
    pub need_kg: f64,
    /// The part of it that is used before the first egg, kg.
    pub need_before_brood_kg: f64,
    /// Honey that it must have at the start for that, kg: less than the need where feed comes in time.
    pub start_need_kg: f64,
    /// What the hive weighs at the start with all that is in it but honey and feed, kg.
    pub bare_kg: f64,
    /// Coldest mantle at any full hour, degC.
    pub coldest_mantle_c: f64,
    /// Wet lid and walls, drip, filling, humidity.
    pub wetness: Wetness,
    /// Where heat and water went.
    pub ledger: Ledger,
    /// Where heat went, by month.
    pub monthly_heat: MonthlyHeat,
    /// One record a day that it lived.
    pub days: Vec<DayRecord>,
}

/// Date of a day of the winter counted from 0.
pub(super) fn date_of(forcing: &Forcing, day: usize) -> Option<Date> {
    let days = i64::try_from(day).ok()?;
    let span = jiff::Span::new().try_days(days).ok()?;
    forcing.start.date().checked_add(span).ok()
}
