//! All wall chains of a hive in flat arrays, and how they meet the air on both sides.

use super::instant::{SUNNY, Weather};
use super::ledger::{Ledger, LossPath};
use super::moisture::{Moisture, Surface};
use super::zoned::Zoned;
use crate::hive::film::{self, Orientation};
use crate::hive::{Chain, Face, Side, Zone, vapour};
use crate::lane::{Number, make_long, per_lane};
use serde::Serialize;
use std::ops::Range;

/// One chain's ends; its nodes lie in [`Walls`].
#[derive(Clone, Debug, Serialize)]
pub(super) struct Ends<N = f64> {
    path: LossPath,
    pub zone: Zone,
    orientation: Orientation,
    inside_m2: N,
    outside_m2: N,
    /// From the inside surface to the first node, W/K.
    pub first_w_k: N,
    /// From the last node to the outside surface, K/W.
    last_k_w: N,
    /// Lower edge above the floor, m, and one over the height of its part of the face, 1/m; both 0 where it lies level.
    bottom_m: N,
    per_height: N,
    shared: bool,
    /// Number of its emissivity in [`Walls::emissivities`].
    finish: usize,
    /// Number of its face in [`SUNNY`] and absorptance; none where no sun comes.
    sun: Option<(usize, f64)>,
    /// Share of the sky in its view, times emissivity.
    sky: f64,
    pub nodes: Range<usize>,
}

per_lane!(Ends { inside_m2, outside_m2, first_w_k, last_k_w, bottom_m, per_height } like { path, zone, orientation, shared, finish, sun, sky, nodes });

/// The nodes of all chains, one chain after the other, from inside to outside.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct Walls<N = f64> {
    pub(super) ends: Vec<Ends<N>>,
    /// Emissivities of the outsides, each once.
    emissivities: Vec<f64>,
    pub(super) capacity_j_k: Vec<N>,
    /// From each node to the next, W/K; unused at a chain's last node.
    pub(super) link_w_k: Vec<N>,
    /// Resistance of half of each node's cell when dry, K/W.
    half_k_w: Vec<N>,
    /// From a wall's outside through the snow banked against it to the outside air, m2K/W.
    snow_bank_m2k_w: N,
}

per_lane!(Walls { ends, capacity_j_k, link_w_k, half_k_w, snow_bank_m2k_w } like { emissivities });

/// Couplings of the chains to the air on both sides over a step, W/K.
#[derive(Clone, Debug)]
pub(crate) struct Films<N = f64> {
    /// From the air of the zone to the inside surface.
    pub(super) inside_w_k: Vec<N>,
    /// From the last node to the outside air.
    pub(super) outside_w_k: Vec<N>,
    /// How far sun and sky lift the temperature that the outside seems to have, K: sol-air less air.
    pub(super) lift_k: Vec<N>,
    /// Outside films one over, by emissivity, m2K/W.
    resistances_m2k_w: Vec<N>,
}

impl<N> Default for Films<N> {
    fn default() -> Self {
        Self {
            inside_w_k: Vec::new(),
            outside_w_k: Vec::new(),
            lift_k: Vec::new(),
            resistances_m2k_w: Vec::new(),
        }
    }
}

impl Walls {
    /// The walls of these chains, with the resistance of snow banked against them in m2K/W.
    pub(crate) fn new(chains: &[Chain], snow_bank_m2k_w: f64) -> Self {
        let mut walls = Self {
            ends: Vec::with_capacity(chains.len()),
            emissivities: Vec::new(),
            capacity_j_k: Vec::new(),
            link_w_k: Vec::new(),
            half_k_w: Vec::new(),
            snow_bank_m2k_w,
        };
        for chain in chains {
            let first = walls.capacity_j_k.len();
            let emissivity = chain.finish.emissivity;
            let known = |known: &f64| *known == emissivity;
            let finish = walls.emissivities.iter().position(known);
            let finish = finish.unwrap_or_else(|| {
                walls.emissivities.push(emissivity);
                walls.emissivities.len() - 1
            });
            walls.capacity_j_k.extend_from_slice(&chain.capacity_j_k);
            walls.link_w_k.extend_from_slice(&chain.links_w_k);
            walls.link_w_k.push(0.0);
            walls.half_k_w.extend_from_slice(&chain.half_k_w);
            let [bottom_m, top_m] = chain.edges_m;
            let height_m = top_m - bottom_m;
            walls.ends.push(Ends {
                path: path(chain.face),
                zone: chain.zone,
                orientation: chain.orientation,
                inside_m2: chain.inside_m2,
                outside_m2: chain.outside_m2,
                first_w_k: 1.0 / chain.first_k_w,
                last_k_w: chain.last_k_w,
                bottom_m,
                per_height: if height_m > 0.0 { 1.0 / height_m } else { 0.0 },
                shared: chain.shared,
                finish,
                sun: SUNNY
                    .iter()
                    .position(|face| *face == chain.face && !chain.shaded)
                    .map(|face| (face, chain.finish.absorptance)),
                sky: emissivity * sky_share(chain),
                nodes: first..walls.capacity_j_k.len(),
            });
        }
        walls
    }

