//! What weather files hold, for a terminal and as rows for JSON.

use super::table::{lines, table};
use crate::units::{Dimension, Round, System, in_system, show};
use crate::weather::gaps::Repairs;
use crate::weather::record::FileRead;
use crate::weather::{Account, Place, Record, Season, Variable, WinterFigures, Winters};
use serde::Serialize;
use std::collections::BTreeMap;

/// Variables that the balance uses when a winter has them.
const OPTIONAL: [Variable; 5] = [
    Variable::DewPoint,
    Variable::Wind,
    Variable::Global,
    Variable::Cloud,
    Variable::Pressure,
];

/// A record as JSON has it, in SI units.
#[derive(Clone, Debug, Serialize)]
pub struct Rows<'a> {
    files: &'a [FileRead],
    place: &'a Place,
    typical_year: bool,
    first: String,
    last: String,
    hours: usize,
    account: &'a Account,
    winters: Vec<WinterRow<'a>>,
    refused: &'a [(String, String)],
    no_winter: Option<&'a str>,
}

/// One winter.
#[derive(Clone, Debug, Serialize)]
struct WinterRow<'a> {
    label: &'a str,
    figures: WinterFigures,
    repairs: &'a BTreeMap<Variable, Repairs>,
    warnings: &'a [String],
}

/// The record as rows; `winters` holds the reason when it has none.
#[must_use]
pub fn rows<'a>(record: &'a Record, winters: &'a Result<Winters, String>) -> Rows<'a> {
    let (complete, refused, no_winter) = match winters {
        Ok(winters) => (winters.winters.as_slice(), winters.refused.as_slice(), None),
        Err(reason) => ([].as_slice(), [].as_slice(), Some(reason.as_str())),
    };
    let row = |winter: &'a crate::weather::Winter| WinterRow {
        label: &winter.label,
        figures: winter.figures(),
        repairs: &winter.repairs,
        warnings: &winter.warnings,
    };
    Rows {
        files: &record.files,
        place: &record.place,
        typical_year: record.typical,
        first: record.first().to_string(),
        last: record.last().to_string(),
        hours: record.hours(),
        account: &record.account,
        winters: complete.iter().map(row).collect(),
        refused,
        no_winter,
    }
}

/// The record as text: what was found, what was done to it, its winters.
#[must_use]
pub fn text(
    record: &Record,
    winters: &Result<Winters, String>,
    season: Season,
    units: System,
) -> String {
    let mut parts = vec![found(record)];
    parts.push(counts(record));
    let account = &record.account;
    let conversions = account
        .conversions
        .iter()
        .map(|done| format!("Converted: {done}."));
    let warnings = account
        .warnings
        .iter()
        .map(|warning| format!("Warning: {warning}."));
    let refused = account.refused.iter().map(|value| {
        let (file, line) = (&value.file, value.line);
        format!(
            "Refused: {file}:{line}: {} is {}; allowed is {}.",
            value.column, value.value, value.allowed
        )
    });
    let words: Vec<String> = conversions.chain(warnings).chain(refused).collect();
    if !words.is_empty() {
        parts.push(words.join("\n"));
    }
    parts.push(match winters {
        Ok(winters) => winters_text(winters, season, units),
        Err(reason) => format!("No winter: {reason}"),
    });
    parts.join("\n\n") + "\n"
}

fn found(record: &Record) -> String {
    let files = record
        .files
        .iter()
        .map(|file| format!("{}: {}", file.file, file.layout));
    let place = &record.place;
    let name = place.name.as_deref().unwrap_or("place not named");
    let mut site = vec![name.to_owned()];
    site.extend(place.latitude.map(|degrees| format!("latitude {degrees}")));
    site.extend(
        place
            .longitude
            .map(|degrees| format!("longitude {degrees}")),
    );
    site.extend(place.elevation_m.map(|m| format!("elevation {m} m")));
    site.extend(place.utc_offset_h.map(|hours| format!("UTC {hours:+}")));
    let kind = if record.typical {
        "A typical year: one winter, no record of years"
    } else {
        "Record"
    };
    format!(
        "{}\n{}\n{kind}: {} to {}, {} hours, local standard time",
        files.collect::<Vec<_>>().join("\n"),
        site.join(", "),
        record.first().strftime("%Y-%m-%d %H:%M"),
        record.last().strftime("%Y-%m-%d %H:%M"),
        record.hours(),
    )
}

