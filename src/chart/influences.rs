//! What honey need and risk depend on: factors ranked by their share of the variance.

use super::Look;
use super::difference::{any_of, leaders};
use super::grammar::{
    Axis, Describe, Figure, Paragraph, Plot, Ranked, Row, SideBySide, Unit, name,
};
use super::words::{capital, percent};
use crate::units::System;
use serde::{Deserialize, Serialize};

/// Factors that are shown of each output.
pub const SHOWN: usize = 12;
/// Factors that a title names when it cannot tell which of them is first.
const NAMED: usize = 3;
/// Narrowest panel that stands beside another, sizes of the font.
const BESIDE_EM: f64 = 24.0;
/// Graphemes of a factor's words.
const WORDS: usize = 120;

/// What honey need and risk depend on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Influences {
    /// Of honey needed; none where all colonies need the same.
    pub need: Option<Ranking>,
    /// Of starving; none where all colonies starve or none does.
    pub starved: Option<Ranking>,
    /// Whether enough starved and lived to trust what is said of starving.
    pub risk_is_told: bool,
    /// Share that starved.
    pub risk: f64,
    /// Rows of each table of draws.
    pub rows: u32,
    /// Members run.
    pub members: u64,
}

/// Factors of one output.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Ranking {
    /// The first, by their total share; [`SHOWN`] at the most.
    pub factors: Vec<FactorShare>,
    /// How many more there are.
    pub rest: usize,
    /// Largest total share among those.
    pub rest_most: f64,
}

/// One factor's shares of the variance.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FactorShare {
    /// What it is, in words.
    pub words: String,
    /// Alone or together with others.
    pub total: f64,
    /// Interval of it; none where it cannot be had.
    pub total_interval: Option<(f64, f64)>,
    /// Alone.
    pub first: f64,
    /// Interval of it; none where it cannot be had.
    pub first_interval: Option<(f64, f64)>,
}

/// A share is drawn and said between none and all: what is beyond is noise.
fn within((low, high): (f64, f64)) -> (f64, f64) {
    (low.clamp(0.0, 1.0), high.clamp(0.0, 1.0))
}

impl Ranking {
    /// What may be first, in words and how many; none without factors.
    fn may_be_first(&self) -> Vec<&FactorShare> {
        let values = self
            .factors
            .iter()
            .map(|factor| (factor.total, factor.total_interval));
        leaders(values)
            .into_iter()
            .map(|number| &self.factors[number])
            .collect()
    }

    fn first(&self) -> Option<First> {
        let may_be = self.may_be_first();
        match &may_be[..] {
            [] => None,
            [only] => Some(First::One(said(only), share(only))),
            some if some.len() <= NAMED => Some(First::Some(any_of(
                &some.iter().map(|factor| said(factor)).collect::<Vec<_>>(),
            ))),
            many => Some(First::Many(many.len())),
        }
    }
}

/// What an output hangs on most.
#[derive(Debug, PartialEq)]
enum First {
    One(String, String),
    Some(String),
    Many(usize),
}

impl FactorShare {
    fn row(&self, look: Look) -> Row<'_> {
        let span = |interval| {
            let (low, high) = within(interval);
            format!("{:.0} to {:.0}", 100.0 * low, 100.0 * high)
        };
        let figure = self.total_interval.map_or_else(
            || share(self),
            |interval| format!("{} ({})", share(self), span(interval)),
        );
        let parts = [
            (self.total, self.total_interval, -0.32, "alone or together"),
            (self.first, self.first_interval, 0.42, "alone"),
        ];
        let row = Row::new(capital(said(self)), figure);
        parts
            .into_iter()
            .enumerate()
            .fold(row, |row, (number, (value, interval, below, what))| {
                let value = value.clamp(0.0, 1.0);
                let within_words = interval
                    .map_or_else(String::new, |interval| format!(" ({} %)", span(interval)));
                let words = format!("{}: {} {what}{within_words}", said(self), percent(value));
                row.estimate(
                    (value, below),
                    interval.map(within),
                    look.style(number, 0.34),
                    0.2 * look.font(),
                    words,
                )
            })
    }
}

