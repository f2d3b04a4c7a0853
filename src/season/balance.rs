//! The equations of one hive with one colony: conductances, sources and rates of change.

use super::hive_site::{Site, SnowBank};
use super::instant::Weather;
use super::moisture::{Moisture, Surface, VapourAir};
use super::state::{Capacities, State};
use super::walls::Walls;
use super::water::Water;
use super::zoned::Zoned;
use crate::colony::Cluster;
use crate::colony::metabolism::{Metabolism, Slope, smooth_step, vapour_share};
use crate::hive::airflow::{AirState, Airflow, AirflowNetwork, Openings};
use crate::hive::vapour::Saturation;
use crate::hive::{Hive, surface, vapour};
use crate::lane::{Number, per_lane};
use crate::parameter::Parameters;
use crate::weather::wind::{OPEN_GROUND_ROUGHNESS_M, wind_factor};
use serde::Serialize;

/// Most of the lid that a column touches: some seams stay outside of the cluster (own choice).
const MOST_COLUMN_SHARE: f64 = 0.7;

/// How bees fan warm air out.
#[derive(Clone, Copy, Debug, Serialize)]
struct Fanning<N = f64> {
    full_w_k: N,
    start_c: N,
    /// One over the band from first to full fanning, 1/K.
    per_k: N,
}

per_lane!(Fanning {
    full_w_k,
    start_c,
    per_k
});

/// Cluster and capacities of a day.
#[derive(Clone, Copy, Debug, Serialize)]
pub(crate) struct OfDay<N = f64> {
    pub cluster: Cluster<N>,
    pub capacities: Capacities<N>,
}

per_lane!(OfDay {
    cluster,
    capacities
});

/// The energy balance of a hive and its colony.
///
/// Serialized it is the whole network with its numbers, so that other programs can solve the same equations.
#[derive(Clone, Debug, Serialize)]
pub struct Balance<N = f64> {
    pub(crate) walls: Walls<N>,
    pub(crate) moisture: Moisture<N>,
    pub(crate) of_day: OfDay<N>,
    /// Share of the heat made that warms bees, air and hive; the rest leaves as vapour.
    pub(crate) sensible: N,
    pub(crate) comb_film_w_k: N,
    pub(crate) tightening_time_s: N,
    /// Share of the lid over the cluster's warm column.
    pub(crate) column_share: N,
    metabolism: Metabolism<N>,
    mantle_set_c: N,
    column_exchange_w_k: N,
    column_wind_share: N,
    airflow_network: AirflowNetwork<N>,
    fanning: Fanning<N>,
    zone_exchange_w_k: N,
    zone_exchange_share: N,
    /// Water given off with heat, kg/J.
    water_kg_j: N,
    wind_share: N,
    /// Height of the floor above what snow is measured from, m.
    stand_m: N,
    start_humidity: N,
    wax_j_k: N,
    bee_j_kgk: N,
    honey_j_kgk: N,
}

per_lane!(Balance {
    walls,
    moisture,
    of_day,
    sensible,
    comb_film_w_k,
    tightening_time_s,
    column_share,
    metabolism,
    mantle_set_c,
    column_exchange_w_k,
    column_wind_share,
    airflow_network,
    fanning,
    zone_exchange_w_k,
    zone_exchange_share,
    water_kg_j,
    wind_share,
    stand_m,
    start_humidity,
    wax_j_k,
    bee_j_kgk,
    honey_j_kgk,
});

impl<N: Number> Balance<N> {
    /// The cluster of the day.
    #[must_use]
    pub fn cluster(&self) -> &Cluster<N> {
        &self.of_day.cluster
    }

    /// The weather of a station as the hive feels it: less wind, and snow from its floor on.
    #[must_use]
    #[inline(always)]
    pub fn at_hive(&self, station: &Weather<N>) -> Weather<N> {
        Weather {
            wind_m_s: station.wind_m_s * self.wind_share,
            snow_m: (station.snow_m - self.stand_m).positive(),
            ..*station
        }
    }

    /// Sets how the layers conduct heat and pass vapour from the water in them, as it stands on a day.
    #[inline(always)]
    pub fn set_moisture(&mut self, water: &Water<N>) {
        self.walls.set_conduction(&self.moisture, &water.nodes_kg);
        self.moisture.set_links(&water.nodes_kg);
    }

    /// Heat made by core and mantle, W, with derivatives by their temperatures.
    #[inline(always)]
    pub(crate) fn heat(&self, core_c: N, mantle_c: N) -> (Slope<N>, Slope<N>) {
        let cluster = &self.of_day.cluster;
        let core = self.metabolism.heat_w_kg(core_c, cluster.core_set_c);
        let mantle = self.metabolism.heat_w_kg(mantle_c, self.mantle_set_c);
        (core.times(cluster.core_kg), mantle.times(cluster.mantle_kg))
    }

