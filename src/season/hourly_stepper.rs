//! A hive with its colony as hours move it, one or several side by side, and what is counted by the hour.

use super::balance::{Balance, OfDay};
use super::instant::Weather;
use super::ledger::Ledger;
use super::season_error::SeasonError;
use super::state::State;
use super::wetness::WetCount;
use crate::colony::Spells;
use crate::lane::{Number, per_lane};
use crate::parameter::Parameters;

/// Sun that lowers the limit of air for flight by all of [`Parameters::flight_sun_k`], W/m2.
const FULL_SUN_W_M2: f64 = 1000.0;

/// Hours of a day.
const DAY_H: f64 = 24.0;

/// Weather in which bees fly or take syrup.
#[derive(Clone, Copy, Debug)]
struct Limits<N = f64> {
    syrup_air_c: N,
    cleansing_air_c: N,
    flight_air_c: N,
    flight_sun_k: N,
    flight_wind_m_s: N,
}

/// What the hours of a day came to so far.
#[derive(Clone, Copy, Debug)]
pub(super) struct DayCount<N = f64> {
    /// The day, counted from 0.
    pub day: N,
    /// Heat made up to its first hour, J.
    pub began_made_j: N,
    /// Mean outside air, and mean air right beside the cluster between the combs, degC.
    pub outside_c: N,
    pub beside_c: N,
    /// Hours in which bees take syrup, could fly out to void, and could fly.
    pub syrup_h: N,
    pub cleansing_h: N,
    pub flight_h: N,
    /// Heat made in hours of flight, J.
    pub flight_heat_j: N,
    /// Mean radius of the cluster, m, and air over it, degC.
    pub radius_m: N,
    pub nest_c: N,
}

/// Hive, cluster and what is counted.
#[derive(Clone, Debug)]
pub(super) struct HourlyStepper<N = f64> {
    pub balance: Balance<N>,
    pub state: State<N>,
    /// Weather at the hive at the last full hour.
    pub from: Weather<N>,
    pub ledger: Ledger<N>,
    pub wet: WetCount<N>,
    pub spells: Spells<N>,
    pub today: DayCount<N>,
    pub coldest_mantle_c: N,
    limits: Limits<N>,
}

per_lane!(Limits {
    syrup_air_c,
    cleansing_air_c,
    flight_air_c,
    flight_sun_k,
    flight_wind_m_s
});
per_lane!(DayCount {
    day,
    began_made_j,
    outside_c,
    beside_c,
    syrup_h,
    cleansing_h,
    flight_h,
    flight_heat_j,
    radius_m,
    nest_c,
});
per_lane!(HourlyStepper {
    balance,
    state,
    from,
    ledger,
    wet,
    spells,
    today,
    coldest_mantle_c,
    limits
});

impl HourlyStepper {
    /// A hive that stands in the weather of an instant at its station, with a balance whose colony is set; nothing is counted yet.
    pub(super) fn new(balance: Balance, station: &Weather, parameters: &Parameters) -> Self {
        let p = parameters;
        let from = balance.at_hive(station);
        Self {
            state: balance.start(&from),
            balance,
            from,
            ledger: Ledger::default(),
            wet: WetCount::new(p.filling_limit_kg_kg),
            spells: Spells::new(p),
            today: DayCount {
                day: 0.0,
                began_made_j: 0.0,
                outside_c: 0.0,
                beside_c: 0.0,
                syrup_h: 0.0,
                cleansing_h: 0.0,
                flight_h: 0.0,
                flight_heat_j: 0.0,
                radius_m: 0.0,
                nest_c: 0.0,
            },
            coldest_mantle_c: f64::INFINITY,
            limits: Limits {
                syrup_air_c: p.syrup_air_c,
                cleansing_air_c: p.cleansing_air_c,
                flight_air_c: p.flight_air_c,
                flight_sun_k: p.flight_sun_k,
                flight_wind_m_s: p.flight_wind_m_s,
            },
        }
    }

    /// Forgets all that was counted, before the winter's first hour.
    pub(super) fn count_anew(&mut self, parameters: &Parameters) {
        self.ledger = Ledger::default();
        self.wet = WetCount::new(parameters.filling_limit_kg_kg);
        self.spells = Spells::new(parameters);
        self.coldest_mantle_c = f64::INFINITY;
    }
}

impl<N: Number> HourlyStepper<N> {
    /// Begins a day with the cluster and the honey that it has.
    #[inline(always)]
    pub(super) fn begin_day(&mut self, day: N, of_day: OfDay<N>) {
        let zero = day.splat(0.0);
        self.balance.of_day = of_day;
        self.balance.set_moisture(&self.state.water);
        self.spells.begin_day();
        self.today = DayCount {
            day,
            began_made_j: self.ledger.made_j,
            outside_c: zero,
            beside_c: zero,
            syrup_h: zero,
            cleansing_h: zero,
            flight_h: zero,
            flight_heat_j: zero,
            radius_m: zero,
            nest_c: zero,
        };
    }

