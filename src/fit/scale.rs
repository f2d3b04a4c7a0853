//! A table of a hive's weights, as a keeper or a scale writes it: a date and a weight a row.

use crate::units::{Dimension, QuantityError, parse};
use jiff::civil::{Date, DateTime};
use std::path::Path;
use thiserror::Error;

/// Lightest and heaviest hive that is believed, kg.
const BELIEVED_KG: (f64, f64) = (2.0, 500.0);

/// A day's weight.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// The day.
    pub date: Date,
    /// Median of its weights, kg.
    pub kg: f64,
}

/// Weights by day, in the order of days.
#[derive(Clone, Debug, PartialEq)]
pub struct Weights {
    /// One a day at most.
    pub readings: Vec<Reading>,
}

/// Why a table of weights cannot be used.
#[derive(Debug, Error)]
pub enum ScaleError {
    /// The file.
    #[error("{file}: cannot be read: {source}; check the path")]
    Unreadable {
        /// Its path.
        file: String,
        /// Why.
        source: std::io::Error,
    },
    /// It is no table.
    #[error("{file}:{line}: {problem}")]
    Table {
        /// Its path.
        file: String,
        /// Line, from 1.
        line: u64,
        /// What is wrong and what is meant.
        problem: String,
    },
}

impl Weights {
    /// Reads a file.
    ///
    /// # Errors
    /// [`ScaleError`].
    pub fn read(path: &Path) -> Result<Self, ScaleError> {
        let file = path.display().to_string();
        let bytes = std::fs::read(path).map_err(|source| ScaleError::Unreadable {
            file: file.clone(),
            source,
        })?;
        let text = String::from_utf8(bytes).map_err(|_| ScaleError::Table {
            file: file.clone(),
            line: 1,
            problem: "is not UTF-8 text; save the table as CSV".to_owned(),
        })?;
        Self::parse(&text, &file)
    }

    /// Reads a table with a head that names a column "date" (or "time") and one "weight". The unit stands in the head, as "weight_kg" or "weight
    /// (lb)", or in every cell. Columns are parted by commas, semicolons or tabs; a day with several rows counts by its median.
    ///
    /// ```
    /// use overwinter::fit::Weights;
    /// let weights = Weights::parse("date,weight_lb\n2024-12-01,88\n2024-12-02,87.8\n", "hive.csv")?;
    /// assert!((weights.readings[0].kg - 39.916).abs() < 1e-3);
    /// # Ok::<(), overwinter::fit::ScaleError>(())
    /// ```
    ///
    /// # Errors
    /// [`ScaleError::Table`] with the line.
    pub fn parse(text: &str, file: &str) -> Result<Self, ScaleError> {
        let refuse = |line: u64, problem: String| ScaleError::Table {
            file: file.to_owned(),
            line,
            problem,
        };
        let first = text.lines().find(|line| !line.starts_with('#'));
        let delimiter = [b';', b'\t', b',']
            .into_iter()
            .find(|delimiter| first.is_some_and(|line| line.as_bytes().contains(delimiter)));
        let mut reader = csv::ReaderBuilder::new()
            .comment(Some(b'#'))
            .delimiter(delimiter.unwrap_or(b','))
            .trim(csv::Trim::All)
            .from_reader(text.trim_start_matches('\u{feff}').as_bytes());
        let head = reader
            .headers()
            .map_err(|error| refuse(1, error.to_string()))?
            .clone();
        let column = |words: &[&str]| {
            head.iter().position(|name| {
                let name = name.to_lowercase();
                words.iter().any(|word| name.starts_with(word))
            })
        };
        let (Some(date_at), Some(weight_at)) = (
            column(&["date", "time", "day"]),
            column(&["weight", "gross", "mass"]),
        ) else {
            return Err(refuse(
                1,
                format!(
                    "has the columns {}; a \"date\" and a \"weight_kg\" or \"weight_lb\" are needed",
                    head.iter().collect::<Vec<_>>().join(", ")
                ),
            ));
        };
        let unit = unit_of(&head[weight_at]);
        let mut all: Vec<Reading> = Vec::new();
        for row in reader.records() {
            let row = row.map_err(|error| {
                let line = error.position().map_or(0, csv::Position::line);
                refuse(line, error.to_string())
            })?;
            let line = row.position().map_or(0, csv::Position::line);
            let (date, weight) = (&row[date_at], &row[weight_at]);
            if weight.is_empty() {
                continue;
            }
            let date = day(date).ok_or_else(|| {
                refuse(line, format!("'{date}' is no date; write it as 2024-12-31"))
            })?;
            let kg = mass_kg(weight, unit.as_deref())
                .map_err(|error| refuse(line, error.to_string()))?;
            if !(BELIEVED_KG.0..=BELIEVED_KG.1).contains(&kg) {
                return Err(refuse(
                    line,
                    format!(
                        "'{weight}' is {kg:.1} kg, no weight of a hive ({} to {} kg); check the unit in the head",
                        BELIEVED_KG.0, BELIEVED_KG.1
                    ),
                ));
            }
            all.push(Reading { date, kg });
        }
        all.sort_by(|a, b| a.date.cmp(&b.date).then(a.kg.total_cmp(&b.kg)));
        let days = all.chunk_by(|a, b| a.date == b.date);
        Ok(Self {
            readings: days.map(|day| day[day.len() / 2]).collect(),
        })
    }
}

