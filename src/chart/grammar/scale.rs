//! Straight scales from values to pixels, and the round numbers on them.

use crate::units::{Dimension, System, in_system};

/// Steps between ticks, times a power of ten.
const STEPS: [f64; 4] = [1.0, 2.0, 5.0, 10.0];

/// What values in SI are shown in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Unit {
    /// As they are.
    Plain,
    /// Shares as per cent.
    Percent,
    /// A dimension in a system of units.
    Of(Dimension, System),
}

impl Unit {
    /// A value as it is shown.
    pub fn shown(self, value: f64) -> f64 {
        match self {
            Self::Plain => value,
            Self::Percent => 100.0 * value,
            Self::Of(dimension, system) => in_system(value, dimension, system).0,
        }
    }

    /// Its symbol; nothing for plain numbers.
    pub fn symbol(self) -> &'static str {
        match self {
            Self::Plain => "",
            Self::Percent => "%",
            Self::Of(dimension, system) => in_system(0.0, dimension, system).1,
        }
    }
}

/// Least and greatest of some values; infinite the wrong way round without any.
pub fn extent(values: impl IntoIterator<Item = f64>) -> (f64, f64) {
    let start = (f64::INFINITY, f64::NEG_INFINITY);
    let wider = |(least, most): (f64, f64), value: f64| (least.min(value), most.max(value));
    values.into_iter().fold(start, wider)
}

/// A straight scale from values in SI to pixels.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scale {
    /// What values are shown in.
    pub unit: Unit,
    /// Shown values at its ends.
    pub values: (f64, f64),
    /// Pixels at its ends.
    pub pixels: (f64, f64),
}

impl Scale {
    /// The pixel of a value in SI; of one beyond all, that of the scale's end.
    pub fn at(&self, value: f64) -> f64 {
        match value {
            f64::NEG_INFINITY => self.pixels.0,
            f64::INFINITY => self.pixels.1,
            value => self.at_shown(self.unit.shown(value)),
        }
    }

    /// The pixel of a value as it is shown.
    pub fn at_shown(&self, value: f64) -> f64 {
        let share = (value - self.values.0) / (self.values.1 - self.values.0);
        self.pixels.0 + share * (self.pixels.1 - self.pixels.0)
    }
}

/// Round numbers over a range of values and the decimals that they need.
#[derive(Debug, Clone, PartialEq)]
pub struct Ticks {
    /// From low to high; the first is at or below the least value, the last at or above the most.
    pub at: Vec<f64>,
    /// Decimals.
    pub decimals: usize,
}

impl Ticks {
    /// At most `most` (two or more) over these values; about a single value, one unit to each side of it.
    pub fn over(least: f64, most_value: f64, most: usize) -> Self {
        let (low, high) = if most_value - least > 1e-9 * (1.0 + least.abs() + most_value.abs()) {
            (least, most_value)
        } else {
            (least - 1.0, least + 1.0)
        };
        let rough = (high - low) / most.saturating_sub(1).max(1) as f64;
        let exponent = libm::floor(libm::log10(rough));
        let power = libm::pow(10.0, exponent);
        // Widening to round ends can add a tick, so the first step that keeps within the bound is taken.
        let powers = [power, 10.0 * power];
        let steps = powers
            .iter()
            .flat_map(|power| STEPS.map(|step| step * power));
        let fits = |step: &f64| {
            let count = (high / step).ceil() - (low / step).floor();
            count + 1.0 <= most.max(2) as f64
        };
        // A range across zero of two ticks may fit none; then its ends are the ticks.
        let Some(step) = steps.into_iter().find(fits) else {
            return Self {
                at: vec![low, high],
                decimals: 1,
            };
        };
        let (first, last) = ((low / step).floor() as i64, (high / step).ceil() as i64);
        let decimals = libm::ceil(-libm::log10(step) - 1e-9).max(0.0) as usize;
        Self {
            at: (first..=last).map(|number| number as f64 * step).collect(),
            decimals,
        }
    }

    /// Values of the first and the last.
    pub fn ends(&self) -> (f64, f64) {
        let end = |tick: Option<&f64>| tick.copied().unwrap_or_default();
        (end(self.at.first()), end(self.at.last()))
    }

    /// A tick as text, with a true minus.
    pub fn text(&self, tick: f64) -> String {
        signed(tick, self.decimals)
    }
}

/// A number with so many decimals, a true minus and no negative zero.
pub fn signed(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    match text.strip_prefix('-') {
        Some(digits) if digits.contains(|c: char| ('1'..='9').contains(&c)) => {
            format!("\u{2212}{digits}")
        }
        Some(zero) => zero.to_owned(),
        None => text,
    }
}

/// A coordinate or length for SVG: tenths of a pixel.
pub fn px(value: f64) -> String {
    let text = format!("{value:.1}");
    let text = text.strip_suffix(".0").unwrap_or(&text);
    if text == "-0" { "0" } else { text }.to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn ticks_are_round_and_hold_the_values() {
        let ticks = |least, most, count| Ticks::over(least, most, count);
        assert_eq!(ticks(0.0, 17.3, 6).at, [0.0, 5.0, 10.0, 15.0, 20.0]);
        assert_eq!(ticks(-12.4, 3.0, 6).at, [-15.0, -10.0, -5.0, 0.0, 5.0]);
        assert_eq!(ticks(0.0, 0.13, 5).at.len(), 4);
        assert_eq!(ticks(0.0, 0.13, 5).decimals, 2);
        assert_eq!(ticks(7.0, 7.0, 5).ends(), (6.0, 8.0));
    }

    #[test]
    fn a_minus_is_a_minus_and_zero_has_none() {
        assert_eq!(signed(-2.36, 1), "\u{2212}2.4");
        assert_eq!(signed(-0.04, 1), "0.0");
        assert_eq!(px(-0.04), "0");
        assert_eq!(px(12.0), "12");
        assert_eq!(px(12.34), "12.3");
    }

    #[test]
    fn a_scale_can_run_backwards() {
        let scale = Scale {
            unit: Unit::Percent,
            values: (0.0, 10.0),
            pixels: (300.0, 100.0),
        };
        assert_eq!(scale.at(0.0), 300.0);
        assert_eq!(scale.at(0.05), 200.0);
        assert_eq!(scale.at(f64::INFINITY), 100.0);
    }

    proptest! {
        #[test]
        fn ticks_of_any_range_are_few_and_hold_it(low in -1e6..1e6_f64, span in 0.0..1e6_f64, most in 3..12_usize) {
            let ticks = Ticks::over(low, low + span, most);
            let (first, last) = ticks.ends();
            prop_assert!(ticks.at.len() >= 2 && ticks.at.len() <= most, "{ticks:?}");
            prop_assert!(first <= low + 1e-6 && last >= low + span - 1e-6, "{ticks:?}");
        }
    }
}
