//! The one table of units: symbol, other spellings, factor to SI and where the factor comes from.
//!
//! Customary units follow from four definitions: the international yard and pound (1959: 1 ft = 0.3048 m,
//! 1 lb = 0.453 592 37 kg), the International Table BTU (1055.055 852 62 J) and 1 °F = 5/9 K; all exact by
//! definition, see NIST SP 811 (2008), appendix B. Compound factors are written as products of these four,
//! so that no rounded factor enters.

use super::dimension::Dimension::{self, *};

const FOOT_M: f64 = 0.3048;
pub(super) const INCH_M: f64 = 0.0254;
pub(crate) const POUND_KG: f64 = 0.453_592_37;
const OUNCE_KG: f64 = POUND_KG / 16.0;
const BTU_J: f64 = 1_055.055_852_62;
const FAHRENHEIT_K: f64 = 5.0 / 9.0;
const HOUR_S: f64 = 3_600.0;
const DAY_S: f64 = 24.0 * HOUR_S;
const FOOT_M2: f64 = FOOT_M * FOOT_M;
pub(super) const INCH_M3: f64 = INCH_M * INCH_M * INCH_M;

const SI: &str = "SI, exact";
const YARD: &str = "international yard and pound (1959), exact; NIST SP 811";
const BTU: &str = "BTU_IT with the international yard and pound, exact; NIST SP 811";
const GALLON: &str = "US liquid gallon of 231 in3, exact; NIST SP 811";
const MERCURY: &str = "conventional column of mercury, rounded to 7 digits; NIST SP 811";
const WATER: &str = "conventional column of water, rounded to 7 digits; NIST SP 811";

impl Dimension {
    /// The units this dimension is read in, in the order of the table.
    pub fn units(self) -> impl Iterator<Item = &'static Unit> {
        let kind = self.kind();
        TABLE.iter().filter(move |unit| unit.dimension == kind)
    }
}

/// One unit. A value x in it is `(x + offset) * factor` in the SI base unit of its dimension.
#[derive(Debug, Clone, Copy)]
pub struct Unit {
    /// The symbol that is written in output; it is read as well.
    pub symbol: &'static str,
    /// Other spellings that are read. Blanks, brackets, middle dots and raised digits do not matter.
    pub aliases: &'static [&'static str],
    /// What it measures.
    pub dimension: Dimension,
    /// SI base units in one of it.
    pub factor: f64,
    /// Added before the factor; zero but for °F and K as temperatures.
    pub offset: f64,
    /// Where the factor comes from.
    pub source: &'static str,
}

impl Unit {
    /// From this unit to the SI base unit of its dimension.
    pub fn to_si(&self, value: f64) -> f64 {
        (value + self.offset) * self.factor
    }

    /// From the SI base unit of its dimension to this unit.
    pub fn from_si(&self, value_si: f64) -> f64 {
        value_si / self.factor - self.offset
    }
}

const fn unit(
    dimension: Dimension,
    symbol: &'static str,
    factor: f64,
    source: &'static str,
    aliases: &'static [&'static str],
) -> Unit {
    Unit {
        symbol,
        aliases,
        dimension,
        factor,
        offset: 0.0,
        source,
    }
}

