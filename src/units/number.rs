//! The number at the start of a quantity: decimals, fractions of an inch, mixed numbers.

/// Why no number could be read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Fault {
    Absent,
    NotFinite,
    Fraction,
}

/// The text with the look-alikes of blanks, minus signs and fraction bars replaced by the plain ones.
pub(super) fn plain(text: &str) -> String {
    let replaced = text.chars().map(|c| match c {
        '\u{2212}' | '\u{2010}'..='\u{2013}' => '-',
        '\u{2044}' | '\u{2215}' => '/',
        c if c.is_whitespace() => ' ',
        c => c,
    });
    replaced.collect::<String>().trim().to_owned()
}

/// The signed number that the text begins with, and what follows it.
pub(super) fn leading(text: &str) -> Result<(f64, &str), Fault> {
    let (sign, unsigned) = match text.strip_prefix('-') {
        Some(rest) => (-1.0, rest.trim_start()),
        None => (1.0, text.strip_prefix('+').unwrap_or(text).trim_start()),
    };
    let (magnitude, rest) = magnitude(unsigned)?;
    if magnitude.is_finite() {
        Ok((sign * magnitude, rest))
    } else {
        Err(Fault::NotFinite)
    }
}

/// Whether the text begins with a number without a sign.
pub(super) fn begins(text: &str) -> bool {
    text.starts_with(|c: char| c.is_ascii_digit() || c == '.' || vulgar(c).is_some())
}

fn magnitude(text: &str) -> Result<(f64, &str), Fault> {
    if let Some(found) = fraction(text)? {
        return Ok(found);
    }
    let length = decimal_length(text);
    let (decimal, rest) = text.split_at(length);
    if !decimal.contains(|c: char| c.is_ascii_digit()) {
        let word = text.get(..3).unwrap_or("");
        let not_finite = word.eq_ignore_ascii_case("nan")
            || word.eq_ignore_ascii_case("inf")
            || text.starts_with('∞');
        return Err(if not_finite {
            Fault::NotFinite
        } else {
            Fault::Absent
        });
    }
    let value: f64 = decimal.parse().map_err(|_| Fault::Absent)?;
    if !decimal.bytes().all(|b| b.is_ascii_digit()) {
        return Ok((value, rest));
    }
    // "1 1/2", "1-1/2", "1½": a whole number may be followed by a proper fraction.
    let tail = rest.trim_start();
    let tail = tail.strip_prefix('-').map_or(tail, str::trim_start);
    match fraction(tail)? {
        Some((part, rest)) if part < 1.0 => Ok((value + part, rest)),
        Some(_) => Err(Fault::Fraction),
        None => Ok((value, rest)),
    }
}

/// "7/8" or "⅞" at the start of the text.
fn fraction(text: &str) -> Result<Option<(f64, &str)>, Fault> {
    if let Some((c, value)) = text.chars().next().and_then(|c| Some((c, vulgar(c)?))) {
        return Ok(Some((value, &text[c.len_utf8()..])));
    }
    let (numerator, rest) = text.split_at(digits(text));
    let Some(rest) = rest.trim_start().strip_prefix('/').map(str::trim_start) else {
        return Ok(None);
    };
    let (denominator, rest) = rest.split_at(digits(rest));
    if numerator.is_empty() || denominator.is_empty() {
        return Ok(None);
    }
    match (numerator.parse::<u32>(), denominator.parse::<u32>()) {
        (Ok(numerator), Ok(denominator)) if denominator > 0 && !rest.starts_with(['.', '/']) => {
            Ok(Some((f64::from(numerator) / f64::from(denominator), rest)))
        }
        _ => Err(Fault::Fraction),
    }
}

/// Bytes of "12", "12.5", ".5" or "1.2e-3" at the start of the text.
fn decimal_length(text: &str) -> usize {
    let mut length = digits(text);
    if text[length..].starts_with('.') {
        length += 1 + digits(&text[length + 1..]);
    }
    let exponent = &text[length..];
    if exponent.starts_with(['e', 'E']) {
        let signed = 1 + usize::from(exponent[1..].starts_with(['+', '-']));
        let figures = digits(&exponent[signed..]);
        if figures > 0 {
            length += signed + figures;
        }
    }
    length
}

fn digits(text: &str) -> usize {
    text.bytes().take_while(u8::is_ascii_digit).count()
}

fn vulgar(c: char) -> Option<f64> {
    let (numerator, denominator) = match c {
        '½' => (1.0, 2.0),
        '⅓' => (1.0, 3.0),
        '⅔' => (2.0, 3.0),
        '¼' => (1.0, 4.0),
        '¾' => (3.0, 4.0),
        '⅕' => (1.0, 5.0),
        '⅖' => (2.0, 5.0),
        '⅗' => (3.0, 5.0),
        '⅘' => (4.0, 5.0),
        '⅙' => (1.0, 6.0),
        '⅚' => (5.0, 6.0),
        '⅛' => (1.0, 8.0),
        '⅜' => (3.0, 8.0),
        '⅝' => (5.0, 8.0),
        '⅞' => (7.0, 8.0),
        '⅒' => (1.0, 10.0),
        _ => return None,
    };
    Some(numerator / denominator)
}
