//! A table of the file of which only certain keys may be given.

use std::borrow::Cow;
use std::ops::Range;
use std::path::Path;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::error::{Problem, ScenarioError};
use super::field::Field;

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

/// A table of which only certain keys may be given.
#[derive(Clone)]
pub(super) struct Table<'a> {
    pub source: Source<'a>,
    pub path: String,
    pub span: Range<usize>,
    pub entries: &'a DeTable<'a>,
    /// Where a key is looked for that is not given here.
    pub base: Option<Box<Table<'a>>>,
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
            base: None,
        };
        root.refuse_unknown(keys)?;
        Ok(root)
    }

    pub fn refuse_unknown(&self, keys: &[&'static str]) -> Result<(), ScenarioError> {
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

    /// The entry, if it is given here or in the base.
    pub fn get(&self, key: &str) -> Option<Field<'a>> {
        self.own(key).or_else(|| self.base.as_ref()?.get(key))
    }

    /// The entry, if it is given here.
    pub fn own(&self, key: &str) -> Option<Field<'a>> {
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
            let key: &Cow<'a, str> = key.get_ref();
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

/// The word most like what was typed, if one is alike.
pub(super) fn nearest(
    typed: &str,
    words: impl Iterator<Item = &'static str>,
) -> Option<&'static str> {
    alike(typed, words).into_iter().next()
}

/// Words like what was typed, by letters or by a part in common, the nearest first.
pub(super) fn alike(typed: &str, words: impl Iterator<Item = &'static str>) -> Vec<&'static str> {
    const ALIKE: f64 = 0.75;
    const PART_IN_COMMON: f64 = 0.9;
    let typed = typed.to_lowercase();
    let parts = |word: &str| -> Vec<String> {
        let parts = word.split(['_', '-']).filter(|part| part.len() > 3);
        parts.map(str::to_owned).collect()
    };
    let typed_parts = parts(&typed);
    let likeness = |word: &str| {
        let common = parts(word).iter().any(|part| typed_parts.contains(part));
        let floor = if common { PART_IN_COMMON } else { 0.0 };
        strsim::jaro_winkler(&typed, word).max(floor)
    };
    let mut ranked: Vec<_> = words
        .map(|word| (likeness(word), word))
        .filter(|(likeness, _)| *likeness > ALIKE)
        .collect();
    ranked.sort_by(|a, b| b.0.total_cmp(&a.0));
    ranked.into_iter().map(|(_, word)| word).collect()
}

pub(super) fn error(
    source: Source<'_>,
    path: &str,
    span: Range<usize>,
    problem: Problem,
) -> ScenarioError {
    // A key missing from the whole file has no line.
    let line = (span.end > 0).then(|| source.line(span.start));
    ScenarioError {
        file: source.file.to_owned(),
        line,
        field: path.chars().filter(|c| !c.is_control()).collect(),
        problem: Box::new(problem),
    }
}
