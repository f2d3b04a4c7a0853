//! What a number measures, and in which unit each system shows it.

use std::fmt;

/// The system of units that output is written in. Input may mix both.
#[derive(
    Debug,
    Clone,
    Copy,
    Default,
    PartialEq,
    Eq,
    Hash,
    clap::ValueEnum,
    serde::Serialize,
    serde::Deserialize,
)]
#[serde(rename_all = "lowercase")]
pub enum System {
    /// SI with the multiples of everyday use: mm, kg, °C, W.
    #[default]
    Metric,
    /// US customary units: in, lb, °F, BTU/h.
    Us,
}

/// What a number measures. The comment of each names the SI base unit that [`parse`](super::parse) returns
/// and [`show`](super::show) expects, then the unit shown in the metric and in the US system.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Dimension {
    /// m; shown in mm or in.
    Length,
    /// m, for heights and distances: shown in m or ft, read like [`Dimension::Length`].
    Elevation,
    /// m²; shown in m² or ft².
    Area,
    /// m², for entrances and vents: shown in cm² or in², read like [`Dimension::Area`].
    OpeningArea,
    /// m³; shown in L or US gal.
    Volume,
    /// kg; shown in kg or lb.
    Mass,
    /// °C, not below absolute zero; shown in °C or °F.
    Temperature,
    /// K; shown in K or °F.
    TemperatureDifference,
    /// W/mK; shown in W/mK or BTU in/(h ft² °F).
    Conductivity,
    /// m²K/W; shown in m²K/W or as an R-value in h ft² °F/BTU.
    Resistance,
    /// W/m²K; shown in W/m²K or BTU/(h ft² °F).
    Transmittance,
    /// W/K; shown in W/K or BTU/(h °F).
    Conductance,
    /// kg/m³; shown in kg/m³ or lb/ft³.
    Density,
    /// J/kgK; shown in J/kgK or BTU/(lb °F).
    SpecificHeat,
    /// m/s; shown in m/s or mph.
    Speed,
    /// Pa; shown in hPa or inHg, as weather reports do.
    Pressure,
    /// W; shown in W or BTU/h.
    Power,
    /// W/kg; shown in W/kg or BTU/(h lb).
    SpecificPower,
    /// W/m²; shown in W/m² or BTU/(h ft²).
    Irradiance,
    /// J; shown in MJ or BTU.
    Energy,
    /// kg/s of stores eaten; shown in g/day or oz/day.
    Consumption,
    /// m³/s of air; shown in L/s or cfm.
    AirFlow,
    /// A share, 1 for the whole; shown in %. The only dimension that may be written bare, from 0 to 1.
    Fraction,
    /// s; shown in h.
    Duration,
    /// rad; shown in degrees.
    Angle,
}

