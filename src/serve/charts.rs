//! The charts of an answer, drawn as the page asks.

use super::settings::Pair;
use crate::chart::{Chart, Look};
use crate::ensemble::{MemberRow, StoresAdvice, Summary};
use crate::report::{self, Provenance, RunReport};
use crate::scenario::Prepared;
use maud::{Markup, PreEscaped, html};

/// Charts of each hive by itself, in this order; others are left to the saved report.
const OF_EACH: [&str; 1] = ["coldness"];
/// Names of the hives, as parts of ids.
const SIDES: [(&str, &str); 2] = [("as-it-is", "As it is"), ("changed", "Changed")];

/// Charts as parts of a page.
pub(super) fn markup(
    pair: &Pair,
    prepared: &[Prepared; 2],
    rows: &[Vec<MemberRow>; 2],
    summaries: &[Summary; 2],
    look: Look,
) -> Markup {
    let mut sides = Vec::new();
    for (number, moved) in [&pair.as_it_is, &pair.changed].into_iter().enumerate() {
        let (prepared, summary) = (&prepared[number], &summaries[number]);
        let provenance = Provenance::new(&moved.scenario, prepared);
        let advice = StoresAdvice::new(&prepared.plan, &rows[number], summary, &prepared.before_c);
        let report = RunReport {
            scenario: &moved.scenario,
            prepared,
            summary,
            advice: &advice,
            precision: None,
            provenance: &provenance,
        };
        let source = report::charts::source(&provenance, prepared.plan.winters.len());
        sides.push((report::charts::of_run(&report, &rows[number]), source));
    }
    let drawn = |key: &str, number: usize| {
        let (charts, source) = sides.get(number)?;
        let chart = charts.iter().find(|chart| chart.key == key)?;
        let (part, _) = SIDES[number];
        let own = Chart::new(&format!("{part}-{key}"), chart.shows.clone());
        Some(own.svg(look, source))
    };
    html! {
        @for key in OF_EACH {
            @for (number, (_, title)) in SIDES.iter().enumerate() {
                @if let Some(svg) = drawn(key, number) {
                    figure { figcaption { (title) } (PreEscaped(svg)) }
                }
            }
        }
    }
}
