//! One colony in one hive on its way through a winter, a day at a time.

use super::alteration::{days_in_force, kept_chains, kept_nodes};
use super::balance::{Balance, Site, State, Weather};
use super::forcing::Forcing;
use super::ledger::Ledger;
use super::run::{Advance, Member, SeasonError, Watch, date_of};
use super::water::WaterLedger;
use super::wetness::{Dampness, Wetness};
use crate::colony::{Combs, Day, End, Life};
use crate::hive::{Hive, InForce, surface};
use crate::parameter::Parameters;
use crate::weather::sun::day_length_h;

/// Days of the first instant's weather that hive and cluster run through before the winter counts.
const SETTLING_DAYS: usize = 3;

/// Hive, cluster and colony at some hour, and what has been counted so far.
#[derive(Clone)]
pub(super) struct Course<'a> {
    member: &'a Member,
    site: &'a Site,
    forcing: &'a Forcing,
    /// Changes of the hive that hold, day by day.
    schedule: Vec<InForce>,
    pub(super) in_force: InForce,
    balance: Balance,
    state: State,
    from: Weather,
    pub(super) life: Life,
    pub(super) ledger: Ledger,
    pub(super) coldest_mantle_c: f64,
    pub(super) wetness: Wetness,
    /// Hive, frames and empty comb without the water of the layers, kg.
    dry_kg: f64,
}

impl<'a> Course<'a> {
    /// At the first instant of the winter, hive and cluster at rest under its weather.
    pub(super) fn begin(
        member: &'a Member,
        site: &'a Site,
        forcing: &'a Forcing,
        advance: &mut impl Advance,
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
        let mut balance = Balance::new(&member.hive.altered(in_force), site, p);
        let life = Life::new(&member.colony, combs(&member.hive), p);
        balance.set_colony(life.cluster(p), life.stores.total_kg());
        let from = balance.at_hive(first);
        let mut state = balance.start(&from);
        let dry_kg = dry_kg(member, in_force, &balance);
        for _ in 0..SETTLING_DAYS * 24 {
            advance.hour(&balance, &mut state, &from, &from, &mut Ledger::default())?;
            balance
                .moisture
                .run_off(&mut state.water, &mut WaterLedger::default());
        }
        Ok(Self {
            member,
            site,
            forcing,
            schedule,
            in_force,
            balance,
            state,
            from,
            life,
            ledger: Ledger::default(),
            coldest_mantle_c: f64::INFINITY,
            wetness: Wetness::default(),
            dry_kg,
        })
    }

    /// Alters the hive as a keeper does at midnight: what stays keeps its temperatures and its water, what is new has the outside's
    /// temperature and is as dry as layers are at the start. Heat that layers bring or take with them is no storage of the ledger; their water is booked as drained.
    fn alter(&mut self, in_force: InForce) {
        let before = self.member.hive.altered(self.in_force);
        let hive = self.member.hive.altered(in_force);
        let p = &self.member.parameters;
        let balance = Balance::new(&hive, self.site, p);
        let kept = (
            kept_nodes(&before, &hive),
            kept_chains(&surface::chains(&before), &surface::chains(&hive)),
        );
        let state = &mut self.state;
        let water = balance.moisture.carried(
            &self.balance.moisture,
            &state.water,
            (&kept.0, &kept.1),
            p.start_humidity,
        );
        let taken_kg = state.water.on_hive_kg() - water.on_hive_kg();
        self.ledger.water.drained_kg += taken_kg;
        self.ledger.water.stored_kg -= taken_kg;
        let walls_c = kept.0.iter();
        state.walls_c = walls_c
            .map(|kept| kept.map_or(self.from.outside_c, |node| state.walls_c[node]))
            .collect();
        state.water = water;
        self.dry_kg = dry_kg(self.member, in_force, &balance);
        self.balance = balance;
        self.in_force = in_force;
    }

    /// What the hive weighs with all that is in it, kg: bees, brood and honey as they were at the last midnight that ended.
    pub(super) fn gross_kg(&self) -> f64 {
        gross_kg(
            self.dry_kg,
            &self.state,
            &self.life,
            &self.member.parameters,
        )
    }

    /// The same without honey and feed, kg.
    pub(super) fn bare_kg(&self) -> f64 {
        self.gross_kg() - self.life.stores.total_kg() - self.life.feeder.syrup_kg()
    }

