//! Honey needed by two hives, pair by pair: a dot for each pair of a hundred, about zero.

use super::Look;
use super::axis::Axis;
use super::label::{name, width_em};
use super::mark::{Style, title};
use super::rows::{pale, whisker};
use super::scale::{Scale, Ticks, px};
use super::sheet::{Area, Sheet};
use super::told::{Told, effect, small_mass, small_number};
use super::words::percent;
use crate::ensemble::Verdict;
use crate::units::{Dimension, System, in_system};
use maud::{Markup, html};
use serde::{Deserialize, Serialize};

/// Dots at the most.
pub const DOTS: usize = 100;
/// Graphemes of a name that are shown.
const NAME: usize = 48;
/// Height of the dots, sizes of the font.
const DOTS_EM: f64 = 11.0;
/// Columns that dots are stacked in.
const COLUMNS: std::ops::RangeInclusive<usize> = 10..=80;
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
    pub told: Told,
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

/// Dots in their columns.
struct Stacks {
    columns: usize,
    dot_px: f64,
    /// Dots beside each other in a column.
    beside: usize,
}

impl PairedNeed {
    fn called(&self) -> [String; 2] {
        if self.names[0] == self.names[1] {
            return self.letters.map(String::from);
        }
        [name(&self.names[0], NAME), name(&self.names[1], NAME)]
    }

    pub(super) fn finding(&self, units: System) -> String {
        verdict(&self.called(), &self.told, self.winters, units)
    }

