//! Options that say what pieces are cut from.

use super::common::quantity_within;
use super::error::CliError;
use crate::hive::sheet::Sheet;
use crate::units::{Dimension, System, parse};
use clap::Args;

const SHEET: &str = "--sheet";
const EXAMPLES: &str = "\"1220 mm x 2440 mm\" or \"4 ft x 8 ft\"";

/// Sheets as they are sold, and the saw.
#[derive(Debug, Args)]
pub(super) struct SheetOptions {
    /// Size of the sheets that pieces are cut from [default: 1220 mm x 2440 mm, or 4 ft x 8 ft with US units].
    #[arg(long, value_name = "SIZE", allow_hyphen_values = true)]
    sheet: Option<String>,
    /// Width of the saw's cut [default: 3 mm, or 1/8 in with US units].
    #[arg(long, value_name = "WIDTH", allow_hyphen_values = true)]
    kerf: Option<String>,
}

impl SheetOptions {
    pub fn read(&self, units: System) -> Result<Sheet, CliError> {
        let (sheet, kerf) = match units {
            System::Metric => ("1220 mm x 2440 mm", "3 mm"),
            System::Us => ("4 ft x 8 ft", "1/8 in"),
        };
        let (width_m, length_m) = size(self.sheet.as_deref().unwrap_or(sheet))?;
        Ok(Sheet {
            width_m,
            length_m,
            kerf_m: quantity_within(
                "--kerf",
                self.kerf.as_deref().unwrap_or(kerf),
                Dimension::Length,
                (0.0, 0.02),
                "0 to 20 mm",
            )?,
        })
    }
}

/// Two lengths with "x", "×" or "by" between them; the unit may stand once, at the end.
fn size(text: &str) -> Result<(f64, f64), CliError> {
    let plain = text.replace('×', "x").replace(" by ", " x ");
    let edges: Vec<&str> = plain.split(['x', 'X']).map(str::trim).collect();
    let [width, length] = edges[..] else {
        return Err(CliError::Option {
            option: SHEET,
            problem: format!(
                "'{text}' is no size of a sheet; write width and length, as {EXAMPLES}"
            ),
        });
    };
    let bare = parse(width, Dimension::Length).is_err();
    let unit = length.trim_start_matches(|c: char| !c.is_alphabetic() && c != '"' && c != '\'');
    let joined = format!("{width} {unit}");
    let width = if bare && parse(&joined, Dimension::Length).is_ok() {
        &joined
    } else {
        width
    };
    let edge = |edge| {
        quantity_within(
            SHEET,
            edge,
            Dimension::Length,
            (0.05, 10.0),
            "an edge of 50 mm to 10 m",
        )
    };
    Ok((edge(width)?, edge(length)?))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_size_is_read_in_either_system_with_its_unit_once_or_twice() {
        for text in [
            "4 ft x 8 ft",
            "4 x 8 ft",
            "4' × 8'",
            "48\" by 96\"",
            "1219.2 x 2438.4 mm",
            "4ftX96in",
        ] {
            let (width_m, length_m) = size(text).unwrap();
            assert!(
                (width_m - 1.2192).abs() < 1e-9 && (length_m - 2.4384).abs() < 1e-9,
                "{text}"
            );
        }
    }

    #[test]
    fn what_is_no_size_is_refused_with_an_example() {
        for text in [
            "",
            "x",
            "4 ft",
            "4 x 8",
            "1 m x 2 m x 3 m",
            "1 kg x 2 m",
            "0 m x 2 m",
            "-1 m x 2 m",
            "1 m x 99 m",
        ] {
            let message = size(text).unwrap_err().to_string();
            assert!(message.starts_with("--sheet: "), "{text}: {message}");
        }
        assert!(size("4 ft").unwrap_err().to_string().contains(EXAMPLES));
    }
}
