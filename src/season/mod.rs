//! One winter of one colony in one hive, hour by hour.
//!
//! [`Forcing`] is what the weather asks; [`Balance`] the equations; [`Solver`] advances them implicitly; [`run`] leads a colony
//! through the winter and keeps the [`Ledger`].

mod abreast;
mod alteration;
mod balance;
mod course;
mod crew;
mod elimination;
mod forcing;
mod hours;
mod ledger;
mod leg;
mod log;
mod moisture;
mod monthly;
mod rates;
mod rest;
mod run;
mod solver;
mod stage;
mod state;
mod step;
mod trace;
mod walls;
mod water;
mod weighing;
mod wetness;
mod zoned;

pub use abreast::{Ran, Width, Wintering, run_abreast};
pub use alteration::days_in_force;
pub use balance::{Balance, SUNNY, Site, SnowBank, Weather, column_share};
pub use forcing::Forcing;
pub use ledger::{Ledger, Path};
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