    /// Seams that the cluster covers.
    pub(super) fn seams(&self) -> f64 {
        2.0 * self.balance.cluster.radius_m(self.state.tightness) / self.member.hive.comb_pitch_m
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

    /// Runs the hours of a day, counted from 0. What they tell the colony for its day's end, and whether the cold ended it.
    pub(super) fn hours(
        &mut self,
        day: usize,
        advance: &mut impl Advance,
        watch: &mut impl FnMut(Watch<'_>),
    ) -> Result<(Day, Option<End>), SeasonError> {
        let in_force = self.schedule.get(day).copied().unwrap_or_default();
        if in_force != self.in_force {
            self.alter(in_force);
        }
        self.bring_feed(day);
        let p = &self.member.parameters;
        self.balance
            .set_colony(self.life.cluster(p), self.life.stores.total_kg());
        self.balance.set_moisture(&self.state.water);
        let day_start_j = self.ledger.made_j;
        let of_year = self.forcing.first_day + day as f64;
        let mut today = Day {
            day: of_year,
            daylight_h: day_length_h(self.site.latitude_deg, of_year),
            ..Day::default()
        };
        let mut end = None;
        for hour in day * 24..(day + 1) * 24 {
            let hour_start_j = self.ledger.made_j;
            let to = self.balance.at_hive(&self.forcing.instants[hour + 1]);
            advance.hour(
                &self.balance,
                &mut self.state,
                &self.from,
                &to,
                &mut self.ledger,
            )?;
            self.from = to;
            let moisture = &self.balance.moisture;
            let dripped_kg = moisture.run_off(&mut self.state.water, &mut self.ledger.water);
            let dampness = Dampness::of(&self.balance, &self.state);
            self.wetness
                .count(day, &dampness, dripped_kg, p.filling_limit_kg_kg);
            today.outside_c += to.outside_c / 24.0;
            today.syrup_h += f64::from(u8::from(to.outside_c >= p.syrup_air_c));
            let daylight = self.forcing.daylight[hour + 1];
            if daylight && fit_for_flight(&to, p.cleansing_air_c, p) {
                today.cleansing_h += 1.0;
            }
            if daylight && fit_for_flight(&to, p.flight_air_c, p) {
                today.flight_h += 1.0;
                today.flight_heat_j += self.ledger.made_j - hour_start_j;
            }
            let (cluster, state) = (&self.balance.cluster, &self.state);
            let seams = self.seams();
            today.seams += seams / 24.0;
            today.core_m3 += cluster.core_m3(state.tightness) / 24.0;
            self.coldest_mantle_c = self.coldest_mantle_c.min(state.mantle_c);
            watch(Watch {
                hour: hour + 1,
                weather: to,
                state,
                dampness,
                dry_kg: self.dry_kg,
                seams,
                balance: &self.balance,
                life: &self.life,
                ledger: &self.ledger,
            });
            end = end.or(self.life.hour(state.mantle_c, state.upper_c, p));
        }
        today.heat_j = self.ledger.made_j - day_start_j;
        Ok((today, end))
    }
}

/// What a hive weighs with all that is in it, kg, of which `dry_kg` are hive, frames and empty comb without the water of the layers.
pub(super) fn gross_kg(dry_kg: f64, state: &State, life: &Life, parameters: &Parameters) -> f64 {
    let p = parameters;
    dry_kg
        + state.water.on_hive_kg()
        + life.bees.total() * p.bee_mass_kg
        + life.brood.total() * p.brood_cell_kg
        + life.stores.total_kg()
        + life.feeder.syrup_kg()
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

/// Sun that lowers the limit of air for flight by all of [`Parameters::flight_sun_k`], W/m2.
const FULL_SUN_W_M2: f64 = 1000.0;

/// Whether bees that fly in air of `air_c` out of the sun do so by day in this weather at the hive: the brighter the sun on any of its faces, the
/// cooler the air may be; and not in too much wind.
fn fit_for_flight(at_hive: &Weather, air_c: f64, parameters: &Parameters) -> bool {
    let p = parameters;
    let brightest_w_m2 = at_hive.sun_w_m2.iter().copied().fold(0.0, f64::max);
    let limit_c = air_c - p.flight_sun_k * brightest_w_m2 / FULL_SUN_W_M2;
    at_hive.outside_c >= limit_c && at_hive.wind_m_s <= p.flight_wind_m_s
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bees_fly_in_mild_calm_air_and_in_cooler_air_in_the_sun() {
        let p = Parameters::default();
        let fly = |outside_c: f64, sun: f64, wind_m_s: f64| {
            let weather = Weather {
                outside_c,
                wind_m_s,
                sun_w_m2: [sun, 0.0, 0.0, 0.0, 0.4 * sun],
                ..Weather::default()
            };
            fit_for_flight(&weather, p.flight_air_c, &p)
        };
        assert!(fly(p.flight_air_c, 0.0, 2.0));
        assert!(!fly(p.flight_air_c - 2.0, 0.0, 2.0));
        assert!(fly(p.flight_air_c - 2.0, 500.0, 2.0));
        assert!(!fly(p.flight_air_c - 2.1, 500.0, 2.0));
        assert!(!fly(p.flight_air_c + 5.0, 500.0, p.flight_wind_m_s + 0.1));
    }
}
