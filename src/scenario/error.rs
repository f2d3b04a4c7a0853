//! What can be wrong with a scenario file.

use std::fmt;
use std::path::PathBuf;

use thiserror::Error;

use crate::hive::HiveError;
use crate::material::MaterialError;
use crate::units::QuantityError;

/// The first thing found wrong with a scenario, and where: "oak.toml:12: hive.wall\[2\].thickness: '19': the unit is missing; ...".
#[derive(Debug, Clone, PartialEq, Error)]
#[error("{}: {problem}", Place(self))]
pub struct ScenarioError {
    /// The file as its path was given.
    pub file: PathBuf,
    /// Line, from 1; none when the file as a whole is at fault.
    pub line: Option<usize>,
    /// Path of the key, list items counted from 1: "hive.wall\[2\].thickness"; empty when the file as a whole is at fault.
    pub field: String,
    /// What is wrong, what is allowed and what may be meant.
    pub problem: Box<Problem>,
}

/// File, line and field as messages begin.
struct Place<'a>(&'a ScenarioError);

impl fmt::Display for Place<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let error = self.0;
        write!(f, "{}", error.file.display())?;
        if let Some(line) = error.line {
            write!(f, ":{line}")?;
        }
        if !error.field.is_empty() {
            write!(f, ": {}", error.field)?;
        }
        Ok(())
    }
}

/// What is wrong with a file or a field of it.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum Problem {
    /// There is no such file.
    #[error("no such file; `overwinter new FILE` writes a scenario to start from")]
    NoFile,
    /// A folder where a file is needed.
    #[error("is a folder; name a scenario file in it")]
    Folder,
    /// The system refused to read.
    #[error("cannot be read: {0}")]
    Unreadable(String),
    /// More text than a scenario can have.
    #[error(
        "is larger than {most_kib} KiB, which no scenario is; is it a weather file? Those are named in [weather] files"
    )]
    TooLarge {
        /// Most KiB that are read.
        most_kib: u64,
    },
    /// Nothing but blanks.
    #[error("is empty; `overwinter new FILE` writes a scenario to start from")]
    Empty,
    /// Bytes that no text has.
    #[error("is not text (it has a zero byte): a scenario is a TOML file in UTF-8")]
    Binary,
    /// Text in another encoding.
    #[error("byte {byte} of the file is not UTF-8; save the file as UTF-8")]
    NotUtf8 {
        /// Number of the byte, from 1.
        byte: usize,
    },
    /// No TOML.
    #[error("not TOML: {message}, in the line: {line}")]
    Syntax {
        /// What the reader of TOML found.
        message: String,
        /// The line as written.
        line: String,
    },
    /// A key that a scenario does not have.
    #[error("unknown key{}; allowed here: {}", meant(*nearest), allowed.join(", "))]
    UnknownKey {
        /// The allowed key most like it.
        nearest: Option<&'static str>,
        /// All allowed keys.
        allowed: Vec<&'static str>,
    },
    /// A parameter that the model does not have.
    #[error(
        "unknown parameter{}; `overwinter parameters` lists all",
        alike(nearest)
    )]
    UnknownParameter {
        /// Parameters whose names are alike, the nearest first.
        nearest: Vec<&'static str>,
    },
    /// A key that must be there.
    #[error("is missing; write, for example, {example}")]
    Missing {
        /// A line of TOML.
        example: &'static str,
    },
    /// A number where a text is needed, and the like.
    #[error("{value} is {found}; {asked} is needed, as {example}")]
    WrongType {
        /// The value as written.
        value: String,
        /// What it is: "a whole number".
        found: &'static str,
        /// What it should be: "a text".
        asked: &'static str,
        /// A value of the right kind.
        example: String,
    },
    /// A text that is no quantity of the right kind.
    #[error(transparent)]
    Quantity(#[from] QuantityError),
    /// A material that is unknown or cannot be.
    #[error(transparent)]
    Material(#[from] MaterialError),
    /// A value that cannot be.
    #[error("{value} is not allowed; give {allowed}")]
    NotAllowed {
        /// The value as written.
        value: String,
        /// The allowed range with its unit, or another bound.
        allowed: String,
    },
    /// None of the allowed words.
    #[error("{value} is unknown{}; allowed: {}", meant(*nearest), allowed.join(", "))]
    Choice {
        /// The value as written.
        value: String,
        /// The allowed word most like it.
        nearest: Option<&'static str>,
        /// All allowed words.
        allowed: Vec<&'static str>,
    },
    /// Not exactly one of several keys.
    #[error("give exactly one of {}; {} given", keys.join(", "), if found.is_empty() { "none is".to_owned() } else { format!("{} are", found.join(" and ")) })]
    OneOf {
        /// The keys that exclude each other.
        keys: Vec<&'static str>,
        /// Those that are given.
        found: Vec<&'static str>,
    },
    /// A text that is no day of the year.
    #[error("{value} is no day of the year{}; write '1 October', 'October 1' or '10-01' (month-day)", .why.as_deref().map_or_else(String::new, |why| format!(" ({why})")))]
    Day {
        /// The value as written.
        value: String,
        /// What is wrong with it, where that can be told.
        why: Option<String>,
    },
    /// Values that are possible one by one, but not together.
    #[error("{0}")]
    Together(String),
    /// A hive that the library refuses.
    #[error(transparent)]
    Hive(#[from] HiveError),
}

fn alike(nearest: &[&str]) -> String {
    match nearest {
        [] => String::new(),
        names => format!("; nearest: {}", names.join(", ")),
    }
}

fn meant(nearest: Option<&str>) -> String {
    nearest.map_or_else(String::new, |word| format!(", nearest is '{word}'"))
}
