//! Vapour through a build-up of known temperatures, against the method of ISO 13788.

use super::*;
use crate::hive::vapour::saturation_pa;
use crate::hive::{Cavity, Face, Floor, Joints, Layer};
use crate::material::Material;
use crate::season::elimination::{Elimination, NodeHeat, SurfaceHeat};
use crate::season::water::WaterLedger;

/// Flow into the condensate of the case, kg/(m2 s): project's list of check values, computed by the standard's method.
const CONDENSATE_KG_M2S: f64 = 1.958_478e-7;
const INSIDE: (f64, f64) = (20.0, 0.6);
const OUTSIDE: (f64, f64) = (-10.0, 0.9);
/// Standard resistances of the surfaces, m2K/W, which set the temperatures. For vapour the standard leaves both films out.
const FILMS_M2K_W: (f64, f64) = (0.13, 0.04);
const HOUR_S: f64 = 3600.0;

/// A material that takes up no water by sorption and resists vapour alike when dry and when damp, as the standard has it.
fn layer(name: &str, conductivity_w_mk: f64, vapour_factor: f64, thickness_m: f64) -> Layer {
    let material = Material::defined(name, conductivity_w_mk, 500.0, 1_600.0, Some(vapour_factor));
    Layer::new(material.expect("a material"), thickness_m)
}

/// A square metre of a wall without edges, with a film outside that resists nothing.
fn chain(layers: &[Layer]) -> Chain {
    let place = (Face::Lid, Zone::Upper, Orientation::Lid);
    let mut chain = Chain::new(place, layers, 1.0, 0.0);
    chain.outside_m2 = 1e9;
    chain
}

/// Temperature of each node with the surface films of the standard.
fn steady_nodes_c(chain: &Chain) -> Vec<f64> {
    let whole_k_w = FILMS_M2K_W.0 + chain.resistance_k_w() + FILMS_M2K_W.1;
    let mut before_k_w = FILMS_M2K_W.0 + chain.first_k_w;
    let links = chain.links_w_k.iter().map(|link| 1.0 / link);
    let mut nodes_c = Vec::new();
    for next_k_w in links.chain([0.0]) {
        nodes_c.push(INSIDE.0 + (OUTSIDE.0 - INSIDE.0) * before_k_w / whole_k_w);
        before_k_w += next_k_w;
    }
    nodes_c
}

/// Hours after which nothing changes any more but the condensate.
const SETTLED_H: usize = 2_000;

/// Water that each layer gains once all is settled, and what leaves outside, kg/(m2 s), of a chain under air that holds still.
fn settled_kg_m2s(layers: &[Layer]) -> (Vec<f64>, f64) {
    let chain = chain(layers);
    let wood = crate::material::find("softwood").expect("softwood").clone();
    let board = vec![Layer::new(wood, 0.02)];
    let hive = Hive {
        name: "case".to_owned(),
        cavity: Cavity {
            width_m: 0.4,
            length_m: 0.4,
            box_height_m: 0.25,
            boxes: 1,
        },
        frames: 10,
        comb_pitch_m: 0.035,
        faces_deg: 180.0,
        wall: board.clone(),
        lid: board.clone(),
        floor: Floor::Solid(board),
        entrances: vec![],
        upper_entrances: vec![],
        vents: vec![],
        joints: Joints::default(),
        shared_sides: vec![],
        shaded_sides: vec![],
        side_finish: crate::hive::FINISHES[0].1,
        lid_finish: crate::hive::FINISHES[0].1,
        changes: vec![],
        tare_kg: None,
    };
    let nodes_c = steady_nodes_c(&chain);
    let nodes = nodes_c.len();
    let mut moisture = Moisture::new(std::slice::from_ref(&chain), &hive, &Parameters::default());
    // Air that no flow makes drier or damper.
    moisture.air_kg_pa = 1e9;
    let air = VapourAir {
        upper: 0.0,
        lower: 0.0,
        column: 0.0,
        zones: 0.0,
        up: 0.0,
        down: 0.0,
        outside_pa: OUTSIDE.1 * saturation_pa(OUTSIDE.0),
        saturation: Zoned::all(Saturation::over_water(INSIDE.0)),
    };
    let mut water = moisture.start(INSIDE.1 * saturation_pa(INSIDE.0), 0.5);
    let mut work = MoistureWork::default();
    work.surfaces.push(Surface {
        saturation: Saturation::at(INSIDE.0),
        film: 1e-3,
    });
    let mut node = NodeHeat::default();
    (node.pivot, node.held_w_k, node.freed_j) = (1.0, 1.0, 1.0);
    let mut surface = SurfaceHeat::default();
    (surface.film_w_k, surface.held_w_k, surface.freed_j) = (1.0, 1.0, 1.0);
    surface.c = INSIDE.0;
    let heat = Elimination {
        surfaces: vec![surface],
        nodes: vec![node; nodes],
        air: vec![node; 3],
    };
    let (mut gains, mut leaving) = (Vec::new(), 0.0);
    for _ in 0..SETTLED_H {
        let before_kg = water.nodes_kg.clone();
        let mut ledger = WaterLedger::default();
        let mut end = water.clone();
        moisture.step(
            &air,
            (&nodes_c, &nodes_c, &heat),
            (0.0, HOUR_S),
            (&water, &mut end),
            &mut work,
            &mut ledger,
        );
        water = end;
        let node = |node: usize| (water.nodes_kg[node] - before_kg[node]) / HOUR_S;
        let mut first = 0;
        gains = chain
            .layer_nodes
            .iter()
            .map(|count| {
                let sum = (first..first + count).map(node).sum();
                first += count;
                sum
            })
            .collect();
        leaving = ledger.layers_kg / HOUR_S;
    }
    (gains, leaving)
}

