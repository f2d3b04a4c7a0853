//! Who steps in which lane.
//!
//! A lane holds one colony on one day of its winter; lanes share nothing but the shape of the hive, so they may stand in different winters and on different days. A
//! colony that has ended makes room for the next. What is run again as if fed is led on by itself, and a hive that its keeper gives another shape waits
//! until colonies in hives of that shape have their turn.

use super::abreast::{Ran, Wintering};
use super::balance::{OfDay, SUNNY, Weather};
use super::course::{Course, DAY_H};
use super::hours::Hours;
use super::leg::{Account, Leg};
use super::run::SeasonError;
use super::solver::Solver;
use crate::lane::{Number, PerLane, copy_lane, set_lane};
use std::collections::VecDeque;

/// Colonies on their way, as many at once as a number has lanes.
pub(super) struct Crew<'a, 'w, N: Number> {
    token: N::Token,
    colonies: &'a [Wintering<'a>],
    /// The next that has not begun.
    next: usize,
    /// Legs that wait for a lane.
    waiting: VecDeque<Leg<'a>>,
    accounts: Vec<Account<'a>>,
    finished: &'w mut dyn FnMut() -> bool,
    goes_on: bool,
}

/// Lanes of hives of one shape.
struct Lanes<'a, N: Number> {
    /// A hive of the shape.
    shape: Hours,
    hours: Hours<N>,
    solver: Solver<N>,
    legs: Vec<Option<Leg<'a>>>,
}

/// What a day came to besides what `Hours` hold.
struct DayEnd<N> {
    on_hive_kg: N,
    failed: Vec<(usize, SeasonError)>,
}

impl<'a, 'w, N: Number> Crew<'a, 'w, N> {
    pub(super) fn new(
        token: N::Token,
        colonies: &'a [Wintering<'a>],
        finished: &'w mut dyn FnMut() -> bool,
    ) -> Self {
        Self {
            token,
            colonies,
            next: 0,
            waiting: VecDeque::new(),
            accounts: colonies.iter().map(|_| Account::default()).collect(),
            finished,
            goes_on: true,
        }
    }

    /// Runs all of them.
    pub(super) fn run(mut self) -> Vec<Ran> {
        while let Some(leg) = self.any_leg() {
            let mut lanes = Lanes::new(leg, self.token);
            while self.goes_on && self.begin_day(&mut lanes) {
                let day = lanes.day(self.token);
                self.end_day(&mut lanes, day);
            }
        }
        let accounts = self.accounts.into_iter();
        accounts.map(Account::into_outcome).collect()
    }

    /// The leg that waits longest, or of a colony that has not begun.
    fn any_leg(&mut self) -> Option<Leg<'a>> {
        if !self.goes_on {
            return None;
        }
        self.waiting.pop_front().or_else(|| self.new_leg())
    }

    /// The first leg of the next colony; those that cannot begin are accounted for.
    fn new_leg(&mut self) -> Option<Leg<'a>> {
        while let Some(colony) = self.colonies.get(self.next) {
            let number = self.next;
            self.next += 1;
            match Course::new(colony.member, colony.site, colony.forcing) {
                Ok(course) => return Some(Leg::new(number, course)),
                Err(error) => self.fail(number, error),
            }
        }
        None
    }

    /// A leg for a lane beside hives of this shape.
    fn leg_of_shape(&mut self, shape: &Hours) -> Option<Leg<'a>> {
        let fits = |leg: &Leg<'_>| leg.course.hours.has_shape_of(shape);
        if let Some(place) = self.waiting.iter().position(fits) {
            return self.waiting.remove(place);
        }
        let leg = self.new_leg()?;
        if fits(&leg) {
            return Some(leg);
        }
        self.waiting.push_back(leg);
        None
    }

    /// Fills the lanes and begins a day in each; whether there is any.
    fn begin_day(&mut self, lanes: &mut Lanes<'a, N>) -> bool {
        for lane in 0..N::LANES {
            // Who must leave because the keeper changes the hive's shape makes room as one that has ended does.
            if let Some(leg) = lanes.altered_away(lane) {
                self.waiting.push_back(leg);
            }
            while lanes.legs[lane].is_none() {
                let Some(leg) = self.leg_of_shape(&lanes.shape) else {
                    break;
                };
                lanes.board(lane, leg);
                if let Some(leg) = lanes.altered_away(lane) {
                    self.waiting.push_back(leg);
                }
            }
        }
        lanes.fill_idle()
    }

    /// Ends a day in each lane.
    fn end_day(&mut self, lanes: &mut Lanes<'a, N>, mut day: DayEnd<N>) {
        for lane in 0..N::LANES {
            let Some(mut leg) = lanes.legs[lane].take() else {
                continue;
            };
            // Of several hours that failed the first.
            let failure = day.failed.iter().position(|(failed, _)| *failed == lane);
            if let Some(place) = failure {
                let (_, error) = day.failed.remove(place);
                self.fail(leg.colony, error);
                continue;
            }
            leg.take_counts(&lanes.hours, lane, day.on_hive_kg.lane(lane));
            let number = leg.colony;
            let account = &mut self.accounts[number];
            let next = leg.end_day(|| lanes.hours.spread(lane, ()), account);
            self.waiting.extend(next.branch);
            if next.ends {
                leg.close(account);
            } else {
                if next.anew {
                    set_lane(&mut lanes.hours, lane, &mut leg.course.hours);
                }
                lanes.legs[lane] = Some(leg);
            }
            if self.accounts[number].settle() {
                self.goes_on &= (self.finished)();
            }
        }
    }

    fn fail(&mut self, colony: usize, error: SeasonError) {
        if self.accounts[colony].fail(error) {
            self.goes_on &= (self.finished)();
        }
        self.waiting.retain(|leg| leg.colony != colony);
    }
}

