//! Honey needed as a hundred dots, a dot a winter in a hundred, with the stores beside them.

use super::Look;
use super::grammar::{Area, Describe, DotStacks, Figure, Mark, Panel, Xy, halo, px, width_em};
use super::words::{mass, no_question, percent, starved_in_run};
use crate::units::{Dimension, System};
use maud::{Markup, html};
use serde::{Deserialize, Serialize};

/// Most dots.
pub const DOTS: usize = 100;
/// Honey needed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct HoneyNeeded {
    /// Needs of as many evenly placed winters as there are dots, from least to most, kg.
    pub dots_kg: Vec<f64>,
    /// Winters run: drawn colonies in winters.
    pub members: usize,
    /// Stores that the scenario has, kg.
    pub stores_kg: f64,
    /// What its feed adds in the mean, kg.
    pub fed_kg: f64,
    /// Share of winters that need more than both together.
    pub needing_more: f64,
    /// Share of colonies that starved in the run.
    pub starved: f64,
    /// Share that were chilled or too few.
    pub chilled: f64,
    /// Shares of winters with the honey that they need at most and its range over what is not known about bees, kg; empty where that is not told.
    #[serde(default)]
    pub ranges_kg: Vec<(f64, f64, (f64, f64))>,
}

/// Most stacks over the needs; some thirty dots' worth of stacks keep the shape without holes.
const STACKS: usize = 24;
/// Height of the words above the dots, sizes of the font.
const HEAD_EM: f64 = 4.2;
/// Height of a range under the dots, sizes of the font.
const RANGE_EM: f64 = 1.3;

impl HoneyNeeded {
    fn has_kg(&self) -> f64 {
        self.stores_kg + self.fed_kg
    }

