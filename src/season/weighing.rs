//! What a scale under a hive would show of its colony, day by day.

use super::balance::Site;
use super::course::Course;
use super::forcing::Forcing;
use super::run::{Member, SeasonError};
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
    let mut course = Course::begin(member, site, forcing, &mut solver)?;
    course.life.feed();
    let weigh = |course: &Course<'_>| {
        let used_kg = course.life.used.total_kg();
        Weighed {
            change_kg: course.bare_kg() + course.life.feeder.on_hive_kg() - used_kg,
            used_kg,
        }
    };
    let mut midnights = vec![weigh(&course)];
    for day in 0..days.min(forcing.days()) {
        let today = course.hours(day, &mut solver, &mut |_| {})?;
        course.life.end_day(&today, &member.parameters);
        midnights.push(weigh(&course));
    }
    Ok(midnights)
}
