//! The rest of a winter from a day in the midst of it, for a colony as its keeper found it on that day.
//!
//! Hive, brood and cluster are led to that day from the start of the winter, so that the wood is as wet, the brood as old and the combs as
//! cold as they would be by then. The colony is led there twice: once as if fed, to learn what it uses and loses until then, and
//! once from the stores and the bees that by this leave about what was found; what still differs is put right on that day.

use super::forcing::Forcing;
use super::hive_site::Site;
use super::outcome::date_of;
use super::run_input::Member;
use super::season_error::SeasonError;
use super::season_run::SeasonRun;
use super::solver::Solver;
use crate::colony::{Colony, End};
use jiff::civil::Date;

/// What is known of the honey in a hive on a day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Honey {
    /// Nothing: what is left of the stores at the start.
    Expected,
    /// So much, kg.
    Stores(f64),
    /// The hive with all that is in it weighs so much, kg; honey is what hive, bees, brood and water do not weigh.
    Gross(f64),
}

/// A colony as its keeper found it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Found {
    /// Day counted from 0 at the start of the winter; the colony is as it stands when the day begins.
    pub day: usize,
    /// Adult bees; none to take those that the winter has left. Met to about a per cent, as losses do not go quite by their number.
    pub bees: Option<f64>,
    /// Its honey.
    pub honey: Honey,
}

/// What becomes of the colony with some honey given on the day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fed {
    /// Given over the cluster, as honey, kg.
    pub feed_kg: f64,
    /// How it ends.
    pub end: End,
    /// When, counted from the start of the winter; none when alive at first forage.
    pub end_day: Option<usize>,
    /// Date of it.
    pub end_date: Option<Date>,
    /// Honey left then or at first forage, kg.
    pub left_kg: f64,
}

/// The rest of one winter.
#[derive(Clone, Debug, PartialEq)]
pub struct Rest {
    /// Bees on the day.
    pub bees: f64,
    /// Brood cells on the day.
    pub brood: f64,
    /// Honey on the day, kg.
    pub stores_kg: f64,
    /// Syrup that stands in its feeder on the day, kg.
    pub feeder_kg: f64,
    /// What the hive weighs on the day with all that is in it, kg.
    pub gross_kg: f64,
    /// Honey that the rest of the winter takes when the colony never lacks any, kg.
    pub need_kg: f64,
    /// For each feed asked for.
    pub fed: Vec<Fed>,
}

/// Leads a member to a day, makes it what was found there, and goes on with each of `feeds_kg`, smallest first. `None` where the colony
/// had ended by then, which happens only when honey is [`Honey::Expected`].
///
/// # Errors
/// As [`run`](super::run()).
pub fn rest(
    member: &Member,
    site: &Site,
    forcing: &Forcing,
    found: &Found,
    feeds_kg: &[f64],
) -> Result<Option<Rest>, SeasonError> {
    let mut walk = Walk {
        forcing,
        solver: Solver::default(),
    };
    let day = found.day.min(forcing.days());
    let mut known = SeasonRun::begin(member, site, forcing, &mut walk.solver)?;
    if found.honey != Honey::Expected {
        known.life.feed();
    }
    if walk.on(member, &mut known, 0..day)?.is_some() {
        return Ok(None);
    }
    if found.honey == Honey::Expected && found.bees.is_none() {
        return walk.branches(member, known, day, feeds_kg).map(Some);
    }
    let as_found = Member {
        colony: start_of(member, &known, found),
        ..member.clone()
    };
    // Its search begins anew, as that of any other winter.
    walk.solver = Solver::default();
    let mut season_run = SeasonRun::begin(&as_found, site, forcing, &mut walk.solver)?;
    season_run.life.feed();
    walk.on(&as_found, &mut season_run, 0..day)?;
    if let Some(bees) = found.bees {
        let left = season_run.life.bees.total();
        if left > 0.0 {
            season_run.life.bees.scale(bees / left);
        }
    }
    let honey_kg = match found.honey {
        Honey::Expected => known.life.stores.total_kg(),
        Honey::Stores(kg) => kg,
        Honey::Gross(kg) => {
            (kg - season_run.bare_kg() - season_run.life.feeder.syrup_kg()).max(0.0)
        }
    };
    season_run.life.found(honey_kg);
    season_run.hours.spells.forget_cold();
    walk.branches(&as_found, season_run, day, feeds_kg)
        .map(Some)
}