    /// Temperatures of the inside surfaces while so much heat is freed on each, degC.
    pub(crate) fn surfaces_c(
        &self,
        air_c: &Zoned,
        nodes_c: &[f64],
        films: &Films,
        freed_w: &[f64],
    ) -> Vec<f64> {
        let ends = self.ends.iter().enumerate();
        ends.map(|(number, end)| {
            let (inside_w_k, first_w_k) = (films.inside_w_k[number], end.first_w_k);
            let inflow_w = inside_w_k * air_c.of(end.zone)
                + first_w_k * nodes_c[end.nodes.start]
                + freed_w[number];
            inflow_w / (inside_w_k + first_w_k)
        })
        .collect()
    }

    /// Temperatures of the outside surfaces: the last nodes less the drop over the half cells outside of them, degC.
    pub(crate) fn outside_surfaces_c(
        &self,
        nodes_c: &[f64],
        outside_c: f64,
        films: &Films,
    ) -> Vec<f64> {
        let ends = self.ends.iter().enumerate();
        ends.map(|(number, end)| {
            let node_c = nodes_c[end.nodes.end - 1];
            let sol_air_c = outside_c + films.lift_k[number];
            let lost_w = films.outside_w_k[number] * (node_c - sol_air_c);
            node_c - lost_w * end.last_k_w
        })
        .collect()
    }

    /// Rates of change of all nodes, K/s, and the heat that the air loses to the walls, W, with surfaces at `surfaces_c` and
    /// so much heat freed by water in each node.
    pub(crate) fn rates(
        &self,
        (air_c, outside_c): (&Zoned, f64),
        (surfaces_c, nodes_c): (&[f64], &[f64]),
        films: &Films,
        (freed_w, ice_j_k, frost_j_k): (&[f64], &[f64], &[f64]),
        rates: &mut [f64],
    ) -> Zoned {
        let mut lost_w = Zoned::default();
        for (number, end) in self.ends.iter().enumerate() {
            let surface_c = surfaces_c[number];
            let to_wall_w = films.inside_w_k[number] * (air_c.of(end.zone) - surface_c);
            lost_w.add(end.zone, to_wall_w);
            let mut inflow_w = (surface_c - nodes_c[end.nodes.start]) * end.first_w_k;
            // A surface follows its first node so far, and gives it as much of what freezes.
            let share = end.first_w_k / (end.first_w_k + films.inside_w_k[number]);
            let mut frost_j_k = share * share * frost_j_k[number];
            for node in end.nodes.clone() {
                let outflow_w = if node + 1 == end.nodes.end {
                    let sol_air_c = outside_c + films.lift_k[number];
                    films.outside_w_k[number] * (nodes_c[node] - sol_air_c)
                } else {
                    self.link_w_k[node] * (nodes_c[node] - nodes_c[node + 1])
                };
                rates[node] = (inflow_w - outflow_w + freed_w[node])
                    / (self.capacity_j_k[node] + ice_j_k[node] + frost_j_k);
                frost_j_k = 0.0;
                inflow_w = outflow_w;
            }
        }
        lost_w
    }
}

impl<N: Number> Walls<N> {
    /// Number of nodes of all chains.
    pub(crate) fn nodes(&self) -> usize {
        self.capacity_j_k.len()
    }

    /// Sets conductances from how much better than dry nodes conduct with the water in them.
    #[inline(always)]
    pub(crate) fn set_conduction(&mut self, moisture: &Moisture<N>, nodes_kg: &[N]) {
        let half_k_w = &self.half_k_w;
        for end in &mut self.ends {
            let node = end.nodes.start;
            let first_k_w = half_k_w[node] / moisture.conduction_gain(node, nodes_kg);
            let mut inner_k_w = first_k_w;
            for node in end.nodes.clone().skip(1) {
                let outer_k_w = half_k_w[node] / moisture.conduction_gain(node, nodes_kg);
                self.link_w_k[node - 1] = outer_k_w.splat(1.0) / (inner_k_w + outer_k_w);
                inner_k_w = outer_k_w;
            }
            end.first_w_k = first_k_w.splat(1.0) / first_k_w;
            end.last_k_w = inner_k_w;
        }
    }

    /// Inside films from the temperatures of the air and the first nodes, which stand for the surfaces: they are a quarter of a thin
    /// cell away, and a film feels a kelvin by half a percent.
    #[inline(always)]
    pub(crate) fn inside_films(&self, air_c: &Zoned<N>, nodes_c: &[N], films: &mut Films<N>) {
        make_long(&mut films.inside_w_k, self.ends.len(), air_c.upper);
        for (end, inside_w_k) in self.ends.iter().zip(&mut films.inside_w_k) {
            let air_c = air_c.of(end.zone);
            let film = film::inside_w_m2k(end.orientation, air_c, nodes_c[end.nodes.start]);
            *inside_w_k = end.inside_m2 * film;
        }
    }

