//! The equations of one hive with one colony: conductances, sources and rates of change.

use super::moisture::{Moisture, VapourAir};
use super::walls::{Films, Walls};
use super::water::Water;
use crate::colony::Cluster;
use crate::colony::metabolism::{Metabolism, Slope, smooth_step, vapour_share};
use crate::hive::airflow::{AirState, Airflow, Openings, airflow};
use crate::hive::{Face, Hive, Side, surface, vapour};
use crate::parameter::Parameters;
use crate::weather::wind::{OPEN_GROUND_ROUGHNESS_M, wind_factor};

/// Where the hive stands, as far as its energy balance feels it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Site {
    /// Latitude, degrees north.
    pub latitude_deg: f64,
    /// Longitude, degrees east; without it, the middle of the clock's zone.
    pub longitude_deg: Option<f64>,
    /// Hours of local standard time ahead of UTC; without it, those of the longitude.
    pub utc_offset_h: Option<f64>,
    /// Elevation, m.
    pub elevation_m: Option<f64>,
    /// First and last day of snow on the ground, month and day.
    pub snow: Option<[(i8, i8); 2]>,
    /// Wind at the hive as a share of the wind at its height in the open, 0 to 1.
    pub shelter: f64,
}

/// The weather at one instant.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Weather {
    /// Outside air, degC.
    pub outside_c: f64,
    /// Wind, m/s: at the station in a forcing, at the hive in the balance.
    pub wind_m_s: f64,
    /// Air pressure, Pa.
    pub pressure_pa: f64,
    /// Sun on each face, W/m2, in the order of [`SUNNY`].
    pub sun_w_m2: [f64; SUNNY.len()],
    /// Vapour pressure of the outside air, Pa.
    pub vapour_pa: f64,
    /// What a black level surface loses to the sky beyond surroundings at air temperature, W/m2.
    pub sky_w_m2: f64,
}

/// Faces that the sun can reach.
pub const SUNNY: [Face; 5] = [
    Face::Side(Side::Front),
    Face::Side(Side::Right),
    Face::Side(Side::Back),
    Face::Side(Side::Left),
    Face::Lid,
];

impl Weather {
    /// On the straight line from `self` to `next`, at a share of the way.
    #[must_use]
    pub fn towards(&self, next: &Self, share: f64) -> Self {
        let mix = |a: f64, b: f64| a + share * (b - a);
        Self {
            outside_c: mix(self.outside_c, next.outside_c),
            wind_m_s: mix(self.wind_m_s, next.wind_m_s),
            pressure_pa: mix(self.pressure_pa, next.pressure_pa),
            vapour_pa: mix(self.vapour_pa, next.vapour_pa),
            sun_w_m2: std::array::from_fn(|face| mix(self.sun_w_m2[face], next.sun_w_m2[face])),
            sky_w_m2: mix(self.sky_w_m2, next.sky_w_m2),
        }
    }
}

/// Temperatures of all nodes, degC, and the tightness of the cluster.
#[derive(Debug, Default, PartialEq)]
pub struct State {
    /// Core of the cluster.
    pub core_c: f64,
    /// Mantle of the cluster.
    pub mantle_c: f64,
    /// Air round and above the cluster.
    pub upper_c: f64,
    /// Air below it.
    pub lower_c: f64,
    /// Combs and stores.
    pub comb_c: f64,
    /// 0 loose to 1 tight.
    pub tightness: f64,
    /// Wall, lid and floor nodes, chain by chain from inside to outside.
    pub walls_c: Vec<f64>,
    /// Water in air, on surfaces and in layers.
    pub water: Water,
}

impl Clone for State {
    fn clone(&self) -> Self {
        let mut clone = Self::default();
        clone.clone_from(self);
        clone
    }

    /// Keeps the memory of the walls, which a derived one would not: states are copied every hour.
    fn clone_from(&mut self, source: &Self) {
        let Self {
            core_c,
            mantle_c,
            upper_c,
            lower_c,
            comb_c,
            tightness,
            walls_c,
            water,
        } = source;
        self.core_c = *core_c;
        self.mantle_c = *mantle_c;
        self.upper_c = *upper_c;
        self.lower_c = *lower_c;
        self.comb_c = *comb_c;
        self.tightness = *tightness;
        self.walls_c.clone_from(walls_c);
        self.water.clone_from(water);
    }
}

