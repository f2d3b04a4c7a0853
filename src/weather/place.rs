//! Where a record is from, as far as its files say.

use serde::{Deserialize, Serialize};

/// A station, as far as it is known.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Place {
    /// Name of the station.
    pub name: Option<String>,
    /// Degrees north, -90 to 90.
    pub latitude: Option<f64>,
    /// Degrees east, -180 to 180.
    pub longitude: Option<f64>,
    /// Metres above sea level.
    pub elevation_m: Option<f64>,
    /// Hours of local standard time ahead of UTC, -12 to 14.
    pub utc_offset_h: Option<f64>,
}

impl Place {
    /// This place, with what it does not know taken from another.
    pub fn or(self, other: &Place) -> Place {
        Place {
            name: self.name.or_else(|| other.name.clone()),
            latitude: self.latitude.or(other.latitude),
            longitude: self.longitude.or(other.longitude),
            elevation_m: self.elevation_m.or(other.elevation_m),
            utc_offset_h: self.utc_offset_h.or(other.utc_offset_h),
        }
    }

    /// Distance to another place, km, on a sphere of 6,371 km radius (haversine formula); `None` unless both
    /// are known by latitude and longitude.
    pub fn distance_km(&self, other: &Place) -> Option<f64> {
        let [a, b] = [self.latitude?, other.latitude?].map(f64::to_radians);
        let dlon = (self.longitude? - other.longitude?).to_radians();
        let half = |angle: f64| {
            let sine = libm::sin(angle / 2.0);
            sine * sine
        };
        let h = half(a - b) + libm::cos(a) * libm::cos(b) * half(dlon);
        Some(2.0 * 6_371.0 * libm::asin(libm::sqrt(h.min(1.0))))
    }

    /// Reads one item of a file's metadata, if it is one of a place's and a number within its range.
    pub(crate) fn set(&mut self, key: &str, value: &str) {
        let value = value.trim().trim_matches('"').trim();
        let number = |low: f64, high: f64| {
            let first = value.split_whitespace().next()?;
            let number: f64 = first.parse().ok()?;
            (low..=high).contains(&number).then_some(number)
        };
        match key.trim().to_lowercase().replace([' ', '-'], "_").as_str() {
            "name" | "station" | "station_name" if !value.is_empty() => {
                self.name = Some(value.to_owned());
            }
            "latitude" | "lat" => self.latitude = number(-90.0, 90.0),
            "longitude" | "lon" => self.longitude = number(-180.0, 180.0),
            "elevation" | "elevation_m" | "altitude" => {
                self.elevation_m = number(-500.0, 9_000.0);
            }
            "utc_offset" | "utc_offset_h" => self.utc_offset_h = utc_offset_h(value),
            _ => {}
        }
    }
}

/// Reads an offset such as `-6`, `5.5`, `+05:30` or `UTC+1`, in hours.
fn utc_offset_h(text: &str) -> Option<f64> {
    let text = text.trim();
    let text = text
        .strip_prefix("UTC")
        .or_else(|| text.strip_prefix("GMT"))
        .unwrap_or(text);
    let text = text.trim_end_matches('h').trim();
    let hours = match text.split_once(':') {
        None => text.parse::<f64>().ok()?,
        Some((hours, minutes)) => {
            let sign = if hours.starts_with('-') { -1.0 } else { 1.0 };
            let hours: f64 = hours.parse().ok()?;
            let minutes: f64 = minutes.parse().ok()?;
            hours + sign * minutes / 60.0
        }
    };
    (-12.0..=14.0).contains(&hours).then_some(hours)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn offsets_are_read_as_people_write_them() {
        for (text, hours) in [
            ("-6", -6.0),
            ("UTC+1", 1.0),
            ("+05:30", 5.5),
            ("-03:30", -3.5),
            ("5.75", 5.75),
            ("-9 h", -9.0),
        ] {
            assert_eq!(utc_offset_h(text), Some(hours), "{text}");
        }
        assert_eq!(utc_offset_h("32400"), None);
        assert_eq!(utc_offset_h("noon"), None);
    }

    #[test]
    fn a_degree_of_latitude_is_a_hundred_and_eleven_kilometres() {
        let at = |latitude, longitude| Place {
            latitude: Some(latitude),
            longitude: Some(longitude),
            ..Place::default()
        };
        let distance = at(50.0, 10.0).distance_km(&at(51.0, 10.0)).unwrap();
        assert!((distance - 111.19).abs() < 0.01, "{distance}");
        let across = at(0.0, 179.5).distance_km(&at(0.0, -179.5)).unwrap();
        assert!((across - 111.19).abs() < 0.01, "{across}");
        assert_eq!(at(50.0, 10.0).distance_km(&Place::default()), None);
    }

    #[test]
    fn an_impossible_latitude_is_not_taken() {
        let mut place = Place::default();
        place.set("Latitude", "95");
        place.set("elevation", "1,000");
        place.set("name", "");
        assert_eq!(place, Place::default());
        place.set("Latitude", "52.5 N");
        assert_eq!(place.latitude, Some(52.5));
    }
}
