//! Runs until the answer is as precise as asked, as far as the chance of the draws goes; what is not known about bees, more members do not tell.

use super::crossing::SETS_TOGETHER;
use super::ensemble_error::EnsembleError;
use super::members::MemberRows;
use super::plan::Plan;
use super::replicates::Chance;
use super::rows::MemberRow;
use super::run::grow;
use super::spill::RowsError;
use super::statistics::sorted;
use super::watcher::Watcher;
use serde::Serialize;

/// Shares of winters whose needs must be precise: those of the first lines of a report.
const SHARES: [f64; 3] = [0.5, 0.8, 0.95];

/// Half the width of a 95 % interval that is asked for.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Precision {
    /// Of the share that starves, 0 to 1.
    Risk(f64),
    /// Of the honey needed in 50, 80 and 95 % of winters, the least precise of them, kg.
    NeedKg(f64),
}

impl Precision {
    /// What was asked.
    #[must_use]
    pub fn asked(self) -> f64 {
        match self {
            Self::Risk(half) | Self::NeedKg(half) => half,
        }
    }

    /// What rows have.
    fn of(self, plan: &Plan, rows: &MemberRows) -> Result<f64, RowsError> {
        let half = |(low, high): (f64, f64)| 0.5 * (high - low);
        let chance = Chance::new(plan);
        match self {
            Self::Risk(_) => Ok(half(chance.of_share(&rows.numbered(MemberRow::starved)?))),
            Self::NeedKg(_) => {
                let of_members_kg = rows.numbered(|row| row.need_kg)?;
                let needs_kg = sorted(of_members_kg.iter().map(|(_, kg)| *kg).collect());
                let mut widest_kg = 0.0_f64;
                for share in SHARES {
                    let interval_kg = chance.of_quantile(&of_members_kg, &needs_kg, share);
                    widest_kg = widest_kg.max(half(interval_kg));
                }
                Ok(widest_kg)
            }
        }
    }
}

/// How far it came.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Reached {
    /// What was asked.
    pub asked: Precision,
    /// Half the width that the answer has.
    pub half_width: f64,
    /// Members that were run.
    pub members: u32,
    /// Members that it would take, by the root law, were sets of shared unknowns to grow with them; none when it is reached.
    pub members_needed: Option<u64>,
    /// Sets of shared unknowns that it would take; none when it is reached.
    pub shared_sets_needed: Option<u64>,
}

/// Runs a plan with its members, then with twice as many and so on, until the precision is reached or `most` members have run; the plan then has the
/// members that were run, and the rows are those that a run with so many gives.
///
/// More than fit in memory are put aside as in [`run`](super::run()); whether a file for that can be made is tried when so many are to run.
///
/// The interval is looked at only at doublings; stopping at a narrow one makes it hold the truth a little less often than it says.
///
/// # Errors
/// As [`run`](super::run()).
pub fn run_until(
    plan: &mut Plan,
    asked: Precision,
    most: u32,
    watcher: &impl Watcher,
) -> Result<(MemberRows, Reached), EnsembleError> {
    let most = most.max(plan.members);
    let mut rows = MemberRows::new();
    loop {
        watcher.planned(plan.members);
        grow(plan, &mut rows, watcher)?;
        let half_width = asked.of(plan, &rows)?;
        let is_reached = half_width <= asked.asked();
        if is_reached || plan.members >= most {
            let ratio = half_width / asked.asked();
            let times = |number: u32| (f64::from(number) * ratio * ratio).ceil() as u64;
            let reached = Reached {
                asked,
                half_width,
                members: plan.members,
                members_needed: (!is_reached).then(|| times(plan.members)),
                shared_sets_needed: (!is_reached)
                    .then(|| times(plan.shared_sets).next_multiple_of(SETS_TOGETHER.into())),
            };
            return Ok((rows, reached));
        }
        plan.members = plan.members.saturating_mul(2).min(most);
    }
}
