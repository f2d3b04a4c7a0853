//! Figures in words, for titles and marks.

use crate::units::{Dimension, Round, System, in_system, show};

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

/// A number of things: "1 winter", "12 winters".
pub(super) fn counted(count: usize, noun: &str) -> String {
    let plural = if count == 1 { "" } else { "s" };
    format!("{count} {noun}{plural}")
}

/// Share of colonies lost to cold from which honey is not the question.
const MOST_CHILLED: f64 = 0.5;

/// What a title says where so many die of cold that honey is not the question.
pub(super) fn no_question(chilled: f64) -> Option<String> {
    (chilled >= MOST_CHILLED).then(|| {
        format!(
            "Honey is not the question: {} of colonies die of cold or too few bees, whatever the stores",
            percent(chilled)
        )
    })
}

/// A temperature with its unit, a true minus and no decimal.
pub(super) fn degrees(c: f64, units: System) -> String {
    let (value, unit) = in_system(c, Dimension::Temperature, units);
    format!("{}\u{a0}{unit}", super::grammar::signed(value, 0))
}

/// What became of the stores in the run, beside a count of needs: it differs from it.
pub(super) fn starved_in_run(starved: f64) -> String {
    match starved {
        none if none <= 0.0 => "In the run no colony starved.".to_owned(),
        share => format!(
            "In the run {} of colonies starved: their own stores differ, and honey can be out of reach.",
            percent(share)
        ),
    }
}

/// A mass with one decimal, a true minus, and a unit that stays with it.
pub(super) fn mass(kg: f64, units: System) -> String {
    let text = show(kg, Dimension::Mass, units, Round::Decimals(1));
    text.replace(' ', "\u{a0}").replace('-', "\u{2212}")
}
