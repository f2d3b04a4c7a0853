//! One winter of one colony in one hive, hour by hour.
//!
//! [`Forcing`] is what the weather asks; [`Balance`] the equations; [`Solver`] advances them implicitly; [`run`] leads a colony
//! through the winter and keeps the [`Ledger`].

mod alteration;
mod balance;
mod batch_run;
mod elimination;
mod forcing;
mod hive_site;
mod hourly_stepper;
mod instant;
mod integrator;
mod lane_scheduler;
mod lane_task;
mod ledger;
mod log;
mod moisture;
mod monthly;
mod newton_system;
mod outcome;
mod rates;
mod rest;
mod run;
mod run_input;
mod season_error;
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
pub use balance::{Balance, column_share};
pub use batch_run::{Width, run_batch};
pub use forcing::Forcing;
pub use hive_site::{Site, SnowBank};
pub use instant::{SUNNY, Weather};
pub use integrator::{Advance, Watch};
pub use ledger::{Ledger, LossPath};
pub use monthly::{MonthHeat, MonthlyHeat};
pub use outcome::{DayRecord, Outcome};
pub use rest::{Fed, Found, Honey, Rest, rest};
pub use run::{run, run_with};
pub use run_input::{Member, RunInput, RunResult};
pub use season_error::SeasonError;
pub use solver::Solver;
pub use state::{Capacities, State};
pub use trace::{ColdestHour, TraceHour, trace, trace_with_coldest};
pub use water::{Water, WaterLedger};
pub use weighing::{Weighed, weighing};
pub use wetness::{Dampness, SurfaceWater, WET_KG_M2, Wetness};
pub use zoned::Zoned;
