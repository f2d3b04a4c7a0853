//! Where a hive stands.

use serde::Serialize;

/// Where the hive stands, as far as its energy balance feels it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Site {
    /// Latitude, degrees north.
    pub latitude_deg: f64,
    /// Longitude, degrees east; without it, the middle of the clock's zone.
    pub longitude_deg: Option<f64>,
    /// Hours of local standard time ahead of UTC; without it, those of the longitude.
    pub utc_offset_h: Option<f64>,
    /// Elevation, m.
    pub elevation_m: Option<f64>,
    /// First and last day of snow on the ground, month and day.
    pub snow: Option<[(i8, i8); 2]>,
    /// Snow banked against the sides of the hive; none when it is kept free.
    pub snow_bank: Option<SnowBank>,
    /// Wind at the hive as a share of the wind at its height in the open, 0 to 1.
    pub shelter: f64,
}

/// How high snow lies against the sides of a hive.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub enum SnowBank {
    /// So high above the hive's floor on the days of [`Site::snow`], m.
    OnDays(f64),
    /// As deep as the weather record says, less the height of the stand.
    FromWeather,
}
