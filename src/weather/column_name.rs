//! Names of columns as headers write them: what a column holds and in which unit.

use super::column_unit::ColumnUnit;
use super::error::WeatherError;
use super::table::Column;
use super::variable::Quantity;

/// What a header says of a column.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Named {
    /// What it holds.
    pub quantity: Quantity,
    /// Its unit, if the header names one.
    pub unit: Option<ColumnUnit>,
}

/// Units that may end a name, as in `temperature_c`.
const SUFFIXES: [&str; 35] = [
    "degc", "degf", "c", "f", "k", "m_s", "ms", "mps", "km_h", "kmh", "kph", "mph", "kn", "kt",
    "knots", "w_m2", "wm2", "kj_m2", "j_cm2", "mj_m2", "pa", "hpa", "mbar", "mb", "kpa", "inhg",
    "percent", "pct", "fraction", "tenths", "oktas", "mm", "cm", "m", "in",
];

/// A name in lower case, its words joined by `_`.
fn stem(text: &str) -> String {
    let words = text.to_lowercase().replace(['-', '.', '/'], " ");
    let words: Vec<&str> = words.split([' ', '_']).filter(|w| !w.is_empty()).collect();
    words.join("_")
}

/// What a stem means.
fn quantity(stem: &str) -> Option<Quantity> {
    Some(match stem {
        "temperature"
        | "temp"
        | "t"
        | "tair"
        | "air_temperature"
        | "air_temp"
        | "t2m"
        | "temperature_2m"
        | "dry_bulb"
        | "drybulb"
        | "dry_bulb_temperature"
        | "dry_bulb_temp"
        | "drybulbtemperature" => Quantity::Temperature,
        "dew_point"
        | "dewpoint"
        | "dewp"
        | "dwpt"
        | "td"
        | "dew"
        | "dew_point_2m"
        | "dewpoint_2m"
        | "dew_point_temp"
        | "dew_point_temperature" => Quantity::DewPoint,
        "relative_humidity"
        | "humidity"
        | "rh"
        | "humi"
        | "humid"
        | "rhum"
        | "rel_hum"
        | "relative_humidity_2m"
        | "relativehumidity_2m" => Quantity::RelativeHumidity,
        "wind" | "wind_speed" | "windspeed" | "wspd" | "ws" | "wind_spd" | "wind_speed_10m"
        | "windspeed_10m" => Quantity::Wind,
        "iws" | "wind_running_sum" => Quantity::WindRunningSum,
        "cloud" | "clouds" | "cloud_cover" | "cloudcover" | "total_cloud" | "total_cloud_cover" => {
            Quantity::Cloud
        }
        "pressure" | "pres" | "station_pressure" | "surface_pressure" | "stn_press" => {
            Quantity::Pressure
        }
        "sea_level_pressure" | "slp" | "msl" | "mslp" | "pressure_msl" => {
            Quantity::SeaLevelPressure
        }
        "global"
        | "ghi"
        | "global_radiation"
        | "global_horizontal"
        | "shortwave_radiation"
        | "solar_radiation"
        | "global_horizontal_radiation" => Quantity::Global,
        "direct_normal" | "dni" | "direct_normal_irradiance" | "direct_normal_radiation" => {
            Quantity::DirectNormal
        }
        "diffuse"
        | "dhi"
        | "diffuse_radiation"
        | "diffuse_horizontal"
        | "diffuse_horizontal_radiation" => Quantity::Diffuse,
        "snow_depth" | "snowdepth" | "depth_of_snow" => Quantity::SnowDepth,
        _ => return None,
    })
}

/// Reads a column's name: `temperature (F)`, `temperature [°F]`, `temperature_f` or `temperature`. `None`
/// for a column that is of no use here; an error's text for a unit that is unknown.
pub(crate) fn named(header: &str) -> Option<Result<Named, String>> {
    let header = header.trim();
    let bracket = header
        .find(['(', '['])
        .filter(|_| header.ends_with([')', ']']));
    if let Some(at) = bracket {
        let text = header[at + 1..header.len() - 1].trim();
        let quantity = quantity(&stem(&header[..at]))?;
        return Some(match ColumnUnit::named(quantity, text) {
            Some(unit) => Ok(Named {
                quantity,
                unit: Some(unit),
            }),
            None => Err(format!(
                "the unit {text:?} of column {header:?}; known are {}",
                ColumnUnit::accepted(quantity)
            )),
        });
    }
    let whole = stem(header);
    if let Some(quantity) = quantity(&whole) {
        return Some(Ok(Named {
            quantity,
            unit: None,
        }));
    }
    SUFFIXES.iter().find_map(|suffix| {
        let name = whole.strip_suffix(suffix)?.strip_suffix('_')?;
        let quantity = quantity(name)?;
        let unit = ColumnUnit::named(quantity, suffix)
            .or_else(|| ColumnUnit::named(quantity, &suffix.replace('_', "/")))?;
        Some(Ok(Named {
            quantity,
            unit: Some(unit),
        }))
    })
}

