//! What honey need and risk depend on, for a terminal, as JSON and as CSV.

use super::sensitivity_advice::{Remedy, advice, remedy};
use super::table::{percent, table};
use super::{Block, CAUTIONS, Document, OutputError, Provenance, learning_text};
use crate::ensemble::{Factor, FactorInfluence, Influence, Learning, Sensitivity, StepEffect};
use crate::parameter::TABLE;
use crate::scenario::{Prepared, Scenario};
use crate::units::{Dimension, Round, System, show};
use serde::Serialize;

/// Widest interval of the largest total index that still ranks factors well (own choice).
const WIDE: f64 = 0.3;

/// All that the report says.
#[derive(Clone, Copy, Debug)]
pub struct SensitivityReport<'a> {
    /// The scenario.
    pub scenario: &'a Scenario,
    /// What was run.
    pub prepared: &'a Prepared,
    /// The answer.
    pub sensitivity: &'a Sensitivity,
    /// What made it.
    pub provenance: &'a Provenance,
}

#[derive(Serialize)]
struct Output<'a> {
    provenance: &'a Provenance,
    notes: &'a [String],
    rows: u32,
    members: u64,
    need_kg: f64,
    need_sd_kg: f64,
    starved: f64,
    starved_interval: (f64, f64),
    risk_is_told: bool,
    factors: Vec<Row<'a>>,
    pairs: usize,
    steps: &'a [StepEffect],
    learning: &'a Option<Learning>,
    cautions: [&'static str; CAUTIONS.len()],
}

#[derive(Serialize)]
struct Row<'a> {
    factor: &'a str,
    meaning: &'a str,
    remedy: Remedy,
    advice: &'a str,
    need: Option<Influence>,
    starved: Option<Influence>,
}

impl<'a> SensitivityReport<'a> {
    /// As JSON has it, in SI units; factors by their part in the need, largest first.
    #[must_use]
    pub fn json(&self) -> impl Serialize + 'a {
        let found = self.sensitivity;
        let (starved, starved_interval) = found.risk();
        let row = |factor: &FactorInfluence| {
            let (remedy, advice) = remedy(factor.factor);
            Row {
                factor: factor.factor.name(),
                meaning: factor.factor.meaning(),
                remedy,
                advice,
                need: factor.need,
                starved: factor.starved,
            }
        };
        Output {
            provenance: self.provenance,
            notes: &self.prepared.notes,
            rows: found.rows,
            members: found.members,
            need_kg: found.need_kg,
            need_sd_kg: found.need_sd_kg,
            starved,
            starved_interval,
            risk_is_told: found.risk_is_told(),
            factors: ranked(found, |factor| factor.need)
                .into_iter()
                .map(row)
                .collect(),
            pairs: found.pairs,
            steps: &found.steps,
            learning: &found.learning,
            cautions: CAUTIONS,
        }
    }
}

/// `sensitivity.csv`: a row a factor, largest part in the need first. Its first line is a comment that begins with `#`.
///
/// # Errors
/// [`OutputError::Format`].
pub fn csv(report: &SensitivityReport<'_>) -> Result<Vec<u8>, OutputError> {
    let mut head = ["factor", "unit", "remedy"].map(str::to_owned).to_vec();
    for (output, unit) in [("need", "_kg"), ("starved", "")] {
        for column in [
            "first",
            "first_low",
            "first_high",
            "total",
            "total_low",
            "total_high",
        ] {
            head.push(format!("{output}_{column}"));
        }
        head.push(format!("{output}_change{unit}"));
    }
    head.push("meaning".to_owned());
    let rows = ranked(report.sensitivity, |factor| factor.need);
    super::daily::commented_csv(&report.provenance.line(), &head, &rows, |factor| {
        let mut cells = vec![
            factor.factor.name().to_owned(),
            unit(factor.factor).to_owned(),
            remedy(factor.factor).0.word().to_owned(),
        ];
        for influence in [factor.need, factor.starved] {
            let cell = |value: Option<f64>| value.map(|v| format!("{v:.5}")).unwrap_or_default();
            let of = |value: fn(&Influence) -> f64| cell(influence.as_ref().map(value));
            cells.extend([
                of(|i| i.indices.first),
                of(|i| i.indices.first_interval.0),
                of(|i| i.indices.first_interval.1),
                of(|i| i.indices.total),
                of(|i| i.indices.total_interval.0),
                of(|i| i.indices.total_interval.1),
                cell(influence.and_then(|i| i.change)),
            ]);
        }
        cells.push(factor.factor.meaning().to_owned());
        cells
    })
}

