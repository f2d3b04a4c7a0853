//! Liquid that does not stay where it condensed.

use super::{Moisture, Path};
use crate::hive::film::Orientation;
use crate::hive::vapour::DampCell;
use crate::season::water::{Water, WaterLedger};

impl Moisture {
    /// Lets run what does not stay where it is: a cell that overflows gives to the next inside of it, a film is sucked up, a lid drips,
    /// walls run, and the floor's pool leaves by the entrance; frost stays. Booked as drained; the kilograms that dripped from the lid are returned.
    pub(crate) fn run_off(&self, water: &mut Water, ledger: &mut WaterLedger) -> f64 {
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
            let frozen = water.surfaces_c[number] < 0.0;
            if !frozen {
                self.suck(path, &mut water.films_kg[number], &mut water.nodes_kg);
            }
            let film_kg = &mut water.films_kg[number];
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

    /// Moves a film into the open cells behind it, from the first outward: each first to saturation, then as full as it gets.
    fn suck(&self, path: &Path, film_kg: &mut f64, nodes_kg: &mut [f64]) {
        let limits: [fn(&DampCell) -> f64; 2] = [|cell| cell.saturated_kg, |cell| cell.full_kg];
        for holds in limits {
            let open = |node: &usize| self.cells[*node].sucks;
            for node in path.passed.clone().take_while(open) {
                let room_kg = (holds(&self.cells[node]) - nodes_kg[node]).max(0.0);
                let sucked_kg = film_kg.min(room_kg);
                nodes_kg[node] += sucked_kg;
                *film_kg -= sucked_kg;
            }
        }
    }
}
