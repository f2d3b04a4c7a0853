//! Which changes of a hive hold on each day of a winter, and what of a hive stays when it is altered.

use super::forcing::Forcing;
use crate::hive::{BuildUp, Chain, Change, Hive, InForce, Layer, MEAN_HOURS};

/// The changes that hold on each day of a winter. A day is judged at the midnight with which it begins, by its date and by the hours
/// before: on the first days by as many as there are.
#[must_use]
pub fn days_in_force(changes: &[Change], forcing: &Forcing) -> Vec<InForce> {
    if changes.is_empty() {
        return vec![InForce::default(); forcing.days()];
    }
    let date = |day: i32| {
        let span = jiff::Span::new().days(day);
        forcing.start.date().saturating_add(span)
    };
    let midnights = forcing.instants.iter().enumerate().step_by(24);
    midnights
        .take(forcing.days())
        .zip(0..)
        .map(|((midnight, _), day)| {
            let hours = &forcing.instants[(midnight + 1).saturating_sub(MEAN_HOURS)..=midnight];
            let sum_c: f64 = hours.iter().map(|hour| hour.outside_c).sum();
            InForce::on(changes, date(day), sum_c / hours.len() as f64)
        })
        .collect()
}

/// For each wall node of a hive after an alteration, with its chains, the node before it whose place it takes: that of the same face, zone and layer. None
/// for a layer that is new. Nodes are numbered chain by chain, as in [`State::walls_c`](super::State::walls_c).
pub(crate) fn kept_nodes(
    (before, old): (&Hive, &[Chain]),
    (after, new): (&Hive, &[Chain]),
) -> Vec<Option<usize>> {
    let chains = kept_chains(old, new);
    let mut nodes = Vec::new();
    for (chain, kept) in new.iter().zip(chains) {
        let Some(kept) = kept else {
            nodes.extend(std::iter::repeat_n(None, chain.len()));
            continue;
        };
        let first: usize = old[..kept].iter().map(Chain::len).sum();
        let layers = kept_layers(
            BuildUp::of_face(chain.face).layers(before),
            BuildUp::of_face(chain.face).layers(after),
        );
        for (count, layer) in chain.layer_nodes.iter().zip(layers) {
            let Some(layer) = layer else {
                nodes.extend(std::iter::repeat_n(None, *count));
                continue;
            };
            let first = first + old[kept].layer_nodes[..layer].iter().sum::<usize>();
            let of = old[kept].layer_nodes[layer];
            // A layer with framing may be cut into other cells beside other layers: each takes the one at its middle.
            nodes.extend((0..*count).map(|node| Some(first + (2 * node + 1) * of / (2 * count))));
        }
    }
    nodes
}

/// For each chain of a hive after an alteration, the chain before it of the same face and zone.
pub(crate) fn kept_chains(old: &[Chain], new: &[Chain]) -> Vec<Option<usize>> {
    let same = |chain: &Chain| {
        old.iter()
            .position(|kept| (kept.face, kept.zone) == (chain.face, chain.zone))
    };
    new.iter().map(same).collect()
}

