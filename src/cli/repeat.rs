//! The command that repeats a result, for its page.

use crate::ensemble::Sampling;
use crate::scenario::{Ensemble, SHARED_SETS};
use clap::ValueEnum as _;
use std::path::Path;

/// A scenario file: its name and text.
pub(super) type Source = (String, String);

/// A file under its name without its folder, as a page is handed on; with a number where another has that name.
pub(super) fn source(path: &Path, text: String, before: &[Source]) -> Source {
    let name = path.file_name().unwrap_or(path.as_os_str());
    let name = name.to_string_lossy().into_owned();
    let taken = |name: &str| before.iter().any(|(other, _)| other == name);
    let free = (2..).map(|number| format!("{number}-{name}"));
    let name = std::iter::once(name.clone())
        .chain(free)
        .find(|name| !taken(name))
        .unwrap_or(name);
    (name, text)
}

/// The options that fix what is drawn.
pub(super) fn drawn(ensemble: &Ensemble) -> Vec<String> {
    let mut words = vec!["--members".to_owned(), ensemble.members.to_string()];
    words.extend(seeded(ensemble.seed));
    words.extend(sampled(ensemble.sampling));
    if ensemble.shared_sets != SHARED_SETS {
        words.extend(["--shared-sets".to_owned(), ensemble.shared_sets.to_string()]);
    }
    words
}

/// The seed.
pub(super) fn seeded(seed: u64) -> [String; 2] {
    ["--seed".to_owned(), seed.to_string()]
}

fn sampled(sampling: Sampling) -> Vec<String> {
    match sampling.to_possible_value() {
        Some(value) if sampling != Sampling::default() => {
            vec!["--draws".to_owned(), value.get_name().to_owned()]
        }
        _ => Vec::new(),
    }
}

/// A command as one types it, words with blanks and signs of the shell in quotes.
pub(super) fn command(words: &[impl AsRef<str>]) -> String {
    let plain = |c: char| c.is_alphanumeric() || "-_./=:,+[]".contains(c);
    let quoted = |word: &str| {
        if !word.is_empty() && word.chars().all(plain) {
            word.to_owned()
        } else {
            format!("'{}'", word.replace('\'', "'\\''"))
        }
    };
    let words: Vec<String> = words.iter().map(|word| quoted(word.as_ref())).collect();
    format!("overwinter {}", words.join(" "))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_that_a_shell_would_read_otherwise_are_quoted() {
        assert_eq!(
            command(&["run", "my yard.toml", "it's", "a=1..2"]),
            "overwinter run 'my yard.toml' 'it'\\''s' a=1..2"
        );
    }

    #[test]
    fn only_what_is_not_usual_of_draws_is_named() {
        let ensemble = Ensemble {
            members: 40,
            seed: 7,
            sampling: Sampling::Sobol,
            shared_sets: 20,
        };
        assert_eq!(
            drawn(&ensemble).join(" "),
            "--members 40 --seed 7 --draws sobol --shared-sets 20"
        );
        assert_eq!(sampled(Sampling::Plain), Vec::<String>::new());
    }
}
