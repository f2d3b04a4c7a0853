//! Which changes of a hive hold on each day of a winter, and what of a hive stays when it is altered.

use super::forcing::Forcing;
use crate::hive::{Chain, Change, Hive, InForce, Layer, MEAN_HOURS, surface};

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

/// For each wall node of a hive after an alteration, the node before it whose place it takes: that of the same face, zone and layer. None
/// for a layer that is new. Nodes are numbered chain by chain, as in [`State::walls_c`](super::State::walls_c).
pub(crate) fn kept_nodes(before: &Hive, after: &Hive) -> Vec<Option<usize>> {
    let (old, new) = (surface::chains(before), surface::chains(after));
    let chains = kept_chains(&old, &new);
    let mut nodes = Vec::new();
    for (chain, kept) in new.iter().zip(chains) {
        let Some(kept) = kept else {
            nodes.extend(std::iter::repeat_n(None, chain.len()));
            continue;
        };
        let first: usize = old[..kept].iter().map(Chain::len).sum();
        let layers = kept_layers(
            surface::layers(before, chain.face),
            surface::layers(after, chain.face),
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
