//! What a scale under a hive would show of its colony, day by day.

use super::forcing::Forcing;
use super::hive_site::Site;
use super::run_input::Member;
use super::season_error::SeasonError;
use super::season_run::SeasonRun;
use super::solver::Solver;

/// A midnight on the scale.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Weighed {
    /// Weight of the hive with all that is in it, less the honey that the colony has used since the start, and without the honey it started
    /// with, kg: below zero where it used more than all else weighs. Only its changes mean anything.
    pub change_kg: f64,
    /// Honey used since the start, kg.
    pub used_kg: f64,
}

/// Weighs a member at each midnight from the start of the winter to the end of so many days. The colony is led as one that never lacks
/// honey, since one that was weighed was alive and may have been fed.
///
/// # Errors
/// As [`run`](super::run()).
pub fn weighing(
    member: &Member,
    site: &Site,
    forcing: &Forcing,
    days: usize,
) -> Result<Vec<Weighed>, SeasonError> {
    let mut solver = Solver::default();
    let mut season_run = SeasonRun::begin(member, site, forcing, &mut solver)?;
    season_run.life.feed();
    let weigh = |season_run: &SeasonRun<'_>| {
        let used_kg = season_run.life.used.total_kg();
        Weighed {
            change_kg: season_run.bare_kg() + season_run.life.feeder.on_hive_kg() - used_kg,
            used_kg,
        }
    };
    let mut midnights = vec![weigh(&season_run)];
    for day in 0..days.min(forcing.days()) {
        let today = season_run.hours(day, &mut solver, &mut |_| {})?;
        season_run.life.end_day(&today, &member.parameters);
        midnights.push(weigh(&season_run));
    }
    Ok(midnights)
}
