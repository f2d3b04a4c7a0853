//! The implicit step of the water.

use super::{DampCell, Moisture, Surface, VapourAir};
use crate::hive::Zone;
use crate::hive::vapour::{CellHumidity, saturation_pa, saturation_rise_per_k};
use crate::season::elimination::Elimination;
use crate::season::water::{Water, WaterLedger};

/// Capacity that stands for a cell at saturation, whose vapour pressure no water raises, kg/Pa.
const BOUNDLESS_KG_PA: f64 = 1.0e3;
/// Most rounds in which surfaces and cells change sides: usually one or two, and each cell changes at most three times.
const MOST_ROUNDS: u32 = 64;

/// Share of what neighbours hold of a node that counts when it is given what it was owed (own choice: they move with it).
const NEIGHBOURS_SHARE: f64 = 0.05;

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

/// The inside of a chain over a step.
#[derive(Clone, Copy, Debug)]
struct InsideVapour {
    surface: Surface,
    side: Film,
    /// Condensate as the step began, kg, and at its end.
    began_kg: f64,
    film_kg: f64,
    /// Flow from the surface into its layers is `slope * p - offset`, kg/s.
    slope: f64,
    offset: f64,
}

impl InsideVapour {
    /// What its film gives off as it dries up, kg/s.
    fn emptied_kg_s(&self, step_s: f64) -> f64 {
        match self.side {
            Film::Emptying => self.began_kg / step_s,
            Film::Dry | Film::Wet => 0.0,
        }
    }

    /// Vapour pressure at the surface under the zone's, Pa, and the flow to it from the air, kg/s.
    fn meets(&self, zone_pa: f64, step_s: f64) -> (f64, f64) {
        let film = self.surface.film;
        let surface_pa = match self.side {
            Film::Wet => self.surface.saturation_pa,
            Film::Dry | Film::Emptying => {
                let emptied = self.emptied_kg_s(step_s);
                (film * zone_pa + self.offset + emptied) / (film + self.slope)
            }
        };
        (surface_pa, film * (zone_pa - surface_pa))
    }
}

/// A node over a step.
#[derive(Clone, Copy, Debug)]
struct NodeVapour {
    line: Line,
    saturation_pa: f64,
    /// Humidity of its water as the step began.
    began: CellHumidity,
    pivot: f64,
    source: f64,
    /// Vapour pressure of its water as the step began, at its new temperature, Pa.
    start_pa: f64,
    /// How its water follows a rise of that pressure over the step, kg/(s Pa).
    follows: f64,
    /// Its water at the step's end.
    water_kg: f64,
}

/// Workspace, kept between steps.
#[derive(Clone, Debug, Default)]
pub(crate) struct MoistureWork {
    nodes: Vec<NodeVapour>,
    insides: Vec<InsideVapour>,
    /// Surfaces of the instant, filled by the walls.
    pub surfaces: Vec<Surface>,
}

