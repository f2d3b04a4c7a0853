//! The charts of comparisons, sensitivities and sweeps.

use super::comparison::Comparison;
use super::learning_text::meaning;
use super::sensitivity_text::SensitivityReport;
use super::sweep_text::SweepReport;
use crate::chart::{
    Chart, FactorShare, HiveRow, Hives, Influences, Learned, LearnedShare, Measure,
    PairedDifference, PairedNeed, Ranking, SHOWN_FACTORS, Shows, StepSaving, Steps, Swept,
    SweptAnswer, SweptSetting, even_shares, finite,
};
use crate::ensemble::{Difference, FactorInfluence, Fate, Influence, Learning, Verdict};
use crate::scenario::Scenario;

/// Total index up to which a factor has next to no part, as in the text.
const NO_PART: f64 = 0.0005;

/// Charts of a comparison, from the fates of its members in the order of its entries: all hives, then each against the first.
#[must_use]
pub fn of_compare(comparison: &Comparison, fates: &[Vec<Fate>]) -> Vec<Chart> {
    let row = |entry: &super::Entry| HiveRow {
        letter: entry.letter,
        name: entry.name.clone(),
        need_kg: entry.results.need_kg,
        stores_kg: entry.stores_kg,
        starved: entry.results.starved.share,
        starved_interval: entry.results.starved.interval,
        need_shared: entry
            .results
            .need_shared
            .map(|shared| shared.map(|shared| shared.range())),
        starved_shared: entry.results.starved.shared.map(|shared| shared.range()),
        need_against: entry
            .against_first
            .as_ref()
            .map(|against| PairedDifference::from(&against.need_kg)),
        starved_against: entry
            .against_first
            .as_ref()
            .map(|against| PairedDifference::from(&against.starved)),
    };
    let hives = Hives {
        hives: comparison.entries.iter().map(row).collect(),
        pairs: comparison.members,
        winters: comparison.winters.len(),
    };
    let mut charts = vec![Chart::new("hives", Shows::Hives(hives))];
    let Some((first, base)) = comparison.entries.first().zip(fates.first()) else {
        return charts;
    };
    for (entry, own) in comparison.entries.iter().zip(fates) {
        let Some(against) = &entry.against_first else {
            continue;
        };
        let differences = base.iter().zip(own).map(|(a, b)| b.need_kg - a.need_kg);
        let key = format!("difference-{}-{}", first.letter, entry.letter).to_lowercase();
        let paired = PairedNeed {
            letters: [first.letter, entry.letter],
            names: [first.name.clone(), entry.name.clone()],
            differences_kg: even_shares(differences.collect()),
            pairs: against.need_kg.pairs,
            less: against.needs_less.share,
            more: against.needs_more.share,
            told: PairedDifference::from(&against.need_kg),
            winters: comparison.winters.len(),
        };
        charts.push(Chart::new(&key, Shows::PairedNeed(paired)));
    }
    charts
}

/// Charts of a sensitivity; that of steps only where some are left to do.
#[must_use]
pub fn of_sensitivity(report: &SensitivityReport<'_>) -> Vec<Chart> {
    let found = report.sensitivity;
    let influences = Influences {
        need: ranked(&found.factors, |factor| factor.need),
        starved: ranked(&found.factors, |factor| factor.starved),
        risk_is_told: found.risk_is_told(),
        risk: found.risk().0,
        rows: found.rows,
        members: found.members,
    };
    let mut charts = vec![Chart::new("sensitivity", Shows::Influences(influences))];
    charts.extend(found.learning.as_ref().map(learned));
    if !found.steps.is_empty() {
        let steps = found.steps.iter().map(|effect| StepSaving {
            words: effect.step.to_owned(),
            need_kg: over_sets(&effect.need_kg),
        });
        charts.push(Chart::new(
            "steps",
            Shows::Steps(Steps {
                steps: steps.collect(),
                pairs: u32::try_from(found.pairs).unwrap_or(u32::MAX),
            }),
        ));
    }
    charts
}

/// A difference with its range over what is not known about bees, where that is told.
fn over_sets(difference: &Difference) -> PairedDifference {
    let told = PairedDifference::from(difference);
    let Some(shared) = difference.shared else {
        return told;
    };
    PairedDifference {
        interval: Some(shared.range()),
        verdict: if difference.direction_is_uncertain() {
            Verdict::CannotTell
        } else {
            told.verdict
        },
        ..told
    }
}

/// Unknowns that are shown by themselves.
const UNKNOWNS: usize = 5;

