//! `overwinter guide`: the pages of the guide.

use super::console::Console;
use super::error::CliError;
use crate::guide::{PAGES, Page};
use clap::Args;
use termimad::crossterm::style::Attribute;
use termimad::{Alignment, MadSkin};

/// Narrowest and widest that a page is set, columns.
const NARROWEST: usize = 40;
const WIDEST: usize = 100;

/// Show a page of the guide, or list the pages.
#[derive(Debug, Args)]
pub(super) struct Guide {
    /// Page to show, as `first-hive`; without one all pages are listed.
    topic: Option<String>,
}

impl Guide {
    pub fn start(&self, console: &mut Console<'_>) -> Result<(), CliError> {
        let Some(topic) = &self.topic else {
            return console.print(&list());
        };
        let page = Page::named(topic).ok_or_else(|| CliError::Option {
            option: "guide",
            problem: format!("there is no page '{topic}'; the pages are {}", names()),
        })?;
        let (columns, _) = termimad::terminal_size();
        let columns = usize::from(columns).clamp(NARROWEST, WIDEST);
        let text = page.plain();
        let set = skin().text(&text, Some(columns)).to_string();
        let lines: Vec<&str> = set.lines().map(str::trim_end).collect();
        console.print(&lines.join("\n"))
    }
}

fn names() -> String {
    let names: Vec<&str> = PAGES.iter().map(|page| page.name).collect();
    names.join(", ")
}

fn list() -> String {
    let widest = PAGES.iter().map(|page| page.name.len()).max();
    let widest = widest.unwrap_or_default();
    let lines: Vec<String> = PAGES
        .iter()
        .map(|page| format!("  {:widest$}  {}", page.name, page.title()))
        .collect();
    format!(
        "Pages of the guide. Show one:  overwinter guide {}\n\n{}",
        PAGES[0].name,
        lines.join("\n")
    )
}

/// Headings and strong words bold, no colours: a terminal may be light or dark.
fn skin() -> MadSkin {
    let mut skin = MadSkin::no_style();
    for heading in &mut skin.headers {
        heading.compound_style.add_attr(Attribute::Bold);
        heading.align = Alignment::Left;
    }
    skin.bold.add_attr(Attribute::Bold);
    skin
}
