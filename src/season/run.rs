//! A colony led through a winter.

use super::balance::{Balance, Site, Weather};
use super::forcing::Forcing;
use super::ledger::Ledger;
use super::log::Log;
use super::monthly::MonthlyHeat;
use super::season_run::{SeasonRun, gross_kg};
use super::solver::Solver;
use super::state::State;
use super::wetness::{Dampness, Wetness};
use crate::colony::{BroodCount, Colony, End, FeedCount, Gut, Headcount, HoneyUse, Life, Place};
use crate::hive::{Hive, HiveError, InForce};
use crate::parameter::Parameters;
use jiff::civil::Date;
use serde::Serialize;
use thiserror::Error;

/// Why a winter could not be run.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum SeasonError {
    /// Newton's method found no temperatures.
    #[error(
        "no balance found at {outside_c} degC outside: core, mantle, column, upper and lower air stood at {temperatures_c:?} degC; \
         look for extreme layer, opening or parameter values in the scenario"
    )]
    NotConverged {
        /// Last core, mantle, column, upper and lower air.
        temperatures_c: [f64; 5],
        /// Outside air.
        outside_c: f64,
    },
    /// Water freed heat in a way that a step of this length cannot follow: a shorter one can, and [`Solver`] takes it.
    #[error(
        "water moved temperatures by {off_k} K otherwise than the step foresaw; take a shorter step"
    )]
    SplittingError {
        /// By how much, K.
        off_k: f64,
    },
    /// The hive is none.
    #[error("the hive: {0}")]
    Hive(#[from] HiveError),
    /// The winter has no whole day.
    #[error("winter {label} has no whole day of weather")]
    NoDay {
        /// Label of the winter.
        label: String,
    },
}

/// One hive with one colony under one set of parameters.
#[derive(Clone, Debug)]
pub struct Member {
    /// The hive.
    pub hive: Hive,
    /// The colony at the start.
    pub colony: Colony,
    /// Every other number.
    pub parameters: Parameters,
}

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

/// What an observer is shown every hour.
#[derive(Clone, Copy, Debug)]
pub struct Watch<'a> {
    /// Hours from the start of the winter, at the hour's end.
    pub hour: usize,
    /// Weather at the hive then.
    pub weather: Weather,
    /// Temperatures then.
    pub state: &'a State,
    /// What its water means.
    pub dampness: Dampness,
    pub(super) dry_kg: f64,
    /// Seams that the cluster covers.
    pub seams: f64,
    /// The balance that holds on this day.
    pub balance: &'a Balance,
    /// The colony on this day.
    pub life: &'a Life,
    /// Heat since the start.
    pub ledger: &'a Ledger,
    pub(super) parameters: &'a Parameters,
}

impl Watch<'_> {
    /// What the hive weighs then, bees and honey as at the last midnight, kg.
    #[must_use]
    pub fn gross_kg(&self) -> f64 {
        gross_kg(self.dry_kg, self.state, self.life, self.parameters)
    }
}

/// A way to advance a state by an hour: the [`Solver`], or another integrator that it is held against.
pub trait Advance {
    /// Advances `state` by an hour of weather that runs straight from `from` to `to`, and books the heat.
    ///
    /// # Errors
    /// When no state is found.
    fn hour(
        &mut self,
        balance: &Balance,
        state: &mut State,
        from: &Weather,
        to: &Weather,
        ledger: &mut Ledger,
    ) -> Result<(), SeasonError>;
}

impl Advance for Solver {
    fn hour(
        &mut self,
        balance: &Balance,
        state: &mut State,
        from: &Weather,
        to: &Weather,
        ledger: &mut Ledger,
    ) -> Result<(), SeasonError> {
        let stepped = Solver::hour(self, balance, state, (from, to), ledger);
        match stepped.map_err(|mut failed| failed.pop()) {
            Err(Some((_, error))) => Err(error),
            _ => Ok(()),
        }
    }
}

/// Runs a member through a winter.
///
/// # Errors
/// [`SeasonError`] when a step finds no balance.
pub fn run(member: &Member, site: &Site, forcing: &Forcing) -> Result<Outcome, SeasonError> {
    run_with(member, site, forcing, &mut Solver::default(), &mut |_| {})
}

/// As [`run`], with the integrator to use and an observer of every hour that the colony lives.
///
/// # Errors
/// As [`run`].
pub fn run_with(
    member: &Member,
    site: &Site,
    forcing: &Forcing,
    advance: &mut impl Advance,
    watch: &mut impl FnMut(Watch<'_>),
) -> Result<Outcome, SeasonError> {
    let p = &member.parameters;
    let mut season_run = SeasonRun::begin(member, site, forcing, advance)?;
    let mut log = Log::new(&season_run);
    // Where scant stores, or the end, first told: from there on the colony is run again as if fed.
    let mut fed: Option<(usize, SeasonRun<'_>)> = None;
    for day in 0..forcing.days() {
        let today = season_run.hours(day, advance, watch)?;
        if let Some(life) = log.close_day(&mut season_run, day, &today) {
            fed = Some((day + 1, season_run.with_life(life)));
        }
        if log.has_ended() {
            break;
        }
    }
    if let Some((first, fed)) = &mut fed {
        for day in *first..forcing.days() {
            let today = fed.hours(day, advance, &mut |_| {})?;
            fed.life.end_day(&today, p);
        }
    }
    Ok(log.outcome(&season_run, fed.as_ref().map(|(_, fed)| &fed.life)))
}

/// Date of a day of the winter counted from 0.
pub(super) fn date_of(forcing: &Forcing, day: usize) -> Option<Date> {
    let days = i64::try_from(day).ok()?;
    let span = jiff::Span::new().try_days(days).ok()?;
    forcing.start.date().checked_add(span).ok()
}
