//! What the model gives for clusters at rest, by the steady solver alone.

use super::measure::{At, Measure, OfCluster, OutsideOf};
use crate::colony::Cluster;
use crate::colony::steady::{Steady, Surroundings, steady};
use crate::parameter::Parameters;

/// Air between which colonies are published to use least (Canadian federal wintering bulletin, Melathopoulos), degC.
const LEAST_USE_C: [f64; 2] = [5.0, 10.0];

/// The model's figure for a measure of a cluster at rest; none for other measures, and where bees cannot keep warm.
pub(super) fn at_rest(measure: &Measure, p: &Parameters) -> Option<f64> {
    match measure {
        Measure::ChamberHeat(at) => heat_w_kg(*at, p),
        Measure::ChamberExponent(between) => {
            let [low, high] = between.kg;
            let heat = |kg| {
                heat_w_kg(
                    At {
                        kg,
                        air_c: between.air_c,
                    },
                    p,
                )
            };
            Some(libm::log(heat(high)? / heat(low)?) / libm::log(high / low))
        }
        Measure::ChamberConductance(at) => {
            let state = in_chamber(at.kg, 0.0, at.air_c, p)?;
            Some(state.heat_w / at.kg / (state.core_c - at.air_c))
        }
        Measure::LeastUse { kg } => slope_at_least_use(*kg, p),
        Measure::Contraction {
            of,
            kg,
            loss_w_k,
            from_c,
            until_c,
        } => {
            let radius = |outside_c| Some(in_hive(*kg, *loss_w_k, outside_c, p)?.radius_m);
            let ratio = radius(*until_c)? / radius(*from_c)?;
            Some(match of {
                OfCluster::Volume => 1.0 - ratio * ratio * ratio,
                OfCluster::Surface => 1.0 - ratio * ratio,
            })
        }
        Measure::Core(at) => Some(outside_of(*at, p)?.core_c),
        Measure::Mantle(at) => Some(outside_of(*at, p)?.mantle_c),
        Measure::BroodCooling { kg, cells } => {
            let heat = |air_c| Some(in_chamber(*kg, *cells, air_c, p)?.heat_w);
            let warm = heat(30.0)?;
            let cold = heat(10.0)?;
            Some((cold - 2.0 * heat(20.0)? + warm) / cold)
        }
        _ => None,
    }
    .filter(|value| value.is_finite())
}

fn heat_w_kg(at: At, p: &Parameters) -> Option<f64> {
    Some(in_chamber(at.kg, 0.0, at.air_c, p)?.heat_w / at.kg)
}

fn in_chamber(kg: f64, cells: f64, air_c: f64, p: &Parameters) -> Option<Steady> {
    let surroundings = Surroundings {
        outside_c: air_c,
        loss_w_k: None,
    };
    steady(&Cluster::new(kg, cells, p), surroundings, p)
}

fn in_hive(kg: f64, loss_w_k: f64, outside_c: f64, p: &Parameters) -> Option<Steady> {
    let surroundings = Surroundings {
        outside_c,
        loss_w_k: Some(loss_w_k),
    };
    steady(&Cluster::new(kg, 0.0, p), surroundings, p)
}

fn outside_of(at: OutsideOf, p: &Parameters) -> Option<Steady> {
    in_hive(at.kg, at.loss_w_k, at.outside_c, p)
}

/// Slope of the logarithm of the heat between the ends of the published range of least use, 1/K.
fn slope_at_least_use(kg: f64, p: &Parameters) -> Option<f64> {
    let [from_c, until_c] = LEAST_USE_C;
    let heat_w = |air_c| Some(in_chamber(kg, 0.0, air_c, p)?.heat_w);
    Some(libm::log(heat_w(until_c)? / heat_w(from_c)?) / (until_c - from_c))
}
