//! From layers to resistances (ISO 6946) and to chains of heat-storing nodes, one chain a surface.

use super::airflow::UPPER_SHARE;
use super::description::Hive;
use super::film::{EMISSIVITY, Orientation, air_layer_m2k_w};
use super::parts::{Finish, Layer, Side};
use super::vapour::{DampCell, OPEN_FACTOR};
use crate::material::Material;
use serde::Serialize;

/// How much the conducting area of a face grows with depth, m2 for each metre of depth and metre of the face's edge.
///
/// Each of the edges between two faces adds 0.54 of its length times the conductivity to the conductance of a box (Langmuir,
/// Adams and Meikle 1913; in heat transfer textbooks the shape factor `0.54 D` of an edge). Counted half to each face, the
/// mean area between two depths must grow by 0.27 m per metre of edge and of thickness, hence the area itself by 0.54.
pub const EDGE_GROWTH: f64 = 0.54;

/// Thickest cell of a chain as a share of the depth that a daily wave reaches in it (ISO 13786: `delta = sqrt(lambda T / (pi rho c))`).
/// Own choice, checked against ISO 13786 within 1 % in `tests/validation/heat.rs`.
const CELL_SHARE: f64 = 0.2;
const DAY_S: f64 = 86_400.0;
/// Share of a vapour-open layer's thickness that its outer cell takes. Own choice: its middle is then within a twentieth of the
/// layer's drop of temperature of the face on which vapour condenses.
const OUTER_SHARE: f64 = 0.1;

/// Standard surface resistance outside, m2K/W (ISO 6946:2017 table 7), used only to weigh framing.
pub const STANDARD_OUTSIDE_M2K_W: f64 = 0.04;

/// Standard surface resistance inside, m2K/W, by direction of heat flow (ISO 6946:2017 table 7).
#[must_use]
pub fn standard_inside_m2k_w(orientation: Orientation) -> f64 {
    match orientation {
        Orientation::Vertical => 0.13,
        Orientation::Lid => 0.10,
        Orientation::Floor => 0.17,
    }
}

/// Finish of a chain until it is given its own: no sun.
const BARE: Finish = Finish {
    absorptance: 0.0,
    emissivity: EMISSIVITY,
};

/// A part of the hive's air.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Zone {
    /// In the seams over the cluster, up to the lid.
    Column,
    /// Beside and above the cluster, behind outer combs.
    Upper,
    /// Below it.
    Lower,
}

impl Zone {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Column, Self::Upper, Self::Lower];
}

/// Which surface of the hive.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Face {
    /// A side of the boxes.
    Side(Side),
    /// The lid.
    Lid,
    /// The floor.
    Floor,
}

impl Face {
    /// In words, for tables.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Side(Side::Front) => "front",
            Self::Side(Side::Right) => "right side",
            Self::Side(Side::Back) => "back",
            Self::Side(Side::Left) => "left side",
            Self::Lid => "lid",
            Self::Floor => "floor",
        }
    }
}

/// Both limits of the total thermal resistance of a build-up with framing, m2K/W (ISO 6946:2017, 6.7.2).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ResistanceLimits {
    /// Heat flows straight through each section.
    pub upper_m2k_w: f64,
    /// Each layer is at one temperature over its whole area.
    pub lower_m2k_w: f64,
}

impl ResistanceLimits {
    /// The mean of both limits: the resistance by the combined method.
    #[must_use]
    pub fn combined_m2k_w(&self) -> f64 {
        0.5 * (self.upper_m2k_w + self.lower_m2k_w)
    }

    /// Largest relative error of the combined method: `e = (R'T - R''T) / (2 RT)` (ISO 6946:2017, 6.7.2.4).
    #[must_use]
    pub fn error_share(&self) -> f64 {
        (self.upper_m2k_w - self.lower_m2k_w) / (2.0 * self.combined_m2k_w())
    }
}

/// Conductivity of a layer's own material, W/mK: for a closed air gap the one that gives its resistance by ISO 6946 annex D.
fn own_w_mk(layer: &Layer, orientation: Orientation) -> f64 {
    if layer.material.is_gap() {
        return layer.thickness_m / air_layer_m2k_w(layer.thickness_m, orientation);
    }
    layer.material.conductivity_w_mk
}

