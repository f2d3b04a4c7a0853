//! What honey need and risk hang on: factors ranked by their share of the variance.

use super::Look;
use super::axis::Axis;
use super::label::{lines, name};
use super::mark::Style;
use super::rows::{Row, Rows, two, whisker};
use super::scale::{Scale, Ticks, px};
use super::sheet::{Area, Sheet};
use super::told::{any_of, leaders};
use super::words::percent;
use crate::units::System;
use maud::{Markup, html};
use serde::{Deserialize, Serialize};

/// Factors that are shown of each output.
pub const SHOWN: usize = 12;
/// Factors that a title names when it cannot tell which of them is first.
const NAMED: usize = 3;
/// Narrowest panel that stands beside another, sizes of the font.
const BESIDE_EM: f64 = 24.0;
/// Graphemes of a factor's words.
const WORDS: usize = 120;

/// What honey need and risk hang on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Influences {
    /// Of honey needed; none where all colonies need the same.
    pub need: Option<Ranked>,
    /// Of starving; none where all colonies starve or none does.
    pub starved: Option<Ranked>,
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
pub struct Ranked {
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

impl Ranked {
    /// What may be first, in words and how many; none without factors.
    fn may_be_first(&self) -> Vec<&FactorShare> {
        let values: Vec<_> = self
            .factors
            .iter()
            .map(|factor| (factor.total, factor.total_interval))
            .collect();
        leaders(&values)
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

fn said(factor: &FactorShare) -> String {
    name(&factor.words.replace("degC", "°C"), WORDS)
}

fn share(factor: &FactorShare) -> String {
    percent(factor.total.clamp(0.0, 1.0))
}

impl Influences {
    pub(super) fn finding(&self, _: System) -> String {
        let need = self.need.as_ref().and_then(Ranked::first);
        let risk = self.starved.as_ref().and_then(Ranked::first);
        let none = match self.risk {
            risk if risk <= 0.0 => "no colony starved",
            risk if risk >= 1.0 => "all colonies starved",
            _ if self.risk >= 0.5 => "too few lived to tell it of risk",
            _ => "too few starved to tell it of risk",
        };
        let risk = risk.filter(|_| self.risk_is_told);
        let say = |what: &str, first: &First| match first {
            First::One(words, share) => {
                format!("{what} hangs most on {words}: a part in {share} of its variance")
            }
            First::Some(words) => {
                format!("{what} hangs most on {words}, which of them cannot be told")
            }
            First::Many(count) => {
                format!(
                    "the rows cannot tell what {what} hangs on most: {count} things may be first"
                )
            }
        };
        let first = |text: String| super::words::capital(text);
        match (need, risk) {
            (None, _) => {
                "All colonies need the same honey: there is nothing that it hangs on".to_owned()
            }
            (Some(First::One(a, of_a)), Some(First::One(b, of_b))) if a == b => {
                format!(
                    "Honey need and risk hang most on {a}: a part in {of_a} and {of_b} of their variance"
                )
            }
            (Some(need), Some(risk)) => first(format!(
                "{}; {}",
                say("honey need", &need),
                say("risk", &risk)
            )),
            (Some(need), None) => first(format!("{}; {none}", say("honey need", &need))),
        }
    }

    pub(super) fn draw(&self, key: &str, look: Look, source: &str) -> String {
        let font = look.font();
        let style = |number| Style {
            number,
            theme: look.theme,
            radius_px: 0.38 * font,
        };
        let mut notes = vec!["Whiskers: 95 % intervals, from the number of rows. One that reaches zero cannot be told from no share.".to_owned()];
        for (what, ranked) in [("honey need", self.need.as_ref()), ("risk", self.told())] {
            if let Some(Ranked {
                rest, rest_most, ..
            }) = ranked.filter(|ranked| ranked.rest > 0)
            {
                let part = if *rest_most < 0.005 {
                    "next to no part".to_owned()
                } else {
                    format!("a part in at most {}", percent(rest_most.clamp(0.0, 1.0)))
                };
                let each = if *rest == 1 { "" } else { " each" };
                notes.push(format!("{rest} more in {what}: {part}{each}."));
            }
        }
        let sheet = Sheet {
            id: key,
            look,
            title: self.finding(look.units),
            shown: format!(
                "Share of the variance that each thing has a part in, {SHOWN} at the most of all that is drawn: {} rows, {} members.",
                self.rows, self.members
            ),
            described: format!("Two panels of ranked rows. {}", self.spoken()),
            key: vec![
                (style(0), "alone or together with others".to_owned()),
                (style(1), "alone".to_owned()),
            ],
            notes,
            source,
        };
        let width = look.width() - 2.0 * font;
        let (one, beside) = two(look, width, BESIDE_EM);
        let panels = [
            ("Honey need", self.need.as_ref()),
            ("Risk of starving", self.told()),
        ];
        let laid = panels.map(|(what, ranked)| {
            let rows = rows(look, what, ranked);
            let heads = rows.heads(one);
            let height = if ranked.is_some() {
                rows.height(one, &heads)
            } else {
                5.0 * font
            };
            (rows, heads, height, ranked)
        });
        let height = if beside {
            laid[0].2.max(laid[1].2)
        } else {
            laid[0].2 + laid[1].2 + font
        };
        sheet.draw(height, |area| {
            let left = Area { width: one, ..area };
            let right = if beside {
                Area { left: area.left + area.width - one, width: one, ..area }
            } else {
                Area { top: area.top + laid[0].2 + font, ..left }
            };
            html! {
                @for ((rows, heads, _, ranked), place) in laid.iter().zip([left, right]) {
                    @match ranked {
                        Some(ranked) => (rows.draw(place, heads, |number, scale, y| marks(&ranked.factors[number], scale, y, look))),
                        None => (self.nothing(place, look, &rows.axis.words)),
                    }
                }
            }
        })
    }

    /// Factors of risk where enough colonies starved, and lived, to rank them.
    fn told(&self) -> Option<&Ranked> {
        self.starved.as_ref().filter(|_| self.risk_is_told)
    }

    fn nothing(&self, area: Area, look: Look, of: &str) -> Markup {
        let font = look.font();
        let why = if self.starved.is_some() && self.need.is_some() {
            "so nearly all colonies ended alike that single ones would carry the shares; ask for more rows, or for stores at which more starve"
        } else {
            "all colonies alike, nothing to split"
        };
        let words = format!("{of}: {why}.");
        html! {
            @for (number, line) in lines(&words, area.width / font).iter().enumerate() {
                text x=(px(area.left)) y=(px(area.top + font * (1.0 + 1.3 * number as f64))) font-size=(px(font)) fill=(look.theme.ink().quiet) { (line) }
            }
        }
    }

    fn spoken(&self) -> String {
        let of = |what: &str, ranked: Option<&Ranked>| {
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

fn rows(look: Look, what: &str, ranked: Option<&Ranked>) -> Rows {
    let factors = ranked.map_or(&[][..], |ranked| &ranked.factors);
    let most = factors.iter().fold(0.1, |most: f64, factor| {
        let of = |interval: Option<(f64, f64)>| interval.map_or(0.0, |interval| within(interval).1);
        most.max(of(factor.total_interval))
            .max(of(factor.first_interval))
            .max(factor.total.clamp(0.0, 1.0))
    });
    let row = |factor: &FactorShare| {
        let figure = match factor.total_interval.map(within) {
            Some((low, high)) => format!(
                "{} ({:.0} to {:.0})",
                share(factor),
                100.0 * low,
                100.0 * high
            ),
            None => share(factor),
        };
        Row {
            words: super::words::capital(said(factor)),
            figure,
        }
    };
    Rows {
        look,
        axis: Axis {
            words: format!("{what}: share of variance, %"),
            ticks: Ticks::over(0.0, 100.0 * most, 6),
            after: "",
        },
        rows: factors.iter().map(row).collect(),
        lane_em: 1.3,
    }
}

fn marks(factor: &FactorShare, scale: &Scale, y: f64, look: Look) -> Markup {
    let font = look.font();
    let one = |number: usize, value: f64, interval: Option<(f64, f64)>, y: f64, what: &str| {
        let style = Style {
            number,
            theme: look.theme,
            radius_px: 0.34 * font,
        };
        let value = value.clamp(0.0, 1.0);
        let words = match interval.map(within) {
            Some((low, high)) => format!(
                "{}: {} {what} ({:.0} to {:.0} %)",
                said(factor),
                percent(value),
                100.0 * low,
                100.0 * high
            ),
            None => format!("{}: {} {what}", said(factor), percent(value)),
        };
        html! {
            @if let Some((low, high)) = interval.map(within) { (whisker(scale, y, (100.0 * low, 100.0 * high), style.color(), 0.2 * font)) }
            (style.mark((scale.at(100.0 * value), y), Some(&words)))
        }
    };
    html! {
        (one(0, factor.total, factor.total_interval, y - 0.32 * font, "alone or together"))
        (one(1, factor.first, factor.first_interval, y + 0.42 * font, "alone"))
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

    fn ranked(factors: Vec<FactorShare>) -> Option<Ranked> {
        Some(Ranked {
            factors,
            rest: 20,
            rest_most: 0.012,
        })
    }

    fn influences(need: Option<Ranked>, starved: Option<Ranked>, risk: f64) -> Influences {
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
            "Honey need and risk hang most on the weather: a part in 50\u{a0}% and 50\u{a0}% of their variance"
        );
        let unsure = ranked(vec![factor("bees", 0.5, 0.2), factor("stores", 0.4, 0.2)]);
        assert_eq!(
            says(sure(), unsure.clone(), 0.2),
            "Honey need hangs most on the weather: a part in 50\u{a0}% of its variance; risk hangs most on bees or stores, which of them cannot be told"
        );
        assert!(says(sure(), unsure.clone(), 0.01).ends_with("too few starved to tell it of risk"));
        assert!(says(unsure, None, 1.0).ends_with("all colonies starved"));
        let many = ranked(vec![factor("x", 0.1, 0.5); 12]);
        assert!(says(many, None, 0.0).starts_with(
            "The rows cannot tell what honey need hangs on most: 12 things may be first; no colony"
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
                Look {
                    width_px,
                    ..Look::default()
                },
                "",
            );
            assert!(svg.contains("20 more in honey need: a part in at most 1\u{a0}% each."));
            assert!(svg.contains("100\u{a0}% (0 to 100)"));
        }
    }
}
