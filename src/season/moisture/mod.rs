//! The vapour balance of both air zones and all layers.
//!
//! Vapour that the bees give off is carried out by air, condenses on surfaces below the dew point, and crosses or is sorbed by walls, lid
//! and floor. Unknowns are vapour pressures; what is kept is the water itself, moved by flows that leave one place and enter
//! another, so none is lost. Each step is linear: layers are eliminated by the Thomas method as for heat, and
//! what is left are the two air zones. Where a straight line does not serve, a surface that gets wet or dry, a cell that
//! passes saturation, the step is solved again on the other side of the bend.
//!
//! Air holds no more vapour than saturation over liquid water; what is beyond is mist, which goes with the air, settles on the combs, and is the first to
//! turn to vapour when the air dries. Dew and frost also form on the combs. Films and free water in layers freeze within the kelvin below 0 degC.
//!
//! Weak: sorbed water counts as bound no more strongly than condensate; liquid does not creep in solid wood; honey and wax take up no water, and bees
//! drink none.

#[cfg(test)]
mod condensation;
mod freezing;
mod rates;
mod run_off;
mod step;
mod vapour_air;

pub(crate) use freezing::frozen;
pub(crate) use step::MoistureWork;

use super::water::{DeferredLatentHeat, Water};
use super::zoned::Zoned;
use crate::hive::airflow::STANDARD_PRESSURE_PA;
use crate::hive::film::{CONVECTION_OUTSIDE_STILL_W_M2K, Orientation};
use crate::hive::vapour::{DampCell, Saturation, VAPOUR_J_KGK, film_vapour};
use crate::hive::{Chain, Hive, Zone};
use crate::lane::{Number, per_lane};
use crate::parameter::Parameters;
use serde::Serialize;
use std::ops::Range;

/// Share of each zone that is air; combs, bees and frames take the rest (own estimate).
const AIR_SHARE: f64 = 0.5;
/// Temperature at which the zones' capacity for vapour is taken, K.
const AIR_K: f64 = 280.0;

/// Air exchange as a conductance for vapour and mist, kg/(s Pa), the vapour outside, and saturation inside.
#[derive(Clone, Copy, Debug)]
pub(crate) struct VapourAir<N = f64> {
    /// Upper air with the outside, fanning counted in.
    pub upper: N,
    /// Lower air with the outside.
    pub lower: N,
    /// The column with the upper air.
    pub column: N,
    /// Upper with lower air.
    pub zones: N,
    /// In below and out above.
    pub up: N,
    /// In above and out below.
    pub down: N,
    /// Vapour pressure outside, Pa.
    pub outside_pa: N,
    /// Saturation over liquid water in each part of the air: what exceeds it is mist.
    pub saturation: Zoned<Saturation<N>>,
}

/// The inside of a chain as vapour meets it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Surface<N = f64> {
    /// Saturation at its temperature.
    pub saturation: Saturation<N>,
    /// Film between air and surface, kg/(s Pa).
    pub film: N,
}

/// One chain's place among the cells. The combs come last, as a chain without any.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct VapourPath<N = f64> {
    zone: Zone,
    /// How it lies; none for the combs.
    pub orientation: Option<Orientation>,
    pub inside_m2: N,
    outside_m2: N,
    /// Nodes that vapour passes.
    passed: Range<usize>,
    shared: bool,
    /// From the inside surface to the first node, kg/(s Pa).
    first: N,
}

per_lane!(VapourPath { inside_m2, outside_m2, first } like { zone, orientation, passed, shared });

/// Vapour paths and water stores of all layers of a hive.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct Moisture<N = f64> {
    paths: Vec<VapourPath<N>>,
    cells: Vec<DampCell<N>>,
    /// From each node outward, kg/(s Pa); past the last node that vapour passes, to the outside air.
    links: Vec<N>,
    /// Vapour that a zone's air takes up, kg/Pa.
    air_kg_pa: N,
    drip_kg_m2: N,
    runoff_kg_m2: N,
    pool_kg_m2: N,
    pub latent_j_kg: N,
    pub fusion_j_kg: N,
}

per_lane!(Moisture {
    paths,
    cells,
    links,
    air_kg_pa,
    drip_kg_m2,
    runoff_kg_m2,
    pool_kg_m2,
    latent_j_kg,
    fusion_j_kg
});

impl<N: Number> Moisture<N> {
    /// The paths, chain by chain.
    #[inline(always)]
    pub(crate) fn paths(&self) -> impl Iterator<Item = &VapourPath<N>> {
        self.paths.iter()
    }

    /// The cells of the lid that vapour passes, with their water.
    #[inline(always)]
    pub(crate) fn lid_cells<'a>(
        &'a self,
        nodes_kg: &'a [N],
    ) -> impl Iterator<Item = (&'a DampCell<N>, N)> {
        let lids = self
            .paths
            .iter()
            .filter(|path| path.orientation == Some(Orientation::Lid));
        lids.flat_map(|lid| lid.passed.clone())
            .map(|node| (&self.cells[node], nodes_kg[node]))
    }

    /// Whether a lid has a loose filling that takes up water.
    pub(crate) fn has_filling(&self) -> bool {
        let lids = self
            .paths
            .iter()
            .filter(|path| path.orientation == Some(Orientation::Lid));
        let mut cells = lids.flat_map(|lid| lid.passed.clone());
        cells.any(|node| self.cells[node].filling)
    }

    /// Sets the resistances to vapour from the water in the nodes.
    #[inline(always)]
    pub(crate) fn set_links(&mut self, nodes_kg: &[N]) {
        for path in &mut self.paths {
            let Some(last) = path.passed.clone().last() else {
                continue;
            };
            let first_half =
                self.cells[path.passed.start].half_pa_s_kg(nodes_kg[path.passed.start]);
            let one = first_half.splat(1.0);
            path.first = one / first_half;
            let mut inner = first_half;
            for node in path.passed.clone().skip(1) {
                let half = self.cells[node].half_pa_s_kg(nodes_kg[node]);
                self.links[node - 1] = one / (inner + half);
                inner = half;
            }
            // Beyond it the film of still air outside, or in the gap.
            let film_w_k = path.outside_m2 * CONVECTION_OUTSIDE_STILL_W_M2K;
            let film = film_vapour(film_w_k, one * STANDARD_PRESSURE_PA);
            self.links[last] = if path.shared {
                one * 0.0
            } else {
                one / (inner + one / film)
            };
        }
    }

    /// How many times as well as dry a node, by its number, conducts heat.
    #[inline(always)]
    pub(crate) fn conduction_gain(&self, node: usize, nodes_kg: &[N]) -> N {
        self.cells[node].conduction_gain(nodes_kg[node])
    }
}

