//! The built-in library of hives, lids and floors, read by the code that reads users' hives.

use std::path::Path;
use std::sync::LazyLock;

use toml::Spanned;
use toml::de::DeTable;

use super::error::ScenarioError;
use super::field::Field;
use super::table::{Source, Table};

const TEXT: &str = include_str!("library.toml");
/// Name of the library in messages.
const FILE: &str = "built-in library.toml";

static DOCUMENT: LazyLock<Spanned<DeTable<'static>>> =
    // The text is part of the program and tests read all of it.
    LazyLock::new(|| match DeTable::parse(TEXT) {
            Ok(document) => document,
            Err(error) => unreachable!("the built-in library: {error}"),
        });

/// What an entry of the library builds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    /// A whole hive, taken by `from = "NAME"`.
    Hive,
    /// A lid, taken by `lid = "NAME"`.
    Lid,
    /// A floor, taken by `floor = "NAME"`.
    Floor,
}

impl Part {
    /// Table of the library that holds the entries.
    pub(super) fn key(self) -> &'static str {
        match self {
            Self::Hive => "hive",
            Self::Lid => "lid",
            Self::Floor => "floor",
        }
    }
}

/// A hive, lid or floor of the library.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LibraryEntry {
    /// What it builds.
    pub part: Part,
    /// Its name, as scenarios take it.
    pub name: &'static str,
    /// What it is, in words.
    pub title: &'static str,
    /// The lines of a scenario that it stands for: a whole `[hive]`, or the `lid` or `floor` of one.
    pub text: String,
}

/// All hives, then lids, then floors, each in the order of the library.
///
/// ```
/// use overwinter::scenario::{library, parse_hive};
/// use std::path::Path;
///
/// for entry in library() {
///     println!("{}: {}", entry.name, entry.title);
/// }
/// let taken = "[hive]\nfrom = \"thin-softwood-two-boxes\"\nlid = \"shavings-lid\"\nboxes = 3";
/// let hive = parse_hive(taken, Path::new("yard.toml"))?;
/// assert_eq!((hive.cavity.boxes, hive.lid[1].thickness_m), (3, 0.09));
/// # Ok::<(), overwinter::scenario::ScenarioError>(())
/// ```
#[must_use]
pub fn library() -> Vec<LibraryEntry> {
    let parts = [Part::Hive, Part::Lid, Part::Floor];
    let entries = parts.into_iter().flat_map(|part| {
        let entry = move |(name, table): (&'static str, Table<'static>)| LibraryEntry {
            part,
            name,
            title: table
                .entries
                .get("title")
                .and_then(|title| title.get_ref().as_str())
                .unwrap_or(name),
            text: text(part, name),
        };
        tables(part).into_iter().map(entry)
    });
    entries.collect()
}

/// The keys of the entry that `field` names.
///
/// # Errors
/// A name that the library does not have, answered with the nearest and all that it has.
pub(super) fn find(part: Part, field: &Field<'_>) -> Result<Table<'static>, ScenarioError> {
    let tables = tables(part);
    let numbered: Vec<_> = tables
        .iter()
        .enumerate()
        .map(|(number, (name, _))| (*name, number))
        .collect();
    let number = field.choice(&numbered)?;
    Ok(tables[number].1.clone())
}

/// Names of a part, in the order of the library.
pub(super) fn names(part: Part) -> Vec<&'static str> {
    tables(part).into_iter().map(|(name, _)| name).collect()
}

/// Names and tables of a part, in the order of the library.
fn tables(part: Part) -> Vec<(&'static str, Table<'static>)> {
    let source = Source {
        file: Path::new(FILE),
        text: TEXT,
    };
    let root = Table {
        source,
        path: String::new(),
        span: 0..0,
        entries: DOCUMENT.get_ref(),
        base: None,
    };
    let entries = root
        .get(part.key())
        .and_then(|field| field.open_table("").ok());
    let entries = entries.iter().flat_map(Table::entries);
    entries
        .filter_map(|(name, field)| Some((name, field.open_table("").ok()?)))
        .collect()
}

/// The lines under an entry's title, up to the next entry.
fn text(part: Part, name: &str) -> String {
    let head = format!("[{}.{name}]", part.key());
    let lines = TEXT.lines().skip_while(|line| *line != head).skip(2);
    let lines = lines.take_while(|line| !line.is_empty());
    let section = (part == Part::Hive).then_some("[hive]");
    section
        .into_iter()
        .chain(lines)
        .flat_map(|line| [line, "\n"])
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_entry_has_a_title_in_its_first_line_and_a_name_of_words() {
        let library = library();
        assert_eq!(library.len(), 16);
        for LibraryEntry {
            part,
            name,
            title,
            text,
        } in library
        {
            let head = format!("[{}.{name}]\ntitle = \"{title}\"\n", part.key());
            assert!(TEXT.contains(&head), "{head}");
            assert!(!text.is_empty() && !text.contains("title"), "{text}");
            assert!(name.chars().all(|c| c.is_ascii_lowercase() || c == '-'));
        }
    }
}
