//! Elimination of the wall chains from a stage's heat balance: the Schur complement of each chain, by the tridiagonal (Thomas) method.
//!
//! With `T_i` a node's temperature at the stage's end, `b_i` where the stage began, `h` its length, and `T_z` the air of the chain's zone:
//!
//! ```text
//! (C_i / h + k_(i-1) + k_i + s_i) T_i - k_(i-1) T_(i-1) - k_i T_(i+1) = C_i b_i / h + q_i      each node
//! heat from the air = w_k T_z - w                                                              what is left of a chain
//! ```
//!
//! `C` is `capacity_j_k`, `k` is `link_w_k` (`through_w_k` from the air to the first node, `outside_w_k` beyond the last), `s` is `source_slope_w_k` and `q` is
//! `source_w`: the latent heat that water frees there, linearised (`water`). The recursion runs from the outermost node inward; `towards_w_k` and
//! `towards_w` are the condensed conductance and source of what has been eliminated, `1 / pivot` is the diagonal left of a node. Source, from memory: Golub & Van Loan,
//! Matrix Computations, 4th ed., 4.3 (banded elimination) and 3.2.11 (Schur complement).
//!
//! Inside films and latent heat stay as they are over a step, so what follows from them is found once for both of its stages.

use super::state::{Capacities, State};
use super::walls::{Films, Walls};
use super::zoned::Zoned;
use crate::hive::Zone;
use crate::lane::{Number, make_long};

/// Share of what holds an inside surface that a fall of the heat freed on it may reach before it is linearised (own choice). What is not
/// linearised comes a step late: beyond 1 steps swing ever wider, beyond 0.5 where two surfaces pass water to and fro.
const SURFACE_LATE_SHARE: f64 = 0.4;
/// The same of a node, as a share of what it stores over a stage (own choice). A store answers over a step to what comes late as to 3.4
/// times as much, and water that two nodes pass to and fro answers twice: with no conduction between them steps would swing ever wider from
/// 0.29 on. Less costs accuracy, as a node's neighbours are taken to stand still.
const NODE_LATE_SHARE: f64 = 0.35;

/// Share of what neighbours and its own store hold of a node that counts when deferred heat is given to it (own choice: neighbours move with it).
const NEIGHBOURS_SHARE: f64 = 0.05;

/// Condensed (Schur) conductance and source of the eliminated chains: heat from air to walls is `w_k * air - w`.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct CondensedWalls<N = f64> {
    /// Conductances, W/K.
    pub w_k: Zoned<N>,
    /// Sources, W.
    pub w: Zoned<N>,
}

/// The inside surface of a chain over a step.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct SurfaceHeat<N = f64> {
    /// Its film, W/K.
    pub film_w_k: N,
    /// The film and, behind it, what the first node stores over a stage, W/K: what holds it. A thin layer that stores nothing moves with it.
    pub held_w_k: N,
    /// Slope of its linearised latent source: how the heat freed on it falls as it warms, W/K.
    pub source_slope_w_k: N,
    /// What stands for that heat in the balance, W: see [`DeferredLatentHeat::source_w`](super::water::DeferredLatentHeat::source_w).
    pub source_w: N,
    /// One over all that its temperature answers to, K/W.
    answer_k_w: N,
    /// Shares of what is freed on it that go to the air and to the first node.
    to_air: N,
    to_node: N,
    /// From the air of its zone to its first node, W/K.
    through_w_k: N,
    /// Each node's share in its film, W/K.
    share_w_k: N,
    /// Its temperature at the last stage's end, degC.
    pub c: N,
    /// Heat that water has freed on it since the step began, J.
    pub freed_j: N,
}

/// A node over a step.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct NodeHeat<N = f64> {
    /// Slope of its linearised latent source, W/K.
    pub source_slope_w_k: N,
    /// What stands for that heat in the balance, W.
    pub source_w: N,
    /// How a watt more in it would warm it, K/W.
    pub pivot: N,
    /// The least that holds it: its share in the film of its chain or a part of what its neighbours and its own store hold, W/K.
    pub held_w_k: N,
    /// What flows to it but from inside, at 0 degC, W.
    inflow_w: N,
    /// Heat that water has freed in it since the step began, J.
    pub freed_j: N,
}

