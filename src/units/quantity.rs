//! Reading a quantity into SI.

use super::dimension::Dimension;
use super::error::{QuantityError, quoted};
use super::table::{INCH_M, Unit};
use super::{number, symbol};

/// 0 K in °C.
const ABSOLUTE_ZERO_C: f64 = -273.15;

/// Reads a quantity as a person writes it and returns it in the SI base unit of its [`Dimension`].
///
/// A number is a decimal with a point (`0.035`, `1e-3`), a fraction (`7/8`, `⅞`) or a mixed number (`1 1/2`,
/// `1-1/2`, `1½`). Lengths, masses and durations may have two parts (`2 ft 3 in`). A thermal resistance may be
/// written `R-7.5` (US, h ft² °F/BTU) or `RSI-1.3` (m²K/W), a conductivity `R-5 per inch`, and pounds may be
/// `pounds of honey`. Only a share from 0 to 1 may be bare.
///
/// # Errors
/// [`QuantityError`] if the text is no finite number with a unit of this dimension, or a temperature below
/// absolute zero. Other limits (a thickness above zero, say) are the caller's.
///
/// ```
/// use overwinter::units::{Dimension, parse};
/// assert!((parse("1-1/2\"", Dimension::Length)? - 0.0381).abs() < 1e-12);
/// assert_eq!(parse("15 %", Dimension::Fraction)?, 0.15);
/// assert!((parse("R-7.5", Dimension::Resistance)? - 1.3208).abs() < 1e-4);
/// assert!(parse("1,5 in", Dimension::Length).unwrap_err().to_string().contains("'1.5 in'"));
/// # Ok::<(), overwinter::units::QuantityError>(())
/// ```
pub fn parse(text: &str, dimension: Dimension) -> Result<f64, QuantityError> {
    let plain = number::plain(text);
    refuse_comma(&plain)?;
    let source = Source { text, dimension };
    let value_si = match source.r_value(&plain)? {
        Some(value_si) => value_si,
        None => source.sum_of_parts(&plain)?,
    };
    if !value_si.is_finite() {
        return Err(QuantityError::NotFinite {
            text: quoted(text),
            dimension,
        });
    }
    if dimension != Dimension::Temperature {
        return Ok(value_si);
    }
    // -459.67 °F may come out below by the last digit.
    if value_si < ABSOLUTE_ZERO_C - 1e-9 {
        return Err(QuantityError::BelowAbsoluteZero { text: quoted(text) });
    }
    Ok(value_si.max(ABSOLUTE_ZERO_C))
}

/// Refuses "1,5 in" and "1,000 kg" with what may be meant.
fn refuse_comma(plain: &str) -> Result<(), QuantityError> {
    let digit_after = |at: usize| plain[at + 1..].starts_with(|c: char| c.is_ascii_digit());
    if !plain.match_indices(',').any(|(at, _)| digit_after(at)) {
        return Ok(());
    }
    let point = plain.replace(',', ".");
    let joined = plain.replace(',', "");
    let thousands = plain
        .split(',')
        .skip(1)
        .all(|group| group.bytes().take_while(u8::is_ascii_digit).count() == 3);
    let suggestion = match (plain.matches(',').count(), thousands) {
        (1, false) => format!("'{}'", quoted(&point)),
        (1, true) => format!("'{}' or '{}'", quoted(&point), quoted(&joined)),
        _ => format!("'{}'", quoted(&joined)),
    };
    Err(QuantityError::Comma {
        text: quoted(plain),
        suggestion,
    })
}

/// The text being read, kept for messages, and what it should measure.
struct Source<'a> {
    text: &'a str,
    dimension: Dimension,
}

