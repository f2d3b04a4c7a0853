//! Climate normals of a place: twelve months of means, from which winters are made.
//!
//! The numbers are those that weather services print in their tables of normals, but for the spread
//! and the persistence of daily means, which few print: the scale of both is given below.

mod annual_cycle;

use serde::Deserialize;
use thiserror::Error;
use toml::Spanned;

use super::sun::Observer;

pub(crate) use self::annual_cycle::AnnualCycle;

/// Twelve values, January first.
pub type Months = [f64; 12];

/// What is normal at a place, month by month.
#[derive(Debug, Clone, PartialEq)]
pub struct Normals {
    /// Name of the place.
    pub name: String,
    /// Where it is and what its clock shows.
    pub site: Observer,
    /// Lag-one autocorrelation of daily mean temperatures about the normal course, 0.57 to 0.9: about 0.65
    /// in the middle of a continent, 0.8 near an ocean.
    pub persistence: f64,
    /// Mean temperature, °C.
    pub temperature_c: Months,
    /// Mean of daily maximum less daily minimum, K.
    pub daily_range_k: Months,
    /// Standard deviation of daily mean temperatures about the normal course, K: in January about 7 in the
    /// middle of a continent, 3.5 near an ocean.
    pub daily_mean_sd_k: Months,
    /// Mean wind at 10 m, m/s.
    pub wind_m_s: Months,
    /// Mean cloud cover as a fraction of the sky.
    pub cloud_fraction: Months,
    /// Mean relative humidity over water, as a fraction.
    pub relative_humidity: Months,
}

/// A file of normals that cannot be used.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum NormalsError {
    /// Not TOML, a key missing or unknown, or not twelve numbers.
    #[error(
        "climate normals, {at}: {problem}; allowed are name, latitude_deg, longitude_deg, \
         elevation_m, utc_offset_h, persistence and the lists of twelve numbers \
         temperature_c, daily_range_k, daily_mean_sd_k, wind_m_s, cloud_fraction, \
         relative_humidity"
    )]
    Layout {
        /// The line, in words.
        at: String,
        /// What the TOML reader says.
        problem: String,
    },
    /// A value outside its range.
    #[error(
        "climate normals, line {line}: {field}{month} is {value}, allowed is {lowest} to {highest}; {hint}"
    )]
    Value {
        /// Line of the key in the file, from 1.
        line: usize,
        /// The key.
        field: &'static str,
        /// " of January" and so on, or nothing.
        month: String,
        /// The value found.
        value: f64,
        /// Lowest value allowed.
        lowest: f64,
        /// Highest value allowed.
        highest: f64,
        /// What may be wrong.
        hint: &'static str,
    },
}

const MONTH_NAMES: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct NormalsFile {
    name: String,
    latitude_deg: Spanned<f64>,
    longitude_deg: Spanned<f64>,
    elevation_m: Spanned<f64>,
    utc_offset_h: Spanned<f64>,
    persistence: Spanned<f64>,
    temperature_c: Spanned<Months>,
    daily_range_k: Spanned<Months>,
    daily_mean_sd_k: Spanned<Months>,
    wind_m_s: Spanned<Months>,
    cloud_fraction: Spanned<Months>,
    relative_humidity: Spanned<Months>,
}

/// Reads a TOML file of climate normals.
///
/// # Errors
/// [`NormalsError`] for text that is not TOML, for keys missing or unknown, for lists that are not
/// twelve numbers, and for values out of range, with the line.
///
/// ```
/// use overwinter::weather::normals::normals_from_toml;
///
/// let error = normals_from_toml("name = 'Nowhere'\nlatitude_deg = 47.0\n").unwrap_err();
/// assert!(error.to_string().contains("longitude_deg"));
/// ```
pub fn normals_from_toml(text: &str) -> Result<Normals, NormalsError> {
    let file: NormalsFile = toml::from_str(text).map_err(|error| NormalsError::Layout {
        at: match error.span() {
            Some(span) => format!("line {}", line_of(text, span.start)),
            None => "whole file".to_owned(),
        },
        problem: error.message().to_owned(),
    })?;
    let check = Check { text };
    Ok(Normals {
        site: Observer {
            latitude_deg: check.one(
                &file.latitude_deg,
                "latitude_deg",
                -66.0,
                66.0,
                "degrees north; beyond the polar circles there is no daily course to make",
            )?,
            longitude_deg: check.one(
                &file.longitude_deg,
                "longitude_deg",
                -180.0,
                180.0,
                "degrees east, west is negative",
            )?,
            elevation_m: check.one(
                &file.elevation_m,
                "elevation_m",
                -500.0,
                6_000.0,
                "metres above sea level",
            )?,
            utc_offset_h: check.one(
                &file.utc_offset_h,
                "utc_offset_h",
                -12.0,
                14.0,
                "hours ahead of UTC, west is negative",
            )?,
        },
        persistence: check.one(
            &file.persistence,
            "persistence",
            0.57,
            0.9,
            "lag-one autocorrelation of daily means, 0.65 is usual",
        )?,
        temperature_c: check.months(
            &file.temperature_c,
            "temperature_c",
            -60.0,
            40.0,
            "is it in Fahrenheit?",
        )?,
        daily_range_k: check.months(
            &file.daily_range_k,
            "daily_range_k",
            1.0,
            25.0,
            "daily maximum less daily minimum",
        )?,
        daily_mean_sd_k: check.months(
            &file.daily_mean_sd_k,
            "daily_mean_sd_k",
            0.5,
            15.0,
            "standard deviation of daily means",
        )?,
        wind_m_s: check.months(
            &file.wind_m_s,
            "wind_m_s",
            0.2,
            20.0,
            "is it in km/h or mph?",
        )?,
        cloud_fraction: check.months(
            &file.cloud_fraction,
            "cloud_fraction",
            0.02,
            0.98,
            "a fraction, not percent, tenths or eighths",
        )?,
        relative_humidity: check.months(
            &file.relative_humidity,
            "relative_humidity",
            0.25,
            0.98,
            "a fraction, not percent",
        )?,
        name: file.name,
    })
}

