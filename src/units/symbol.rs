//! Unit symbols as people type them, compared with the table.

use super::dimension::Dimension;
use super::table::{TABLE, Unit};

/// The symbol without what people vary: blanks, brackets, dots, raised digits, degree signs and kinds of quote marks.
pub(super) fn plain(text: &str) -> String {
    let mut plain = String::with_capacity(text.len());
    let text = text.replace(" per ", "/").replace("''", "\"");
    let mut letters = text.chars().peekable();
    while let Some(c) = letters.next() {
        match c {
            '²' => plain.push('2'),
            '³' => plain.push('3'),
            '¹' => plain.push('1'),
            '⁻' => plain.push('-'),
            '″' | '“' | '”' => plain.push('"'),
            '′' | '‘' | '’' => plain.push('\''),
            '°' | 'º' | '˚' => plain.push_str("deg"),
            '℃' => plain.push('C'),
            '℉' => plain.push('F'),
            '·' | '⋅' | '*' | '^' | '(' | ')' => {}
            // "Btu/hr-ft2": a hyphen that joins units, not one that begins an exponent.
            '-' if !plain.is_empty()
                && letters.peek().is_some_and(|next| !next.is_ascii_digit()) => {}
            '.' if plain.ends_with(char::is_alphanumeric) => {}
            c if c.is_whitespace() => {}
            c => plain.push(c),
        }
    }
    ["C", "F", "K"].iter().fold(plain, |plain, degree| {
        plain.replace(&format!("deg{degree}"), degree)
    })
}

/// The unit of this dimension that is written so, if there is one.
pub(super) fn find(plain_symbol: &str, dimension: Dimension) -> Option<&'static Unit> {
    let spelt = |same: fn(&str, &str) -> bool| {
        dimension
            .units()
            .find(|unit| spellings(unit).any(|spelling| same(plain_symbol, &spelling)))
    };
    spelt(|typed, spelling| typed == spelling).or_else(|| spelt(same_but_for_case))
}

/// What a unit measures that the dimension asked for does not have.
pub(super) fn dimension_of(plain_symbol: &str) -> Option<Dimension> {
    Dimension::ALL
        .into_iter()
        .find(|dimension| find(plain_symbol, *dimension).is_some())
}

/// The symbol of the unit whose spelling is most like what was typed; none if nothing is alike.
pub(super) fn nearest(plain_symbol: &str, dimension: Dimension) -> Option<&'static str> {
    const ALIKE: f64 = 0.5;
    let typed = plain_symbol.to_lowercase();
    dimension
        .units()
        .flat_map(|unit| {
            spellings(unit).map(move |spelling| (unit.symbol, spelling.to_lowercase()))
        })
        .map(|(symbol, spelling)| (symbol, strsim::jaro_winkler(&typed, &spelling)))
        .filter(|(_, likeness)| *likeness > ALIKE)
        .max_by(|a, b| a.1.total_cmp(&b.1))
        .map(|(symbol, _)| symbol)
}

/// The unit with exactly this symbol in the table.
pub(super) fn by_symbol(symbol: &str, dimension: Dimension) -> Option<&'static Unit> {
    TABLE
        .iter()
        .find(|unit| unit.dimension == dimension.kind() && unit.symbol == symbol)
}

fn spellings(unit: &'static Unit) -> impl Iterator<Item = String> {
    std::iter::once(unit.symbol)
        .chain(unit.aliases.iter().copied())
        .map(plain)
}

/// "KG" is kg and "mph" may be "MPH", but "Mg" is not mg and "mJ" not MJ: the prefixes m and M differ by 10^9.
fn same_but_for_case(typed: &str, spelling: &str) -> bool {
    let prefix = |text: &str| text.chars().next().filter(|c| matches!(c, 'm' | 'M'));
    let mixed = typed.chars().any(char::is_uppercase) && typed.chars().any(char::is_lowercase);
    typed.eq_ignore_ascii_case(spelling) && !(mixed && prefix(typed) != prefix(spelling))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_two_units_of_a_dimension_share_a_spelling() {
        for dimension in Dimension::ALL {
            let mut seen = std::collections::HashMap::new();
            for unit in dimension.units() {
                for spelling in spellings(unit) {
                    if let Some(other) = seen.insert(spelling.clone(), unit.symbol) {
                        assert_eq!(other, unit.symbol, "'{spelling}' of {dimension}");
                    }
                }
            }
        }
    }

    #[test]
    fn every_spelling_of_the_table_finds_its_own_unit() {
        for unit in TABLE {
            for spelling in spellings(unit) {
                let found = find(&spelling, unit.dimension).map(|found| found.symbol);
                assert_eq!(found, Some(unit.symbol), "'{spelling}'");
            }
        }
    }

    #[test]
    fn the_case_of_a_prefix_is_not_guessed() {
        assert!(find("Mg", Dimension::Mass).is_none());
        assert!(find("mJ", Dimension::Energy).is_none());
        assert_eq!(
            find("KG", Dimension::Mass).map(|unit| unit.symbol),
            Some("kg")
        );
        assert_eq!(
            find("MPH", Dimension::Speed).map(|unit| unit.symbol),
            Some("mph")
        );
    }
}