impl<N: Number> SurfaceHeat<N> {
    fn blank(zero: N) -> Self {
        Self {
            film_w_k: zero,
            held_w_k: zero,
            source_slope_w_k: zero,
            source_w: zero,
            answer_k_w: zero,
            to_air: zero,
            to_node: zero,
            through_w_k: zero,
            share_w_k: zero,
            c: zero,
            freed_j: zero,
        }
    }
}

impl<N: Number> NodeHeat<N> {
    fn blank(zero: N) -> Self {
        Self {
            source_slope_w_k: zero,
            source_w: zero,
            pivot: zero,
            held_w_k: zero,
            inflow_w: zero,
            freed_j: zero,
        }
    }
}

/// Workspace of the elimination, kept between steps.
#[derive(Clone, Debug)]
pub(crate) struct Elimination<N = f64> {
    /// Inside surfaces, chain by chain, and the combs.
    pub surfaces: Vec<SurfaceHeat<N>>,
    /// Nodes, chain by chain from inside to outside.
    pub nodes: Vec<NodeHeat<N>>,
    /// The parts of the air, where mist forms, in the order of [`Zone::ALL`].
    pub air: Vec<NodeHeat<N>>,
}

impl<N> Default for Elimination<N> {
    fn default() -> Self {
        Self {
            surfaces: Vec::new(),
            nodes: Vec::new(),
            air: Vec::new(),
        }
    }
}

impl<N: Number> Elimination<N> {
    /// The combs.
    #[inline(always)]
    pub(super) fn comb(&self) -> &SurfaceHeat<N> {
        &self.surfaces[self.surfaces.len() - 1]
    }

    /// The parts of the air.
    #[inline(always)]
    pub(super) fn mist(&self) -> Zoned<NodeHeat<N>> {
        Zoned {
            column: self.air[0],
            upper: self.air[1],
            lower: self.air[2],
        }
    }

    /// Sets what combs and air have over a step with stages of `stage_s`, and forgets the heat freed in earlier steps.
    #[inline(always)]
    fn begin_lumped(
        &mut self,
        stage_s: f64,
        comb_film_w_k: N,
        capacities: &Capacities<N>,
        begin: &State<N>,
    ) {
        let per_s = 1.0 / stage_s;
        let zero = comb_film_w_k.splat(0.0);
        let last = self.surfaces.len() - 1;
        let (comb, freed) = (&mut self.surfaces[last], &begin.water.at_surfaces[last]);
        *comb = SurfaceHeat::blank(zero);
        comb.film_w_k = comb_film_w_k;
        comb.held_w_k = comb_film_w_k + capacities.comb_j_k * per_s;
        comb.source_slope_w_k = freed.source_slope_w_k(comb.held_w_k, SURFACE_LATE_SHARE);
        comb.source_w = freed.source_w(comb.source_slope_w_k, begin.comb_c);
        let store_w_k = capacities.air_j_k * per_s;
        make_long(&mut self.air, Zone::ALL.len(), NodeHeat::blank(zero));
        let begin_c = begin.air_c();
        for zone in Zone::ALL {
            let (air, freed) = (
                &mut self.air[zone as usize],
                &begin.water.at_air[zone as usize],
            );
            *air = NodeHeat::blank(zero);
            air.held_w_k = store_w_k;
            air.source_slope_w_k = freed.source_slope_w_k(store_w_k, NODE_LATE_SHARE);
            air.source_w = freed.source_w(air.source_slope_w_k, begin_c.of(zone));
        }
    }

