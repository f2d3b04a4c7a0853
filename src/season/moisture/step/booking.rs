//! What a step leaves: its ledger, and films, nodes and mist renewed with the heat that their water frees in the next step.

use super::{AirWater, MoistureWork, SETTLING_S};
use crate::hive::Zone;
use crate::lane::Number;
use crate::season::elimination::Elimination;
use crate::season::moisture::freezing::{freezing, frozen};
use crate::season::moisture::{Moisture, VapourAir};
use crate::season::water::{Water, WaterLedger};

impl<N: Number> Moisture<N> {
    /// Books what was made and what left; the water of films and nodes is booked as they are renewed.
    #[inline(always)]
    pub(super) fn book(
        &self,
        air: &VapourAir<N>,
        (made_kg, step_s): (N, f64),
        (water, end): (&Water<N>, &Water<N>),
        work: &MoistureWork<N>,
        ledger: &mut WaterLedger<N>,
    ) {
        let out = air.outside_pa;
        ledger.made_kg = ledger.made_kg + made_kg;
        let upper_kg_s = (air.upper + air.up) * (end.upper_pa - out);
        let lower_kg_s = (air.lower + air.down) * (end.lower_pa - out);
        ledger.air_kg = ledger.air_kg + (upper_kg_s + lower_kg_s) * step_s;
        let rise_pa = end.column_pa - water.column_pa + end.upper_pa - water.upper_pa
            + end.lower_pa
            - water.lower_pa;
        ledger.stored_kg = ledger.stored_kg + self.air_kg_pa * rise_pa;
        for path in &self.paths {
            let Some(last) = path.passed.clone().last() else {
                continue;
            };
            let last_pa = work.nodes[last].source * work.nodes[last].pivot;
            let left_kg = self.links[last] * (last_pa - out) * step_s;
            ledger.layers_kg = ledger.layers_kg + left_kg;
        }
    }

    /// Sets the films and the heat that they free in the next step. Its splitting error, K.
    #[inline(always)]
    pub(super) fn renew_surfaces(
        &self,
        step_s: f64,
        (water, end): (&Water<N>, &mut Water<N>),
        (heat, work): (&Elimination<N>, &MoistureWork<N>),
        ledger: &mut WaterLedger<N>,
    ) -> N {
        let zero = water.upper_pa.splat(0.0);
        let mut splitting_error_k = zero;
        for (number, (inside, held)) in work.insides.iter().zip(&heat.surfaces).enumerate() {
            let gained_kg = inside.film_kg - water.films_kg[number];
            ledger.stored_kg = ledger.stored_kg + gained_kg;
            end.films_kg[number] = inside.film_kg;
            let takes = inside.surface.film + inside.slope;
            let follows = N::choose(inside.film_set.wet, takes, zero);
            let rise_pa_k = inside.surface.saturation.pa * inside.surface.saturation.rise_per_k;
            let (began_c, ended_c) = (water.surfaces_c[number], end.surfaces_c[number]);
            let ice = freezing(
                self.fusion_j_kg,
                (inside.began_kg, began_c),
                (inside.film_kg, ended_c),
            );
            let freed_j = self.latent_j_kg * gained_kg + ice.freed_j;
            let given_j = held.freed_j;
            let per_k = self.latent_j_kg * follows * rise_pa_k + ice.per_k_j * (1.0 / step_s);
            end.at_surfaces[number] = water.at_surfaces[number].renewed(
                (freed_j, given_j),
                step_s,
                (per_k, held.film_w_k),
            );
            let off_k = (freed_j - given_j).abs() / (held.held_w_k * step_s);
            splitting_error_k = splitting_error_k.max(off_k);
        }
        splitting_error_k
    }

