//! Who steps in which lane.
//!
//! A lane holds one colony on one day of its winter; lanes share nothing but the shape of the hive, so they may stand in different winters and on different days. A
//! colony that has ended makes room for the next. What is run again as if fed is led on by itself, and a hive that its keeper gives another shape waits
//! until colonies in hives of that shape have their turn.

use super::balance::OfDay;
use super::hourly_stepper::HourlyStepper;
use super::instant::{SUNNY, Weather};
use super::lane_task::{LaneTask, RunRecord};
use super::run_input::{RunInput, RunResult};
use super::season_error::SeasonError;
use super::season_run::{DAY_H, SeasonRun};
use super::solver::Solver;
use crate::lane::{Number, PerLane, copy_lane, set_lane};
use std::collections::VecDeque;

/// Colonies on their way, as many at once as a number has lanes.
pub(super) struct LaneScheduler<'a, 'w, N: Number> {
    token: N::Token,
    colonies: &'a [RunInput<'a>],
    /// The next that has not begun.
    next: usize,
    /// Tasks that wait for a lane.
    waiting: VecDeque<LaneTask<'a>>,
    records: Vec<RunRecord<'a>>,
    finished: &'w mut dyn FnMut() -> bool,
    goes_on: bool,
}

/// Lanes of hives of one shape.
struct Lanes<'a, N: Number> {
    /// A hive of the shape.
    shape: HourlyStepper,
    hours: HourlyStepper<N>,
    solver: Solver<N>,
    tasks: Vec<Option<LaneTask<'a>>>,
}

/// What a day came to besides what [`HourlyStepper`] holds.
struct DayEnd<N> {
    on_hive_kg: N,
    failed: Vec<(usize, SeasonError)>,
}

impl<'a, 'w, N: Number> LaneScheduler<'a, 'w, N> {
    pub(super) fn new(
        token: N::Token,
        colonies: &'a [RunInput<'a>],
        finished: &'w mut dyn FnMut() -> bool,
    ) -> Self {
        Self {
            token,
            colonies,
            next: 0,
            waiting: VecDeque::new(),
            records: colonies.iter().map(|_| RunRecord::default()).collect(),
            finished,
            goes_on: true,
        }
    }

    /// Runs all of them.
    pub(super) fn run(mut self) -> Vec<RunResult> {
        while let Some(task) = self.any_task() {
            let mut lanes = Lanes::new(task, self.token);
            while self.goes_on && self.begin_day(&mut lanes) {
                let day = lanes.day(self.token);
                self.end_day(&mut lanes, day);
            }
        }
        let records = self.records.into_iter();
        records.map(RunRecord::into_outcome).collect()
    }

    /// The task that waits longest, or of a colony that has not begun.
    fn any_task(&mut self) -> Option<LaneTask<'a>> {
        if !self.goes_on {
            return None;
        }
        self.waiting.pop_front().or_else(|| self.new_task())
    }

    /// The first task of the next colony; those that cannot begin are recorded.
    fn new_task(&mut self) -> Option<LaneTask<'a>> {
        while let Some(colony) = self.colonies.get(self.next) {
            let number = self.next;
            self.next += 1;
            match SeasonRun::new(colony.member, colony.site, colony.forcing) {
                Ok(season_run) => return Some(LaneTask::new(number, season_run)),
                Err(error) => self.fail(number, error),
            }
        }
        None
    }

    /// A task for a lane beside hives of this shape.
    fn task_of_shape(&mut self, shape: &HourlyStepper) -> Option<LaneTask<'a>> {
        let fits = |task: &LaneTask<'_>| task.season_run.hours.has_shape_of(shape);
        if let Some(place) = self.waiting.iter().position(fits) {
            return self.waiting.remove(place);
        }
        let task = self.new_task()?;
        if fits(&task) {
            return Some(task);
        }
        self.waiting.push_back(task);
        None
    }

    /// Fills the lanes and begins a day in each; whether there is any.
    fn begin_day(&mut self, lanes: &mut Lanes<'a, N>) -> bool {
        for lane in 0..N::LANES {
            // Who must leave because the keeper changes the hive's shape makes room as one that has ended does.
            if let Some(task) = lanes.altered_away(lane) {
                self.waiting.push_back(task);
            }
            while lanes.tasks[lane].is_none() {
                let Some(task) = self.task_of_shape(&lanes.shape) else {
                    break;
                };
                lanes.board(lane, task);
                if let Some(task) = lanes.altered_away(lane) {
                    self.waiting.push_back(task);
                }
            }
        }
        lanes.fill_idle()
    }

    /// Ends a day in each lane.
    fn end_day(&mut self, lanes: &mut Lanes<'a, N>, mut day: DayEnd<N>) {
        for lane in 0..N::LANES {
            let Some(mut task) = lanes.tasks[lane].take() else {
                continue;
            };
            // Of several hours that failed the first.
            let failure = day.failed.iter().position(|(failed, _)| *failed == lane);
            if let Some(place) = failure {
                let (_, error) = day.failed.remove(place);
                self.fail(task.colony, error);
                continue;
            }
            task.take_counts(&lanes.hours, lane, day.on_hive_kg.lane(lane));
            let number = task.colony;
            let record = &mut self.records[number];
            let next = task.end_day(|| lanes.hours.spread(lane, ()), record);
            self.waiting.extend(next.branch);
            if next.ends {
                task.close(record);
            } else {
                if next.anew {
                    set_lane(&mut lanes.hours, lane, &mut task.season_run.hours);
                }
                lanes.tasks[lane] = Some(task);
            }
            if self.records[number].settle() {
                self.goes_on &= (self.finished)();
            }
        }
    }

    fn fail(&mut self, colony: usize, error: SeasonError) {
        if self.records[colony].fail(error) {
            self.goes_on &= (self.finished)();
        }
        self.waiting.retain(|task| task.colony != colony);
    }
}

