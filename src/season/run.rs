//! A colony led through a winter.

use super::balance::{Balance, Site, State, Weather};
use super::forcing::Forcing;
use super::ledger::Ledger;
use super::solver::Solver;
use crate::colony::{Colony, Day, End, HoneyUse, Life};
use crate::hive::Hive;
use crate::parameter::Parameters;
use jiff::civil::Date;
use serde::Serialize;
use thiserror::Error;

const HOUR_S: f64 = 3600.0;
/// Parts that an hour is cut into when it cannot be stepped whole, one try after the other.
const SHORTER: [u32; 3] = [4, 16, 64];
/// Days of the first instant's weather that hive and cluster run through before the winter counts.
const SETTLING_DAYS: usize = 3;

/// Why a winter could not be run.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum SeasonError {
    /// Newton's method found no temperatures.
    #[error(
        "no balance found at {outside_c} degC outside: core, mantle, upper and lower air stood at {temperatures_c:?} degC; \
         look for extreme layer, opening or parameter values in the scenario"
    )]
    NotConverged {
        /// Last core, mantle, upper and lower air.
        temperatures_c: [f64; 4],
        /// Outside air.
        outside_c: f64,
    },
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
    /// Honey used since the start, kg.
    pub used_kg: f64,
    /// Adult bees.
    pub bees: f64,
    /// Brood cells.
    pub brood: f64,
    /// Mean heat made over the day, W.
    pub heat_w: f64,
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
    /// Bees at its end.
    pub bees: f64,
    /// More stores would have changed nothing: what it used is what the winter takes.
    pub unlimited: bool,
    /// Coldest mantle at any full hour, degC.
    pub coldest_mantle_c: f64,
    /// Where the heat went.
    pub ledger: Ledger,
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
    /// The balance that holds on this day.
    pub balance: &'a Balance,
    /// The colony on this day.
    pub life: &'a Life,
    /// Heat since the start.
    pub ledger: &'a Ledger,
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
        let (state_before, ledger_before) = (self.keep(state), *ledger);
        let mut result = self.step(balance, state, (from, to), HOUR_S, ledger);
        // Steep control at the edge of what bees can hold may defeat an hour's step; shorter ones are closer to linear.
        for parts in SHORTER {
            if result.is_ok() {
                break;
            }
            state.clone_from(&state_before);
            *ledger = ledger_before;
            result = self.steps(balance, state, (from, to), parts, ledger);
        }
        self.give_back(state_before);
        result
    }
}

/// Runs a member through a winter.
///
/// With `fed` the colony eats as if honey were always at hand and lives to the end.
///
/// # Errors
/// [`SeasonError`] when a step finds no balance.
pub fn run(
    member: &Member,
    site: &Site,
    forcing: &Forcing,
    fed: bool,
) -> Result<Outcome, SeasonError> {
    run_with(
        member,
        site,
        forcing,
        fed,
        &mut Solver::default(),
        &mut |_| {},
    )
}

/// As [`run`], with the integrator to use and an observer of every hour.
///
/// # Errors
/// As [`run`].
pub fn run_with(
    member: &Member,
    site: &Site,
    forcing: &Forcing,
    fed: bool,
    advance: &mut impl Advance,
    watch: &mut impl FnMut(Watch<'_>),
) -> Result<Outcome, SeasonError> {
    let p = &member.parameters;
    let Some(first) = forcing.instants.first().filter(|_| forcing.days() > 0) else {
        return Err(SeasonError::NoDay {
            label: forcing.label.clone(),
        });
    };
    let mut balance = Balance::new(&member.hive, site, p);
    let mut life = Life::new(member.colony, member.hive.frames, fed);
    balance.set_colony(life.cluster(p), life.stores.total_kg());
    let mut state = settle(&balance, first, advance)?;

    let mut ledger = Ledger::default();
    let mut days = Vec::with_capacity(forcing.days());
    let mut coldest_mantle_c = f64::INFINITY;
    let mut ended = None;
    let mut from = balance.at_hive(first);
    'winter: for day in 0..forcing.days() {
        balance.set_colony(life.cluster(p), life.stores.total_kg());
        let mut flight_heat_j = 0.0;
        let (mut seams, mut core_m3) = (0.0, 0.0);
        let day_start_j = ledger.made_j;
        for hour in day * 24..(day + 1) * 24 {
            let hour_start_j = ledger.made_j;
            let to = balance.at_hive(&forcing.instants[hour + 1]);
            advance.hour(&balance, &mut state, &from, &to, &mut ledger)?;
            from = to;
            if forcing.daylight[hour + 1] && to.outside_c >= p.flight_air_c {
                flight_heat_j += ledger.made_j - hour_start_j;
            }
            seams +=
                2.0 * balance.cluster.radius_m(state.tightness) / (24.0 * member.hive.comb_pitch_m);
            core_m3 += balance.cluster.core_m3(state.tightness) / 24.0;
            coldest_mantle_c = coldest_mantle_c.min(state.mantle_c);
            watch(Watch {
                hour: hour + 1,
                weather: to,
                state: &state,
                balance: &balance,
                life: &life,
                ledger: &ledger,
            });
            if let Some(end) = life.hour(state.mantle_c, state.upper_c, p) {
                ended = Some((end, day));
            }
        }
        let heat_j = ledger.made_j - day_start_j;
        let today = Day {
            day: forcing.first_day + day as f64,
            heat_j,
            flight_heat_j,
            seams,
            core_m3,
        };
        if let Some(end) = life.end_day(&today, p) {
            ended = ended.or(Some((end, day)));
        }
        days.push(DayRecord {
            stores_kg: life.stores.total_kg(),
            used_kg: life.used.total_kg(),
            bees: life.bees,
            brood: life.brood.total(),
            heat_w: heat_j / (24.0 * HOUR_S),
        });
        if ended.is_some() {
            break 'winter;
        }
    }
    let end_day = ended.map(|(_, day)| day);
    Ok(Outcome {
        end: ended.map_or(End::Alive, |(end, _)| end),
        end_day,
        end_date: end_day.and_then(|day| date_of(forcing, day)),
        used: life.used,
        stores_left_kg: life.stores.total_kg(),
        bees: life.bees,
        unlimited: life.unlimited && ended.is_none(),
        coldest_mantle_c,
        ledger,
        days,
    })
}

/// Lets hive and cluster come to rest under the first instant's weather; its heat is not counted.
fn settle(
    balance: &Balance,
    station: &Weather,
    advance: &mut impl Advance,
) -> Result<State, SeasonError> {
    let weather = balance.at_hive(station);
    let mut state = balance.start(weather.outside_c);
    for _ in 0..SETTLING_DAYS * 24 {
        advance.hour(
            balance,
            &mut state,
            &weather,
            &weather,
            &mut Ledger::default(),
        )?;
    }
    Ok(state)
}

/// Date of a day of the winter counted from 0.
#[must_use]
fn date_of(forcing: &Forcing, day: usize) -> Option<Date> {
    let days = i64::try_from(day).ok()?;
    forcing
        .start
        .date()
        .checked_add(jiff::Span::new().try_days(days).ok()?)
        .ok()
}
