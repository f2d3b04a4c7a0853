//! The vapour balance of both air zones and all layers, and its implicit step.
//!
//! Vapour that the bees give off is carried out by air, condenses on surfaces below the dew point, and crosses or is sorbed by walls, lid
//! and floor. Unknowns are vapour pressures; what is kept is the water itself, moved by flows that leave one place and enter
//! another, so none is lost. Each step is linear: layers are eliminated by the Thomas method as for heat, and
//! what is left are the two air zones. Where a straight line does not serve, a surface that gets wet or dry, a cell that
//! passes saturation, the step is solved again on the other side of the bend.
//!
//! Weak: the heat of freezing (an eighth of that of condensing) is left out; sorbed water counts as bound no more strongly than
//! condensate; liquid does not creep; honey and combs take up no water.

use super::walls::Elimination;
use super::water::{Release, Water, WaterLedger};
use crate::hive::airflow::STANDARD_PRESSURE_PA;
use crate::hive::film::{CONVECTION_OUTSIDE_STILL_W_M2K, Orientation};
use crate::hive::vapour::{
    DampCell, VAPOUR_J_KGK, film_vapour, saturation_pa, saturation_rise_per_k,
};
use crate::hive::{Chain, Hive, Zone};
use crate::parameter::Parameters;
use std::ops::Range;

/// Share of each zone that is air; combs, bees and frames take the rest (own estimate).
const AIR_SHARE: f64 = 0.5;
/// Temperature at which the zones' capacity for vapour is taken, K.
const AIR_K: f64 = 280.0;
/// Capacity that stands for a cell at saturation, whose vapour pressure no water raises, kg/Pa.
const BOUNDLESS_KG_PA: f64 = 1.0e3;
/// Film below which a surface counts as wet in part only, kg/m2: drops dry one by one. In the rates only; a step takes the limit.
const PART_WET_KG_M2: f64 = 2.0e-4;
/// Most rounds in which surfaces and cells change sides: usually one or two, and each cell changes at most three times.
const MOST_ROUNDS: u32 = 64;

/// Air exchange as a conductance for vapour, kg/(s Pa), and the vapour outside.
#[derive(Clone, Copy, Debug)]
pub(crate) struct VapourAir {
    /// Upper air with the outside, fanning counted in.
    pub upper: f64,
    /// Lower air with the outside.
    pub lower: f64,
    /// Upper with lower air.
    pub zones: f64,
    /// In below and out above.
    pub up: f64,
    /// In above and out below.
    pub down: f64,
    /// Vapour pressure outside, Pa.
    pub outside_pa: f64,
}

/// The inside of a chain as vapour meets it.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Surface {
    /// Saturation pressure at its temperature, Pa.
    pub saturation_pa: f64,
    /// Film between air and surface, kg/(s Pa).
    pub film: f64,
}

/// One chain's place among the cells.
#[derive(Clone, Debug)]
pub(crate) struct Path {
    zone: Zone,
    pub orientation: Orientation,
    pub inside_m2: f64,
    outside_m2: f64,
    /// Nodes that vapour passes.
    passed: Range<usize>,
    shared: bool,
    /// From the inside surface to the first node, kg/(s Pa).
    first: f64,
}

/// How a cell's vapour pressure follows its water over a step.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
enum Line {
    /// The tangent of its isotherm.
    #[default]
    Tangent,
    /// From nothing through where it stands: cannot fall below nothing.
    Chord,
    /// At saturation.
    Wet,
    /// The isotherm's last piece, down from saturation.
    Top,
}

/// What a surface does over a step.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
enum Film {
    #[default]
    Dry,
    /// A film lies on it at the step's end.
    Wet,
    /// Its film dries up within the step.
    Emptying,
}

