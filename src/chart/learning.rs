//! What it is worth to learn what is not known about bees: unknowns and measurements by the doubt that they would remove.

use super::Look;
use super::grammar::{Axis, Describe, Figure, Mark, Plot, Ranked, Row, SideBySide, Unit, name};
use super::words::{capital, percent};
use crate::units::System;
use serde::{Deserialize, Serialize};

/// Narrowest panel that stands beside another, sizes of the font.
const BESIDE_EM: f64 = 24.0;
/// Graphemes of words in a row.
const WORDS: usize = 120;

/// What learning is worth.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Learned {
    /// The step that is most in doubt, in words; none where none is.
    pub step: Option<String>,
    /// Shared unknowns that tell most, then all others as one.
    pub unknowns: Vec<LearnedShare>,
    /// Measurements at one's own hive; none without a doubtful step.
    pub measurements: Vec<LearnedShare>,
    /// Shared sets run.
    pub sets: usize,
    /// Colonies that each met.
    pub colonies: usize,
}

/// What one thing would tell.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LearnedShare {
    /// What is learned, in words.
    pub words: String,
    /// Share of the variance of the need over shared sets that goes; none of a measurement.
    pub need: Option<f64>,
    /// Share of the variance of the step's saving that goes; none without a doubtful step.
    pub choice: Option<f64>,
}

impl LearnedShare {
    fn said(&self) -> String {
        name(&self.words.replace("degC", "°C"), WORDS)
    }

    fn figure(&self) -> String {
        let shares = [self.need, self.choice].into_iter().flatten();
        shares.map(percent).collect::<Vec<_>>().join(", ")
    }

    fn row(&self, look: Look) -> Row<'_> {
        let shares = [
            (self.need, -0.28, "of the need"),
            (self.choice, 0.32, "of the step"),
        ];
        let mark = |(number, (share, below, what)): (usize, (Option<f64>, f64, &str))| {
            let share = share?;
            let words = format!("{}: {} {what}", self.said(), percent(share));
            let at = (share.clamp(0.0, 1.0), below);
            Some(Mark::symbol(at, look.style(number, 0.36)).says(words))
        };
        Row {
            words: capital(self.said()),
            figure: self.figure(),
            marks: shares.into_iter().enumerate().filter_map(mark).collect(),
        }
    }
}

impl Describe for Learned {
    fn finding(&self, _: System) -> String {
        let by = |of: fn(&LearnedShare) -> Option<f64>| {
            // The last row is all others.
            let single = self
                .unknowns
                .split_last()
                .map_or(&[][..], |(_, single)| single);
            let best = single
                .iter()
                .max_by(|a, b| of(a).unwrap_or(0.0).total_cmp(&of(b).unwrap_or(0.0)));
            best.and_then(|best| Some((best.said(), of(best).filter(|share| *share > 0.0)?)))
        };
        match (&self.step, by(|own| own.choice), by(|own| own.need)) {
            (Some(_), Some((words, share)), _) => capital(format!(
                "{words} decides the doubtful step most: {} of the doubt",
                percent(share)
            )),
            (Some(_), None, _) => "No single unknown decides the doubtful step".to_owned(),
            (None, _, Some((words, share))) => format!(
                "No step is in doubt; honey need is uncertain most by {words}: {}",
                percent(share)
            ),
            (None, _, None) => "No step is in doubt, and no single unknown stands out".to_owned(),
        }
    }

    fn figure(&self, look: Look) -> Figure<'_> {
        let step = self
            .step
            .as_ref()
            .map(|step| format!("in whether it pays: {}", name(step, WORDS)));
        let names = ["in the average need".to_owned()].into_iter().chain(step);
        let spoken = self.unknowns.iter().chain(&self.measurements);
        let spoken: Vec<String> = spoken
            .map(|own| format!("{}: {}.", own.said(), own.figure()))
            .collect();
        let panels = [
            ("Once it were known", &self.unknowns),
            ("Measured at your own hive", &self.measurements),
        ];
        let panels = panels.into_iter().filter(|(_, shares)| !shares.is_empty());
        Figure {
            shown: format!(
                "Share of the variance over what is not known about bees that would go: {} sets of values, each with {} colonies.",
                self.sets, self.colonies
            ),
            described: format!("Ranked rows. {}", spoken.join(" ")),
            legend: names.enumerate().map(|(number, name)| (look.style(number, 0.36), name)).collect(),
            notes: vec!["By regression over the sets; a share that chance could make counts as none. A measurement is of one hive, read with its usual error.".to_owned()],
            plot: Box::new(SideBySide::new(BESIDE_EM, panels.map(|(what, shares)| panel(look, what, shares)).collect())),
        }
    }
}

fn panel<'a>(look: Look, what: &str, shares: &'a [LearnedShare]) -> Box<dyn Plot + 'a> {
    let axis = Axis::new(
        &format!("{what}: doubt removed"),
        Unit::Percent,
        [0.0, 1.0],
        6,
    );
    let rows = shares.iter().map(|own| own.row(look)).collect();
    Box::new(Ranked::new(axis, 1.2, rows))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn share(words: &str, need: Option<f64>, choice: Option<f64>) -> LearnedShare {
        LearnedShare {
            words: words.to_owned(),
            need,
            choice,
        }
    }

    fn learned(step: Option<&str>) -> Learned {
        let choice = |share: f64| step.map(|_| share);
        Learned {
            step: step.map(str::to_owned),
            unknowns: vec![
                share("resting heat", Some(0.6), choice(0.1)),
                share("the film", Some(0.3), choice(0.8)),
                share("others", Some(0.1), choice(0.9)),
            ],
            measurements: step.map_or_else(Vec::new, |_| {
                vec![share("weight lost in January", None, Some(0.4))]
            }),
            sets: 128,
            colonies: 4,
        }
    }

    #[test]
    fn the_title_names_what_decides_the_step_and_never_the_others_together() {
        assert_eq!(
            learned(Some("a wrap")).finding(System::Metric),
            "The film decides the doubtful step most: 80\u{a0}% of the doubt"
        );
        assert_eq!(
            learned(None).finding(System::Metric),
            "No step is in doubt; honey need is uncertain most by resting heat: 60\u{a0}%"
        );
    }

    #[test]
    fn measurements_have_a_panel_of_their_own_where_a_step_is_in_doubt() {
        for width_px in [320, 1280] {
            let look = Look::wide(width_px);
            let svg = |step| learned(step).draw("learning", look, "");
            assert!(svg(Some("a wrap")).contains("Measured at your own hive"));
            assert!(svg(Some("a wrap")).contains("Weight lost in January"));
            assert!(!svg(None).contains("Measured at your own hive"));
        }
    }
}
