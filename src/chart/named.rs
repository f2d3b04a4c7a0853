//! Names along the foot of a panel at even spaces: days, words, whatever is no number.

use super::Look;
use super::axis::{Axis, Panel};
use super::label::{lines, shortened, width_em};
use super::scale::{Scale, px};
use super::sheet::Area;
use maud::{Markup, html};

/// Most lines of a name.
const LINES: usize = 3;
/// Room from which a name is rather cut than others left out, sizes of the font.
const CUT_EM: f64 = 7.0;

/// Names in lines that fit into slots of this width, sizes of the font; where they do not, only every second, third and so on is given.
pub(super) fn fitted(names: &[String], slot_em: f64) -> Vec<(usize, Vec<String>)> {
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
pub(super) fn foot(
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

/// A panel whose values along are names; the scale along is of their numbers from 0.
pub(super) fn panel(look: Look, area: Area, names: &[String], across: &str, up: &Axis) -> Panel {
    let (font, ink) = (look.font(), look.theme.ink());
    let small = 0.9 * font;
    let left = area.left + up.room(small);
    let right = area.left + area.width;
    let count = names.len().max(1) as f64;
    let slot_em = (right - left) / count / small;
    let fitted = fitted(names, slot_em);
    let deep = fitted
        .iter()
        .map(|(_, lines)| lines.len())
        .max()
        .unwrap_or(1) as f64;
    let head = lines(&up.words, area.width / font);
    let top = area.top + 1.3 * font * head.len() as f64 + 0.4 * font;
    let bottom = area.top + area.height - 1.9 * font - 1.2 * small * deep;
    let x = Scale {
        values: (-0.5, count - 0.5),
        pixels: (left, right),
    };
    let y = Scale {
        values: up.ticks.ends(),
        pixels: (bottom, top),
    };
    let frame = html! {
        @for (number, line) in head.iter().enumerate() {
            text x=(px(area.left)) y=(px(area.top + font * (1.0 + 1.3 * number as f64))) font-size=(px(font)) fill=(ink.text) { (line) }
        }
        g stroke=(ink.grid) stroke-width="1" {
            @for tick in &up.ticks.at { line x1=(px(left)) x2=(px(right)) y1=(px(y.at(*tick))) y2=(px(y.at(*tick))) {} }
        }
        line x1=(px(left)) x2=(px(right)) y1=(px(bottom)) y2=(px(bottom)) stroke=(ink.axis) stroke-width="1" {}
        g font-size=(px(small)) fill=(ink.quiet) text-anchor="end" {
            @for tick in &up.ticks.at { text x=(px(left - 0.4 * small)) y=(px(y.at(*tick) + 0.35 * small)) { (up.label(*tick)) } }
        }
        (foot(area, &fitted, |number| x.at(number as f64), bottom + 0.25 * font, small, ink.quiet))
        text x=(px(0.5 * (left + right))) y=(px(area.top + area.height - 0.4 * font)) font-size=(px(font)) fill=(ink.text) text-anchor="middle" { (shortened(across, (right - left) / font)) }
    };
    Panel::new(x, y, frame)
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
