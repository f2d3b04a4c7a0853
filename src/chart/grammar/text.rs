//! Text in pictures: made safe, shortened, broken into lines, its width estimated without any font.

use unicode_segmentation::UnicodeSegmentation as _;
use unicode_width::UnicodeWidthStr as _;

/// The one font of all charts; the generic family at its end is always there.
pub const FONT_FAMILY: &str = "DejaVu Sans, Verdana, sans-serif";

/// Characters that one grapheme may have: a family of emoji has eleven, a letter under a heap of accents any number.
const HEAP: usize = 12;

/// A name that someone else chose, for a picture: on one line, without control characters and marks of direction, at most `most` graphemes.
///
/// Names written from right to left are isolated, so that they do not turn round what stands beside them.
#[must_use]
pub fn name(text: &str, most: usize) -> String {
    let plain: String = text
        .chars()
        .map(|c| if c.is_whitespace() { ' ' } else { c })
        .filter(|c| !unwanted(*c))
        .collect();
    let plain = plain.split(' ').filter(|word| !word.is_empty());
    let plain = plain.collect::<Vec<_>>().join(" ");
    let graphemes: Vec<String> = plain
        .graphemes(true)
        .take(most + 1)
        .map(|grapheme| grapheme.chars().take(HEAP).collect())
        .collect();
    let short = if graphemes.len() > most {
        let kept = graphemes[..most.saturating_sub(1)].concat();
        format!("{}…", kept.trim_end())
    } else {
        graphemes.concat()
    };
    if short.is_empty() {
        "unnamed".to_owned()
    } else if short.chars().any(right_to_left) {
        format!("\u{2068}{short}\u{2069}")
    } else {
        short
    }
}

/// What XML forbids, what is not seen, and what turns text round.
fn unwanted(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{61c}' | '\u{feff}' | '\u{fffe}' | '\u{ffff}')
}

/// Letters of scripts that run from right to left, by their blocks of Unicode 16.
fn right_to_left(c: char) -> bool {
    matches!(c, '\u{590}'..='\u{8ff}' | '\u{fb1d}'..='\u{fdff}' | '\u{fe70}'..='\u{fefe}' | '\u{10800}'..='\u{10fff}' | '\u{1e800}'..='\u{1efff}')
}

/// Width of a line of text, in sizes of its font, rather too much than too little: about that of DejaVu Sans, a wide face.
pub fn width_em(text: &str) -> f64 {
    let of = |grapheme: &str| match grapheme {
        "i" | "j" | "l" | "'" | "." | "," | ":" | ";" | "|" | "!" | " " | "\u{a0}" => 0.34,
        "f" | "r" | "t" | "I" | "(" | ")" | "[" | "]" | "-" | "/" | "\\" => 0.43,
        "m" | "w" | "M" | "W" | "%" | "@" | "…" | "—" => 1.0,
        _ if grapheme.chars().all(|c| c.is_ascii_uppercase()) => 0.74,
        _ if grapheme.is_ascii() => 0.64,
        _ if grapheme.chars().all(char::is_alphanumeric) && grapheme.width() == 1 => 0.7,
        _ => match grapheme.width() {
            0 => 0.0,
            1 => 0.84,
            columns => 0.75 * columns as f64,
        },
    };
    text.graphemes(true).map(of).sum()
}

/// Bold text is wider by a tenth.
pub const BOLD: f64 = 1.12;

/// Text in lines of at most `width` sizes of its font; a word that is longer by itself is broken.
pub fn lines(text: &str, width: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    for word in text.split(' ').filter(|word| !word.is_empty()) {
        let space = if line.is_empty() { "" } else { " " };
        if width_em(&line) + width_em(space) + width_em(word) <= width {
            line = line + space + word;
            continue;
        }
        if !line.is_empty() {
            lines.push(std::mem::take(&mut line));
        }
        for grapheme in word.graphemes(true) {
            if !line.is_empty() && width_em(&line) + width_em(grapheme) > width {
                lines.push(std::mem::take(&mut line));
            }
            line += grapheme;
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
}

/// Text cut to `width` sizes of its font.
pub fn shortened(text: &str, width: f64) -> String {
    // What was just measured to fit is not cut for rounding.
    if width_em(text) <= width + 1e-9 {
        return text.to_owned();
    }
    let mut kept = String::new();
    for grapheme in text.graphemes(true) {
        if width_em(&kept) + width_em(grapheme) + width_em("…") > width {
            break;
        }
        kept += grapheme;
    }
    // What isolated a name from right to left may have been cut off.
    let open = kept.matches('\u{2068}').count() > kept.matches('\u{2069}').count();
    kept.trim_end().to_owned() + if open { "…\u{2069}" } else { "…" }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_name_is_cut_between_graphemes() {
        assert_eq!(name("Kettlewend", 12), "Kettlewend");
        assert_eq!(name(&"x".repeat(500), 5), "xxxx…");
        // Two people and a heart are one grapheme of several characters.
        let pair = "👩‍❤️‍👩";
        assert_eq!(name(&pair.repeat(9), 3), format!("{pair}{pair}…"));
    }

    #[test]
    fn what_cannot_be_seen_is_left_out_of_names() {
        assert_eq!(name("a\u{0}b\u{202e}c\n\t d", 20), "abc d");
        assert_eq!(name("\u{7}", 20), "unnamed");
        assert!(
            name(&format!("e{}", "\u{301}".repeat(400)), 20)
                .chars()
                .count()
                <= HEAP
        );
    }

    #[test]
    fn a_name_from_right_to_left_is_isolated() {
        assert_eq!(name("חורף", 9), "\u{2068}חורף\u{2069}");
        assert_eq!(name("Überlingen", 20), "Überlingen");
    }

    #[test]
    fn lines_keep_within_their_width() {
        let text =
            "Colder Januaries need more honey: 0.41 kg for each °C".to_owned() + &"y".repeat(80);
        let lines = lines(&text, 12.0);
        assert!(lines.len() > 3);
        for line in &lines {
            assert!(width_em(line) <= 12.0, "{line}");
        }
        assert_eq!(lines.concat().replace(' ', ""), text.replace(' ', ""));
    }

    /// Advance widths of DejaVu Sans 2.37, thousandths of its size.
    #[test]
    fn widths_are_not_less_than_those_of_a_wide_font() {
        assert!(width_em("Honey") >= 0.752 + 0.612 + 0.634 + 0.615 + 0.592);
        assert!(width_em("0123456789") >= 6.36);
        assert!(width_em("illimitable") >= 4.3);
        assert!(width_em("MWmw%") >= 0.863 + 0.989 + 0.974 + 0.818 + 0.95);
    }
}
