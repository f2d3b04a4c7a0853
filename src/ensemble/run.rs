//! Runs the members of a plan on all cores.

use super::draws::Draws;
use super::ensemble_error::EnsembleError;
use super::members::MemberRows;
use super::parallel::{MemberRuns, run_members};
use super::plan::Plan;
use super::rows::{MemberDays, MemberRow};
use super::spill::RowsError;
use super::watcher::Watcher;
use crate::season::{Forcing, Member, Outcome, Site};
use std::ops::Range;

/// Members that are run before the next are begun: so many that the cores of large machines seldom wait for the last, and so few that their days fit in memory
/// (own choice).
const AT_ONCE: usize = 4096;

/// Runs every member of `plan`; rows in the order of members, whatever the threads.
///
/// # Errors
/// [`EnsembleError`]; of several failing members the one with the lowest number is named.
pub fn run(plan: &Plan, watcher: &impl Watcher) -> Result<MemberRows, EnsembleError> {
    let mut rows = MemberRows::new();
    grow(plan, &mut rows, watcher)?;
    Ok(rows)
}

/// As [`run`], of the members that `rows` lacks: members do not depend on how many there are, so an ensemble can grow. When it fails, `rows` may have grown
/// by some of them.
///
/// # Errors
/// As [`run`].
pub fn grow(
    plan: &Plan,
    rows: &mut MemberRows,
    watcher: &impl Watcher,
) -> Result<(), EnsembleError> {
    rows.stop_on(watcher.flag());
    rows.make_ready_for(plan.members as usize)?;
    let lacking = rows.len()..plan.members as usize;
    run_in_turn(
        plan,
        (lacking, AT_ONCE),
        row_and_days,
        watcher,
        |(row, days)| rows.push(row, days),
    )
}

/// As [`run`], but keeps only what `K` takes of each row: no days, and nothing is put aside.
///
/// # Errors
/// As [`run`].
pub fn run_as<K>(plan: &Plan, watcher: &impl Watcher) -> Result<Vec<K>, EnsembleError>
where
    K: for<'r> From<&'r MemberRow> + Send,
{
    let mut kept = Vec::with_capacity(plan.members as usize);
    let keep = |plan: &Plan, number, member: &Member, outcome: Outcome| {
        K::from(&row(plan, number, member, &outcome))
    };
    let all = 0..plan.members as usize;
    run_in_turn(plan, (all, AT_ONCE), keep, watcher, |own| {
        kept.push(own);
        Ok(())
    })?;
    Ok(kept)
}

/// Runs members so many at once, and hands over what `keep` keeps of them in their order.
fn run_in_turn<K: Send>(
    plan: &Plan,
    (members, at_once): (Range<usize>, usize),
    keep: impl Fn(&Plan, u32, &Member, Outcome) -> K + Sync,
    watcher: &impl Watcher,
    mut take: impl FnMut(K) -> Result<(), RowsError>,
) -> Result<(), EnsembleError> {
    plan.check()?;
    let listed = Listed {
        plan,
        draws: plan.draws(),
        keep,
    };
    for first in members.clone().step_by(at_once) {
        let some = first..members.end.min(first + at_once);
        for kept in run_members(&listed, some, watcher)? {
            take(kept)?;
        }
    }
    Ok(())
}

/// The members of a plan, and what is kept of them.
struct Listed<'a, F> {
    plan: &'a Plan,
    draws: Draws,
    keep: F,
}

impl<K: Send, F: Fn(&Plan, u32, &Member, Outcome) -> K + Sync> MemberRuns for Listed<'_, F> {
    type Kept = K;

    fn member(&self, number: usize) -> (Member, &Site, &Forcing) {
        let (plan, number) = (self.plan, number as u32);
        let forcing = &plan.winters[plan.winter_of(number)];
        (plan.member(&self.draws, number), &plan.site, forcing)
    }

    fn keep(&self, number: usize, member: &Member, outcome: Outcome) -> K {
        (self.keep)(self.plan, number as u32, member, outcome)
    }
}

