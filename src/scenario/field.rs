//! A value of the file with its place, taken apart with errors that say where they are.

use std::ops::Range;
use std::path::Path;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::error::{Problem, ScenarioError};
use crate::units::{self, Dimension};

/// Longest piece of the file that a message repeats.
const LONGEST_QUOTE: usize = 60;

/// The text of a scenario and the name of its file.
#[derive(Clone, Copy)]
pub(super) struct Source<'a> {
    pub file: &'a Path,
    pub text: &'a str,
}

impl Source<'_> {
    pub fn line(&self, byte: usize) -> usize {
        let before = self.text.as_bytes().iter().take(byte);
        1 + before.filter(|byte| **byte == b'\n').count()
    }
}

/// A value at a place in the file.
#[derive(Clone)]
pub(super) struct Field<'a> {
    source: Source<'a>,
    path: String,
    span: Range<usize>,
    value: &'a DeValue<'a>,
}

/// A table of which only certain keys may be given.
#[derive(Clone)]
pub(super) struct Table<'a> {
    source: Source<'a>,
    path: String,
    span: Range<usize>,
    entries: &'a DeTable<'a>,
}

impl<'a> Table<'a> {
    /// The whole file.
    pub fn root(
        source: Source<'a>,
        entries: &'a DeTable<'a>,
        keys: &[&'static str],
    ) -> Result<Self, ScenarioError> {
        let root = Self {
            source,
            path: String::new(),
            span: 0..0,
            entries,
        };
        root.refuse_unknown(keys)?;
        Ok(root)
    }

    fn refuse_unknown(&self, keys: &[&'static str]) -> Result<(), ScenarioError> {
        let unknown = self
            .entries
            .keys()
            .filter(|key| !keys.contains(&key.get_ref().as_ref()));
        let Some(key) = unknown.min_by_key(|key| key.span().start) else {
            return Ok(());
        };
        let problem = Problem::UnknownKey {
            nearest: nearest(key.get_ref(), keys.iter().copied()),
            allowed: keys.to_vec(),
        };
        Err(error(
            self.source,
            &self.path_of(key.get_ref()),
            key.span(),
            problem,
        ))
    }

    /// The entry, if it is given.
    pub fn get(&self, key: &str) -> Option<Field<'a>> {
        let value = self.entries.get(key)?;
        Some(self.field(key, value))
    }

    /// The entry; `example` is a line that the message proposes when it is missing.
    pub fn require(&self, key: &str, example: &'static str) -> Result<Field<'a>, ScenarioError> {
        self.get(key).ok_or_else(|| {
            let path = self.path_of(key);
            error(
                self.source,
                &path,
                self.span.clone(),
                Problem::Missing { example },
            )
        })
    }

    /// All entries in the order of the file.
    pub fn entries(&self) -> Vec<(&'a str, Field<'a>)> {
        let mut entries: Vec<_> = self.entries.iter().collect();
        entries.sort_by_key(|(key, _)| key.span().start);
        let field = |(key, value): (&'a Spanned<_>, _)| -> (&'a str, Field<'a>) {
            let key: &std::borrow::Cow<'a, str> = key.get_ref();
            (key.as_ref(), self.field(key, value))
        };
        entries.into_iter().map(field).collect()
    }

    /// The one of these keys that is given.
    pub fn one_of(
        &self,
        keys: &[&'static str],
    ) -> Result<(&'static str, Field<'a>), ScenarioError> {
        let found: Vec<_> = keys
            .iter()
            .filter_map(|key| Some((*key, self.get(key)?)))
            .collect();
        match <[_; 1]>::try_from(found) {
            Ok([one]) => Ok(one),
            Err(found) => Err(self.error(Problem::OneOf {
                keys: keys.to_vec(),
                found: found.into_iter().map(|(key, _)| key).collect(),
            })),
        }
    }

    pub fn error(&self, problem: Problem) -> ScenarioError {
        error(self.source, &self.path, self.span.clone(), problem)
    }

    fn path_of(&self, key: &str) -> String {
        match self.path.as_str() {
            "" => key.to_owned(),
            path => format!("{path}.{key}"),
        }
    }

    fn field(&self, key: &str, value: &'a Spanned<DeValue<'a>>) -> Field<'a> {
        Field {
            source: self.source,
            path: self.path_of(key),
            span: value.span(),
            value: value.get_ref(),
        }
    }
}

impl<'a> Field<'a> {
    pub fn error(&self, problem: Problem) -> ScenarioError {
        error(self.source, &self.path, self.span.clone(), problem)
    }

    /// The value as it stands in the file, cut when long.
    pub fn written(&self) -> String {
        let text = self.source.text.get(self.span.clone()).unwrap_or_default();
        let line = text.lines().next().unwrap_or_default();
        let mut quote: String = line
            .chars()
            .filter(|c| !c.is_control())
            .take(LONGEST_QUOTE)
            .collect();
        if quote.len() < text.len() {
            quote.push('…');
        }
        quote
    }

    pub fn out_of_range(&self, allowed: impl Into<String>) -> ScenarioError {
        self.error(Problem::OutOfRange {
            value: self.written(),
            allowed: allowed.into(),
        })
    }

    pub fn wrong_type(&self, asked: &'static str, example: impl Into<String>) -> ScenarioError {
        let kind = self.value.type_str();
        let article = if kind.starts_with(['a', 'e', 'i', 'o', 'u']) {
            "an"
        } else {
            "a"
        };
        self.error(Problem::WrongType {
            value: self.written(),
            found: format!("{article} {kind}"),
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
        })
    }

    pub fn is_table(&self) -> bool {
        self.value.is_table()
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

    /// A list, or one entry without its brackets.
    pub fn one_or_list(&self, example: &str) -> Result<Vec<Field<'a>>, ScenarioError> {
        if self.is_table() {
            Ok(vec![self.clone()])
        } else {
            self.list(example)
        }
    }

    /// A text that is not empty.
    pub fn text(&self, example: &str) -> Result<&'a str, ScenarioError> {
        let text = self
            .value
            .as_str()
            .ok_or_else(|| self.wrong_type("a text", example))?;
        if text.trim().is_empty() {
            return Err(self.out_of_range("a text that is not empty"));
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
            .ok_or_else(|| self.out_of_range(format!("{low} to {high}")))
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
            .ok_or_else(|| self.out_of_range("a finite number"))
    }

    /// A number without a unit, from `low` to `high`.
    pub fn number_within(&self, low: f64, high: f64) -> Result<f64, ScenarioError> {
        let value = self.number(&low.to_string())?;
        if (low..=high).contains(&value) {
            return Ok(value);
        }
        Err(self.out_of_range(format!("{low} to {high}")))
    }

    /// A quantity with its unit, in SI, between two quantities that are written like it.
    pub fn quantity(
        &self,
        dimension: Dimension,
        low: &str,
        high: &str,
    ) -> Result<f64, ScenarioError> {
        let value = self.any_quantity(dimension)?;
        let limit = |text| units::parse(text, dimension).map_err(|e| self.error(e.into()));
        if (limit(low)?..=limit(high)?).contains(&value) {
            return Ok(value);
        }
        Err(self.out_of_range(format!("{low} to {high}")))
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
        units::parse(text, dimension).map_err(|e| self.error(e.into()))
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

/// The word most like what was typed, if one is alike.
pub(super) fn nearest(
    typed: &str,
    words: impl Iterator<Item = &'static str>,
) -> Option<&'static str> {
    const ALIKE: f64 = 0.7;
    const WORD_IN_COMMON: f64 = 0.9;
    let typed = typed.to_lowercase();
    let likeness = |word: &str| {
        let common = word.split(['_', '-']).any(|part| part == typed);
        strsim::jaro_winkler(&typed, word).max(if common { WORD_IN_COMMON } else { 0.0 })
    };
    words
        .map(|word| (likeness(word), word))
        .filter(|(likeness, _)| *likeness > ALIKE)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, word)| word)
}

fn error(source: Source<'_>, path: &str, span: Range<usize>, problem: Problem) -> ScenarioError {
    // A key missing from the whole file has no line.
    let line = (span.end > 0).then(|| source.line(span.start));
    ScenarioError {
        file: source.file.to_owned(),
        line,
        field: path.to_owned(),
        problem: Box::new(problem),
    }
}
