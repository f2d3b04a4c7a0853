//! Rates of change of the water, all terms at the same instant.

use super::step::SETTLING_S;
use super::{Moisture, Surface, VapourAir};
use crate::hive::Zone;
use crate::hive::vapour::saturation_pa;
use crate::season::water::Water;
use crate::season::zoned::Zoned;

/// Film below which a surface counts as wet in part only, kg/m2: drops dry one by one. In the rates only; a step takes the limit.
const PART_WET_KG_M2: f64 = 2.0e-4;

impl Moisture {
    /// Rates of change of the water, by second, all terms at the same instant, for a source of vapour in
    /// kg/s: the equations that [`Moisture::step`] advances, but that a film of less than a fifth of a gram a square metre wets its
    /// surface in part only. In place of the mist stands the vapour that turns to mist; beside it, the
    /// mist that settles on the combs, kg/s.
    pub(crate) fn rates(
        &self,
        air: &VapourAir,
        surfaces: &[Surface],
        nodes_c: &[f64],
        source_kg_s: f64,
        water: &Water,
    ) -> (Water, f64) {
        let mut rates = self.start(0.0, 0.0);
        let vapour_pa = air.vapour_pa(&water.air_pa());
        let out = air.outside_pa;
        let mut from_air = Zoned::default();
        let pressure_pa = |node: usize| {
            let humidity = self.cells[node].humidity(water.nodes_kg[node]).humidity;
            humidity * saturation_pa(nodes_c[node])
        };
        for (number, path) in self.paths.iter().enumerate() {
            let Surface { saturation, film } = surfaces[number];
            let saturated_pa = saturation.pa;
            let zone_pa = vapour_pa.of(path.zone);
            let wet = (water.films_kg[number] / (PART_WET_KG_M2 * path.inside_m2)).clamp(0.0, 1.0);
            // The combs let nothing through: what they would take is what condenses.
            let first = path
                .passed
                .clone()
                .next()
                .map(|node| (path.first, pressure_pa(node)));
            let through_pa = first.map_or(zone_pa, |(first, first_pa)| {
                (film * zone_pa + first * first_pa) / (film + first)
            });
            let surface_pa = wet * saturated_pa + (1.0 - wet) * through_pa.min(saturated_pa);
            let to_surface = film * (zone_pa - surface_pa);
            let mut inflow = first.map_or(0.0, |(first, first_pa)| first * (surface_pa - first_pa));
            from_air.add(path.zone, to_surface);
            rates.films_kg[number] = to_surface - inflow;
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
        let surfaces = (&Zoned::default(), &from_air.negated());
        let vapour_kg_s = air.vapour_gains(&vapour_pa, surfaces, source_kg_s);
        // All water of the air goes with it, mist too.
        let water_kg_s = air.vapour_gains(&water.air_pa(), surfaces, source_kg_s);
        let combs = rates.films_kg.len() - 1;
        let (mut air_kg_s, mut settled_kg_s) = (Zoned::default(), 0.0);
        for zone in Zone::ALL {
            let mist_kg = self.air_kg_pa * (water.air_pa().of(zone) - vapour_pa.of(zone));
            // Clear air keeps its vapour, misty air what saturation lets it; the little by which that moves is left out.
            let keeps_kg_s = if mist_kg > 0.0 {
                0.0
            } else {
                water_kg_s.of(zone)
            };
            *rates.mist_kg.of_mut(zone) = vapour_kg_s.of(zone) - keeps_kg_s;
            let settles_kg_s = mist_kg / SETTLING_S;
            settled_kg_s += settles_kg_s;
            *air_kg_s.of_mut(zone) = water_kg_s.of(zone) - settles_kg_s;
        }
        rates.films_kg[combs] += settled_kg_s;
        rates.column_pa = air_kg_s.column / self.air_kg_pa;
        rates.upper_pa = air_kg_s.upper / self.air_kg_pa;
        rates.lower_pa = air_kg_s.lower / self.air_kg_pa;
        (rates, settled_kg_s)
    }
}
