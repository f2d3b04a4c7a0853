//! What the model gives for a whole hive at rest in unchanging air.

use super::measure::OfNest;
use crate::colony::Cluster;
use crate::hive::Hive;
use crate::parameter::Parameters;
use crate::season::{Advance, Balance, Ledger, Site, Solver, State, Weather, column_share};
use crate::weather::humidity::saturation_pressure_over_water_pa;

/// Hours after which a hive is at rest: a lid's slowest node takes some ten.
const HOURS: usize = 20 * 24;
/// Honey in the combs, kg: only their heat capacity, which a hive at rest does not feel.
const STORES_KG: f64 = 15.0;
/// Relative humidity of the outside air.
const HUMIDITY: f64 = 0.8;
/// Part of the resistance between hive air and outside that a thin wall and its outer film are: 0.15 and 0.04 of 0.32 m2K/W by ISO 6946.
const WALL_PART: f64 = 0.6;

const SITE: Site = Site {
    latitude_deg: 45.0,
    longitude_deg: None,
    utc_offset_h: None,
    snow: None,
    snow_bank: None,
    elevation_m: None,
    shelter: 0.0,
};

/// A hive at rest with a broodless cluster.
pub(super) struct Nest {
    state: State,
    cluster: Cluster,
    outside_c: f64,
}

impl Nest {
    /// Steps the hive until it rests; none where no balance is found.
    pub fn at_rest(hive: &Hive, kg: f64, outside_c: f64, p: &Parameters) -> Option<Self> {
        let mut hive = hive.clone();
        hive.scale_loose_fill(p.loose_fill_scale);
        let cluster = Cluster::new(kg, 0.0, p);
        let share = column_share(&hive, kg, p);
        let mut balance = Balance::new(&hive, share, &SITE, p);
        balance.set_colony(cluster, STORES_KG);
        let weather = Weather {
            outside_c,
            pressure_pa: crate::hive::airflow::STANDARD_PRESSURE_PA,
            vapour_pa: HUMIDITY * saturation_pressure_over_water_pa(outside_c),
            ..Weather::default()
        };
        let mut state = balance.start(&weather);
        let (mut solver, mut ledger) = (Solver::default(), Ledger::default());
        for _ in 0..HOURS {
            let stepped = Advance::hour(
                &mut solver,
                &balance,
                &mut state,
                &weather,
                &weather,
                &mut ledger,
            );
            stepped.ok()?;
        }
        Some(Self {
            state,
            cluster,
            outside_c,
        })
    }

    /// What is asked of it.
    pub fn value(&self, of: OfNest) -> f64 {
        let state = &self.state;
        match of {
            OfNest::Beside => {
                self.cluster
                    .beside_c(state.tightness, state.mantle_c, state.column_c)
            }
            OfNest::Bottom => state.lower_c,
            OfNest::WallShare => {
                WALL_PART * (state.upper_c - self.outside_c) / (state.core_c - self.outside_c)
            }
        }
    }
}