    /// Heat that water frees on combs and in the air over `seconds` at a stage's end, J, all of it together.
    #[inline(always)]
    pub(super) fn free_lumped(&mut self, end: &State<N>, seconds: f64) -> N {
        let last = self.surfaces.len() - 1;
        let comb = &mut self.surfaces[last];
        comb.c = end.comb_c;
        let on_comb_j = (comb.source_w - comb.source_slope_w_k * end.comb_c) * seconds;
        comb.freed_j = comb.freed_j + on_comb_j;
        let mut freed_j = on_comb_j;
        let end_c = end.air_c();
        for zone in Zone::ALL {
            let air = &mut self.air[zone as usize];
            let in_air_j = (air.source_w - air.source_slope_w_k * end_c.of(zone)) * seconds;
            air.freed_j = air.freed_j + in_air_j;
            freed_j = freed_j + in_air_j;
        }
        freed_j
    }
}

impl<N: Number> Walls<N> {
    /// Sets what stays the same over a step with stages of `stage_s`, and forgets the heat freed in earlier steps.
    #[inline(always)]
    pub(super) fn begin_step(
        &self,
        stage_s: f64,
        (films, begin): (&Films<N>, &State<N>),
        (comb_film_w_k, capacities): (N, &Capacities<N>),
        work: &mut Elimination<N>,
    ) {
        let water = &begin.water;
        let per_s = 1.0 / stage_s;
        let zero = self.capacity_j_k[0].splat(0.0);
        make_long(
            &mut work.surfaces,
            self.ends.len() + 1,
            SurfaceHeat::blank(zero),
        );
        make_long(&mut work.nodes, self.nodes(), NodeHeat::blank(zero));
        work.begin_lumped(stage_s, comb_film_w_k, capacities, begin);
        let ends = self
            .ends
            .iter()
            .zip(&films.inside_w_k)
            .zip(&mut work.surfaces);
        let releases = water.at_surfaces.iter().zip(&water.surfaces_c);
        for (((end, film_w_k), surface), (freed, at_c)) in ends.zip(releases) {
            let (film_w_k, first_w_k) = (*film_w_k, end.first_w_k);
            let one = film_w_k.splat(1.0);
            // The inside surface stores nothing, so it is eliminated by hand: of what it frees, and of what holds that back, a share
            // goes to the first node and the rest to the air.
            let stored_w_k = self.capacity_j_k[end.nodes.start] * per_s;
            let held_w_k = film_w_k + stored_w_k * first_w_k / (stored_w_k + first_w_k);
            let source_slope_w_k = freed.source_slope_w_k(held_w_k, SURFACE_LATE_SHARE);
            let answer_k_w = one / (film_w_k + first_w_k + source_slope_w_k);
            let to_node = first_w_k * answer_k_w;
            *surface = SurfaceHeat {
                film_w_k,
                held_w_k,
                source_slope_w_k,
                source_w: freed.source_w(source_slope_w_k, *at_c),
                answer_k_w,
                to_air: film_w_k * answer_k_w,
                to_node,
                through_w_k: film_w_k * to_node,
                share_w_k: film_w_k * (1.0 / end.nodes.len() as f64),
                c: zero,
                freed_j: zero,
            };
            let cells = self.capacity_j_k[end.nodes.clone()].iter();
            let releases = water.at_nodes[end.nodes.clone()].iter();
            let releases = releases.zip(&begin.walls_c[end.nodes.clone()]);
            let nodes = &mut work.nodes[end.nodes.clone()];
            for ((capacity_j_k, (freed, at_c)), node) in cells.zip(releases).zip(nodes) {
                let storage_w_k = *capacity_j_k * per_s;
                // Neighbours that move with it hold a node no more than it holds them: only what it stores counts.
                let source_slope_w_k = freed.source_slope_w_k(storage_w_k, NODE_LATE_SHARE);
                node.source_slope_w_k = source_slope_w_k;
                node.source_w = freed.source_w(source_slope_w_k, *at_c);
                node.freed_j = zero;
            }
        }
    }