/// Limits of the resistance of `layers` between surface resistances `inside_m2k_w` and `outside_m2k_w`.
///
/// Framing of several layers is taken as crossing at random: each combination of framed and unframed is one section.
#[must_use]
pub fn resistance_limits(
    layers: &[Layer],
    orientation: Orientation,
    inside_m2k_w: f64,
    outside_m2k_w: f64,
) -> ResistanceLimits {
    let films = inside_m2k_w + outside_m2k_w;
    // (share of the area, resistance so far) of each section.
    let mut sections = vec![(1.0, films)];
    for layer in layers {
        let plain = layer.thickness_m / own_w_mk(layer, orientation);
        sections = match &layer.framing {
            None => sections
                .iter()
                .map(|(share, r)| (*share, r + plain))
                .collect(),
            Some(framing) => {
                let framed = layer.thickness_m / framing.material.conductivity_w_mk;
                sections
                    .iter()
                    .flat_map(|(share, r)| {
                        [
                            (share * (1.0 - framing.share), r + plain),
                            (share * framing.share, r + framed),
                        ]
                    })
                    .collect()
            }
        };
    }
    let transmittance: f64 = sections.iter().map(|(share, r)| share / r).sum();
    ResistanceLimits {
        upper_m2k_w: 1.0 / transmittance,
        lower_m2k_w: films
            + layers
                .iter()
                .map(|layer| mixed_resistance_m2k_w(layer, orientation))
                .sum::<f64>(),
    }
}

/// Resistance of a layer at the mean conductivity of its framing and filling, m2K/W.
fn mixed_resistance_m2k_w(layer: &Layer, orientation: Orientation) -> f64 {
    let framing = |material: &Material| material.conductivity_w_mk;
    layer.thickness_m / mixed(layer, own_w_mk(layer, orientation), framing)
}

/// A property of a layer, the mean of its own by area and of its framing's.
fn mixed(layer: &Layer, own: f64, framing_property: impl Fn(&Material) -> f64) -> f64 {
    layer.framing.as_ref().map_or(own, |framing| {
        (1.0 - framing.share) * own + framing.share * framing_property(&framing.material)
    })
}

/// A surface as heat meets it from inside to outside: conductances between nodes that each store heat.
#[derive(Clone, Debug, PartialEq)]
pub struct Chain {
    /// Which surface.
    pub face: Face,
    /// The air that it encloses.
    pub zone: Zone,
    /// How it lies.
    pub orientation: Orientation,
    /// Area of the inside, m2.
    pub inside_m2: f64,
    /// Lower and upper edge above the hive's floor, m; both 0 for a surface that lies level.
    pub edges_m: [f64; 2],
    /// Conducting area at the outside, m2: the inside grown at the edges by [`EDGE_GROWTH`].
    pub outside_m2: f64,
    /// Touches another hive: no heat passes the outside.
    pub shared: bool,
    /// Stands close before something: no sun, no sky.
    pub shaded: bool,
    /// Outside finish.
    pub finish: Finish,
    /// From the inside surface to the first node, K/W.
    pub first_k_w: f64,
    /// From the last node to the outside surface, K/W.
    pub last_k_w: f64,
    /// From each node to the next, W/K; one fewer than the nodes.
    pub links_w_k: Vec<f64>,
    /// Heat capacity of each node, J/K.
    pub capacity_j_k: Vec<f64>,
    /// Resistance of half of each node's cell when dry, K/W.
    pub half_k_w: Vec<f64>,
    /// What each node's cell does with water.
    pub damp: Vec<DampCell>,
    /// Nodes, counted from inside, that vapour passes on its way out: all, or those before a gap open to the outside.
    pub vapour_nodes: usize,
    /// Number of nodes of each layer, inside to outside.
    pub layer_nodes: Vec<usize>,
    /// Distance of each node from the inside surface, m.
    pub depth_m: Vec<f64>,
}