fn said(factor: &FactorShare) -> String {
    name(&factor.words.replace("degC", "°C"), WORDS)
}

fn share(factor: &FactorShare) -> String {
    percent(factor.total.clamp(0.0, 1.0))
}

impl Influences {
    /// Factors of risk where enough colonies starved, and lived, to rank them.
    fn told(&self) -> Option<&Ranking> {
        self.starved.as_ref().filter(|_| self.risk_is_told)
    }

    /// The ranked factors of an output, or why there are none.
    fn panel<'a>(&self, look: Look, what: &str, ranked: Option<&'a Ranking>) -> Box<dyn Plot + 'a> {
        let label = format!("{what}: share of variance");
        let Some(ranked) = ranked else {
            let why = if self.starved.is_some() && self.need.is_some() {
                "so nearly all colonies ended alike that single ones would carry the shares; ask for more rows, or for stores at which more starve"
            } else {
                "all colonies alike, nothing to split"
            };
            return Box::new(Paragraph(format!("{label}, %: {why}.")));
        };
        let ends = ranked.factors.iter().flat_map(|factor| {
            let intervals = [factor.total_interval, factor.first_interval]
                .into_iter()
                .flatten();
            intervals
                .map(|interval| within(interval).1)
                .chain([factor.total.clamp(0.0, 1.0)])
        });
        let axis = Axis::new(&label, Unit::Percent, ends.chain([0.0, 0.1]), 6);
        Box::new(Ranked::new(
            axis,
            1.3,
            ranked
                .factors
                .iter()
                .map(|factor| factor.row(look))
                .collect(),
        ))
    }

    fn spoken(&self) -> String {
        let of = |what: &str, ranked: Option<&Ranking>| {
            let factors = ranked
                .iter()
                .flat_map(|ranked| ranked.factors.iter().take(NAMED));
            let factors = factors.map(|factor| format!("{} {}", said(factor), share(factor)));
            format!("{what}: {}.", factors.collect::<Vec<_>>().join(", "))
        };
        format!(
            "{} {}",
            of("Honey need", self.need.as_ref()),
            of("Risk", self.told())
        )
    }
}

impl Describe for Influences {
    fn finding(&self, _: System) -> String {
        let need = self.need.as_ref().and_then(Ranking::first);
        let risk = self.starved.as_ref().and_then(Ranking::first);
        let none = match self.risk {
            risk if risk <= 0.0 => "no colony starved",
            risk if risk >= 1.0 => "all colonies starved",
            _ if self.risk >= 0.5 => "too few lived to tell it of risk",
            _ => "too few starved to tell it of risk",
        };
        let risk = risk.filter(|_| self.risk_is_told);
        let say = |what: &str, first: &First| match first {
            First::One(words, share) => {
                format!("{what} depends most on {words}: a part in {share} of its variance")
            }
            First::Some(words) => {
                format!("{what} depends most on {words}, too close to rank")
            }
            First::Many(count) => {
                format!("too few rows to rank what {what} depends on: {count} things may be first")
            }
        };
        match (need, risk) {
            (None, _) => "All colonies need the same honey: nothing here changes it".to_owned(),
            (Some(First::One(a, of_a)), Some(First::One(b, of_b))) if a == b => {
                format!(
                    "Honey need and risk depend most on {a}: a part in {of_a} and {of_b} of their variance"
                )
            }
            (Some(need), Some(risk)) => capital(format!(
                "{}; {}",
                say("honey need", &need),
                say("risk", &risk)
            )),
            (Some(need), None) => capital(format!("{}; {none}", say("honey need", &need))),
        }
    }

