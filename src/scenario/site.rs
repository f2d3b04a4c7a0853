//! Where the hive stands.

use super::error::ScenarioError;
use super::field::Field;
use super::season::{MonthDay, day};
use crate::season::{Site, SnowBank};
use crate::units::Dimension;
use serde::Serialize;

/// Wind at the hive as a share of the wind in the open, by words. Own estimate.
pub const SHELTERS: [(&str, f64); 3] = [("open", 0.6), ("hedge", 0.35), ("walled", 0.15)];

/// Where the hive stands.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SiteDescription {
    /// What people call it.
    #[serde(skip)]
    pub name: String,
    /// Degrees north, 0 to 90: the brood calendar of the model is that of northern winters.
    pub latitude_deg: f64,
    /// Degrees east, -180 to 180.
    pub longitude_deg: Option<f64>,
    /// Above sea level, m, -450 to 6,000.
    pub elevation_m: Option<f64>,
    /// Hours of local standard time ahead of UTC, -12 to 14; when not given, weather files or the longitude tell.
    pub utc_offset_h: Option<f64>,
    /// First and last day of snow on the ground, which throws the sun back; none without snow.
    pub snow: Option<[MonthDay; 2]>,
    /// Snow banked against the sides of the hive; its height by date only with days of snow. None when the hive is kept free.
    pub snow_bank: Option<SnowBank>,
    /// Wind at the hive as a share of the wind at its height in the open, 0 to 1.
    pub shelter: f64,
    /// The shelter as its keeper wrote it: "hedge", "0.35".
    #[serde(skip)]
    pub shelter_words: String,
}

impl SiteDescription {
    /// The site as the energy balance takes it.
    #[must_use]
    pub fn site(&self) -> Site {
        Site {
            latitude_deg: self.latitude_deg,
            longitude_deg: self.longitude_deg,
            utc_offset_h: self.utc_offset_h,
            elevation_m: self.elevation_m,
            snow: self.snow.map(|days| days.map(|day| (day.month, day.day))),
            snow_bank: self.snow_bank,
            shelter: self.shelter,
        }
    }
}

/// Keys of `[site]`.
pub(super) const KEYS: [&str; 8] = [
    "name",
    "latitude",
    "longitude",
    "elevation",
    "utc_offset",
    "shelter",
    "snow",
    "snow_bank",
];

pub(super) fn site(field: &Field<'_>) -> Result<SiteDescription, ScenarioError> {
    let table = field.table(&KEYS, "[site]")?;
    let latitude_deg = latitude_deg(&table.require("latitude", "latitude = 47.2")?)?;
    let (shelter, shelter_words) = shelter(&table.require("shelter", "shelter = \"hedge\"")?)?;
    let name = table
        .get("name")
        .map(|name| name.text("\"Home yard\""))
        .transpose()?;
    let snow = table.get("snow").map(|field| snow(&field)).transpose()?;
    Ok(SiteDescription {
        name: name.unwrap_or("unnamed site").to_owned(),
        latitude_deg,
        longitude_deg: table
            .get("longitude")
            .map(|field| longitude_deg(&field))
            .transpose()?,
        elevation_m: table
            .get("elevation")
            .map(|field| elevation_m(&field))
            .transpose()?,
        utc_offset_h: table
            .get("utc_offset")
            .map(|field| utc_offset_h(&field))
            .transpose()?,
        shelter,
        shelter_words,
        snow,
        snow_bank: table
            .get("snow_bank")
            .map(|field| snow_bank(&field, snow.is_some()))
            .transpose()?,
    })
}

/// "weather", or a height above the hive's floor, which needs days of snow.
fn snow_bank(field: &Field<'_>, has_days: bool) -> Result<SnowBank, ScenarioError> {
    if field.is_text() && field.text("\"30 cm\"")?.eq_ignore_ascii_case("weather") {
        return Ok(SnowBank::FromWeather);
    }
    let height_m = field.quantity(Dimension::Length, "0 cm", "300 cm")?;
    if has_days {
        return Ok(SnowBank::OnDays(height_m));
    }
    Err(field.not_allowed(
        "its days too, in snow = [\"1 December\", \"20 March\"], or snow_bank = \"weather\" for the depth in the weather files",
    ))
}

/// First and last day of snow on the ground.
pub(super) fn snow(field: &Field<'_>) -> Result<[MonthDay; 2], ScenarioError> {
    let days = field.list("[\"1 December\", \"20 March\"]")?;
    match days.as_slice() {
        [first, last] => Ok([day(first)?, day(last)?]),
        _ => Err(field.not_allowed("two days: the first and the last of snow on the ground, as [\"1 December\", \"20 March\"]")),
    }
}

pub(super) fn latitude_deg(field: &Field<'_>) -> Result<f64, ScenarioError> {
    let latitude_deg = degrees(field)?;
    if (0.0..=90.0).contains(&latitude_deg) {
        return Ok(latitude_deg);
    }
    Err(field.not_allowed(
        "0 to 90 degrees north (brood rearing is modelled for winters of the northern hemisphere)",
    ))
}

pub(super) fn elevation_m(field: &Field<'_>) -> Result<f64, ScenarioError> {
    field.quantity(Dimension::Elevation, "-450 m", "6000 m")
}

pub(super) fn utc_offset_h(field: &Field<'_>) -> Result<f64, ScenarioError> {
    let seconds = field.quantity(Dimension::Duration, "-12 h", "14 h")?;
    Ok(seconds / 3600.0)
}

pub(super) fn longitude_deg(field: &Field<'_>) -> Result<f64, ScenarioError> {
    let longitude_deg = degrees(field)?;
    if (-180.0..=180.0).contains(&longitude_deg) {
        return Ok(longitude_deg);
    }
    Err(field.not_allowed("-180 to 180 degrees, east above 0 and west below"))
}

/// Degrees, bare or with their sign: an angle on a map or a compass needs no unit.
pub(super) fn degrees(field: &Field<'_>) -> Result<f64, ScenarioError> {
    if field.is_number() {
        return field.number("47.2");
    }
    Ok(field.any_quantity(Dimension::Angle)?.to_degrees())
}

fn shelter(field: &Field<'_>) -> Result<(f64, String), ScenarioError> {
    if field.is_number() {
        return Ok((field.number_within(0.0, 1.0)?, field.written()));
    }
    let shelter = field.choice(&SHELTERS)?;
    let word = SHELTERS.iter().find(|(_, share)| *share == shelter);
    Ok((
        shelter,
        word.map_or_else(String::new, |(word, _)| (*word).to_owned()),
    ))
}