/// Heat capacities of the lumped nodes, J/K.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Capacities {
    /// Core.
    pub core_j_k: f64,
    /// Mantle.
    pub mantle_j_k: f64,
    /// Each air zone.
    pub air_j_k: f64,
    /// Combs and stores.
    pub comb_j_k: f64,
}

/// Rounds in which [`Balance::rates`] settles surface temperatures with the heat freed there; each takes a third or less of the error on.
const SURFACE_ROUNDS: u32 = 3;

/// The energy balance of a hive and its colony.
#[derive(Clone, Debug)]
pub struct Balance {
    pub(crate) parameters: Parameters,
    pub(crate) walls: Walls,
    pub(crate) moisture: Moisture,
    pub(crate) cluster: Cluster,
    pub(crate) capacities: Capacities,
    /// Share of the heat made that warms bees, air and hive; the rest leaves as vapour.
    pub(crate) sensible: f64,
    metabolism: Metabolism,
    openings: Openings,
    wind_share: f64,
    wax_j_k: f64,
}

impl Balance {
    /// The balance of `hive` at a site under the parameters of a member, with a cluster and stores to be set by
    /// [`Balance::set_colony`].
    #[must_use]
    pub fn new(hive: &Hive, site: &Site, parameters: &Parameters) -> Self {
        let p = parameters;
        let wax_kg = p.wax_kg_box * f64::from(hive.cavity.boxes);
        let chains = surface::chains(hive);
        Self {
            walls: Walls::new(&chains),
            moisture: Moisture::new(&chains, hive, p),
            cluster: Cluster::new(1.0, 0.0, p),
            capacities: Capacities {
                core_j_k: 0.0,
                mantle_j_k: 0.0,
                air_j_k: p.air_stir_j_k,
                comb_j_k: 0.0,
            },
            sensible: 1.0 - vapour_share(p),
            metabolism: Metabolism::new(p),
            openings: Openings::of(hive, p),
            wind_share: wind_share(p) * (site.shelter * p.shelter_scale).min(1.0),
            wax_j_k: wax_kg * p.wax_specific_heat_j_kgk,
            parameters: p.clone(),
        }
    }

    /// Sets the cluster and the honey of a day.
    pub fn set_colony(&mut self, cluster: Cluster, stores_kg: f64) {
        let p = &self.parameters;
        self.capacities.core_j_k = cluster.core_kg * p.bee_specific_heat_j_kgk;
        self.capacities.mantle_j_k = cluster.mantle_kg * p.bee_specific_heat_j_kgk;
        self.capacities.comb_j_k = self.wax_j_k + stores_kg * p.honey_specific_heat_j_kgk;
        self.cluster = cluster;
    }

    /// The cluster of the day.
    #[must_use]
    pub fn cluster(&self) -> &Cluster {
        &self.cluster
    }

    /// The weather of a station as the hive feels it: less wind.
    #[must_use]
    pub fn at_hive(&self, station: &Weather) -> Weather {
        Weather {
            wind_m_s: station.wind_m_s * self.wind_share,
            ..*station
        }
    }

    /// Sets how the layers conduct heat and pass vapour from the water in them, as it stands on a day.
    pub fn set_moisture(&mut self, water: &Water) {
        let gains = self.moisture.conduction_gains(&water.nodes_kg);
        self.walls.set_conduction(&gains);
        self.moisture.set_links(&water.nodes_kg);
    }

    /// Where a winter starts: hive at the outside's temperature and humidity, its layers as dry as at the start of winter, the cluster drawn half tight.
    #[must_use]
    pub fn start(&self, weather: &Weather) -> State {
        let outside_c = weather.outside_c;
        State {
            core_c: self.cluster.core_set_c,
            mantle_c: outside_c.max(self.parameters.mantle_tight_c),
            upper_c: outside_c,
            lower_c: outside_c,
            comb_c: outside_c,
            tightness: 0.5,
            walls_c: vec![outside_c; self.walls.nodes()],
            water: self
                .moisture
                .start(weather.vapour_pa, self.parameters.start_humidity),
        }
    }

