//! `daily.csv`: quantiles of stores, heat and weight, hours of wet lid, a row a day, SI units.

use super::{OutputError, Provenance};
use crate::ensemble::DAY_QUANTILES;
use crate::ensemble::Summary;

/// The table of all days. Its first line is a comment that begins with `#`.
///
/// # Errors
/// [`OutputError::Format`].
pub fn csv(summary: &Summary, made_by: &Provenance) -> Result<Vec<u8>, OutputError> {
    let named = |what: &str, unit: &str| {
        DAY_QUANTILES.map(|share| format!("{what}_q{:02.0}_{unit}", 100.0 * share))
    };
    let mut head = vec!["day".to_owned(), "date".to_owned(), "alive".to_owned()];
    head.extend(named("stores", "kg"));
    head.extend(named("heat", "w"));
    head.push("wet_lid_mean_h".to_owned());
    head.extend(named("gross", "kg"));
    commented_csv(&made_by.line(), &head, &summary.daily, |day| {
        let mut cells = vec![
            day.day.to_string(),
            summary.date_words(day.day as f64),
            format!("{:.4}", day.alive),
        ];
        cells.extend(day.stores_kg.map(|kg| format!("{kg:.3}")));
        // Days on which no member lived have no value.
        let of_living = |value: f64| {
            let text = format!("{value:.3}");
            if value.is_finite() {
                text
            } else {
                String::new()
            }
        };
        cells.extend(day.heat_w.map(of_living));
        cells.push(of_living(day.wet_lid_h));
        cells.extend(day.gross_kg.map(of_living));
        cells
    })
}

/// CSV with the provenance as its first line, a comment.
pub(super) fn commented_csv<T>(
    made_by: &str,
    head: &[String],
    rows: &[T],
    cells: impl Fn(&T) -> Vec<String>,
) -> Result<Vec<u8>, OutputError> {
    let failed = |error: csv::Error| OutputError::format("CSV")(error.into());
    let mut writer = csv::Writer::from_writer(format!("# {made_by}\n").into_bytes());
    writer.write_record(head).map_err(failed)?;
    for row in rows {
        writer.write_record(cells(row)).map_err(failed)?;
    }
    writer
        .into_inner()
        .map_err(|error| OutputError::format("CSV")(error.to_string().into()))
}
