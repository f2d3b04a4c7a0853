//! Showing an SI value in the units of the reader.

use super::dimension::{Dimension, System};
use super::symbol;

/// How many digits [`show`] writes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Round {
    /// As many decimals as the unit usually gets in running text, without trailing zeros.
    Usual,
    /// This many decimals.
    Decimals(usize),
    /// This many significant digits, at least one.
    Significant(usize),
}

/// The value in the unit that this system shows the dimension in, and the symbol of that unit: for tables, headers
/// of columns and charts.
///
/// ```
/// use overwinter::units::{Dimension, System, in_system};
/// assert_eq!(in_system(0.038, Dimension::Length, System::Metric), (38.0, "mm"));
/// assert_eq!(in_system(-40.0, Dimension::Temperature, System::Us), (-40.0, "°F"));
/// ```
pub fn in_system(value_si: f64, dimension: Dimension, system: System) -> (f64, &'static str) {
    let symbol = shown_as(dimension, system).0;
    // A test holds every profile against the table.
    let value =
        symbol::by_symbol(symbol, dimension).map_or(f64::NAN, |unit| unit.from_si(value_si));
    (value, symbol)
}

/// The value with its unit, as text that [`parse`](super::parse) reads again: "17.2 kg" or "38 lb", "-12 °C" or "10 °F"; a
/// thermal resistance in US units is "R-7.5".
///
/// ```
/// use overwinter::units::{Dimension, Round, System, show};
/// assert_eq!(show(17.2, Dimension::Mass, System::Us, Round::Usual), "38 lb");
/// assert_eq!(show(17.2, Dimension::Mass, System::Metric, Round::Decimals(2)), "17.20 kg");
/// assert_eq!(show(0.0129, Dimension::Conductivity, System::Metric, Round::Significant(2)), "0.013 W/mK");
/// ```
pub fn show(value_si: f64, dimension: Dimension, system: System, round: Round) -> String {
    let (value, symbol) = in_system(value_si, dimension, system);
    let number = match round {
        Round::Decimals(decimals) => format!("{value:.decimals$}"),
        Round::Significant(digits) => significant(value, digits),
        Round::Usual => {
            let decimals = shown_as(dimension, system).1;
            let number = format!("{value:.decimals$}");
            if number.contains('.') {
                number
                    .trim_end_matches('0')
                    .trim_end_matches('.')
                    .to_owned()
            } else {
                number
            }
        }
    };
    let number = match number.strip_prefix('-') {
        Some(zero) if !zero.contains(|c: char| ('1'..='9').contains(&c) || c.is_alphabetic()) => {
            zero.to_owned()
        }
        _ => number,
    };
    match (dimension, system) {
        (Dimension::Resistance, System::Us) if value >= 0.0 => format!("R-{number}"),
        (Dimension::Angle, _) => format!("{number}{symbol}"),
        _ => format!("{number} {symbol}"),
    }
}

fn shown_as(dimension: Dimension, system: System) -> (&'static str, usize) {
    match system {
        System::Metric => dimension.profile().metric,
        System::Us => dimension.profile().us,
    }
}

