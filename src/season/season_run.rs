//! One colony in one hive on its way through a winter, a day at a time.

use super::alteration::{days_in_force, kept_chains, kept_nodes};
use super::balance::{Balance, OfDay, column_share};
use super::forcing::Forcing;
use super::hive_site::Site;
use super::hourly_stepper::HourlyStepper;
use super::instant::Weather;
use super::integrator::colony_kg;
use super::integrator::{Advance, Watch};
use super::outcome::date_of;
use super::run_input::Member;
use super::season_error::SeasonError;
use super::wetness::Dampness;
use crate::colony::{Combs, Day, Life};
use crate::hive::{Hive, InForce, surface};
use crate::parameter::Parameters;
use crate::weather::sun::day_length_h;

/// Days of the first instant's weather that hive and cluster run through before the winter counts.
pub(super) const SETTLING_DAYS: usize = 3;
/// Hours of a day.
pub(super) const DAY_H: usize = 24;

/// Hive, cluster and colony at some midnight, and what has been counted so far.
#[derive(Clone)]
pub(super) struct SeasonRun<'a> {
    member: &'a Member,
    site: &'a Site,
    forcing: &'a Forcing,
    /// Changes of the hive that hold, day by day.
    schedule: Vec<InForce>,
    pub(super) in_force: InForce,
    /// Share of the lid over the cluster's warm column.
    column_share: f64,
    pub(super) hours: HourlyStepper,
    pub(super) life: Life,
    /// Hive, frames and empty comb without the water of the layers, kg.
    dry_kg: f64,
    /// Water on surfaces and in layers at the last midnight, kg.
    pub(super) on_hive_kg: f64,
}

impl<'a> SeasonRun<'a> {
    /// Before the winter: the hive as cold as outside, still to be settled by [`SETTLING_DAYS`] of the first instant's weather.
    pub(super) fn new(
        member: &'a Member,
        site: &'a Site,
        forcing: &'a Forcing,
    ) -> Result<Self, SeasonError> {
        member.hive.validate()?;
        let p = &member.parameters;
        let Some(first) = forcing.instants.first().filter(|_| forcing.days() > 0) else {
            return Err(SeasonError::NoDay {
                label: forcing.label.clone(),
            });
        };
        let schedule = days_in_force(&member.hive.changes, forcing);
        let in_force = schedule.first().copied().unwrap_or_default();
        let bees_kg = member.colony.bees * p.bee_mass_kg;
        let column_share = column_share(&member.hive, bees_kg, p);
        let mut balance = Balance::new(&member.hive.altered(in_force), column_share, site, p);
        let life = Life::new(&member.colony, combs(&member.hive), p);
        balance.set_colony(life.cluster(p), life.stores.total_kg());
        let dry_kg = dry_kg(member, in_force, &balance);
        let hours = HourlyStepper::new(balance, first, p);
        Ok(Self {
            member,
            site,
            forcing,
            schedule,
            in_force,
            column_share,
            on_hive_kg: hours.state.water.on_hive_kg(),
            hours,
            life,
            dry_kg,
        })
    }

    /// At the first instant of the winter, hive and cluster at rest under its weather.
    pub(super) fn begin(
        member: &'a Member,
        site: &'a Site,
        forcing: &'a Forcing,
        advance: &mut impl Advance,
    ) -> Result<Self, SeasonError> {
        let mut season_run = Self::new(member, site, forcing)?;
        for _ in 0..SETTLING_DAYS {
            let of_day = season_run.of_day();
            season_run.hours.begin_day(0.0, of_day);
            for _ in 0..DAY_H {
                let (station, daylight) = season_run.settling_weather();
                season_run.hour(station, daylight, advance)?;
            }
        }
        season_run.hours.count_anew(&member.parameters);
        season_run.on_hive_kg = season_run.hours.state.water.on_hive_kg();
        Ok(season_run)
    }

