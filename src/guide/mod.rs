//! The guide: pages for keepers, teachers and researchers, part of the program.

/// A page of the guide.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Page {
    /// What it is asked for by: "first-hive".
    pub name: &'static str,
    /// Its text as Markdown, which begins with its title.
    pub text: &'static str,
}

macro_rules! pages {
    ($($name:literal),+ $(,)?) => {
        &[$(Page { name: $name, text: include_str!(concat!($name, ".md")) }),+]
    };
}

/// All pages, in the order in which they are listed.
pub const PAGES: &[Page] = pages![
    "first-hive",
    "get-weather",
    "compare-hives",
    "feeding",
    "midwinter",
    "hive-scale",
    "build-and-materials",
    "sensitivity-and-sweeps",
    "charts-and-reports",
    "classroom",
    "batch-and-clusters",
    "scenario-reference",
    "weather-formats",
    "columns",
    "model",
    "validation",
    "limits",
    "glossary",
];

impl Page {
    /// The page of this name.
    #[must_use]
    pub fn named(name: &str) -> Option<&'static Self> {
        PAGES.iter().find(|page| page.name == name)
    }

    /// Its first line, without the mark of a heading.
    #[must_use]
    pub fn title(&self) -> &'static str {
        let first = self.text.lines().next().unwrap_or_default();
        first.trim_start_matches("# ")
    }

    /// Its text for a terminal: a line a paragraph, links to other pages as the command that shows them, pictures as what they show, no comments.
    #[must_use]
    pub fn plain(&self) -> String {
        let mut plain: Vec<String> = Vec::new();
        let mut fenced = false;
        for line in self.text.lines().filter(|line| !line.starts_with("<!--")) {
            let is_fence = line.starts_with("```");
            fenced ^= is_fence;
            let as_it_is = fenced || is_fence || line.starts_with("    ");
            match plain.last_mut() {
                _ if as_it_is => plain.push(line.to_owned()),
                Some(before) if goes_on(before) && !begins(line) => {
                    *before += " ";
                    *before += &without_links(line.trim_start());
                }
                _ => plain.push(without_links(line)),
            }
        }
        plain.join("\n")
    }
}

/// Whether a paragraph or an item may go on after this line.
fn goes_on(line: &str) -> bool {
    let ends = ["#", "|", "```", "    "];
    !line.is_empty() && !ends.iter().any(|end| line.starts_with(end))
}

/// Whether this line begins something: an item, a heading, a row of a table, or, empty, a paragraph.
fn begins(line: &str) -> bool {
    let number = line.trim_start_matches(|c: char| c.is_ascii_digit());
    let is_numbered = number.len() < line.len() && number.starts_with(". ");
    line.is_empty() || is_numbered || ["- ", "#", "|"].iter().any(|mark| line.starts_with(mark))
}

/// A line of Markdown whose links are told in words.
fn without_links(line: &str) -> String {
    let mut rest = line;
    let mut plain = String::with_capacity(line.len());
    while let Some((before, label, target, after)) = link(rest) {
        match (before.strip_suffix('!'), target.strip_suffix(".md")) {
            (Some(before), _) => plain += &format!("{before}Picture: {label}"),
            (None, Some(name)) if Page::named(name).is_some() => {
                plain += &format!("{before}{label} (overwinter guide {name})");
            }
            (None, _) => plain += &format!("{before}{label}"),
        }
        rest = after;
    }
    plain + rest
}

/// What stands before the first link of a text, its label, its target, and what stands after it.
fn link(text: &str) -> Option<(&str, &str, &str, &str)> {
    let middle = text.find("](")?;
    let open = text[..middle].rfind('[')?;
    let close = middle + text[middle..].find(')')?;
    Some((
        &text[..open],
        &text[open + 1..middle],
        &text[middle + 2..close],
        &text[close + 1..],
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_page_has_a_title_and_a_name_of_its_own() {
        for (number, page) in PAGES.iter().enumerate() {
            assert!(page.text.starts_with("# "), "{}", page.name);
            assert!(!page.title().is_empty(), "{}", page.name);
            let named = PAGES.iter().position(|other| other.name == page.name);
            assert_eq!(named, Some(number));
        }
    }

    #[test]
    fn every_file_of_the_guide_is_a_page() {
        let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("src/guide");
        let files = std::fs::read_dir(folder).expect("the guide");
        let pages = files
            .map(|file| file.expect("a file").path())
            .filter(|path| path.extension().is_some_and(|end| end == "md"));
        assert_eq!(pages.count(), PAGES.len());
    }

    #[test]
    fn paragraphs_and_items_become_a_line_each_and_code_stays() {
        let page = Page {
            name: "x",
            text: "# X\n\none\ntwo\n- a\n  b\n- c\n\n    code\n    more\n\n```text\nk\nl\n```\nend\n",
        };
        assert_eq!(
            page.plain(),
            "# X\n\none two\n- a b\n- c\n\n    code\n    more\n\n```text\nk\nl\n```\nend"
        );
    }

    #[test]
    fn links_become_words() {
        assert_eq!(
            without_links(
                "See [limits](limits.md), or [the page](https://x.org) and ![a hive](../a.svg)."
            ),
            "See limits (overwinter guide limits), or the page and Picture: a hive."
        );
        assert_eq!(without_links("wall[2] and (this)"), "wall[2] and (this)");
    }
}
