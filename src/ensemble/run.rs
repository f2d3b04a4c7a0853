//! Runs the members of a plan on all cores.

use super::crew::{Enlist, run_members};
use super::draws::Draws;
use super::plan::Plan;
use super::rows::MemberRow;
use crate::season::{Forcing, Member, Outcome, SeasonError, Site};
use thiserror::Error;

/// Why an ensemble gave no result.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum EnsembleError {
    /// A member's winter failed.
    #[error("member {member} in winter {winter}: {source}")]
    Member {
        /// Number of the member.
        member: u32,
        /// Label of its winter.
        winter: String,
        /// What failed.
        source: SeasonError,
    },
    /// There is nothing to run.
    #[error("the plan has {members} members and {winters} winters; it needs at least one of each")]
    Nothing {
        /// Members of the plan.
        members: u32,
        /// Winters of the plan.
        winters: usize,
    },
    /// The caller asked to stop.
    #[error("interrupted")]
    Interrupted,
}

/// Told of every finished member, from any thread.
pub trait Watcher: Sync {
    /// A member has finished.
    fn finished(&self);
    /// So many members are to run in all; said again when they become more.
    fn planned(&self, _members: u32) {}
    /// Whether to stop: members not yet begun are left.
    fn stop(&self) -> bool;
}

/// No one watches.
impl Watcher for () {
    fn finished(&self) {}
    fn stop(&self) -> bool {
        false
    }
}

/// Runs every member of `plan`; rows in the order of members, whatever the threads.
///
/// # Errors
/// [`EnsembleError`]; of several failing members the one with the lowest number is named.
pub fn run(plan: &Plan, watcher: &impl Watcher) -> Result<Vec<MemberRow>, EnsembleError> {
    run_from(plan, 0, watcher)
}

/// As [`run`], of the members from `first` on: members do not depend on how many there are, so an ensemble can grow.
///
/// # Errors
/// As [`run`].
pub fn run_from(
    plan: &Plan,
    first: u32,
    watcher: &impl Watcher,
) -> Result<Vec<MemberRow>, EnsembleError> {
    plan.check()?;
    let draws = plan.draws();
    let rows = Rows { plan, draws };
    run_members(&rows, first as usize..plan.members as usize, watcher)
}

/// The members of a plan, kept as rows.
struct Rows<'a> {
    plan: &'a Plan,
    draws: Draws,
}

impl Enlist for Rows<'_> {
    type Kept = MemberRow;

    fn member(&self, number: usize) -> (Member, &Site, &Forcing) {
        let (plan, number) = (self.plan, number as u32);
        let forcing = &plan.winters[plan.winter_of(number)];
        (plan.member(&self.draws, number), &plan.site, forcing)
    }

    fn keep(&self, number: usize, member: &Member, outcome: Outcome) -> MemberRow {
        row(self.plan, number as u32, member, outcome)
    }
}

/// What tables say of a member.
fn row(plan: &Plan, number: u32, member: &Member, outcome: Outcome) -> MemberRow {
    let winter = plan.winter_of(number);
    let forcing = &plan.winters[winter];
    let mut daily_stores_kg: Vec<f32> = Vec::with_capacity(forcing.days());
    daily_stores_kg.extend(outcome.days.iter().map(|day| day.stores_kg as f32));
    daily_stores_kg.resize(forcing.days(), outcome.stores_left_kg as f32);
    MemberRow {
        member: number,
        winter,
        bees: member.colony.bees,
        stores_kg: member.colony.stores_kg,
        bare_kg: outcome.bare_kg,
        end: outcome.end,
        end_date: outcome.end_date,
        need_kg: outcome.need_kg,
        start_need_kg: outcome.start_need_kg,
        used: outcome.used,
        left_kg: outcome.stores_left_kg,
        feed: outcome.feed,
        bees_end: outcome.bees,
        headcount: outcome.headcount,
        brood: outcome.brood,
        confined_days: outcome.gut.longest_days,
        gut_share: outcome.gut.highest_share(&member.parameters),
        gut_past_limit: outcome.gut.past_limit(&member.parameters),
        coldest_mantle_c: outcome.coldest_mantle_c,
        wetness: outcome.wetness,
        ledger: outcome.ledger,
        monthly_heat: outcome.monthly_heat,
        daily_stores_kg,
        daily_heat_w: outcome.days.iter().map(|day| day.heat_w as f32).collect(),
        daily_gross_kg: outcome.days.iter().map(|day| day.gross_kg as f32).collect(),
        daily_wet_lid_h: outcome.days.iter().map(|day| day.wet_lid_h as u8).collect(),
    }
}
