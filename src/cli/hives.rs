//! `overwinter hives`: the library of hives, lids and floors.

use super::common::Show;
use super::console::Console;
use super::error::CliError;
use crate::report::hives_text::{self, Listing};
use crate::report::json;
use crate::scenario::{Part, library};
use clap::Args;
use serde::Serialize;

/// Hives, lids and floors to start from.
#[derive(Debug, Args)]
pub(super) struct Hives {
    /// Print the scenario lines of one of them.
    #[arg(value_name = "NAME")]
    name: Option<String>,
    #[command(flatten)]
    show: Show,
}

#[derive(Serialize)]
struct Text<'a> {
    name: &'a str,
    title: &'a str,
    text: &'a str,
}

impl Hives {
    pub fn start(&self, console: &mut Console<'_>) -> Result<(), CliError> {
        if let Some(name) = &self.name {
            return self.one(name, console);
        }
        let listing = Listing::new()?;
        if self.show.json {
            return console.print(&json::pretty(&listing)?);
        }
        console.print(&hives_text::text(&listing, self.show.units))
    }

    fn one(&self, typed: &str, console: &mut Console<'_>) -> Result<(), CliError> {
        let library = library();
        let plain = typed.trim().to_lowercase().replace([' ', '_'], "-");
        let Some(entry) = library.iter().find(|entry| entry.name == plain) else {
            let names = || library.iter().map(|entry| entry.name);
            let likeness = |name: &str| strsim::jaro_winkler(&plain, name);
            let nearest = names().max_by(|a, b| likeness(a).total_cmp(&likeness(b)));
            return Err(CliError::Option {
                option: "NAME",
                problem: format!(
                    "{typed:?} is not in the library; nearest is '{}'; it has: {}",
                    nearest.unwrap_or_default(),
                    names().collect::<Vec<_>>().join(", ")
                ),
            });
        };
        if self.show.json {
            return console.print(&json::pretty(&Text {
                name: entry.name,
                title: entry.title,
                text: &entry.text,
            })?);
        }
        let place = match entry.part {
            Part::Hive => "",
            Part::Lid | Part::Floor => "; goes below [hive]",
        };
        console.print(&format!("# {}{place}\n{}", entry.title, entry.text))
    }
}
