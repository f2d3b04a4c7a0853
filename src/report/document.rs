//! What a report says, block by block; a terminal and a page each show it in their own way.

use super::table::{Rows, lines, paragraph};
use serde::{Deserialize, Serialize};

/// Column at which the words of an answer begin.
const LABEL: usize = 16;

/// A report: parts that blank lines divide.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Document {
    /// Its parts.
    pub parts: Vec<Vec<Block>>,
}

/// A piece of a report.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Block {
    /// What it is about, or what comes next.
    Head(String),
    /// A sentence with what it is an answer to.
    Answer {
        /// Honey needed, risk, ...
        label: String,
        /// The sentence.
        words: String,
    },
    /// The same below a head of its own.
    Under {
        /// Honey needed, risk, ...
        label: String,
        /// The sentence.
        words: String,
    },
    /// A table.
    Table(Rows),
    /// A line below a table; it may hold line ends.
    Line(String),
    /// A paragraph below a table.
    Paragraph(String),
    /// A note, caution, or what made it.
    Note(String),
}

impl Document {
    /// Of parts; those without a block are left out.
    #[must_use]
    pub fn new(parts: Vec<Vec<Block>>) -> Self {
        let parts = parts.into_iter().filter(|part| !part.is_empty());
        Self {
            parts: parts.collect(),
        }
    }

    /// As text for a terminal.
    #[must_use]
    pub fn terminal(&self) -> String {
        let part = |part: &Vec<Block>| {
            let blocks = part.iter().map(Block::terminal);
            blocks.collect::<Vec<_>>().join("\n")
        };
        self.parts.iter().map(part).collect::<Vec<_>>().join("\n\n") + "\n"
    }
}

impl Block {
    /// An answer.
    pub(super) fn answer(label: &str, words: impl Into<String>) -> Self {
        Self::Answer {
            label: label.to_owned(),
            words: words.into(),
        }
    }

    /// As text for a terminal.
    fn terminal(&self) -> String {
        match self {
            Self::Head(words) | Self::Note(words) => words.clone(),
            Self::Answer { label, words } => format!("{label:<LABEL$}{words}"),
            Self::Under { label, words } => format!("  {label:<LABEL$}{words}"),
            Self::Table(rows) => lines(rows),
            Self::Line(words) => format!("  {}", words.replace('\n', "\n  ")),
            Self::Paragraph(words) => paragraph(words),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::table::table;
    use super::*;

    #[test]
    fn a_terminal_shows_parts_with_a_blank_line_between_them() {
        let mut rows = table(["End", "members"]);
        rows.add_row(["alive", "12"]);
        let document = Document::new(vec![
            vec![
                Block::Head("Sample".to_owned()),
                Block::answer("Risk", "12 % starve"),
            ],
            Vec::new(),
            vec![Block::Table(rows), Block::Line("One.\nTwo.".to_owned())],
        ]);
        let text = document.terminal();
        assert_eq!(
            text,
            "Sample\nRisk            12 % starve\n\n  End    members\n  alive       12\n  One.\n  Two.\n"
        );
    }
}
