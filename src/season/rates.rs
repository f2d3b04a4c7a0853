//! The equations as they are, all terms at the same instant: what other integrators solve, and what a picture shows.

use super::balance::Balance;
use super::instant::Weather;
use super::moisture::frozen;
use super::state::State;
use super::walls::Films;
use super::water::Water;

/// Rounds in which [`Balance::rates`] settles surface temperatures with the heat freed there; each takes a third or less of the error on.
const SURFACE_ROUNDS: u32 = 3;

impl Balance {
    /// Temperatures of the inside surfaces, chain by chain, while no water frees heat on them, degC.
    #[must_use]
    pub fn surfaces_c(&self, state: &State) -> Vec<f64> {
        let mut films = Films::default();
        self.walls
            .inside_films(&state.air_c(), &state.walls_c, &mut films);
        let none_w = vec![0.0; state.water.films_kg.len()];
        self.walls
            .surfaces_c(&state.air_c(), &state.walls_c, &films, &none_w)
    }

    /// Temperatures of the outside surfaces, chain by chain, under the weather at the hive, degC.
    #[must_use]
    pub fn outside_surfaces_c(&self, state: &State, weather: &Weather) -> Vec<f64> {
        let mut films = Films::default();
        self.walls.outside_films(weather, &mut films);
        self.walls
            .outside_surfaces_c(&state.walls_c, weather.outside_c, &films)
    }

    /// Rates of change of a state under the weather at the hive: K/s, and 1/s for the tightness.
    ///
    /// Rates of the water are those of its parts; heat that it gives off is in the temperatures. Films that freeze or melt as they lie on a wall are
    /// lumped with its first node, as a surface has no heat capacity of its own. The differential equations that [`Solver`](super::Solver)
    /// advances, all terms at the same instant: any other integrator can be held against it.
    #[must_use]
    pub fn rates(&self, state: &State, weather: &Weather) -> State {
        let (cluster, c) = (&self.of_day.cluster, &self.of_day.capacities);
        let s = state;
        let (core, mantle) = self.heat(s.core_c, s.mantle_c);
        let within = cluster.conductances(s.tightness, s.core_c);
        let air = self.airflow(weather, s.upper_c, s.lower_c);
        let outside_c = weather.outside_c;

        let air_c = s.air_c();
        let mut films = Films::default();
        let mut walls = vec![0.0; s.walls_c.len()];
        self.walls.inside_films(&air_c, &s.walls_c, &mut films);
        self.walls.outside_films(weather, &mut films);
        // Heat freed on a surface warms it and so holds back what frees it: a few rounds settle both.
        let (latent_j_kg, fusion_j_kg) = (self.moisture.latent_j_kg, self.moisture.fusion_j_kg);
        let mut freed_w = vec![0.0; s.water.films_kg.len()];
        let (mut surfaces, mut surfaces_c) = (Vec::new(), Vec::new());
        let mut water = Water::default();
        for _ in 0..SURFACE_ROUNDS {
            surfaces_c = self.walls.surfaces_c(&air_c, &s.walls_c, &films, &freed_w);
            self.walls
                .surfaces(&air_c, weather.pressure_pa, &surfaces_c, &mut surfaces);
            surfaces.push(self.comb_surface(s.comb_c, weather.pressure_pa));
            surfaces_c.push(s.comb_c);
            let settled_kg_s;
            (water, settled_kg_s) = self.moisture.rates(
                &self.vapour_air(&air, weather, s),
                &surfaces,
                &s.walls_c,
                self.water_kg(core.value + mantle.value),
                &s.water,
            );
            let on = water.films_kg.iter().zip(&surfaces_c);
            freed_w = on
                .map(|(kg_s, at_c)| kg_s * (latent_j_kg + fusion_j_kg * frozen(*at_c).0))
                .collect();
            // The heat of vapour that settles as mist was freed in the air.
            if let Some(on_combs_w) = freed_w.last_mut() {
                *on_combs_w -= latent_j_kg * settled_kg_s;
            }
        }
        let on = s.water.films_kg.iter().zip(&surfaces_c);
        let frost_j_k: Vec<f64> = on
            .map(|(kg, at_c)| kg * frozen(*at_c).1 * fusion_j_kg)
            .collect();
        let (ice_j_k, iced): (Vec<f64>, Vec<f64>) = self
            .moisture
            .ice(&s.water.nodes_kg, &s.walls_c)
            .into_iter()
            .unzip();
        let in_nodes_w: Vec<f64> = water
            .nodes_kg
            .iter()
            .zip(&iced)
            .map(|(kg_s, iced)| kg_s * (latent_j_kg + fusion_j_kg * iced))
            .collect();
        let lost_w = self.walls.rates(
            (&air_c, outside_c),
            (&surfaces_c, &s.walls_c),
            &films,
            (&in_nodes_w, &ice_j_k, &frost_j_k),
            &mut walls,
        );
        let combs = freed_w.len() - 1;
        let on_combs_w = freed_w[combs];

        let core_w = within.core_w_k * (s.core_c - s.mantle_c);
        let mantle_w = within.mantle_w_k * (s.mantle_c - s.column_c);
        let column_w = self.column_exchange_w_k(&air, s.tightness) * (s.column_c - s.upper_c);
        let zones_w = self.zone_exchange_w_k(&air) * (s.upper_c - s.lower_c);
        let comb_w = self.comb_film_w_k * (s.upper_c - s.comb_c);
        let fanned_w = self.fanning(s.upper_c, outside_c).value;
        // Through flow brings outside air to where it enters and that zone's air to the other.
        let (up, down) = (air.up_w_k(), air.down_w_k());
        let upper_w = column_w + latent_j_kg * water.mist_kg.upper
            - zones_w
            - comb_w
            - lost_w.upper
            - fanned_w
            - air.upper_w_k * (s.upper_c - outside_c)
            - up * (s.upper_c - s.lower_c)
            - down * (s.upper_c - outside_c);
        let lower_w = zones_w + latent_j_kg * water.mist_kg.lower
            - lost_w.lower
            - air.lower_w_k * (s.lower_c - outside_c)
            - up * (s.lower_c - outside_c)
            - down * (s.lower_c - s.upper_c);
        let over_w = mantle_w - column_w - lost_w.column + latent_j_kg * water.mist_kg.column;
        let sought = cluster.tightness(s.mantle_c, (s.column_c, outside_c)).x;
        State {
            core_c: (self.sensible * core.value - core_w) / c.core_j_k,
            mantle_c: (self.sensible * mantle.value + core_w - mantle_w) / c.mantle_j_k,
            column_c: over_w / c.air_j_k,
            upper_c: upper_w / c.air_j_k,
            lower_c: lower_w / c.air_j_k,
            comb_c: (comb_w + on_combs_w) / (c.comb_j_k + frost_j_k[combs]),
            tightness: (sought - s.tightness) / self.tightening_time_s,
            walls_c: walls,
            water,
            predictor_k_s: [0.0; 5],
        }
    }
}