/// Workspace, kept between steps.
#[derive(Clone, Debug, Default)]
pub(crate) struct MoistureWork {
    lines: Vec<Line>,
    saturation_pa: Vec<f64>,
    pivot: Vec<f64>,
    source: Vec<f64>,
    /// Vapour pressure of each node as it stood, at its new temperature, Pa.
    start_pa: Vec<f64>,
    /// How the water of each node follows a rise of that pressure over the step, kg/(s Pa).
    follows: Vec<f64>,
    nodes_kg: Vec<f64>,
    films: Vec<Film>,
    films_kg: Vec<f64>,
    /// Flow from each surface into its layers is `slope * p - offset`, kg/s.
    slope: Vec<f64>,
    offset: Vec<f64>,
    /// Surfaces of the instant, filled by the walls.
    pub surfaces: Vec<Surface>,
}

/// Vapour paths and water stores of all layers of a hive.
#[derive(Clone, Debug)]
pub(crate) struct Moisture {
    paths: Vec<Path>,
    cells: Vec<DampCell>,
    /// From each node outward, kg/(s Pa); past the last node that vapour passes, to the outside air.
    links: Vec<f64>,
    /// Vapour that a zone's air takes up, kg/Pa.
    air_kg_pa: f64,
    drip_kg_m2: f64,
    runoff_kg_m2: f64,
    pool_kg_m2: f64,
    pub latent_j_kg: f64,
}

impl Path {
    /// Its innermost node.
    pub(crate) fn first_node(&self) -> usize {
        self.passed.start
    }
}

impl Moisture {
    /// The paths, chain by chain.
    pub(crate) fn paths(&self) -> impl Iterator<Item = &Path> {
        self.paths.iter()
    }