    /// The inside of each chain as vapour meets it, from its temperature, and its film by the Lewis relation.
    #[inline(always)]
    pub(crate) fn surfaces(
        &self,
        air_c: &Zoned<N>,
        pressure_pa: N,
        surfaces_c: &[N],
        surfaces: &mut Vec<Surface<N>>,
    ) {
        let by_convection = vapour::film_vapour(pressure_pa.splat(1.0), pressure_pa);
        surfaces.clear();
        for (end, surface_c) in self.ends.iter().zip(surfaces_c) {
            let air_c = air_c.of(end.zone);
            let convection = film::inside_convection_w_m2k(end.orientation, air_c, *surface_c);
            surfaces.push(Surface {
                saturation: vapour::Saturation::at(*surface_c),
                film: convection * end.inside_m2 * by_convection,
            });
        }
    }

    /// Outside films and sol-air lifts from the weather at the hive; a shared side has neither. Where snow covers a part of a side, heat
    /// takes two ways beside each other, through snow and through the film, and sun and sky act on the second only.
    #[inline(always)]
    pub(crate) fn outside_films(&self, weather: &Weather<N>, films: &mut Films<N>) {
        let convection = film::outside_convection_w_m2k(weather.wind_m_s);
        let radiation = film::black_radiation_w_m2k(weather.outside_c);
        let (zero, one) = (radiation.splat(0.0), radiation.splat(1.0));
        films.resistances_m2k_w.clear();
        for emissivity in &self.emissivities {
            let film = convection + radiation * *emissivity;
            films.resistances_m2k_w.push(one / film);
        }
        make_long(&mut films.outside_w_k, self.ends.len(), zero);
        make_long(&mut films.lift_k, self.ends.len(), zero);
        let outsides = films.outside_w_k.iter_mut().zip(&mut films.lift_k);
        for (end, (outside_w_k, lift_k)) in self.ends.iter().zip(outsides) {
            if end.shared {
                (*outside_w_k, *lift_k) = (zero, zero);
                continue;
            }
            let film_m2k_w = films.resistances_m2k_w[end.finish];
            let sky_w_m2 = weather.sky_w_m2 * end.sky;
            let gained_w_m2 = match end.sun {
                Some((face, absorptance)) => weather.sun_w_m2[face] * absorptance - sky_w_m2,
                None => -sky_w_m2,
            };
            // The film and the half cell inside of it in series: one over both by one division.
            let last_m2k_w = end.last_k_w * end.outside_m2;
            let bare_w_k = end.outside_m2 / (last_m2k_w + film_m2k_w);
            let banked_w_k = end.outside_m2 / (last_m2k_w + self.snow_bank_m2k_w);
            let covered = ((weather.snow_m - end.bottom_m) * end.per_height).within(0.0, 1.0);
            let free_w_k = (one - covered) * bare_w_k;
            *outside_w_k = free_w_k + covered * banked_w_k;
            *lift_k = gained_w_m2 * film_m2k_w * (free_w_k / *outside_w_k);
        }
    }

    /// Books heat lost at the outside over `seconds`, net of sun and sky, by face.
    #[inline(always)]
    pub(crate) fn book_losses(
        &self,
        nodes_c: &[N],
        outside_c: N,
        films: &Films<N>,
        seconds: f64,
        ledger: &mut Ledger<N>,
    ) {
        let ends = self.ends.iter().zip(&films.outside_w_k);
        for ((end, outside_w_k), lift_k) in ends.zip(&films.lift_k) {
            let by_k_j = *outside_w_k * seconds;
            let lifted_j = by_k_j * *lift_k;
            let lost_j = by_k_j * (nodes_c[end.nodes.end - 1] - outside_c) - lifted_j;
            ledger.lose(end.path, lost_j);
            ledger.sun_and_sky_j = ledger.sun_and_sky_j + lifted_j;
        }
    }

    /// Heat stored on the way from one state to another, J.
    #[inline(always)]
    pub(crate) fn stored_j(&self, before_c: &[N], after_c: &[N]) -> N {
        let nodes = self.capacity_j_k.iter().zip(before_c.iter().zip(after_c));
        let mut sum_j = before_c[0].splat(0.0);
        for (capacity, (before, after)) in nodes {
            sum_j = sum_j + *capacity * (*after - *before);
        }
        sum_j
    }
}

/// Share of the sky in a chain's view: half for a wall, none for a floor or before a wall.
fn sky_share(chain: &Chain) -> f64 {
    match chain.orientation {
        _ if chain.shaded => 0.0,
        Orientation::Vertical => 0.5,
        Orientation::Lid => 1.0,
        Orientation::Floor => 0.0,
    }
}

fn path(face: Face) -> LossPath {
    match face {
        Face::Side(Side::Front) => LossPath::Front,
        Face::Side(Side::Right) => LossPath::Right,
        Face::Side(Side::Back) => LossPath::Back,
        Face::Side(Side::Left) => LossPath::Left,
        Face::Lid => LossPath::Lid,
        Face::Floor => LossPath::Floor,
    }
}

#[cfg(test)]
mod tests;