impl Source<'_> {
    /// "2 ft 3 in" and every quantity in one part.
    fn sum_of_parts(&self, plain: &str) -> Result<f64, QuantityError> {
        let (value, rest) = self.number(plain)?;
        let (first, second) = self.split_parts(rest.trim());
        let Some(unit) = self.unit(first, value)? else {
            return Ok(value);
        };
        let Some(second) = second else {
            return Ok(unit.to_si(value));
        };
        let (small, rest) = self.number(second)?;
        let small_unit = self.unit(rest.trim(), small)?;
        match small_unit {
            Some(small_unit) if small_unit.factor < unit.factor => {
                Ok(unit.to_si(value) + small_unit.to_si(small).copysign(value))
            }
            _ => Err(QuantityError::Parts {
                text: quoted(self.text),
            }),
        }
    }

    /// Parts the unit from a second number that follows it: "ft 3 in" or `'3"`.
    fn split_parts<'t>(&self, unit: &'t str) -> (&'t str, Option<&'t str>) {
        if !matches!(
            self.dimension.kind(),
            Dimension::Length | Dimension::Mass | Dimension::Duration
        ) {
            return (unit, None);
        }
        let feet = |c: char| matches!(c, '\'' | '′' | '’');
        for (at, c) in unit.char_indices().filter(|(_, c)| *c == ' ' || feet(*c)) {
            let rest = &unit[at + c.len_utf8()..];
            // `2'-3"`: the hyphen of drawings.
            let second = if feet(c) {
                rest.strip_prefix('-').unwrap_or(rest)
            } else {
                rest
            };
            if number::begins(second) {
                return (unit[..at + c.len_utf8()].trim_end(), Some(second));
            }
        }
        (unit, None)
    }

    fn number<'t>(&self, plain: &'t str) -> Result<(f64, &'t str), QuantityError> {
        let (text, dimension) = (|| quoted(self.text), self.dimension);
        number::leading(plain).map_err(|fault| match fault {
            number::Fault::Absent => QuantityError::NoNumber {
                text: text(),
                dimension,
            },
            number::Fault::NotFinite => QuantityError::NotFinite {
                text: text(),
                dimension,
            },
            number::Fault::Fraction => QuantityError::Fraction { text: text() },
        })
    }

    /// The unit so written; none for a share that may stand bare.
    fn unit(&self, written: &str, value: f64) -> Result<Option<&'static Unit>, QuantityError> {
        let (text, dimension) = (quoted(self.text), self.dimension);
        if written.is_empty() {
            let bare = dimension == Dimension::Fraction && (0.0..=1.0).contains(&value);
            return if bare {
                Ok(None)
            } else {
                Err(QuantityError::NoUnit { text, dimension })
            };
        }
        let written = match written.strip_suffix("of honey") {
            Some(mass) if dimension == Dimension::Mass => mass.trim_end(),
            _ => written,
        };
        let plain = symbol::plain(written);
        if let Some(unit) = symbol::find(&plain, dimension) {
            return Ok(Some(unit));
        }
        let unit = quoted(written);
        Err(match symbol::dimension_of(&plain) {
            Some(found) => QuantityError::OtherDimension {
                text,
                unit,
                found,
                dimension,
            },
            None => {
                let nearest = symbol::nearest(&plain, dimension);
                QuantityError::UnknownUnit {
                    text,
                    unit,
                    dimension,
                    nearest,
                }
            }
        })
    }

    /// "R-7.5", "RSI-1.3" or "R-5 per inch"; none if the text is not of that form.
    fn r_value(&self, plain: &str) -> Result<Option<f64>, QuantityError> {
        let prefix = plain.bytes().take_while(u8::is_ascii_alphabetic).count();
        let (prefix, rest) = plain.split_at(prefix);
        let symbol = match prefix.to_ascii_uppercase().as_str() {
            "R" => Dimension::Resistance.profile().us.0,
            "RSI" => Dimension::Resistance.profile().metric.0,
            _ => return Ok(None),
        };
        let rest = rest.trim_start();
        let rest = rest.strip_prefix('-').unwrap_or(rest).trim_start();
        let Some(unit) = symbol::by_symbol(symbol, Dimension::Resistance) else {
            return Ok(None);
        };
        if !number::begins(rest) {
            return Ok(None);
        }
        let (value, rest) = self.number(rest)?;
        let resistance_m2k_w = unit.to_si(value);
        let per_inch = match symbol::plain(rest).as_str() {
            "" => false,
            "/in" | "/inch" | "perin" | "perinch" => true,
            _ => {
                let (text, unit) = (quoted(self.text), quoted(rest));
                return Err(QuantityError::UnknownUnit {
                    text,
                    unit,
                    dimension: self.dimension,
                    nearest: None,
                });
            }
        };
        let (found, value_si) = match per_inch {
            true => (Dimension::Conductivity, INCH_M / resistance_m2k_w),
            false => (Dimension::Resistance, resistance_m2k_w),
        };
        if found == self.dimension {
            return Ok(Some(value_si));
        }
        Err(QuantityError::OtherDimension {
            text: quoted(self.text),
            unit: prefix.to_owned(),
            found,
            dimension: self.dimension,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn message(text: &str, dimension: Dimension) -> String {
        parse(text, dimension).unwrap_err().to_string()
    }

    #[test]
    fn quantities_are_read_as_people_write_them() {
        use Dimension::*;
        let cases = [
            ("38 mm", Length, 0.038),
            ("38mm", Length, 0.038),
            ("1.5 in", Length, 0.0381),
            ("1 1/2 in", Length, 0.0381),
            ("1-1/2\"", Length, 0.0381),
            ("1½″", Length, 0.0381),
            ("1 ½ in.", Length, 0.0381),
            ("7/8 in", Length, 0.022225),
            ("⅞ in", Length, 0.022225),
            ("7⁄8 in", Length, 0.022225),
            ("3 ft", Length, 0.9144),
            ("2 ft 3 in", Length, 0.6858),
            ("2' 3\"", Length, 0.6858),
            ("2'-3\"", Length, 0.6858),
            ("2′3 1/2″", Length, 0.6985),
            ("-2 ft 3 in", Elevation, -0.6858),
            ("1e-3 m", Length, 0.001),
            ("80 lb", Mass, 36.287_389_6),
            ("80 lbs. of honey", Mass, 36.287_389_6),
            ("6 lb 8 oz", Mass, 2.948_350_405),
            ("500 g", Mass, 0.5),
            ("36 KG", Mass, 36.0),
            ("20 °C", Temperature, 20.0),
            ("20 degC", Temperature, 20.0),
            ("20 C", Temperature, 20.0),
            ("68 F", Temperature, 20.0),
            ("293 K", Temperature, 19.85),
            ("\u{2212}40 °F", Temperature, -40.0),
            ("-459.67 F", Temperature, -273.15),
            ("9 °F", TemperatureDifference, 5.0),
            ("0.035 W/mK", Conductivity, 0.035),
            ("0.035 W/(m K)", Conductivity, 0.035),
            ("0.035 W/(m·K)", Conductivity, 0.035),
            ("0.035 W·m⁻¹·K⁻¹", Conductivity, 0.035),
            ("R-5 per inch", Conductivity, 0.028_845_577_773),
            ("R5/in", Conductivity, 0.028_845_577_773),
            ("1.3 m²K/W", Resistance, 1.3),
            ("RSI-1.3", Resistance, 1.3),
            ("15 %", Fraction, 0.15),
            ("0.15", Fraction, 0.15),
            ("1/4", Fraction, 0.25),
            ("28 lb/ft3", Density, 448.516_974_471),
            ("15 mph", Speed, 6.7056),
            ("10 km/h", Speed, 2.777_777_778),
            ("5 kn", Speed, 2.572_222_222),
            ("3 sq in", OpeningArea, 0.001_935_48),
            ("20 cm2", OpeningArea, 0.002),
            ("25 W", Power, 25.0),
            ("39 g a day", Consumption, 0.039 / 86_400.0),
            ("1 day 12 h", Duration, 129_600.0),
            ("180°", Angle, std::f64::consts::PI),
        ];
        for (text, dimension, value_si) in cases {
            let read = parse(text, dimension).unwrap_or_else(|error| panic!("{error}"));
            assert_relative_eq!(read, value_si, max_relative = 1e-9, epsilon = 1e-12);
        }
    }

    /// Factors as printed, rounded to seven digits, in NIST SP 811 (2008), appendix B.8: from memory. Half a unit
    /// of the seventh digit is at most 5e-7 of the value.
    #[test]
    fn compound_us_units_agree_with_the_printed_factors() {
        use Dimension::*;
        let cases = [
            ("1 BTU in/(h ft2 F)", Conductivity, 0.144_227_9),
            ("1 Btu/(hr·ft·°F)", Conductivity, 1.730_735),
            ("1 Btu/hr-ft²-°F", Transmittance, 5.678_263),
            ("R-1", Resistance, 0.176_110_2),
            ("1 BTU/(h F)", Conductance, 0.527_527_9),
            ("1 BTU/(lb F)", SpecificHeat, 4_186.8),
            ("1 BTU/h", Power, 0.293_071_1),
            ("1 lb/ft3", Density, 16.018_46),
            ("1 gal", Volume, 3.785_412e-3),
            ("1 cfm", AirFlow, 4.719_474e-4),
            ("1 BTU/(h ft2)", Irradiance, 3.154_591),
        ];
        for (text, dimension, value_si) in cases {
            let read = parse(text, dimension).unwrap_or_else(|error| panic!("{error}"));
            assert_relative_eq!(read, value_si, max_relative = 5e-7);
        }
    }

    #[test]
    fn a_bare_number_is_refused_with_examples() {
        assert!(
            message("38", Dimension::Length)
                .contains("the unit is missing; write '38 mm' or '1.5 in'")
        );
        assert!(message("15", Dimension::Fraction).contains("write '15 %' or '0.15'"));
        assert!(message("1 1/2", Dimension::Length).contains("the unit is missing"));
    }

    #[test]
    fn a_comma_is_refused_with_what_may_be_meant() {
        assert!(message("1,5 in", Dimension::Length).ends_with("write '1.5 in'"));
        assert!(message("1,000 kg", Dimension::Mass).ends_with("write '1.000 kg' or '1000 kg'"));
        assert!(message("1,000,000 m", Dimension::Elevation).ends_with("write '1000000 m'"));
    }

    #[test]
    fn a_unit_of_another_dimension_is_named_as_such() {
        assert!(message("38 kg", Dimension::Length).contains("'kg' is a mass; a length is asked"));
        assert!(
            message("20 °C", Dimension::Mass).contains("'°C' is a temperature; a mass is asked")
        );
        assert!(message("R-7.5", Dimension::Conductivity).contains("'R' is a thermal resistance"));
        assert!(
            message("R-5 per inch", Dimension::Resistance)
                .contains("'R' is a thermal conductivity")
        );
    }

    #[test]
    fn an_unknown_unit_is_answered_with_the_nearest() {
        assert!(
            message("38 milimetres", Dimension::Length)
                .contains("unknown unit 'milimetres', nearest is 'mm'")
        );
        assert!(message("3 inchs", Dimension::Length).contains("nearest is 'in'"));
        assert!(
            message("4 ??", Dimension::Mass)
                .contains("unknown unit '??'; write '36 kg' or '80 lb'")
        );
        assert!(message("R-7.5 metric", Dimension::Resistance).contains("unknown unit"));
    }

    #[test]
    fn only_finite_numbers_are_read() {
        for text in ["NaN kg", "inf kg", "-Infinity kg", "1e999 kg", "∞ kg"] {
            assert!(
                message(text, Dimension::Mass).contains("must be a finite number"),
                "{text}"
            );
        }
        assert!(message("1e308 km", Dimension::Length).contains("must be a finite number"));
        assert!(
            message("R-0 per inch", Dimension::Conductivity).contains("must be a finite number")
        );
        for text in ["", "  ", "kg", "-", ".", "e5 kg", "- kg", "R-"] {
            assert!(
                message(text, Dimension::Mass).contains("begins with a number"),
                "{text}"
            );
        }
    }

    #[test]
    fn a_temperature_below_absolute_zero_is_refused() {
        for text in ["-274 °C", "-460 F", "-1 K"] {
            assert!(
                message(text, Dimension::Temperature).contains("below absolute zero"),
                "{text}"
            );
        }
        assert!(parse("-460 F", Dimension::TemperatureDifference).is_ok());
    }

    #[test]
    fn a_fraction_that_is_none_is_refused() {
        for text in [
            "1/0 in",
            "1 3/2 in",
            "3/4/5 in",
            "99999999999/2 in",
            "1/2.5 in",
        ] {
            assert!(
                message(text, Dimension::Length).contains("not a fraction"),
                "{text}"
            );
        }
    }

    #[test]
    fn parts_go_from_the_larger_unit_to_the_smaller() {
        assert!(
            message("3 in 2 ft", Dimension::Length).contains("from the larger unit to the smaller")
        );
        assert!(message("2 ft 3", Dimension::Length).contains("the unit is missing"));
    }

    #[test]
    fn a_long_text_is_cut_in_the_message() {
        assert!(message(&"x".repeat(100_000), Dimension::Mass).len() < 300);
    }
}