    /// The cells of the lid that vapour passes, with their water.
    pub(crate) fn lid_cells<'a>(
        &'a self,
        nodes_kg: &'a [f64],
    ) -> impl Iterator<Item = (&'a DampCell, f64)> {
        let lids = self
            .paths
            .iter()
            .filter(|path| path.orientation == Orientation::Lid);
        lids.flat_map(|lid| lid.passed.clone())
            .map(|node| (&self.cells[node], nodes_kg[node]))
    }

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
        };
        for chain in chains {
            let first = moisture.cells.len();
            moisture.cells.extend_from_slice(&chain.damp);
            moisture.paths.push(Path {
                zone: chain.zone,
                orientation: chain.orientation,
                inside_m2: chain.inside_m2,
                outside_m2: chain.outside_m2,
                passed: first..first + chain.vapour_nodes,
                shared: chain.shared,
                first: 0.0,
            });
        }
        moisture.links = vec![0.0; moisture.cells.len()];
        let dry_kg: Vec<f64> = moisture
            .cells
            .iter()
            .map(|cell| cell.water_kg(0.0))
            .collect();
        moisture.set_links(&dry_kg);
        moisture
    }

    /// Sets the resistances to vapour from the water in the nodes.
    pub(crate) fn set_links(&mut self, nodes_kg: &[f64]) {
        for path in &mut self.paths {
            let mut inner: Option<f64> = None;
            for node in path.passed.clone() {
                let half = self.cells[node].half_pa_s_kg(nodes_kg[node]);
                match inner {
                    None => path.first = 1.0 / half,
                    Some(inner_half) => self.links[node - 1] = 1.0 / (inner_half + half),
                }
                inner = Some(half);
            }
            if let (Some(last), Some(half)) = (path.passed.clone().last(), inner) {
                // Beyond it the film of still air outside, or in the gap.
                let film_w_k = CONVECTION_OUTSIDE_STILL_W_M2K * path.outside_m2;
                let film = film_vapour(film_w_k, STANDARD_PRESSURE_PA);
                self.links[last] = if path.shared {
                    0.0
                } else {
                    1.0 / (half + 1.0 / film)
                };
            }
        }
    }

    /// How many times as well as dry each node conducts heat.
    pub(crate) fn conduction_gains(&self, nodes_kg: &[f64]) -> Vec<f64> {
        let cells = self.cells.iter().zip(nodes_kg);
        cells
            .map(|(cell, water_kg)| cell.conduction_gain(*water_kg))
            .collect()
    }

    /// A hive at rest: its air as humid as outside, its layers at a relative humidity of 0 to 1.
    pub(crate) fn start(&self, outside_pa: f64, humidity: f64) -> Water {
        Water {
            upper_pa: outside_pa,
            lower_pa: outside_pa,
            films_kg: vec![0.0; self.paths.len()],
            nodes_kg: self
                .cells
                .iter()
                .map(|cell| cell.water_kg(humidity))
                .collect(),
            at_surfaces: vec![Release::default(); self.paths.len()],
            at_nodes: vec![Release::default(); self.cells.len()],
        }
    }

    /// The water of a hive that was altered: nodes and chains that are kept, by their number before, are as damp as they were; new layers
    /// have a relative humidity of 0 to 1, new surfaces are dry.
    pub(crate) fn carried(
        &self,
        before: &Self,
        water: &Water,
        (nodes, chains): (&[Option<usize>], &[Option<usize>]),
        humidity: f64,
    ) -> Water {
        let mut carried = self.start(0.0, humidity);
        (carried.upper_pa, carried.lower_pa) = (water.upper_pa, water.lower_pa);
        for (node, kept) in nodes.iter().enumerate() {
            if let Some(kept) = *kept {
                let size = self.cells[node].saturated_kg / before.cells[kept].saturated_kg;
                carried.nodes_kg[node] = size * water.nodes_kg[kept];
                carried.at_nodes[node] = water.at_nodes[kept];
            }
        }
        for (chain, kept) in chains.iter().enumerate() {
            if let Some(kept) = *kept {
                carried.films_kg[chain] = water.films_kg[kept];
                carried.at_surfaces[chain] = water.at_surfaces[kept];
            }
        }
        carried
    }

    /// Advances `water` by `step_s` while the bees give off `made_kg`, and books it. Returns by how much the heat that was freed
    /// otherwise than foreseen could have moved any temperature, K.
    pub(crate) fn step(
        &self,
        air: &VapourAir,
        (nodes_c, heat): (&[f64], &Elimination),
        (made_kg, step_s): (f64, f64),
        water: &mut Water,
        work: &mut MoistureWork,
        ledger: &mut WaterLedger,
    ) -> f64 {
        self.begin(nodes_c, water, work);
        let mut zones_pa = (water.upper_pa, water.lower_pa);
        for _ in 0..MOST_ROUNDS {
            self.eliminate(air, step_s, water, work);
            zones_pa = self.zones(air, (made_kg, step_s), water, work);
            if !self.substitute(air, zones_pa, step_s, water, work) {
                break;
            }
        }
        let (upper_pa, lower_pa) = zones_pa;
        let out = air.outside_pa;
        ledger.made_kg += made_kg;
        ledger.air_kg += step_s
            * ((air.upper + air.up) * (upper_pa - out) + (air.lower + air.down) * (lower_pa - out));
        ledger.stored_kg +=
            self.air_kg_pa * (upper_pa - water.upper_pa + lower_pa - water.lower_pa);
        for path in &self.paths {
            let Some(last) = path.passed.clone().last() else {
                continue;
            };
            let last_pa = (work.source[last]) * work.pivot[last];
            ledger.layers_kg += step_s * self.links[last] * (last_pa - out);
        }
        (water.upper_pa, water.lower_pa) = zones_pa;
        let mut unforeseen_k = 0.0_f64;
        for (number, film_kg) in work.films_kg.iter().enumerate() {
            let gained_kg = film_kg - water.films_kg[number];
            ledger.stored_kg += gained_kg;
            water.films_kg[number] = *film_kg;
            let at_c = heat.surface_c[number];
            let Surface {
                saturation_pa,
                film,
            } = work.surfaces[number];
            let follows = match work.films[number] {
                Film::Wet => film + work.slope[number],
                Film::Dry | Film::Emptying => 0.0,
            };
            let rise_pa_k = saturation_pa * saturation_rise_per_k(at_c);
            let (freed_j, given_j) = (self.latent_j_kg * gained_kg, heat.surface_freed_j[number]);
            let held_w_k = heat.surface_held_w_k[number];
            water.at_surfaces[number].renew(
                (freed_j, given_j),
                step_s,
                (
                    self.latent_j_kg * follows * rise_pa_k,
                    heat.film_w_k[number],
                ),
                at_c,
            );
            unforeseen_k = unforeseen_k.max((freed_j - given_j).abs() / (step_s * held_w_k));
        }
        for (node, node_kg) in work.nodes_kg.iter().enumerate() {
            let gained_kg = node_kg - water.nodes_kg[node];
            ledger.stored_kg += gained_kg;
            let at_c = nodes_c[node];
            let rise_pa_k = work.start_pa[node] * saturation_rise_per_k(at_c);
            let (freed_j, given_j) = (self.latent_j_kg * gained_kg, heat.node_freed_j[node]);
            water.at_nodes[node].renew(
                (freed_j, given_j),
                step_s,
                (
                    self.latent_j_kg * work.follows[node] * rise_pa_k,
                    heat.by_the_hour_w_k[node],
                ),
                at_c,
            );
            let off_w = (freed_j - given_j).abs() / step_s;
            unforeseen_k = unforeseen_k.max(off_w * heat.pivot[node]);
            water.nodes_kg[node] = *node_kg;
        }
        unforeseen_k
    }

    /// First guesses: what is wet stays wet.
    fn begin(&self, nodes_c: &[f64], water: &Water, work: &mut MoistureWork) {
        work.saturation_pa.clear();
        work.saturation_pa
            .extend(nodes_c.iter().map(|node_c| saturation_pa(*node_c)));
        work.lines.clear();
        let cells = self.cells.iter().zip(&water.nodes_kg);
        work.lines.extend(cells.map(|(cell, water_kg)| {
            if *water_kg >= cell.saturated_kg {
                Line::Wet
            } else {
                Line::Tangent
            }
        }));
        work.films.clear();
        work.films.extend(
            water
                .films_kg
                .iter()
                .map(|film_kg| if *film_kg > 0.0 { Film::Wet } else { Film::Dry }),
        );
        for list in [
            &mut work.pivot,
            &mut work.source,
            &mut work.start_pa,
            &mut work.follows,
        ] {
            // Nodes that no vapour passes keep nothing.
            list.clear();
            list.resize(self.cells.len(), 0.0);
        }
        for list in [&mut work.slope, &mut work.offset] {
            list.resize(self.paths.len(), 0.0);
        }
        work.nodes_kg.clone_from(&water.nodes_kg);
        work.films_kg.clone_from(&water.films_kg);
    }

    /// A cell's vapour pressure at the water it holds and its capacity along its line, Pa and kg/Pa.
    fn line(&self, node: usize, water_kg: f64, work: &MoistureWork) -> (f64, f64) {
        let cell = &self.cells[node];
        let saturation_pa = work.saturation_pa[node];
        let here = || cell.humidity(water_kg);
        match work.lines[node] {
            Line::Tangent => {
                let here = here();
                (
                    saturation_pa * here.humidity,
                    1.0 / (saturation_pa * here.per_kg),
                )
            }
            Line::Chord => {
                let pressure_pa = saturation_pa * here().humidity;
                // A cell that holds nothing starts along its tangent at nothing.
                let per_kg = if water_kg > 0.0 {
                    here().humidity / water_kg
                } else {
                    here().per_kg
                };
                (pressure_pa, 1.0 / (saturation_pa * per_kg))
            }
            Line::Wet => (saturation_pa, BOUNDLESS_KG_PA),
            Line::Top => {
                let pa_kg = saturation_pa * cell.top_per_kg();
                (
                    saturation_pa + pa_kg * (water_kg - cell.saturated_kg),
                    1.0 / pa_kg,
                )
            }
        }
    }

    /// Eliminates all layers: what is left is the flow that each takes from its inside surface.
    fn eliminate(&self, air: &VapourAir, step_s: f64, water: &Water, work: &mut MoistureWork) {
        for (number, path) in self.paths.iter().enumerate() {
            let Some(outermost) = path.passed.clone().last() else {
                continue;
            };
            let mut towards = self.links[outermost];
            let mut towards_kg_s = towards * air.outside_pa;
            for node in path.passed.clone().rev() {
                let (pressure_pa, capacity_kg_pa) = self.line(node, water.nodes_kg[node], work);
                let storage = capacity_kg_pa / step_s;
                let inward = if node == path.passed.start {
                    path.first
                } else {
                    self.links[node - 1]
                };
                let pivot = 1.0 / (storage + towards + inward);
                let source = storage * pressure_pa + towards_kg_s;
                (work.pivot[node], work.source[node]) = (pivot, source);
                work.start_pa[node] = pressure_pa;
                work.follows[node] = storage * (towards + inward) * pivot;
                towards = inward * (1.0 - inward * pivot);
                towards_kg_s = inward * pivot * source;
            }
            (work.slope[number], work.offset[number]) = (towards, towards_kg_s);
        }
    }

    /// Vapour pressures of upper and lower air, once every surface has found its side.
    fn zones(
        &self,
        air: &VapourAir,
        (made_kg, step_s): (f64, f64),
        water: &Water,
        work: &mut MoistureWork,
    ) -> (f64, f64) {
        let storage = self.air_kg_pa / step_s;
        let mut zones_pa = (water.upper_pa, water.lower_pa);
        for _ in 0..MOST_ROUNDS {
            // What surfaces take from a zone is `slope * p - offset`.
            let (mut upper, mut lower) = ((0.0, 0.0), (0.0, 0.0));
            for (number, path) in self.paths.iter().enumerate() {
                let film = work.surfaces[number].film;
                let (slope, offset) = (work.slope[number], work.offset[number]);
                let (takes, gives) = match work.films[number] {
                    Film::Wet => (film, film * work.surfaces[number].saturation_pa),
                    dry => {
                        let emptied = emptied_kg_s(dry, water.films_kg[number], step_s);
                        let share = film / (film + slope);
                        (share * slope, share * (offset + emptied))
                    }
                };
                let zone = match path.zone {
                    Zone::Upper => &mut upper,
                    Zone::Lower => &mut lower,
                };
                zone.0 += takes;
                zone.1 += gives;
            }
            let out = air.outside_pa;
            let u = storage + air.upper + air.zones + air.up + air.down + upper.0;
            let l = storage + air.lower + air.zones + air.up + air.down + lower.0;
            let u_kg_s = storage * water.upper_pa
                + (air.upper + air.down) * out
                + upper.1
                + made_kg / step_s;
            let l_kg_s = storage * water.lower_pa + (air.lower + air.up) * out + lower.1;
            let (from_lower, from_upper) = (air.zones + air.up, air.zones + air.down);
            let determinant = u * l - from_lower * from_upper;
            zones_pa = (
                (u_kg_s * l + from_lower * l_kg_s) / determinant,
                (l_kg_s * u + from_upper * u_kg_s) / determinant,
            );
            if !self.change_films(zones_pa, step_s, water, work) {
                break;
            }
        }
        zones_pa
    }

    /// Vapour pressure at a surface of the zone's pressure, Pa, and the flow into its layers, kg/s.
    fn surface(
        &self,
        number: usize,
        zones_pa: (f64, f64),
        step_s: f64,
        water: &Water,
        work: &MoistureWork,
    ) -> (f64, f64) {
        let zone_pa = match self.paths[number].zone {
            Zone::Upper => zones_pa.0,
            Zone::Lower => zones_pa.1,
        };
        let film = work.surfaces[number].film;
        let (slope, offset) = (work.slope[number], work.offset[number]);
        let surface_pa = match work.films[number] {
            Film::Wet => work.surfaces[number].saturation_pa,
            dry => {
                let emptied = emptied_kg_s(dry, water.films_kg[number], step_s);
                (film * zone_pa + offset + emptied) / (film + slope)
            }
        };
        (surface_pa, film * (zone_pa - surface_pa))
    }

    /// Sets each film's mass at the step's end and puts surfaces on their side; whether any changed it.
    fn change_films(
        &self,
        zones_pa: (f64, f64),
        step_s: f64,
        water: &Water,
        work: &mut MoistureWork,
    ) -> bool {
        let mut changed = false;
        for number in 0..self.paths.len() {
            let (surface_pa, from_air) = self.surface(number, zones_pa, step_s, water, work);
            let film_kg = match work.films[number] {
                Film::Wet => {
                    let into_layers = work.slope[number] * surface_pa - work.offset[number];
                    water.films_kg[number] + step_s * (from_air - into_layers)
                }
                Film::Dry | Film::Emptying => 0.0,
            };
            let saturated = surface_pa > work.surfaces[number].saturation_pa;
            let side = match work.films[number] {
                Film::Wet if film_kg < 0.0 && water.films_kg[number] > 0.0 => Film::Emptying,
                Film::Wet if film_kg < 0.0 => Film::Dry,
                Film::Dry | Film::Emptying if saturated => Film::Wet,
                same => same,
            };
            changed |= side != work.films[number];
            work.films[number] = side;
            work.films_kg[number] = film_kg.max(0.0);
        }
        changed
    }

    /// Water of all nodes at the step's end; whether any cell must follow another line.
    fn substitute(
        &self,
        air: &VapourAir,
        zones_pa: (f64, f64),
        step_s: f64,
        water: &Water,
        work: &mut MoistureWork,
    ) -> bool {
        let mut changed = false;
        for (number, path) in self.paths.iter().enumerate() {
            if path.passed.is_empty() {
                continue;
            }
            let (mut before_pa, from_air) = self.surface(number, zones_pa, step_s, water, work);
            let gained_kg_s = (work.films_kg[number] - water.films_kg[number]) / step_s;
            // What the film does not keep goes into the layers.
            let mut inflow = from_air - gained_kg_s;
            let mut inward = path.first;
            for node in path.passed.clone() {
                // From here on `source * pivot` is the node's vapour pressure.
                work.source[node] += inward * before_pa;
                let here_pa = work.source[node] * work.pivot[node];
                let outflow = if node + 1 == path.passed.end {
                    self.links[node] * (here_pa - air.outside_pa)
                } else {
                    // The next node's pressure follows from this one's.
                    let next = node + 1;
                    let next_pa =
                        (work.source[next] + self.links[node] * here_pa) * work.pivot[next];
                    self.links[node] * (here_pa - next_pa)
                };
                let cell = &self.cells[node];
                let node_kg = water.nodes_kg[node] + step_s * (inflow - outflow);
                let line = match work.lines[node] {
                    Line::Tangent | Line::Top if node_kg < 0.0 => Line::Chord,
                    Line::Tangent if node_kg > cell.saturated_kg => Line::Wet,
                    Line::Wet if node_kg < cell.saturated_kg => Line::Top,
                    same => same,
                };
                changed |= line != work.lines[node];
                work.lines[node] = line;
                work.nodes_kg[node] = node_kg;
                (inward, before_pa, inflow) = (self.links[node], here_pa, outflow);
            }
        }
        changed
    }
}

