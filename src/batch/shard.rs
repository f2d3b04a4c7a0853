//! One of several parts of a batch.

use std::fmt;
use std::str::FromStr;

/// Most parts of a batch.
const MOST: usize = 100_000;

/// The part of a batch that one task of an array job runs: every `of`th cell from the `number`th on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Shard {
    /// From 1.
    pub number: usize,
    /// How many there are.
    pub of: usize,
}

impl Shard {
    /// Whether a cell, by its number in the plan from 0, is of this part.
    #[must_use]
    pub fn holds(self, cell: usize) -> bool {
        cell % self.of == self.number - 1
    }
}

/// "2/8".
impl fmt::Display for Shard {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}/{}", self.number, self.of)
    }
}

impl FromStr for Shard {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let parsed = text
            .split_once('/')
            .and_then(|(number, of)| Some((number.trim().parse().ok()?, of.trim().parse().ok()?)));
        match parsed {
            Some((number, of)) if (1..=of).contains(&number) && of <= MOST => {
                Ok(Self { number, of })
            }
            _ => Err(format!(
                "a part and their number, as 2/8, is needed: the part from 1 to the number, that to {MOST}"
            )),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_cell_is_of_exactly_one_shard() {
        for cell in 0..23 {
            let holding = (1..=7).filter(|number| {
                Shard {
                    number: *number,
                    of: 7,
                }
                .holds(cell)
            });
            assert_eq!(holding.count(), 1, "{cell}");
        }
    }

    #[test]
    fn only_a_part_of_so_many_is_read() {
        assert_eq!("2/8".parse(), Ok(Shard { number: 2, of: 8 }));
        for wrong in ["0/8", "9/8", "2", "2/", "-1/8", "1/0", "a/b"] {
            assert!(wrong.parse::<Shard>().is_err(), "{wrong}");
        }
    }
}