fn unit(factor: Factor) -> &'static str {
    match factor {
        Factor::Winter | Factor::Shared => "",
        Factor::Bees => "1",
        Factor::Stores => "kg",
        Factor::Parameter(number) => TABLE.get(number).map_or("", |row| row.unit),
    }
}

/// Factors by their total index for one output, largest first.
fn ranked(
    found: &Sensitivity,
    of: impl Fn(&FactorInfluence) -> Option<Influence>,
) -> Vec<&FactorInfluence> {
    let total = |factor: &FactorInfluence| of(factor).map_or(0.0, |i| i.indices.total);
    let mut factors: Vec<_> = found.factors.iter().collect();
    factors.sort_by(|a, b| total(b).total_cmp(&total(a)));
    factors
}

/// The report as text.
#[must_use]
pub fn text(report: &SensitivityReport<'_>, units: System) -> String {
    document(report, units).terminal()
}

/// The report, block by block.
#[must_use]
pub fn document(report: &SensitivityReport<'_>, units: System) -> Document {
    let found = report.sensitivity;
    let kg = |kg: f64| format!("{}{}", sign(kg), mass(kg.abs(), 2, units));
    let points = |share: f64| format!("{}{:.0} pt", sign(share), 100.0 * share.abs());
    let mut parts = vec![
        answer(report, units),
        part("Honey need", found, |factor| factor.need, &kg),
        part("Risk", found, |factor| factor.starved, &points),
        vec![Block::Paragraph(
            "Alone: the share of the variance that would go if this were known. In all: the share that it has a part in, alone or together with others. \
             Change: with all else equal, from the lowest tenth of its draws to the highest. Intervals are 95 %, from the number of rows; one that \
             reaches zero means that there may be no effect."
                .to_owned(),
        )],
    ];
    parts.extend(
        found
            .learning
            .iter()
            .flat_map(|own| learning_text::blocks(own, units)),
    );
    parts.extend(advice(found, units));
    parts.push(notes(report));
    Document::new(parts)
}

fn sign(value: f64) -> &'static str {
    if value < 0.0 { "-" } else { "+" }
}

fn mass(kg: f64, decimals: usize, units: System) -> String {
    show(kg, Dimension::Mass, units, Round::Decimals(decimals))
}

fn answer(report: &SensitivityReport<'_>, units: System) -> Vec<Block> {
    let found = report.sensitivity;
    let winters = report.prepared.plan.winters.len();
    let (risk, (low, high)) = found.risk();
    let largest = |of: fn(&FactorInfluence) -> Option<Influence>| {
        let largest = ranked(found, of).into_iter().take(3).map(|factor| {
            let total = of(factor).map_or(0.0, |i| i.indices.total);
            format!("{} {}", factor.factor.name(), percent(total))
        });
        largest.collect::<Vec<_>>().join(", ")
    };
    vec![
        Block::Head(format!(
            "{}: what honey need and risk depend on, {} rows of {} factors, {} members over {winters} winter{}",
            report.scenario.name,
            found.rows,
            found.factors.len(),
            found.members,
            if winters == 1 { "" } else { "s" }
        )),
        Block::answer(
            "Honey need",
            format!(
                "{} on average, standard deviation {}; most on {}",
                mass(found.need_kg, 1, units),
                mass(found.need_sd_kg, 1, units),
                largest(|factor| factor.need)
            ),
        ),
        Block::answer(
            "Risk",
            format!(
                "{} starve ({} to {}){}",
                percent(risk),
                percent(low),
                percent(high),
                if found.risk_is_told() {
                    format!("; most on {}", largest(|factor| factor.starved))
                } else if found.factors.iter().any(|factor| factor.starved.is_some()) {
                    ": too few to tell on what".to_owned()
                } else {
                    ": there is nothing to split".to_owned()
                }
            ),
        ),
    ]
}