impl Moisture {
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
            let last_pa = work.nodes[last].source * work.nodes[last].pivot;
            ledger.layers_kg += step_s * self.links[last] * (last_pa - out);
        }
        (water.upper_pa, water.lower_pa) = zones_pa;
        let mut unforeseen_k = 0.0_f64;
        let places = water.films_kg.iter_mut().zip(&mut water.at_surfaces);
        let insides = work.insides.iter().zip(&heat.surfaces);
        for ((film_kg, release), (inside, held)) in places.zip(insides) {
            let gained_kg = inside.film_kg - *film_kg;
            ledger.stored_kg += gained_kg;
            *film_kg = inside.film_kg;
            let follows = match inside.side {
                Film::Wet => inside.surface.film + inside.slope,
                Film::Dry | Film::Emptying => 0.0,
            };
            let rise_pa_k = inside.surface.saturation_pa * saturation_rise_per_k(held.c);
            let (freed_j, given_j) = (self.latent_j_kg * gained_kg, held.freed_j);
            release.renew(
                (freed_j, given_j),
                step_s,
                (self.latent_j_kg * follows * rise_pa_k, held.film_w_k),
                held.c,
            );
            unforeseen_k = unforeseen_k.max((freed_j - given_j).abs() / (step_s * held.held_w_k));
        }
        let places = water.nodes_kg.iter_mut().zip(&mut water.at_nodes);
        let nodes = work.nodes.iter().zip(&heat.nodes).zip(nodes_c);
        for ((water_kg, release), ((node, held), at_c)) in places.zip(nodes) {
            let gained_kg = node.water_kg - *water_kg;
            ledger.stored_kg += gained_kg;
            let rise_pa_k = node.start_pa * saturation_rise_per_k(*at_c);
            let (freed_j, given_j) = (self.latent_j_kg * gained_kg, held.freed_j);
            // A thin layer is held by its neighbours, and all of them by the air.
            let held_w_k = (NEIGHBOURS_SHARE / held.pivot).min(held.held_w_k);
            release.renew(
                (freed_j, given_j),
                step_s,
                (self.latent_j_kg * node.follows * rise_pa_k, held_w_k),
                *at_c,
            );
            let off_w = (freed_j - given_j).abs() / step_s;
            unforeseen_k = unforeseen_k.max(off_w * held.pivot);
            *water_kg = node.water_kg;
        }
        unforeseen_k
    }

    /// First guesses: what is wet stays wet.
    fn begin(&self, nodes_c: &[f64], water: &Water, work: &mut MoistureWork) {
        work.nodes.clear();
        let cells = self.cells.iter().zip(&water.nodes_kg).zip(nodes_c);
        work.nodes.extend(cells.map(|((cell, water_kg), node_c)| {
            let began = cell.humidity(*water_kg);
            NodeVapour {
                line: if began.per_kg == 0.0 {
                    Line::Wet
                } else {
                    Line::Tangent
                },
                saturation_pa: saturation_pa(*node_c),
                began,
                // A node that no vapour passes keeps nothing.
                pivot: 0.0,
                source: 0.0,
                start_pa: 0.0,
                follows: 0.0,
                water_kg: *water_kg,
            }
        }));
        work.insides.clear();
        let insides = work.surfaces.iter().zip(&water.films_kg);
        work.insides
            .extend(insides.map(|(surface, film_kg)| InsideVapour {
                surface: *surface,
                side: if *film_kg > 0.0 { Film::Wet } else { Film::Dry },
                began_kg: *film_kg,
                film_kg: *film_kg,
                slope: 0.0,
                offset: 0.0,
            }));
    }

    /// Vapour pressure of a cell as the step began and its capacity along its line, Pa and kg/Pa.
    fn line(cell: &DampCell, began_kg: f64, node: &NodeVapour) -> (f64, f64) {
        let (saturation_pa, began) = (node.saturation_pa, node.began);
        match node.line {
            Line::Tangent => (
                saturation_pa * began.humidity,
                1.0 / (saturation_pa * began.per_kg),
            ),
            Line::Chord => {
                // A cell that holds nothing starts along its tangent at nothing.
                let per_kg = if began_kg > 0.0 {
                    began.humidity / began_kg
                } else {
                    began.per_kg
                };
                (
                    saturation_pa * began.humidity,
                    1.0 / (saturation_pa * per_kg),
                )
            }
            Line::Wet => (saturation_pa, BOUNDLESS_KG_PA),
            Line::Top => {
                let pa_kg = saturation_pa * cell.top_per_kg();
                (
                    saturation_pa + pa_kg * (began_kg - cell.saturated_kg),
                    1.0 / pa_kg,
                )
            }
        }
    }

    /// Eliminates all layers: what is left is the flow that each takes from its inside surface.
    fn eliminate(&self, air: &VapourAir, step_s: f64, water: &Water, work: &mut MoistureWork) {
        for (path, inside) in self.paths.iter().zip(&mut work.insides) {
            let cells = &self.cells[path.passed.clone()];
            let links = &self.links[path.passed.clone()];
            let began_kg = &water.nodes_kg[path.passed.clone()];
            let nodes = &mut work.nodes[path.passed.clone()];
            let Some(mut towards) = links.last().copied() else {
                continue;
            };
            let mut towards_kg_s = towards * air.outside_pa;
            for place in (0..nodes.len()).rev() {
                let node = &mut nodes[place];
                let (pressure_pa, capacity_kg_pa) =
                    Self::line(&cells[place], began_kg[place], node);
                let storage = capacity_kg_pa / step_s;
                let inward = if place == 0 {
                    path.first
                } else {
                    links[place - 1]
                };
                let pivot = 1.0 / (storage + towards + inward);
                let source = storage * pressure_pa + towards_kg_s;
                (node.pivot, node.source) = (pivot, source);
                node.start_pa = pressure_pa;
                node.follows = storage * (towards + inward) * pivot;
                towards = inward * (1.0 - inward * pivot);
                towards_kg_s = inward * pivot * source;
            }
            (inside.slope, inside.offset) = (towards, towards_kg_s);
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
            for (path, inside) in self.paths.iter().zip(&work.insides) {
                let Surface {
                    saturation_pa,
                    film,
                } = inside.surface;
                let (takes, gives) = match inside.side {
                    Film::Wet => (film, film * saturation_pa),
                    Film::Dry | Film::Emptying => {
                        let share = film / (film + inside.slope);
                        let emptied = inside.emptied_kg_s(step_s);
                        (share * inside.slope, share * (inside.offset + emptied))
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
            if !self.change_films(zones_pa, step_s, &mut work.insides) {
                break;
            }
        }
        zones_pa
    }

    /// Sets each film's mass at the step's end and puts surfaces on their side; whether any changed it.
    fn change_films(
        &self,
        zones_pa: (f64, f64),
        step_s: f64,
        insides: &mut [InsideVapour],
    ) -> bool {
        let mut changed = false;
        for (path, inside) in self.paths.iter().zip(insides) {
            let (surface_pa, from_air) = inside.meets(path.zone_pa(zones_pa), step_s);
            let film_kg = match inside.side {
                Film::Wet => {
                    let into_layers = inside.slope * surface_pa - inside.offset;
                    inside.began_kg + step_s * (from_air - into_layers)
                }
                Film::Dry | Film::Emptying => 0.0,
            };
            let saturated = surface_pa > inside.surface.saturation_pa;
            let side = match inside.side {
                Film::Wet if film_kg < 0.0 && inside.began_kg > 0.0 => Film::Emptying,
                Film::Wet if film_kg < 0.0 => Film::Dry,
                Film::Dry | Film::Emptying if saturated => Film::Wet,
                same => same,
            };
            changed |= side != inside.side;
            inside.side = side;
            inside.film_kg = film_kg.max(0.0);
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
        for (path, inside) in self.paths.iter().zip(&work.insides) {
            let (surface_pa, from_air) = inside.meets(path.zone_pa(zones_pa), step_s);
            let gained_kg_s = (inside.film_kg - inside.began_kg) / step_s;
            let cells = &self.cells[path.passed.clone()];
            let links = &self.links[path.passed.clone()];
            let began_kg = &water.nodes_kg[path.passed.clone()];
            let nodes = &mut work.nodes[path.passed.clone()];
            let Some(first) = nodes.first_mut() else {
                continue;
            };
            // From here on `source * pivot` is the node's vapour pressure.
            first.source += path.first * surface_pa;
            let mut here_pa = first.source * first.pivot;
            // What the film does not keep goes into the layers.
            let mut inflow = from_air - gained_kg_s;
            for place in 0..nodes.len() {
                // The next node's pressure follows from this one's.
                let next_pa = nodes.get_mut(place + 1).map_or(air.outside_pa, |next| {
                    next.source += links[place] * here_pa;
                    next.source * next.pivot
                });
                let outflow = links[place] * (here_pa - next_pa);
                let (node, cell) = (&mut nodes[place], &cells[place]);
                let node_kg = began_kg[place] + step_s * (inflow - outflow);
                let line = match node.line {
                    Line::Tangent | Line::Top if node_kg < 0.0 => Line::Chord,
                    Line::Tangent if node_kg > cell.saturated_kg => Line::Wet,
                    Line::Wet if node_kg < cell.saturated_kg => Line::Top,
                    same => same,
                };
                changed |= line != node.line;
                (node.line, node.water_kg) = (line, node_kg);
                (here_pa, inflow) = (next_pa, outflow);
            }
        }
        changed
    }
}