fn counts(record: &Record) -> String {
    let rows = record.account.rows;
    let causes = [
        ("of other stations", rows.other_station),
        ("summaries", rows.summary),
        ("special reports between hours", rows.special),
        ("other readings between hours", rows.sub_hourly),
        ("duplicates", rows.duplicate),
        ("out of order, sorted", rows.out_of_order),
        ("without a value of use", rows.empty),
        ("29 February of a typical year", rows.leap_day),
    ];
    let dropped = causes.iter().filter(|(_, count)| *count > 0);
    let dropped: Vec<String> = dropped
        .map(|(cause, count)| format!("{count} {cause}"))
        .collect();
    let dropped = if dropped.is_empty() {
        "none dropped".to_owned()
    } else {
        dropped.join(", ")
    };
    let mut variables = table([
        "Variable",
        "read",
        "beyond limits",
        "spikes",
        "stuck",
        "capped",
        "from humidity",
        "between readings",
        "hours missing",
    ]);
    for (variable, count) in &record.account.variables {
        variables.add_row([
            variable.name().to_owned(),
            count.read.to_string(),
            count.out_of_range.to_string(),
            count.spikes.to_string(),
            count.stuck.to_string(),
            count.capped.to_string(),
            count.from_humidity.to_string(),
            count.between_readings.to_string(),
            count.missing.to_string(),
        ]);
    }
    format!("{} rows: {dropped}\n{}", rows.read, lines(&variables))
}

fn winters_text(winters: &Winters, season: Season, units: System) -> String {
    let degrees = |c| show(c, Dimension::Temperature, units, Round::Decimals(1));
    let limit = |c| show(c, Dimension::Temperature, units, Round::Usual);
    let mut rows = table([
        "Winter".to_owned(),
        "mean".to_owned(),
        "coldest hour".to_owned(),
        "coldest 3 days".to_owned(),
        "from".to_owned(),
        format!("longest below {}", limit(-10.0)),
        "degree hours".to_owned(),
        "repaired".to_owned(),
        "without".to_owned(),
    ]);
    let degree_hours = |k_h| in_system(k_h, Dimension::TemperatureDifference, units).0;
    for winter in &winters.winters {
        let figures = winter.figures();
        let repaired: usize = winter
            .repairs
            .get(&Variable::Temperature)
            .map_or(0, Repairs::total);
        let without: Vec<&str> = OPTIONAL
            .into_iter()
            .filter(|variable| !winter.repairs.contains_key(variable))
            .map(Variable::name)
            .collect();
        rows.add_row([
            winter.label.clone(),
            degrees(figures.mean_c),
            degrees(figures.lowest_c),
            degrees(figures.coldest_spell_c),
            figures.coldest_spell_start.strftime("%-d %b").to_string(),
            format!("{} h", figures.longest_spell_below_minus_10_h),
            format!("{:.0}", degree_hours(figures.degree_hours_below_10_k_h)),
            format!("{repaired} h"),
            if without.is_empty() {
                "-".to_owned()
            } else {
                without.join(", ")
            },
        ]);
    }
    let mut text = format!(
        "{} complete winter{}, {season} (repaired: hours of temperature; degree hours below {})\n{}",
        winters.winters.len(),
        if winters.winters.len() == 1 { "" } else { "s" },
        limit(10.0),
        lines(&rows)
    );
    for (label, reason) in &winters.refused {
        text.push_str(&format!("\nLeft out: winter {label}: {reason}."));
    }
    for winter in &winters.winters {
        for warning in &winter.warnings {
            text.push_str(&format!("\nWinter {}: {warning}.", winter.label));
        }
    }
    text
}