/// An interval of a share in per cent, with a decimal where it is small.
fn interval((low, high): (f64, f64)) -> String {
    let decimals = usize::from(high < 0.0995);
    let end = |share: f64| format!("{:.decimals$}", 100.0 * share);
    // Rounding may leave a sign on nothing.
    let low = end(low);
    let low = match low.strip_prefix('-') {
        Some(zero) if zero.chars().all(|c| matches!(c, '0' | '.')) => zero,
        _ => &low,
    };
    format!("{low} to {} %", end(high))
}

/// The ranked table of one output.
fn part(
    title: &str,
    found: &Sensitivity,
    of: impl Fn(&FactorInfluence) -> Option<Influence>,
    change: &dyn Fn(f64) -> String,
) -> Vec<Block> {
    let mut rows = table([
        title,
        "in all",
        "95 % interval",
        "alone",
        "95 % interval",
        "change",
        "can be",
    ]);
    let mut idle = Vec::new();
    let mut rows_shown = 0;
    for factor in ranked(found, &of) {
        let Some(influence) = of(factor) else {
            return vec![Block::Line(format!(
                "{title}: all members alike, nothing to split."
            ))];
        };
        let indices = influence.indices;
        // What has no part in any row is named below the table.
        if indices.total <= 0.0005 {
            idle.push(factor.factor.name());
            continue;
        }
        rows_shown += 1;
        rows.add_row([
            factor.factor.name().to_owned(),
            percent(indices.total),
            interval(indices.total_interval),
            percent(indices.first.max(0.0)),
            interval(indices.first_interval),
            influence.change.map_or_else(|| "-".to_owned(), change),
            match remedy(factor.factor).0 {
                Remedy::Weather => "-",
                Remedy::Measure => "measured",
                Remedy::Do => "done",
            }
            .to_owned(),
        ]);
    }
    let mut said = vec![Block::Table(rows)];
    if !idle.is_empty() && rows_shown > 0 {
        said.push(Block::Paragraph(format!(
            "Next to no part in it: {}.",
            idle.join(", ")
        )));
    }
    if let Some(alone) = found.alone(&of) {
        let rest = if alone > 1.0 {
            "what is above 100 % is noise"
        } else {
            "the rest is what factors do together, or noise"
        };
        said.push(Block::Paragraph(format!(
            "Alone they sum to {}; {rest}.",
            percent(alone.max(0.0))
        )));
    }
    said
}

fn notes(report: &SensitivityReport<'_>) -> Vec<Block> {
    let found = report.sensitivity;
    let mut notes = Vec::new();
    let widest = ranked(found, |factor| factor.need)
        .first()
        .and_then(|factor| factor.need)
        .map_or(0.0, |i| {
            i.indices.total_interval.1 - i.indices.total_interval.0
        });
    if widest > WIDE {
        notes.push(format!(
            "Note: {} rows are few: the largest part in the need is known to {:.0} points only; ask for more with --rows.",
            found.rows,
            100.0 * widest
        ));
    }
    if !found.risk_is_told() {
        notes.push(format!(
            "Note: {} of {} colonies starved: a yes or no that is so nearly always the same has indices that single colonies carry, and the table of risk is \
             not to be trusted; ask for more with --rows, or for stores at which more starve.",
            found.starved,
            found.plain_members()
        ));
    }
    let prepared = report.prepared;
    notes.extend(prepared.notes.iter().map(|note| format!("Note: {note}.")));
    let refused = prepared.refused.iter();
    notes.extend(refused.map(|(label, why)| format!("Left out: winter {label}: {why}.")));
    notes.extend(CAUTIONS.map(str::to_owned));
    notes.push(format!("Made by {}.", report.provenance.line()));
    notes.into_iter().map(Block::Note).collect()
}
