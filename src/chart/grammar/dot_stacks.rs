//! Dots in stacks over an axis: a dot for each value, and an edge between stacks at a given value, so that none holds dots from both sides of it.

use super::{Area, Axis, Panel, Style, Unit, extent};
use crate::chart::Look;
use maud::{Markup, html};

/// Widths of stacks, times a power of ten.
const WIDTHS: [f64; 3] = [1.0, 2.0, 5.0];
/// Smallest dots that stand in single file, sizes of the font; several beside each other are larger.
const SINGLE_EM: f64 = 0.6;
/// Largest dots, sizes of the font.
const LARGEST_EM: f64 = 2.0;

/// Values in stacks.
#[derive(Debug)]
pub struct DotStacks {
    unit: Unit,
    /// Where the edge is, as it is shown.
    edge: f64,
    /// Width of a stack, as it is shown.
    pub width: f64,
    /// Number of the first stack, counted from the edge.
    first: i64,
    /// Values in each, in SI.
    pub stacks: Vec<Vec<f64>>,
    /// Values that are on neither side: a stack of their own on the edge, for which the others make room.
    pub level: Vec<f64>,
}

impl DotStacks {
    /// Of values in SI, in at most `most` stacks; what is nearer to the edge than `level` is on neither side, and a value of exactly the edge below it.
    pub fn new(values: &[f64], (edge, level): (f64, f64), unit: Unit, most: usize) -> Self {
        let (level, values): (Vec<f64>, Vec<f64>) = values
            .iter()
            .partition(|value| (*value - edge).abs() < level);
        let edge = unit.shown(edge);
        let (least, greatest) = extent(values.iter().map(|value| unit.shown(*value)));
        let powers = [0.01, 0.1, 1.0, 10.0].into_iter();
        let mut widths = powers.flat_map(|power| WIDTHS.map(|width| width * power));
        let width = widths
            .find(|width| greatest - least <= most as f64 * width)
            .unwrap_or(100.0);
        let number = |shown: f64| ((shown - edge) / width).ceil() as i64 - 1;
        let first = if values.is_empty() { 0 } else { number(least) };
        let mut stacks: Vec<Vec<f64>> = Vec::new();
        for value in values {
            let place = usize::try_from(number(unit.shown(value)) - first).unwrap_or(0);
            stacks.resize_with(stacks.len().max(place + 1), Vec::new);
            stacks[place].push(value);
        }
        Self {
            unit,
            edge,
            width,
            first,
            stacks,
            level,
        }
    }

    /// Where the first stack begins and the last ends, as shown, with the edge.
    pub fn ends(&self) -> (f64, f64) {
        let at = |number: i64| self.edge + (self.first + number) as f64 * self.width;
        (
            at(0).min(self.edge),
            at(self.stacks.len() as i64).max(self.edge),
        )
    }

    /// An axis over them and whatever else has to be on it, as shown.
    pub fn axis(&self, label: &str, also: impl IntoIterator<Item = f64>, most: usize) -> Axis {
        let (least, greatest) = self.ends();
        let label = format!("{label}, {}", self.unit.symbol());
        let axis = Axis::new(
            &label,
            Unit::Plain,
            also.into_iter().chain([least, greatest]),
            most,
        );
        Axis {
            unit: self.unit,
            ..axis
        }
    }

    /// Dots of the highest stack.
    pub fn highest(&self) -> usize {
        let heights = self.stacks.iter().map(Vec::len);
        heights.max().unwrap_or(0).max(self.level.len())
    }

    /// Dots beside each other in a stack and their size, px.
    fn files(&self, look: Look, wide: f64, high: f64) -> (usize, f64) {
        let font = look.font();
        let highest = self.highest().max(1);
        let size = |files: usize| {
            let rows = highest.div_ceil(files) as f64;
            (wide / files as f64)
                .min(high / rows)
                .min(LARGEST_EM * font)
        };
        if size(1) >= SINGLE_EM * font {
            return (1, size(1));
        }
        let all = (1..=highest).map(|files| (files, size(files)));
        all.fold(
            (1, 0.0),
            |best, one| if one.1 > best.1 { one } else { best },
        )
    }

    /// Draws them within an area on the scale of a panel: style and words of each.
    pub fn draw(
        &self,
        look: Look,
        panel: &Panel,
        area: Area,
        says: impl Fn(f64) -> (Style, String),
    ) -> Markup {
        let wide = panel.x.at_shown(self.width) - panel.x.at_shown(0.0);
        let (files, size) = self.files(look, wide, area.height);
        let foot = area.top + area.height;
        let edge = panel.x.at_shown(self.edge);
        let aside = if self.level.is_empty() {
            0.0
        } else {
            0.5 * wide
        };
        let stacks = self.stacks.iter().enumerate().map(|(number, stack)| {
            let middle = self.first as f64 + number as f64 + 0.5;
            (edge + middle * wide + aside * middle.signum(), stack)
        });
        html! {
            @for (middle, stack) in stacks.chain([(edge, &self.level)]) {
                @for (number, value) in stack.iter().enumerate() {
                    @let (row, file) = (number / files, number % files);
                    @let x = middle + (file as f64 - 0.5 * (files as f64 - 1.0)) * size;
                    @let (style, words) = says(*value);
                    // Corners of triangles reach beyond their radius.
                    @let style = Style { radius_px: size * if style.number == 1 { 0.4 } else { 0.44 }, ..style };
                    (style.mark((x, foot - size * (row as f64 + 0.5)), Some(&words))) "\n"
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{Dimension, System};

    #[test]
    fn no_stack_holds_dots_from_both_sides_of_the_edge() {
        let values: Vec<f64> = (0..100).map(|dot| 8.0 + 0.1 * f64::from(dot)).collect();
        for system in [System::Metric, System::Us] {
            for edge in [4.0, 9.97, 13.5, 15.03, 30.0] {
                let dots =
                    DotStacks::new(&values, (edge, 0.0), Unit::Of(Dimension::Mass, system), 24);
                assert_eq!(dots.stacks.iter().map(Vec::len).sum::<usize>(), 100);
                for stack in dots.stacks.iter().filter(|stack| !stack.is_empty()) {
                    let beyond = stack.iter().filter(|value| **value > edge).count();
                    assert!(beyond == 0 || beyond == stack.len(), "{stack:?}");
                }
            }
        }
    }

    #[test]
    fn values_on_neither_side_have_a_stack_of_their_own() {
        let dots = DotStacks::new(&[-1.0, 0.0, 0.0, 2.0], (0.0, 0.001), Unit::Plain, 24);
        assert_eq!((dots.level.len(), dots.highest()), (2, 2));
        assert_eq!(dots.stacks.iter().map(Vec::len).sum::<usize>(), 2);
    }
}
