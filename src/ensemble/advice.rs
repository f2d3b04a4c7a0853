//! What to feed before winter: sugar and syrup for what stores lack, by which day, and how the risk falls with stores.

use super::damp::{Share, share_of};
use super::members::MemberRows;
use super::plan::Plan;
use super::replicates::Chance;
use super::rows::MemberRow;
use super::shared::SharedRange;
use super::spill::RowsError;
use super::spread::most_likely;
use super::statistics::sorted;
use super::summary::Summary;
use crate::colony::feeding::syrup_kg_m3;
use jiff::civil::Date;
use rayon::prelude::*;
use serde::Serialize;

/// Shares of winters for which feed is advised.
pub const ADVISED_SHARES: [f64; 4] = [0.8, 0.9, 0.95, 0.99];
/// Shares of colonies that are still to have time for their syrup.
pub const IN_TIME_SHARES: [f64; 3] = [0.5, 0.8, 0.95];
/// Sugar's share of the mass of syrup of two to one, as fed in fall.
pub const FALL_SYRUP: f64 = 2.0 / 3.0;
/// Days before the start that are looked at for warm hours.
pub const LEAD_DAYS: usize = 60;
/// Month and day until which warm hours count, the day before winter's middle: syrup taken after it is too late for the winter it was fed for (own choice).
const UNTIL: (i8, i8) = (12, 21);
/// A start up to this month is of a winter half gone, not of the one to come.
const LAST_OF_SPRING: i8 = 6;
/// Most rows of a curve.
const MOST_POINTS: f64 = 10.0;

/// Feed for a share of winters.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct FeedAdvice {
    /// Share of winters, 0 to 1.
    pub share: f64,
    /// Honey that stores and the scenario's own feed lack of the need, kg; 0 where nothing lacks.
    pub lacking_kg: f64,
    /// 95 % interval of it, from that of the need, kg.
    pub lacking_interval_kg: (f64, f64),
    /// Range of it over what is not known about bees, kg; none with too few sets.
    pub lacking_shared: Option<SharedRange>,
    /// Sugar that makes it, after the loss of taking it in, kg.
    pub sugar_kg: f64,
    /// Syrup of two to one by weight with that sugar, m3.
    pub syrup_m3: f64,
    /// Last day, counted from the start and below zero before it, on which a half, four fifths and nineteen twentieths of colonies still have the warm
    /// hours to take it all; none where that is before the first day looked at, nothing lacks, or it is too late on any day.
    pub latest_days: [Option<i64>; 3],
}

/// Share of members that need more than some stores.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct RiskPoint {
    /// Stores and feed together, kg.
    pub stores_kg: f64,
    /// Share whose need is more.
    pub needing_more: Share,
}

/// Advice on stores from an ensemble.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StoresAdvice {
    /// Stores that the scenario has at the start, in the mean, kg.
    pub stores_kg: f64,
    /// What its own feed brings in the mean, kg.
    pub fed_kg: f64,
    /// Feed for shares of winters.
    pub feeds: Vec<FeedAdvice>,
    /// First day that was looked at for warm hours, counted from the start, 0 or below.
    pub first_day: i64,
    /// Whether syrup is too late on any day, as the winter begins with 21 December behind it.
    pub too_late: bool,
    /// Risk over stores.
    ///
    /// It counts members that need more than exactly so much: it neither knows honey out of reach, which makes the risk of starving larger, nor colonies
    /// that die of something else first, which makes it smaller. [`StoresAdvice::own`] and [`StoresAdvice::starved`] show how far the two lie apart.
    pub curve: Vec<RiskPoint>,
    /// Members whose need was more than their own stores and feed.
    pub own: Share,
    /// Members that starved in the run.
    pub starved: Share,
    #[serde(skip)]
    needs_kg: Vec<f64>,
    #[serde(skip)]
    of_members_kg: Vec<(u32, f64)>,
    #[serde(skip)]
    chance: Chance,
}