    fn style(&self, side: usize, look: Look, radius_px: f64) -> Style {
        Style {
            // Neither: a grey square.
            number: [0, 1, 20][side.min(2)],
            theme: look.theme,
            radius_px,
        }
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

    /// Sides that a direct word is given to.
    fn sides(&self) -> Vec<usize> {
        let alike = 1.0 - self.less - self.more > 1e-9;
        [Some(0), Some(1), alike.then_some(2)]
            .into_iter()
            .flatten()
            .collect()
    }

    pub(super) fn draw(&self, key: &str, look: Look, source: &str) -> String {
        let font = look.font();
        let [a, b] = self.letters;
        let dots = self.differences_kg.len();
        let each = if dots == self.pairs {
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
        let sheet = Sheet {
            id: key,
            look,
            title: self.finding(look.units),
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
            key: Vec::new(),
            notes,
            source,
        };
        let lines = self.word_lines(look, look.width() - 2.0 * font).len() as f64;
        let height = font * (1.5 * lines + 0.6 + DOTS_EM + 3.6 + 3.3);
        sheet.draw(height, |area| self.picture(area, look))
    }

    /// Words of the sides in lines: all on one, or one each.
    fn word_lines(&self, look: Look, width: f64) -> Vec<Vec<usize>> {
        let sides = self.sides();
        let wide: f64 = sides
            .iter()
            .map(|side| width_em(&self.of(*side)) + 3.0)
            .sum();
        if wide * look.font() <= width {
            vec![sides]
        } else {
            sides.into_iter().map(|side| vec![side]).collect()
        }
    }

    fn picture(&self, area: Area, look: Look) -> Markup {
        let (font, ink, units) = (look.font(), look.theme.ink(), look.units);
        let honey = |kg: f64| in_system(kg, Dimension::Mass, units);
        let (low, high) = self.told.interval.unwrap_or((0.0, 0.0));
        let (least, most) = self.told.shared.unwrap_or((0.0, 0.0));
        let ends = [&0.0, &low, &high, &least, &most];
        let all = self.differences_kg.iter().chain(ends);
        let (least, most) = all.fold((0.0_f64, 0.0_f64), |(least, most), kg| {
            (least.min(honey(*kg).0), most.max(honey(*kg).0))
        });
        let axis = Axis {
            words: String::new(),
            ticks: Ticks::over(least, most, if look.width() < 500.0 { 5 } else { 9 }),
            after: "",
        };
        let half = 0.5 * font * width_em(&axis.label(axis.ticks.ends().0));
        let scale = Scale {
            values: axis.ticks.ends(),
            pixels: (area.left + half, area.left + area.width - half),
        };
        let lines = self.word_lines(look, area.width);
        let floor = area.top + font * (1.5 * lines.len() as f64 + 0.6 + DOTS_EM);
        let bar = floor + 2.2 * font;
        let bottom = floor + 3.6 * font;
        let [a, b] = self.letters;
        html! {
            (self.words(area, look, &lines))
            g stroke-width="1" {
                @for tick in &axis.ticks.at {
                    @let x = px(scale.at(*tick));
                    @let strong = *tick == 0.0;
                    line x1=(x) x2=(x) y1=(px(floor - DOTS_EM * font)) y2=(px(bottom)) stroke=(if strong { ink.axis } else { ink.grid }) stroke-width=(if strong { "1.5" } else { "1" }) {}
                }
                line x1=(px(scale.pixels.0)) x2=(px(scale.pixels.1)) y1=(px(bottom)) y2=(px(bottom)) stroke=(ink.axis) {}
            }
            g font-size=(px(0.9 * font)) fill=(ink.quiet) text-anchor="middle" {
                @for tick in &axis.ticks.at { text x=(px(scale.at(*tick))) y=(px(bottom + 1.3 * font)) { (axis.label(*tick)) } }
            }
            text x=(px(area.left + 0.5 * area.width)) y=(px(bottom + 2.8 * font)) font-size=(px(font)) fill=(ink.text) text-anchor="middle" {
                "Honey needed by " (b) " less " (a) ", " (honey(0.0).1)
            }
            (self.dots(look, &scale, floor))
            (self.bar(area, look, &scale, bar))
        }
    }

    fn words(&self, area: Area, look: Look, lines: &[Vec<usize>]) -> Markup {
        let (font, ink) = (look.font(), look.theme.ink());
        let mut x = area.left;
        let mut placed = Vec::new();
        for (number, line) in lines.iter().enumerate() {
            let y = area.top + font * (1.0 + 1.5 * number as f64);
            x = if number == 0 { x } else { area.left };
            for side in line {
                placed.push((*side, x, y));
                x += font * (width_em(&self.of(*side)) + 3.0);
            }
        }
        html! {
            @for (side, x, y) in placed {
                (self.style(side, look, 0.4 * font).mark((x + 0.5 * font, y - 0.34 * font), None))
                text x=(px(x + 1.3 * font)) y=(px(y)) font-size=(px(font)) fill=(ink.text) { (self.of(side)) }
            }
        }
    }

    fn bar(&self, area: Area, look: Look, scale: &Scale, y: f64) -> Markup {
        let (font, ink, units) = (look.font(), look.theme.ink(), look.units);
        let honey = |kg: f64| in_system(kg, Dimension::Mass, units).0;
        let number = |kg: f64| small_number(kg, units);
        let unit = in_system(0.0, Dimension::Mass, units).1;
        let words = match self.told.shared.or(self.told.interval) {
            Some((low, high)) => format!(
                "mean {} ({} to {}) {unit}",
                number(self.told.mean),
                number(low),
                number(high)
            ),
            None => format!("mean {} {unit}", number(self.told.mean)),
        };
        let x = scale.at(honey(self.told.mean));
        let half = 0.5 * 0.9 * font * width_em(&words);
        let at = x.clamp(
            area.left + half,
            (area.left + area.width - half).max(area.left + half),
        );
        html! {
            @if let Some((low, high)) = self.told.shared { (pale(scale, y, (honey(low), honey(high)), ink.text, 0.8 * font)) }
            @if let Some((low, high)) = self.told.interval { (whisker(scale, y, (honey(low), honey(high)), ink.text, 0.35 * font)) }
            path d={ "M" (px(x)) "," (px(y - 0.5 * font)) "l" (px(0.42 * font)) "," (px(0.5 * font)) "l" (px(-0.42 * font)) "," (px(0.5 * font)) "l" (px(-0.42 * font)) "," (px(-0.5 * font)) "Z" } fill=(ink.text) { (title(Some(&words))) }
            text x=(px(at)) y=(px(y - 0.8 * font)) font-size=(px(0.9 * font)) fill=(ink.text) text-anchor="middle" paint-order="stroke" stroke=(ink.ground) stroke-width="3" stroke-linejoin="round" { (words) }
        }
    }

    /// Columns and size of dots so that the highest stack fits: single file where that can be, else several beside each other.
    fn stacks(&self, look: Look, scale: &Scale) -> Stacks {
        let honey = |kg: &f64| in_system(*kg, Dimension::Mass, look.units).0;
        let (width, height) = (scale.pixels.1 - scale.pixels.0, DOTS_EM * look.font());
        let fitted = |columns: usize| {
            let wide = width / columns as f64;
            let mut counts = std::collections::BTreeMap::new();
            for kg in &self.differences_kg {
                *counts
                    .entry(column(scale, columns, honey(kg), *kg))
                    .or_insert(0_usize) += 1;
            }
            let highest = counts.into_values().max().unwrap_or(1);
            let files = (1..=highest).map(|beside| {
                let rows = highest.div_ceil(beside) as f64;
                (beside, (wide / beside as f64).min(height / rows))
            });
            let (beside, dot_px) = files.fold(
                (1, 0.0),
                |best: (usize, f64), one| {
                    if one.1 > best.1 { one } else { best }
                },
            );
            Stacks {
                columns,
                dot_px: dot_px.min(1.8 * look.font()),
                beside,
            }
        };
        let mut best = fitted(*COLUMNS.start());
        for columns in COLUMNS.skip(1) {
            let stacks = fitted(columns);
            // Single file reads best, unless it makes dots too small to see.
            let single = |stacks: &Stacks| stacks.beside == 1 && stacks.dot_px >= 0.6 * look.font();
            let better = match (single(&stacks), single(&best)) {
                (true, false) => true,
                (false, true) => false,
                _ => stacks.dot_px >= best.dot_px,
            };
            if better {
                best = stacks;
            }
        }
        best
    }

    fn dots(&self, look: Look, scale: &Scale, floor: f64) -> Markup {
        let units = look.units;
        let Stacks {
            columns,
            dot_px,
            beside,
        } = self.stacks(look, scale);
        let wide = (scale.pixels.1 - scale.pixels.0) / columns as f64;
        let zero = scale.at(0.0);
        let alike = self.differences_kg.iter().any(|kg| side(*kg) == 2);
        let mut filled = std::collections::BTreeMap::new();
        let spots = self.differences_kg.iter().map(|kg| {
            let value = in_system(*kg, Dimension::Mass, units).0;
            let column = column(scale, columns, value, *kg);
            let place = filled.entry(column).or_insert(0_usize);
            let (row, file) = (*place / beside, *place % beside);
            *place += 1;
            // What differs by nothing has a column of its own at zero; the others make room for it.
            let aside = if alike {
                column.signum() as f64 * 0.5 * wide
            } else {
                0.0
            };
            let middle = zero + column as f64 * 0.5 * wide + aside;
            let x = middle + (file as f64 - 0.5 * (beside as f64 - 1.0)) * dot_px;
            (*kg, (x, floor - dot_px * (row as f64 + 0.5)))
        });
        let spots: Vec<_> = spots.collect();
        html! {
            @for (kg, spot) in spots {
                @let side = side(kg);
                // Corners of triangles reach beyond their radius.
                @let style = self.style(side, look, dot_px * [0.46, 0.4, 0.42][side]);
                (style.mark(spot, Some(&small_mass(kg, units)))) "\n"
            }
        }
    }
}

/// A column by its middle in halves of a column from zero: uneven ones to both sides, and 0 for what differs by nothing.
fn column(scale: &Scale, columns: usize, value: f64, kg: f64) -> i64 {
    let wide = (scale.values.1 - scale.values.0) / columns as f64;
    match side(kg) {
        2 => 0,
        0 => -2 * ((-value / wide).floor() as i64) - 1,
        _ => 2 * ((value / wide).floor() as i64) + 1,
    }
}

/// A difference of honey needed in words: the other against the first.
pub(super) fn verdict(
    [first, other]: &[String; 2],
    told: &Told,
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
    let within = told
        .sizes(&number)
        .map_or_else(String::new, |sizes| format!(" ({sizes})"));
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
