//! All wall chains of a hive in flat arrays, and how they meet the air on both sides.

use super::balance::{SUNNY, Weather};
use super::ledger::{Ledger, Path};
use super::moisture::Surface;
use crate::hive::film::{self, Orientation};
use crate::hive::{Chain, Face, Side, Zone, vapour};
use std::ops::Range;

/// One chain's ends; its nodes lie in [`Walls`].
#[derive(Clone, Debug)]
pub(super) struct Ends {
    path: Path,
    pub zone: Zone,
    orientation: Orientation,
    inside_m2: f64,
    outside_m2: f64,
    pub first_k_w: f64,
    last_k_w: f64,
    shared: bool,
    emissivity: f64,
    /// Number of its face in [`SUNNY`] and absorptance; none where no sun comes.
    sun: Option<(usize, f64)>,
    /// Share of the sky in its view, times emissivity.
    sky: f64,
    pub nodes: Range<usize>,
}

/// The nodes of all chains, one chain after the other, from inside to outside.
#[derive(Clone, Debug)]
pub(crate) struct Walls {
    pub(super) ends: Vec<Ends>,
    pub(super) capacity_j_k: Vec<f64>,
    /// From each node to the next, W/K; unused at a chain's last node.
    pub(super) link_w_k: Vec<f64>,
    /// Resistance of half of each node's cell when dry, K/W.
    half_k_w: Vec<f64>,
}

/// Couplings of the chains to the air on both sides over a step, W/K.
#[derive(Clone, Debug, Default)]
pub(crate) struct Films {
    /// From the air of the zone to the inside surface.
    pub(super) inside_w_k: Vec<f64>,
    /// From the last node to the outside air.
    pub(super) outside_w_k: Vec<f64>,
    /// How far sun and sky lift the temperature that the outside seems to have, K: sol-air less air.
    pub(super) lift_k: Vec<f64>,
}

impl Ends {
    /// Temperature of the air before it.
    pub fn air_c(&self, upper_c: f64, lower_c: f64) -> f64 {
        match self.zone {
            Zone::Upper => upper_c,
            Zone::Lower => lower_c,
        }
    }
}

impl Walls {
    pub(crate) fn new(chains: &[Chain]) -> Self {
        let mut walls = Self {
            ends: Vec::with_capacity(chains.len()),
            capacity_j_k: Vec::new(),
            link_w_k: Vec::new(),
            half_k_w: Vec::new(),
        };
        for chain in chains {
            let first = walls.capacity_j_k.len();
            walls.capacity_j_k.extend_from_slice(&chain.capacity_j_k);
            walls.link_w_k.extend_from_slice(&chain.links_w_k);
            walls.link_w_k.push(0.0);
            walls.half_k_w.extend_from_slice(&chain.half_k_w);
            walls.ends.push(Ends {
                path: path(chain.face),
                zone: chain.zone,
                orientation: chain.orientation,
                inside_m2: chain.inside_m2,
                outside_m2: chain.outside_m2,
                first_k_w: chain.first_k_w,
                last_k_w: chain.last_k_w,
                shared: chain.shared,
                emissivity: chain.finish.emissivity,
                sun: SUNNY
                    .iter()
                    .position(|face| *face == chain.face && !chain.shaded)
                    .map(|face| (face, chain.finish.absorptance)),
                sky: chain.finish.emissivity * sky_share(chain),
                nodes: first..walls.capacity_j_k.len(),
            });
        }
        walls
    }

    /// Number of nodes of all chains.
    pub(crate) fn nodes(&self) -> usize {
        self.capacity_j_k.len()
    }

    /// Sets conductances from how many times as well as dry each node conducts.
    pub(crate) fn set_conduction(&mut self, gains: &[f64]) {
        let half = |node: usize| self.half_k_w[node] / gains[node];
        for end in &mut self.ends {
            for node in end.nodes.start..end.nodes.end - 1 {
                self.link_w_k[node] = 1.0 / (half(node) + half(node + 1));
            }
            end.first_k_w = half(end.nodes.start);
            end.last_k_w = half(end.nodes.end - 1);
        }
    }

    /// Inside films from the temperatures of the air and the first nodes, which stand for the surfaces: they are a quarter of a thin
    /// cell away, and a film feels a kelvin by half a percent.
    pub(crate) fn inside_films(
        &self,
        upper_c: f64,
        lower_c: f64,
        nodes_c: &[f64],
        films: &mut Films,
    ) {
        films.inside_w_k.clear();
        films.inside_w_k.extend(self.ends.iter().map(|end| {
            let air_c = end.air_c(upper_c, lower_c);
            end.inside_m2 * film::inside_w_m2k(end.orientation, air_c, nodes_c[end.nodes.start])
        }));
    }