    fn figure(&self, look: Look) -> Figure<'_> {
        let mut notes = vec!["Whiskers: 95 % intervals, from the number of rows. Where one reaches zero, there may be no effect.".to_owned()];
        let panels = [("honey need", self.need.as_ref()), ("risk", self.told())];
        for (what, ranked) in panels {
            let Some(ranked) = ranked.filter(|ranked| ranked.rest > 0) else {
                continue;
            };
            let part = if ranked.rest_most < 0.005 {
                "next to no part".to_owned()
            } else {
                format!(
                    "a part in at most {}",
                    percent(ranked.rest_most.clamp(0.0, 1.0))
                )
            };
            let each = if ranked.rest == 1 { "" } else { " each" };
            notes.push(format!("{} more in {what}: {part}{each}.", ranked.rest));
        }
        let plots = [
            ("Honey need", panels[0].1),
            ("Risk of starving", panels[1].1),
        ];
        Figure {
            shown: format!(
                "Share of the variance that each thing has a part in, {SHOWN} at the most of all that is drawn: {} rows, {} members.",
                self.rows, self.members
            ),
            described: format!("Two panels of ranked rows. {}", self.spoken()),
            legend: vec![
                (
                    look.style(0, 0.38),
                    "alone or together with others".to_owned(),
                ),
                (look.style(1, 0.38), "alone".to_owned()),
            ],
            notes,
            plot: Box::new(SideBySide::new(
                BESIDE_EM,
                plots
                    .map(|(what, ranked)| self.panel(look, what, ranked))
                    .into(),
            )),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn factor(words: &str, total: f64, half: f64) -> FactorShare {
        FactorShare {
            words: words.to_owned(),
            total,
            total_interval: Some((total - half, total + half)),
            first: total - 0.05,
            first_interval: None,
        }
    }

    fn ranked(factors: Vec<FactorShare>) -> Option<Ranking> {
        Some(Ranking {
            factors,
            rest: 20,
            rest_most: 0.012,
        })
    }

    fn influences(need: Option<Ranking>, starved: Option<Ranking>, risk: f64) -> Influences {
        Influences {
            need,
            starved,
            risk_is_told: risk > 0.05,
            risk,
            rows: 256,
            members: 8400,
        }
    }

    #[test]
    fn the_title_names_what_is_first_as_far_as_intervals_tell() {
        let sure = || {
            ranked(vec![
                factor("the weather", 0.5, 0.05),
                factor("bees", 0.2, 0.05),
            ])
        };
        let says = |need, starved, risk| influences(need, starved, risk).finding(System::Metric);
        assert_eq!(
            says(sure(), sure(), 0.2),
            "Honey need and risk depend most on the weather: a part in 50\u{a0}% and 50\u{a0}% of their variance"
        );
        let unsure = ranked(vec![factor("bees", 0.5, 0.2), factor("stores", 0.4, 0.2)]);
        assert_eq!(
            says(sure(), unsure.clone(), 0.2),
            "Honey need depends most on the weather: a part in 50\u{a0}% of its variance; risk depends most on bees or stores, too close to rank"
        );
        assert!(says(sure(), unsure.clone(), 0.01).ends_with("too few starved to tell it of risk"));
        assert!(says(unsure, None, 1.0).ends_with("all colonies starved"));
        let many = ranked(vec![factor("x", 0.1, 0.5); 12]);
        assert!(says(many, None, 0.0).starts_with(
            "Too few rows to rank what honey need depends on: 12 things may be first; no colony"
        ));
        assert!(says(None, None, 0.0).starts_with("All colonies need the same"));
    }

    #[test]
    fn the_rest_is_told_in_words_and_noise_stays_between_none_and_all() {
        let wild = ranked(vec![
            factor("honey at the start", 1.4, 2.0),
            factor("a", -0.2, 0.1),
        ]);
        for (width_px, starved) in [(320, None), (1280, wild.clone())] {
            let svg = influences(wild.clone(), starved, 0.0).draw(
                "sensitivity",
                Look::wide(width_px),
                "",
            );
            assert!(svg.contains("20 more in honey need: a part in at most 1\u{a0}% each."));
            assert!(svg.contains("100\u{a0}% (0 to 100)"));
        }
    }
}