/// What tables say of a member, and its days.
fn row_and_days(
    plan: &Plan,
    number: u32,
    member: &Member,
    outcome: Outcome,
) -> (MemberRow, MemberDays) {
    let days = &outcome.days;
    let of_winter = plan.winters[plan.winter_of(number)].days();
    let mut stores_kg: Vec<f32> = Vec::with_capacity(of_winter);
    stores_kg.extend(days.iter().map(|day| day.stores_kg as f32));
    stores_kg.resize(of_winter, outcome.stores_left_kg as f32);
    let own = MemberDays {
        daily: [
            stores_kg,
            days.iter().map(|day| day.heat_w as f32).collect(),
            days.iter().map(|day| day.gross_kg as f32).collect(),
            days.iter().map(|day| day.wet_lid_h as f32).collect(),
        ],
        monthly_heat: outcome.monthly_heat,
    };
    (row(plan, number, member, &outcome), own)
}

/// What tables say of a member.
fn row(plan: &Plan, number: u32, member: &Member, outcome: &Outcome) -> MemberRow {
    MemberRow {
        member: number,
        winter: plan.winter_of(number),
        bees: member.colony.bees,
        stores_kg: member.colony.stores_kg,
        bare_kg: outcome.bare_kg,
        end: outcome.end,
        end_date: outcome.end_date,
        days: outcome.days.len(),
        need_kg: outcome.need_kg,
        need_before_brood_kg: outcome.need_before_brood_kg,
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
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario;
    use std::sync::atomic::{AtomicU32, Ordering};

    const MEMBERS: u32 = 23;

    fn plan() -> Plan {
        let mut plan = scenario::built_in().prepare().expect("a plan").plan;
        plan.members = MEMBERS;
        plan
    }

    /// Rows of members run so many at once, and how it ended.
    fn rows(
        plan: &Plan,
        at_once: usize,
        watcher: &impl Watcher,
    ) -> (Vec<MemberRow>, Result<(), EnsembleError>) {
        let mut rows = Vec::new();
        let all = 0..plan.members as usize;
        let ended = run_in_turn(plan, (all, at_once), row_and_days, watcher, |(row, _)| {
            rows.push(row);
            Ok(())
        });
        (rows, ended)
    }

    #[test]
    fn members_run_turn_by_turn_are_those_run_at_once() {
        let plan = plan();
        let (at_once, ended) = rows(&plan, 100, &());
        assert_eq!((at_once.len(), ended), (MEMBERS as usize, Ok(())));
        assert!(
            (0..)
                .zip(&at_once)
                .all(|(number, row)| row.member == number)
        );
        for turn in [1, 5, 23] {
            assert_eq!(rows(&plan, turn, &()), (at_once.clone(), Ok(())));
        }
    }

    /// Asks to stop once so many members have run.
    struct After(u32, AtomicU32);

    impl Watcher for After {
        fn finished(&self) {
            self.1.fetch_add(1, Ordering::Relaxed);
        }

        fn stop(&self) -> bool {
            self.1.load(Ordering::Relaxed) > self.0
        }
    }

    #[test]
    fn whole_turns_are_kept_when_asked_to_stop() {
        let (kept, ended) = rows(&plan(), 8, &After(8, AtomicU32::new(0)));
        assert_eq!(ended, Err(EnsembleError::Interrupted));
        assert_eq!(kept.len(), 8);
    }

    #[test]
    fn a_member_that_fails_in_a_later_turn_is_named() {
        let mut plan = plan();
        // Of three winters the third has no day; the first turn has members of the first two alone.
        plan.winters.truncate(3);
        plan.winters[2].instants.truncate(1);
        let (kept, ended) = rows(&plan, 2, &());
        assert_eq!(kept.len(), 2);
        assert!(
            matches!(ended, Err(EnsembleError::Member { member: 2, .. })),
            "{ended:?}"
        );
    }
}