/// The colony at the start of which about the one found is left, from one that was led to the same day.
fn start_of(member: &Member, known: &SeasonRun<'_>, found: &Found) -> Colony {
    let p = &member.parameters;
    let bees = known.life.bees.total();
    let scale = found.bees.map_or(1.0, |found| found / bees);
    let honey_kg = match found.honey {
        Honey::Expected => known.life.stores.total_kg(),
        Honey::Stores(kg) => kg,
        Honey::Gross(kg) => {
            kg - known.bare_kg()
                - known.life.feeder.syrup_kg()
                - (scale - 1.0) * bees * p.bee_mass_kg
        }
    };
    let fed_kg = known.life.feeder.count.stored_kg;
    Colony {
        bees: scale * member.colony.bees,
        stores_kg: (honey_kg.max(0.0) + known.life.used.total_kg() - fed_kg).max(0.0),
        ..member.colony.clone()
    }
}

struct Walk<'a> {
    forcing: &'a Forcing,
    solver: Solver,
}

impl Walk<'_> {
    /// Leads a run through days; the day on which it ended, if it did.
    fn on(
        &mut self,
        member: &Member,
        season_run: &mut SeasonRun<'_>,
        days: std::ops::Range<usize>,
    ) -> Result<Option<(End, usize)>, SeasonError> {
        for day in days {
            let today = season_run.hours(day, &mut self.solver, &mut |_| {})?;
            if let Some(end) = season_run.life.end_day(&today, &member.parameters) {
                return Ok(Some((end, day)));
            }
        }
        Ok(None)
    }

    fn branches(
        &mut self,
        member: &Member,
        season_run: SeasonRun<'_>,
        day: usize,
        feeds_kg: &[f64],
    ) -> Result<Rest, SeasonError> {
        let rest = day..self.forcing.days();
        let used_kg = season_run.life.used.total_kg();
        let mut fed: Vec<Fed> = Vec::with_capacity(feeds_kg.len());
        // Once a colony lacks nothing, more honey is only left over.
        let mut ample_kg: Option<f64> = None;
        for feed_kg in feeds_kg.iter().copied() {
            if let (Some(_), Some(last)) = (ample_kg, fed.last().copied()) {
                let left_kg = last.left_kg + feed_kg - last.feed_kg;
                fed.push(Fed {
                    feed_kg,
                    left_kg,
                    ..last
                });
                continue;
            }
            let mut branch = season_run.clone();
            branch.life.give(feed_kg, branch.seams());
            let end = self.on(member, &mut branch, rest.clone())?;
            if branch.life.unlimited && end.is_none() {
                ample_kg = Some(branch.life.used.total_kg() - used_kg);
            }
            fed.push(Fed {
                feed_kg,
                end: end.map_or(End::Alive, |(end, _)| end),
                end_day: end.map(|(_, day)| day),
                end_date: end.and_then(|(_, day)| date_of(self.forcing, day)),
                left_kg: branch.life.stores.total_kg(),
            });
        }
        let need_kg = match ample_kg {
            Some(need_kg) => need_kg,
            None => {
                let mut ample = season_run.clone();
                ample.life.feed();
                self.on(member, &mut ample, rest)?;
                ample.life.used.total_kg() - used_kg
            }
        };
        Ok(Rest {
            bees: season_run.life.bees.total(),
            brood: season_run.life.brood.total(),
            stores_kg: season_run.life.stores.total_kg(),
            feeder_kg: season_run.life.feeder.syrup_kg(),
            gross_kg: season_run.gross_kg(),
            need_kg,
            fed,
        })
    }
}
