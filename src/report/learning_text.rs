//! What it is worth to learn what is not known about bees, and what to measure at one's own hive: in words, and as a table of all.

use super::sensitivity_text::SensitivityReport;
use super::shared_text::{GIVEN, effect_mass, span};
use super::table::{percent, table};
use super::{Block, OutputError};
use crate::ensemble::{Choice, ChoiceLearned, Learning};
use crate::parameter;
use crate::units::{Dimension, Round, System, show};

/// Unknowns and measurements that the text names.
const NAMED: usize = 5;
/// Share of a choice's variance, or of the need's, from which an unknown is named.
const TELLS: f64 = 0.05;
/// Least honey that is told from none, kg.
const LEAST_KG: f64 = 0.01;
/// Honey a winter below which no measurement is worth the work, kg (own choice: a day or two of food).
const WORTH_KG: f64 = 0.1;
/// A parameter in words: what a meaning says behind a semicolon or in brackets is for those who set it.
pub(super) fn meaning(name: &str) -> &str {
    let meaning = parameter::find(name).map_or(name, |row| row.meaning);
    let end = meaning.find(';').into_iter().chain(meaning.find(" ("));
    &meaning[..end.min().unwrap_or(meaning.len())]
}

/// What learning is worth for the need and for the choice that is most in doubt.
pub(super) fn blocks(learning: &Learning, units: System) -> [Vec<Block>; 2] {
    [unknowns(learning, units), measurements(learning, units)]
}

fn kg(kg: f64, units: System) -> String {
    show(kg, Dimension::Mass, units, Round::Decimals(1))
}

/// What a keeper loses by deciding without knowing, which may be little.
fn loss(kg: f64, units: System) -> String {
    let of = |kg| show(kg, Dimension::Mass, units, Round::Decimals(2));
    if kg > 0.0 && kg < LEAST_KG {
        return format!("under {}", of(LEAST_KG));
    }
    of(kg)
}

/// The choice in doubt in one sentence.
fn doubt(choice: &Choice, units: System) -> String {
    let saving = choice.saving_kg;
    let side = if saving.mean < 0.0 { "costs" } else { "saves" };
    let other = if saving.mean < 0.0 { "saves" } else { "costs" };
    format!(
        "The step most in doubt: {}. It {side} {} on average ({} {GIVEN}); the chance that it {other} honey is {}. \
         Choosing without knowing loses {} a winter on average.",
        choice.step,
        effect_mass(saving.mean.abs(), units),
        span(saving.range, &|own| kg(own, units)),
        percent(choice.flips),
        loss(choice.loss_now_kg, units)
    )
}

fn unknowns(learning: &Learning, units: System) -> Vec<Block> {
    let mut said = vec![Block::Head(
        "What is not known about bees, and what learning it is worth".to_owned(),
    )];
    let need = learning.need_kg;
    said.push(Block::Paragraph(format!(
        "Colonies need {} on average, {} {GIVEN} (± {}).",
        kg(need.mean, units),
        span(need.range, &|own| kg(own, units)),
        loss(need.sd, units)
    )));
    let doubtful = learning.doubtful();
    let of_choice = |name: &str| {
        let all = doubtful.map_or(&[][..], |choice| &choice.unknowns);
        all.iter().find(|learned| learned.learned == name)
    };
    let part = |name: &str, share: f64| of_choice(name).map_or(share, |own| own.share.max(share));
    let mut named: Vec<_> = learning
        .need
        .iter()
        .filter(|learned| part(learned.unknown, learned.share) >= TELLS)
        .collect();
    named.sort_by(|a, b| part(b.unknown, b.share).total_cmp(&part(a.unknown, a.share)));
    let mut rows = table([
        "Once you knew",
        "need ±",
        "doubt of the step removed",
        "loss left",
    ]);
    for learned in named.into_iter().take(NAMED) {
        let choice = of_choice(learned.unknown);
        let of = |show: &dyn Fn(&ChoiceLearned<&str>) -> String| {
            choice.map_or_else(|| "-".to_owned(), show)
        };
        rows.add_row([
            meaning(learned.unknown).to_owned(),
            loss(learned.sd_left_kg, units),
            of(&|own| percent(own.share)),
            of(&|own| loss(own.loss_left_kg, units)),
        ]);
    }
    if rows.rows.is_empty() {
        said.push(Block::Paragraph(format!(
            "No single unknown stands out in {} sets; ask for more with --rows.",
            learning.sets
        )));
    } else {
        said.push(Block::Table(rows));
    }
    said.push(Block::Paragraph(match doubtful {
        None => "No step is in doubt: each saves honey, or costs it, in every set.".to_owned(),
        Some(choice) => {
            let decides = choice.unknowns.first().filter(|own| own.share >= TELLS);
            let decides = decides.map_or_else(
                || "No single unknown decides it.".to_owned(),
                |own| format!("What decides it most: {}.", meaning(own.learned)),
            );
            format!("{} {decides}", doubt(choice, units))
        }
    }));
    said
}