    /// "stores" or, where feed adds to them, "stores and feed".
    fn what(&self) -> &'static str {
        if self.fed_kg > 0.0 {
            "stores and feed"
        } else {
            "stores"
        }
    }

    fn beyond(&self) -> usize {
        self.dots_kg
            .iter()
            .filter(|kg| **kg > self.has_kg())
            .count()
    }

    /// "8 of 100 winters need more".
    fn count(&self) -> String {
        let of = self.dots_kg.len();
        match (self.beyond(), of) {
            (0, DOTS) if self.needing_more > 0.0 => {
                "Fewer than 1 of 100 winters needs more".to_owned()
            }
            (DOTS, _) if self.needing_more < 1.0 => {
                "More than 99 of 100 winters need more".to_owned()
            }
            (0, 1) => "The one winter needs no more".to_owned(),
            (_, 1) => "The one winter needs more".to_owned(),
            (0, _) => format!("None of {of} winters needs more"),
            (1, _) => format!("1 of {of} winters needs more"),
            (count, _) => format!("{count} of {of} winters need more"),
        }
    }

    fn notes(&self) -> Vec<String> {
        let mut notes = vec![format!(
            "Honey needed: what a winter takes from a colony that never lacks any. {}",
            starved_in_run(self.starved)
        )];
        if !self.ranges_kg.is_empty() {
            notes.push("Bars below: bees not known, 90 %.".to_owned());
        }
        if self.members < DOTS && self.members > 1 {
            notes.push(format!("Only {} winters were run, each a drawn colony in one of the weather record: they tell little of rare ones.", self.members));
        }
        notes
    }

    fn dots(&self, look: Look, panel: &Panel, stacks: &DotStacks) -> Markup {
        let head = HEAD_EM * look.font();
        let area = Area {
            top: panel.inner.top + head,
            height: panel.inner.height - head,
            ..panel.inner
        };
        stacks.draw(look, panel, area, |kg| {
            let beyond = kg > self.has_kg();
            let more = if beyond { ": more than there is" } else { "" };
            let words = format!("{} needed{more}", mass(kg, look.units));
            (look.style(usize::from(beyond), 0.0), words)
        })
    }

    /// The line of the stores with its words, right of it where they fit.
    fn stores(&self, look: Look, panel: &Panel) -> Markup {
        let (font, ink, top) = (look.font(), look.theme.ink(), panel.inner.top);
        let lines = [
            format!("{} {}", self.what(), mass(self.has_kg(), look.units)),
            self.count(),
        ];
        let widest = lines.iter().map(|line| width_em(line)).fold(0.0, f64::max) * font;
        let at = panel.x.at(self.has_kg());
        let left = (at + 0.5 * font)
            .min(panel.right() + font - widest)
            .max(font);
        html! {
            line x1=(px(at)) x2=(px(at)) y1=(px(top + (HEAD_EM - 1.2) * font)) y2=(px(panel.bottom() + 0.35 * font)) stroke=(ink.text) stroke-width="2" {}
            g font-size=(px(font)) fill=(ink.text) {
                @for (number, line) in lines.iter().enumerate() {
                    text x=(px(left)) y=(px(top + font * (1.0 + 1.3 * number as f64))) font-weight=[(number == 0).then_some("bold")] { (line) }
                }
            }
        }
    }

    /// Ranges under each other below the axis: how far the honey of a share of winters moves with what is not known about bees.
    fn ranges(&self, look: Look, panel: &Panel) -> Markup {
        let (font, ink, units, x) = (look.font(), look.theme.ink(), look.units, panel.x);
        let at = |kg: f64| x.at(kg).clamp(x.pixels.0, x.pixels.1);
        let top = panel.bottom() + 3.4 * font;
        html! {
            @for (number, (share, kg, (low, high))) in self.ranges_kg.iter().enumerate() {
                @let y = top + RANGE_EM * font * (number as f64 + 0.5);
                @let words = format!("{} of winters: {} or less ({} to {})", percent(*share), mass(*kg, units), mass(*low, units), mass(*high, units));
                // After its bar where there is room, else before it, else on it.
                @let wide = width_em(&words) * 0.9 * font;
                @let places = [at(*high) + 0.6 * font, at(*low) - 0.6 * font - wide];
                @let fits = places.into_iter().find(|left| *left >= x.pixels.0 && left + wide <= x.pixels.1);
                @let left = fits.unwrap_or((x.pixels.1 - wide).max(font));
                line x1=(px(at(*low))) x2=(px(at(*high))) y1=(px(y)) y2=(px(y)) stroke=(ink.text) stroke-width=(px(0.6 * font)) stroke-opacity="0.25" {}
                line x1=(px(at(*kg))) x2=(px(at(*kg))) y1=(px(y - 0.45 * font)) y2=(px(y + 0.45 * font)) stroke=(ink.text) stroke-width="2" {}
                (halo(look, (left, y + 0.32 * font), 0.9 * font, "start", false, &words))
            }
        }
    }
}

impl Describe for HoneyNeeded {
    fn finding(&self, units: System) -> String {
        if let Some(words) = no_question(self.chilled) {
            return words;
        }
        format!(
            "{} than {} of {}",
            self.count(),
            mass(self.has_kg(), units),
            self.what()
        )
    }

