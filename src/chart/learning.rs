//! What it is worth to learn what is not known about bees: unknowns and measurements by the doubt that they would remove.

use super::Look;
use super::axis::Axis;
use super::label::name;
use super::mark::Style;
use super::rows::{Row, Rows, two};
use super::scale::{Scale, Ticks};
use super::sheet::{Area, Sheet};
use super::words::{capital, percent};
use crate::units::System;
use maud::{Markup, html};
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
}

impl Learned {
    pub(super) fn finding(&self, _: System) -> String {
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

    pub(super) fn draw(&self, key: &str, look: Look, source: &str) -> String {
        let font = look.font();
        let mut marks = vec![(style(0, look), "in the average need".to_owned())];
        if let Some(step) = &self.step {
            marks.push((
                style(1, look),
                format!("in whether it pays: {}", name(step, WORDS)),
            ));
        }
        let spoken = self.unknowns.iter().chain(&self.measurements);
        let spoken: Vec<String> = spoken
            .map(|own| format!("{}: {}.", own.said(), own.figure()))
            .collect();
        let sheet = Sheet {
            id: key,
            look,
            title: self.finding(look.units),
            shown: format!(
                "Share of the variance over what is not known about bees that would go: {} sets of values, each with {} colonies.",
                self.sets, self.colonies
            ),
            described: format!("Ranked rows. {}", spoken.join(" ")),
            key: marks,
            notes: vec!["By regression over the sets; a share that chance could make counts as none. A measurement is of one hive, read with its usual error.".to_owned()],
            source,
        };
        let width = look.width() - 2.0 * font;
        let panels: Vec<(Rows, &[LearnedShare])> = [
            ("Once it were known", &self.unknowns),
            ("Measured at your own hive", &self.measurements),
        ]
        .into_iter()
        .filter(|(_, shares)| !shares.is_empty())
        .map(|(what, shares)| (rows(look, what, shares), &shares[..]))
        .collect();
        let (one, beside) = if panels.len() > 1 {
            two(look, width, BESIDE_EM)
        } else {
            (width, false)
        };
        let heads: Vec<Vec<usize>> = panels.iter().map(|(rows, _)| rows.heads(one)).collect();
        let heights: Vec<f64> = panels
            .iter()
            .zip(&heads)
            .map(|((rows, _), heads)| rows.height(one, heads))
            .collect();
        let height = if beside {
            heights
                .iter()
                .fold(0.0, |most: f64, height| most.max(*height))
        } else {
            heights.iter().sum::<f64>() + font * (heights.len().saturating_sub(1)) as f64
        };
        sheet.draw(height, |area| {
            let mut top = area.top;
            html! {
                @for (number, (rows, shares)) in panels.iter().enumerate() {
                    @let left = if beside { area.left + number as f64 * (area.width - one) } else { area.left };
                    @let place = Area { left, width: one, top, ..area };
                    (rows.draw(place, &heads[number], |row, scale, y| share_marks(&shares[row], scale, y, look)))
                    @if !beside { ({ top += heights[number] + font; "" }) }
                }
            }
        })
    }
}

fn style(number: usize, look: Look) -> Style {
    Style {
        number,
        theme: look.theme,
        radius_px: 0.36 * look.font(),
    }
}

fn rows(look: Look, what: &str, shares: &[LearnedShare]) -> Rows {
    Rows {
        look,
        axis: Axis {
            words: format!("{what}: doubt removed, %"),
            ticks: Ticks::over(0.0, 100.0, 6),
            after: "",
        },
        rows: shares
            .iter()
            .map(|own| Row {
                words: capital(own.said()),
                figure: own.figure(),
            })
            .collect(),
        lane_em: 1.2,
    }
}

fn share_marks(own: &LearnedShare, scale: &Scale, y: f64, look: Look) -> Markup {
    let font = look.font();
    let shares = [
        (0, own.need, y - 0.28 * font, "of the need"),
        (1, own.choice, y + 0.32 * font, "of the step"),
    ];
    html! {
        @for (number, share, y, what) in shares {
            @if let Some(share) = share {
                (style(number, look).mark((scale.at(100.0 * share.clamp(0.0, 1.0)), y), Some(&format!("{}: {} {what}", own.said(), percent(share)))))
            }
        }
    }
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
            let look = Look {
                width_px,
                ..Look::default()
            };
            let svg = |step| learned(step).draw("learning", look, "");
            assert!(svg(Some("a wrap")).contains("Measured at your own hive"));
            assert!(svg(Some("a wrap")).contains("Weight lost in January"));
            assert!(!svg(None).contains("Measured at your own hive"));
        }
    }
}
