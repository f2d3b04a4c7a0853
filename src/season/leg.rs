//! One colony's way in a lane, and what is known of it so far.

use super::abreast::Ran;
use super::balance::{OfDay, Weather};
use super::course::{Course, SETTLING_DAYS};
use super::hours::Hours;
use super::log::Log;
use super::run::SeasonError;
use crate::colony::Life;
use crate::lane::{Number, PerLane};

/// A way of one colony through what is left of its winter.
pub(super) struct Leg<'a> {
    /// Its number among the colonies.
    pub colony: usize,
    /// While it is in a lane, its hours are what [`Leg::take_counts`] took.
    pub course: Course<'a>,
    stage: Stage,
}

/// Where a leg stands.
enum Stage {
    /// So many days before the winter, one or more.
    Settling(usize),
    /// On a day, with what was kept of those before.
    Lived(usize, Box<Log>),
    /// On a day, as if fed.
    Fed(usize),
}

/// How a leg goes on after a day.
#[derive(Default)]
pub(super) struct Next<'a> {
    /// It has ended.
    pub ends: bool,
    /// The numbers of its hours have been set anew.
    pub anew: bool,
    /// The same colony as if fed from here on.
    pub branch: Option<Leg<'a>>,
}

/// What is known of a colony.
#[derive(Default)]
pub(super) struct Account<'a> {
    lived: Option<(Course<'a>, Box<Log>)>,
    /// A leg as if fed has begun; where it led.
    fed_begun: bool,
    fed: Option<Life>,
    outcome: Ran,
}

impl<'a> Leg<'a> {
    /// Before the winter.
    pub(super) fn new(colony: usize, course: Course<'a>) -> Self {
        Self {
            colony,
            course,
            stage: Stage::Settling(SETTLING_DAYS),
        }
    }

    /// Its day of the winter, counted from 0.
    pub(super) fn day(&self) -> f64 {
        match self.stage {
            Stage::Settling(_) => 0.0,
            Stage::Lived(day, _) | Stage::Fed(day) => day as f64,
        }
    }

    /// Whether its keeper alters the hive as the day begins.
    pub(super) fn alters_today(&self) -> bool {
        match self.stage {
            Stage::Settling(_) => false,
            Stage::Lived(day, _) | Stage::Fed(day) => self.course.alters_on(day),
        }
    }

    /// Alters the hive.
    pub(super) fn alter(&mut self) {
        match self.stage {
            Stage::Settling(_) => {}
            Stage::Lived(day, _) | Stage::Fed(day) => self.course.alter_on(day),
        }
    }

    /// Begins its day: cluster and honey as they stand.
    pub(super) fn begin_day(&mut self) -> OfDay {
        match self.stage {
            Stage::Settling(_) => self.course.of_day(),
            Stage::Lived(day, _) | Stage::Fed(day) => self.course.begin_day(day),
        }
    }

    /// Weather at the station as an hour of its day ends, and whether the sun is up.
    #[inline(always)]
    pub(super) fn weather(&self, hour: usize) -> (&'a Weather, bool) {
        match self.stage {
            Stage::Settling(_) => self.course.settling_weather(),
            Stage::Lived(day, _) | Stage::Fed(day) => self.course.weather(day, hour),
        }
    }

    /// Takes over what a day's end needs of the hours in its lane.
    pub(super) fn take_counts<N: Number>(
        &mut self,
        hours: &Hours<N>,
        lane: usize,
        on_hive_kg: f64,
    ) {
        let own = &mut self.course.hours;
        own.ledger = hours.ledger.spread(lane, ());
        own.wet = hours.wet.spread(lane, ());
        own.spells = hours.spells.spread(lane, ());
        own.today = hours.today.spread(lane, ());
        own.coldest_mantle_c = hours.coldest_mantle_c.lane(lane);
        own.state.tightness = hours.state.tightness.lane(lane);
        self.course.on_hive_kg = on_hive_kg;
    }

    /// Ends its day; `hours` are all numbers of its lane.
    pub(super) fn end_day(
        &mut self,
        hours: impl Fn() -> Hours,
        account: &mut Account<'a>,
    ) -> Next<'a> {
        let days = self.course.forcing().days();
        let mut next = Next::default();
        match &mut self.stage {
            Stage::Settling(left) => {
                *left -= 1;
                if *left == 0 {
                    next.anew = true;
                    self.course.hours = hours();
                    self.course.hours.count_anew(self.course.parameters());
                    self.stage = Stage::Lived(0, Box::new(Log::new(&self.course)));
                }
            }
            Stage::Lived(day, log) => {
                let today = self.course.told(*day);
                let fed = log.close_day(&mut self.course, *day, &today);
                *day += 1;
                next.ends = log.has_ended() || *day == days;
                if let Some(life) = fed {
                    account.fed_begun = true;
                    if *day == days {
                        account.fed = Some(life);
                    } else {
                        let mut course = self.course.with_life(life);
                        course.hours = hours();
                        next.branch = Some(Leg {
                            colony: self.colony,
                            course,
                            stage: Stage::Fed(*day),
                        });
                    }
                }
            }
            Stage::Fed(day) => {
                let today = self.course.told(*day);
                self.course.life.end_day(&today, self.course.parameters());
                *day += 1;
                next.ends = *day == days;
            }
        }
        next
    }

    /// Enters what it led to.
    pub(super) fn close(self, account: &mut Account<'a>) {
        match self.stage {
            Stage::Settling(_) => {}
            Stage::Lived(_, log) => account.lived = Some((self.course, log)),
            Stage::Fed(_) => account.fed = Some(self.course.life),
        }
    }
}

impl Account<'_> {
    /// Makes the outcome once all legs have ended; whether it did so now.
    pub(super) fn settle(&mut self) -> bool {
        if self.fed_begun && self.fed.is_none() {
            return false;
        }
        let Some((course, log)) = self.lived.take() else {
            return false;
        };
        self.outcome = Some(Ok(log.outcome(&course, self.fed.as_ref())));
        true
    }

    /// A leg failed; whether that is the first that is known of the colony.
    pub(super) fn fail(&mut self, error: SeasonError) -> bool {
        let is_first = self.outcome.is_none();
        self.lived = None;
        self.outcome.get_or_insert(Err(error));
        is_first
    }

    /// What became of it.
    pub(super) fn into_outcome(self) -> Ran {
        self.outcome
    }
}