impl<'a, N: Number> Lanes<'a, N> {
    /// With a leg in the first lane.
    fn new(leg: Leg<'a>, token: N::Token) -> Self {
        let hours = leg.course.hours.spread(0, token);
        let shape = leg.course.hours.clone();
        let mut legs: Vec<_> = (0..N::LANES).map(|_| None).collect();
        legs[0] = Some(leg);
        Self {
            shape,
            hours,
            solver: Solver::default(),
            legs,
        }
    }

    fn board(&mut self, lane: usize, mut leg: Leg<'a>) {
        set_lane(&mut self.hours, lane, &mut leg.course.hours);
        self.legs[lane] = Some(leg);
    }

    /// Alters the hive in a lane if its keeper does so on this day. A leg whose hive gets another shape leaves.
    fn altered_away(&mut self, lane: usize) -> Option<Leg<'a>> {
        let leg = self.legs[lane].as_mut().filter(|leg| leg.alters_today())?;
        leg.course.hours = self.hours.spread(lane, ());
        leg.alter();
        if leg.course.hours.has_shape_of(&self.shape) {
            set_lane(&mut self.hours, lane, &mut leg.course.hours);
            return None;
        }
        self.legs[lane].take()
    }

    /// Makes idle lanes the like of one that is not, so that they ask for no more work than it does; whether there is one.
    fn fill_idle(&mut self) -> bool {
        let Some(busy) = self.legs.iter().rposition(Option::is_some) else {
            return false;
        };
        for lane in 0..N::LANES {
            if self.legs[lane].is_none() {
                copy_lane(&mut self.hours, busy, lane);
            }
        }
        true
    }

    /// Runs the hours of a day; an idle lane has the day of the one that it is the like of.
    fn day(&mut self, token: N::Token) -> DayEnd<N> {
        let mut of_day: OfDay<N> = self.hours.balance.of_day;
        let mut number = N::splat(token, 0.0);
        let mut busy = 0;
        for (lane, leg) in self.legs.iter_mut().enumerate() {
            if let Some(leg) = leg {
                set_lane(&mut of_day, lane, &mut leg.begin_day());
                number.set_lane(lane, leg.day());
                busy = lane;
            }
        }
        let legs = &self.legs;
        for (lane, leg) in legs.iter().enumerate() {
            if leg.is_none() {
                copy_lane(&mut of_day, busy, lane);
            }
        }
        let weather = |lane: usize, hour: usize| {
            let leg = legs[lane].as_ref().or(legs[busy].as_ref());
            leg.map(|leg| leg.weather(hour))
        };
        let (hours, solver) = (&mut self.hours, &mut self.solver);
        N::vectorize(
            token,
            #[inline(always)]
            || step_day(token, (hours, solver), (number, of_day), weather),
        )
    }
}

/// The hours of a day in all lanes, in one piece so that the compiler keeps to the processor's vectors.
#[inline(always)]
fn step_day<'w, N: Number>(
    token: N::Token,
    (hours, solver): (&mut Hours<N>, &mut Solver<N>),
    (day, of_day): (N, OfDay<N>),
    weather: impl Fn(usize, usize) -> Option<(&'w Weather, bool)>,
) -> DayEnd<N> {
    let mut failed = Vec::new();
    hours.begin_day(day, of_day);
    for hour in 0..DAY_H {
        let station = station(token, |lane| {
            weather(lane, hour).map(|(weather, _)| weather)
        });
        let daylight = N::from_lanes(token, |lane| {
            let up = weather(lane, hour).is_some_and(|(_, daylight)| daylight);
            f64::from(u8::from(up))
        });
        let daylight = daylight.gt(daylight.like(0.0));
        let stepped = hours.hour(
            &station,
            daylight,
            #[inline(always)]
            |balance, state, ends, ledger| solver.hour(balance, state, ends, ledger),
        );
        if let Err(lanes) = stepped {
            failed.extend(lanes);
        }
    }
    DayEnd {
        on_hive_kg: hours.state.water.on_hive_kg(),
        failed,
    }
}

/// Weather at each lane's station.
#[inline(always)]
fn station<'w, N: Number>(
    token: N::Token,
    of_lane: impl Fn(usize) -> Option<&'w Weather>,
) -> Weather<N> {
    let none = N::splat(token, 0.0);
    let mut station = Weather {
        outside_c: none,
        wind_m_s: none,
        pressure_pa: none,
        sun_w_m2: [none; SUNNY.len()],
        vapour_pa: none,
        sky_w_m2: none,
        snow_m: none,
    };
    for lane in 0..N::LANES {
        if let Some(weather) = of_lane(lane) {
            station.outside_c.set_lane(lane, weather.outside_c);
            station.wind_m_s.set_lane(lane, weather.wind_m_s);
            station.pressure_pa.set_lane(lane, weather.pressure_pa);
            station.vapour_pa.set_lane(lane, weather.vapour_pa);
            station.sky_w_m2.set_lane(lane, weather.sky_w_m2);
            station.snow_m.set_lane(lane, weather.snow_m);
            for (face_w_m2, sun_w_m2) in station.sun_w_m2.iter_mut().zip(weather.sun_w_m2) {
                face_w_m2.set_lane(lane, sun_w_m2);
            }
        }
    }
    station
}