fn case(wool_m: &[f64]) -> Vec<Layer> {
    let wool = |thickness_m: &f64| layer("wool", 0.037, 1.0, *thickness_m);
    let mut layers = vec![layer("wood", 0.13, 50.0, 0.020)];
    layers.extend(wool_m.iter().map(wool));
    layers.push(layer("ply", 0.13, 150.0, 0.012));
    layers
}

/// ISO 13788:2012, method of clause 6 [standard from memory; result computed, see the list of check values]: 20 degC 60 % | softwood 20 mm,
/// mu 50 | wool 100 mm, mu 1 | plywood 12 mm, mu 150 | -10 degC 90 %. The only plane of condensation is the inside of the plywood. With the wool's
/// last millimetre a layer of its own, the cell in which vapour condenses lies there.
#[test]
fn vapour_condenses_at_the_plywood_as_fast_as_in_iso_13788() {
    let (gains, leaving) = settled_kg_m2s(&case(&[0.099, 0.001]));
    let off = gains[2] / CONDENSATE_KG_M2S - 1.0;
    assert!(off.abs() < 0.005, "{off}");
    for dry in [0, 1, 3] {
        assert!(gains[dry].abs() < 1e-6 * CONDENSATE_KG_M2S, "{gains:?}");
    }
    // What leaves by the plywood comes from saturated air at its inside, of -8.727 degC.
    let by_hand = 2e-10 * (290.27 - 233.40) / (0.012 * 150.0);
    assert!((leaving / by_hand - 1.0).abs() < 0.01, "{leaving}");
}

/// The same as the program cuts any layer of wool: its outer tenth is one cell, whose middle is 1.3 K warmer than the plywood.
#[test]
fn a_layer_cut_as_any_condenses_a_twentieth_less() {
    let (gains, _) = settled_kg_m2s(&case(&[0.1]));
    let off = gains[1] / CONDENSATE_KG_M2S - 1.0;
    assert!((-0.06..-0.03).contains(&off), "{off}");
}

/// Without the plywood nothing condenses, and what leaves is by hand `(pi - pe) / (sum of mu d / 2e-10)`.
#[test]
fn a_build_up_open_outside_stays_dry_and_passes_what_its_layers_let_through() {
    let (gains, leaving) = settled_kg_m2s(&case(&[0.1])[..2]);
    let difference_pa = 0.6 * saturation_pa(20.0) - 0.9 * saturation_pa(-10.0);
    let by_hand = 2e-10 * difference_pa / (0.020 * 50.0 + 0.100);
    assert!((leaving / by_hand - 1.0).abs() < 1e-6, "{leaving}");
    assert!(
        gains.iter().all(|gain| gain.abs() < 1e-6 * by_hand),
        "{gains:?}"
    );
}