impl StoresAdvice {
    /// From the rows of a plan, one or more, and their summary. `before_c` is the outside air of the hours before each winter of the plan, degC, in the
    /// order of the plan and ending where the winter begins; what is missing of it counts as cold.
    ///
    /// Time for syrup is reckoned for each member with its bees at the start, its parameters and its winter: hours from 21 December back in which the air
    /// is warm enough, times what its bees take in an hour. Robbing, rain and a cold feeder are not in it.
    ///
    /// # Errors
    /// [`RowsError`] when rows cannot be read back.
    pub fn new(
        plan: &Plan,
        rows: &MemberRows,
        summary: &Summary,
        before_c: &[Vec<f64>],
    ) -> Result<Self, RowsError> {
        let p = most_likely(&plan.overrides);
        let fed_kg = summary.feeding.map_or(0.0, |feeding| feeding.stored_kg);
        let stores_kg = plan.colony.stores_kg;
        let lacking_kg = |need_kg: f64| (need_kg - stores_kg - fed_kg).max(0.0);
        let sugar_kg = |kg: f64| kg / (p.sugar_stores_kg_kg * (1.0 - p.feed_loss));
        let needs = ADVISED_SHARES.map(|share| summary.need(share).copied());
        let needs = needs.into_iter().flatten();
        let sugars: Vec<f64> = needs
            .clone()
            .map(|need| sugar_kg(lacking_kg(need.kg)))
            .collect();
        let latest = latest_days(plan, rows, before_c, &sugars)?;
        let feeds = needs.zip(&sugars).zip(latest);
        let feeds = feeds.map(|((need, sugar_kg), latest_days)| FeedAdvice {
            share: need.share,
            lacking_kg: lacking_kg(need.kg),
            lacking_interval_kg: (
                lacking_kg(need.interval_kg.0),
                lacking_kg(need.interval_kg.1),
            ),
            lacking_shared: need.shared.map(|shared| shared.map(lacking_kg)),
            sugar_kg: *sugar_kg,
            syrup_m3: sugar_kg / FALL_SYRUP / syrup_kg_m3(FALL_SYRUP),
            latest_days,
        });
        let of_members_kg = rows.numbered(|row| row.need_kg)?;
        let needs_kg = sorted(of_members_kg.iter().map(|(_, kg)| *kg).collect());
        let chance = Chance::new(plan);
        let before_h = before_c.iter().map(Vec::len).max().unwrap_or(0);
        let mut advice = Self {
            stores_kg,
            fed_kg,
            feeds: feeds.collect(),
            first_day: -((before_h / 24) as i64),
            too_late: plan
                .winters
                .iter()
                .all(|winter| days_for_syrup(winter.start.date()).is_none()),
            curve: Vec::new(),
            own: share_of(&chance, rows, |row| {
                row.need_kg > row.stores_kg + row.feed.stored_kg
            })?,
            starved: share_of(&chance, rows, MemberRow::starved)?,
            needs_kg,
            of_members_kg,
            chance,
        };
        advice.curve = advice.curve_in(1.0);
        Ok(advice)
    }

    /// The risk at some stores, kg.
    #[must_use]
    pub fn risk_at(&self, stores_kg: f64) -> RiskPoint {
        let needing_more: Vec<(u32, bool)> = self
            .of_members_kg
            .iter()
            .map(|(member, need_kg)| (*member, *need_kg > stores_kg))
            .collect();
        RiskPoint {
            stores_kg,
            needing_more: Share::by(&self.chance, &needing_more, &self.of_members_kg),
        }
    }

    /// Honey needed by each member, from least to most, kg.
    #[must_use]
    pub fn needs_kg(&self) -> &[f64] {
        &self.needs_kg
    }

    /// The risk at round stores in a unit of so many kg.
    #[must_use]
    pub fn curve_in(&self, unit_kg: f64) -> Vec<RiskPoint> {
        let (Some(least_kg), Some(most_kg)) = (self.needs_kg.first(), self.needs_kg.last()) else {
            return Vec::new();
        };
        let (least, most) = (least_kg / unit_kg, most_kg / unit_kg);
        let steps = [0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0];
        let fits = |step: &f64| (most / step).ceil() - (least / step).floor() < MOST_POINTS;
        let step = steps.into_iter().find(fits).unwrap_or(100.0);
        let (first, last) = ((least / step).floor() as i64, (most / step).ceil() as i64);
        let points = (first..=last).map(|number| self.risk_at(number as f64 * step * unit_kg));
        points.collect()
    }
}