/// The unit that a column's name ends with: "weight_kg", "weight (lb)", "Weight [kg]".
fn unit_of(name: &str) -> Option<String> {
    let mut words = name.split(|c: char| !c.is_alphanumeric());
    let last = words.rfind(|word| !word.is_empty())?;
    parse(&format!("1 {last}"), Dimension::Mass)
        .is_ok()
        .then(|| last.to_owned())
}

fn mass_kg(cell: &str, unit: Option<&str>) -> Result<f64, QuantityError> {
    let bare = cell.chars().all(|c| !c.is_alphabetic());
    match unit {
        Some(unit) if bare => parse(&format!("{cell} {unit}"), Dimension::Mass),
        _ => parse(cell, Dimension::Mass),
    }
}

/// Of a date or a date with a time of day.
fn day(cell: &str) -> Option<Date> {
    let time = || cell.trim_end_matches('Z').parse::<DateTime>().ok();
    cell.parse::<Date>()
        .ok()
        .or_else(|| time().map(DateTime::date))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn kg(text: &str) -> Vec<f64> {
        let weights = Weights::parse(text, "hive.csv").expect("weights");
        weights.readings.iter().map(|reading| reading.kg).collect()
    }

    #[track_caller]
    fn refused(text: &str, says: &str) {
        let error = Weights::parse(text, "hive.csv")
            .expect_err("refused")
            .to_string();
        assert!(
            error.starts_with("hive.csv:") && error.contains(says),
            "{error}"
        );
    }

    #[test]
    fn units_stand_in_the_head_or_in_the_cells() {
        assert_eq!(kg("Date,Weight (kg)\n2024-12-01,40.5\n"), [40.5]);
        assert_eq!(kg("date;temp;weight\n2024-12-01;3;40.5 kg\n"), [40.5]);
        let pounds = kg("time\tweight_lb\n2024-12-01T07:00\t100\n2024-12-02 07:00\t99\n");
        assert!((pounds[0] - 45.359_237).abs() < 1e-9 && pounds.len() == 2);
    }

    #[test]
    fn a_day_counts_once_by_its_median_and_days_come_in_order() {
        let text = "date,weight_kg\n2024-12-02,41\n2024-12-01,40\n2024-12-01,90\n2024-12-01,39\n2024-12-03,\n";
        assert_eq!(kg(text), [40.0, 41.0]);
    }

    #[test]
    fn what_is_no_weight_is_refused_with_its_line() {
        refused("", "\"date\" and a \"weight_kg\"");
        refused("date,temperature\n2024-12-01,4\n", "date, temperature");
        refused("date,weight\n2024-12-01,40\n", "unit");
        refused(
            "date,weight_kg\n2024-12-01,40\nsoon,41\n",
            "hive.csv:3: 'soon' is no date",
        );
        refused("date,weight_kg\n2024-12-01,4000\n", "no weight of a hive");
        refused("date,weight_kg\n2024-12-01,forty\n", "forty");
    }
}
