//! Two settings: honey need or risk as a map of their values.

use super::Look;
use super::color::{of_share, stops};
use super::label::{lines, shortened, width_em};
use super::mark::title;
use super::named::{fitted, foot};
use super::scale::px;
use super::sheet::{Area, Sheet};
use super::swept::{Measure, Swept};
use crate::units::{Dimension, in_system};
use maud::{Markup, html};

/// Share of the colour scale from which dark writing is the readable one.
const LIGHT_FROM: f64 = 0.5;
/// Widest part of the picture that names of rows may have.
const NAMES: f64 = 0.3;
/// Least span of the scale of colours, as a part of the most honey or as a share of colonies (own choice): what differs by less looks alike.
const LEAST_SPAN: f64 = 0.1;
/// Heights of a cell, sizes of the font.
const CELL_EM: std::ops::RangeInclusive<f64> = 1.5..=3.6;

/// Where everything is.
struct Map<'a> {
    swept: &'a Swept,
    look: Look,
    rows: Vec<String>,
    columns: Vec<String>,
    left: f64,
    cell: (f64, f64),
    across: Vec<(usize, Vec<String>)>,
    head: Vec<String>,
    foot: Vec<String>,
    ends: (f64, f64),
}

pub(super) fn draw(swept: &Swept, key: &str, look: Look, source: &str) -> String {
    let font = look.font();
    let what = match swept.measure {
        Measure::Need => "Honey that suffices in 80 % of winters",
        Measure::Risk => "Share of colonies that starve",
    };
    let paired = swept
        .answers
        .iter()
        .skip(1)
        .all(|answer| answer.difference.is_some());
    let note = if paired {
        "The title goes by differences of the means to the first pair of values, colony by colony, with 95 % intervals."
    } else {
        "The winters differ between values, so colonies cannot be paired; the title goes by 95 % intervals of each."
    };
    let sheet = Sheet {
        id: key,
        look,
        title: swept.finding(look.units),
        shown: format!("{what}: {}.", swept.each()),
        described: format!(
            "A map of cells, light for more. {}",
            swept.spoken(look.units)
        ),
        key: Vec::new(),
        notes: vec![note.to_owned()],
        source,
    };
    let map = Map::new(swept, look, look.width() - 2.0 * font);
    sheet.draw(map.height(), |area| map.picture(area, key))
}

/// Ends of a scale of colours that does not make much of little.
fn wide_enough(measure: Measure, (least, most): (f64, f64)) -> (f64, f64) {
    let span = match measure {
        Measure::Need => LEAST_SPAN * most,
        Measure::Risk => LEAST_SPAN,
    };
    if most <= least || most - least >= span {
        return (least, most);
    }
    let low = (0.5 * (least + most - span)).max(0.0);
    match measure {
        Measure::Need => (low, low + span),
        Measure::Risk => (low.min(1.0 - span), low.min(1.0 - span) + span),
    }
}

impl<'a> Map<'a> {
    fn new(swept: &'a Swept, look: Look, width: f64) -> Self {
        let font = look.font();
        let names = |number: usize| -> Vec<String> {
            let setting = &swept.settings[number];
            (0..setting.values.len())
                .map(|value| setting.value(value, look.units))
                .collect()
        };
        let (rows, columns) = (names(0), names(1));
        let widest = rows.iter().map(|row| width_em(row)).fold(0.0, f64::max) * font;
        let left = (widest + 0.6 * font).min(NAMES * width);
        let wide = (width - left) / columns.len().max(1) as f64;
        let levels = (0..swept.answers.len()).map(|answer| swept.level(answer).0);
        Self {
            swept,
            look,
            left,
            cell: (
                wide,
                (0.5 * wide).clamp(*CELL_EM.start() * font, *CELL_EM.end() * font),
            ),
            across: fitted(&columns, wide / (0.95 * font)),
            head: lines(&format!("Down: {}", swept.settings[0].name()), width / font),
            foot: lines(
                &format!("Across: {}", swept.settings[1].name()),
                width / font,
            ),
            ends: wide_enough(
                swept.measure,
                levels.fold(
                    (f64::INFINITY, f64::NEG_INFINITY),
                    |(least, most), level| (least.min(level), most.max(level)),
                ),
            ),
            rows,
            columns,
        }
    }

