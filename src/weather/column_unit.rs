//! Units as headers of weather files write them, and what makes SI of them.

use super::variable::Quantity;

/// A unit of a column: `si = scale * value + offset`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ColumnUnit {
    /// The unit's name in reports.
    pub name: &'static str,
    /// Factor to SI.
    pub scale: f64,
    /// Offset to SI, after the factor.
    pub offset: f64,
}

impl ColumnUnit {
    const fn new(name: &'static str, scale: f64, offset: f64) -> Self {
        Self {
            name,
            scale,
            offset,
        }
    }

    /// Degrees Celsius.
    pub const CELSIUS: Self = Self::new("°C", 1.0, 0.0);
    /// Degrees Fahrenheit.
    pub const FAHRENHEIT: Self = Self::new("°F", 5.0 / 9.0, -160.0 / 9.0);
    /// Kelvin.
    pub const KELVIN: Self = Self::new("K", 1.0, -273.15);
    /// Tenths of a degree Celsius.
    pub const TENTHS_CELSIUS: Self = Self::new("0.1 °C", 0.1, 0.0);
    /// Metres a second.
    pub const METRES_SECOND: Self = Self::new("m/s", 1.0, 0.0);
    /// Tenths of a metre a second.
    pub const TENTHS_METRES_SECOND: Self = Self::new("0.1 m/s", 0.1, 0.0);
    /// Kilometres an hour.
    pub const KILOMETRES_HOUR: Self = Self::new("km/h", 1.0 / 3.6, 0.0);
    /// Statute miles an hour (1,609.344 m).
    pub const MILES_HOUR: Self = Self::new("mph", 0.447_04, 0.0);
    /// International knots (1,852 m an hour).
    pub const KNOTS: Self = Self::new("kn", 1852.0 / 3600.0, 0.0);
    /// Pascal.
    pub const PASCAL: Self = Self::new("Pa", 1.0, 0.0);
    /// Hectopascal, the same as millibar.
    pub const HECTOPASCAL: Self = Self::new("hPa", 100.0, 0.0);
    /// Tenths of a hectopascal.
    pub const TENTHS_HECTOPASCAL: Self = Self::new("0.1 hPa", 10.0, 0.0);
    /// Kilopascal.
    pub const KILOPASCAL: Self = Self::new("kPa", 1000.0, 0.0);
    /// Inches of mercury at 0 °C.
    pub const INCHES_MERCURY: Self = Self::new("inHg", 3_386.389, 0.0);
    /// Millimetres of mercury at 0 °C.
    pub const MILLIMETRES_MERCURY: Self = Self::new("mmHg", 133.322_4, 0.0);
    /// A fraction, 0 to 1.
    pub const FRACTION: Self = Self::new("fraction", 1.0, 0.0);
    /// Per cent.
    pub const PERCENT: Self = Self::new("%", 0.01, 0.0);
    /// Tenths of the sky.
    pub const TENTHS: Self = Self::new("tenths", 0.1, 0.0);
    /// Eighths of the sky.
    pub const OKTAS: Self = Self::new("oktas", 0.125, 0.0);
    /// Watts a square metre; the same number as Wh/m2 of one hour.
    pub const WATTS_M2: Self = Self::new("W/m2", 1.0, 0.0);
    /// Kilojoules a square metre in the hour.
    pub const KILOJOULES_M2_HOUR: Self = Self::new("kJ/m2 an hour", 1.0 / 3.6, 0.0);
    /// Joules a square centimetre in the hour.
    pub const JOULES_CM2_HOUR: Self = Self::new("J/cm2 an hour", 10.0 / 3.6, 0.0);
    /// Metres.
    pub const METRES: Self = Self::new("m", 1.0, 0.0);
    /// Centimetres.
    pub const CENTIMETRES: Self = Self::new("cm", 0.01, 0.0);
    /// Millimetres.
    pub const MILLIMETRES: Self = Self::new("mm", 0.001, 0.0);
    /// Inches (25.4 mm).
    pub const INCHES: Self = Self::new("in", 0.025_4, 0.0);
    /// Megajoules a square metre in the hour.
    pub const MEGAJOULES_M2_HOUR: Self = Self::new("MJ/m2 an hour", 1e6 / 3600.0, 0.0);

    /// A value in this unit, in SI.
    pub fn to_si(self, value: f64) -> f64 {
        self.scale * value + self.offset
    }

    /// Whether values are already what the record keeps.
    pub fn is_si(self) -> bool {
        self.scale == 1.0 && self.offset == 0.0
    }

