//! What a comparison says, ready for text, JSON and CSV.

use super::{CAUTIONS, Provenance};
use crate::ensemble::{Against, Chance, Crossing, Fate, Prices, Side};
use crate::scenario::{LASTS_WINTERS, Prepared, Scenario};
use serde::Serialize;

/// What intervals hold and what a comparison cannot show.
pub const INTERVALS: [&str; 4] = [
    "Bees not known: 90 % of the sets of values that all colonies share (conductances, set points, rules), each run with the same colonies and winters in both hives; the chance of \
     few colonies is taken out. More members do not narrow it. Where it crosses zero, the direction is uncertain.",
    "Sampling here: the chance of which sets and colonies were drawn, in these very winters (two-way clusters, Student's; Tango's score for risks).",
    "Elsewhere: these winters as a sample of others like them; winters and sets are clusters (for risks never narrower than here). Made winters are no more than the recorded ones \
     they were made of.",
    "Each interval stands alone: of twenty, one misses by chance. None holds what the model itself has wrong in all hives alike or in one kind of hive.",
];

/// One scenario of a comparison.
#[derive(Clone, Debug, Serialize)]
pub struct Entry {
    /// "A", "B", ...
    pub letter: char,
    /// Name of the scenario.
    pub name: String,
    /// Mean stores at the start, kg.
    pub stores_kg: f64,
    /// Price of its hive, where it is given.
    pub hive_price: Option<f64>,
    /// Its results.
    pub results: Side,
    /// Against the first; none of the first.
    pub against_first: Option<Against>,
    /// What made it.
    pub provenance: Provenance,
}

/// Scenarios beside each other.
#[derive(Clone, Debug, Serialize)]
pub struct Comparison {
    /// Members of each.
    pub members: usize,
    /// Winters, by label.
    pub winters: Vec<String>,
    /// First day and first forage.
    pub season: [String; 2],
    /// The scenarios, in the order given.
    pub entries: Vec<Entry>,
    /// How members are crossed.
    #[serde(skip)]
    pub crossing: Crossing,
    /// What a reader must know.
    pub notes: Vec<String>,
    /// How intervals are made.
    pub intervals: [&'static str; INTERVALS.len()],
    /// Cautions that every result carries.
    pub cautions: [&'static str; CAUTIONS.len()],
}

impl Comparison {
    /// Of scenarios that were prepared together and the fates of their members, all in the same order; one or more members each.
    #[must_use]
    pub fn new(scenarios: &[Scenario], prepared: &[Prepared], fates: &[Vec<Fate>]) -> Self {
        let parts = scenarios.iter().zip(prepared).zip(fates);
        let entries = parts.zip('A'..='Z').enumerate();
        let entries = entries.map(|(number, (((scenario, prepared), own), letter))| Entry {
            letter,
            name: scenario.name.clone(),
            stores_kg: scenario.colony.stores_kg,
            hive_price: scenario.prices.hive,
            results: Side::new(&Chance::new(&prepared.plan), own),
            against_first: (number > 0)
                .then(|| {
                    let chance = Chance::new(&prepared.plan);
                    Against::new(&chance, &fates[0], own, prices(&scenarios[0], scenario))
                })
                .flatten(),
            provenance: Provenance::new(scenario, prepared),
        });
        let entries = entries.collect();
        let first = scenarios.first().zip(prepared.first());
        let season = first.map(|(scenario, _)| scenario.season);
        let days = season.map(|season| [season.start, season.first_forage]);
        Self {
            members: fates.first().map_or(0, Vec::len),
            winters: first.map_or_else(Vec::new, |(_, prepared)| {
                let labels = prepared.winters.iter().map(|winter| winter.label.clone());
                labels.collect()
            }),
            season: days.map_or_else(Default::default, |days| days.map(|day| day.to_string())),
            entries,
            crossing: first.map_or_else(
                || Crossing::new(1, 1),
                |(_, prepared)| prepared.plan.crossing(),
            ),
            notes: notes(prepared),
            intervals: INTERVALS,
            cautions: CAUTIONS,
        }
    }
}

/// Prices of the other against the first; none unless the first prices honey and both have a price.
fn prices(first: &Scenario, other: &Scenario) -> Option<Prices> {
    Some(Prices {
        honey_per_kg: first.prices.honey_per_kg?,
        colony: first.prices.colony.unwrap_or(0.0),
        extra: other.prices.hive? - first.prices.hive?,
        lasts_winters: other.prices.lasts_winters.unwrap_or(LASTS_WINTERS),
    })
}

/// The notes of all, each once, in the order in which they first appear.
fn notes(prepared: &[Prepared]) -> Vec<String> {
    let mut notes: Vec<String> = Vec::new();
    for note in prepared.iter().flat_map(|prepared| &prepared.notes) {
        if !notes.contains(note) {
            notes.push(note.clone());
        }
    }
    notes
}
