//! The font of all charts, carried with them: no picture depends on what a machine has installed.

use allsorts::binary::read::ReadScope;
use allsorts::error::ParseError;
use allsorts::font::{Font, MatchingPresentation};
use allsorts::font_data::FontData;
use allsorts::subset::{CmapTarget, SubsetProfile, subset};
use allsorts::tables::{FontTableProvider, SfntVersion};
use allsorts::tag;
use base64::prelude::{BASE64_STANDARD, Engine as _};
use std::borrow::Cow;
use std::collections::BTreeSet;

/// Name of the font.
pub(super) const NAME: &str = "DejaVu Sans";

/// What its licence asks to go with it.
const NOTICE: &str = "DejaVu Sans 2.37, only some characters. Copyright (c) 2003 by Bitstream, Inc. All Rights Reserved. Bitstream Vera is a trademark of \
                      Bitstream, Inc. DejaVu changes are in public domain. https://dejavu-fonts.github.io/License.html";

/// Tables that a browser needs: those for hinting are left out, as screens no longer need them, and the names,
/// which hold the whole licence and would be half of it, are put shortly ([`names`]).
const TABLES: [u32; 8] = [
    tag::CMAP,
    tag::HEAD,
    tag::HHEA,
    tag::HMTX,
    tag::MAXP,
    tag::NAME,
    tag::OS_2,
    tag::POST,
];

/// Its regular and its bold face, with their CSS weights.
pub(super) fn faces() -> [(&'static str, &'static [u8]); 2] {
    [
        ("400", dejavu::sans::regular()),
        ("700", dejavu::sans::bold()),
    ]
}

/// CSS that brings the characters of some text in both faces, inside of it; what the font does not have is left to the reader's.
#[must_use]
pub fn css(text: &str) -> String {
    let wanted: BTreeSet<char> = text.chars().filter(|c| !c.is_control()).collect();
    let face = |(weight, bytes): (&str, &[u8])| {
        // A face that cannot be cut is left out, and the reader's own font stands in.
        let cut = cut(bytes, &wanted)?;
        Some(format!(
            "@font-face{{font-family:\"{NAME}\";font-weight:{weight};src:url(data:font/ttf;base64,{}) format(\"truetype\")}}",
            BASE64_STANDARD.encode(cut)
        ))
    };
    faces().into_iter().filter_map(face).collect()
}

/// An SVG of ours with its font in it, so that it looks the same everywhere by itself.
pub(super) fn embedded(svg: &str) -> String {
    let style = format!("<style>{}</style>", css(svg));
    match svg.find("</desc>") {
        Some(at) => {
            let at = at + "</desc>".len();
            [&svg[..at], &style, &svg[at..]].concat()
        }
        None => svg.to_owned(),
    }
}

/// The face with only some of its characters.
fn cut(bytes: &[u8], wanted: &BTreeSet<char>) -> Option<Vec<u8>> {
    let file = ReadScope::new(bytes).read::<FontData<'_>>().ok()?;
    let provider = Named {
        font: file.table_provider(0).ok()?,
        names: names(),
    };
    let glyphs = glyphs(file.table_provider(0).ok()?, wanted).ok()?;
    subset(
        &provider,
        &glyphs,
        &SubsetProfile::Custom(TABLES.to_vec()),
        CmapTarget::Unicode,
    )
    .ok()
}

/// A font under other names.
struct Named<T> {
    font: T,
    names: Vec<u8>,
}

impl<T: FontTableProvider> FontTableProvider for Named<T> {
    fn table_data(&self, tag: u32) -> Result<Option<Cow<'_, [u8]>>, ParseError> {
        if tag == tag::NAME {
            return Ok(Some(Cow::Borrowed(&self.names)));
        }
        self.font.table_data(tag)
    }

    fn has_table(&self, tag: u32) -> bool {
        self.font.has_table(tag)
    }

    fn table_tags(&self) -> Option<Vec<u32>> {
        self.font.table_tags()
    }
}

impl<T: SfntVersion> SfntVersion for Named<T> {
    fn sfnt_version(&self) -> u32 {
        self.font.sfnt_version()
    }
}

/// The table of names (OpenType 1.9, "name", version 0): notice and family, in English and UTF-16.
fn names() -> Vec<u8> {
    const RECORDS: [(u16, &str); 2] = [(0, NOTICE), (1, NAME)];
    const HEAD: usize = 6;
    const RECORD: usize = 12;
    let mut head = Vec::new();
    let mut text: Vec<u8> = Vec::new();
    let start = HEAD + RECORD * RECORDS.len();
    let mut put = |numbers: &[usize]| {
        // All of them are far below 65,536.
        head.extend(
            numbers
                .iter()
                .flat_map(|number| (*number as u16).to_be_bytes()),
        );
    };
    put(&[0, RECORDS.len(), start]);
    for (what, words) in RECORDS {
        let bytes: Vec<u8> = words.encode_utf16().flat_map(u16::to_be_bytes).collect();
        // Windows, Unicode, English (United States).
        put(&[3, 1, 0x409, usize::from(what), bytes.len(), text.len()]);
        text.extend(bytes);
    }
    head.extend(text);
    head
}

/// Numbers of glyphs, the one for missing characters first.
fn glyphs<T: FontTableProvider + SfntVersion>(
    provider: T,
    wanted: &BTreeSet<char>,
) -> Result<Vec<u16>, ParseError> {
    let mut font = Font::new(provider).map_err(|_| ParseError::BadValue)?;
    let found = wanted.iter().map(|c| {
        let (glyph, _) = font.lookup_glyph_index(*c, MatchingPresentation::NotRequired, None);
        glyph
    });
    let found: BTreeSet<u16> = std::iter::once(0).chain(found).collect();
    Ok(found.into_iter().collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_faces_are_brought_and_small() {
        let css = css("Honey needed, kg 0123456789 −°");
        assert_eq!(css.matches("@font-face").count(), 2);
        assert!(css.len() > 4_000, "{}", css.len());
        assert!(css.len() < 40_000, "{}", css.len());
    }

    #[test]
    fn characters_that_the_font_lacks_do_no_harm() {
        assert_eq!(css("👩‍❤️‍👩 龍 \u{10ffff}").matches("@font-face").count(), 2);
    }

    #[test]
    fn the_same_text_gives_the_same_bytes() {
        assert_eq!(css("Überlingen"), css("Überlingen"));
        assert_eq!(css("abc"), css("cbacba"));
    }
}
