//! A value of the file with its place, taken apart with errors that say where they are.

use std::ops::Range;

use toml::Spanned;
use toml::de::DeValue;

use super::error::{Problem, ScenarioError};
use super::table::{Source, Table, error, nearest};
use crate::units::{self, Dimension};

/// Longest piece of the file that a message repeats.
const LONGEST_QUOTE: usize = 60;

/// A value at a place in the file.
#[derive(Clone)]
pub(super) struct Field<'a> {
    pub(super) source: Source<'a>,
    pub(super) path: String,
    pub(super) span: Range<usize>,
    pub(super) value: &'a DeValue<'a>,
}

impl<'a> Field<'a> {
    pub fn error(&self, problem: Problem) -> ScenarioError {
        error(self.source, &self.path, self.span.clone(), problem)
    }

    /// The value as it stands in the file, cut when long.
    pub fn written(&self) -> String {
        let text = self.source.text.get(self.span.clone()).unwrap_or_default();
        quote(text)
    }

    pub fn not_allowed(&self, allowed: impl Into<String>) -> ScenarioError {
        self.error(Problem::NotAllowed {
            value: self.written(),
            allowed: allowed.into(),
        })
    }

    pub fn wrong_type(&self, asked: &'static str, example: impl Into<String>) -> ScenarioError {
        let found = match self.value {
            DeValue::String(_) => "a text",
            DeValue::Integer(_) => "a whole number",
            DeValue::Float(_) => "a number with decimals",
            DeValue::Boolean(_) => "a true or false",
            DeValue::Datetime(_) => "a date",
            DeValue::Array(_) => "a list",
            DeValue::Table(_) => "a table",
        };
        self.error(Problem::WrongType {
            value: self.written(),
            found,
            asked,
            example: example.into(),
        })
    }

    /// A table with only these keys.
    pub fn table(&self, keys: &[&'static str], example: &str) -> Result<Table<'a>, ScenarioError> {
        let table = self.open_table(example)?;
        table.refuse_unknown(keys)?;
        Ok(table)
    }

    /// A table of keys that the caller checks.
    pub fn open_table(&self, example: &str) -> Result<Table<'a>, ScenarioError> {
        let entries = self
            .value
            .as_table()
            .ok_or_else(|| self.wrong_type("a table", example))?;
        Ok(Table {
            source: self.source,
            path: self.path.clone(),
            span: self.span.clone(),
            entries,
            base: None,
        })
    }

    pub fn is_table(&self) -> bool {
        self.value.is_table()
    }

    pub fn is_text(&self) -> bool {
        self.value.is_str()
    }

    pub fn is_date(&self) -> bool {
        self.value.is_datetime()
    }

    pub fn is_number(&self) -> bool {
        self.value.is_integer() || self.value.is_float()
    }

    pub fn list(&self, example: &str) -> Result<Vec<Field<'a>>, ScenarioError> {
        let items = self
            .value
            .as_array()
            .ok_or_else(|| self.wrong_type("a list", example))?;
        let item = |(index, item): (usize, &'a Spanned<DeValue<'a>>)| Field {
            source: self.source,
            path: format!("{}[{}]", self.path, index + 1),
            span: item.span(),
            value: item.get_ref(),
        };
        Ok(items.iter().enumerate().map(item).collect())
    }

