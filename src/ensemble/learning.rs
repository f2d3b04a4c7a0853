//! What it is worth to learn what is not known about bees: for the honey needed, and for a choice.
//!
//! Nobody knows the shared unknowns, so a keeper who chooses now takes the better side on average and loses honey in those sets in which the other was
//! better. Whatever is learned lets him choose better in some of them: the expected value of partial perfect information. It is had by regression of the
//! outcome on what is learned (Strong, Oakley & Brennan 2014, Med Decis Making 34:311, from memory), and of a measurement in the same way by regression
//! on what it would show (Strong et al. 2015, Med Decis Making 35:570, from memory). Both need no independence of the unknowns.

use super::blocks::BySet;
use super::keeper::HiveMeasure;
use super::regression::{Explained, explained, powers, variance};
use super::shared::SharedRange;
use super::statistics::{mean, quantile, sorted};
use crate::normal;
use serde::Serialize;

/// Readings that are simulated of each set (own choice).
pub(super) const READINGS: usize = 8;
/// Ends of the range over shared sets.
const RANGE: [f64; 2] = [0.05, 0.95];

/// An output over shared sets.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct OverSets {
    /// Mean.
    pub mean: f64,
    /// Standard deviation over what is not known about bees, without colonies' chance.
    pub sd: f64,
    /// 5 and 95 % of it.
    pub range: (f64, f64),
}

/// What learning one shared unknown would do to the honey needed.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct NeedLearned {
    /// Name of the parameter.
    pub unknown: &'static str,
    /// Share of the variance over shared sets that it explains.
    pub share: f64,
    /// Expected standard deviation of the mean need once it is known, kg.
    pub sd_left_kg: f64,
}

/// What learning something would do to a choice.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct ChoiceLearned<T> {
    /// What is learned.
    pub learned: T,
    /// Share of the variance of the saving over shared sets that goes with it.
    pub share: f64,
    /// Expected loss of deciding after it, kg.
    pub loss_left_kg: f64,
}

/// A step, whether it saves honey, and what would tell.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Choice {
    /// What is done, in words.
    pub step: &'static str,
    /// Honey that it saves on average over colonies and winters, kg.
    pub saving_kg: OverSets,
    /// Chance that it goes the other way than its mean says.
    pub flips: f64,
    /// Expected loss of deciding now, kg a winter: what a keeper would gain on average who knew everything about bees.
    pub loss_now_kg: f64,
    /// Each shared unknown, what decides most first: what explains most of the saving.
    pub unknowns: Vec<ChoiceLearned<&'static str>>,
    /// Each measurement at one's own hive that this winter allows, what tells most first.
    pub measurements: Vec<ChoiceLearned<HiveMeasure>>,
    /// All these measurements together; none without any.
    pub all_measurements: Option<ChoiceLearned<&'static str>>,
}

/// What is not known about bees, and what learning it is worth.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Learning {
    /// Shared sets run.
    pub sets: usize,
    /// Colonies that each met.
    pub colonies: usize,
    /// Honey needed, kg.
    pub need_kg: OverSets,
    /// Each shared unknown by what it does to the need, largest first.
    pub need: Vec<NeedLearned>,
    /// Each step, the one that it costs most to decide now first.
    pub choices: Vec<Choice>,
}

impl Learning {
    /// The choice that what is not known about bees makes most doubtful; none where it turns no step round.
    #[must_use]
    pub fn doubtful(&self) -> Option<&Choice> {
        self.choices.first().filter(|choice| choice.flips > 0.0)
    }
}

/// A shared unknown with its value in each set.
#[derive(Clone, Debug)]
pub(super) struct Unknown {
    pub name: &'static str,
    pub values: Vec<f64>,
}

/// A measurement with what it shows in each set, and simulated readings of it: [`READINGS`] a set, set by set.
#[derive(Clone, Debug)]
pub(super) struct Readings<T> {
    pub of: T,
    pub values: Vec<f64>,
}

impl OverSets {
    fn new(of: &BySet) -> Self {
        let values = sorted(drawn_in(of));
        Self {
            mean: mean(&of.means),
            sd: of.variance.sqrt(),
            range: (quantile(&values, RANGE[0]), quantile(&values, RANGE[1])),
        }
    }
}

/// The range of an output over sets that each met so many colonies.
pub(super) fn range(of: &BySet, colonies: usize) -> SharedRange {
    let values = sorted(drawn_in(of));
    let [p05, p50, p95] = [RANGE[0], 0.5, RANGE[1]].map(|share| quantile(&values, share));
    SharedRange {
        sets: values.len(),
        colonies,
        p05,
        p50,
        p95,
    }
}

