//! The implicit step of the water: backward Euler, with an active set for what is wet, dry or saturated.
//!
//! With `p` vapour pressures, `w` water, `h` the step's length, primes at its end, `z` the air of a zone, `s` an inside surface, `i` a node:
//!
//! ```text
//! (w_i' - w_i) / h = k_(i-1) (p_(i-1) - p_i) - k_i (p_i - p_(i+1))      each node;  w_i' - w_i = c_i (p_i - p0_i)
//! (f' - f) / h = g (p_z - p_s) - k_0 (p_s - p_1)                        a film, while p_s is saturated; else f' = 0
//! A (p_z' - p_z) / h = made_z + sum of V (p - p_z) + sum over surfaces of g (p_s - p_z) - settling mist
//! ```
//!
//! `k` is `links` (`first` from the surface), `c` is `capacity_kg_pa` and `p0` is `start_pa` along the piece of the isotherm that a node is on (`NodeSet`), `g` is
//! `surface.film`, `A` is `air_kg_pa`, `V` the exchange in `VapourAir`. Layers are eliminated by the Thomas method as walls are; what is left are the zones.
//! Sources, from memory: Patankar 1980, Numerical heat transfer and fluid flow, 4.2 (backward Euler, Thomas method); Nocedal & Wright 2006, Numerical
//! optimization, 16.5 (active sets).

mod active_set;
mod booking;

use super::{Moisture, Surface, VapourAir};
use crate::hive::Zone;
use crate::hive::vapour::{DampCell, Saturation};
use crate::lane::{Mask, Number, make_long};
use crate::season::elimination::Elimination;
use crate::season::water::{Water, WaterLedger};
use crate::season::zoned::Zoned;
use active_set::{FilmSet, NodeSet};

/// Capacity that stands for a cell at saturation, whose vapour pressure no water raises, kg/Pa.
const BOUNDLESS_KG_PA: f64 = 1.0e3;
/// Most iterations of the active sets: usually one or two, as each node changes at most three times.
const MOST_ITERATIONS: u32 = 64;
/// Time over which mist settles, s (own estimate: droplets of some 10 um fall 3 mm/s, a hand's breadth to a comb's height).
pub(super) const SETTLING_S: f64 = 120.0;
/// The inside of a chain over a step.
#[derive(Clone, Copy, Debug)]
struct InsideVapour<N: Number> {
    surface: Surface<N>,
    film_set: FilmSet<N::Mask>,
    /// Condensate as the step began, kg, and at its end.
    began_kg: N,
    film_kg: N,
    /// Flow from the surface into its layers is `slope * p - offset`, kg/s.
    slope: N,
    offset: N,
    /// One over film and slope together, s Pa/kg.
    answer: N,
}

impl<N: Number> InsideVapour<N> {
    /// What its film gives off as it dries up, kg/s.
    #[inline(always)]
    fn emptied_kg_s(&self, step_s: f64) -> N {
        let rate = self.began_kg * (1.0 / step_s);
        N::choose(self.film_set.emptying, rate, rate.splat(0.0))
    }

    /// Vapour pressure at the surface under the zone's, Pa, and the flow to it from the air, kg/s.
    #[inline(always)]
    fn meets(&self, zone_pa: N, step_s: f64) -> (N, N) {
        let film = self.surface.film;
        let open_pa = (film * zone_pa + self.offset + self.emptied_kg_s(step_s)) * self.answer;
        let surface_pa = N::choose(self.film_set.wet, self.surface.saturation.pa, open_pa);
        (surface_pa, film * (zone_pa - surface_pa))
    }
}

/// A node over a step.
#[derive(Clone, Copy, Debug)]
struct NodeVapour<N: Number> {
    node_set: NodeSet<N::Mask>,
    saturation: Saturation<N>,
    /// Vapour pressure of its water as the step began, at its new temperature, along its piece of the isotherm, Pa.
    start_pa: N,
    /// Capacity along it, kg/Pa.
    capacity_kg_pa: N,
    pivot: N,
    source: N,
    /// How its water follows a rise of that pressure over the step, kg/(s Pa).
    follows: N,
    /// Its water at the step's end.
    water_kg: N,
}

