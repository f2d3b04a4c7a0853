//! Numbers of any size in few characters.

/// Three significant digits, without an exponent and without a sign on zero.
#[must_use]
pub fn three_digits(value: f64) -> String {
    if value == 0.0 || !value.is_finite() {
        return format!("{:.0}", value.abs());
    }
    let magnitude = libm::floor(libm::log10(value.abs())) as i32;
    let decimals = (2 - magnitude).clamp(0, 6) as usize;
    let text = format!("{value:.decimals$}");
    let text = if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.')
    } else {
        &text
    };
    if text == "-0" {
        "0".to_owned()
    } else {
        text.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::three_digits;

    #[test]
    fn three_digits_are_shown_whatever_the_size() {
        for (value, text) in [
            (0.0, "0"),
            (-0.479, "-0.479"),
            (0.1, "0.1"),
            (39.0, "39"),
            (12_345.6, "12346"),
            (2.104, "2.1"),
            (-0.000_000_01, "0"),
        ] {
            assert_eq!(three_digits(value), text);
        }
    }
}
