//! One member's result, as it goes into tables and charts.

use crate::colony::{BroodCount, End, FeedCount, Headcount, HoneyUse};
use crate::season::{Ledger, MonthlyHeat, Wetness};
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

/// What became of a member.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct MemberRow {
    /// Number of the member, from 0.
    pub member: u32,
    /// Number of its winter in the plan.
    pub winter: usize,
    /// Bees at the start.
    pub bees: f64,
    /// Honey at the start, kg.
    pub stores_kg: f64,
    /// What the hive weighs at the start with all that is in it but honey, kg.
    pub bare_kg: f64,
    /// How it ended.
    pub end: End,
    /// When, before first forage.
    pub end_date: Option<Date>,
    /// Days that it lived, the one of its end counted in.
    pub days: usize,
    /// Honey that the winter takes from this colony when it never lacks any, kg.
    pub need_kg: f64,
    /// The part of it that is used before the first egg, kg.
    pub need_before_brood_kg: f64,
    /// Honey that it must have at the start for that, kg: less than the need where feed comes in time.
    pub start_need_kg: f64,
    /// Honey used to its end, by purpose.
    pub used: HoneyUse,
    /// Honey left at its end, kg.
    pub left_kg: f64,
    /// What became of feed brought to its end.
    pub feed: FeedCount,
    /// Bees at its end.
    pub bees_end: f64,
    /// They by kind, and those that died.
    pub headcount: Headcount,
    /// Eggs laid, larvae lost and brood left to its end.
    pub brood: BroodCount,
    /// Longest confinement, days.
    pub confined_days: f64,
    /// Most faeces that a bee held, as a share of its mass.
    pub gut_share: f64,
    /// Whether that was more than a bee can hold.
    pub gut_past_limit: bool,
    /// Coldest mantle at any full hour, degC.
    pub coldest_mantle_c: f64,
    /// Wet lid and walls, drip, filling, humidity.
    pub wetness: Wetness,
    /// Where heat and water went.
    pub ledger: Ledger,
}

impl MemberRow {
    /// It starved: stores ran out, or none were in reach.
    #[must_use]
    pub fn starved(&self) -> bool {
        matches!(self.end, End::StoresRanOut | End::Stranded)
    }

    /// The day of its end, counted from 0; none when it lived to first forage.
    #[must_use]
    pub fn end_day(&self) -> Option<usize> {
        match self.end {
            End::Alive => None,
            _ => self.days.checked_sub(1),
        }
    }
}

/// A figure that each member has for each day.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Daily {
    /// Honey left at the day's end, kg; the last value holds after the member's end.
    StoresKg,
    /// Mean heat made, W, on days that it lived.
    HeatW,
    /// What the hive weighed at the day's end, kg, on days that it lived.
    GrossKg,
    /// Hours with a wet or frosted lid, on days that it lived.
    WetLidH,
}

impl Daily {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::StoresKg, Self::HeatW, Self::GrossKg, Self::WetLidH];
}

/// A member's days, and its heat by month.
#[derive(Clone, Debug, PartialEq)]
pub struct MemberDays {
    /// For each of [`Daily::ALL`] its days from the first on.
    pub daily: [Vec<f32>; Daily::ALL.len()],
    /// Where heat went, by month.
    pub monthly_heat: MonthlyHeat,
}

impl MemberDays {
    /// A figure on a day counted from 0; not a number where the member has none.
    #[must_use]
    pub fn on_day(&self, day: usize, daily: Daily) -> f32 {
        let days = &self.daily[daily as usize];
        days.get(day).copied().unwrap_or(f32::NAN)
    }
}
