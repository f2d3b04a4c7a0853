//! A winter hour by hour, for looking at.

use super::forcing::Forcing;
use super::hive_site::Site;
use super::ledger::{Ledger, LossPath};
use super::outcome::Outcome;
use super::run::run_with;
use super::run_input::Member;
use super::season_error::SeasonError;
use super::solver::Solver;
use super::state::State;
use super::wetness::Dampness;
use crate::colony::{Cluster, Place, brood::Stage, cluster::radius_m};
use crate::hive::MOST_BOXES;
use jiff::ToSpan as _;
use jiff::civil::DateTime;

/// One hour of a winter: temperatures and cluster at its end, heat as the mean over it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TraceHour {
    /// Local standard time of the hour's end.
    pub time: DateTime,
    /// Outside air, degC.
    pub outside_c: f64,
    /// Wind at the hive, m/s.
    pub wind_m_s: f64,
    /// Core, degC.
    pub core_c: f64,
    /// Mantle, degC.
    pub mantle_c: f64,
    /// Air right beside the mantle between the combs, degC.
    pub beside_c: f64,
    /// Air over the cluster, up to the lid, degC.
    pub column_c: f64,
    /// Upper air beside that, degC.
    pub upper_c: f64,
    /// Lower air, degC.
    pub lower_c: f64,
    /// Combs and stores, degC.
    pub comb_c: f64,
    /// Cluster's tightness, 0 to 1.
    pub tightness: f64,
    /// Cluster's radius, m.
    pub radius_m: f64,
    /// Heat made, W.
    pub made_w: f64,
    /// Heat that went into storage, W.
    pub stored_w: f64,
    /// Heat lost by path, W, in the order of [`LossPath::ALL`].
    pub paths_w: [f64; LossPath::ALL.len()],
    /// Humidity, condensate and water in layers.
    pub dampness: Dampness,
    /// What the hive weighs, bees and honey as at the last midnight, kg; without rain, snow and stand.
    pub gross_kg: f64,
    /// Honey left at the last midnight, kg.
    pub stores_kg: f64,
    /// Where the cluster is, and what is in its reach.
    pub place: Place,
    /// Honey in each box at the last midnight from the bottom up, kg; 0 for boxes that the hive does not have.
    pub boxes_kg: [f64; MOST_BOXES],
    /// Adult bees at the last midnight.
    pub bees: f64,
    /// Those of them that were reared in winter.
    pub reared_bees: f64,
    /// Brood cells at the last midnight.
    pub brood: f64,
    /// They by stage, in the order of [`Stage::ALL`].
    pub stages: [f64; Stage::ALL.len()],
    /// Faeces that a bee held at the last midnight, as a share of its mass.
    pub gut_share: f64,
}

/// The state of hive and cluster at the coldest hour that the colony lived, outside; the first of several as cold.
#[derive(Clone, Debug, PartialEq)]
pub struct ColdestHour {
    /// Its place in the hours of the trace.
    pub hour: usize,
    /// Temperatures and water at its end.
    pub state: State,
    /// Temperatures of the inside surfaces then, chain by chain, while no water frees heat on them, degC.
    pub inside_c: Vec<f64>,
    /// The same of the outside surfaces, with sun and sky.
    pub outside_c: Vec<f64>,
    /// Radius of the core, a ball of its volume, m.
    pub core_radius_m: f64,
    /// Share of the lid over the cluster's warm column.
    pub column_share: f64,
}

/// Runs a member through a winter and keeps every hour.
///
/// # Errors
/// As [`run`](super::run()).
pub fn trace(
    member: &Member,
    site: &Site,
    forcing: &Forcing,
) -> Result<(Outcome, Vec<TraceHour>), SeasonError> {
    trace_with_coldest(member, site, forcing).map(|(outcome, hours, _)| (outcome, hours))
}

/// As [`trace`], with all of the state at the coldest hour; none where the colony lived none.
///
/// # Errors
/// As [`run`](super::run()).
pub fn trace_with_coldest(
    member: &Member,
    site: &Site,
    forcing: &Forcing,
) -> Result<(Outcome, Vec<TraceHour>, Option<ColdestHour>), SeasonError> {
    let mut least_c = f64::INFINITY;
    let mut coldest = None;
    let mut hours = Vec::with_capacity(forcing.instants.len());
    let mut before = Ledger::default();
    let mut solver = Solver::default();
    let outcome = run_with(member, site, forcing, &mut solver, &mut |watch| {
        let ledger = watch.ledger;
        let mean_w = |now_j: f64, then_j: f64| (now_j - then_j) / 3600.0;
        let mut paths_w = [0.0; LossPath::ALL.len()];
        for (path_w, path) in paths_w.iter_mut().zip(LossPath::ALL) {
            *path_w = mean_w(ledger.lost_j(path), before.lost_j(path));
        }
        let cluster: &Cluster = watch.balance.cluster();
        let mut boxes_kg = [0.0; MOST_BOXES];
        let of_boxes = boxes_kg.iter_mut().zip(watch.life.stores.boxes_kg());
        of_boxes.for_each(|(kg, of_box_kg)| *kg = of_box_kg);
        hours.push(TraceHour {
            // A winter lies within the calendar: the sum cannot leave it.
            time: forcing.start.saturating_add((watch.hour as i64).hours()),
            outside_c: watch.weather.outside_c,
            wind_m_s: watch.weather.wind_m_s,
            core_c: watch.state.core_c,
            mantle_c: watch.state.mantle_c,
            beside_c: watch.balance.beside_c(watch.state),
            column_c: watch.state.column_c,
            upper_c: watch.state.upper_c,
            lower_c: watch.state.lower_c,
            comb_c: watch.state.comb_c,
            tightness: watch.state.tightness,
            radius_m: cluster.radius_m(watch.state.tightness),
            made_w: mean_w(ledger.made_j, before.made_j),
            stored_w: mean_w(ledger.stored_j, before.stored_j),
            paths_w,
            dampness: watch.dampness,
            gross_kg: watch.gross_kg(),
            stores_kg: watch.life.stores.total_kg(),
            place: watch.life.place(watch.seams),
            boxes_kg,
            bees: watch.life.bees.total(),
            reared_bees: watch.life.bees.headcount().reared,
            brood: watch.life.brood.total(),
            stages: Stage::ALL.map(|stage| watch.life.brood.of(stage)),
            gut_share: watch.life.gut.share(&member.parameters),
        });
        before = *ledger;
        if watch.weather.outside_c < least_c {
            least_c = watch.weather.outside_c;
            let core_m3 = cluster.core_m3(watch.state.tightness);
            coldest = Some(ColdestHour {
                hour: hours.len() - 1,
                state: watch.state.clone(),
                inside_c: watch.balance.surfaces_c(watch.state),
                outside_c: watch
                    .balance
                    .outside_surfaces_c(watch.state, &watch.weather),
                core_radius_m: radius_m(core_m3, 1.0),
                column_share: watch.balance.column_share,
            });
        }
    })?;
    Ok((outcome, hours, coldest))
}

impl TraceHour {
    /// Local standard time of the hour's beginning.
    #[must_use]
    pub fn begin(&self) -> DateTime {
        self.time.saturating_sub(1.hour())
    }

    /// Year and month in which the hour begins.
    #[must_use]
    pub fn month(&self) -> (i16, i8) {
        let begin = self.begin();
        (begin.year(), begin.month())
    }
}
