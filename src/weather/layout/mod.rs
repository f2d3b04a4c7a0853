//! The layouts that weather files come in, one file each. A layout is chosen by the file's content.

mod plain;
mod year_month_day_hour;

use std::io::Read;

use super::error::WeatherError;
use super::rows::Reading;
pub use plain::write_plain;

/// Longest first line shown in an error, characters.
const FIRST_LINE_SHOWN: usize = 80;

/// A layout: how to know it and how to read it.
pub(crate) struct Layout {
    /// Its name in reports.
    pub name: &'static str,
    /// Whether a file that starts so is in this layout.
    pub recognise: fn(&Head) -> bool,
    /// Reads the rows of the station asked for.
    pub read: fn(&Head, &mut dyn Read, Option<&str>, &mut Reading) -> Result<(), WeatherError>,
}

/// All layouts, the more particular ones first.
const LAYOUTS: [Layout; 2] = [year_month_day_hour::LAYOUT, plain::LAYOUT];

/// The first lines of a file.
pub(crate) struct Head {
    text: String,
}

impl Head {
    /// From the first part of the text, which may end inside a line.
    pub(crate) fn new(text: String) -> Self {
        Self { text }
    }

    /// Lines that hold something.
    pub(super) fn lines(&self) -> impl Iterator<Item = &str> {
        self.text
            .lines()
            .map(str::trim)
            .filter(|line| !line.is_empty())
    }

    /// What stands behind the `#` of the lines on top.
    pub(super) fn comments(&self) -> impl Iterator<Item = &str> {
        self.lines().map_while(|line| line.strip_prefix('#'))
    }

    /// The first line that is no comment.
    pub(super) fn first_line(&self) -> &str {
        self.lines()
            .find(|line| !line.starts_with('#'))
            .unwrap_or_default()
    }

    /// The separator of the first line: whichever of tab, semicolon and comma is most frequent.
    pub(super) fn delimiter(&self) -> u8 {
        let line = self.first_line().as_bytes();
        let count = |wanted: u8| line.iter().filter(|&&byte| byte == wanted).count();
        [b'\t', b';', b',']
            .into_iter()
            .max_by_key(|&byte| count(byte))
            .unwrap_or(b',')
    }

    /// The first line as names of columns.
    pub(super) fn header(&self) -> Option<Vec<String>> {
        let delimiter = char::from(self.delimiter());
        let line = self.first_line();
        line.contains(delimiter).then(|| {
            line.split(delimiter)
                .map(|name| name.trim().trim_matches('"').trim().to_owned())
                .collect()
        })
    }
}

/// Finds the layout of a file.
pub(crate) fn find(file: &str, head: &Head) -> Result<&'static Layout, WeatherError> {
    static ALL: [Layout; LAYOUTS.len()] = LAYOUTS;
    ALL.iter()
        .find(|layout| (layout.recognise)(head))
        .ok_or_else(|| WeatherError::UnknownLayout {
            file: file.to_owned(),
            first_line: head.first_line().chars().take(FIRST_LINE_SHOWN).collect(),
            known: names().join("; "),
        })
}

/// Names of all layouts.
pub fn names() -> Vec<&'static str> {
    LAYOUTS.iter().map(|layout| layout.name).collect()
}
