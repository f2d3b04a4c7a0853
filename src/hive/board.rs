//! What the next board on the outside of each surface would gain.

use super::build_up::BuildUp;
use super::description::Hive;
use super::heatloss::{HeatLoss, Pair};
use super::parts::{Floor, Layer, ScreenState};
use crate::parameter::Parameters;
use serde::Serialize;

/// Place of a [`Gain`] that is the mesh of a screened floor.
pub const CLOSING: &str = "closing the floor";

/// Where a board goes, and the conductance that it takes away.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Gain {
    /// Where: "front", "all four sides", "lid", "floor"; [`CLOSING`].
    pub place: &'static str,
    /// What is added: its material.
    pub material: String,
    /// Its thickness, m.
    pub thickness_m: f64,
    /// What the whole hive then conducts less, W/K.
    pub less_w_k: f64,
    /// The same as a share of the hive as it is.
    pub share: f64,
}

/// What `board` on the outside of each surface of `hive` would gain, and `closing` under a mesh that is open or half open; largest
/// gain first.
///
/// Each changed hive is built and its [`HeatLoss`] taken at the same pair. The outside keeps its finish: the board is painted or
/// covered as the surface was. One side alone is that side of the hive with four boarded sides, for sides do not act on each other
/// here. Sides shared with another hive are left out.
#[must_use]
pub fn gains(
    hive: &Hive,
    pair: Pair,
    parameters: &Parameters,
    board: &Layer,
    closing: &Layer,
) -> Vec<Gain> {
    let before = HeatLoss::new(hive, pair, parameters);
    let whole_w_k = before.whole_w_k();
    let gain = |place, layer: &Layer, less_w_k| Gain {
        place,
        material: layer.material.name.to_string(),
        thickness_m: layer.thickness_m,
        less_w_k,
        share: less_w_k / whole_w_k,
    };
    let mut gains = Vec::new();
    for build_up in BuildUp::ALL {
        let mut changed = hive.clone();
        let Some(layers) = build_up.layers_mut(&mut changed) else {
            continue;
        };
        layers.push(board.clone());
        let after = HeatLoss::new(&changed, pair, parameters);
        gains.push(gain(build_up.words(), board, whole_w_k - after.whole_w_k()));
        if build_up == BuildUp::Sides {
            let sides = before.surfaces.iter().zip(&after.surfaces);
            let sides =
                sides.filter(|(old, _)| old.build_up == build_up && old.conductance_w_k > 0.0);
            gains.extend(sides.map(|(old, new)| {
                gain(old.name, board, old.conductance_w_k - new.conductance_w_k)
            }));
        }
    }
    if let Some(closed) = closed(hive, closing) {
        let after = HeatLoss::new(&closed, pair, parameters);
        gains.push(gain(CLOSING, closing, whole_w_k - after.whole_w_k()));
    }
    gains.sort_by(|a, b| b.less_w_k.total_cmp(&a.less_w_k));
    gains
}

/// The hive with its whole mesh closed; `None` where it has no mesh or the mesh is closed already.
pub(super) fn closed(hive: &Hive, closing: &Layer) -> Option<Hive> {
    let Floor::Screened { state, .. } = &hive.floor else {
        return None;
    };
    if matches!(state, ScreenState::Closed(_)) {
        return None;
    }
    let mut closed = hive.clone();
    if let Floor::Screened { state, .. } = &mut closed.floor {
        *state = ScreenState::Closed(vec![closing.clone()]);
    }
    Some(closed)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::hive::Side;
    use crate::material::find;
    use crate::scenario::built_in;
    use approx::assert_relative_eq;

    const PAIR: Pair = Pair {
        inside_c: 10.0,
        outside_c: -10.0,
        wind_m_s: 1.0,
    };

    fn layer(name: &str, thickness_m: f64) -> Layer {
        Layer::new(find(name).unwrap().clone(), thickness_m)
    }

    fn ranked(hive: &Hive) -> Vec<Gain> {
        let (board, closing) = (layer("xps", 0.025), layer("plywood", 0.006));
        gains(hive, PAIR, &Parameters::default(), &board, &closing)
    }

    fn at<'a>(gains: &'a [Gain], place: &str) -> &'a Gain {
        gains.iter().find(|gain| gain.place == place).unwrap()
    }

    fn whole_w_k(hive: &Hive) -> f64 {
        HeatLoss::new(hive, PAIR, &Parameters::default()).whole_w_k()
    }

    #[test]
    fn a_board_gains_what_the_hive_built_with_it_conducts_less() {
        let hive = built_in().hive;
        let mut boarded = hive.clone();
        boarded.lid.push(layer("xps", 0.025));
        let less_w_k = whole_w_k(&hive) - whole_w_k(&boarded);
        let found = ranked(&hive);
        assert_relative_eq!(at(&found, "lid").less_w_k, less_w_k);
        assert_relative_eq!(at(&found, "lid").share, less_w_k / whole_w_k(&hive));
    }

    #[test]
    fn the_four_sides_together_gain_the_sum_of_each() {
        let found = ranked(&built_in().hive);
        let sides = ["front", "right side", "back", "left side"];
        let sum: f64 = sides.map(|side| at(&found, side).less_w_k).iter().sum();
        let together = at(&found, "all four sides").less_w_k;
        assert_relative_eq!(sum, together, max_relative = 1e-12);
    }

    #[test]
    fn the_largest_gain_stands_first() {
        let found = ranked(&built_in().hive);
        assert_eq!(found.len(), 7);
        assert!(found.is_sorted_by(|a, b| a.less_w_k >= b.less_w_k));
    }

    #[test]
    fn a_board_on_a_side_that_touches_another_hive_is_not_offered() {
        let mut hive = built_in().hive;
        hive.shared_sides = vec![Side::Left];
        assert!(ranked(&hive).iter().all(|gain| gain.place != "left side"));
    }

    #[test]
    fn under_an_open_mesh_closing_is_offered_and_no_board() {
        let mut hive = built_in().hive;
        let screened = |state| Floor::Screened {
            free_share: 0.6,
            state,
        };
        hive.floor = screened(ScreenState::Open);
        let found = ranked(&hive);
        assert!(found.iter().all(|gain| gain.place != "floor"));
        assert_eq!(found[0].place, CLOSING);
        let open_w_k = whole_w_k(&hive);
        hive.floor = screened(ScreenState::Closed(vec![layer("plywood", 0.006)]));
        assert_relative_eq!(found[0].less_w_k, open_w_k - whole_w_k(&hive));
        let closed = ranked(&hive);
        assert!(closed.iter().all(|gain| gain.place != CLOSING));
        assert!(at(&closed, "floor").less_w_k > 0.0);
    }
}