/// How a dimension is named and shown.
pub(super) struct Profile {
    /// With its article, for messages: "a length".
    pub name: &'static str,
    /// Symbol of the unit shown and its usual decimals, metric.
    pub metric: (&'static str, usize),
    /// The same, US.
    pub us: (&'static str, usize),
    /// Two examples as a user would write them, for messages.
    pub examples: [&'static str; 2],
}

impl Dimension {
    /// Every dimension, in the order of the definition.
    pub const ALL: [Dimension; 25] = {
        use Dimension::*;
        [
            Length,
            Elevation,
            Area,
            OpeningArea,
            Volume,
            Mass,
            Temperature,
            TemperatureDifference,
            Conductivity,
            Resistance,
            Transmittance,
            Conductance,
            Density,
            SpecificHeat,
            Speed,
            Pressure,
            Power,
            SpecificPower,
            Irradiance,
            Energy,
            Consumption,
            AirFlow,
            Fraction,
            Duration,
            Angle,
        ]
    };

    /// The dimension whose units this one shares.
    pub(super) fn kind(self) -> Dimension {
        match self {
            Dimension::Elevation => Dimension::Length,
            Dimension::OpeningArea => Dimension::Area,
            other => other,
        }
    }

    pub(super) fn profile(self) -> Profile {
        let (name, metric, us, examples) = match self {
            Dimension::Length => ("a length", ("mm", 0), ("in", 2), ["38 mm", "1.5 in"]),
            Dimension::Elevation => (
                "a height or distance",
                ("m", 0),
                ("ft", 0),
                ["120 m", "400 ft"],
            ),
            Dimension::Area => ("an area", ("m²", 2), ("ft²", 1), ["0.2 m2", "2 sq ft"]),
            Dimension::OpeningArea => ("an area", ("cm²", 1), ("in²", 1), ["20 cm2", "3 sq in"]),
            Dimension::Volume => ("a volume", ("L", 1), ("gal", 1), ["42 L", "11 gal"]),
            Dimension::Mass => ("a mass", ("kg", 1), ("lb", 0), ["36 kg", "80 lb"]),
            Dimension::Temperature => ("a temperature", ("°C", 0), ("°F", 0), ["20 °C", "68 °F"]),
            Dimension::TemperatureDifference => (
                "a temperature difference",
                ("K", 1),
                ("°F", 1),
                ["5 K", "9 °F"],
            ),
            Dimension::Conductivity => (
                "a thermal conductivity",
                ("W/mK", 3),
                ("BTU in/(h ft² °F)", 2),
                ["0.035 W/mK", "0.24 BTU in/(h ft2 F)"],
            ),
            Dimension::Resistance => (
                "a thermal resistance",
                ("m²K/W", 2),
                ("h ft² °F/BTU", 1),
                ["1.3 m2K/W", "R-7.5"],
            ),
            Dimension::Transmittance => (
                "a thermal transmittance",
                ("W/m²K", 2),
                ("BTU/(h ft² °F)", 3),
                ["0.7 W/m2K", "0.12 BTU/(h ft2 F)"],
            ),
            Dimension::Conductance => (
                "a thermal conductance",
                ("W/K", 2),
                ("BTU/(h °F)", 2),
                ["1.2 W/K", "2.3 BTU/(h F)"],
            ),
            Dimension::Density => (
                "a density",
                ("kg/m³", 0),
                ("lb/ft³", 1),
                ["450 kg/m3", "28 lb/ft3"],
            ),
            Dimension::SpecificHeat => (
                "a specific heat capacity",
                ("J/kgK", 0),
                ("BTU/(lb °F)", 3),
                ["1600 J/kgK", "0.38 BTU/(lb F)"],
            ),
            Dimension::Speed => ("a speed", ("m/s", 1), ("mph", 0), ["5 m/s", "15 mph"]),
            Dimension::Pressure => (
                "a pressure",
                ("hPa", 1),
                ("inHg", 2),
                ["1013 hPa", "29.9 inHg"],
            ),
            Dimension::Power => ("a power", ("W", 1), ("BTU/h", 1), ["25 W", "85 BTU/h"]),
            Dimension::SpecificPower => (
                "a power per mass",
                ("W/kg", 1),
                ("BTU/(h lb)", 1),
                ["4.5 W/kg", "7 BTU/(h lb)"],
            ),
            Dimension::Irradiance => (
                "an irradiance",
                ("W/m²", 0),
                ("BTU/(h ft²)", 0),
                ["300 W/m2", "95 BTU/(h ft2)"],
            ),
            Dimension::Energy => ("an energy", ("MJ", 1), ("BTU", 0), ["12.8 MJ", "12100 BTU"]),
            Dimension::Consumption => (
                "a daily consumption",
                ("g/day", 0),
                ("oz/day", 1),
                ["39 g/day", "1.4 oz/day"],
            ),
            Dimension::AirFlow => ("an air flow", ("L/s", 2), ("cfm", 2), ["0.5 L/s", "1 cfm"]),
            Dimension::Fraction => ("a share", ("%", 0), ("%", 0), ["15 %", "0.15"]),
            Dimension::Duration => ("a duration", ("h", 1), ("h", 1), ["50 h", "2 days"]),
            Dimension::Angle => ("an angle", ("°", 1), ("°", 1), ["45°", "45 deg"]),
        };
        Profile {
            name,
            metric,
            us,
            examples,
        }
    }
}

/// The name with its article, as messages use it: "a length".
impl fmt::Display for Dimension {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.profile().name)
    }
}
