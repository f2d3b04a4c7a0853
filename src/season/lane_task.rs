//! One colony's way in a lane, and what is known of it so far.

use super::balance::OfDay;
use super::hourly_stepper::HourlyStepper;
use super::instant::Weather;
use super::log::Log;
use super::run_input::RunResult;
use super::season_error::SeasonError;
use super::season_run::{SETTLING_DAYS, SeasonRun};
use crate::colony::Life;
use crate::lane::{Number, PerLane};

/// A way of one colony through what is left of its winter.
pub(super) struct LaneTask<'a> {
    /// Its number among the colonies.
    pub colony: usize,
    /// While it is in a lane, its hours are what [`LaneTask::take_counts`] took.
    pub season_run: SeasonRun<'a>,
    stage: Stage,
}

/// Where a task stands.
enum Stage {
    /// So many days before the winter, one or more.
    Settling(usize),
    /// On a day, with what was kept of those before.
    Lived(usize, Box<Log>),
    /// On a day, as if fed.
    Fed(usize),
}

/// How a task goes on after a day.
#[derive(Default)]
pub(super) struct AfterDay<'a> {
    /// It has ended.
    pub ends: bool,
    /// The numbers of its hours have been set anew.
    pub anew: bool,
    /// The same colony as if fed from here on.
    pub branch: Option<LaneTask<'a>>,
}

/// What is known of a colony.
#[derive(Default)]
pub(super) struct RunRecord<'a> {
    lived: Option<(SeasonRun<'a>, Box<Log>)>,
    /// A task as if fed has begun; where it led.
    fed_begun: bool,
    fed: Option<Life>,
    outcome: RunResult,
}

impl<'a> LaneTask<'a> {
    /// Before the winter.
    pub(super) fn new(colony: usize, season_run: SeasonRun<'a>) -> Self {
        Self {
            colony,
            season_run,
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
            Stage::Lived(day, _) | Stage::Fed(day) => self.season_run.alters_on(day),
        }
    }

    /// Alters the hive.
    pub(super) fn alter(&mut self) {
        match self.stage {
            Stage::Settling(_) => {}
            Stage::Lived(day, _) | Stage::Fed(day) => self.season_run.alter_on(day),
        }
    }

    /// Begins its day: cluster and honey as they stand.
    pub(super) fn begin_day(&mut self) -> OfDay {
        match self.stage {
            Stage::Settling(_) => self.season_run.of_day(),
            Stage::Lived(day, _) | Stage::Fed(day) => self.season_run.begin_day(day),
        }
    }

    /// Weather at the station as an hour of its day ends, and whether the sun is up.
    #[inline(always)]
    pub(super) fn weather(&self, hour: usize) -> (&'a Weather, bool) {
        match self.stage {
            Stage::Settling(_) => self.season_run.settling_weather(),
            Stage::Lived(day, _) | Stage::Fed(day) => self.season_run.weather(day, hour),
        }
    }

    /// Takes over what a day's end needs of the hours in its lane.
    pub(super) fn take_counts<N: Number>(
        &mut self,
        hours: &HourlyStepper<N>,
        lane: usize,
        on_hive_kg: f64,
    ) {
        let own = &mut self.season_run.hours;
        own.ledger = hours.ledger.spread(lane, ());
        own.wet = hours.wet.spread(lane, ());
        own.spells = hours.spells.spread(lane, ());
        own.today = hours.today.spread(lane, ());
        own.coldest_mantle_c = hours.coldest_mantle_c.lane(lane);
        own.state.tightness = hours.state.tightness.lane(lane);
        self.season_run.on_hive_kg = on_hive_kg;
    }

    /// Ends its day; `hours` are all numbers of its lane.
    pub(super) fn end_day(
        &mut self,
        hours: impl Fn() -> HourlyStepper,
        record: &mut RunRecord<'a>,
    ) -> AfterDay<'a> {
        let days = self.season_run.forcing().days();
        let mut next = AfterDay::default();
        match &mut self.stage {
            Stage::Settling(left) => {
                *left -= 1;
                if *left == 0 {
                    next.anew = true;
                    self.season_run.hours = hours();
                    self.season_run
                        .hours
                        .count_anew(self.season_run.parameters());
                    self.stage = Stage::Lived(0, Box::new(Log::new(&self.season_run)));
                }
            }
            Stage::Lived(day, log) => {
                let today = self.season_run.told(*day);
                let fed = log.close_day(&mut self.season_run, *day, &today);
                *day += 1;
                next.ends = log.has_ended() || *day == days;
                if let Some(life) = fed {
                    record.fed_begun = true;
                    if *day == days {
                        record.fed = Some(life);
                    } else {
                        let mut season_run = self.season_run.with_life(life);
                        season_run.hours = hours();
                        next.branch = Some(LaneTask {
                            colony: self.colony,
                            season_run,
                            stage: Stage::Fed(*day),
                        });
                    }
                }
            }
            Stage::Fed(day) => {
                let today = self.season_run.told(*day);
                self.season_run
                    .life
                    .end_day(&today, self.season_run.parameters());
                *day += 1;
                next.ends = *day == days;
            }
        }
        next
    }

    /// Enters what it led to.
    pub(super) fn close(self, record: &mut RunRecord<'a>) {
        match self.stage {
            Stage::Settling(_) => {}
            Stage::Lived(_, log) => record.lived = Some((self.season_run, log)),
            Stage::Fed(_) => record.fed = Some(self.season_run.life),
        }
    }
}

impl RunRecord<'_> {
    /// Makes the outcome once all tasks have ended; whether it did so now.
    pub(super) fn settle(&mut self) -> bool {
        if self.fed_begun && self.fed.is_none() {
            return false;
        }
        let Some((season_run, log)) = self.lived.take() else {
            return false;
        };
        self.outcome = Some(Ok(log.outcome(&season_run, self.fed.as_ref())));
        true
    }

    /// A task failed; whether that is the first that is known of the colony.
    pub(super) fn fail(&mut self, error: SeasonError) -> bool {
        let is_first = self.outcome.is_none();
        self.lived = None;
        self.outcome.get_or_insert(Err(error));
        is_first
    }

    /// What became of it.
    pub(super) fn into_outcome(self) -> RunResult {
        self.outcome
    }
}
