//! Colours that people with colour blindness can tell apart, on light and dark ground.

use crate::chart::Theme;

/// Okabe and Ito, "Color Universal Design", 2002 (rev. 2008), without black, in the order in which they stand out from white.
const ON_LIGHT: [&str; 7] = [
    "#0072b2", "#d55e00", "#009e73", "#cc79a7", "#e69f00", "#56b4e9", "#7a7a7a",
];
/// The same in the order in which they stand out from black; yellow in place of blue.
const ON_DARK: [&str; 7] = [
    "#56b4e9", "#e69f00", "#009e73", "#cc79a7", "#f0e442", "#d55e00", "#b0b0b0",
];

/// Cividis (Nuñez, Anderton and Renslow 2018, PLoS ONE 13(7) e0199239) at eleven even steps; the straight lines between keep within 11 of 255 of its table.
const CIVIDIS: [(u8, u8, u8); 11] = [
    (0, 34, 78),
    (12, 52, 112),
    (53, 69, 108),
    (79, 87, 108),
    (102, 105, 112),
    (125, 124, 120),
    (148, 142, 119),
    (173, 162, 114),
    (200, 184, 102),
    (229, 207, 82),
    (254, 232, 56),
];

/// Colours of everything that is not data.
#[derive(Debug, Clone, Copy)]
pub struct Ink {
    /// Ground.
    pub ground: &'static str,
    /// Text and outlines.
    pub text: &'static str,
    /// Text of less weight.
    pub quiet: &'static str,
    /// Axes.
    pub axis: &'static str,
    /// Grid.
    pub grid: &'static str,
}

impl Theme {
    /// Its colours of everything that is not data.
    pub fn ink(self) -> Ink {
        match self {
            Self::Light => Ink {
                ground: "#ffffff",
                text: "#1a1a1a",
                quiet: "#4d4d4d",
                axis: "#6b6b6b",
                grid: "#e3e3e3",
            },
            Self::Dark => Ink {
                ground: "#14171a",
                text: "#f2f2f2",
                quiet: "#c2c6ca",
                axis: "#9a9fa5",
                grid: "#33383d",
            },
        }
    }

    /// The colour of the n-th of several series; they repeat after seven, by when shapes have changed.
    pub fn series(self, number: usize) -> &'static str {
        let all = match self {
            Self::Light => ON_LIGHT,
            Self::Dark => ON_DARK,
        };
        all[number % all.len()]
    }
}

/// A colour a share of the way between two of the form "#rrggbb"; the first where one is of another form.
pub fn between(from: &str, to: &str, share: f64) -> String {
    let part = |hex: &str, at: usize| {
        let digits = hex.get(at..at + 2)?;
        u8::from_str_radix(digits, 16).ok().map(f64::from)
    };
    let mixed = [1, 3, 5].map(|at| {
        let (from, to) = (part(from, at)?, part(to, at)?);
        Some((from + share.clamp(0.0, 1.0) * (to - from)).round() as u8)
    });
    match mixed {
        [Some(red), Some(green), Some(blue)] => format!("#{red:02x}{green:02x}{blue:02x}"),
        _ => from.to_owned(),
    }
}

/// The colour of a share of the way from least (dark blue) to most (yellow).
pub fn of_share(share: f64) -> String {
    let last = CIVIDIS.len() - 1;
    let at = share.clamp(0.0, 1.0) * last as f64;
    let from = (at.floor() as usize).min(last - 1);
    let part = at - from as f64;
    let (a, b) = (CIVIDIS[from], CIVIDIS[from + 1]);
    let mix = |a: u8, b: u8| (f64::from(a) + part * (f64::from(b) - f64::from(a))).round() as u8;
    format!(
        "#{:02x}{:02x}{:02x}",
        mix(a.0, b.0),
        mix(a.1, b.1),
        mix(a.2, b.2)
    )
}

/// Stops of a gradient over the whole scale: share of the way and colour.
pub fn stops() -> impl Iterator<Item = (f64, String)> {
    let last = CIVIDIS.len() - 1;
    (0..=last).map(move |stop| {
        let share = stop as f64 / last as f64;
        (share, of_share(share))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn more_is_lighter_all_along_the_scale() {
        // Relative luminance without its gamma suffices for an order.
        let light = |share| {
            let hex = of_share(share);
            let part =
                |at: usize| f64::from(u8::from_str_radix(&hex[at..at + 2], 16).expect("hex"));
            0.2126 * part(1) + 0.7152 * part(3) + 0.0722 * part(5)
        };
        for step in 0..100 {
            let share = f64::from(step) / 100.0;
            assert!(light(share) < light(share + 0.01), "{share}");
        }
    }

    #[test]
    fn a_mixed_colour_lies_between_its_ends() {
        assert_eq!(between("#000000", "#ffffff", 0.5), "#808080");
        assert_eq!(between("#e3e3e3", "#0072b2", 0.0), "#e3e3e3");
        assert_eq!(between("#e3e3e3", "#0072b2", 9.0), "#0072b2");
        assert_eq!(between("red", "#0072b2", 0.5), "red");
    }

    #[test]
    fn shares_beyond_the_scale_have_the_colour_of_its_end() {
        assert_eq!(of_share(-1.0), of_share(0.0));
        assert_eq!(of_share(7.0), of_share(1.0));
    }
}