    /// A list, or one entry of it without the brackets.
    pub fn one_or_list(&self, example: &str) -> Result<Vec<Field<'a>>, ScenarioError> {
        if self.is_table() || self.is_text() {
            Ok(vec![self.clone()])
        } else {
            self.list(example)
        }
    }

    /// A text that is not empty and can be printed.
    pub fn text(&self, example: &str) -> Result<&'a str, ScenarioError> {
        let text = self
            .value
            .as_str()
            .ok_or_else(|| self.wrong_type("a text", example))?;
        if text.trim().is_empty() {
            return Err(self.not_allowed("a text that is not empty"));
        }
        if text.chars().any(char::is_control) {
            return Err(self.not_allowed("a text in one line, without control characters"));
        }
        Ok(text.trim())
    }

    pub fn boolean(&self) -> Result<bool, ScenarioError> {
        self.value
            .as_bool()
            .ok_or_else(|| self.wrong_type("true or false", "true"))
    }

    /// A whole number from `low` to `high`.
    pub fn whole(&self, low: u64, high: u64) -> Result<u64, ScenarioError> {
        let Some(integer) = self.value.as_integer() else {
            return Err(self.wrong_type("a whole number", low.to_string()));
        };
        let value = u64::from_str_radix(integer.as_str(), integer.radix());
        value
            .ok()
            .filter(|value| (low..=high).contains(value))
            .ok_or_else(|| self.not_allowed(format!("{low} to {high}")))
    }

    /// A finite number without a unit.
    pub fn number(&self, example: &str) -> Result<f64, ScenarioError> {
        let value = match self.value {
            DeValue::Float(float) => float.as_str().parse::<f64>().ok(),
            DeValue::Integer(integer) => i64::from_str_radix(integer.as_str(), integer.radix())
                .ok()
                .map(|whole| whole as f64),
            _ => return Err(self.wrong_type("a number", example)),
        };
        value
            .filter(|value| value.is_finite())
            .ok_or_else(|| self.not_allowed("a finite number"))
    }

    /// A number without a unit, from `low` to `high`.
    pub fn number_within(&self, low: f64, high: f64) -> Result<f64, ScenarioError> {
        let value = self.number(&low.to_string())?;
        if (low..=high).contains(&value) {
            return Ok(value);
        }
        Err(self.not_allowed(format!("{low} to {high}")))
    }

    /// A quantity with its unit, in SI, between two quantities that are written like it.
    pub fn quantity(
        &self,
        dimension: Dimension,
        low: &str,
        high: &str,
    ) -> Result<f64, ScenarioError> {
        self.bounded(self.any_quantity(dimension)?, dimension, low, high)
    }

    /// As [`Field::quantity`], of a part of the field's text.
    pub fn quantity_in(
        &self,
        part: &str,
        dimension: Dimension,
        low: &str,
        high: &str,
    ) -> Result<f64, ScenarioError> {
        self.bounded(self.parsed(part, dimension)?, dimension, low, high)
    }

    fn bounded(
        &self,
        value: f64,
        dimension: Dimension,
        low: &str,
        high: &str,
    ) -> Result<f64, ScenarioError> {
        if (self.parsed(low, dimension)?..=self.parsed(high, dimension)?).contains(&value) {
            return Ok(value);
        }
        Err(self.not_allowed(format!("{low} to {high}")))
    }

    fn parsed(&self, text: &str, dimension: Dimension) -> Result<f64, ScenarioError> {
        units::parse(text, dimension).map_err(|e| self.error(e.into()))
    }

    /// A quantity with its unit, in SI. A bare number is answered with the units that are meant.
    pub fn any_quantity(&self, dimension: Dimension) -> Result<f64, ScenarioError> {
        let bare;
        let text = if self.is_number() {
            bare = self.written();
            &bare
        } else {
            self.text(&format!("\"{}\"", example_of(dimension)))?
        };
        self.parsed(text, dimension)
    }

    /// One of these words, however capitals and blanks are set.
    pub fn choice<T: Copy>(&self, choices: &[(&'static str, T)]) -> Result<T, ScenarioError> {
        let words = || choices.iter().map(|(word, _)| *word);
        let example = words().next().unwrap_or_default();
        let typed = self
            .text(&format!("\"{example}\""))?
            .to_lowercase()
            .replace([' ', '_'], "-");
        match choices.iter().find(|(word, _)| *word == typed) {
            Some((_, meant)) => Ok(*meant),
            None => Err(self.error(Problem::Choice {
                value: self.written(),
                nearest: nearest(&typed, words()),
                allowed: words().collect(),
            })),
        }
    }
}

/// An example of a quantity that messages propose; the unit table has more in its own messages.
fn example_of(dimension: Dimension) -> &'static str {
    match dimension {
        Dimension::Length => "19 mm",
        Dimension::Mass => "25 kg",
        Dimension::Fraction => "15 %",
        _ => "a number with its unit",
    }
}

/// The first line of a piece of the file, cut when long.
pub(super) fn quote(text: &str) -> String {
    let line = text.trim().lines().next().unwrap_or_default();
    let mut quote: String = line
        .chars()
        .filter(|c| !c.is_control())
        .take(LONGEST_QUOTE)
        .collect();
    if quote.len() < text.trim().len() {
        quote.push('…');
    }
    quote
}
