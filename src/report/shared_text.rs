//! The second kind of uncertainty in words: how far an answer moves over what is not known about bees.

use crate::ensemble::{Crossing, Difference, SharedRange};
use crate::units::{Dimension, POUND_KG, Round, System, show};

/// Which kind a range is.
pub(crate) const GIVEN: &str = "given what is not known about bees";
/// Steps in which effects are given, kg or lb: what is known of them is no finer.
const SMALLEST: f64 = 0.1;

/// "11.5-14.2 kg": two values in words with one unit between them, with "to" where one is below zero.
pub(super) fn span((low, high): (f64, f64), words: &dyn Fn(f64) -> String) -> String {
    let (low, high) = (words(low), words(high));
    let apart = |words: &str| {
        let at = words.rfind([' ', '\u{a0}'])?;
        Some((words[..at].to_owned(), words[at..].to_owned()))
    };
    let plain = |words: &str| words.starts_with(|c: char| c.is_ascii_digit());
    match (apart(&low), apart(&high)) {
        (Some((number, unit)), Some((_, other))) if unit == other => {
            if plain(&low) && plain(&high) {
                format!("{number}-{high}")
            } else {
                format!("{number} to {high}")
            }
        }
        _ => format!("{low} to {high}"),
    }
}

/// "12.7 kg or less (11.5-14.2 kg)": what goes behind a figure; nothing where the range is not told.
pub(crate) fn behind(shared: Option<&SharedRange>, words: &dyn Fn(f64) -> String) -> String {
    shared.map_or_else(String::new, |shared| {
        format!(" ({})", span(shared.range(), words))
    })
}

/// A range for a table, "-" where it is not told.
pub(super) fn cell(shared: Option<&SharedRange>, words: &dyn Fn(f64) -> String) -> String {
    shared.map_or_else(|| "-".to_owned(), |shared| span(shared.range(), words))
}

/// What the range stands on, or what would tell it.
pub(super) fn stands_on(shared: Option<&SharedRange>, crossing: &Crossing) -> String {
    match shared {
        Some(shared) if shared.sets == crossing.sets() => format!(
            "Ranges \"{GIVEN}\" hold 90 % of {} sets of values that all colonies share (conductances, set points, rules); each met {} colonies. More colonies \
             do not narrow them.",
            shared.sets, shared.colonies
        ),
        Some(shared) => format!(
            "Ranges \"{GIVEN}\" hold 90 % of the {} sets of values that are complete; --members {} completes all {}.",
            shared.sets,
            crossing.members(),
            crossing.sets()
        ),
        None => format!(
            "Too few members to say how far answers move with what is not known about bees; --members {} tells.",
            crossing.members()
        ),
    }
}

/// An effect of a hive in mass, to a tenth; what rounds to nothing is said to be less than that.
pub(crate) fn effect_mass(kg: f64, units: System) -> String {
    let unit_kg = match units {
        System::Metric => 1.0,
        System::Us => POUND_KG,
    };
    let mass = |kg| show(kg, Dimension::Mass, units, Round::Decimals(1));
    if kg != 0.0 && kg.abs() < 0.5 * SMALLEST * unit_kg {
        return format!("less than {}", mass(SMALLEST * unit_kg));
    }
    mass(kg)
}

/// Which way and how far a difference goes over what is not known about bees: "0.8 kg less to 0.2 kg more"; `words` are those for below and above zero.
pub(super) fn either_way(
    shared: &SharedRange,
    size: &dyn Fn(f64) -> String,
    [less, more]: [&str; 2],
) -> String {
    let (low, high) = shared.range();
    if shared.crosses_zero() {
        return format!("{} {less} to {} {more}", size(low.abs()), size(high));
    }
    let (near, far) = if low.abs() < high.abs() {
        (low, high)
    } else {
        (high, low)
    };
    let word = if low + high < 0.0 { less } else { more };
    format!("{} {word}", span((near.abs(), far.abs()), size))
}

/// The same of a difference, with what it says of the direction; none where the range is not told.
pub(crate) fn of_difference(
    difference: &Difference,
    size: &dyn Fn(f64) -> String,
    words: [&str; 2],
) -> Option<String> {
    let shared = difference.shared.as_ref();
    // Hives that are alike move nothing.
    let shared = shared.filter(|shared| shared.range() != (0.0, 0.0))?;
    let range = either_way(shared, size, words);
    Some(if difference.direction_is_uncertain() {
        format!("direction uncertain: {range}, {GIVEN}")
    } else {
        format!("{range}, {GIVEN}")
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn kg(kg: f64) -> String {
        show(kg, Dimension::Mass, System::Metric, Round::Decimals(1))
    }

    fn range(p05: f64, p95: f64) -> SharedRange {
        SharedRange {
            sets: 100,
            colonies: 10,
            p05,
            p50: 0.5 * (p05 + p95),
            p95,
        }
    }

    #[test]
    fn a_range_names_its_unit_once() {
        assert_eq!(span((11.5, 14.2), &kg), "11.5-14.2 kg");
        assert_eq!(span((-0.8, 0.2), &kg), "-0.8 to 0.2 kg");
    }

    #[test]
    fn a_range_that_crosses_zero_says_both_ways() {
        let both = either_way(&range(-0.8, 0.2), &kg, ["less", "more"]);
        assert_eq!(both, "0.8 kg less to 0.2 kg more");
        let one = either_way(&range(-0.8, -0.2), &kg, ["less", "more"]);
        assert_eq!(one, "0.2-0.8 kg less");
    }

    #[test]
    fn an_effect_that_rounds_to_nothing_is_less_than_a_tenth() {
        assert_eq!(effect_mass(-0.04, System::Metric), "less than 0.1 kg");
        assert_eq!(effect_mass(0.06, System::Metric), "0.1 kg");
        assert_eq!(effect_mass(0.0, System::Metric), "0.0 kg");
        assert_eq!(effect_mass(0.02, System::Us), "less than 0.1 lb");
    }

    #[test]
    fn too_few_members_say_what_would_tell() {
        let said = stands_on(None, &Crossing::new(10, 100));
        assert!(said.ends_with("--members 1000 tells."), "{said}");
    }
}