impl Moisture {
    /// Rates of change of the water, by second, all terms at the same instant, for a source of vapour in
    /// kg/s: the equations that [`Moisture::step`] advances, but that a film of less than a fifth of a gram a square metre wets its
    /// surface in part only.
    pub(crate) fn rates(
        &self,
        air: &VapourAir,
        surfaces: &[Surface],
        nodes_c: &[f64],
        source_kg_s: f64,
        water: &Water,
    ) -> Water {
        let mut rates = self.start(0.0, 0.0);
        let (upper_pa, lower_pa, out) = (water.upper_pa, water.lower_pa, air.outside_pa);
        let (mut from_upper, mut from_lower) = (0.0, 0.0);
        let pressure_pa = |node: usize| {
            let humidity = self.cells[node].humidity(water.nodes_kg[node]).humidity;
            humidity * saturation_pa(nodes_c[node])
        };
        for (number, path) in self.paths.iter().enumerate() {
            let Surface {
                saturation_pa: saturated_pa,
                film,
            } = surfaces[number];
            let (zone_pa, from_zone) = match path.zone {
                Zone::Upper => (upper_pa, &mut from_upper),
                Zone::Lower => (lower_pa, &mut from_lower),
            };
            if path.passed.is_empty() {
                continue;
            }
            let first_pa = pressure_pa(path.passed.start);
            let through_pa = (film * zone_pa + path.first * first_pa) / (film + path.first);
            let wet = (water.films_kg[number] / (PART_WET_KG_M2 * path.inside_m2)).clamp(0.0, 1.0);
            let surface_pa = wet * saturated_pa + (1.0 - wet) * through_pa.min(saturated_pa);
            let from_air = film * (zone_pa - surface_pa);
            let mut inflow = path.first * (surface_pa - first_pa);
            *from_zone += from_air;
            rates.films_kg[number] = from_air - inflow;
            for node in path.passed.clone() {
                let next_pa = if node + 1 == path.passed.end {
                    out
                } else {
                    pressure_pa(node + 1)
                };
                let outflow = self.links[node] * (pressure_pa(node) - next_pa);
                rates.nodes_kg[node] = inflow - outflow;
                inflow = outflow;
            }
        }
        let difference_pa = upper_pa - lower_pa;
        let upper = source_kg_s
            - from_upper
            - (air.zones + air.up) * difference_pa
            - (air.upper + air.down) * (upper_pa - out);
        let lower = (air.zones + air.down) * difference_pa
            - from_lower
            - (air.lower + air.up) * (lower_pa - out);
        (rates.upper_pa, rates.lower_pa) = (upper / self.air_kg_pa, lower / self.air_kg_pa);
        rates
    }