    fn deep(&self) -> f64 {
        self.across
            .iter()
            .map(|(_, lines)| lines.len())
            .max()
            .unwrap_or(1) as f64
    }

    fn height(&self) -> f64 {
        let font = self.look.font();
        font * (1.3 * (self.head.len() + self.foot.len()) as f64
            + 0.4
            + 1.2 * self.deep()
            + 0.6
            + 3.6)
            + self.rows.len() as f64 * self.cell.1
    }

    /// Share of the way from the least level to the most; the middle where all are alike.
    fn share(&self, level: f64) -> f64 {
        let (least, most) = self.ends;
        if most > least {
            (level - least) / (most - least)
        } else {
            0.5
        }
    }

    /// The number of a level, without its unit; with two decimals where they differ by little.
    fn number(&self, level: f64) -> String {
        match self.swept.measure {
            Measure::Need => format!(
                "{:.*}",
                if self.ends.1 - self.ends.0 < 2.0 {
                    2
                } else {
                    1
                },
                in_system(level, Dimension::Mass, self.look.units).0
            ),
            Measure::Risk => format!("{:.0}", 100.0 * level),
        }
    }

    fn unit(&self) -> &'static str {
        match self.swept.measure {
            Measure::Need => in_system(0.0, Dimension::Mass, self.look.units).1,
            Measure::Risk => "%",
        }
    }

    fn picture(&self, area: Area, id: &str) -> Markup {
        let (font, ink) = (self.look.font(), self.look.theme.ink());
        let (wide, high) = self.cell;
        let (left, top) = (
            area.left + self.left,
            area.top + font * (1.3 * self.head.len() as f64 + 0.4),
        );
        let bottom = top + high * self.rows.len() as f64;
        let below = bottom + font * (1.2 * self.deep() + 0.4);
        html! {
            (self.words(&self.head, area.left, area.top))
            g font-size=(px(font)) fill=(ink.quiet) text-anchor="end" {
                @for (number, row) in self.rows.iter().enumerate() {
                    text x=(px(left - 0.5 * font)) y=(px(top + high * (number as f64 + 0.5) + 0.35 * font)) { (shortened(row, self.left / font - 0.6)) }
                }
            }
            @for answer in 0..self.swept.answers.len() {
                @let (row, column) = (answer / self.columns.len().max(1), answer % self.columns.len().max(1));
                (self.cell(answer, (left + wide * column as f64, top + high * row as f64))) "\n"
            }
            (foot(area, &self.across, |number| left + wide * (number as f64 + 0.5), bottom + 0.2 * font, 0.95 * font, ink.quiet))
            (self.words(&self.foot, left, below))
            (self.scale(id, (left, area.left + area.width - left), below + 1.3 * font * self.foot.len() as f64 + 0.9 * font))
        }
    }

    fn words(&self, lines: &[String], left: f64, top: f64) -> Markup {
        let font = self.look.font();
        html! {
            @for (number, line) in lines.iter().enumerate() {
                text x=(px(left)) y=(px(top + font * (1.0 + 1.3 * number as f64))) font-size=(px(font)) fill=(self.look.theme.ink().text) { (line) }
            }
        }
    }

    fn cell(&self, answer: usize, (x, y): (f64, f64)) -> Markup {
        let font = self.look.font();
        let (wide, high) = self.cell;
        let (level, (low, most)) = self.swept.level(answer);
        let share = self.share(level);
        let number = self.number(level);
        let size = (0.85 * wide / width_em(&number)).min(font);
        let say = |level: f64| self.swept.said(level, self.look.units);
        let words = format!(
            "{}: {} ({} to {})",
            self.swept.values(answer, self.look.units),
            say(level),
            say(low),
            say(most)
        );
        html! {
            g {
                (title(Some(&words)))
                rect x=(px(x)) y=(px(y)) width=(px(wide)) height=(px(high)) fill=(of_share(share)) stroke=(self.look.theme.ink().ground) stroke-width="1" {}
                @if size >= 0.62 * font {
                    text x=(px(x + 0.5 * wide)) y=(px(y + 0.5 * high + 0.35 * size)) font-size=(px(size)) fill=(if share < LIGHT_FROM { "#ffffff" } else { "#111111" }) text-anchor="middle" { (number) }
                }
            }
        }
    }

    /// The scale of colours with its ends.
    fn scale(&self, id: &str, (left, width): (f64, f64), top: f64) -> Markup {
        let (font, ink) = (self.look.font(), self.look.theme.ink());
        let (least, most) = self.ends;
        let gradient = format!("{id}-colours");
        let (from, to) = (
            format!("{} {}", self.number(least), self.unit()),
            format!("{} {}", self.number(most), self.unit()),
        );
        let (a, b) = (font * (width_em(&from) + 0.6), font * (width_em(&to) + 0.6));
        let wide = (width - a - b).min(16.0 * font);
        let y = px(top + 0.95 * font);
        html! {
            @if most > least && wide > 2.0 * font {
                defs { linearGradient id=(gradient) { @for (at, color) in stops() { stop offset=(format!("{at:.1}")) stop-color=(color) {} } } }
                text x=(px(left)) y=(y) font-size=(px(font)) fill=(ink.quiet) { (from) }
                rect x=(px(left + a)) y=(px(top)) width=(px(wide)) height=(px(1.1 * font)) fill={ "url(#" (gradient) ")" } {}
                text x=(px(left + a + wide + 0.6 * font)) y=(y) font-size=(px(font)) fill=(ink.quiet) { (to) }
            } @else {
                text x=(px(left)) y=(y) font-size=(px(font)) fill=(ink.quiet) { (if most > least { format!("{from} to {to}") } else { format!("all {from}") }) }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::swept::tests::{setting, swept};
    use super::*;
    use crate::units::System;

    #[test]
    fn a_map_has_a_cell_for_each_pair_with_its_value() {
        let settings = vec![
            setting("wall[1].thickness", &["20 mm", "60 mm"]),
            setting("shelter", &["open", "hedge", "0.1"]),
        ];
        let map = swept(
            Measure::Need,
            settings,
            &[14.0, 13.0, 12.5, 12.0, 11.0, 10.5],
        );
        assert_eq!(
            map.finding(System::Metric),
            "3.5\u{a0}kg less honey with wall[1].thickness 60\u{a0}mm and shelter 0.1 than with 20\u{a0}mm and open"
        );
        let svg = draw(&map, "sweep-need", Look::default(), "");
        assert_eq!(svg.matches("<rect").count(), 1 + 6 + 1);
        assert!(svg.contains(">12.5</text>"));
    }

    #[test]
    fn cells_all_alike_and_a_hundred_in_a_narrow_picture_can_be_drawn() {
        let names: Vec<String> = (0..50)
            .map(|n| format!("{n} <script>{}", "long ".repeat(90)))
            .collect();
        let names: Vec<&str> = names.iter().map(String::as_str).collect();
        let settings = vec![setting("a", &["1", "2"]), setting("b", &names)];
        let map = swept(Measure::Risk, settings, &[1.0; 100]);
        let svg = draw(
            &map,
            "sweep-risk",
            Look {
                width_px: 320,
                ..Look::default()
            },
            "",
        );
        assert!(svg.contains("all 100 %") && !svg.contains("<script>") && !svg.contains("NaN"));
    }
}