impl<N: Number> NodeVapour<N> {
    fn blank(zero: N) -> Self {
        Self {
            node_set: NodeSet::new(zero.mask(false), zero.mask(false)),
            saturation: Saturation {
                pa: zero,
                rise_per_k: zero,
            },
            start_pa: zero,
            capacity_kg_pa: zero,
            pivot: zero,
            source: zero,
            follows: zero,
            water_kg: zero,
        }
    }
}

/// Workspace, kept between steps.
#[derive(Clone, Debug)]
pub(crate) struct MoistureWork<N: Number = f64> {
    nodes: Vec<NodeVapour<N>>,
    insides: Vec<InsideVapour<N>>,
    /// Surfaces of the instant, filled by the walls, and the combs.
    pub surfaces: Vec<Surface<N>>,
}

/// Water of the air at a step's end, as far as it is found.
#[derive(Clone, Copy, Debug)]
struct AirWater<N> {
    /// As a pressure, mist counted in, Pa.
    pa: Zoned<N>,
    /// More than nothing where it is misty.
    mist: Zoned<N>,
    /// What surfaces take from it is `takes * p - gives`, kg/s.
    takes: Zoned<N>,
    gives: Zoned<N>,
}

impl<N: Number> Default for MoistureWork<N> {
    fn default() -> Self {
        Self {
            nodes: Vec::new(),
            insides: Vec::new(),
            surfaces: Vec::new(),
        }
    }
}

impl<N: Number> Moisture<N> {
    /// Advances `water` by `step_s` while the bees give off `made_kg`, into `end`, and books it. Returns its splitting error: by how much
    /// latent heat freed otherwise than it was linearised could have moved any temperature, K.
    #[inline(always)]
    pub(crate) fn step(
        &self,
        air: &VapourAir<N>,
        (began_c, nodes_c, heat): (&[N], &[N], &Elimination<N>),
        (made_kg, step_s): (N, f64),
        (water, end): (&Water<N>, &mut Water<N>),
        work: &mut MoistureWork<N>,
        ledger: &mut WaterLedger<N>,
    ) -> N {
        self.begin(nodes_c, water, work);
        let zero = made_kg.splat(0.0);
        let mut found = AirWater {
            pa: water.air_pa(),
            mist: water.mist_kg,
            takes: Zoned::all(zero),
            gives: Zoned::all(zero),
        };
        let mut moving = zero.mask(true);
        for _ in 0..MOST_ITERATIONS {
            self.eliminate(air, step_s, work);
            moving = self.solve_air(air, (made_kg, step_s), water, &mut found, work);
            moving = moving | self.substitute(air, &found.pa, step_s, water, work);
            if !moving.any() {
                break;
            }
            self.change_pieces(water, work);
        }
        let zones_pa = found.pa;
        (end.column_pa, end.upper_pa, end.lower_pa) =
            (zones_pa.column, zones_pa.upper, zones_pa.lower);
        self.book(air, (made_kg, step_s), (water, end), work, ledger);
        let on_surfaces_k = self.renew_surfaces(step_s, (water, end), (heat, work), ledger);
        let in_nodes_k = self.renew_nodes(
            step_s,
            (began_c, nodes_c),
            (water, end),
            (heat, work),
            ledger,
        );
        self.renew_air(air, (made_kg, step_s), (water, end), (heat, &found), ledger);
        // What goes round in circles is no solution: a shorter step must find one.
        N::choose(
            moving,
            zero.splat(f64::INFINITY),
            in_nodes_k.max(on_surfaces_k),
        )
    }