/// Means of sets drawn in about their mean until they vary as the true ones do.
fn drawn_in(of: &BySet) -> Vec<f64> {
    let (middle, seen) = (mean(&of.means), variance(&of.means));
    let by = if seen > 0.0 {
        (of.variance / seen).min(1.0).sqrt()
    } else {
        0.0
    };
    of.means
        .iter()
        .map(|value| middle + by * (value - middle))
        .collect()
}

/// Share of the true variance over sets, from that of what was seen.
fn of_true(share: f64, of: &BySet) -> f64 {
    if of.variance > 0.0 {
        (share * variance(&of.means) / of.variance).min(1.0)
    } else {
        0.0
    }
}

/// What an output is over sets, and what each unknown does to it, largest first.
pub(super) fn need(of: &BySet, unknowns: &[Unknown]) -> (OverSets, Vec<NeedLearned>) {
    let over = OverSets::new(of);
    let mut learned: Vec<NeedLearned> = unknowns
        .iter()
        .map(|unknown| {
            let share = of_true(explained(&powers(&unknown.values), &of.means, 1).share, of);
            NeedLearned {
                unknown: unknown.name,
                share,
                sd_left_kg: over.sd * (1.0 - share).sqrt(),
            }
        })
        .collect();
    learned.sort_by(|a, b| b.share.total_cmp(&a.share));
    (over, learned)
}

/// What a step saves over sets, and what each unknown and measurement would tell of it.
pub(super) fn choice(
    step: &'static str,
    saving_kg: &BySet,
    unknowns: &[Unknown],
    measurements: &[Readings<HiveMeasure>],
) -> Choice {
    let over = OverSets::new(saving_kg);
    let truth = drawn_in(saving_kg);
    let against = |saved: &&f64| **saved * over.mean < 0.0;
    // What is gained by choosing the better side of each instead of that of the mean.
    let better: Vec<f64> = truth.iter().map(|kg| kg.max(0.0)).collect();
    let loss_now_kg = (mean(&better) - over.mean.max(0.0)).max(0.0);
    let learn = |told: &Explained| {
        let share = of_true(told.share, saving_kg);
        (share, loss_now_kg * (1.0 - gained(over, share)))
    };
    let repeated: Vec<f64> = saving_kg
        .means
        .iter()
        .flat_map(|kg| std::iter::repeat_n(*kg, READINGS))
        .collect();
    let mut of_unknowns: Vec<_> = unknowns
        .iter()
        .map(|unknown| {
            let told = explained(&powers(&unknown.values), &saving_kg.means, 1);
            learned(unknown.name, learn(&told))
        })
        .collect();
    let mut of_measurements: Vec<_> = measurements
        .iter()
        .map(|readings| {
            let told = explained(&powers(&readings.values), &repeated, READINGS);
            learned(readings.of, learn(&told))
        })
        .collect();
    by_share(&mut of_unknowns);
    by_share(&mut of_measurements);
    let all_columns: Vec<Vec<f64>> = measurements
        .iter()
        .flat_map(|readings| powers(&readings.values).into_iter().take(2))
        .collect();
    let all = (!measurements.is_empty()).then(|| {
        let told = explained(&all_columns, &repeated, READINGS);
        learned("all of these", learn(&told))
    });
    Choice {
        step,
        saving_kg: over,
        flips: truth.iter().filter(against).count() as f64 / truth.len() as f64,
        loss_now_kg,
        unknowns: of_unknowns,
        measurements: of_measurements,
        all_measurements: all,
    }
}

fn learned<T>(what: T, (share, loss_left_kg): (f64, f64)) -> ChoiceLearned<T> {
    ChoiceLearned {
        learned: what,
        share,
        loss_left_kg,
    }
}

fn by_share<T>(all: &mut [ChoiceLearned<T>]) {
    all.sort_by(|a, b| b.share.total_cmp(&a.share));
}

