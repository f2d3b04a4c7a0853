//! Water that freezes within the kelvin below 0 degC, and the heat that it frees.

use super::Moisture;
use crate::colony::metabolism::smooth_step;
use crate::lane::Number;

/// Range below 0 degC over which water freezes, K (own choice: patches, salts and pores spread it; a jump could not be stepped).
const FREEZING_BAND_K: f64 = 1.0;

/// Share of water that is ice at a temperature, 0 to 1, and how it falls with it, 1/K.
#[inline(always)]
pub(crate) fn frozen<N: Number>(temperature_c: N) -> (N, N) {
    let (share, by_s) = smooth_step(temperature_c * (-1.0 / FREEZING_BAND_K));
    (share, by_s * (1.0 / FREEZING_BAND_K))
}

impl Moisture {
    /// What the free water of each node stores as it freezes, J/K, and the share of it that is ice.
    pub(crate) fn ice(&self, nodes_kg: &[f64], nodes_c: &[f64]) -> Vec<(f64, f64)> {
        let cells = self.cells.iter().zip(nodes_kg).zip(nodes_c);
        cells
            .map(|((cell, kg), at_c)| {
                let free_kg = (kg - cell.saturated_kg).max(0.0);
                let (share, by_k) = frozen(*at_c);
                let share = if free_kg > 0.0 { share } else { 0.0 };
                (free_kg * by_k * self.fusion_j_kg, share)
            })
            .collect()
    }
}

/// What freezing frees over a step.
pub(super) struct Freezing<N> {
    /// Below 0 where water thaws, J.
    pub freed_j: N,
    /// Its fall with temperature, J/K.
    pub per_k_j: N,
}

/// Of so much water at a temperature as a step began and as it ended, kg and degC, with its heat of fusion, J/kg.
#[inline(always)]
pub(super) fn freezing<N: Number>(
    fusion_j_kg: N,
    (began_kg, began_c): (N, N),
    (ended_kg, ended_c): (N, N),
) -> Freezing<N> {
    let (began, _) = frozen(began_c);
    let (ended, slope) = frozen(ended_c);
    // Where a step crosses the range, its chord: a tangent beyond would foresee nothing.
    let moved_k = (ended_c - began_c).abs();
    let chord = (ended - began).abs() / moved_k.max(moved_k.splat(0.01));
    Freezing {
        freed_j: (ended_kg * ended - began_kg * began) * fusion_j_kg,
        per_k_j: ended_kg * slope.max(chord) * fusion_j_kg,
    }
}
