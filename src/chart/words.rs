//! Figures in words, for titles and marks.

use crate::units::{Dimension, Round, System, show};

/// With a capital at its head.
pub(super) fn capital(text: String) -> String {
    let mut letters = text.chars();
    match letters.next() {
        Some(first) => first.to_uppercase().chain(letters).collect(),
        None => text,
    }
}

/// A share in whole per cent, which no line's end parts from its sign; what is less than one and not nothing says so.
pub(super) fn percent(share: f64) -> String {
    match 100.0 * share {
        none if none <= 0.0 => "0\u{a0}%".to_owned(),
        little if little < 1.0 => "under\u{a0}1\u{a0}%".to_owned(),
        more => format!("{more:.0}\u{a0}%"),
    }
}

/// A mass with one decimal, a true minus, and a unit that stays with it.
pub(super) fn mass(kg: f64, units: System) -> String {
    let text = show(kg, Dimension::Mass, units, Round::Decimals(1));
    text.replace(' ', "\u{a0}").replace('-', "\u{2212}")
}