struct Check<'a> {
    text: &'a str,
}

impl Check<'_> {
    fn one(
        &self,
        value: &Spanned<f64>,
        field: &'static str,
        lowest: f64,
        highest: f64,
        hint: &'static str,
    ) -> Result<f64, NormalsError> {
        let list = Spanned::new(value.span(), [*value.get_ref()]);
        self.list(&list, field, lowest, highest, hint)
            .map(|[one]| one)
    }

    fn months(
        &self,
        values: &Spanned<Months>,
        field: &'static str,
        lowest: f64,
        highest: f64,
        hint: &'static str,
    ) -> Result<Months, NormalsError> {
        self.list(values, field, lowest, highest, hint)
    }

    fn list<const N: usize>(
        &self,
        values: &Spanned<[f64; N]>,
        field: &'static str,
        lowest: f64,
        highest: f64,
        hint: &'static str,
    ) -> Result<[f64; N], NormalsError> {
        for (month, &value) in values.get_ref().iter().enumerate() {
            if !(lowest..=highest).contains(&value) {
                return Err(NormalsError::Value {
                    line: line_of(self.text, values.span().start),
                    field,
                    month: if N == 1 {
                        String::new()
                    } else {
                        format!(" of {}", MONTH_NAMES[month])
                    },
                    value,
                    lowest,
                    highest,
                    hint,
                });
            }
        }
        Ok(*values.get_ref())
    }
}

fn line_of(text: &str, byte: usize) -> usize {
    1 + text.bytes().take(byte).filter(|&b| b == b'\n').count()
}

#[cfg(test)]
mod tests {
    use super::*;

    const PLAIN: &str = "\
name = 'Nowhere'
latitude_deg = 47.0
longitude_deg = -93.0
elevation_m = 350.0
utc_offset_h = -6.0
persistence = 0.65
temperature_c = [-11.0, -9.0, -3.0, 5.0, 12.0, 17.0, 20.0, 19.0, 14.0, 7.0, -1.0, -8.0]
daily_range_k = [10.0, 10.0, 10.0, 11.0, 12.0, 12.0, 12.0, 12.0, 11.0, 10.0, 8.0, 9.0]
daily_mean_sd_k = [7.0, 7.0, 6.0, 5.0, 4.5, 4.0, 3.0, 3.0, 4.0, 5.0, 6.0, 7.0]
wind_m_s = [3.5, 3.5, 3.5, 4.0, 4.0, 3.5, 3.0, 3.0, 3.5, 3.5, 3.5, 3.5]
cloud_fraction = [0.6, 0.6, 0.6, 0.6, 0.6, 0.5, 0.5, 0.5, 0.5, 0.6, 0.7, 0.7]
relative_humidity = [0.75, 0.75, 0.7, 0.65, 0.6, 0.7, 0.7, 0.7, 0.75, 0.75, 0.8, 0.8]
";

    #[test]
    fn a_plain_file_is_read_as_it_stands() {
        let normals = normals_from_toml(PLAIN).expect("the file is sound");
        assert_eq!(normals.name, "Nowhere");
        assert_eq!(normals.site.utc_offset_h, -6.0);
        assert_eq!(normals.temperature_c[11], -8.0);
    }

    #[test]
    fn a_temperature_in_fahrenheit_is_refused_with_its_line_and_month() {
        let text = PLAIN.replace("-3.0, 5.0, 12.0", "-3.0, 5.0, 54.0");
        let message = normals_from_toml(&text).expect_err("54 °C").to_string();
        assert!(message.contains("line 7"), "{message}");
        assert!(message.contains("temperature_c of May is 54"), "{message}");
        assert!(message.contains("Fahrenheit"), "{message}");
    }

    #[test]
    fn eleven_months_are_refused_with_the_line() {
        let text = PLAIN.replace("wind_m_s = [3.5, ", "wind_m_s = [");
        let message = normals_from_toml(&text).expect_err("eleven").to_string();
        assert!(message.contains("line 10"), "{message}");
    }

    #[test]
    fn an_unknown_key_is_refused_with_the_line() {
        let text = format!("{PLAIN}snow_m = 0.4\n");
        let message = normals_from_toml(&text).expect_err("unknown").to_string();
        assert!(
            message.contains("line 13") && message.contains("snow_m"),
            "{message}"
        );
    }

    #[test]
    fn not_a_number_is_refused() {
        let text = PLAIN.replace("persistence = 0.65", "persistence = nan");
        assert!(normals_from_toml(&text).is_err());
    }
}
