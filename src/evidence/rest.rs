//! What the model gives for clusters at rest, by the steady solver alone.

use super::measure::{At, Measure, OfCluster, OutsideOf};
use crate::colony::Cluster;
use crate::colony::steady::{Steady, Surroundings, steady};
use crate::parameter::Parameters;

/// Air between which the least heat is looked for, degC.
const LEAST_FROM_C: i32 = -10;
const LEAST_UNTIL_C: i32 = 25;

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
        Measure::LeastUse { kg } => least_use_c(*kg, p),
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

/// The air in which heat is least: a parabola through the least of each whole degree and its neighbours.
fn least_use_c(kg: f64, p: &Parameters) -> Option<f64> {
    let heats =
        (LEAST_FROM_C..=LEAST_UNTIL_C).map(|c| Some(in_chamber(kg, 0.0, c.into(), p)?.heat_w));
    let heats: Vec<f64> = heats.collect::<Option<_>>()?;
    let (least, _) = heats
        .iter()
        .enumerate()
        .min_by(|(_, a), (_, b)| a.total_cmp(b))?;
    let at_c = f64::from(LEAST_FROM_C) + least as f64;
    if least == 0 || least + 1 == heats.len() {
        return Some(at_c);
    }
    let [before, here, after] = [heats[least - 1], heats[least], heats[least + 1]];
    let bend = before - 2.0 * here + after;
    Some(if bend > 0.0 {
        at_c + 0.5 * (before - after) / bend
    } else {
        at_c
    })
}
