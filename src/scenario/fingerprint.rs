//! A short hash of what a scenario means, however it is written.

use super::{Scenario, WeatherSource};
use crate::weather::column_unit::ColumnUnit;
use serde::Serialize;
use serde_json::Serializer;
use serde_json::ser::Formatter;
use sha2::{Digest, Sha256};
use std::io::{self, Write};
use std::path::Path;

/// Changes when the canonical text changes its form.
const FORM: &str = "overwinter scenario 2";
/// Bytes of the hash that are kept; two hex digits each.
const BYTES: usize = 8;

/// Sixteen hex digits of the SHA-256 of a canonical text of all values that results depend on: not of names, titles, sources and
/// notes, nor of formatting, comments or units as written. Numbers count to twelve digits, so that "19 mm" is "1.9 cm".
/// Weather files count by their paths from the scenario's folder, not by their content.
///
/// A field of the scenario counts unless it is marked to be skipped, so that a new one cannot be forgotten.
pub(super) fn fingerprint(scenario: &Scenario) -> String {
    let mut meant = scenario.clone();
    if let WeatherSource::Files { paths, columns, .. } = &mut meant.weather.source {
        let folder = scenario.path.as_deref().and_then(Path::parent);
        for path in paths {
            let own = folder.and_then(|folder| path.strip_prefix(folder).ok());
            let own = own.unwrap_or(path).to_string_lossy().replace('\\', "/");
            *path = own.into();
        }
        for (quantity, column) in columns.iter_mut().flat_map(|map| &mut map.columns) {
            // One unit has several spellings.
            if let Some(unit) = ColumnUnit::named(*quantity, &column.unit) {
                column.unit = unit.name.to_owned();
            }
        }
    }
    let mut text = FORM.as_bytes().to_vec();
    // Writing to memory cannot fail, nor has a scenario keys that are not text.
    let _ = meant.serialize(&mut Serializer::with_formatter(&mut text, Rounding));
    let hash = Sha256::digest(&text);
    hash.iter()
        .take(BYTES)
        .fold(String::new(), |hex, byte| hex + &format!("{byte:02x}"))
}

/// JSON whose numbers are rounded to twelve digits.
struct Rounding;

impl Formatter for Rounding {
    fn write_f64<W: ?Sized + Write>(&mut self, writer: &mut W, value: f64) -> io::Result<()> {
        // -0 is 0.
        write!(writer, "{:.11e}", value + 0.0)
    }
}