    /// The inside of each chain as vapour meets it, from its temperature, and its film by the Lewis relation.
    pub(crate) fn surfaces(
        &self,
        (upper_c, lower_c): (f64, f64),
        pressure_pa: f64,
        surfaces_c: &[f64],
        surfaces: &mut Vec<Surface>,
    ) {
        surfaces.clear();
        surfaces.extend(self.ends.iter().zip(surfaces_c).map(|(end, surface_c)| {
            let air_c = end.air_c(upper_c, lower_c);
            let convection = film::inside_convection_w_m2k(end.orientation, air_c, *surface_c);
            Surface {
                saturation_pa: vapour::saturation_pa(*surface_c),
                film: vapour::film_vapour(convection * end.inside_m2, pressure_pa),
            }
        }));
    }

    /// Temperatures of the inside surfaces while so much heat is freed on each, degC.
    pub(crate) fn surfaces_c(
        &self,
        (upper_c, lower_c): (f64, f64),
        nodes_c: &[f64],
        films: &Films,
        freed_w: &[f64],
    ) -> Vec<f64> {
        let ends = self.ends.iter().enumerate();
        ends.map(|(number, end)| {
            let (inside_w_k, first_w_k) = (films.inside_w_k[number], 1.0 / end.first_k_w);
            let inflow_w = inside_w_k * end.air_c(upper_c, lower_c)
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

    /// Outside films and sol-air lifts from the weather at the hive; a shared side has neither.
    pub(crate) fn outside_films(&self, weather: &Weather, films: &mut Films) {
        let convection = film::outside_convection_w_m2k(weather.wind_m_s);
        let radiation = film::black_radiation_w_m2k(weather.outside_c);
        films.outside_w_k.clear();
        films.lift_k.clear();
        for end in &self.ends {
            if end.shared {
                films.outside_w_k.push(0.0);
                films.lift_k.push(0.0);
                continue;
            }
            let film = convection + end.emissivity * radiation;
            let sun_w_m2 = end.sun.map_or(0.0, |(face, absorptance)| {
                absorptance * weather.sun_w_m2[face]
            });
            films
                .outside_w_k
                .push(1.0 / (end.last_k_w + 1.0 / (film * end.outside_m2)));
            films
                .lift_k
                .push((sun_w_m2 - end.sky * weather.sky_w_m2) / film);
        }
    }

    /// Books heat lost at the outside over `seconds`, net of sun and sky, by face.
    pub(crate) fn book_losses(
        &self,
        nodes_c: &[f64],
        outside_c: f64,
        films: &Films,
        seconds: f64,
        ledger: &mut Ledger,
    ) {
        for (number, end) in self.ends.iter().enumerate() {
            let (outside_w_k, lift_k) = (films.outside_w_k[number], films.lift_k[number]);
            let lost_w = outside_w_k * (nodes_c[end.nodes.end - 1] - outside_c - lift_k);
            ledger.lose(end.path, lost_w * seconds);
            ledger.sun_and_sky_j += outside_w_k * lift_k * seconds;
        }
    }

    /// Heat stored on the way from one state to another, J.
    pub(crate) fn stored_j(&self, before_c: &[f64], after_c: &[f64]) -> f64 {
        self.capacity_j_k
            .iter()
            .zip(before_c.iter().zip(after_c))
            .map(|(capacity, (before, after))| capacity * (after - before))
            .sum()
    }

    /// Rates of change of all nodes, K/s, and the heat that upper and lower air lose to the walls, W, with surfaces at `surfaces_c` and
    /// so much heat freed by water in each node.
    pub(crate) fn rates(
        &self,
        (upper_c, lower_c, outside_c): (f64, f64, f64),
        (surfaces_c, nodes_c): (&[f64], &[f64]),
        films: &Films,
        freed_w: &[f64],
        rates: &mut [f64],
    ) -> (f64, f64) {
        let (mut upper_w, mut lower_w) = (0.0, 0.0);
        for (number, end) in self.ends.iter().enumerate() {
            let pull_w = match end.zone {
                Zone::Upper => &mut upper_w,
                Zone::Lower => &mut lower_w,
            };
            let surface_c = surfaces_c[number];
            *pull_w += films.inside_w_k[number] * (end.air_c(upper_c, lower_c) - surface_c);
            let mut inflow_w = (surface_c - nodes_c[end.nodes.start]) / end.first_k_w;
            for node in end.nodes.clone() {
                let outflow_w = if node + 1 == end.nodes.end {
                    let sol_air_c = outside_c + films.lift_k[number];
                    films.outside_w_k[number] * (nodes_c[node] - sol_air_c)
                } else {
                    self.link_w_k[node] * (nodes_c[node] - nodes_c[node + 1])
                };
                rates[node] = (inflow_w - outflow_w + freed_w[node]) / self.capacity_j_k[node];
                inflow_w = outflow_w;
            }
        }
        (upper_w, lower_w)
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

fn path(face: Face) -> Path {
    match face {
        Face::Side(Side::Front) => Path::Front,
        Face::Side(Side::Right) => Path::Right,
        Face::Side(Side::Back) => Path::Back,
        Face::Side(Side::Left) => Path::Left,
        Face::Lid => Path::Lid,
        Face::Floor => Path::Floor,
    }
}