impl Chain {
    /// A chain of `layers` with an inside area and the length of the edge of the face, in m2 and m.
    #[must_use]
    pub fn new(
        (face, zone, orientation): (Face, Zone, Orientation),
        layers: &[Layer],
        inside_m2: f64,
        edge_m: f64,
    ) -> Self {
        let inside_film = standard_inside_m2k_w(orientation);
        let limits = resistance_limits(layers, orientation, inside_film, STANDARD_OUTSIDE_M2K_W);
        let framed_m2k_w: f64 = layers
            .iter()
            .filter(|layer| layer.framing.is_some())
            .map(|layer| mixed_resistance_m2k_w(layer, orientation))
            .sum();
        // What the combined method adds over the lower limit is laid on the framed layers.
        let correction = limits.combined_m2k_w() - limits.lower_m2k_w;
        let stretch = if framed_m2k_w > 0.0 {
            1.0 + correction / framed_m2k_w
        } else {
            1.0
        };

        let area_at = |depth_m: f64| inside_m2 + EDGE_GROWTH * edge_m * depth_m;
        let mut depth_m = 0.0;
        let mut half_k_w: Vec<f64> = Vec::new();
        let mut links_w_k = Vec::new();
        let mut capacity_j_k = Vec::new();
        let mut damp = Vec::new();
        let mut vapour_nodes = None;
        let mut layer_nodes = Vec::with_capacity(layers.len());
        let mut node_depth_m = Vec::new();
        for layer in layers {
            if layer.material.is_vented() {
                vapour_nodes.get_or_insert(half_k_w.len());
            }
            let heat = |material: &Material| material.density_kg_m3 * material.specific_heat_j_kgk;
            let heat_j_m3k = mixed(layer, heat(&layer.material), heat);
            let factor = if layer.framing.is_some() {
                stretch
            } else {
                1.0
            };
            let conductivity =
                layer.thickness_m / (mixed_resistance_m2k_w(layer, orientation) * factor);
            let cells = cells(layer, conductivity, heat_j_m3k);
            layer_nodes.push(cells.len());
            for thickness_m in cells {
                let area_m2 = area_at(depth_m + 0.5 * thickness_m);
                let own_half_k_w = 0.5 * thickness_m / (conductivity * area_m2);
                if let Some(inner_half_k_w) = half_k_w.last() {
                    links_w_k.push(1.0 / (inner_half_k_w + own_half_k_w));
                }
                half_k_w.push(own_half_k_w);
                capacity_j_k.push(heat_j_m3k * thickness_m * area_m2);
                damp.push(DampCell::new(layer, thickness_m, area_m2, conductivity));
                node_depth_m.push(depth_m + 0.5 * thickness_m);
                depth_m += thickness_m;
            }
        }
        Self {
            face,
            zone,
            orientation,
            inside_m2,
            edges_m: [0.0; 2],
            outside_m2: area_at(depth_m),
            shared: false,
            shaded: false,
            finish: BARE,
            first_k_w: half_k_w.first().copied().unwrap_or(0.0),
            last_k_w: half_k_w.last().copied().unwrap_or(0.0),
            links_w_k,
            capacity_j_k,
            vapour_nodes: vapour_nodes.unwrap_or(half_k_w.len()),
            half_k_w,
            damp,
            layer_nodes,
            depth_m: node_depth_m,
        }
    }

    /// A share of it, 0 to 1: as if so much of its area were all.
    #[must_use]
    pub fn part(&self, share: f64) -> Self {
        let by = |values: &[f64], factor: f64| values.iter().map(|value| value * factor).collect();
        let mut part = self.clone();
        part.inside_m2 *= share;
        part.outside_m2 *= share;
        part.first_k_w /= share;
        part.last_k_w /= share;
        part.links_w_k = by(&self.links_w_k, share);
        part.capacity_j_k = by(&self.capacity_j_k, share);
        part.half_k_w = by(&self.half_k_w, 1.0 / share);
        for cell in &mut part.damp {
            *cell = cell.part(share);
        }
        part
    }

    /// Number of nodes.
    #[must_use]
    pub fn len(&self) -> usize {
        self.capacity_j_k.len()
    }