    /// First guesses: what is wet stays wet.
    #[inline(always)]
    fn begin(&self, nodes_c: &[N], water: &Water<N>, work: &mut MoistureWork<N>) {
        let (zero, one) = (water.upper_pa.splat(0.0), water.upper_pa.splat(1.0));
        make_long(&mut work.nodes, self.cells.len(), NodeVapour::blank(zero));
        let cells = self.cells.iter().zip(&water.nodes_kg).zip(nodes_c);
        for (((cell, water_kg), node_c), node) in cells.zip(&mut work.nodes) {
            let began = cell.humidity(*water_kg);
            let saturation = Saturation::at(*node_c);
            let wet = began.per_kg.eq_to(zero);
            let tangent_kg_pa = one / (saturation.pa * began.per_kg);
            node.node_set = NodeSet::new(wet, zero.mask(false));
            node.saturation = saturation;
            node.start_pa = saturation.pa * began.humidity;
            node.capacity_kg_pa = N::choose(wet, one * BOUNDLESS_KG_PA, tangent_kg_pa);
            // A node that no vapour passes follows nothing and keeps its water.
            node.follows = zero;
            node.water_kg = *water_kg;
        }
        work.insides.clear();
        for (surface, film_kg) in work.surfaces.iter().zip(&water.films_kg) {
            let wet = film_kg.gt(zero);
            work.insides.push(InsideVapour {
                surface: *surface,
                film_set: FilmSet::new(wet, zero.mask(false)),
                began_kg: *film_kg,
                film_kg: *film_kg,
                slope: zero,
                offset: zero,
                answer: one / surface.film,
            });
        }
    }

    /// Sets pressure and capacity of the cells that have left the tangent.
    #[inline(always)]
    fn change_pieces(&self, water: &Water<N>, work: &mut MoistureWork<N>) {
        let cells = self.cells.iter().zip(&water.nodes_kg);
        for (node, (cell, began_kg)) in work.nodes.iter_mut().zip(cells) {
            if (!node.node_set.tangent()).any() {
                (node.start_pa, node.capacity_kg_pa) = Self::along(cell, *began_kg, node);
            }
        }
    }

    /// Vapour pressure of a cell as the step began and its capacity along its piece of the isotherm, Pa and kg/Pa.
    #[inline(always)]
    fn along(cell: &DampCell<N>, began_kg: N, node: &NodeVapour<N>) -> (N, N) {
        let (zero, one) = (began_kg.splat(0.0), began_kg.splat(1.0));
        let saturated_pa = node.saturation.pa;
        let began = cell.humidity(began_kg);
        // A cell that holds nothing starts along its tangent at nothing.
        let held = node.node_set.chord & began_kg.gt(zero);
        let per_kg = N::choose(held, began.humidity / began_kg, began.per_kg);
        let top_pa_kg = saturated_pa * cell.top_per_kg();
        let top_pa = saturated_pa + top_pa_kg * (began_kg - cell.saturated_kg);
        let own_pa = saturated_pa * began.humidity;
        let top = node.node_set.top;
        let pa_kg = N::choose(top, top_pa_kg, saturated_pa * per_kg);
        (
            N::choose(top, top_pa, own_pa),
            N::choose(node.node_set.saturated, one * BOUNDLESS_KG_PA, one / pa_kg),
        )
    }

    /// Eliminates all layers: what is left is the flow that each takes from its inside surface.
    #[inline(always)]
    fn eliminate(&self, air: &VapourAir<N>, step_s: f64, work: &mut MoistureWork<N>) {
        let per_s = 1.0 / step_s;
        let one = air.outside_pa.splat(1.0);
        for (path, inside) in self.paths.iter().zip(&mut work.insides) {
            let links = &self.links[path.passed.clone()];
            let nodes = &mut work.nodes[path.passed.clone()];
            let Some(mut towards) = links.last().copied() else {
                continue;
            };
            let mut towards_kg_s = towards * air.outside_pa;
            for place in (0..nodes.len()).rev() {
                let node = &mut nodes[place];
                let storage = node.capacity_kg_pa * per_s;
                let inward = if place == 0 {
                    path.first
                } else {
                    links[place - 1]
                };
                let condensed = towards + inward;
                let pivot = one / (storage + condensed);
                let source = storage * node.start_pa + towards_kg_s;
                (node.pivot, node.source) = (pivot, source);
                node.follows = storage * condensed * pivot;
                let passed = inward * pivot;
                towards = inward * (one - passed);
                towards_kg_s = passed * source;
            }
            (inside.slope, inside.offset) = (towards, towards_kg_s);
            inside.answer = one / (inside.surface.film + towards);
        }
    }