    /// Heat that bees fan out at an upper air temperature, W, with its derivative: none into air that is warmer.
    #[inline(always)]
    pub(crate) fn fanning(&self, upper_c: N, outside_c: N) -> Slope<N> {
        let fanning = &self.fanning;
        let zero = upper_c.splat(0.0);
        let excess_k = (upper_c - outside_c).positive();
        let (share, by_s) = smooth_step((upper_c - fanning.start_c) * fanning.per_k);
        let share_rise = N::choose(excess_k.gt(zero), share, zero);
        Slope {
            value: fanning.full_w_k * share * excess_k,
            per_k: fanning.full_w_k * (by_s * fanning.per_k * excess_k + share_rise),
        }
    }

    /// Exchange of air as vapour meets it.
    #[inline(always)]
    pub(crate) fn vapour_air(
        &self,
        air: &Airflow<N>,
        weather: &Weather<N>,
        state: &State<N>,
    ) -> VapourAir<N> {
        let (fanning, upper_c) = (&self.fanning, state.upper_c);
        let carried = vapour::vapour_per_heat(weather.pressure_pa);
        let share = smooth_step((upper_c - fanning.start_c) * fanning.per_k).0;
        let fanned_w_k = N::choose(
            upper_c.gt(weather.outside_c),
            fanning.full_w_k * share,
            share.splat(0.0),
        );
        VapourAir {
            upper: carried * (air.upper_w_k + fanned_w_k),
            lower: carried * air.lower_w_k,
            column: carried * self.column_exchange_w_k(air, state.tightness),
            zones: carried * self.zone_exchange_w_k(air),
            up: carried * air.up_w_k(),
            down: carried * air.down_w_k(),
            outside_pa: weather.vapour_pa,
            saturation: Zoned {
                column: Saturation::over_water(state.column_c),
                upper: Saturation::over_water(upper_c),
                lower: Saturation::over_water(state.lower_c),
            },
        }
    }

    /// The combs as vapour meets them at `comb_c`, their film by the Lewis relation.
    #[inline(always)]
    pub(crate) fn comb_surface(&self, comb_c: N, pressure_pa: N) -> Surface<N> {
        Surface {
            saturation: Saturation::at(comb_c),
            film: vapour::film_vapour(self.comb_film_w_k, pressure_pa),
        }
    }

    /// Water that the bees give off with an amount of heat, kg.
    #[inline(always)]
    pub(crate) fn water_kg(&self, heat_j: N) -> N {
        heat_j * self.water_kg_j
    }

    /// Air through the openings at a hive's weather.
    #[inline(always)]
    pub(crate) fn airflow(&self, weather: &Weather<N>, upper_c: N, lower_c: N) -> Airflow<N> {
        self.airflow_network.airflow(&AirState {
            wind_m_s: weather.wind_m_s,
            outside_c: weather.outside_c,
            upper_c,
            lower_c,
            pressure_pa: weather.pressure_pa,
        })
    }

    /// Exchange between upper and lower air, W/K.
    #[inline(always)]
    pub(crate) fn zone_exchange_w_k(&self, air: &Airflow<N>) -> N {
        self.zone_exchange_w_k + self.zone_exchange_share * air.enters_below_w_k()
    }

    /// Exchange between the column over a cluster of this tightness and the upper air, W/K: it grows with the cluster's section, and where wind comes in below.
    #[inline(always)]
    pub(crate) fn column_exchange_w_k(&self, air: &Airflow<N>, tightness: N) -> N {
        self.column_exchange_w_k * self.cluster().section_ratio(tightness)
            + self.column_wind_share * air.enters_below_w_k()
    }

    /// Air right beside the mantle between the combs, degC: what bees at the surface feel.
    #[must_use]
    #[inline(always)]
    pub fn beside_c(&self, state: &State<N>) -> N {
        self.cluster()
            .beside_c(state.tightness, state.mantle_c, state.column_c)
    }

    /// Heat that bees make in this state, W.
    #[must_use]
    #[inline(always)]
    pub fn heat_made_w(&self, state: &State<N>) -> N {
        let (core, mantle) = self.heat(state.core_c, state.mantle_c);
        core.value + mantle.value
    }
}