    /// Whether it has no node, which no valid hive gives.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.capacity_j_k.is_empty()
    }

    /// Resistance from the inside surface to the outside surface, K/W.
    #[must_use]
    pub fn resistance_k_w(&self) -> f64 {
        self.first_k_w + self.links_w_k.iter().map(|link| 1.0 / link).sum::<f64>() + self.last_k_w
    }
}

/// Thicknesses of the cells that a layer is cut into, from inside to outside: alike, but for a thin outer one where vapour passes
/// freely, because that is where it condenses first.
fn cells(layer: &Layer, conductivity_w_mk: f64, heat_j_m3k: f64) -> Vec<f64> {
    let reach_m = (conductivity_w_mk * DAY_S / (std::f64::consts::PI * heat_j_m3k)).sqrt();
    // A layer is at most 1 m thick, so the number stays small.
    let count = (layer.thickness_m / (CELL_SHARE * reach_m))
        .ceil()
        .clamp(1.0, 64.0);
    let open = layer
        .material
        .vapour_factor_dry
        .is_some_and(|factor| factor < OPEN_FACTOR);
    if !open {
        return vec![layer.thickness_m / count; count as usize];
    }
    let outer_m = OUTER_SHARE * layer.thickness_m;
    let mut cells = vec![(layer.thickness_m - outer_m) / count; count as usize];
    cells.push(outer_m);
    cells
}

/// The chains of all surfaces of a hive: four sides in an upper and a lower part, lid, and floor where it is not open mesh.
#[must_use]
pub fn chains(hive: &Hive) -> Vec<Chain> {
    let cavity = &hive.cavity;
    let plan_edge_m = 2.0 * (cavity.width_m + cavity.length_m);
    let mut chains = Vec::with_capacity(10);
    let height_m = cavity.height_m();
    let middle_m = (1.0 - UPPER_SHARE) * height_m;
    for (zone, edges_m) in [
        (Zone::Upper, [middle_m, height_m]),
        (Zone::Lower, [0.0, middle_m]),
    ] {
        let share = match zone {
            Zone::Lower => 1.0 - UPPER_SHARE,
            _ => UPPER_SHARE,
        };
        for side in Side::ALL {
            let width_m = match side {
                Side::Front | Side::Back => cavity.width_m,
                Side::Left | Side::Right => cavity.length_m,
            };
            let height_m = cavity.height_m() * share;
            // Each part has one level edge, with lid or floor, and two upright ones.
            let edge_m = width_m + 2.0 * height_m;
            let place = (Face::Side(side), zone, Orientation::Vertical);
            let mut chain = Chain::new(place, &hive.wall, width_m * height_m, edge_m);
            chain.edges_m = edges_m;
            chain.shared = hive.shared_sides.contains(&side);
            chain.shaded = hive.shaded_sides.contains(&side);
            chain.finish = hive.side_finish;
            chains.push(chain);
        }
    }
    let lid = (Face::Lid, Zone::Upper, Orientation::Lid);
    let mut chain = Chain::new(lid, &hive.lid, cavity.plan_m2(), plan_edge_m);
    chain.finish = hive.lid_finish;
    chains.push(chain);
    if let Some((layers, share)) = hive.floor.board() {
        let floor = (Face::Floor, Zone::Lower, Orientation::Floor);
        chains.push(Chain::new(
            floor,
            layers,
            cavity.plan_m2() * share,
            plan_edge_m * share,
        ));
    }
    chains
}

/// The same with the lid in two parts, of which the second, a share of 0 to 1 without the ends, lies over the cluster's warm column.
#[must_use]
pub fn chains_with_column(hive: &Hive, column_share: f64) -> Vec<Chain> {
    let mut chains = Vec::with_capacity(11);
    for chain in self::chains(hive) {
        if chain.face == Face::Lid {
            chains.push(chain.part(1.0 - column_share));
            let mut over = chain.part(column_share);
            over.zone = Zone::Column;
            chains.push(over);
        } else {
            chains.push(chain);
        }
    }
    chains
}
