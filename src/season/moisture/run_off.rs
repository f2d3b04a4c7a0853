//! Liquid that does not stay where it condensed.

use super::{Moisture, VapourPath};
use crate::hive::film::Orientation;
use crate::lane::{Mask, Number};
use crate::season::water::{Water, WaterLedger};

impl<N: Number> Moisture<N> {
    /// Lets run what does not stay where it is: a cell that overflows gives to the next inside of it, a film is sucked up, a lid drips,
    /// walls run, and the floor's pool leaves by the entrance; frost stays. Booked as drained; the kilograms that dripped from the lid are returned.
    #[inline(always)]
    pub(crate) fn run_off(&self, water: &mut Water<N>, ledger: &mut WaterLedger<N>) -> N {
        let zero = water.upper_pa.splat(0.0);
        let (mut dripped_kg, mut running_kg) = (zero, zero);
        for (number, path) in self.paths.iter().enumerate() {
            self.overflow(path, number, water);
            let thawed = water.surfaces_c[number].ge(zero);
            if self.cells[path.passed.clone()]
                .first()
                .is_some_and(|cell| cell.sucks)
            {
                self.suck(
                    path,
                    thawed,
                    &mut water.films_kg[number],
                    &mut water.nodes_kg,
                );
            }
            let film_kg = &mut water.films_kg[number];
            let (holds_kg_m2, falls) = match path.orientation {
                Some(Orientation::Lid) => (self.drip_kg_m2, true),
                // The combs come last: what drips from them leaves with what runs down.
                Some(Orientation::Vertical) | None => (self.runoff_kg_m2, false),
                // The floor comes last and takes what runs down, as far as it holds it.
                Some(Orientation::Floor) => {
                    *film_kg = *film_kg + running_kg;
                    running_kg = zero;
                    (self.pool_kg_m2, false)
                }
            };
            let excess_kg = (*film_kg - holds_kg_m2 * path.inside_m2).positive();
            let excess_kg = N::choose(thawed, excess_kg, zero);
            *film_kg = *film_kg - excess_kg;
            running_kg = running_kg + excess_kg;
            if falls {
                dripped_kg = dripped_kg + excess_kg;
            }
        }
        ledger.drained_kg = ledger.drained_kg + running_kg;
        ledger.stored_kg = ledger.stored_kg - running_kg;
        dripped_kg
    }

    /// Hands what a cell cannot hold to the next inside of it, and from the first to the film.
    #[inline(always)]
    fn overflow(&self, path: &VapourPath<N>, number: usize, water: &mut Water<N>) {
        for node in path.passed.clone().rev() {
            let full_kg = self.cells[node].full_kg;
            let excess_kg = (water.nodes_kg[node] - full_kg).positive();
            if !excess_kg.gt(excess_kg.splat(0.0)).any() {
                continue;
            }
            water.nodes_kg[node] = water.nodes_kg[node].min(full_kg);
            let next_kg = if node == path.passed.start {
                &mut water.films_kg[number]
            } else {
                &mut water.nodes_kg[node - 1]
            };
            *next_kg = *next_kg + excess_kg;
        }
    }

    /// Moves a film that is not frozen into the open cells behind it, from the first outward: each first to saturation, then as full as it gets.
    #[inline(always)]
    fn suck(&self, path: &VapourPath<N>, thawed: N::Mask, film_kg: &mut N, nodes_kg: &mut [N]) {
        let zero = film_kg.splat(0.0);
        for to_the_brim in [false, true] {
            for node in path.passed.clone() {
                let cell = &self.cells[node];
                if !cell.sucks {
                    break;
                }
                let holds_kg = if to_the_brim {
                    cell.full_kg
                } else {
                    cell.saturated_kg
                };
                let room_kg = (holds_kg - nodes_kg[node]).positive();
                let sucked_kg = N::choose(thawed, film_kg.min(room_kg), zero);
                nodes_kg[node] = nodes_kg[node] + sucked_kg;
                *film_kg = *film_kg - sucked_kg;
            }
        }
    }
}