    /// The unit of a quantity from the text of a header, whatever its case and spaces; `None` when the
    /// text names no unit of that quantity.
    ///
    /// ```
    /// use overwinter::weather::{column_unit::ColumnUnit, variable::Quantity};
    /// let unit = ColumnUnit::named(Quantity::Temperature, "°F").unwrap();
    /// assert!((unit.to_si(14.0) - -10.0).abs() < 1e-12);
    /// assert_eq!(ColumnUnit::named(Quantity::Wind, "°F"), None);
    /// ```
    pub fn named(quantity: Quantity, text: &str) -> Option<ColumnUnit> {
        let key: String = text
            .chars()
            .filter(|c| !matches!(c, ' ' | '_' | '.' | '^' | '°' | 'º'))
            .map(|c| match c {
                '²' => '2',
                'µ' => 'u',
                other => other.to_ascii_lowercase(),
            })
            .collect();
        let key = key.as_str();
        match quantity {
            Quantity::Temperature | Quantity::DewPoint => match key {
                "c" | "degc" | "celsius" | "degreescelsius" => Some(Self::CELSIUS),
                "f" | "degf" | "fahrenheit" | "degreesfahrenheit" => Some(Self::FAHRENHEIT),
                "k" | "kelvin" => Some(Self::KELVIN),
                "0.1c" | "01c" | "tenthsc" => Some(Self::TENTHS_CELSIUS),
                _ => None,
            },
            Quantity::Wind | Quantity::WindRunningSum => match key {
                "m/s" | "ms" | "ms-1" | "mps" | "metres/second" => Some(Self::METRES_SECOND),
                "km/h" | "kmh" | "kph" | "kmh-1" => Some(Self::KILOMETRES_HOUR),
                "mph" | "mp/h" | "mi/h" | "milesperhour" => Some(Self::MILES_HOUR),
                "kn" | "kt" | "kts" | "knots" | "knot" => Some(Self::KNOTS),
                _ => None,
            },
            Quantity::Pressure | Quantity::SeaLevelPressure => match key {
                "pa" => Some(Self::PASCAL),
                "hpa" | "mbar" | "mb" | "millibar" => Some(Self::HECTOPASCAL),
                "kpa" => Some(Self::KILOPASCAL),
                "inhg" | "inchesofmercury" => Some(Self::INCHES_MERCURY),
                "mmhg" | "torr" => Some(Self::MILLIMETRES_MERCURY),
                _ => None,
            },
            Quantity::RelativeHumidity | Quantity::Cloud => match key {
                "%" | "percent" | "pct" => Some(Self::PERCENT),
                "fraction" | "0-1" | "0to1" | "1" | "-" => Some(Self::FRACTION),
                "tenths" | "tenth" => Some(Self::TENTHS),
                "oktas" | "okta" | "eighths" => Some(Self::OKTAS),
                _ => None,
            },
            Quantity::Global | Quantity::DirectNormal | Quantity::Diffuse => match key {
                "w/m2" | "wm2" | "wm-2" | "wh/m2" | "whm2" => Some(Self::WATTS_M2),
                "kj/m2" | "kjm2" => Some(Self::KILOJOULES_M2_HOUR),
                "j/cm2" | "jcm2" => Some(Self::JOULES_CM2_HOUR),
                "mj/m2" | "mjm2" => Some(Self::MEGAJOULES_M2_HOUR),
                _ => None,
            },
            Quantity::SnowDepth => match key {
                "m" | "metres" | "meters" => Some(Self::METRES),
                "cm" | "centimetres" | "centimeters" => Some(Self::CENTIMETRES),
                "mm" | "millimetres" | "millimeters" => Some(Self::MILLIMETRES),
                "in" | "inch" | "inches" => Some(Self::INCHES),
                _ => None,
            },
        }
    }

    /// Units of a quantity that [`ColumnUnit::named`] knows, as text for errors.
    pub fn accepted(quantity: Quantity) -> &'static str {
        match quantity {
            Quantity::Temperature | Quantity::DewPoint => "C, F, K",
            Quantity::Wind | Quantity::WindRunningSum => "m/s, km/h, mph, kn",
            Quantity::Pressure | Quantity::SeaLevelPressure => "Pa, hPa, mbar, kPa, inHg, mmHg",
            Quantity::RelativeHumidity | Quantity::Cloud => "%, fraction, tenths, oktas",
            Quantity::Global | Quantity::DirectNormal | Quantity::Diffuse => {
                "W/m2, Wh/m2, kJ/m2, J/cm2, MJ/m2"
            }
            Quantity::SnowDepth => "m, cm, mm, in",
        }
    }

    /// The unit taken when a header names none: the one that national services use outside the United
    /// States.
    pub fn assumed(quantity: Quantity) -> ColumnUnit {
        match quantity {
            Quantity::Temperature | Quantity::DewPoint => Self::CELSIUS,
            Quantity::Wind | Quantity::WindRunningSum => Self::METRES_SECOND,
            Quantity::Pressure | Quantity::SeaLevelPressure => Self::HECTOPASCAL,
            Quantity::RelativeHumidity => Self::PERCENT,
            Quantity::Cloud => Self::FRACTION,
            Quantity::Global | Quantity::DirectNormal | Quantity::Diffuse => Self::WATTS_M2,
            Quantity::SnowDepth => Self::METRES,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_convert_to_their_published_equivalents() {
        let near = |unit: ColumnUnit, value: f64, si: f64| {
            assert!(
                (unit.to_si(value) - si).abs() < 1e-3,
                "{} {value}",
                unit.name
            );
        };
        near(ColumnUnit::FAHRENHEIT, -40.0, -40.0);
        near(ColumnUnit::FAHRENHEIT, 212.0, 100.0);
        near(ColumnUnit::KILOMETRES_HOUR, 36.0, 10.0);
        near(ColumnUnit::KNOTS, 1.0, 0.514_4);
        near(ColumnUnit::MILES_HOUR, 10.0, 4.470_4);
        near(ColumnUnit::JOULES_CM2_HOUR, 36.0, 100.0);
        near(ColumnUnit::MEGAJOULES_M2_HOUR, 0.36, 100.0);
        near(ColumnUnit::INCHES, 12.0, 0.304_8);
        assert!((ColumnUnit::INCHES_MERCURY.to_si(29.921_3) - 101_325.0).abs() < 1.0);
    }

    #[test]
    fn a_unit_is_known_whatever_its_case_spaces_and_degree_sign() {
        for text in ["°C", "C", "degC", "deg C", "Celsius", "º c"] {
            assert_eq!(
                ColumnUnit::named(Quantity::Temperature, text),
                Some(ColumnUnit::CELSIUS),
                "{text}"
            );
        }
        assert_eq!(
            ColumnUnit::named(Quantity::Global, "W/m²"),
            Some(ColumnUnit::WATTS_M2)
        );
        assert_eq!(ColumnUnit::named(Quantity::Temperature, "furlong"), None);
    }
}
