//! `pairs.csv`: a row a member, with what became of it in each scenario of a comparison, SI units.

use super::daily::commented_csv;
use super::{Comparison, OutputError};
use crate::ensemble::Fate;

/// The table of all members; columns of a scenario end in its letter, as `need_kg_b`. Its first line is a comment that begins with `#`.
///
/// A scenario's columns do not depend on which others are compared.
///
/// # Errors
/// [`OutputError::Format`].
pub fn csv(comparison: &Comparison, fates: &[Vec<Fate>]) -> Result<Vec<u8>, OutputError> {
    let columns = [
        "bees",
        "stores_kg",
        "end",
        "need_kg",
        "left_kg",
        "wet_lid_h",
    ];
    let mut head = vec!["member".to_owned(), "winter".to_owned()];
    for entry in &comparison.entries {
        let letter = entry.letter.to_ascii_lowercase();
        head.extend(columns.map(|column| format!("{column}_{letter}")));
    }
    let first = fates.first().map_or(&[][..], Vec::as_slice);
    let members: Vec<Vec<&Fate>> = (0..first.len())
        .map(|row| fates.iter().filter_map(|own| own.get(row)).collect())
        .collect();
    let Some(made_by) = comparison.entries.first().map(|entry| &entry.provenance) else {
        return Ok(Vec::new());
    };
    let others = comparison.entries.iter().skip(1);
    let others = others.map(|entry| entry.provenance.fingerprint.as_str());
    let made_by = format!(
        "{}, against {}",
        made_by.line(),
        others.collect::<Vec<_>>().join(", ")
    );
    commented_csv(&made_by, &head, &members, |row| {
        let mut cells = Vec::with_capacity(head.len());
        if let Some(first) = row.first() {
            cells.push(first.member.to_string());
            cells.push(
                comparison
                    .winters
                    .get(first.winter)
                    .cloned()
                    .unwrap_or_default(),
            );
        }
        for fate in row {
            cells.extend([
                format!("{:.0}", fate.bees),
                format!("{:.3}", fate.stores_kg),
                fate.end.words().to_owned(),
                format!("{:.4}", fate.need_kg),
                format!("{:.4}", fate.left_kg),
                format!("{:.0}", fate.wet_lid_h),
            ]);
        }
        cells
    })
}