    /// Heat made by core and mantle, W, with derivatives by their temperatures.
    pub(crate) fn heat(&self, core_c: f64, mantle_c: f64) -> (Slope, Slope) {
        let of = |kg: f64, bees_c: f64, set_c: f64| {
            let heat = self.metabolism.heat_w_kg(bees_c, set_c);
            Slope {
                value: kg * heat.value,
                per_k: kg * heat.per_k,
            }
        };
        (
            of(self.cluster.core_kg, core_c, self.cluster.core_set_c),
            of(
                self.cluster.mantle_kg,
                mantle_c,
                self.parameters.mantle_set_c,
            ),
        )
    }

    /// Heat that bees fan out at an upper air temperature, W, with its derivative: none into air that is warmer.
    pub(crate) fn fanning(&self, upper_c: f64, outside_c: f64) -> Slope {
        let p = &self.parameters;
        let band_k = p.fanning_full_c - p.fanning_start_c;
        let excess_k = (upper_c - outside_c).max(0.0);
        let (share, by_s) = smooth_step((upper_c - p.fanning_start_c) / band_k);
        let share_rise = if excess_k > 0.0 { share } else { 0.0 };
        Slope {
            value: p.fanning_w_k * share * excess_k,
            per_k: p.fanning_w_k * (by_s / band_k * excess_k + share_rise),
        }
    }

    /// Exchange of air as vapour meets it.
    pub(crate) fn vapour_air(&self, air: &Airflow, weather: &Weather, upper_c: f64) -> VapourAir {
        let p = &self.parameters;
        let carried = vapour::vapour_per_heat(weather.pressure_pa);
        let fanned_w_k = if upper_c > weather.outside_c {
            let band_k = p.fanning_full_c - p.fanning_start_c;
            p.fanning_w_k * smooth_step((upper_c - p.fanning_start_c) / band_k).0
        } else {
            0.0
        };
        VapourAir {
            upper: carried * (air.upper_w_k + fanned_w_k),
            lower: carried * air.lower_w_k,
            zones: carried * self.zone_exchange_w_k(air),
            up: carried * air.up_w_k(),
            down: carried * air.down_w_k(),
            outside_pa: weather.vapour_pa,
        }
    }

    /// Water that the bees give off with an amount of heat, kg.
    pub(crate) fn water_kg(&self, heat_j: f64) -> f64 {
        heat_j * self.parameters.honey_water_kg_kg / self.parameters.honey_heat_j_kg
    }

    /// Air through the openings at a hive's weather.
    pub(crate) fn airflow(&self, weather: &Weather, upper_c: f64, lower_c: f64) -> Airflow {
        let air = AirState {
            wind_m_s: weather.wind_m_s,
            outside_c: weather.outside_c,
            upper_c,
            lower_c,
            pressure_pa: weather.pressure_pa,
        };
        airflow(&self.openings, &air, &self.parameters)
    }

    /// Exchange between upper and lower air, W/K.
    pub(crate) fn zone_exchange_w_k(&self, air: &Airflow) -> f64 {
        self.parameters.zone_exchange_w_k + self.parameters.zone_exchange_share * air.lower_w_k
    }

    /// Temperatures of the inside surfaces, chain by chain, while no water frees heat on them, degC.
    #[must_use]
    pub fn surfaces_c(&self, state: &State) -> Vec<f64> {
        let mut films = Films::default();
        self.walls
            .inside_films(state.upper_c, state.lower_c, &state.walls_c, &mut films);
        let none_w = vec![0.0; state.water.films_kg.len()];
        let zones_c = (state.upper_c, state.lower_c);
        self.walls
            .surfaces_c(zones_c, &state.walls_c, &films, &none_w)
    }

    /// Temperatures of the outside surfaces, chain by chain, under the weather at the hive, degC.
    #[must_use]
    pub fn outside_surfaces_c(&self, state: &State, weather: &Weather) -> Vec<f64> {
        let mut films = Films::default();
        self.walls.outside_films(weather, &mut films);
        self.walls
            .outside_surfaces_c(&state.walls_c, weather.outside_c, &films)
    }