impl Balance {
    /// The balance of `hive` at a site under the parameters of a member, with a cluster and stores to be set by
    /// [`Balance::set_colony`]; the column over the cluster touches a share of the lid as of [`column_share`].
    #[must_use]
    pub fn new(hive: &Hive, column_share: f64, site: &Site, parameters: &Parameters) -> Self {
        let p = parameters;
        let wax_kg = p.wax_kg_box * f64::from(hive.cavity.boxes);
        let chains = surface::chains_with_column(hive, column_share);
        Self {
            walls: Walls::new(&chains, p.snow_bank_m2k_w),
            moisture: Moisture::new(&chains, hive, p),
            of_day: OfDay {
                cluster: Cluster::new(1.0, 0.0, p),
                capacities: Capacities {
                    core_j_k: 0.0,
                    mantle_j_k: 0.0,
                    air_j_k: p.air_stir_j_k,
                    comb_j_k: 0.0,
                },
            },
            sensible: 1.0 - vapour_share(p),
            comb_film_w_k: p.comb_film_w_k,
            tightening_time_s: p.tightening_time_s,
            column_share,
            metabolism: Metabolism::new(p),
            mantle_set_c: p.mantle_set_c,
            column_exchange_w_k: p.column_exchange_w_k,
            column_wind_share: p.column_wind_share,
            airflow_network: AirflowNetwork::new(&Openings::of(hive, p), p),
            fanning: Fanning {
                full_w_k: p.fanning_w_k,
                start_c: p.fanning_start_c,
                per_k: 1.0 / (p.fanning_full_c - p.fanning_start_c),
            },
            zone_exchange_w_k: p.zone_exchange_w_k,
            zone_exchange_share: p.zone_exchange_share,
            water_kg_j: p.honey_water_kg_kg / p.honey_heat_j_kg,
            wind_share: wind_share(p) * (site.shelter * p.shelter_scale).min(1.0),
            stand_m: match site.snow_bank {
                Some(SnowBank::FromWeather) => p.stand_height_m,
                _ => 0.0,
            },
            start_humidity: p.start_humidity,
            wax_j_k: wax_kg * p.wax_specific_heat_j_kgk,
            bee_j_kgk: p.bee_specific_heat_j_kgk,
            honey_j_kgk: p.honey_specific_heat_j_kgk,
        }
    }

    /// Sets the cluster and the honey of a day.
    pub fn set_colony(&mut self, cluster: Cluster, stores_kg: f64) {
        self.of_day = self.of_day(cluster, stores_kg);
    }

    /// What a cluster and the honey of a day make of the balance.
    pub(crate) fn of_day(&self, cluster: Cluster, stores_kg: f64) -> OfDay {
        OfDay {
            cluster,
            capacities: Capacities {
                core_j_k: cluster.core_kg * self.bee_j_kgk,
                mantle_j_k: cluster.mantle_kg * self.bee_j_kgk,
                comb_j_k: self.wax_j_k + stores_kg * self.honey_j_kgk,
                ..self.of_day.capacities
            },
        }
    }

    /// Where a winter starts: hive at the outside's temperature and humidity, its layers as dry as at the start of winter, the cluster drawn half tight.
    #[must_use]
    pub fn start(&self, weather: &Weather) -> State {
        let outside_c = weather.outside_c;
        State {
            core_c: self.cluster().core_set_c,
            mantle_c: outside_c.max(self.mantle_set_c),
            column_c: outside_c,
            upper_c: outside_c,
            lower_c: outside_c,
            comb_c: outside_c,
            tightness: 0.5,
            walls_c: vec![outside_c; self.walls.nodes()],
            water: self.moisture.start(weather.vapour_pa, self.start_humidity),
            predictor_k_s: [0.0; 5],
        }
    }
}

/// Share of the lid's area that the warm column over a cluster of `bees_kg` touches: its section half way between loose and tight.
///
/// It stays as it is through the winter, though the section changes: a part of the lid that came and went would carry its heat and water with it.
#[must_use]
pub fn column_share(hive: &Hive, bees_kg: f64, parameters: &Parameters) -> f64 {
    let radius_m = Cluster::new(bees_kg, 0.0, parameters).radius_m(0.5);
    let section_m2 = std::f64::consts::PI * radius_m * radius_m;
    (section_m2 / hive.cavity.plan_m2()).min(MOST_COLUMN_SHARE)
}

/// Wind at the hive's height over its ground as a share of the station's.
///
/// Weak in the lee of buildings and in forest; the site's shelter factor stands for those.
#[must_use]
pub fn wind_share(parameters: &Parameters) -> f64 {
    let p = parameters;
    wind_factor(
        p.station_height_m,
        OPEN_GROUND_ROUGHNESS_M,
        p.hive_height_m,
        p.roughness_m,
    )
}