/// All units that are read, by dimension.
#[rustfmt::skip]
pub const TABLE: &[Unit] = &[
    unit(Length, "mm", 1e-3, SI, &["millimetre", "millimetres", "millimeter", "millimeters"]),
    unit(Length, "cm", 1e-2, SI, &["centimetre", "centimetres", "centimeter", "centimeters"]),
    unit(Length, "m", 1.0, SI, &["metre", "metres", "meter", "meters"]),
    unit(Length, "km", 1e3, SI, &["kilometre", "kilometres", "kilometer", "kilometers"]),
    unit(Length, "in", INCH_M, YARD, &["\"", "inch", "inches"]),
    unit(Length, "ft", FOOT_M, YARD, &["'", "foot", "feet"]),
    unit(Length, "yd", 3.0 * FOOT_M, YARD, &["yard", "yards"]),
    unit(Length, "mi", 5_280.0 * FOOT_M, YARD, &["mile", "miles"]),
    unit(Area, "mm²", 1e-6, SI, &["sq mm"]),
    unit(Area, "cm²", 1e-4, SI, &["sq cm"]),
    unit(Area, "m²", 1.0, SI, &["sq m"]),
    unit(Area, "in²", INCH_M * INCH_M, YARD, &["sq in", "sq inch", "sq inches", "square inch", "square inches"]),
    unit(Area, "ft²", FOOT_M2, YARD, &["sq ft", "sq feet", "square foot", "square feet"]),
    unit(Volume, "L", 1e-3, SI, &["l", "litre", "litres", "liter", "liters"]),
    unit(Volume, "mL", 1e-6, SI, &["ml"]),
    unit(Volume, "cm³", 1e-6, SI, &["cc", "cu cm"]),
    unit(Volume, "m³", 1.0, SI, &["cu m"]),
    unit(Volume, "gal", 231.0 * INCH_M3, GALLON, &["gallon", "gallons", "US gal"]),
    unit(Volume, "qt", 231.0 * INCH_M3 / 4.0, GALLON, &["quart", "quarts"]),
    unit(Volume, "in³", INCH_M3, YARD, &["cu in", "cubic inch", "cubic inches"]),
    unit(Volume, "ft³", FOOT_M2 * FOOT_M, YARD, &["cu ft", "cubic foot", "cubic feet"]),
    unit(Mass, "kg", 1.0, SI, &["kilo", "kilos", "kilogram", "kilograms"]),
    unit(Mass, "g", 1e-3, SI, &["gram", "grams"]),
    unit(Mass, "mg", 1e-6, SI, &["milligram", "milligrams"]),
    unit(Mass, "lb", POUND_KG, YARD, &["lbs", "pound", "pounds"]),
    unit(Mass, "oz", OUNCE_KG, YARD, &["ounce", "ounces"]),
    unit(Temperature, "°C", 1.0, SI, &["C", "Celsius"]),
    Unit { offset: -32.0, ..unit(Temperature, "°F", FAHRENHEIT_K, "exact; NIST SP 811", &["F", "Fahrenheit"]) },
    Unit { offset: -273.15, ..unit(Temperature, "K", 1.0, SI, &["kelvin"]) },
    unit(TemperatureDifference, "K", 1.0, SI, &["kelvin"]),
    unit(TemperatureDifference, "°C", 1.0, SI, &["C", "Celsius"]),
    unit(TemperatureDifference, "°F", FAHRENHEIT_K, "exact; NIST SP 811", &["F", "Fahrenheit"]),
    unit(Conductivity, "W/mK", 1.0, SI, &["W/m/K", "W m-1 K-1", "W/m°C"]),
    unit(Conductivity, "BTU in/(h ft² °F)", BTU_J * INCH_M / (HOUR_S * FOOT_M2 * FAHRENHEIT_K), BTU, &["BTU in/(hr ft2 F)", "BTU in/(ft2 h F)", "BTU in/(ft2 hr F)"]),
    unit(Conductivity, "BTU/(h ft °F)", BTU_J / (HOUR_S * FOOT_M * FAHRENHEIT_K), BTU, &["BTU/(hr ft F)", "BTU/(ft h F)", "BTU/(ft hr F)"]),
    unit(Resistance, "m²K/W", 1.0, SI, &["K m2/W", "m2°C/W"]),
    unit(Resistance, "h ft² °F/BTU", HOUR_S * FOOT_M2 * FAHRENHEIT_K / BTU_J, BTU, &["hr ft2 F/BTU", "ft2 h F/BTU", "ft2 hr F/BTU", "ft2 F h/BTU", "ft2 F hr/BTU"]),
    unit(Transmittance, "W/m²K", 1.0, SI, &["W/m2/K", "W m-2 K-1", "W/m2°C"]),
    unit(Transmittance, "BTU/(h ft² °F)", BTU_J / (HOUR_S * FOOT_M2 * FAHRENHEIT_K), BTU, &["BTU/(hr ft2 F)", "BTU/(ft2 h F)", "BTU/(ft2 hr F)"]),
    unit(Conductance, "W/K", 1.0, SI, &["W K-1", "W/°C"]),
    unit(Conductance, "BTU/(h °F)", BTU_J / (HOUR_S * FAHRENHEIT_K), BTU, &["BTU/(hr F)"]),
    unit(Density, "kg/m³", 1.0, SI, &["kg m-3"]),
    unit(Density, "g/cm³", 1e3, SI, &["g/cc", "g/mL", "kg/L"]),
    unit(Density, "lb/ft³", POUND_KG / (FOOT_M2 * FOOT_M), YARD, &["lb/cu ft", "pounds/cubic foot", "pcf"]),
    unit(SpecificHeat, "J/kgK", 1.0, SI, &["J/kg/K", "J kg-1 K-1", "J/kg°C"]),
    unit(SpecificHeat, "kJ/kgK", 1e3, SI, &["kJ/kg/K", "kJ kg-1 K-1", "kJ/kg°C"]),
    unit(SpecificHeat, "BTU/(lb °F)", BTU_J / (POUND_KG * FAHRENHEIT_K), BTU, &["BTU/lb/F"]),
    unit(Speed, "m/s", 1.0, SI, &["m s-1"]),
    unit(Speed, "km/h", 1e3 / HOUR_S, SI, &["kmh", "kph", "km/hr"]),
    unit(Speed, "mph", 5_280.0 * FOOT_M / HOUR_S, YARD, &["mi/h", "mile/hour", "miles/hour"]),
    unit(Speed, "ft/s", FOOT_M, YARD, &["fps"]),
    unit(Speed, "kn", 1_852.0 / HOUR_S, "international nautical mile, exact; NIST SP 811", &["kt", "kts", "knot", "knots"]),
    unit(Pressure, "Pa", 1.0, SI, &["pascal"]),
    unit(Pressure, "hPa", 1e2, SI, &["mbar", "mb"]),
    unit(Pressure, "kPa", 1e3, SI, &[]),
    unit(Pressure, "inHg", 3_386.389, MERCURY, &["in Hg"]),
    unit(Pressure, "mmHg", 133.322_4, MERCURY, &["mm Hg"]),
    unit(Pressure, "inH2O", 249.088_9, WATER, &["in wc", "inwg"]),
    unit(Power, "W", 1.0, SI, &["watt", "watts", "J/s"]),
    unit(Power, "kW", 1e3, SI, &[]),
    unit(Power, "BTU/h", BTU_J / HOUR_S, BTU, &["BTU/hr", "BTU/hour", "BTUh"]),
    unit(SpecificPower, "W/kg", 1.0, SI, &["mW/g"]),
    unit(SpecificPower, "W/lb", 1.0 / POUND_KG, YARD, &[]),
    unit(SpecificPower, "BTU/(h lb)", BTU_J / (HOUR_S * POUND_KG), BTU, &["BTU/(hr lb)", "BTU/(lb h)", "BTU/(lb hr)"]),
    unit(Irradiance, "W/m²", 1.0, SI, &["W m-2"]),
    unit(Irradiance, "BTU/(h ft²)", BTU_J / (HOUR_S * FOOT_M2), BTU, &["BTU/(hr ft2)", "BTU/(ft2 h)", "BTU/(ft2 hr)"]),
    unit(Energy, "J", 1.0, SI, &["joule", "joules"]),
    unit(Energy, "kJ", 1e3, SI, &[]),
    unit(Energy, "MJ", 1e6, SI, &[]),
    unit(Energy, "Wh", HOUR_S, SI, &["W h"]),
    unit(Energy, "kWh", 1e3 * HOUR_S, SI, &["kW h"]),
    unit(Energy, "BTU", BTU_J, BTU, &[]),
    unit(Consumption, "g/day", 1e-3 / DAY_S, SI, &["g/d", "g a day"]),
    unit(Consumption, "kg/day", 1.0 / DAY_S, SI, &["kg/d", "kg a day"]),
    unit(Consumption, "kg/week", 1.0 / (7.0 * DAY_S), SI, &["kg a week"]),
    unit(Consumption, "kg/s", 1.0, SI, &[]),
    unit(Consumption, "oz/day", OUNCE_KG / DAY_S, YARD, &["oz/d", "oz a day"]),
    unit(Consumption, "lb/day", POUND_KG / DAY_S, YARD, &["lb/d", "lbs/day", "lb a day"]),
    unit(Consumption, "lb/week", POUND_KG / (7.0 * DAY_S), YARD, &["lbs/week", "lb a week"]),
    unit(AirFlow, "L/s", 1e-3, SI, &[]),
    unit(AirFlow, "m³/h", 1.0 / HOUR_S, SI, &[]),
    unit(AirFlow, "m³/s", 1.0, SI, &[]),
    unit(AirFlow, "cfm", FOOT_M2 * FOOT_M / 60.0, YARD, &["ft3/min", "cu ft/min"]),
    unit(Fraction, "%", 1e-2, "exact", &["percent", "per cent", "pct"]),
    unit(Duration, "s", 1.0, SI, &["sec", "second", "seconds"]),
    unit(Duration, "min", 60.0, SI, &["minute", "minutes"]),
    unit(Duration, "h", HOUR_S, SI, &["hr", "hrs", "hour", "hours"]),
    unit(Duration, "days", DAY_S, SI, &["d", "day"]),
    unit(Duration, "weeks", 7.0 * DAY_S, SI, &["week"]),
    unit(Angle, "°", std::f64::consts::PI / 180.0, "exact", &["deg", "degree", "degrees"]),
    unit(Angle, "rad", 1.0, SI, &["radian", "radians"]),
];