fn measurements(learning: &Learning, units: System) -> Vec<Block> {
    let Some(choice) = learning.doubtful() else {
        return Vec::new();
    };
    let mut rows = table([
        "Measured at your own hive",
        "doubt of the step removed",
        "loss left",
    ]);
    for measured in choice.measurements.iter().take(NAMED) {
        rows.add_row([
            measured.learned.words().to_owned(),
            percent(measured.share),
            loss(measured.loss_left_kg, units),
        ]);
    }
    let all = choice.all_measurements.map_or_else(String::new, |all| {
        format!(
            " All together remove {} of the doubt and leave {} to lose.",
            percent(all.share),
            loss(all.loss_left_kg, units)
        )
    });
    let best = choice.measurements.first().filter(|best| best.share > 0.0);
    let best = match best {
        None => "No measurement at one hive would tell whether the step saves honey.".to_owned(),
        Some(_) if choice.loss_now_kg < WORTH_KG => format!(
            "It changes so little honey ({} a winter) that none of these is worth the work: choose by price, work and wet.",
            loss(choice.loss_now_kg, units)
        ),
        Some(best) => format!("What tells most: {}.", best.learned.words()),
    };
    if rows.rows.is_empty() {
        return Vec::new();
    }
    vec![
        Block::Table(rows),
        Block::Paragraph(format!(
            "{best}{all} `overwinter fit` learns from the weights, and `overwinter compare --with` uses what it learned."
        )),
    ]
}

/// `learning.csv`: for the need and for each step a row for each unknown and measurement. Its first line is a comment that begins with `#`.
///
/// # Errors
/// [`OutputError::Format`].
pub fn csv(report: &SensitivityReport<'_>) -> Result<Vec<u8>, OutputError> {
    let head = [
        "of",
        "learned",
        "kind",
        "variance_share",
        "sd_left_kg",
        "loss_now_kg",
        "loss_left_kg",
    ];
    let mut rows: Vec<[String; 7]> = Vec::new();
    let number = |value: f64| format!("{value:.5}");
    if let Some(learning) = &report.sensitivity.learning {
        for own in &learning.need {
            rows.push([
                "need".to_owned(),
                own.unknown.to_owned(),
                "unknown".to_owned(),
                number(own.share),
                number(own.sd_left_kg),
                String::new(),
                String::new(),
            ]);
        }
        for choice in &learning.choices {
            let mut row = |learned: &str, kind: &str, share: f64, left_kg: f64| {
                rows.push([
                    choice.step.to_owned(),
                    learned.to_owned(),
                    kind.to_owned(),
                    number(share),
                    number(choice.saving_kg.sd * (1.0 - share).sqrt()),
                    number(choice.loss_now_kg),
                    number(left_kg),
                ]);
            };
            for own in &choice.unknowns {
                row(own.learned, "unknown", own.share, own.loss_left_kg);
            }
            for own in &choice.measurements {
                row(
                    own.learned.words(),
                    "measurement",
                    own.share,
                    own.loss_left_kg,
                );
            }
            if let Some(own) = &choice.all_measurements {
                row(own.learned, "measurements", own.share, own.loss_left_kg);
            }
        }
    }
    let head: Vec<String> = head.map(str::to_owned).to_vec();
    super::daily::commented_csv(&report.provenance.line(), &head, &rows, |row| row.to_vec())
}
