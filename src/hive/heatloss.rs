//! Resistance and conductance of every surface and opening at a stated pair of temperatures: no weather, no bees.

use super::airflow::{AirState, Openings, STANDARD_PRESSURE_PA, airflow};
use super::description::Hive;
use super::film::{self, Orientation};
use super::surface::{
    Chain, STANDARD_OUTSIDE_M2K_W, chains, layers, resistance_limits, standard_inside_m2k_w,
};
use crate::parameter::Parameters;
use serde::Serialize;

/// Rounds that settle a film with the surface temperature it makes; each takes the error down tenfold.
const FILM_ROUNDS: usize = 12;

/// The steady conditions on both sides.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Pair {
    /// Air in the hive, degC.
    pub inside_c: f64,
    /// Air outside, degC.
    pub outside_c: f64,
    /// Wind at the hive, m/s.
    pub wind_m_s: f64,
}

/// One surface.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SurfaceLoss {
    /// Its name: "front", "lid".
    pub name: &'static str,
    /// Inside area, m2.
    pub area_m2: f64,
    /// Resistance of its layers from surface to surface, m2K/W, by the combined method of ISO 6946.
    pub layers_m2k_w: f64,
    /// Upper limit of the resistance with standard films (0.10, 0.13 or 0.17 inside, 0.04 outside), m2K/W.
    pub upper_m2k_w: f64,
    /// Lower limit of the same, m2K/W; equal to the upper without framing.
    pub lower_m2k_w: f64,
    /// Resistance of the inside film at this pair, m2K/W.
    pub inside_film_m2k_w: f64,
    /// Resistance of the outside film at this pair, m2K/W.
    pub outside_film_m2k_w: f64,
    /// Transmittance with the films at this pair, W/m2K, without edges.
    pub transmittance_w_m2k: f64,
    /// Conductance with the films at this pair and with the box's edges, W/K; 0 for a side shared with another hive.
    pub conductance_w_k: f64,
}

/// Air exchange with the outside as a conductance.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct AirLoss {
    /// Which.
    pub name: &'static str,
    /// Free area, m2.
    pub area_m2: f64,
    /// Flow times heat of air, W/K.
    pub conductance_w_k: f64,
}

/// All losses of a hive.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct HeatLoss {
    /// The conditions.
    pub pair: Pair,
    /// Surfaces: four sides, lid, and the floor where it is not open mesh.
    pub surfaces: Vec<SurfaceLoss>,
    /// Openings.
    pub air: Vec<AirLoss>,
}

impl HeatLoss {
    /// Of `hive` at `pair`, all its air at the inside temperature; fanning bees are not in it.
    #[must_use]
    pub fn new(hive: &Hive, pair: Pair, parameters: &Parameters) -> Self {
        // Upper and lower part of a side are one surface here.
        let mut surfaces: Vec<SurfaceLoss> = Vec::new();
        for chain in chains(hive) {
            let part = surface(hive, &chain, &pair);
            match surfaces
                .iter_mut()
                .find(|surface| surface.name == part.name)
            {
                None => surfaces.push(part),
                Some(whole) => {
                    whole.area_m2 += part.area_m2;
                    whole.conductance_w_k += part.conductance_w_k;
                }
            }
        }
        Self {
            pair,
            surfaces,
            air: air(hive, &pair, parameters),
        }
    }

    /// Conductance of all surfaces, W/K.
    #[must_use]
    pub fn surfaces_w_k(&self) -> f64 {
        self.surfaces
            .iter()
            .map(|surface| surface.conductance_w_k)
            .sum()
    }

    /// Conductance of all openings, W/K.
    #[must_use]
    pub fn air_w_k(&self) -> f64 {
        self.air.iter().map(|opening| opening.conductance_w_k).sum()
    }

    /// Conductance of the whole hive, W/K.
    #[must_use]
    pub fn whole_w_k(&self) -> f64 {
        self.surfaces_w_k() + self.air_w_k()
    }
}

fn surface(hive: &Hive, chain: &Chain, pair: &Pair) -> SurfaceLoss {
    let standard_inside = standard_inside_m2k_w(chain.orientation);
    let layers = layers(hive, chain.face);
    let limits = resistance_limits(
        layers,
        chain.orientation,
        standard_inside,
        STANDARD_OUTSIDE_M2K_W,
    );
    let films_m2k_w = standard_inside + STANDARD_OUTSIDE_M2K_W;
    let layers_m2k_w = limits.combined_m2k_w() - films_m2k_w;
    let outside_m2k_w =
        1.0 / film::outside_w_m2k(pair.wind_m_s, pair.outside_c, chain.finish.emissivity);
    let inside_m2k_w = inside_film_m2k_w(chain.orientation, pair, layers_m2k_w + outside_m2k_w);
    let total_k_w =
        inside_m2k_w / chain.inside_m2 + chain.resistance_k_w() + outside_m2k_w / chain.outside_m2;
    SurfaceLoss {
        name: chain.face.words(),
        area_m2: chain.inside_m2,
        layers_m2k_w,
        upper_m2k_w: limits.upper_m2k_w,
        lower_m2k_w: limits.lower_m2k_w,
        inside_film_m2k_w: inside_m2k_w,
        outside_film_m2k_w: outside_m2k_w,
        transmittance_w_m2k: 1.0 / (inside_m2k_w + layers_m2k_w + outside_m2k_w),
        conductance_w_k: if chain.shared { 0.0 } else { 1.0 / total_k_w },
    }
}

/// The inside film at the surface temperature that it makes itself, over the rest of the resistance.
fn inside_film_m2k_w(orientation: Orientation, pair: &Pair, rest_m2k_w: f64) -> f64 {
    let mut surface_c = pair.inside_c;
    let mut film_m2k_w = 0.0;
    for _ in 0..FILM_ROUNDS {
        film_m2k_w = 1.0 / film::inside_w_m2k(orientation, pair.inside_c, surface_c);
        let share = film_m2k_w / (film_m2k_w + rest_m2k_w);
        surface_c = pair.inside_c - share * (pair.inside_c - pair.outside_c);
    }
    film_m2k_w
}

fn air(hive: &Hive, pair: &Pair, parameters: &Parameters) -> Vec<AirLoss> {
    let openings = Openings::of(hive, parameters);
    let state = AirState {
        wind_m_s: pair.wind_m_s,
        outside_c: pair.outside_c,
        upper_c: pair.inside_c,
        lower_c: pair.inside_c,
        pressure_pa: STANDARD_PRESSURE_PA,
    };
    // Joints take part in the through flow: their line is what they add to all that passes without them.
    let flow = airflow(&openings.without_joints(), &state, parameters);
    let joints_w_k = airflow(&openings, &state, parameters).whole_w_k() - flow.whole_w_k();
    [
        (
            "entrance and open floor, both ways",
            openings.lower_m2,
            flow.lower_w_k,
        ),
        (
            "upper entrance and vents, both ways",
            openings.upper_m2,
            flow.upper_w_k,
        ),
        (
            "through flow between them",
            openings.lower_m2.min(openings.upper_m2),
            flow.through_w_k.abs(),
        ),
        (
            "joints of boxes, lid and floor",
            openings.lower_joints_m2 + openings.upper_joints_m2,
            joints_w_k,
        ),
    ]
    .into_iter()
    .filter(|(_, area_m2, _)| *area_m2 > 0.0)
    .map(|(name, area_m2, conductance_w_k)| AirLoss {
        name,
        area_m2,
        conductance_w_k,
    })
    .collect()
}
