//! The charts of an answer: those of both hives together, and of each by itself.

use super::answer::Both;
use crate::chart::{Chart, Look};
use crate::ensemble::{RowsError, StoresAdvice};
use crate::report::{self, RunReport};
use maud::{Markup, PreEscaped, html};

/// Charts of each hive by itself that the page shows beside each other, in this order; the saved report has all.
const OF_EACH: [&str; 4] = ["hive", "stores-left", "honey-needed", "wet-lid"];
/// Names of the hives, as parts of ids and as titles.
pub(super) const SIDES: [(&str, &str); 2] = [("as-it-is", "As it is"), ("changed", "Changed")];

/// What titles call them: on the page there is no need of the scenario's name.
const IN_TITLES: [&str; 2] = ["the hive as it is", "The changed hive"];

/// The charts of each hive by itself, their keys told apart by its name.
pub(super) fn of_each(both: &Both<'_>) -> Result<[Vec<Chart>; 2], RowsError> {
    let of_side = |number: usize| {
        let (prepared, summary) = (&both.prepared[number], &both.summaries[number]);
        let advice = StoresAdvice::new(
            &prepared.plan,
            &both.rows[number],
            summary,
            &prepared.before_c,
        )?;
        let report = RunReport {
            scenario: &both.scenarios[number],
            prepared,
            summary,
            advice: &advice,
            precision: None,
            provenance: &both.comparison.entries[number].provenance,
        };
        let mut charts = report::charts::of_run(&report, &both.rows[number])?;
        for chart in &mut charts {
            chart.key = format!("{}-{}", SIDES[number].0, chart.key);
        }
        Ok(charts)
    };
    Ok([of_side(0)?, of_side(1)?])
}

/// Charts as parts of a page.
pub(super) fn markup(both: &Both<'_>, look: Look) -> Result<Markup, RowsError> {
    let sources = [0, 1].map(|side| both.source(side));
    let mut named = both.comparison.clone();
    for (entry, name) in named.entries.iter_mut().zip(IN_TITLES) {
        entry.name = name.to_owned();
    }
    let of_compare = report::charts::of_compare(&named, &both.fates);
    let sides = of_each(both)?;
    let of_key = |number: usize, key: &str| {
        let key = format!("{}-{key}", SIDES[number].0);
        sides[number].iter().find(|chart| chart.key == key)
    };
    Ok(html! {
        @for chart in &of_compare { figure { (PreEscaped(chart.svg(look, &sources[0]))) } }
        @for key in OF_EACH {
            @for (number, (_, title)) in SIDES.iter().enumerate() {
                @if let Some(chart) = of_key(number, key) {
                    figure { figcaption { (title) } (PreEscaped(chart.svg(look, &sources[number]))) }
                }
            }
        }
    })
}