/// For each layer after an alteration, the layer that it is: layers alike from the inside on, and from the outside on.
fn kept_layers(old: &[Layer], new: &[Layer]) -> Vec<Option<usize>> {
    let alike = |(a, b): &(&Layer, &Layer)| a == b;
    let inside = old.iter().zip(new).take_while(alike).count();
    let (old_rest, new_rest) = (&old[inside..], &new[inside..]);
    let from_outside = old_rest.iter().rev().zip(new_rest.iter().rev());
    let outside = from_outside.take_while(alike).count();
    let kept = |layer: usize| {
        if layer < inside {
            Some(layer)
        } else if layer >= new.len() - outside {
            Some(layer + old.len() - new.len())
        } else {
            None
        }
    };
    (0..new.len()).map(kept).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::hive::surface::chains;
    use crate::hive::{Alteration, Floor, When};
    use crate::scenario;
    use crate::season::Weather;

    fn layer(material: &str, thickness_m: f64) -> Layer {
        let material = crate::material::find(material).expect("a material");
        Layer::new(material.clone(), thickness_m)
    }

    /// A winter from 30 December of 2019 with these outside temperatures at its midnights, held through each day.
    fn forcing(days_c: &[f64]) -> Forcing {
        let hours = 24 * days_c.len() + 1;
        let instant = |hour: usize| Weather {
            outside_c: days_c[(hour / 24).min(days_c.len() - 1)],
            ..Weather::default()
        };
        Forcing {
            label: "steps".to_owned(),
            start: jiff::civil::date(2019, 12, 30).at(0, 0, 0, 0),
            instants: (0..hours).map(instant).collect(),
            daylight: vec![false; hours],
            first_day: -1.0,
        }
    }

    fn when(when: When) -> Change {
        let what = Alteration::default();
        Change { when, what }
    }

    fn held(change: When, days_c: &[f64]) -> Vec<bool> {
        let days = days_in_force(&[when(change)], &forcing(days_c));
        days.iter().map(|day| day.has(0)).collect()
    }

    #[test]
    fn dates_hold_through_new_year() {
        let change = When {
            from: Some((12, 31)),
            until: Some((1, 2)),
            ..When::default()
        };
        assert_eq!(held(change, &[0.0; 5]), [false, true, true, false, false]);
    }

    #[test]
    fn the_temperature_is_that_of_the_three_days_before_and_no_later_one() {
        let change = When {
            below_c: Some(5.0),
            ..When::default()
        };
        // The third cold day's midnight has 49 hours at 0 and 23 at 10 behind it, the second's 25 and 47.
        let days_c = [10.0, 10.0, 10.0, 0.0, 0.0, 0.0, 10.0, 10.0, 10.0];
        assert_eq!(
            held(change, &days_c),
            [false, false, false, false, false, true, true, true, false]
        );
        // On the first day only its midnight is known, on the second a day, of which 24 hours are cold.
        assert_eq!(held(change, &[0.0, 20.0, 20.0]), [true, true, false]);
    }

    #[test]
    fn a_wrap_leaves_every_wall_node_in_place_and_is_new_itself() {
        let before = scenario::built_in().hive;
        let mut after = before.clone();
        after.wall.push(layer("xps", 0.038));
        let (old, new) = (chains(&before), chains(&after));
        let nodes = kept_nodes((&before, &old), (&after, &new));
        let (mut first_old, mut first_new) = (0, 0);
        for (old, new) in old.iter().zip(&new) {
            for node in 0..new.len() {
                let expected = (node < old.len()).then_some(first_old + node);
                assert_eq!(nodes[first_new + node], expected, "{:?}", new.face);
            }
            first_old += old.len();
            first_new += new.len();
        }
        assert_eq!(nodes.len(), first_new);
        assert!(first_new > first_old + 7);
    }

    #[test]
    fn layers_that_stay_on_both_sides_of_a_new_one_are_kept() {
        let old = [layer("plywood", 0.009), layer("softwood", 0.019)];
        let [inner, outer] = old.clone();
        let new = [inner, layer("shavings", 0.1), outer];
        assert_eq!(kept_layers(&old, &new), [Some(0), None, Some(1)]);
        assert_eq!(kept_layers(&new, &old), [Some(0), Some(2)]);
        assert_eq!(kept_layers(&old, &old), [Some(0), Some(1)]);
        // As thick as before, yet of other wood.
        assert_eq!(kept_layers(&old, &[layer("plywood", 0.01)]), [None]);
    }

    #[test]
    fn a_floor_closed_is_new_and_one_opened_is_gone() {
        let closed = scenario::built_in().hive;
        let mut open = closed.clone();
        open.floor = Floor::Screened {
            free_share: 0.6,
            state: crate::hive::ScreenState::Open,
        };
        let all = chains(&closed).iter().map(Chain::len).sum::<usize>();
        let floor = chains(&closed).last().map_or(0, Chain::len);
        let closing = kept_nodes((&open, &chains(&open)), (&closed, &chains(&closed)));
        assert_eq!(closing.iter().flatten().count(), all - floor);
        assert!(closing[all - floor..].iter().all(Option::is_none));
        let opening = kept_nodes((&closed, &chains(&closed)), (&open, &chains(&open)));
        assert_eq!(opening, (0..all - floor).map(Some).collect::<Vec<_>>());
    }
}
