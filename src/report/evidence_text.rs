//! Published values beside the model's range: for a terminal, as JSON and for the charts.

use super::PROGRAM;
use super::table::{lines, table};
use crate::chart::{
    Chart, FAR_MISS, MissedRow, Misses, SharedUnknown, SharedUnknowns, Shows, UNKNOWN_PROBABILITIES,
};
use crate::evidence::psis::LARGEST_K;
use crate::evidence::{EvidenceMark, Held, Listed, Miss, Role, Row, coverage};
use crate::parameter::{Posterior, find};
use crate::units::three_digits as three;
use serde::Serialize;

/// Widest line, characters.
const WIDTH: usize = 80;
/// Shares of the predictive distribution that ranges hold.
pub(super) const SHARES: [f64; 2] = [0.5, 0.9];

#[derive(Serialize)]
struct Output<'a> {
    program: &'static str,
    sets: u32,
    seed: u64,
    rows: Vec<JsonRow<'a>>,
    coverage: Vec<Covered>,
    listed: &'a [Listed],
}

#[derive(Serialize)]
struct JsonRow<'a> {
    id: &'a str,
    quantity: &'a str,
    published: &'a str,
    conditions: &'a str,
    unit: &'a str,
    source: &'a str,
    mark: EvidenceMark,
    role: Role,
    fitted: bool,
    observed: f64,
    sd: f64,
    model_p05: f64,
    model_p50: f64,
    model_p95: f64,
    predictive_mean: f64,
    predictive_sd: f64,
    z: f64,
    pareto_k: Option<f64>,
    known_miss: Option<&'a str>,
}

#[derive(Clone, Serialize)]
struct Covered {
    share: f64,
    within: usize,
    of: usize,
}

/// As JSON has it.
#[must_use]
pub fn json<'a>(held: &'a Held<'a>) -> impl Serialize + 'a {
    let row = |(row, miss): (&'a Row, &Miss)| JsonRow {
        id: &row.id,
        quantity: &row.quantity,
        published: &row.published,
        conditions: &row.conditions,
        unit: &row.unit,
        source: &row.source,
        mark: row.mark,
        role: row.role,
        fitted: row.is_fitted(),
        observed: row.observed,
        sd: row.sd,
        model_p05: miss.model[0],
        model_p50: miss.model[1],
        model_p95: miss.model[2],
        predictive_mean: miss.mean,
        predictive_sd: miss.predictive_sd,
        z: miss.z,
        pareto_k: miss.k,
        known_miss: row.known_miss.as_deref(),
    };
    Output {
        program: PROGRAM,
        sets: held.sets,
        seed: held.seed,
        rows: pairs(held).map(row).collect(),
        coverage: SHARES
            .map(|share| {
                let (within, of) = coverage(held.evidence, &held.misses, share);
                Covered { share, within, of }
            })
            .to_vec(),
        listed: &held.evidence.listed,
    }
}

/// Rows with their misses.
pub(super) fn pairs<'a>(held: &'a Held<'a>) -> impl Iterator<Item = (&'a Row, &'a Miss)> + Clone {
    held.evidence.rows.iter().zip(&held.misses)
}

/// For a terminal of 80 columns.
#[must_use]
pub fn text(held: &Held<'_>) -> String {
    let mut rows = table(["Value", "published", "unit", "model 5-95 %", "z", "mark"]);
    rows.words_last = true;
    for (row, miss) in pairs(held) {
        rows.add_row([
            name(row),
            format!("{} ± {}", three(row.observed), three(row.sd)),
            row.unit.clone(),
            format!("{} to {}", three(miss.model[0]), three(miss.model[2])),
            z(miss),
            letter(row),
        ]);
    }
    let rough = if has_rough(held) {
        " ~ rough: moves the fit too much to be left out by weights."
    } else {
        ""
    };
    let below = format!(
        "{} z: published less model in standard deviations of both, fitted without the value's source.{rough} Marks: R read, S second-hand, P practice, M memory, C \
         computed; * shown, not fitted. More: src/guide/validation.md. {} sets, seed {}.",
        covered(held),
        held.sets,
        held.seed
    );
    format!(
        "{}\n\n{}\n\n{}\n",
        textwrap::fill(&answer(held), WIDTH),
        lines(&rows),
        indented(&below)
    )
}

