//! Values of a setting as they are written: a list, or a range taken apart into steps.

use super::{MOST_VALUES, SettingError};
use crate::scenario::season::MonthDay;
use crate::units::number_and_unit;

/// Values between commas that stand in no bracket and no quotes.
pub(super) fn parts(values: &str) -> Vec<&str> {
    let plain = outside_brackets(values);
    let mut start = 0;
    let mut parts = Vec::new();
    for (at, _) in plain.match_indices(',') {
        parts.push(values[start..at].trim());
        start = at + 1;
    }
    parts.push(values[start..].trim());
    parts
}

/// The text with every byte in brackets or quotes replaced, at the same places.
pub(super) fn outside_brackets(text: &str) -> String {
    let (mut depth, mut quote) = (0_usize, None);
    let hide = |c: char| "_".repeat(c.len_utf8());
    text.chars()
        .map(|c| match (quote, c) {
            (Some(open), c) => {
                quote = (c != open).then_some(open);
                hide(c)
            }
            // A bare " or ' behind a number is an inch or a foot: only one at a value's start or in brackets opens quotes.
            (None, '"' | '\'') if depth > 0 => {
                quote = Some(c);
                hide(c)
            }
            (None, '[' | '{') => {
                depth += 1;
                hide(c)
            }
            (None, ']' | '}') => {
                depth = depth.saturating_sub(1);
                hide(c)
            }
            (None, c) if depth > 0 => hide(c),
            (None, c) => c.to_string(),
        })
        .collect()
}

/// The values of "LOW..HIGH:STEPS": numbers with one unit, or days of the year.
pub(super) fn range(key: &str, range: &str) -> Result<Vec<String>, SettingError> {
    let refuse = |why: &str| SettingError::Range {
        key: key.to_owned(),
        range: range.to_owned(),
        why: why.to_owned(),
    };
    let (low, rest) = range.split_once("..").ok_or_else(|| refuse("no '..'"))?;
    let (high, count) = rest
        .rsplit_once(':')
        .ok_or_else(|| refuse("the number of steps is missing"))?;
    let count: usize = count
        .trim()
        .parse()
        .ok()
        .filter(|count| (2..=MOST_VALUES).contains(count))
        .ok_or_else(|| refuse(&format!("2 to {MOST_VALUES} steps are needed")))?;
    let share = |step: usize| step as f64 / (count - 1) as f64;
    if let (Some(low), Some(high)) = (MonthDay::parse(low), MonthDay::parse(high)) {
        let days = low.days_until(high);
        let day = |step| low.later((share(step) * f64::from(days)).round() as i32);
        return Ok((0..count).map(|step| day(step).to_string()).collect());
    }
    let (Some((low, low_unit)), Some((high, unit))) = (number_and_unit(low), number_and_unit(high))
    else {
        return Err(refuse("it has no numbers"));
    };
    if !low_unit.is_empty() && low_unit != unit {
        return Err(refuse("its ends have different units"));
    }
    if low == high {
        return Err(refuse("its ends are the same"));
    }
    let value = |step| {
        let value = low + share(step) * (high - low);
        // Six digits: thirds of a millimetre do not matter, and binary rounding should not show.
        let value = format!("{value:.5e}").parse().unwrap_or(value);
        format!("{value} {unit}").trim_end().to_owned()
    };
    Ok((0..count).map(value).collect())
}