/// What learning is worth, for the need and for the step most in doubt.
fn learned(learning: &Learning) -> Chart {
    let doubtful = learning.doubtful();
    let choice = |name: &str| {
        let all = &doubtful?.unknowns;
        Some(all.iter().find(|own| own.learned == name)?.share)
    };
    let mut unknowns: Vec<LearnedShare> = learning
        .need
        .iter()
        .map(|own| LearnedShare {
            words: meaning(own.unknown).to_owned(),
            need: Some(own.share),
            choice: choice(own.unknown),
        })
        .collect();
    let most = |own: &LearnedShare| own.choice.unwrap_or(0.0).max(own.need.unwrap_or(0.0));
    unknowns.sort_by(|a, b| most(b).total_cmp(&most(a)));
    let others = unknowns.split_off(UNKNOWNS.min(unknowns.len()));
    let sum = |of: fn(&LearnedShare) -> Option<f64>| others.iter().filter_map(of).sum::<f64>();
    unknowns.push(LearnedShare {
        words: format!("{} others together", others.len()),
        need: Some(sum(|own| own.need).min(1.0)),
        choice: doubtful.map(|_| sum(|own| own.choice).min(1.0)),
    });
    let measured = doubtful.map_or(&[][..], |choice| &choice.measurements);
    let learned = Learned {
        step: doubtful.map(|choice| choice.step.to_owned()),
        unknowns,
        measurements: measured
            .iter()
            .map(|own| LearnedShare {
                words: own.learned.words().to_owned(),
                need: None,
                choice: Some(own.share),
            })
            .collect(),
        sets: learning.sets,
        colonies: learning.colonies,
    };
    Chart::new("learning", Shows::Learned(learned))
}

/// Factors by their total index; none where the output does not vary.
fn ranked(
    factors: &[FactorInfluence],
    of: impl Fn(&FactorInfluence) -> Option<Influence>,
) -> Option<Ranking> {
    let mut shares = Vec::new();
    for factor in factors {
        let indices = of(factor)?.indices;
        // What a meaning says behind a semicolon or in brackets is for those who set it.
        let meaning = factor.factor.meaning();
        let end = meaning.find(';').into_iter().chain(meaning.find(" ("));
        let words = &meaning[..end.min().unwrap_or(meaning.len())];
        shares.push(FactorShare {
            words: words.to_owned(),
            total: indices.total,
            total_interval: finite(indices.total_interval),
            first: indices.first,
            first_interval: finite(indices.first_interval),
        });
    }
    shares.sort_by(|a, b| b.total.total_cmp(&a.total));
    // What has no part in any row is of the rest, but one factor always stands.
    let telling = shares
        .iter()
        .take_while(|factor| factor.total > NO_PART)
        .count();
    let rest = shares.split_off(telling.clamp(1, SHOWN_FACTORS).min(shares.len()));
    (!shares.is_empty()).then(|| Ranking {
        factors: shares,
        rest: rest.len(),
        rest_most: rest.first().map_or(0.0, |factor| factor.total),
    })
}

/// Charts of a sweep; `scenarios` are those of its points, in their order.
#[must_use]
pub fn of_sweep(report: &SweepReport<'_>, scenarios: &[Scenario]) -> Vec<Chart> {
    let settings: Vec<SweptSetting> = report
        .settings
        .iter()
        .map(|setting| SweptSetting::new(&setting.key, &setting.values))
        .collect();
    let swept = |measure: Measure| {
        let answers = report
            .points
            .iter()
            .zip(scenarios)
            .map(|(swept, scenario)| {
                let point = &swept.point;
                let difference = point.difference.as_ref();
                SweptAnswer {
                    levels: match measure {
                        Measure::Need => point
                            .need_kg
                            .into_iter()
                            .zip(point.need_interval_kg)
                            .collect(),
                        Measure::Risk => vec![(point.starved, point.starved_interval)],
                    },
                    shared: match measure {
                        Measure::Need => point.need_shared.to_vec(),
                        Measure::Risk => vec![point.starved_shared],
                    }
                    .iter()
                    .map(|shared| shared.map(|shared| shared.range()))
                    .collect(),
                    stores_kg: scenario.colony.stores_kg,
                    difference: difference.map(|difference| match measure {
                        Measure::Need => PairedDifference::from(&difference.need_kg),
                        Measure::Risk => PairedDifference::from(&difference.starved),
                    }),
                }
            });
        Shows::Swept(Swept {
            measure,
            settings: settings.clone(),
            answers: answers.collect(),
            members: report.prepared.plan.members,
            winters: report.prepared.plan.winters.len(),
        })
    };
    vec![
        Chart::new("sweep-need", swept(Measure::Need)),
        Chart::new("sweep-risk", swept(Measure::Risk)),
    ]
}
