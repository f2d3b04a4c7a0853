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
            problem: "is not UTF-8 text; in a spreadsheet, save the table as \"CSV UTF-8\""
                .to_owned(),
        })?;
        Self::parse(&text, &file)
    }

    /// Reads a table with a head that names a column "date" (or "time") and one "weight". The unit stands in the head, as "weight_kg" or "weight
    /// (lb)", or in every cell. Columns are parted by commas, semicolons or tabs; where they are not parted by commas, weights may have decimal
    /// commas. A day with several rows counts by its median; rows without a weight and lines that begin with `#` are passed over.
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
        let text = text.trim_start_matches('\u{feff}');
        let mut lines = text.lines().zip(1..);
        let first = lines.find(|(line, _)| !line.starts_with('#') && !line.is_empty());
        let (first, head_line) = first.unwrap_or(("", 1));
        let delimiter = [b';', b'\t', b',']
            .into_iter()
            .find(|delimiter| first.as_bytes().contains(delimiter))
            .unwrap_or(b',');
        let mut reader = csv::ReaderBuilder::new()
            .comment(Some(b'#'))
            .delimiter(delimiter)
            .trim(csv::Trim::All)
            .from_reader(text.as_bytes());
        let head = reader
            .headers()
            .map_err(|error| refuse(1, error.to_string()))?
            .clone();
        let needed = "a \"date\" and one \"weight_kg\" or \"weight_lb\" are needed";
        let named = |told: &dyn Fn(&str) -> bool| -> Vec<usize> {
            let names = head.iter().map(str::to_lowercase).enumerate();
            names
                .filter(|(_, name)| told(name))
                .map(|(at, _)| at)
                .collect()
        };
        let dates = named(&|name| {
            ["date", "time", "day"]
                .iter()
                .any(|word| name.starts_with(word))
        });
        let weights = named(&|name| {
            ["weight", "gross", "mass"]
                .iter()
                .any(|word| name.contains(word))
        });
        let (Some(date_at), [weight_at]) = (dates.first().copied(), &weights[..]) else {
            let columns = head.iter().collect::<Vec<_>>().join(", ");
            let problem = match weights.len() {
                _ if columns.is_empty() => format!("is empty; {needed}"),
                0 | 1 => format!("has the columns {columns}; {needed}"),
                more => format!("has {more} columns of weight in {columns}; {needed}"),
            };
            return Err(refuse(head_line, problem));
        };
        let weight_at = *weight_at;
        let unit = unit_of(&head[weight_at]);
        let mut all: Vec<Reading> = Vec::new();
        for row in reader.records() {
            let row = row.map_err(|error| {
                let line = error.position().map_or(0, csv::Position::line);
                refuse(line, row_problem(&error))
            })?;
            let line = row.position().map_or(0, csv::Position::line);
            let (date, weight) = (&row[date_at], &row[weight_at]);
            let point = match delimiter {
                b',' => weight.to_owned(),
                _ => weight.replacen(',', ".", 1),
            };
            if weight.is_empty() {
                continue;
            }
            let date = day(date).ok_or_else(|| refuse(line, date_problem(date)))?;
            let kg = mass_kg(&point, unit.as_deref())
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

/// Of a row that is no row of the table.
fn row_problem(error: &csv::Error) -> String {
    match error.kind() {
        csv::ErrorKind::UnequalLengths {
            expected_len, len, ..
        } => format!(
            "has {len} cells where the head has {expected_len}; weights with decimal commas need semicolons between columns"
        ),
        _ => error.to_string(),
    }
}

/// Of a cell that is no date: spreadsheets write days in ways that mean another day elsewhere.
fn date_problem(cell: &str) -> String {
    let digits = cell.chars().all(|c| c.is_ascii_digit() || c == '.');
    let parts = cell.split(['/', '.']).count();
    let why = if digits && parts < 3 && !cell.is_empty() {
        "looks like a spreadsheet's count of days; give the column the format yyyy-mm-dd, as"
    } else if parts >= 3 {
        "may mean two days; give the column the format yyyy-mm-dd, as"
    } else {
        "is no date; write it as"
    };
    format!("'{cell}' {why} 2024-12-31")
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
    fn what_spreadsheets_write_is_read() {
        let marked = "\u{feff}# my hive\r\nDate;Hive weight (kg);Note\r\n2024-12-02;40,25;\r\n2024-12-01;40,5;calm\r\n";
        assert_eq!(kg(marked), [40.5, 40.25]);
        assert_eq!(kg("date\tweight\n2024-12-01\t40,5 kg\n"), [40.5]);
        assert_eq!(
            kg("date,weight_kg\n2024-12-01T07:00:00Z,40\n\"2024-12-02 19:30\",\"41\"\n"),
            [40.0, 41.0]
        );
    }

    #[test]
    fn dates_that_may_mean_two_days_are_refused_with_help() {
        for date in ["12/31/2024", "1.2.2025", "31/12/2024 07:00"] {
            refused(
                &format!("date,weight_kg\n{date},40\n"),
                &format!(
                    "hive.csv:2: '{date}' may mean two days; give the column the format yyyy-mm-dd"
                ),
            );
        }
        for date in ["45657", "45657.29"] {
            refused(
                &format!("date,weight_kg\n{date},40\n"),
                "looks like a spreadsheet's count of days",
            );
        }
        refused("date,weight_kg\n,40\n", "'' is no date");
        refused("date,weight_kg\n2024-02-30,40\n", "'2024-02-30' is no date");
    }

    #[test]
    fn what_is_no_weight_is_refused_with_its_line() {
        refused("", "hive.csv:1: is empty; a \"date\" and one \"weight_kg\"");
        refused("date,temperature\n2024-12-01,4\n", "date, temperature");
        refused(
            "# mine\n\nwhen,weight_kg\n",
            "hive.csv:3: has the columns when",
        );
        refused(
            "date,weight_kg,weight_lb\n2024-12-01,40,88\n",
            "has 2 columns of weight",
        );
        refused("date,weight\n2024-12-01,40\n", "unit");
        refused(
            "date,weight_kg\n2024-12-01,40\nsoon,41\n",
            "hive.csv:3: 'soon' is no date",
        );
        refused(
            "date,weight_kg\n2024-12-01,40,5\n",
            "hive.csv:2: has 3 cells where the head has 2; weights with decimal commas",
        );
        refused("date,weight_kg\n2024-12-01,4000\n", "no weight of a hive");
        refused("date,weight_kg\n2024-12-01,-40\n", "no weight of a hive");
        refused("date,weight_kg\n2024-12-01,NaN\n", "hive.csv:2: ");
        refused("date,weight_kg\n2024-12-01,inf\n", "hive.csv:2: ");
        refused("date,weight_kg\n2024-12-01,forty\n", "forty");
    }
}