    /// Heat that bees make in this state, W.
    #[must_use]
    pub fn heat_made_w(&self, state: &State) -> f64 {
        let (core, mantle) = self.heat(state.core_c, state.mantle_c);
        core.value + mantle.value
    }

    /// Rates of change of a state under the weather at the hive: K/s, and 1/s for the tightness.
    ///
    /// Rates of the water are those of its parts; heat that it gives off is in the temperatures. The differential equations that [`Solver`](super::Solver) advances, all terms at the same instant: any other integrator
    /// can be held against it.
    #[must_use]
    pub fn rates(&self, state: &State, weather: &Weather) -> State {
        let p = &self.parameters;
        let c = &self.capacities;
        let s = state;
        let (core, mantle) = self.heat(s.core_c, s.mantle_c);
        let cluster = self.cluster.conductances(s.tightness, s.core_c);
        let air = self.airflow(weather, s.upper_c, s.lower_c);
        let outside_c = weather.outside_c;

        let mut films = Films::default();
        let mut walls = vec![0.0; s.walls_c.len()];
        self.walls
            .inside_films(s.upper_c, s.lower_c, &s.walls_c, &mut films);
        self.walls.outside_films(weather, &mut films);
        let zones_c = (s.upper_c, s.lower_c);
        // Heat freed on a surface warms it and so holds back what frees it: a few rounds settle both.
        let latent_j_kg = self.moisture.latent_j_kg;
        let heat_w =
            |kg_s: &Vec<f64>| -> Vec<f64> { kg_s.iter().map(|kg_s| latent_j_kg * kg_s).collect() };
        let mut freed_w = vec![0.0; s.water.films_kg.len()];
        let (mut surfaces, mut surfaces_c) = (Vec::new(), Vec::new());
        let mut water = Water::default();
        for _ in 0..SURFACE_ROUNDS {
            surfaces_c = self.walls.surfaces_c(zones_c, &s.walls_c, &films, &freed_w);
            self.walls
                .surfaces(zones_c, weather.pressure_pa, &surfaces_c, &mut surfaces);
            water = self.moisture.rates(
                &self.vapour_air(&air, weather, s.upper_c),
                &surfaces,
                &s.walls_c,
                self.water_kg(core.value + mantle.value),
                &s.water,
            );
            freed_w = heat_w(&water.films_kg);
        }
        let (upper_walls_w, lower_walls_w) = self.walls.rates(
            (s.upper_c, s.lower_c, outside_c),
            (&surfaces_c, &s.walls_c),
            &films,
            &heat_w(&water.nodes_kg),
            &mut walls,
        );

        let core_w = cluster.core_w_k * (s.core_c - s.mantle_c);
        let mantle_w = cluster.mantle_w_k * (s.mantle_c - s.upper_c);
        let zones_w = self.zone_exchange_w_k(&air) * (s.upper_c - s.lower_c);
        let comb_w = p.comb_film_w_k * (s.upper_c - s.comb_c);
        let fanned_w = self.fanning(s.upper_c, outside_c).value;
        // Through flow brings outside air to where it enters and that zone's air to the other.
        let (up, down) = (air.up_w_k(), air.down_w_k());
        let upper_w = mantle_w
            - zones_w
            - comb_w
            - upper_walls_w
            - fanned_w
            - air.upper_w_k * (s.upper_c - outside_c)
            - up * (s.upper_c - s.lower_c)
            - down * (s.upper_c - outside_c);
        let lower_w = zones_w
            - lower_walls_w
            - air.lower_w_k * (s.lower_c - outside_c)
            - up * (s.lower_c - outside_c)
            - down * (s.lower_c - s.upper_c);
        let sought = self.cluster.tightness(s.core_c, s.mantle_c).x;
        State {
            core_c: (self.sensible * core.value - core_w) / c.core_j_k,
            mantle_c: (self.sensible * mantle.value + core_w - mantle_w) / c.mantle_j_k,
            upper_c: upper_w / c.air_j_k,
            lower_c: lower_w / c.air_j_k,
            comb_c: comb_w / c.comb_j_k,
            tightness: (sought - s.tightness) / p.tightening_time_s,
            walls_c: walls,
            water,
        }
    }
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