/// For each amount of sugar, the last days on which shares of members still have time for its syrup.
fn latest_days(
    plan: &Plan,
    rows: &MemberRows,
    before_c: &[Vec<f64>],
    sugars_kg: &[f64],
) -> Result<Vec<[Option<i64>; 3]>, RowsError> {
    let draws = plan.draws();
    let of_member = |row: &MemberRow| {
        let p = plan.member(&draws, row.member).parameters;
        let before_c = before_c.get(row.winter).map_or(&[][..], Vec::as_slice);
        let warm_h = warm_hours(plan, row.winter, before_c, p.syrup_air_c);
        let per_h = p.syrup_uptake_per_h * row.bees * p.bee_mass_kg;
        let lead = (before_c.len() / 24) as i32;
        let days = sugars_kg.iter().map(|sugar_kg| {
            let hours = sugar_kg * p.sugar_stores_kg_kg / per_h;
            last_with(&warm_h, hours).map(|day| day as i32 - lead)
        });
        days.collect::<Vec<_>>()
    };
    let mut of_amounts: Vec<Vec<Option<i32>>> = vec![Vec::new(); sugars_kg.len()];
    rows.blocks(|rows| {
        let by_member: Vec<_> = rows.par_iter().map(of_member).collect();
        for days in by_member {
            for (all, day) in of_amounts.iter_mut().zip(days) {
                all.push(day);
            }
        }
        Ok::<(), RowsError>(())
    })?;
    let latest = |(mut days, sugar_kg): (Vec<Option<i32>>, &f64)| {
        // None, too late on every day, comes first.
        days.sort_unstable();
        IN_TIME_SHARES.map(|share| {
            let late = ((1.0 - share) * days.len() as f64 + 1e-9).floor() as usize;
            let day = days.get(late).copied().flatten();
            day.map(i64::from).filter(|_| *sugar_kg > 0.0)
        })
    };
    Ok(of_amounts.into_iter().zip(sugars_kg).map(latest).collect())
}

/// Days from the start of a winter to [`UNTIL`]; none for one that begins later, up to the end of June.
fn days_for_syrup(start: Date) -> Option<usize> {
    let until = Date::new(start.year(), UNTIL.0, UNTIL.1).ok()?;
    let begins_late = start.month() <= LAST_OF_SPRING;
    let days = (until - start).get_days();
    usize::try_from(days).ok().filter(|_| !begins_late)
}

/// Hours of each day warm enough for syrup, from the first day before the winter to [`UNTIL`]; none for a winter that begins later.
fn warm_hours(plan: &Plan, winter: usize, before_c: &[f64], air_c: f64) -> Vec<f64> {
    let forcing = &plan.winters[winter];
    let Some(days) = days_for_syrup(forcing.start.date()) else {
        return Vec::new();
    };
    let hours = days * 24;
    let own_c = forcing
        .instants
        .iter()
        .skip(1)
        .take(hours)
        .map(|at| at.outside_c);
    let all: Vec<f64> = before_c.iter().copied().chain(own_c).collect();
    let warm = |day: &[f64]| day.iter().filter(|outside_c| **outside_c >= air_c).count() as f64;
    all.chunks(24).map(warm).collect()
}

/// The last day from which on there are so many hours.
fn last_with(warm_h: &[f64], hours: f64) -> Option<usize> {
    let mut left_h = 0.0;
    let days = warm_h.iter().enumerate().rev();
    days.map(|(day, warm_h)| {
        left_h += warm_h;
        (day, left_h)
    })
    .find(|(_, left_h)| *left_h >= hours)
    .map(|(day, _)| day)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_winter_that_begins_behind_its_middle_has_no_day_for_syrup() {
        let days = |month, day| days_for_syrup(jiff::civil::date(2020, month, day));
        assert_eq!(days(10, 1), Some(81));
        assert_eq!(days(12, 21), Some(0));
        assert_eq!(days(7, 1), Some(173));
        for (month, day) in [(12, 22), (1, 5), (6, 30)] {
            assert_eq!(days(month, day), None, "{month} {day}");
        }
    }

    #[test]
    fn the_last_day_is_the_last_from_which_on_the_hours_suffice() {
        let warm_h = [8.0, 0.0, 6.0, 2.0, 0.0, 1.0];
        assert_eq!(last_with(&warm_h, 1.0), Some(5));
        assert_eq!(last_with(&warm_h, 3.0), Some(3));
        assert_eq!(last_with(&warm_h, 9.0), Some(2));
        assert_eq!(last_with(&warm_h, 17.0), Some(0));
        assert_eq!(last_with(&warm_h, 17.5), None);
    }
}
