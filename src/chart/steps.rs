//! What to build or do differently: honey saved by each step.

use super::Look;
use super::difference::{PairedDifference, any_of, leaders, small_mass, small_number};
use super::grammar::{Axis, Describe, Figure, Ranked, Row, name};
use super::words::capital;
use crate::units::{Dimension, System};
use serde::{Deserialize, Serialize};

/// Steps that a title names when it cannot tell which of them saves most.
const NAMED: usize = 3;
/// Graphemes of a step's words.
const WORDS: usize = 120;

/// Steps by which a hive may be built or set up differently.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Steps {
    /// The steps, what saves most honey first; one or more.
    pub steps: Vec<StepSaving>,
    /// Pairs of colonies without and with each.
    pub pairs: u32,
}

/// What a step saves.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct StepSaving {
    /// What is done, in words.
    pub words: String,
    /// Mean honey that is needed with it less without, kg.
    pub need_kg: PairedDifference,
}

/// The least that is written of a difference of masses.
const LEAST: &str = "0.1";

impl StepSaving {
    fn said(&self) -> String {
        name(&self.words, WORDS)
    }

    fn figure(&self, units: System) -> String {
        let saved = self.need_kg.turned();
        let number = |kg: f64| small_number(kg, units);
        let span = saved
            .interval
            .map(|(low, high)| format!("{} to {}", number(low), number(high)));
        if !saved.is_told() {
            return match span {
                Some(span) => format!("direction uncertain ({span})"),
                None => "direction uncertain".to_owned(),
            };
        }
        let word = if saved.is_less() {
            "more needed"
        } else {
            "saved"
        };
        let here = saved.here();
        let bracketed = saved.bracketed(&number);
        let span = if saved.is_here() { "" } else { &bracketed };
        let size = small_mass(saved.mean.abs(), units);
        let nought = size.starts_with(&number(0.0));
        // The least that is written is of the last decimal.
        let size = if nought {
            format!("under {}", size.replace(&number(0.0), LEAST))
        } else {
            size
        };
        format!("{size} {word}{here}{span}")
    }
}

impl Describe for Steps {
    fn finding(&self, units: System) -> String {
        let told: Vec<(&StepSaving, PairedDifference)> = self
            .steps
            .iter()
            .map(|step| (step, step.need_kg.turned()))
            .filter(|(_, saved)| saved.is_more())
            .collect();
        let may_be = leaders(told.iter().map(|(_, saved)| (saved.mean, saved.interval)));
        match &may_be[..] {
            [] => "No step is told to save honey, given what is not known about bees".to_owned(),
            [only] => {
                let (step, saved) = &told[*only];
                let here = saved.here();
                let most = if told.len() > 1 {
                    "saves most honey"
                } else {
                    "is the only step told to save honey"
                };
                capital(format!(
                    "{} {most}{here}: {}",
                    step.said(),
                    small_mass(saved.mean, units)
                ))
            }
            some if some.len() <= NAMED => {
                let names: Vec<String> = some.iter().map(|n| told[*n].0.said()).collect();
                capital(format!(
                    "{} saves most honey, too close to rank: up to {}",
                    any_of(&names),
                    small_mass(told[some[0]].1.mean, units)
                ))
            }
            some => format!(
                "{} of {} steps save honey; the best {} are too close to rank",
                told.len(),
                self.steps.len(),
                some.len()
            ),
        }
    }

    fn figure(&self, look: Look) -> Figure<'_> {
        let style = |told: bool| look.style(if told { 0 } else { 20 }, 0.4);
        let row = |step: &StepSaving| {
            let saved = step.need_kg.turned();
            let (said, figure) = (step.said(), step.figure(look.units));
            let words = format!("{said}: {figure}");
            Row::new(capital(said), figure).estimate(
                (saved.mean, 0.0),
                saved.interval,
                style(saved.is_told()),
                0.28 * look.font(),
                words,
            )
        };
        let ends = self.steps.iter().flat_map(|step| {
            let saved = step.need_kg.turned();
            let (low, high) = saved.interval.unwrap_or((saved.mean, saved.mean));
            [low, high, 0.0]
        });
        let axis = Axis::new(
            "Honey saved a winter",
            look.unit(Dimension::Mass),
            ends,
            look.ticks(5, 8),
        );
        let all_told = self.steps.iter().all(|step| step.need_kg.is_told());
        let unclear = (!all_told).then(|| (style(false), "direction uncertain".to_owned()));
        let spoken = self
            .steps
            .iter()
            .map(|step| format!("{}: {}.", step.said(), step.figure(look.units)));
        Figure {
            shown: format!("Honey that each step alone saves a colony, average of {} pairs without and with it.", self.pairs),
            described: format!("A row for each step. {}", spoken.collect::<Vec<_>>().join(" ")),
            legend: [(style(true), "direction clear".to_owned())].into_iter().chain(unclear).collect(),
            notes: vec!["Whiskers: 5 to 95 % given what is not known about bees. Wet is not weighed here: look at it before you close anything.".to_owned()],
            plot: Box::new(Ranked::new(axis, 1.0, self.steps.iter().map(row).collect())),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ensemble::Verdict;

    fn step(words: &str, mean: f64, half: f64, verdict: Verdict) -> StepSaving {
        StepSaving {
            words: words.to_owned(),
            need_kg: PairedDifference {
                shared: None,
                mean: -mean,
                interval: Some((-mean - half, -mean + half)),
                verdict,
            },
        }
    }

    fn steps(steps: Vec<StepSaving>) -> Steps {
        Steps { steps, pairs: 256 }
    }

    #[test]
    fn the_title_says_which_step_saves_most_only_where_intervals_tell() {
        let says = |given| steps(given).finding(System::Metric);
        let wrap = |half| step("a wrap", 1.2, half, Verdict::Less);
        let hedge = |half| step("a hedge", 0.5, half, Verdict::Less);
        let none = step("a mesh", 0.0, 0.1, Verdict::CannotTell);
        assert_eq!(
            says(vec![wrap(0.1), hedge(0.1), none.clone()]),
            "A wrap saves most honey: 1.2\u{a0}kg"
        );
        assert!(
            says(vec![wrap(0.5), hedge(0.4)])
                .starts_with("A wrap or a hedge saves most honey, too close to rank")
        );
        assert!(says(vec![none.clone()]).starts_with("No step is told"));
        assert!(says(vec![wrap(0.1), none]).starts_with("A wrap is the only step told"));
    }

    #[test]
    fn what_cannot_be_told_from_none_is_marked_so() {
        let of = steps(vec![
            step("a wrap", 1.2, 0.2, Verdict::Less),
            step("a mesh", -0.02, 0.1, Verdict::CannotTell),
        ]);
        assert_eq!(
            of.steps[0].figure(System::Metric),
            "1.2\u{a0}kg saved (1.0 to 1.4)"
        );
        assert_eq!(
            of.steps[1].figure(System::Metric),
            "direction uncertain (\u{2212}0.1 to 0.1)"
        );
        assert!(
            of.draw("steps", Look::default(), "")
                .contains("direction uncertain")
        );
        let alike = steps(vec![step("a mesh", 0.0, 0.0, Verdict::Same)]);
        assert!(alike.draw("steps", Look::wide(320), "").contains("</svg>"));
    }
}
