//! Differences of pairs as charts keep them, their words, and which of several come first as far as intervals tell.

use crate::ensemble::{Difference, Verdict};
use crate::units::{Dimension, Round, System, show};
use serde::{Deserialize, Serialize};

/// Decimals of a difference of masses.
const DECIMALS: usize = 1;

/// A mean of paired differences with its widest interval of 95 %.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct PairedDifference {
    /// The mean, SI.
    pub mean: f64,
    /// Its widest interval; none of one pair.
    pub interval: Option<(f64, f64)>,
    /// What it lets one say.
    pub verdict: Verdict,
    /// Range over what is not known about bees; none where it is not told.
    #[serde(default)]
    pub shared: Option<(f64, f64)>,
}

impl From<&Difference> for PairedDifference {
    fn from(difference: &Difference) -> Self {
        let (low, high) = difference.widest();
        Self {
            mean: difference.mean,
            interval: finite((low, high)),
            verdict: difference.verdict,
            shared: difference.shared.map(|shared| shared.range()),
        }
    }
}

/// An interval that has both ends.
#[must_use]
pub fn finite((low, high): (f64, f64)) -> Option<(f64, f64)> {
    (low.is_finite() && high.is_finite()).then_some((low, high))
}

impl PairedDifference {
    /// Below zero, in these winters at least.
    pub(super) fn is_less(&self) -> bool {
        matches!(self.verdict, Verdict::Less | Verdict::LessHere)
    }

    /// Above zero, in these winters at least.
    pub(super) fn is_more(&self) -> bool {
        matches!(self.verdict, Verdict::More | Verdict::MoreHere)
    }

    /// Told from none, in these winters at least.
    pub(super) fn is_told(&self) -> bool {
        self.is_less() || self.is_more()
    }

    /// Told of these winters only.
    pub(super) fn is_here(&self) -> bool {
        matches!(self.verdict, Verdict::LessHere | Verdict::MoreHere)
    }

    /// What follows a verb of it: words where it is told of these winters only.
    pub(super) fn here(&self) -> &'static str {
        if self.is_here() {
            " in these winters"
        } else {
            ""
        }
    }

    /// Its sizes in brackets after a figure; nothing where they are not told.
    pub(super) fn bracketed(&self, show: &dyn Fn(f64) -> String) -> String {
        let sizes = self.sizes(show);
        sizes.map_or_else(String::new, |sizes| format!(" ({sizes})"))
    }

    /// The same with its sign turned round.
    pub(super) fn turned(self) -> Self {
        Self {
            mean: -self.mean,
            interval: self.interval.map(|(low, high)| (-high, -low)),
            verdict: match self.verdict {
                Verdict::Less => Verdict::More,
                Verdict::More => Verdict::Less,
                Verdict::LessHere => Verdict::MoreHere,
                Verdict::MoreHere => Verdict::LessHere,
                same => same,
            },
            shared: self.shared.map(|(low, high)| (-high, -low)),
        }
    }

    /// Whether what is not known about bees leaves open which way it goes.
    pub(super) fn direction_is_uncertain(&self) -> bool {
        self.shared
            .is_some_and(|(low, high)| low < 0.0 && high > 0.0)
    }

    /// Its range over what is not known about bees, or where that is not told its interval, as sizes on its own side of zero: "0.5 to 1.2"; of an end beyond
    /// zero the sign is shown.
    pub(super) fn sizes(&self, show: &dyn Fn(f64) -> String) -> Option<String> {
        let sign = if self.mean < 0.0 { -1.0 } else { 1.0 };
        let (low, high) = self.shared.or(self.interval)?;
        let (near, far) = if sign < 0.0 {
            (-high, -low)
        } else {
            (low, high)
        };
        Some(format!("{} to {}", show(near), show(far)))
    }
}

/// An effect in mass, to a tenth; what rounds to nothing is less than that.
pub(super) fn effect(kg: f64, units: System) -> String {
    let size = small_mass(kg, units);
    if kg != 0.0 && !size.contains(|c: char| matches!(c, '1'..='9')) {
        let unit = size.split('\u{a0}').nth(1).unwrap_or_default();
        return format!("less than 0.1\u{a0}{unit}");
    }
    size
}

/// A difference of masses, to a tenth: no more is known of what a hive changes.
pub(super) fn small_mass(kg: f64, units: System) -> String {
    let text = show(kg, Dimension::Mass, units, Round::Decimals(DECIMALS));
    text.replace(' ', "\u{a0}").replace('-', "\u{2212}")
}

/// The number of a small mass without its unit.
pub(super) fn small_number(kg: f64, units: System) -> String {
    let text = small_mass(kg, units);
    let number = text.split('\u{a0}').next();
    number.unwrap_or_default().to_owned()
}

/// Points of per cent, without their word.
pub(super) fn points(share: f64) -> String {
    super::grammar::signed(100.0 * share, 1)
}

/// Which of several values with intervals may be the largest: the one with the largest mean, then those whose interval reaches its own.
pub(super) fn leaders(values: impl IntoIterator<Item = (f64, Option<(f64, f64)>)>) -> Vec<usize> {
    let values: Vec<_> = values.into_iter().collect();
    let mut order: Vec<usize> = (0..values.len()).collect();
    order.sort_by(|a, b| values[*b].0.total_cmp(&values[*a].0));
    let Some(first) = order.first().copied() else {
        return Vec::new();
    };
    let low = values[first].1.map_or(f64::NEG_INFINITY, |(low, _)| low);
    order.retain(|number| {
        *number == first
            || values[*number]
                .1
                .is_none_or(|(_, high)| high.max(values[*number].0) >= low)
    });
    order
}

/// "a", "a or b", "a, b or c".
pub(super) fn any_of(names: &[String]) -> String {
    match names {
        [] => String::new(),
        [one] => one.clone(),
        [head @ .., last] => format!("{} or {last}", head.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_an_interval_reaches_may_be_the_largest_too() {
        let values = [
            (0.5, Some((0.4, 0.6))),
            (0.45, Some((0.3, 0.5))),
            (0.1, Some((0.0, 0.2))),
        ];
        assert_eq!(leaders(values), [0, 1]);
        assert_eq!(leaders([(0.5, Some((0.4, 0.6))), (0.9, None)]), [1, 0]);
        assert!(leaders([]).is_empty());
        assert_eq!(any_of(&["a", "b", "c"].map(str::to_owned)), "a, b or c");
    }

    #[test]
    fn sizes_of_an_interval_are_on_the_side_of_its_mean() {
        let told = PairedDifference {
            mean: -0.8,
            interval: Some((-1.1, -0.5)),
            verdict: Verdict::Less,
            shared: None,
        };
        let show = |kg: f64| format!("{kg:.1}");
        assert_eq!(told.sizes(&show).as_deref(), Some("0.5 to 1.1"));
        assert_eq!(told.turned().sizes(&show).as_deref(), Some("0.5 to 1.1"));
        assert!(told.turned().is_more());
    }
}
