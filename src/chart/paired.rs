//! Honey needed by two hives, pair by pair: a dot for each pair of a hundred, about zero.

use super::Look;
use super::difference::{PairedDifference, effect, small_mass, small_number};
use super::grammar::{
    Area, Describe, DotStacks, Figure, Mark, Panel, Scale, Style, Unit, Xy, halo, name, px, title,
    width_em,
};
use super::words::percent;
use crate::ensemble::Verdict;
use crate::units::{Dimension, System};
use maud::{Markup, html};
use serde::{Deserialize, Serialize};

/// Dots at the most.
pub const DOTS: usize = 100;
/// Graphemes of a name that are shown.
const NAME: usize = 48;
/// Height of the dots, sizes of the font.
const DOTS_EM: f64 = 11.0;
/// Height of the mean below them, sizes of the font.
const BAR_EM: f64 = 3.6;
/// Most stacks of dots in a wide chart.
const STACKS: usize = 60;
/// Differences that count as none, kg: a gram, as in the comparison.
const ALIKE_KG: f64 = 0.001;

/// Honey that a hive needs less honey that the first needs, over the same draws in the same winters.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PairedNeed {
    /// Letters of the first and the other.
    pub letters: [char; 2],
    /// Their names.
    pub names: [String; 2],
    /// Differences at even shares of the pairs, from low to high, kg; at most a hundred.
    pub differences_kg: Vec<f64>,
    /// Pairs.
    pub pairs: usize,
    /// Share of pairs in which the other needs less.
    pub less: f64,
    /// Share of pairs in which it needs more.
    pub more: f64,
    /// The mean, kg.
    pub told: PairedDifference,
    /// Winters of the pairs.
    pub winters: usize,
}

/// At most a hundred of some values, at even shares of them; every value where they are fewer.
#[must_use]
pub fn even_shares(mut values: Vec<f64>) -> Vec<f64> {
    values.sort_by(f64::total_cmp);
    if values.len() <= DOTS {
        return values;
    }
    // The value that so many are at or below, so that as many dots lie below zero as hundredths of the pairs do.
    let at = |dot: usize| {
        let rank = (dot as f64 + 0.5) / DOTS as f64 * values.len() as f64;
        values[(rank.ceil() as usize).clamp(1, values.len()) - 1]
    };
    (0..DOTS).map(at).collect()
}

/// Marks of a side; of neither, a grey square.
fn style(side: usize, look: Look) -> Style {
    look.style([0, 1, 20][side.min(2)], 0.4)
}

/// Which side of zero a difference is on: 0 less, 1 more, 2 neither.
fn side(kg: f64) -> usize {
    if kg < -ALIKE_KG {
        0
    } else if kg > ALIKE_KG {
        1
    } else {
        2
    }
}

impl PairedNeed {
    fn called(&self) -> [String; 2] {
        if self.names[0] == self.names[1] {
            return self.letters.map(String::from);
        }
        [name(&self.names[0], NAME), name(&self.names[1], NAME)]
    }

    fn of(&self, side: usize) -> String {
        let [a, b] = self.letters;
        match side {
            0 => format!("{b} needs less: {} of pairs", percent(self.less)),
            1 => format!("{b} needs more: {} of pairs", percent(self.more)),
            _ => format!(
                "{a} and {b} alike: {} of pairs",
                percent((1.0 - self.less - self.more).max(0.0))
            ),
        }
    }

    /// Upright lines of the grid, the one at zero stronger.
    fn grid(look: Look, panel: &Panel, ticks: &[f64]) -> Markup {
        let ink = look.theme.ink();
        html! {
            @for tick in ticks {
                @let x = px(panel.x.at_shown(*tick));
                @let (color, width) = if *tick == 0.0 { (ink.axis, "1.5") } else { (ink.grid, "1") };
                line x1=(x) x2=(x) y1=(px(panel.inner.top)) y2=(px(panel.bottom())) stroke=(color) stroke-width=(width) {}
            }
        }
    }

    /// The mean with its ranges, below the dots.
    fn mean(&self, look: Look, panel: &Panel) -> Markup {
        let (font, ink, told) = (look.font(), look.theme.ink(), &self.told);
        let number = |kg: f64| small_number(kg, look.units);
        let range = told.shared.or(told.interval);
        let range = range.map_or_else(String::new, |(low, high)| {
            format!(" ({} to {})", number(low), number(high))
        });
        let words = format!(
            "mean {}{range} {}",
            number(told.mean),
            look.unit(Dimension::Mass).symbol()
        );
        let (x, y) = (panel.x.at(told.mean), panel.bottom() - 1.4 * font);
        let half = 0.45 * font * width_em(&words);
        let at = x.min(panel.right() - half).max(panel.inner.left + half);
        let lane = Scale {
            unit: Unit::Plain,
            values: (0.0, 1.0),
            pixels: (y, y + font),
        };
        let pale = told
            .shared
            .map(|ends| Mark::level_interval(0.0, ends, 0.0).pale(ink.text, 0.8 * font, 0.25));
        let bar = told
            .interval
            .map(|ends| Mark::level_interval(0.0, ends, 0.35 * font).stroke(ink.text, 1.6));
        let marks: Vec<_> = pale.into_iter().chain(bar).collect();
        html! {
            (Panel::new(panel.x, lane, html! {}).marks(look, &marks))
            path d={ "M" (px(x)) "," (px(y - 0.5 * font)) "l" (px(0.42 * font)) "," (px(0.5 * font)) "l" (px(-0.42 * font)) "," (px(0.5 * font)) "l" (px(-0.42 * font)) "," (px(-0.5 * font)) "Z" } fill=(ink.text) { (title(Some(&words))) }
            (halo(look, (at, y - 0.8 * font), 0.9 * font, "middle", false, &words))
        }
    }
}