    /// Finds the water of the air, so that every surface is on its side and every part is misty or clear; where that did not settle.
    #[inline(always)]
    fn solve_air(
        &self,
        air: &VapourAir<N>,
        (made_kg, step_s): (N, f64),
        water: &Water<N>,
        found: &mut AirWater<N>,
        work: &mut MoistureWork<N>,
    ) -> N::Mask {
        let per_s = 1.0 / step_s;
        let storage = self.air_kg_pa * per_s;
        let settles = self.air_kg_pa * (1.0 / SETTLING_S);
        let zero = storage.splat(0.0);
        let out = air.outside_pa;
        let (from_lower, from_upper) = (air.zones + air.up, air.zones + air.down);
        let mut moving = zero.mask(true);
        for _ in 0..MOST_ITERATIONS {
            // What surfaces take from clear air is `slope * p - offset`; from misty air that of saturation, and mist settles.
            let (mut slope, mut offset) = (Zoned::all(zero), Zoned::all(zero));
            for (path, inside) in self.paths.iter().zip(&work.insides) {
                let film = inside.surface.film;
                let wet = inside.film_set.wet;
                let share = film * inside.answer;
                let emptied = inside.emptied_kg_s(step_s);
                let takes = N::choose(wet, film, share * inside.slope);
                let gives = N::choose(
                    wet,
                    film * inside.surface.saturation.pa,
                    share * (inside.offset + emptied),
                );
                slope.add(path.zone, takes);
                offset.add(path.zone, gives);
            }
            (found.takes, found.gives) = (slope, offset);
            for zone in Zone::ALL {
                let misty = found.mist.of(zone).gt(zero);
                let (takes, gives) = (slope.of(zone), offset.of(zone));
                let at_saturation = (takes - settles) * air.saturation.of(zone).pa;
                *slope.of_mut(zone) = N::choose(misty, settles, takes);
                *offset.of_mut(zone) = N::choose(misty, gives - at_saturation, gives);
            }
            let c = storage + air.column + slope.column;
            let u = storage + air.column + air.zones + air.up + air.down + air.upper + slope.upper;
            let l = storage + air.zones + air.up + air.down + air.lower + slope.lower;
            let c_kg_s = storage * water.column_pa + offset.column + made_kg * per_s;
            let u_kg_s = storage * water.upper_pa + (air.upper + air.down) * out + offset.upper;
            let l_kg_s = storage * water.lower_pa + (air.lower + air.up) * out + offset.lower;
            // The column meets the upper air alone: what is left of both is one equation.
            let passed = air.column / c;
            let u = u - passed * air.column;
            let u_kg_s = u_kg_s + passed * c_kg_s;
            let per_determinant = zero.splat(1.0) / (u * l - from_lower * from_upper);
            let upper = (u_kg_s * l + from_lower * l_kg_s) * per_determinant;
            found.pa = Zoned {
                column: (c_kg_s + air.column * upper) / c,
                upper,
                lower: (l_kg_s * u + from_upper * u_kg_s) * per_determinant,
            };
            // Surfaces meet the air as it was solved for: what is misty is saturated.
            let mut vapour_pa = found.pa;
            for zone in Zone::ALL {
                let misty = found.mist.of(zone).gt(zero);
                let saturated_pa = air.saturation.of(zone).pa;
                *vapour_pa.of_mut(zone) = N::choose(misty, saturated_pa, found.pa.of(zone));
            }
            let films = self.change_films(&vapour_pa, step_s, &mut work.insides);
            // Air changes only once its surfaces are settled: both at once can go round in circles.
            let mist = Self::change_mist(air, &found.pa, !films, &mut found.mist);
            moving = films | mist;
            if !moving.any() {
                break;
            }
        }
        moving
    }

