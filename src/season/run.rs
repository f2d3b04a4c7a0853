//! A colony led through a winter.

use super::forcing::Forcing;
use super::hive_site::Site;
use super::integrator::{Advance, Watch};
use super::log::Log;
use super::outcome::Outcome;
use super::run_input::Member;
use super::season_error::SeasonError;
use super::season_run::SeasonRun;
use super::solver::Solver;

/// Runs a member through a winter.
///
/// # Errors
/// [`SeasonError`] when a step finds no balance.
pub fn run(member: &Member, site: &Site, forcing: &Forcing) -> Result<Outcome, SeasonError> {
    run_with(member, site, forcing, &mut Solver::default(), &mut |_| {})
}

/// As [`run`], with the integrator to use and an observer of every hour that the colony lives.
///
/// # Errors
/// As [`run`].
pub fn run_with(
    member: &Member,
    site: &Site,
    forcing: &Forcing,
    advance: &mut impl Advance,
    watch: &mut impl FnMut(Watch<'_>),
) -> Result<Outcome, SeasonError> {
    let p = &member.parameters;
    let mut season_run = SeasonRun::begin(member, site, forcing, advance)?;
    let mut log = Log::new(&season_run);
    // Where scant stores, or the end, first told: from there on the colony is run again as if fed.
    let mut fed: Option<(usize, SeasonRun<'_>)> = None;
    for day in 0..forcing.days() {
        let today = season_run.hours(day, advance, watch)?;
        if let Some(life) = log.close_day(&mut season_run, day, &today) {
            fed = Some((day + 1, season_run.with_life(life)));
        }
        if log.has_ended() {
            break;
        }
    }
    if let Some((first, fed)) = &mut fed {
        for day in *first..forcing.days() {
            let today = fed.hours(day, advance, &mut |_| {})?;
            fed.life.end_day(&today, p);
        }
    }
    Ok(log.outcome(&season_run, fed.as_ref().map(|(_, fed)| &fed.life)))
}