    /// An hour in which the station's weather goes to `station`, where the sun is up as it ends or not. `advance` leads balance, state and ledger through
    /// it.
    ///
    /// # Errors
    /// As those of `advance`.
    #[inline(always)]
    pub(super) fn hour(
        &mut self,
        station: &Weather<N>,
        daylight: N::Mask,
        advance: impl FnOnce(
            &Balance<N>,
            &mut State<N>,
            (&Weather<N>, &Weather<N>),
            &mut Ledger<N>,
        ) -> Result<(), Vec<(usize, SeasonError)>>,
    ) -> Result<(), Vec<(usize, SeasonError)>> {
        let made_before_j = self.ledger.made_j;
        let to = self.balance.at_hive(station);
        let ends = (&self.from, &to);
        let advanced = advance(&self.balance, &mut self.state, ends, &mut self.ledger);
        self.from = to;
        let moisture = &self.balance.moisture;
        let dripped_kg = moisture.run_off(&mut self.state.water, &mut self.ledger.water);
        let state = &self.state;
        self.wet
            .count(self.today.day, &self.balance, state, dripped_kg);
        let beside_c = self.balance.beside_c(state);
        self.spells.hour(state.mantle_c, beside_c, state.column_c);
        self.coldest_mantle_c = state.mantle_c.min(self.coldest_mantle_c);
        let made_j = self.ledger.made_j - made_before_j;
        let cluster = self.balance.cluster();
        let radius_m = cluster.radius_m(state.tightness);

        let limits = &self.limits;
        let cleansing = daylight & limits.fit_for_flight(&to, limits.cleansing_air_c);
        let flight = daylight & limits.fit_for_flight(&to, limits.flight_air_c);
        let today = &mut self.today;
        today.outside_c = today.outside_c + to.outside_c * (1.0 / DAY_H);
        today.beside_c = today.beside_c + beside_c * (1.0 / DAY_H);
        today.syrup_h = today.syrup_h + made_j.one_where(to.outside_c.ge(limits.syrup_air_c));
        today.cleansing_h = today.cleansing_h + made_j.one_where(cleansing);
        today.flight_h = today.flight_h + made_j.one_where(flight);
        today.flight_heat_j = today.flight_heat_j + N::choose(flight, made_j, made_j.splat(0.0));
        today.radius_m = today.radius_m + radius_m * (1.0 / DAY_H);
        today.nest_c = today.nest_c + state.column_c * (1.0 / DAY_H);
        advanced
    }
}

impl<N: Number> Limits<N> {
    /// Where bees that fly in air of `air_c` out of the sun do so by day in this weather at the hive: the brighter the sun on any of its faces, the
    /// cooler the air may be; and not in too much wind.
    #[inline(always)]
    fn fit_for_flight(&self, at_hive: &Weather<N>, air_c: N) -> N::Mask {
        let mut brightest_w_m2 = air_c.splat(0.0);
        for sun_w_m2 in &at_hive.sun_w_m2 {
            brightest_w_m2 = sun_w_m2.max(brightest_w_m2);
        }
        let limit_c = air_c - self.flight_sun_k * brightest_w_m2 * (1.0 / FULL_SUN_W_M2);
        at_hive.outside_c.ge(limit_c) & at_hive.wind_m_s.le(self.flight_wind_m_s)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bees_fly_in_mild_calm_air_and_in_cooler_air_in_the_sun() {
        let p = Parameters::default();
        let limits = Limits {
            syrup_air_c: p.syrup_air_c,
            cleansing_air_c: p.cleansing_air_c,
            flight_air_c: p.flight_air_c,
            flight_sun_k: p.flight_sun_k,
            flight_wind_m_s: p.flight_wind_m_s,
        };
        let fly = |outside_c: f64, sun: f64, wind_m_s: f64| {
            let weather = Weather {
                outside_c,
                wind_m_s,
                sun_w_m2: [sun, 0.0, 0.0, 0.0, 0.4 * sun],
                ..Weather::default()
            };
            limits.fit_for_flight(&weather, p.flight_air_c)
        };
        assert!(fly(p.flight_air_c, 0.0, 2.0));
        assert!(!fly(p.flight_air_c - 2.0, 0.0, 2.0));
        assert!(fly(p.flight_air_c - 2.0, 500.0, 2.0));
        assert!(!fly(p.flight_air_c - 2.1, 500.0, 2.0));
        assert!(!fly(p.flight_air_c + 5.0, 500.0, p.flight_wind_m_s + 0.1));
    }
}
