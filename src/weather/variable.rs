//! What a weather record holds, and between which limits it can be.

use serde::{Deserialize, Serialize};

/// A quantity of the record, in SI units, one series each.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Variable {
    /// Air temperature in a screen, °C.
    Temperature,
    /// Dew point over water, °C.
    DewPoint,
    /// Wind speed at the station, 10 m above ground unless its keepers say otherwise, m/s.
    Wind,
    /// Share of the sky that is covered, 0 to 1.
    Cloud,
    /// Air pressure at the station (not at sea level), Pa.
    Pressure,
    /// Global radiation on the horizontal, mean of the hour, W/m2.
    Global,
    /// Direct radiation on a plane facing the sun, mean of the hour, W/m2.
    DirectNormal,
    /// Diffuse radiation on the horizontal, mean of the hour, W/m2.
    Diffuse,
    /// Depth of snow on the ground, m.
    SnowDepth,
}

impl Variable {
    /// How many there are.
    pub const COUNT: usize = 9;

    /// All of them, in the order of their columns in the plain layout.
    pub const ALL: [Variable; Variable::COUNT] = [
        Variable::Temperature,
        Variable::DewPoint,
        Variable::Wind,
        Variable::Cloud,
        Variable::Pressure,
        Variable::Global,
        Variable::DirectNormal,
        Variable::Diffuse,
        Variable::SnowDepth,
    ];

    /// Its name in text.
    pub fn name(self) -> &'static str {
        match self {
            Variable::Temperature => "temperature",
            Variable::DewPoint => "dew point",
            Variable::Wind => "wind",
            Variable::Cloud => "cloud",
            Variable::Pressure => "pressure",
            Variable::Global => "global radiation",
            Variable::DirectNormal => "direct normal radiation",
            Variable::Diffuse => "diffuse radiation",
            Variable::SnowDepth => "snow depth",
        }
    }

    /// Whether it is the mean of an hour rather than a reading at an instant.
    pub fn is_radiation(self) -> bool {
        matches!(
            self,
            Variable::Global | Variable::DirectNormal | Variable::Diffuse
        )
    }
}

/// What a column of a file may hold: a variable, or something that becomes one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Quantity {
    /// Air temperature.
    Temperature,
    /// Dew point over water.
    DewPoint,
    /// Relative humidity over water: becomes a dew point where the file has none.
    RelativeHumidity,
    /// Wind speed.
    Wind,
    /// Wind speed added up from hour to hour while the direction stays the same: differenced.
    WindRunningSum,
    /// Share of the sky that is covered.
    Cloud,
    /// Pressure at the station.
    Pressure,
    /// Pressure reduced to sea level: brought to the station's elevation.
    SeaLevelPressure,
    /// Global radiation on the horizontal.
    Global,
    /// Direct normal radiation.
    DirectNormal,
    /// Diffuse radiation on the horizontal.
    Diffuse,
    /// Depth of snow on the ground.
    SnowDepth,
}

impl Quantity {
    /// How many there are.
    pub const COUNT: usize = 12;

    /// Those that are a variable as they stand, with nothing to derive.
    pub const PLAIN: [Quantity; Variable::COUNT] = [
        Quantity::Temperature,
        Quantity::DewPoint,
        Quantity::Wind,
        Quantity::Cloud,
        Quantity::Pressure,
        Quantity::Global,
        Quantity::DirectNormal,
        Quantity::Diffuse,
        Quantity::SnowDepth,
    ];

    /// The variable that it becomes.
    pub fn variable(self) -> Variable {
        match self {
            Quantity::Temperature => Variable::Temperature,
            Quantity::DewPoint | Quantity::RelativeHumidity => Variable::DewPoint,
            Quantity::Wind | Quantity::WindRunningSum => Variable::Wind,
            Quantity::Cloud => Variable::Cloud,
            Quantity::Pressure | Quantity::SeaLevelPressure => Variable::Pressure,
            Quantity::Global => Variable::Global,
            Quantity::DirectNormal => Variable::DirectNormal,
            Quantity::Diffuse => Variable::Diffuse,
            Quantity::SnowDepth => Variable::SnowDepth,
        }
    }

    /// Its name in text.
    pub fn name(self) -> &'static str {
        match self {
            Quantity::RelativeHumidity => "relative humidity",
            Quantity::WindRunningSum => "running sum of wind",
            Quantity::SeaLevelPressure => "sea level pressure",
            other => other.variable().name(),
        }
    }

    /// Lowest and highest value that can be on Earth, in SI units.
    ///
    /// Temperature: records of the World Meteorological Organization's archive, -89.2 and 56.7 °C,
    /// rounded outward. Dew point: 35 °C is the highest in that archive. Wind: means of ten minutes
    /// above 75 m/s are known from tropical storms only. Pressure: 5,500 m to the record of 1,084 hPa
    /// at sea level, with room. Radiation: global may exceed the solar constant for minutes under
    /// broken cloud; instruments show a little less than zero at night. Snow: 11.8 m is the deepest on record
    /// (Mount Ibuki 1927), with room. (All from memory.)
    pub fn limits(self) -> (f64, f64) {
        match self {
            Quantity::Temperature => (-90.0, 60.0),
            Quantity::DewPoint => (-90.0, 36.0),
            Quantity::RelativeHumidity => (0.0, 1.1),
            Quantity::Wind => (0.0, 75.0),
            Quantity::WindRunningSum => (0.0, 1e5),
            Quantity::Cloud => (0.0, 1.0),
            Quantity::Pressure => (45_000.0, 110_000.0),
            Quantity::SeaLevelPressure => (85_000.0, 110_000.0),
            Quantity::Global => (-20.0, 1_600.0),
            Quantity::DirectNormal => (-20.0, 1_400.0),
            Quantity::Diffuse => (-20.0, 1_000.0),
            Quantity::SnowDepth => (0.0, 20.0),
        }
    }

    /// Unit of [`Quantity::limits`], as text.
    pub fn si_unit(self) -> &'static str {
        match self {
            Quantity::Temperature | Quantity::DewPoint => "°C",
            Quantity::RelativeHumidity | Quantity::Cloud => "as a fraction",
            Quantity::Wind | Quantity::WindRunningSum => "m/s",
            Quantity::Pressure | Quantity::SeaLevelPressure => "Pa",
            Quantity::Global | Quantity::DirectNormal | Quantity::Diffuse => "W/m2",
            Quantity::SnowDepth => "m",
        }
    }
}