    /// Lets run what does not stay where it is: a cell that overflows gives to the next inside of it, a lid drips, walls run, and the
    /// floor's pool leaves by the entrance; frost stays. Booked as drained; the kilograms that dripped from the lid are returned.
    pub(crate) fn run_off(
        &self,
        nodes_c: &[f64],
        water: &mut Water,
        ledger: &mut WaterLedger,
    ) -> f64 {
        let (mut dripped_kg, mut running_kg) = (0.0, 0.0);
        for (number, path) in self.paths.iter().enumerate() {
            for node in path.passed.clone().rev() {
                let excess_kg = water.nodes_kg[node] - self.cells[node].full_kg;
                if excess_kg > 0.0 {
                    water.nodes_kg[node] = self.cells[node].full_kg;
                    if node == path.passed.start {
                        water.films_kg[number] += excess_kg;
                    } else {
                        water.nodes_kg[node - 1] += excess_kg;
                    }
                }
            }
            let film_kg = &mut water.films_kg[number];
            // The first node stands for the surface.
            let frozen = nodes_c[path.first_node()] < 0.0;
            let run = |film_kg: &mut f64, holds_kg_m2: f64| {
                if frozen {
                    return 0.0;
                }
                let excess_kg = (*film_kg - holds_kg_m2 * path.inside_m2).max(0.0);
                *film_kg -= excess_kg;
                excess_kg
            };
            match path.orientation {
                Orientation::Lid => {
                    let excess_kg = run(film_kg, self.drip_kg_m2);
                    dripped_kg += excess_kg;
                    running_kg += excess_kg;
                }
                Orientation::Vertical => running_kg += run(film_kg, self.runoff_kg_m2),
                // The floor comes last and takes what runs down, as far as it holds it.
                Orientation::Floor => {
                    *film_kg += running_kg;
                    running_kg = run(film_kg, self.pool_kg_m2);
                }
            }
        }
        ledger.drained_kg += running_kg;
        ledger.stored_kg -= running_kg;
        dripped_kg
    }
}

/// What a film that dries up gives off, kg/s.
fn emptied_kg_s(film: Film, film_kg: f64, step_s: f64) -> f64 {
    match film {
        Film::Emptying => film_kg / step_s,
        Film::Dry | Film::Wet => 0.0,
    }
}

#[cfg(test)]
mod condensation;