/// A row's mark, with a star where it was not fitted.
fn letter(row: &Row) -> String {
    let mark = match row.mark {
        EvidenceMark::Read => "R",
        EvidenceMark::SecondHand => "S",
        EvidenceMark::Practice => "P",
        EvidenceMark::Memory => "M",
        EvidenceMark::Computed => "C",
    };
    let star = if row.is_fitted() { "" } else { "*" };
    format!("{mark}{star}")
}

fn indented(text: &str) -> String {
    let options = textwrap::Options::new(WIDTH)
        .initial_indent("  ")
        .subsequent_indent("  ");
    textwrap::fill(text, options)
}

/// Which values are far off, in a sentence.
pub(super) fn answer(held: &Held<'_>) -> String {
    let fitted = pairs(held).filter(|(row, _)| row.is_fitted());
    let count = fitted.clone().count();
    let far: Vec<String> = fitted
        .filter(|(_, miss)| miss.z.abs() > FAR_MISS)
        .map(|(row, _)| name(row).to_lowercase())
        .collect();
    if far.is_empty() {
        format!("The model agrees with all {count} fitted values within two standard deviations.")
    } else {
        format!(
            "The model misses {} of {count} fitted values by over two standard deviations: {}.",
            far.len(),
            far.join(", ")
        )
    }
}

/// How often ranges held the published value.
pub(super) fn covered(held: &Held<'_>) -> String {
    let parts = SHARES.map(|share| {
        let (within, of) = coverage(held.evidence, &held.misses, share);
        format!("{within} of {of} in the {:.0} % range", 100.0 * share)
    });
    format!(
        "Fitted values within what the others predict: {}.",
        parts.join(", ")
    )
}

/// The name of a row in words.
pub(super) fn name(row: &Row) -> String {
    let words = row.id.replace('-', " ");
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

/// A miss in words; rough where the weights that leave its source out cannot be trusted.
pub(super) fn z(miss: &Miss) -> String {
    let rough = miss.k.is_some_and(|k| k > LARGEST_K);
    let text = format!("{:+.1}", miss.z);
    let text = if text == "-0.0" || text == "+0.0" {
        "0.0".to_owned()
    } else {
        text
    };
    if rough { format!("~{text}") } else { text }
}

pub(super) fn has_rough(held: &Held<'_>) -> bool {
    held.misses
        .iter()
        .any(|miss| miss.k.is_some_and(|k| k > LARGEST_K))
}

/// The charts: misses, and what measurements leave of what is not known.
#[must_use]
pub fn charts(held: &Held<'_>, posterior: &Posterior) -> Vec<Chart> {
    let row = |(row, miss): (&Row, &Miss)| {
        let both = (miss.predictive_sd * miss.predictive_sd + row.sd * row.sd).sqrt();
        MissedRow {
            words: row.quantity.clone(),
            figures: format!(
                "{} {}; model {} to {}",
                three(row.observed),
                row.unit,
                three(miss.model[0]),
                three(miss.model[2])
            ),
            z: miss.z,
            predictive_share: miss.predictive_sd / both,
            fitted: row.is_fitted(),
        }
    };
    let unknowns = posterior.file().unknown.iter().filter_map(|unknown| {
        let parameter = find(&unknown.name)?;
        let [low, middle, high] =
            UNKNOWN_PROBABILITIES.map(|probability| posterior.marginal(&unknown.name, probability));
        Some(SharedUnknown::new(parameter, [low?, middle?, high?]))
    });
    vec![
        Chart::new(
            "misses",
            Shows::Misses(Misses {
                rows: pairs(held).map(row).collect(),
            }),
        ),
        Chart::new(
            "shared-unknowns",
            Shows::SharedUnknowns(SharedUnknowns {
                unknowns: unknowns.collect(),
            }),
        ),
    ]
}