impl<'a, N: Number> Lanes<'a, N> {
    /// With a task in the first lane.
    fn new(task: LaneTask<'a>, token: N::Token) -> Self {
        let hours = task.season_run.hours.spread(0, token);
        let shape = task.season_run.hours.clone();
        let mut tasks: Vec<_> = (0..N::LANES).map(|_| None).collect();
        tasks[0] = Some(task);
        Self {
            shape,
            hours,
            solver: Solver::default(),
            tasks,
        }
    }

    fn board(&mut self, lane: usize, mut task: LaneTask<'a>) {
        set_lane(&mut self.hours, lane, &mut task.season_run.hours);
        self.tasks[lane] = Some(task);
    }

    /// Alters the hive in a lane if its keeper does so on this day. A task whose hive gets another shape leaves.
    fn altered_away(&mut self, lane: usize) -> Option<LaneTask<'a>> {
        let task = self.tasks[lane]
            .as_mut()
            .filter(|task| task.alters_today())?;
        task.season_run.hours = self.hours.spread(lane, ());
        task.alter();
        if task.season_run.hours.has_shape_of(&self.shape) {
            set_lane(&mut self.hours, lane, &mut task.season_run.hours);
            return None;
        }
        self.tasks[lane].take()
    }

    /// Makes idle lanes the like of one that is not, so that they ask for no more work than it does; whether there is one.
    fn fill_idle(&mut self) -> bool {
        let Some(busy) = self.tasks.iter().rposition(Option::is_some) else {
            return false;
        };
        for lane in 0..N::LANES {
            if self.tasks[lane].is_none() {
                copy_lane(&mut self.hours, busy, lane);
            }
        }
        true
    }

    /// Runs the hours of a day; an idle lane has the day of the one that it is the like of.
    fn day(&mut self, token: N::Token) -> DayEnd<N> {
        let mut of_day: OfDay<N> = self.hours.balance.of_day;
        let mut number = N::splat_with(token, 0.0);
        let mut busy = 0;
        for (lane, task) in self.tasks.iter_mut().enumerate() {
            if let Some(task) = task {
                set_lane(&mut of_day, lane, &mut task.begin_day());
                number.set_lane(lane, task.day());
                busy = lane;
            }
        }
        let tasks = &self.tasks;
        for (lane, task) in tasks.iter().enumerate() {
            if task.is_none() {
                copy_lane(&mut of_day, busy, lane);
            }
        }
        let weather = |lane: usize, hour: usize| {
            let task = tasks[lane].as_ref().or(tasks[busy].as_ref());
            task.map(|task| task.weather(hour))
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
    (hours, solver): (&mut HourlyStepper<N>, &mut Solver<N>),
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
        let daylight = daylight.gt(daylight.splat(0.0));
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
    let zero = N::splat_with(token, 0.0);
    let mut station = Weather {
        outside_c: zero,
        wind_m_s: zero,
        pressure_pa: zero,
        sun_w_m2: [zero; SUNNY.len()],
        vapour_pa: zero,
        sky_w_m2: zero,
        snow_m: zero,
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
