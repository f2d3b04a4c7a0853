//! Resistance and conductance of every surface and opening at a stated pair of temperatures: no weather, no bees.

use super::airflow::{AirState, Openings, STANDARD_PRESSURE_PA, airflow};
use super::build_up::BuildUp;
use super::description::Hive;
use super::film::{self, Orientation};
use super::surface::{Chain, STANDARD_OUTSIDE_M2K_W, chains, standard_inside_m2k_w};
use crate::parameter::Parameters;
use serde::Serialize;

/// Rounds that settle a film with the surface temperature it makes; each takes the error down tenfold.
const FILM_ROUNDS: usize = 12;

/// Mass of the cluster over the conductance of its nest below which wooden hives are, kgK/W (Mitchell 2016, Int J Biometeorol
/// 60:629; published).
pub const WOODEN_HIVES_KGK_W: f64 = 0.8;
/// The same, above which tree cavities are, kgK/W (Mitchell 2016; published).
pub const TREE_CAVITIES_KGK_W: f64 = 5.0;

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
    /// Its layers are those.
    #[serde(skip)]
    pub build_up: BuildUp,
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
    /// What the box's edges have of it, W/K: the conductance less transmittance times area.
    pub edges_w_k: f64,
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
                    whole.edges_w_k += part.edges_w_k;
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

    /// Conductance of the surfaces of one build-up, W/K.
    #[must_use]
    pub fn build_up_w_k(&self, build_up: BuildUp) -> f64 {
        let surfaces = self.surfaces.iter();
        let of_it = surfaces.filter(|surface| surface.build_up == build_up);
        of_it.map(|surface| surface.conductance_w_k).sum()
    }

    /// What the box's edges add to its faces, W/K: its geometric thermal bridges.
    #[must_use]
    pub fn edges_w_k(&self) -> f64 {
        self.surfaces.iter().map(|surface| surface.edges_w_k).sum()
    }

    /// Mass of a cluster over the conductance of the whole hive, kgK/W: how well a nest suits its colony (Mitchell 2016), to be
    /// held against [`WOODEN_HIVES_KGK_W`] and [`TREE_CAVITIES_KGK_W`]. Weak where wind and vents decide: the conductance is
    /// that at the stated pair, his is of whole nests warmed in still air.
    #[must_use]
    pub fn mass_per_conductance_kgk_w(&self, cluster_kg: f64) -> f64 {
        cluster_kg / self.whole_w_k()
    }
}

fn surface(hive: &Hive, chain: &Chain, pair: &Pair) -> SurfaceLoss {
    let standard_inside = standard_inside_m2k_w(chain.orientation);
    let build_up = BuildUp::of_face(chain.face);
    let limits = build_up.resistance_limits(hive);
    let films_m2k_w = standard_inside + STANDARD_OUTSIDE_M2K_W;
    let layers_m2k_w = limits.combined_m2k_w() - films_m2k_w;
    let outside_m2k_w =
        1.0 / film::outside_w_m2k(pair.wind_m_s, pair.outside_c, chain.finish.emissivity);
    let inside_m2k_w = inside_film_m2k_w(chain.orientation, pair, layers_m2k_w + outside_m2k_w);
    let total_k_w =
        inside_m2k_w / chain.inside_m2 + chain.resistance_k_w() + outside_m2k_w / chain.outside_m2;
    let transmittance_w_m2k = 1.0 / (inside_m2k_w + layers_m2k_w + outside_m2k_w);
    let conductance_w_k = if chain.shared { 0.0 } else { 1.0 / total_k_w };
    let faces_w_k = if chain.shared {
        0.0
    } else {
        transmittance_w_m2k * chain.inside_m2
    };
    SurfaceLoss {
        name: chain.face.words(),
        build_up,
        area_m2: chain.inside_m2,
        layers_m2k_w,
        upper_m2k_w: limits.upper_m2k_w,
        lower_m2k_w: limits.lower_m2k_w,
        inside_film_m2k_w: inside_m2k_w,
        outside_film_m2k_w: outside_m2k_w,
        transmittance_w_m2k,
        conductance_w_k,
        edges_w_k: conductance_w_k - faces_w_k,
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::hive::{Layer, Side};
    use crate::material::find;
    use crate::scenario::built_in;
    use approx::assert_relative_eq;

    fn loss(hive: &Hive) -> HeatLoss {
        let pair = Pair {
            inside_c: 10.0,
            outside_c: -10.0,
            wind_m_s: 1.0,
        };
        HeatLoss::new(hive, pair, &Parameters::default())
    }

    /// A lid of one material whose area grows by `g = 0.54 * edge` for each metre of depth resists by `ln(1 + g D / A) / (lambda g)`.
    #[test]
    fn edges_are_what_a_face_that_grows_with_depth_conducts_more() {
        let mut hive = built_in().hive;
        hive.lid = vec![Layer::new(find("xps").unwrap().clone(), 0.1)];
        let loss = loss(&hive);
        let mut surfaces = loss.surfaces.iter();
        let lid = surfaces.find(|surface| surface.name == "lid").unwrap();
        let (area_m2, growth_m) = (0.375 * 0.465, 0.54 * 2.0 * (0.375 + 0.465));
        let outside_m2 = area_m2 + growth_m * 0.1;
        let foam_k_w = libm::log(outside_m2 / area_m2) / (0.034 * growth_m);
        let films_k_w = lid.inside_film_m2k_w / area_m2 + lid.outside_film_m2k_w / outside_m2;
        let with_w_k = 1.0 / (films_k_w + foam_k_w);
        let films_m2k_w = lid.inside_film_m2k_w + lid.outside_film_m2k_w;
        let without_w_k = area_m2 / (films_m2k_w + 0.1 / 0.034);
        // The foam is cut into four cells: their areas are those of their middles.
        let by_hand_w_k = with_w_k - without_w_k;
        assert_relative_eq!(lid.edges_w_k, by_hand_w_k, max_relative = 0.02);
    }

    #[test]
    fn a_side_that_touches_another_hive_has_neither_face_nor_edges() {
        let mut hive = built_in().hive;
        hive.shared_sides = vec![Side::Back];
        let loss = loss(&hive);
        let mut surfaces = loss.surfaces.iter();
        let back = surfaces.find(|surface| surface.name == "back").unwrap();
        assert_eq!((back.conductance_w_k, back.edges_w_k), (0.0, 0.0));
    }

    #[test]
    fn mass_per_conductance_is_the_quotient_of_both() {
        let loss = loss(&built_in().hive);
        let whole_w_k = loss.surfaces_w_k() + loss.air_w_k();
        assert_relative_eq!(loss.mass_per_conductance_kgk_w(2.0), 2.0 / whole_w_k);
        // The sample is a wooden hive, and lies with a usual colony where Mitchell found those.
        assert!(loss.mass_per_conductance_kgk_w(1.75) < WOODEN_HIVES_KGK_W);
    }

    #[test]
    fn build_ups_sum_to_all_surfaces() {
        let loss = loss(&built_in().hive);
        let each = BuildUp::ALL.map(|build_up| loss.build_up_w_k(build_up));
        assert_relative_eq!(
            each.iter().sum::<f64>(),
            loss.surfaces_w_k(),
            max_relative = 1e-12
        );
    }
}