    /// Eliminates all chains for a stage of `stage_s` from `base_c`: what is left is their condensed conductance and source.
    #[inline(always)]
    pub(super) fn eliminate(
        &self,
        (base_c, stage_s): (&[N], f64),
        outside_c: N,
        films: &Films<N>,
        work: &mut Elimination<N>,
    ) -> CondensedWalls<N> {
        let per_s = 1.0 / stage_s;
        let (zero, one) = (outside_c.splat(0.0), outside_c.splat(1.0));
        let mut condensed = CondensedWalls {
            w_k: Zoned::all(zero),
            w: Zoned::all(zero),
        };
        for (number, (end, surface)) in self.ends.iter().zip(&work.surfaces).enumerate() {
            // From the outermost node inward; `towards` is what the node outside of this one condensed with.
            let mut towards_w_k = films.outside_w_k[number];
            let mut towards_w = towards_w_k * (outside_c + films.lift_k[number]);
            let nodes = &mut work.nodes[end.nodes.clone()];
            let base_c = &base_c[end.nodes.clone()];
            let link_w_k = &self.link_w_k[end.nodes.clone()];
            let capacity_j_k = &self.capacity_j_k[end.nodes.clone()];
            for place in (0..nodes.len()).rev() {
                let node = &mut nodes[place];
                let storage_w_k = capacity_j_k[place] * per_s;
                let mut held_w_k = storage_w_k + towards_w_k + node.source_slope_w_k;
                let mut inflow_w = storage_w_k * base_c[place] + towards_w + node.source_w;
                let inward_w_k = if place == 0 {
                    held_w_k = held_w_k + surface.to_node * surface.source_slope_w_k;
                    inflow_w = inflow_w + surface.to_node * surface.source_w;
                    surface.through_w_k
                } else {
                    link_w_k[place - 1]
                };
                let answers_w_k = held_w_k + inward_w_k;
                let pivot = one / answers_w_k;
                (node.pivot, node.inflow_w) = (pivot, inflow_w);
                node.held_w_k = (answers_w_k * NEIGHBOURS_SHARE).min(surface.share_w_k);
                let passed = inward_w_k * pivot;
                towards_w_k = inward_w_k * (one - passed);
                towards_w = passed * inflow_w;
            }
            let (slope, source) = (surface.source_slope_w_k, surface.source_w);
            condensed
                .w_k
                .add(end.zone, towards_w_k + surface.to_air * slope);
            condensed
                .w
                .add(end.zone, towards_w + surface.to_air * source);
        }
        condensed
    }

    /// Temperatures of surfaces and nodes once those of the air are known, and the heat that water frees with them over `seconds`,
    /// J, all of it together.
    #[inline(always)]
    pub(super) fn substitute(
        &self,
        air_c: &Zoned<N>,
        seconds: f64,
        work: &mut Elimination<N>,
        nodes_c: &mut [N],
    ) -> N {
        let mut freed_j = air_c.upper.splat(0.0);
        for (end, surface) in self.ends.iter().zip(&mut work.surfaces) {
            let air_c = air_c.of(end.zone);
            let mut from_inside_w = surface.through_w_k * air_c;
            let nodes_c = &mut nodes_c[end.nodes.clone()];
            let nodes = work.nodes[end.nodes.clone()].iter_mut().zip(&mut *nodes_c);
            let links = self.link_w_k[end.nodes.clone()].iter();
            for ((node, node_c), link_w_k) in nodes.zip(links) {
                *node_c = (node.inflow_w + from_inside_w) * node.pivot;
                from_inside_w = *link_w_k * *node_c;
                let in_node_j = (node.source_w - node.source_slope_w_k * *node_c) * seconds;
                node.freed_j = node.freed_j + in_node_j;
                freed_j = freed_j + in_node_j;
            }
            surface.c = surface.to_air * air_c
                + surface.to_node * nodes_c[0]
                + surface.answer_k_w * surface.source_w;
            let at_surface_j = (surface.source_w - surface.source_slope_w_k * surface.c) * seconds;
            surface.freed_j = surface.freed_j + at_surface_j;
            freed_j = freed_j + at_surface_j;
        }
        freed_j
    }
}