    fn figure(&self, look: Look) -> Figure<'_> {
        let (font, unit) = (look.font(), look.unit(Dimension::Mass));
        let stacks = DotStacks::new(&self.dots_kg, (self.has_kg(), 0.0), unit, STACKS);
        let shown = match self.dots_kg.len() {
            1 => "A dot for the one winter that was run.".to_owned(),
            count => {
                let each = match count {
                    DOTS => format!("one winter in a hundred, of {} run", self.members),
                    count => format!("one of the {count} winters run"),
                };
                format!(
                    "A dot is {each}, in stacks {} {} wide.",
                    stacks.width,
                    unit.symbol()
                )
            }
        };
        let axis = stacks.axis("Honey needed", [], 8);
        // As high as its highest stack asks for.
        let (first, last) = axis.ticks.ends();
        let dot = ((look.width() - 4.0 * font) / (last - first) * stacks.width).min(2.0 * font);
        let most = (30.0 * font).min(0.9 * look.width()).max(14.0 * font);
        let height = (dot * stacks.highest() as f64 + 8.0 * font).clamp(14.0 * font, most);
        let below_px = RANGE_EM * font * self.ranges_kg.len() as f64;
        let marks = vec![
            Mark::custom(move |panel| self.stores(look, panel)),
            Mark::custom(move |panel| self.dots(look, panel, &stacks)),
            Mark::custom(move |panel| self.ranges(look, panel)),
        ];
        Figure {
            shown,
            described: format!(
                "Dots stacked over an axis of honey needed, with a line at the {}.",
                self.what()
            ),
            legend: Vec::new(),
            notes: self.notes(),
            plot: Box::new(Xy {
                below_px,
                ..Xy::flat(look, axis, height + below_px, marks)
            }),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::metric;
    use super::*;

    fn needs(dots_kg: Vec<f64>, stores_kg: f64) -> HoneyNeeded {
        let beyond = dots_kg.iter().filter(|kg| **kg > stores_kg).count();
        HoneyNeeded {
            members: 10 * dots_kg.len(),
            stores_kg,
            fed_kg: 0.0,
            needing_more: beyond as f64 / dots_kg.len() as f64,
            starved: 0.1,
            chilled: 0.0,
            ranges_kg: Vec::new(),
            dots_kg,
        }
    }

    fn hundred() -> Vec<f64> {
        (0..100).map(|dot| 8.0 + 0.1 * f64::from(dot)).collect()
    }

    #[test]
    fn the_title_counts_the_dots_beyond_the_stores() {
        let data = needs(hundred(), 15.05);
        assert_eq!(
            metric(&data),
            "29 of 100 winters need more than 15.1\u{a0}kg of stores"
        );
        let fed = HoneyNeeded {
            fed_kg: 2.0,
            ..data.clone()
        };
        assert!(
            fed.finding(System::Metric).starts_with("9 of 100")
                && fed.finding(System::Metric).ends_with("of stores and feed")
        );
        assert!(metric(&needs(hundred(), 40.0)).starts_with("None of 100 winters needs more"));
        assert!(metric(&needs(hundred(), 5.0)).starts_with("100 of 100 winters need more"));
        assert!(metric(&needs(vec![9.0], 5.0)).starts_with("The one winter needs more"));
        let cold = HoneyNeeded {
            chilled: 0.8,
            ..data
        };
        assert!(metric(&cold).starts_with("Honey is not the question: 80\u{a0}%"));
    }

    #[test]
    fn a_share_too_small_for_a_dot_is_not_called_none() {
        let rare = HoneyNeeded {
            needing_more: 0.002,
            ..needs(hundred(), 40.0)
        };
        assert!(metric(&rare).starts_with("Fewer than 1 of 100"));
        let nearly = HoneyNeeded {
            needing_more: 0.998,
            ..needs(hundred(), 5.0)
        };
        assert!(metric(&nearly).starts_with("More than 99 of 100"));
    }

    #[test]
    fn every_dot_is_drawn_in_the_shape_of_its_side() {
        let drawn = needs(hundred(), 15.05).draw("honey-needed", Look::default(), "");
        assert_eq!(drawn.matches("<circle").count(), 71);
        assert_eq!(drawn.matches("more than there is").count(), 29);
        assert!(drawn.contains("stores 15.1\u{a0}kg"));
    }

    #[test]
    fn needs_all_alike_can_be_drawn() {
        for data in [
            needs(vec![12.0], 15.0),
            needs(vec![12.0; 100], 12.0),
            needs(vec![12.0; 100], 1.0),
        ] {
            assert!(
                !data
                    .draw("honey-needed", Look::default(), "")
                    .contains("NaN")
            );
        }
    }
}