/// Plain digits from 1e-6 to 1e15, powers of ten beyond.
fn significant(value: f64, digits: usize) -> String {
    let rounded = format!("{value:.*e}", digits.max(1) - 1);
    let exponent = rounded
        .split_once('e')
        .and_then(|(_, exponent)| exponent.parse::<i32>().ok());
    match (exponent, rounded.parse::<f64>()) {
        (Some(exponent @ -6..=15), Ok(value)) => {
            let decimals =
                usize::try_from(digits.max(1) as i64 - 1 - i64::from(exponent)).unwrap_or(0);
            format!("{value:.decimals$}")
        }
        _ => rounded,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::parse;
    use proptest::prelude::*;

    const SYSTEMS: [System; 2] = [System::Metric, System::Us];

    #[test]
    fn the_unit_shown_is_in_the_table_and_the_examples_are_read() {
        for dimension in Dimension::ALL {
            for system in SYSTEMS {
                let symbol = shown_as(dimension, system).0;
                assert!(
                    symbol::by_symbol(symbol, dimension).is_some(),
                    "{dimension}: {symbol}"
                );
            }
            for example in dimension.profile().examples {
                assert!(parse(example, dimension).is_ok(), "{dimension}: {example}");
            }
        }
    }

    #[test]
    fn a_quantity_is_shown_with_its_usual_decimals() {
        use Dimension::*;
        let cases = [
            (17.2, Mass, "17.2 kg", "38 lb"),
            (0.0381, Length, "38 mm", "1.5 in"),
            (-12.2, Temperature, "-12 °C", "10 °F"),
            (-0.2, Temperature, "0 °C", "32 °F"),
            (1.32, Resistance, "1.32 m²K/W", "R-7.5"),
            (0.0008, OpeningArea, "8 cm²", "1.2 in²"),
            (0.15, Fraction, "15 %", "15 %"),
            (std::f64::consts::FRAC_PI_4, Angle, "45°", "45°"),
            (4.5e-7, Consumption, "39 g/day", "1.4 oz/day"),
        ];
        for (value_si, dimension, metric, us) in cases {
            assert_eq!(
                show(value_si, dimension, System::Metric, Round::Usual),
                metric
            );
            assert_eq!(show(value_si, dimension, System::Us, Round::Usual), us);
        }
    }

    #[test]
    fn significant_digits_hold_at_any_size() {
        let shown = |value| {
            show(
                value,
                Dimension::Mass,
                System::Metric,
                Round::Significant(3),
            )
        };
        assert_eq!(shown(1234.0), "1230 kg");
        assert_eq!(shown(0.001_234_5), "0.00123 kg");
        assert_eq!(shown(9.999), "10.0 kg");
        assert_eq!(shown(0.0), "0.00 kg");
        assert_eq!(shown(1.5e-9), "1.50e-9 kg");
        assert_eq!(shown(f64::NAN), "NaN kg");
    }

    fn any_dimension() -> impl Strategy<Value = Dimension> {
        proptest::sample::select(Dimension::ALL.to_vec())
    }

    proptest! {
        #[test]
        fn what_is_shown_is_read_again(
            mantissa in -10.0..10.0_f64,
            exponent in -12..12_i32,
            dimension in any_dimension(),
            system in proptest::sample::select(SYSTEMS.to_vec()),
        ) {
            let value_si = match dimension {
                Dimension::Temperature => mantissa * 27.0,
                _ => mantissa * 10_f64.powi(exponent),
            };
            let shown = show(value_si, dimension, system, Round::Significant(17));
            let read = parse(&shown, dimension);
            // A temperature passes through an offset of up to 460, which takes its last digits.
            let slack = 1e-14 * value_si.abs() + if dimension == Dimension::Temperature { 1e-12 } else { 0.0 };
            prop_assert!(read.as_ref().is_ok_and(|read| (read - value_si).abs() <= slack), "{shown}: {read:?}");
        }

        #[test]
        fn no_text_makes_the_reader_panic(text in any::<String>(), dimension in any_dimension()) {
            let _ = parse(&text, dimension).map_err(|error| error.to_string());
        }

        #[test]
        fn no_text_of_the_grammar_makes_the_reader_panic(
            text in "[-+\u{2212}R0-9.,/eE ½⅞'\"″′°CFKWmkginftlbs²23()·%]{0,24}",
            dimension in any_dimension(),
        ) {
            if let Ok(value_si) = parse(&text, dimension) {
                prop_assert!(value_si.is_finite());
            }
        }

        #[test]
        fn no_number_makes_the_writer_panic(
            value_si in any::<f64>(), digits in 0..40_usize, dimension in any_dimension(),
        ) {
            prop_assert!(!show(value_si, dimension, System::Us, Round::Significant(digits)).is_empty());
            prop_assert!(!show(value_si, dimension, System::Metric, Round::Decimals(digits)).is_empty());
        }
    }
}