/// The columns of a header that are of use, the first of each kind, and notes on units that no header
/// names.
pub(crate) fn columns(
    file: &str,
    layout: &'static str,
    line: u64,
    header: &[String],
) -> Result<(Vec<Column>, Vec<String>), WeatherError> {
    let mut columns: Vec<Column> = Vec::new();
    let mut notes = Vec::new();
    for (index, name) in header.iter().enumerate() {
        let Some(named) = named(name) else { continue };
        let named = named.map_err(|wanted| WeatherError::MissingColumn {
            file: file.to_owned(),
            line,
            layout,
            wanted,
            found: header.join(", "),
        })?;
        if columns.iter().any(|c| c.quantity == named.quantity) {
            continue;
        }
        let unit = named.unit.unwrap_or_else(|| {
            let unit = ColumnUnit::assumed(named.quantity);
            notes.push(format!(
                "column {name} names no unit: taken as {}",
                unit.name
            ));
            unit
        });
        columns.push(Column::new(index, named.quantity, unit, name));
    }
    if !columns
        .iter()
        .any(|column| column.quantity == Quantity::Temperature)
    {
        return Err(WeatherError::MissingColumn {
            file: file.to_owned(),
            line,
            layout,
            wanted: "the temperature".to_owned(),
            found: header.join(", "),
        });
    }
    Ok((columns, notes))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(header: &str) -> (Quantity, Option<ColumnUnit>) {
        let named = named(header).unwrap().unwrap();
        (named.quantity, named.unit)
    }

    #[test]
    fn a_unit_is_read_in_brackets_or_as_a_suffix() {
        let fahrenheit = (Quantity::Temperature, Some(ColumnUnit::FAHRENHEIT));
        for header in ["temperature (F)", "Temp [°F]", "temperature_f", "TEMP_DEGF"] {
            assert_eq!(read(header), fahrenheit, "{header}");
        }
        let wind = (Quantity::Wind, Some(ColumnUnit::METRES_SECOND));
        for header in ["wind_m_s", "wind speed (m/s)", "wind_speed_10m (m/s)"] {
            assert_eq!(read(header), wind, "{header}");
        }
        assert_eq!(
            read("wind_km_h"),
            (Quantity::Wind, Some(ColumnUnit::KILOMETRES_HOUR))
        );
        assert_eq!(
            read("global_w_m2"),
            (Quantity::Global, Some(ColumnUnit::WATTS_M2))
        );
        assert_eq!(
            read("relative_humidity (%)"),
            (Quantity::RelativeHumidity, Some(ColumnUnit::PERCENT))
        );
        assert_eq!(
            read("cloud_fraction"),
            (Quantity::Cloud, Some(ColumnUnit::FRACTION))
        );
        for (header, unit) in [
            ("snow_depth_m", ColumnUnit::METRES),
            ("snow depth (cm)", ColumnUnit::CENTIMETRES),
            ("snow_depth_mm", ColumnUnit::MILLIMETRES),
            ("Snow Depth [in]", ColumnUnit::INCHES),
        ] {
            assert_eq!(read(header), (Quantity::SnowDepth, Some(unit)), "{header}");
        }
    }

    #[test]
    fn a_name_without_unit_keeps_it_open_and_a_strange_one_is_nothing() {
        assert_eq!(read("TEMP"), (Quantity::Temperature, None));
        assert!(named("season").is_none());
        assert!(named("soil_moisture_0_to_7cm (m³/m³)").is_none());
    }

    #[test]
    fn an_unknown_unit_is_named_with_the_known_ones() {
        let text = named("wind (furlong/h)").unwrap().unwrap_err();
        assert!(
            text.contains("furlong/h") && text.contains("km/h"),
            "{text}"
        );
    }
}
