//! How well a number is founded. Every constant of the program carries such a mark beside its source.

use std::fmt;

/// Where a number comes from, from the best founded to the least.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize,
)]
#[serde(rename_all = "kebab-case")]
pub enum Mark {
    /// Read in the publication that is named as its source.
    Published,
    /// Said and done in the trade, without a publication behind it.
    CommonPractice,
    /// Recalled from the source named, not read again: verify before relying on it.
    FromMemory,
    /// Reasoned or guessed by whoever gave it.
    OwnEstimate,
}

/// "published", "common practice", "from memory" or "own estimate".
impl fmt::Display for Mark {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Mark::Published => "published",
            Mark::CommonPractice => "common practice",
            Mark::FromMemory => "from memory",
            Mark::OwnEstimate => "own estimate",
        })
    }
}
