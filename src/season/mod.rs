//! One winter of one colony in one hive, hour by hour.
//!
//! [`Forcing`] is what the weather asks; [`Balance`] the equations; [`Solver`] advances them implicitly; [`run`] leads a colony
//! through the winter and keeps the [`Ledger`].

mod alteration;
mod balance;
mod batch_run;
mod elimination;
mod forcing;
mod hourly_stepper;
mod lane_scheduler;
mod lane_task;
mod ledger;
mod log;
mod moisture;
mod monthly;
mod newton_system;
mod rates;
mod rest;
mod run;
mod season_run;
mod solver;
mod state;
mod step;
mod trace;
mod walls;
mod water;
mod weighing;
mod wetness;
mod zoned;

pub use alteration::days_in_force;
pub use balance::{Balance, SUNNY, Site, SnowBank, Weather, column_share};
pub use batch_run::{RunInput, RunResult, Width, run_batch};
pub use forcing::Forcing;
pub use ledger::{Ledger, LossPath};
pub use monthly::{MonthHeat, MonthlyHeat};
pub use rest::{Fed, Found, Honey, Rest, rest};
pub use run::{Advance, DayRecord, Member, Outcome, SeasonError, Watch, run, run_with};
pub use solver::Solver;
pub use state::{Capacities, State};
pub use trace::{ColdestHour, TraceHour, trace, trace_with_coldest};
pub use water::{Water, WaterLedger};
pub use weighing::{Weighed, weighing};
pub use wetness::{Dampness, SurfaceWater, WET_KG_M2, Wetness};
pub use zoned::Zoned;
