//! A category axis: names at even spaces along the foot of a panel; days, words, whatever is no number.

use super::{Area, lines, px, shortened, width_em};
use maud::{Markup, html};

/// Most lines of a name.
const LINES: usize = 3;
/// Room from which a name is rather cut than others left out, sizes of the font.
const CUT_EM: f64 = 7.0;

/// Names in lines that fit into slots of this width, sizes of the font; where they do not, only every second, third and so on is given.
pub fn fitted(names: &[String], slot_em: f64) -> Vec<(usize, Vec<String>)> {
    for every in 1..=names.len() {
        let room = every as f64 * slot_em - 0.7;
        let whole = |name: &String| {
            let longest = name.split(' ').map(width_em).fold(0.0, f64::max);
            longest <= room && lines(name, room).len() <= LINES
        };
        let chosen = || names.iter().enumerate().step_by(every);
        if room >= CUT_EM || chosen().all(|(_, name)| whole(name)) {
            return chosen()
                .map(|(number, name)| {
                    let mut own = lines(name, room);
                    if own.len() > LINES {
                        let rest = own.split_off(LINES - 1).join(" ");
                        own.push(shortened(&rest, room));
                    }
                    (number, own)
                })
                .collect();
        }
    }
    // Not even one fits by itself: the first, cut.
    let first = names
        .first()
        .map(|name| (0, vec![shortened(name, names.len() as f64 * slot_em)]));
    first.into_iter().collect()
}

/// The names under their slots, the first line at `top`; kept within the area.
pub fn categories(
    area: Area,
    names: &[(usize, Vec<String>)],
    at: impl Fn(usize) -> f64,
    top: f64,
    size: f64,
    fill: &str,
) -> Markup {
    html! {
        g font-size=(px(size)) fill=(fill) text-anchor="middle" {
            @for (number, lines) in names {
                @let half = 0.5 * size * lines.iter().map(|line| width_em(line)).fold(0.0, f64::max);
                @let x = at(*number).min(area.left + area.width - half).max(area.left + half);
                @for (line, words) in lines.iter().enumerate() { text x=(px(x)) y=(px(top + size * (1.0 + 1.2 * line as f64))) { (words) } }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_that_do_not_fit_are_wrapped_then_left_out() {
        let names: Vec<String> = (1..=12).map(|day| format!("{day} November")).collect();
        assert_eq!(fitted(&names, 12.0).len(), 12);
        assert_eq!(fitted(&names, 12.0)[0].1, ["1 November"]);
        assert_eq!(fitted(&names, 7.0)[0].1, ["1", "November"]);
        let few = fitted(&names, 2.0);
        assert!(few.len() < 6 && few.iter().all(|(_, lines)| lines.len() <= LINES));
        assert_eq!(fitted(&["x".repeat(500)], 20.0)[0].1.len(), LINES);
        assert_eq!(fitted(&["x".repeat(500)], 2.0)[0].1.len(), 1);
    }
}