    /// Tells, where it may, which parts of the air are misty, 1, and which clear, 0; where any has changed.
    #[inline(always)]
    fn change_mist(
        air: &VapourAir<N>,
        zones_pa: &Zoned<N>,
        may: N::Mask,
        mist: &mut Zoned<N>,
    ) -> N::Mask {
        let zero = zones_pa.upper.splat(0.0);
        let mut changed = zero.mask(false);
        for zone in Zone::ALL {
            let was = mist.of(zone).gt(zero);
            let is = zones_pa.of(zone).gt(air.saturation.of(zone).pa);
            let changes = may & ((is & !was) | (was & !is));
            changed = changed | changes;
            *mist.of_mut(zone) = zero.one_where((changes & is) | (!changes & was));
        }
        changed
    }

    /// Sets each film's mass at the step's end and updates their active sets; whether any changed.
    #[inline(always)]
    fn change_films(
        &self,
        vapour_pa: &Zoned<N>,
        step_s: f64,
        insides: &mut [InsideVapour<N>],
    ) -> N::Mask {
        let zero = vapour_pa.upper.splat(0.0);
        let mut changed = zero.mask(false);
        for (path, inside) in self.paths.iter().zip(insides) {
            let (surface_pa, from_air) = inside.meets(vapour_pa.of(path.zone), step_s);
            let wet = inside.film_set.wet;
            let into_layers = inside.slope * surface_pa - inside.offset;
            let gained_kg = (from_air - into_layers) * step_s;
            let film_kg = N::choose(wet, inside.began_kg + gained_kg, zero);
            let dries = wet & film_kg.lt(zero);
            let wets = !wet & surface_pa.gt(inside.surface.saturation.pa);
            let began_wet = inside.began_kg.gt(zero);
            changed = changed | inside.film_set.update(dries, wets, began_wet);
            inside.film_kg = film_kg.positive();
        }
        changed
    }

    /// Water of all nodes at the step's end; whether any node must follow another piece of its isotherm.
    #[inline(always)]
    fn substitute(
        &self,
        air: &VapourAir<N>,
        zones_pa: &Zoned<N>,
        step_s: f64,
        water: &Water<N>,
        work: &mut MoistureWork<N>,
    ) -> N::Mask {
        let vapour_pa = air.vapour_pa(zones_pa);
        let zero = vapour_pa.upper.splat(0.0);
        let mut changed = zero.mask(false);
        for (path, inside) in self.paths.iter().zip(&work.insides) {
            let (surface_pa, from_air) = inside.meets(vapour_pa.of(path.zone), step_s);
            let gained_kg_s = (inside.film_kg - inside.began_kg) * (1.0 / step_s);
            let cells = &self.cells[path.passed.clone()];
            let links = &self.links[path.passed.clone()];
            let began_kg = &water.nodes_kg[path.passed.clone()];
            let nodes = &mut work.nodes[path.passed.clone()];
            let Some(first) = nodes.first_mut() else {
                continue;
            };
            // From here on `source * pivot` is the node's vapour pressure.
            first.source = first.source + path.first * surface_pa;
            let mut here_pa = first.source * first.pivot;
            // What the film does not keep goes into the layers.
            let mut inflow = from_air - gained_kg_s;
            for place in 0..nodes.len() {
                // The next node's pressure follows from this one's.
                let next_pa = match nodes.get_mut(place + 1) {
                    Some(next) => {
                        next.source = next.source + links[place] * here_pa;
                        next.source * next.pivot
                    }
                    None => air.outside_pa,
                };
                let outflow = links[place] * (here_pa - next_pa);
                let (node, cell) = (&mut nodes[place], &cells[place]);
                let node_kg = began_kg[place] + (inflow - outflow) * step_s;
                changed = changed | Self::change_piece(node, node_kg, cell);
                node.water_kg = node_kg;
                (here_pa, inflow) = (next_pa, outflow);
            }
        }
        changed
    }

    /// Puts a node that ends a step with so much water on its piece of the isotherm; where that is another one.
    #[inline(always)]
    fn change_piece(node: &mut NodeVapour<N>, node_kg: N, cell: &DampCell<N>) -> N::Mask {
        let below_nothing = node_kg.lt(node_kg.splat(0.0));
        let (above, below) = (node_kg.gt(cell.saturated_kg), node_kg.lt(cell.saturated_kg));
        node.node_set.update(below_nothing, above, below)
    }
}
