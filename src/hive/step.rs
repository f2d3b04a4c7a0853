//! Single steps by which a keeper may build a hive, or set it up, differently.

use super::board::closed;
use super::build_up::BuildUp;
use super::description::Hive;
use super::parts::Layer;
use crate::material::{self, Material};

/// The board that is added: common practice, an inch of foam.
const BOARD: (&str, f64) = ("xps", 0.025);
/// The board that closes a mesh: common practice.
const CLOSING: (&str, f64) = ("plywood", 0.006);
/// What is left of the width of each entrance.
const NARROWED: f64 = 0.5;

/// A hive with one thing done to it.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// What is done, in words.
    pub words: &'static str,
    /// The hive then.
    pub hive: Hive,
}

/// Every step that `hive` leaves to do: a board on sides, lid and floor, a mesh closed, top openings corked, entrances half as wide. The outside keeps its
/// finish; a board on a lid with a gap open to the outside goes below the gap, as beyond it it would be of no use. Changes in the course of the winter
/// stay as they are.
///
/// ```
/// let hive = overwinter::scenario::built_in().hive;
/// let steps = overwinter::hive::steps(&hive);
/// assert!(steps.iter().any(|step| step.words == "top openings corked"));
/// ```
#[must_use]
pub fn steps(hive: &Hive) -> Vec<Step> {
    let layer = |(name, thickness_m): (&str, f64)| {
        let material = material::find(name).ok()?;
        Some(Layer::new(material.clone(), thickness_m))
    };
    let boarded = |build_up: BuildUp| {
        let mut hive = hive.clone();
        let board = layer(BOARD)?;
        let layers = build_up.layers_mut(&mut hive)?;
        let vented = |layer: &Layer| Material::is_vented(&layer.material);
        let place = layers.iter().position(vented).unwrap_or(layers.len());
        layers.insert(place, board);
        Some(hive)
    };
    let corked = || {
        let mut corked = hive.clone();
        corked.vents.iter_mut().for_each(|vent| vent.corked = true);
        (corked != *hive).then_some(corked)
    };
    let narrowed = || {
        let mut narrowed = hive.clone();
        for entrance in &mut narrowed.entrances {
            entrance.width_m *= NARROWED;
        }
        (narrowed != *hive).then_some(narrowed)
    };
    [
        (
            "an inch (25 mm) of foam board round the sides",
            boarded(BuildUp::Sides),
        ),
        (
            "an inch (25 mm) of foam board on the lid",
            boarded(BuildUp::Lid),
        ),
        (
            "an inch (25 mm) of foam board under the floor",
            boarded(BuildUp::Floor),
        ),
        (
            "the mesh closed with a board",
            layer(CLOSING).and_then(|board| closed(hive, &board)),
        ),
        ("top openings corked", corked()),
        ("entrances half as wide", narrowed()),
    ]
    .into_iter()
    .filter_map(|(words, hive)| Some(Step { words, hive: hive? }))
    .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::hive::{Floor, ScreenState};
    use crate::scenario::built_in;

    fn words(hive: &Hive) -> Vec<&'static str> {
        steps(hive).iter().map(|step| step.words).collect()
    }

    #[test]
    fn only_what_is_left_to_do_is_a_step() {
        let mut hive = built_in().hive;
        assert!(!words(&hive).contains(&"the mesh closed with a board"));
        hive.floor = Floor::Screened {
            free_share: 0.4,
            state: ScreenState::Open,
        };
        hive.vents.iter_mut().for_each(|vent| vent.corked = true);
        hive.entrances.clear();
        assert_eq!(
            words(&hive),
            [
                "an inch (25 mm) of foam board round the sides",
                "an inch (25 mm) of foam board on the lid",
                "the mesh closed with a board",
            ]
        );
    }

    #[test]
    fn a_board_on_a_lid_goes_below_a_gap_that_is_open_to_the_outside() {
        let mut hive = built_in().hive;
        let of = |name: &str| Layer::new(material::find(name).expect(name).clone(), 0.02);
        hive.lid = vec![of("shavings"), of("vented-air"), of("softwood")];
        let lid = &steps(&hive)[1].hive.lid;
        let names: Vec<&str> = lid.iter().map(|layer| &*layer.material.name).collect();
        assert_eq!(names, ["shavings", "xps", "vented-air", "softwood"]);
    }

    #[test]
    fn every_step_makes_a_hive_that_is_valid_and_another() {
        let hive = built_in().hive;
        for step in steps(&hive) {
            step.hive.validate().expect(step.words);
            assert_ne!(step.hive, hive, "{}", step.words);
        }
    }
}
