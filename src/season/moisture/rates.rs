//! Rates of change of the water, all terms at the same instant.

use super::{Moisture, Surface, VapourAir};
use crate::hive::Zone;
use crate::hive::vapour::saturation_pa;
use crate::season::water::Water;

/// Film below which a surface counts as wet in part only, kg/m2: drops dry one by one. In the rates only; a step takes the limit.
const PART_WET_KG_M2: f64 = 2.0e-4;

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
            let Surface { saturation, film } = surfaces[number];
            let saturated_pa = saturation.pa;
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
}