    /// Sets the water of nodes and the heat that it frees in the next step. Its splitting error, K.
    #[inline(always)]
    pub(super) fn renew_nodes(
        &self,
        step_s: f64,
        (began_c, ended_c): (&[N], &[N]),
        (water, end): (&Water<N>, &mut Water<N>),
        (heat, work): (&Elimination<N>, &MoistureWork<N>),
        ledger: &mut WaterLedger<N>,
    ) -> N {
        let mut splitting_error_k = water.upper_pa.splat(0.0);
        let per_s = 1.0 / step_s;
        let nodes = work.nodes.iter().zip(&heat.nodes);
        for (number, (node, held)) in nodes.enumerate() {
            let gained_kg = node.water_kg - water.nodes_kg[number];
            ledger.stored_kg = ledger.stored_kg + gained_kg;
            end.nodes_kg[number] = node.water_kg;
            let rise_pa_k = node.start_pa * node.saturation.rise_per_k;
            // Water bound in fibres does not freeze.
            let bound_kg = self.cells[number].saturated_kg;
            let ice = freezing(
                self.fusion_j_kg,
                (
                    (water.nodes_kg[number] - bound_kg).positive(),
                    began_c[number],
                ),
                ((node.water_kg - bound_kg).positive(), ended_c[number]),
            );
            let freed_j = self.latent_j_kg * gained_kg + ice.freed_j;
            let given_j = held.freed_j;
            let per_k = self.latent_j_kg * node.follows * rise_pa_k + ice.per_k_j * per_s;
            end.at_nodes[number] =
                water.at_nodes[number].renewed((freed_j, given_j), step_s, (per_k, held.held_w_k));
            let off_w = (freed_j - given_j).abs() * per_s;
            splitting_error_k = splitting_error_k.max(off_w * held.pivot);
        }
        splitting_error_k
    }

    /// Sets the mist and the heat that it frees in the next step, and lets it settle on the combs. Droplets freeze as they do so.
    #[inline(always)]
    pub(super) fn renew_air(
        &self,
        air: &VapourAir<N>,
        (made_kg, step_s): (N, f64),
        (water, end): (&Water<N>, &mut Water<N>),
        (heat, found): (&Elimination<N>, &AirWater<N>),
        ledger: &mut WaterLedger<N>,
    ) {
        let per_s = 1.0 / step_s;
        let zero = made_kg.splat(0.0);
        let zones_pa = found.pa;
        let vapour_pa = air.vapour_pa(&zones_pa);
        let gains = air.vapour_gains(&vapour_pa, (&found.takes, &found.gives), made_kg * per_s);
        let through = air.through();
        let mut settled_kg = zero;
        let combs = end.films_kg.len() - 1;
        let settled_ice_j_kg = frozen(end.surfaces_c[combs]).0 * self.fusion_j_kg;
        for zone in Zone::ALL {
            let number = zone as usize;
            let mist_kg = self.air_kg_pa * (zones_pa.of(zone) - vapour_pa.of(zone));
            let settles_kg = mist_kg * (step_s / SETTLING_S);
            settled_kg = settled_kg + settles_kg;
            let began_pa = water.air_pa().of(zone) - water.mist_kg.of(zone) / self.air_kg_pa;
            let stored_kg = self.air_kg_pa * (vapour_pa.of(zone) - began_pa);
            let condensed_kg = gains.of(zone) * step_s - stored_kg;
            let freed_j = self.latent_j_kg * condensed_kg + settled_ice_j_kg * settles_kg;
            let saturation = air.saturation.of(zone);
            let holds = through.of(zone) + found.takes.of(zone) + self.air_kg_pa * per_s;
            let rise_kg_s = N::choose(
                found.mist.of(zone).gt(zero),
                holds * saturation.pa * saturation.rise_per_k,
                zero,
            );
            *end.mist_kg.of_mut(zone) = mist_kg;
            end.at_air[number] = water.at_air[number].renewed(
                (freed_j, heat.air[number].freed_j),
                step_s,
                (self.latent_j_kg * rise_kg_s, heat.air[number].held_w_k),
            );
        }
        end.films_kg[combs] = end.films_kg[combs] + settled_kg;
        ledger.stored_kg = ledger.stored_kg + settled_kg;
    }
}