    /// The same with another colony in it.
    pub(super) fn with_life(&self, life: Life) -> Self {
        Self {
            life,
            ..self.clone()
        }
    }

    /// Parameters of its member.
    pub(super) fn parameters(&self) -> &'a Parameters {
        &self.member.parameters
    }

    /// Its winter.
    pub(super) fn forcing(&self) -> &'a Forcing {
        self.forcing
    }

    /// Weather at the station in the days before the winter, and whether the sun is up.
    pub(super) fn settling_weather(&self) -> (&'a Weather, bool) {
        (&self.forcing.instants[0], false)
    }

    /// Weather at the station at the end of an hour of a day, both counted from 0, and whether the sun is up.
    pub(super) fn weather(&self, day: usize, hour: usize) -> (&'a Weather, bool) {
        let end = day * DAY_H + hour + 1;
        (&self.forcing.instants[end], self.forcing.daylight[end])
    }

    /// Whether its keeper alters the hive as a day begins.
    pub(super) fn alters_on(&self, day: usize) -> bool {
        self.in_force_on(day) != self.in_force
    }

    fn in_force_on(&self, day: usize) -> InForce {
        self.schedule.get(day).copied().unwrap_or_default()
    }

    /// Begins a day, counted from 0: the keeper alters the hive and brings feed.
    pub(super) fn begin_day(&mut self, day: usize) -> OfDay {
        self.alter_on(day);
        self.bring_feed(day);
        self.of_day()
    }

    /// Alters the hive if its keeper does so as a day begins.
    pub(super) fn alter_on(&mut self, day: usize) {
        if self.alters_on(day) {
            self.alter(self.in_force_on(day));
        }
    }

    /// Cluster and honey as they stand.
    pub(super) fn of_day(&self) -> OfDay {
        let cluster = self.life.cluster(self.parameters());
        let stores_kg = self.life.stores.total_kg();
        self.hours.balance.of_day(cluster, stores_kg)
    }

    /// What the hours of a day that has ended tell the colony.
    pub(super) fn told(&self, day: usize) -> Day {
        let (today, spells) = (&self.hours.today, &self.hours.spells);
        let of_year = self.forcing.first_day + day as f64;
        Day {
            day: of_year,
            daylight_h: day_length_h(self.site.latitude_deg, of_year),
            outside_c: today.outside_c,
            flight_h: today.flight_h,
            cleansing_h: today.cleansing_h,
            syrup_h: today.syrup_h,
            heat_j: self.hours.ledger.made_j - today.began_made_j,
            flight_heat_j: today.flight_heat_j,
            seams: 2.0 * today.radius_m / self.member.hive.comb_pitch_m,
            nest_c: today.nest_c,
            could_climb: spells.could_climb(),
            could_cross: spells.could_cross(),
            chilled: spells.chilled(),
        }
    }

    /// Alters the hive as a keeper does at midnight: what stays keeps its temperatures and its water, what is new has the outside's
    /// temperature and is as dry as layers are at the start. Heat that layers bring or take with them is no storage of the ledger; their water is booked as drained.
    fn alter(&mut self, in_force: InForce) {
        let before = self.member.hive.altered(self.in_force);
        let hive = self.member.hive.altered(in_force);
        let p = &self.member.parameters;
        let balance = Balance::new(&hive, self.column_share, self.site, p);
        let old = surface::chains_with_column(&before, self.column_share);
        let new = surface::chains_with_column(&hive, self.column_share);
        let kept = (
            kept_nodes((&before, &old), (&hive, &new)),
            kept_chains(&old, &new),
        );
        let state = &mut self.hours.state;
        let water = balance.moisture.carried(
            &self.hours.balance.moisture,
            &state.water,
            (&kept.0, &kept.1),
            p.start_humidity,
        );
        let taken_kg = state.water.on_hive_kg() - water.on_hive_kg();
        self.hours.ledger.water.drained_kg += taken_kg;
        self.hours.ledger.water.stored_kg -= taken_kg;
        let walls_c = kept.0.iter();
        state.walls_c = walls_c
            .map(|kept| kept.map_or(self.hours.from.outside_c, |node| state.walls_c[node]))
            .collect();
        state.water = water;
        self.dry_kg = dry_kg(self.member, in_force, &balance);
        self.hours.balance = balance;
        self.in_force = in_force;
    }

    /// What the hive weighs at the last midnight with all that is in it, kg.
    pub(super) fn gross_kg(&self) -> f64 {
        let hive_kg = self.dry_kg + self.on_hive_kg;
        hive_kg + colony_kg(&self.life, self.parameters())
    }

    /// The same without honey and feed, kg.
    pub(super) fn bare_kg(&self) -> f64 {
        self.gross_kg() - self.life.stores.total_kg() - self.life.feeder.syrup_kg()
    }

    /// Seams that the cluster covers.
    pub(super) fn seams(&self) -> f64 {
        let radius_m = self
            .hours
            .balance
            .cluster()
            .radius_m(self.hours.state.tightness);
        2.0 * radius_m / self.member.hive.comb_pitch_m
    }

    /// Brings the feed of a day, counted from 0, as it begins.
    fn bring_feed(&mut self, day: usize) {
        let member = self.member;
        if member.colony.feeds.is_empty() {
            return;
        }
        let today = date_of(self.forcing, day).map(|date| (date.month(), date.day()));
        let seams = self.seams();
        for feed in &member.colony.feeds {
            if today == Some(feed.on) {
                self.life.bring(feed, seams, &member.parameters);
            }
        }
    }

    /// Runs the hours of a day, counted from 0. What they tell the colony for its day's end.
    pub(super) fn hours(
        &mut self,
        day: usize,
        advance: &mut impl Advance,
        watch: &mut impl FnMut(Watch<'_>),
    ) -> Result<Day, SeasonError> {
        let of_day = self.begin_day(day);
        self.hours.begin_day(day as f64, of_day);
        for hour in 0..DAY_H {
            let (station, daylight) = self.weather(day, hour);
            self.hour(station, daylight, advance)?;
            let (balance, state) = (&self.hours.balance, &self.hours.state);
            watch(Watch {
                hour: day * DAY_H + hour + 1,
                weather: self.hours.from,
                state,
                dampness: Dampness::of(balance, state),
                dry_kg: self.dry_kg,
                seams: self.seams(),
                balance,
                life: &self.life,
                ledger: &self.hours.ledger,
                parameters: self.parameters(),
            });
        }
        self.on_hive_kg = self.hours.state.water.on_hive_kg();
        Ok(self.told(day))
    }

    fn hour(
        &mut self,
        station: &Weather,
        daylight: bool,
        advance: &mut impl Advance,
    ) -> Result<(), SeasonError> {
        let advanced = self
            .hours
            .hour(station, daylight, |balance, state, (from, to), ledger| {
                let advanced = advance.hour(balance, state, from, to, ledger);
                advanced.map_err(|error| vec![(0, error)])
            });
        match advanced.map_err(|mut failed| failed.pop()) {
            Err(Some((_, error))) => Err(error),
            _ => Ok(()),
        }
    }
}

/// Mass of hive and frames without the water that its layers hold at the start of winter: densities of materials count that in.
fn dry_kg(member: &Member, in_force: InForce, balance: &Balance) -> f64 {
    let p = &member.parameters;
    let at_start = balance.moisture.start(0.0, p.start_humidity);
    member.hive.empty_kg(in_force, p) - at_start.on_hive_kg()
}

/// The combs of a hive, as its colony's stores stand in them.
fn combs(hive: &Hive) -> Combs {
    Combs {
        seams: hive.frames,
        boxes: hive.cavity.boxes,
        pitch_m: hive.comb_pitch_m,
        box_height_m: hive.cavity.box_height_m,
        length_m: hive.cavity.length_m,
    }
}
