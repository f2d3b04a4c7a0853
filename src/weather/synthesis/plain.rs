//! The plain layout: what the readers take in and a person can read.

use std::io::{self, Write};

use super::super::normals::Normals;
use super::SyntheticWinter;

/// Writes made winters in the plain layout: a preamble of `# key: value` lines that says where they are
/// set and how they were made, a header, a row an hour. One decimal, cloud two.
///
/// # Errors
/// Those of the writer.
pub fn write_winters(
    normals: &Normals,
    seed: u64,
    winters: &[SyntheticWinter],
    out: &mut impl Write,
) -> io::Result<()> {
    let site = &normals.site;
    writeln!(out, "# name: {}", one_line(&normals.name))?;
    writeln!(out, "# latitude: {}", site.latitude_deg)?;
    writeln!(out, "# longitude: {}", site.longitude_deg)?;
    writeln!(out, "# elevation: {}", site.elevation_m)?;
    writeln!(out, "# utc_offset: {}", site.utc_offset_h)?;
    writeln!(
        out,
        "# invented: {} winters made from climate normals with seed {seed}; no record of real weather",
        winters.len()
    )?;
    writeln!(
        out,
        "time,temperature_c,dew_point_c,wind_m_s,global_w_m2,cloud_fraction,pressure_hpa"
    )?;
    for hour in winters.iter().flat_map(|winter| &winter.hours) {
        writeln!(
            out,
            "{},{:.1},{:.1},{:.1},{:.1},{:.2},{:.1}",
            hour.time.strftime("%Y-%m-%dT%H:%M"),
            positive_zero(hour.temperature_c),
            positive_zero(hour.dew_point_c),
            hour.wind_m_s,
            hour.global_w_m2,
            hour.cloud_fraction,
            hour.pressure_pa / 100.0,
        )?;
    }
    Ok(())
}

/// A name from a file may hold line breaks, and the preamble must not.
fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Values that would round to "-0.0" made zero.
fn positive_zero(value: f64) -> f64 {
    if value.abs() < 0.05 { 0.0 } else { value }
}