impl Moisture {
    pub(crate) fn new(chains: &[Chain], hive: &Hive, parameters: &Parameters) -> Self {
        let zone_m3 = 0.5 * hive.cavity.plan_m2() * hive.cavity.height_m() * AIR_SHARE;
        let mut moisture = Self {
            paths: Vec::with_capacity(chains.len()),
            cells: Vec::new(),
            links: Vec::new(),
            air_kg_pa: zone_m3 / (VAPOUR_J_KGK * AIR_K),
            drip_kg_m2: parameters.lid_drip_kg_m2,
            runoff_kg_m2: parameters.wall_runoff_kg_m2,
            pool_kg_m2: parameters.floor_pool_kg_m2,
            latent_j_kg: parameters.vaporisation_j_kg,
            fusion_j_kg: parameters.fusion_j_kg,
        };
        for chain in chains {
            let first = moisture.cells.len();
            moisture.cells.extend_from_slice(&chain.damp);
            moisture.paths.push(VapourPath {
                zone: chain.zone,
                orientation: Some(chain.orientation),
                inside_m2: chain.inside_m2,
                outside_m2: chain.outside_m2,
                passed: first..first + chain.vapour_nodes,
                shared: chain.shared,
                first: 0.0,
            });
        }
        let cells = moisture.cells.len();
        let comb_m2 = hive.cavity.length_m * hive.cavity.height_m();
        moisture.paths.push(VapourPath {
            zone: Zone::Upper,
            orientation: None,
            inside_m2: 2.0 * f64::from(hive.frames) * comb_m2,
            outside_m2: 0.0,
            passed: cells..cells,
            shared: true,
            first: 0.0,
        });
        moisture.links = vec![0.0; cells];
        let dry_kg: Vec<f64> = moisture
            .cells
            .iter()
            .map(|cell| cell.water_kg(0.0))
            .collect();
        moisture.set_links(&dry_kg);
        moisture
    }

    /// A hive at rest: its air as humid as outside, its layers at a relative humidity of 0 to 1.
    pub(crate) fn start(&self, outside_pa: f64, humidity: f64) -> Water {
        Water {
            column_pa: outside_pa,
            upper_pa: outside_pa,
            lower_pa: outside_pa,
            films_kg: vec![0.0; self.paths.len()],
            nodes_kg: self
                .cells
                .iter()
                .map(|cell| cell.water_kg(humidity))
                .collect(),
            surfaces_c: vec![0.0; self.paths.len()],
            mist_kg: Zoned::default(),
            at_surfaces: vec![DeferredLatentHeat::default(); self.paths.len()],
            at_air: [DeferredLatentHeat::default(); Zone::ALL.len()],
            at_nodes: vec![DeferredLatentHeat::default(); self.cells.len()],
        }
    }

    /// The water of a hive that was altered: nodes and chains that are kept, by their number before, are as damp as they were; new layers
    /// have a relative humidity of 0 to 1, new surfaces bear nothing.
    pub(crate) fn carried(
        &self,
        before: &Self,
        water: &Water,
        (nodes, chains): (&[Option<usize>], &[Option<usize>]),
        humidity: f64,
    ) -> Water {
        let mut carried = self.start(0.0, humidity);
        (carried.column_pa, carried.upper_pa, carried.lower_pa) =
            (water.column_pa, water.upper_pa, water.lower_pa);
        (carried.mist_kg, carried.at_air) = (water.mist_kg, water.at_air);
        for (node, kept) in nodes.iter().enumerate() {
            if let Some(kept) = *kept {
                let size = self.cells[node].saturated_kg / before.cells[kept].saturated_kg;
                carried.nodes_kg[node] = size * water.nodes_kg[kept];
                carried.at_nodes[node] = water.at_nodes[kept];
            }
        }
        let combs = (carried.films_kg.len() - 1, water.films_kg.len() - 1);
        carried.films_kg[combs.0] = water.films_kg[combs.1];
        carried.at_surfaces[combs.0] = water.at_surfaces[combs.1];
        carried.surfaces_c[combs.0] = water.surfaces_c[combs.1];
        for (chain, kept) in chains.iter().enumerate() {
            // A film stays only on the layer that it lies on.
            let lies = self.paths[chain].passed.clone().next();
            let stays = lies.is_some_and(|node| nodes[node].is_some());
            if let Some(kept) = kept.filter(|_| stays) {
                carried.films_kg[chain] = water.films_kg[kept];
                carried.at_surfaces[chain] = water.at_surfaces[kept];
                carried.surfaces_c[chain] = water.surfaces_c[kept];
            }
        }
        carried
    }
}