impl Describe for PairedNeed {
    fn finding(&self, units: System) -> String {
        verdict(&self.called(), &self.told, self.winters, units)
    }

    fn figure(&self, look: Look) -> Figure<'_> {
        let font = look.font();
        let [a, b] = self.letters;
        let each = if self.differences_kg.len() == self.pairs {
            "a dot a pair".to_owned()
        } else {
            format!("a dot for each hundredth of {} pairs", self.pairs)
        };
        let mut notes = vec![format!(
            "A pair is the same colony in the same winter, once in {a} and once in {b}."
        )];
        if self.told.interval.is_some() {
            notes.push("Whisker: sampling, 95 %, the wider of draws and winters.".to_owned());
        }
        if self.told.shared.is_some() {
            notes.push("Pale bar: bees not known, 90 %.".to_owned());
        }
        let ranges = [self.told.interval, self.told.shared].into_iter().flatten();
        let unit = look.unit(Dimension::Mass);
        let ends = ranges
            .flat_map(|(low, high)| [low, high])
            .map(|kg| unit.shown(kg));
        let stacks = DotStacks::new(
            &self.differences_kg,
            (0.0, ALIKE_KG),
            unit,
            look.ticks(24, STACKS),
        );
        let axis = stacks.axis(
            &format!("Honey needed by {b} less {a}"),
            ends,
            look.ticks(5, 9),
        );
        let ticks = axis.ticks.at.clone();
        let marks = vec![
            Mark::custom(move |panel| Self::grid(look, panel, &ticks)),
            Mark::custom(move |panel| {
                let area = Area {
                    height: DOTS_EM * font,
                    ..panel.inner
                };
                stacks.draw(look, panel, area, |kg| {
                    (style(side(kg), look), small_mass(kg, look.units))
                })
            }),
            Mark::custom(move |panel| self.mean(look, panel)),
        ];
        let alike = 1.0 - self.less - self.more > 1e-9;
        let sides = (0..3).filter(|side| *side < 2 || alike);
        Figure {
            shown: format!(
                "Honey needed by {b} ({}) less that of {a} ({}), {each}.",
                name(&self.names[1], NAME),
                name(&self.names[0], NAME)
            ),
            described: format!(
                "Dots stacked about zero, those below it to the left. {}. {}.",
                self.of(0),
                self.of(1)
            ),
            legend: sides
                .map(|side| (style(side, look), self.of(side)))
                .collect(),
            notes,
            plot: Box::new(Xy::flat(look, axis, font * (DOTS_EM + BAR_EM + 3.1), marks)),
        }
    }
}

/// A difference of honey needed in words: the other against the first.
pub(super) fn verdict(
    [first, other]: &[String; 2],
    told: &PairedDifference,
    winters: usize,
    units: System,
) -> String {
    let number = |kg: f64| small_number(kg, units);
    let mass = |kg: f64| small_mass(kg, units);
    let word = if told.mean < 0.0 { "less" } else { "more" };
    let size = effect(told.mean.abs(), units);
    if let (Some((low, high)), true) = (told.shared, told.direction_is_uncertain()) {
        return format!(
            "Direction uncertain: {other} needs {} less to {} more honey than {first}",
            mass(-low),
            mass(high)
        );
    }
    let within = told.bracketed(&number);
    match told.verdict {
        Verdict::Same => format!("{other} and {first} need the same honey in every pair"),
        Verdict::Less | Verdict::More => {
            format!("{other} needs {size} {word} honey than {first}{within}")
        }
        Verdict::LessHere | Verdict::MoreHere => {
            let cannot = if winters == 1 {
                "one winter cannot tell of others".to_owned()
            } else {
                format!("these {winters} winters cannot tell of others")
            };
            format!("{other} needs {size} {word} honey than {first} here; {cannot}")
        }
        Verdict::CannotTell => {
            let Some((low, high)) = told.interval else {
                return format!(
                    "One pair cannot tell whether {other} needs less honey than {first}"
                );
            };
            format!(
                "No clear effect: {other} needs {} less to {} more honey than {first}",
                mass(low.min(0.0).abs()),
                mass(high.max(0.0))
            )
        }
    }
}

#[cfg(test)]
mod tests;
