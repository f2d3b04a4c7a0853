//! Charts of a hive itself: its section, with where its heat would go.

use crate::chart::{Chart, DrawnLayer, HiveSection, Hole, SectionChange, SectionLoss, Shows};
use crate::hive::heatloss::{HeatLoss, Pair};
use crate::hive::{BuildUp, Change, Floor, Hive, Layer, Opening};
use crate::parameter::Parameters;
use crate::scenario::{Prepared, Scenario};

/// The pair of temperatures, and the wind, that `heatloss` has without a wish.
const PAIR: Pair = Pair {
    inside_c: 10.0,
    outside_c: -10.0,
    wind_m_s: 1.0,
};

/// The hive of a scenario to scale.
#[must_use]
pub fn hive(scenario: &Scenario, prepared: &Prepared) -> Chart {
    let middle = prepared.plan.middle();
    let mut section = section(&middle.hive, PAIR, &middle.parameters);
    section.name.clone_from(&scenario.hive.name);
    Chart::new("hive", Shows::HiveSection(section))
}

/// A hive and its heat loss at a pair of temperatures, both without the changes of its winter.
#[must_use]
pub fn section(hive: &Hive, pair: Pair, parameters: &Parameters) -> HiveSection {
    let cavity = &hive.cavity;
    let upper = hive.upper_entrances.iter();
    let upper = upper.map(|opening| hole("upper entrance", opening, false));
    let vents = hive.vents.iter();
    let vents = vents.map(|vent| hole("vent", &vent.opening, vent.corked));
    let board = hive.floor.board();
    HiveSection {
        name: hive.name.clone(),
        length_m: cavity.length_m,
        width_m: cavity.width_m,
        box_height_m: cavity.box_height_m,
        boxes: cavity.boxes,
        frames: hive.frames,
        wall: layers(&hive.wall),
        lid: layers(&hive.lid),
        floor: board.map_or_else(Vec::new, |(board, _)| layers(board)),
        covered: board.map_or(0.0, |(_, share)| share),
        mesh: match &hive.floor {
            Floor::Solid(_) => None,
            Floor::Screened { free_share, .. } => Some(*free_share),
        },
        entrances: hive
            .entrances
            .iter()
            .map(|opening| hole("entrance", opening, false))
            .collect(),
        upper: upper.chain(vents).collect(),
        shared: hive
            .shared_sides
            .iter()
            .map(|side| crate::hive::Face::Side(*side).words().to_owned())
            .collect(),
        changes: hive.changes.iter().map(change).collect(),
        loss: loss(&HeatLoss::new(hive, pair, parameters)),
    }
}

fn layers(layers: &[Layer]) -> Vec<DrawnLayer> {
    layers.iter().map(DrawnLayer::of).collect()
}

fn hole(what: &str, opening: &Opening, corked: bool) -> Hole {
    Hole {
        what: what.to_owned(),
        width_m: opening.width_m,
        height_m: opening.height_m,
        corked,
    }
}

fn loss(loss: &HeatLoss) -> SectionLoss {
    let u = |build_up: BuildUp| {
        let mut surfaces = loss.surfaces.iter();
        let surface = surfaces.find(|surface| surface.build_up == build_up)?;
        Some(surface.transmittance_w_m2k)
    };
    let [sides, lid, floor] = BuildUp::ALL;
    SectionLoss {
        inside_c: loss.pair.inside_c,
        outside_c: loss.pair.outside_c,
        wind_m_s: loss.pair.wind_m_s,
        u_w_m2k: [u(sides), u(lid), u(floor)],
        parts_w_k: [
            loss.build_up_w_k(sides),
            loss.build_up_w_k(lid),
            loss.build_up_w_k(floor),
            loss.air_w_k(),
        ],
    }
}

fn change(change: &Change) -> SectionChange {
    let what = &change.what;
    let own = |part: &str| match part {
        "wrap" => what.wrap.as_deref().map_or_else(Vec::new, layers),
        "lid" => what.lid.as_deref().map_or_else(Vec::new, layers),
        "floor" => {
            let board = what.floor.as_ref().and_then(Floor::board);
            board.map_or_else(Vec::new, |(board, _)| layers(board))
        }
        _ => Vec::new(),
    };
    let parts = what.parts();
    SectionChange {
        from: change.when.from,
        until: change.when.until,
        below_c: change.when.below_c,
        above_c: change.when.above_c,
        alters: parts
            .into_iter()
            .map(|part| (part.to_owned(), own(part)))
            .collect(),
    }
}