/// Share of the loss that goes when so much of the variance is learned, as for a normal distribution of the saving (Raiffa & Schlaifer 1961, unit normal
/// loss, from memory): few sets lie on the other side of none, too few to count what is gained in them.
fn gained(over: OverSets, share: f64) -> f64 {
    let loss = |sd: f64| {
        let far = over.mean.abs() / sd;
        let density = libm::exp(-0.5 * far * far) / (2.0 * std::f64::consts::PI).sqrt();
        sd * (density - far * normal::probability(-far))
    };
    let all = loss(over.sd);
    if share <= 0.0 || all.is_nan() || all <= 0.0 {
        return 0.0;
    }
    (loss(over.sd * share.sqrt()) / all).clamp(0.0, 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ensemble::Draws;
    use crate::normal;

    const SETS: usize = 256;

    fn z(name: &str) -> Vec<f64> {
        let draws = Draws::new(5);
        (0..SETS)
            .map(|set| normal::quantile(draws.uniform(set as u64, name)))
            .collect()
    }

    fn unknown(name: &'static str) -> Unknown {
        Unknown {
            name,
            values: z(name),
        }
    }

    fn exact(means: Vec<f64>) -> BySet {
        BySet {
            variance: variance(&means),
            means,
        }
    }

    fn readings(of: HiveMeasure, values: &[f64], sd: f64) -> Readings<HiveMeasure> {
        let draws = Draws::new(6);
        let read = |(set, value): (usize, &f64)| {
            let noise = draws.uniforms(set as u64, "reading").take(READINGS);
            noise
                .map(|u| value + sd * normal::quantile(u))
                .collect::<Vec<_>>()
        };
        Readings {
            of,
            values: values.iter().enumerate().flat_map(read).collect(),
        }
    }

    /// A saving of mean 0.5 and standard deviation 1 that hangs on one of two unknowns: what a normal distribution loses by its mean's side is
    /// phi(0.5) - 0.5 Phi(-0.5) = 0.198.
    #[test]
    fn the_unknown_that_decides_takes_the_whole_loss_away_and_another_nothing() {
        let saving = exact(z("film").iter().map(|z| 0.5 + z).collect());
        let found = choice("a wrap", &saving, &[unknown("idle"), unknown("film")], &[]);
        assert!((found.loss_now_kg - 0.198).abs() < 0.05, "{found:?}");
        assert!((found.flips - 0.309).abs() < 0.07, "{found:?}");
        assert_eq!(found.unknowns[0].learned, "film");
        assert!(found.unknowns[0].share > 0.999 && found.unknowns[0].loss_left_kg < 1e-3);
        let idle = &found.unknowns[1];
        assert_eq!((idle.share, idle.loss_left_kg), (0.0, found.loss_now_kg));
        assert_eq!(found.all_measurements, None);
    }

    #[test]
    fn a_perfect_measurement_takes_all_away_and_a_blunt_one_little() {
        let values: Vec<f64> = z("film").iter().map(|z| 0.2 + z).collect();
        let shown: Vec<f64> = values.iter().map(|v| 3.0 - 2.0 * v).collect();
        let measured = [
            readings(HiveMeasure::CountedSeams, &shown, 8.0),
            readings(HiveMeasure::LossInNovember, &shown, 0.0),
            readings(HiveMeasure::LossInJanuary, &shown, 2.0),
        ];
        let found = choice("a wrap", &exact(values), &[], &measured);
        let [perfect, half, blunt] = &found.measurements[..] else {
            panic!("{found:?}");
        };
        assert_eq!(perfect.learned, HiveMeasure::LossInNovember);
        assert!(
            perfect.share > 0.999 && perfect.loss_left_kg < 1e-3,
            "{perfect:?}"
        );
        // As much noise as signal.
        assert!((half.share - 0.5).abs() < 0.07, "{half:?}");
        assert!(
            blunt.share < 0.15 && blunt.loss_left_kg > 0.8 * found.loss_now_kg,
            "{blunt:?}"
        );
        let all = found.all_measurements.expect("some");
        assert!(all.share > 0.999, "{all:?}");
    }

    #[test]
    fn what_saves_in_every_set_is_no_choice_that_learning_would_change() {
        let saving = exact(z("film").iter().map(|z| 5.0 + 0.2 * z).collect());
        let found = choice("a wrap", &saving, &[unknown("film")], &[]);
        assert_eq!((found.flips, found.loss_now_kg), (0.0, 0.0));
        assert!(found.unknowns[0].share > 0.99 && found.unknowns[0].loss_left_kg == 0.0);
    }

    #[test]
    fn the_need_keeps_what_the_others_leave_unknown() {
        let both = z("film").into_iter().zip(z("rest"));
        let needs = exact(both.map(|(a, b)| 12.0 + 0.6 * a + 0.8 * b).collect());
        let (over, learned) = need(&needs, &[unknown("film"), unknown("rest"), unknown("idle")]);
        assert!(
            (over.mean - 12.0).abs() < 0.3 && (over.sd - 1.0).abs() < 0.12,
            "{over:?}"
        );
        assert!(over.range.0 < 10.8 && over.range.1 > 13.2, "{over:?}");
        assert_eq!(learned[0].unknown, "rest");
        assert!((learned[0].share - 0.64).abs() < 0.1, "{learned:?}");
        assert!((learned[0].sd_left_kg - 0.6).abs() < 0.1, "{learned:?}");
        assert_eq!(learned[2].share, 0.0);
    }

    #[test]
    fn where_sets_do_not_differ_there_is_nothing_to_learn() {
        let saving = BySet {
            means: z("chance").iter().map(|z| 0.01 * z).collect(),
            variance: 0.0,
        };
        let found = choice("a wrap", &saving, &[unknown("chance")], &[]);
        assert_eq!((found.saving_kg.sd, found.loss_now_kg), (0.0, 0.0));
        assert_eq!(found.unknowns[0].share, 0.0);
    }
}
