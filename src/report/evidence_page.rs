//! The guide's page on validation, as `overwinter evidence --out` writes it.

use super::PROGRAM;
use super::evidence_text::{answer, covered, has_rough, name, pairs, z};
use crate::chart::FAR_MISS;
use crate::evidence::{Held, Miss, Row};
use crate::units::three_digits as three;

/// The page in Markdown.
#[must_use]
pub fn page(held: &Held<'_>) -> String {
    let mut page = format!(
        "# How far the model is from what was measured\n\n\
         <!-- Written by `overwinter evidence --out DIR`; do not edit. -->\n\n\
         {} {}\n\n\
         Each published value stands beside the model's 5, 50 and 95 % quantiles over what is not known about bees. `z` is the published value less the model's, in standard \
         deviations of prediction and measurement together, with the value's own source left out of the fit. The prediction's standard deviation counts in how far the model may be \
         off beside what its unknowns explain. `overwinter evidence` works all of it out anew; with `--out` it draws it too.\n\n\
         A value from memory is shown, never fitted. A value that others contradict is shown as contrary.{}\n\n\
         | value | published | model 5 / 50 / 95 % | predicted | z | fitted | mark |\n|---|---|---|---|---|---|---|\n",
        answer(held),
        covered(held),
        if has_rough(held) {
            " A `z` with ~ is rough: the value moves the fit too much to be left out by weights."
        } else {
            ""
        }
    );
    for (row, miss) in pairs(held) {
        page += &figures(row, miss);
    }
    page += "\n## As published, and what we assumed\n\n| value | as published | assumed | spread from | source |\n|---|---|---|---|---|\n";
    for (row, _) in pairs(held) {
        page += &assumed(row);
    }
    let far: Vec<String> = pairs(held)
        .filter(|(_, miss)| miss.z.abs() > FAR_MISS)
        .filter_map(|(row, _)| {
            let why = row.known_miss.as_ref()?;
            Some(format!("- **{}**: {}.\n", name(row), cell(why)))
        })
        .collect();
    if !far.is_empty() {
        page += "\n## Misses that are known\n\n";
        page += &far.concat();
    }
    page += "\n## Findings without a figure of the model\n\n| finding | source | mark | why none |\n|---|---|---|---|\n";
    for listed in &held.evidence.listed {
        page += &format!(
            "| {} | {} | {} | {} |\n",
            cell(&listed.published),
            cell(&listed.source),
            listed.mark,
            cell(&listed.why)
        );
    }
    page += &format!(
        "\n{PROGRAM}, {} sets of shared unknowns, seed {}.\n",
        held.sets, held.seed
    );
    page
}

fn figures(row: &Row, miss: &Miss) -> String {
    let role = match (&row.why, row.is_fitted()) {
        (_, true) => "yes".to_owned(),
        (Some(why), _) => format!("no: {}", cell(why)),
        (None, _) => "no".to_owned(),
    };
    let [low, middle, high] = miss.model.map(three);
    format!(
        "| {} | {} ± {} {} | {low} / {middle} / {high} | {} ± {} | {} | {role} | {} |\n",
        name(row),
        three(row.observed),
        three(row.sd),
        row.unit,
        three(miss.mean),
        three(miss.predictive_sd),
        z(miss),
        row.mark
    )
}

/// The part of the page that a row alone decides.
#[must_use]
pub fn assumed(row: &Row) -> String {
    format!(
        "| {}: {} | {} | {} | {} | {} |\n",
        name(row),
        cell(&row.quantity),
        cell(&row.published),
        cell(&row.conditions),
        cell(&row.sd_from),
        cell(&row.source)
    )
}

/// Text that does not break a table.
fn cell(text: &str) -> String {
    text.replace('|', "\\|").replace('\n', " ")
}
