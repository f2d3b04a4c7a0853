//! Two settings: honey need or risk as a map of their values.

use super::Look;
use super::grammar::{Across, Cell, Cells, ColorBar, Figure, extent, of_share, stops};
use super::swept::{Measure, Swept};

/// Share of the colour scale from which dark writing is the readable one.
const LIGHT_FROM: f64 = 0.5;
/// Least span of the scale of colours, as a part of the most honey or as a share of colonies (own choice): what differs by less looks alike.
const LEAST_SPAN: f64 = 0.1;
/// Heights of a cell, sizes of the font.
const CELL_EM: (f64, f64) = (1.5, 3.6);

pub(super) fn figure(swept: &Swept, look: Look) -> Figure<'_> {
    let what = match swept.measure {
        Measure::Need => "Honey needed in 80 % of winters",
        Measure::Risk => "Share of colonies that starve",
    };
    let mut others = swept.answers.iter().skip(1);
    let note = if others.all(|answer| answer.difference.is_some()) {
        "The title compares averages with the first pair of values, colony by colony, with 95 % intervals."
    } else {
        "The winters differ between values, so colonies cannot be paired; the title goes by 95 % intervals of each."
    };
    Figure {
        shown: format!("{what}: {}.", swept.each()),
        described: format!(
            "A map of cells, light for more. {}",
            swept.spoken(look.units)
        ),
        legend: Vec::new(),
        notes: vec![note.to_owned()],
        plot: Box::new(cells(swept, look)),
    }
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

fn cells(swept: &Swept, look: Look) -> Cells {
    let unit = swept.unit(look);
    let levels = (0..swept.answers.len()).map(|answer| swept.level(answer).0);
    let (least, most) = wide_enough(swept.measure, extent(levels));
    let ends = [least, most].map(|level| unit.shown(level));
    // With two decimals where levels differ by little.
    let decimals = match swept.measure {
        Measure::Need => 1 + usize::from(ends[1] - ends[0] < 2.0),
        Measure::Risk => 0,
    };
    let number = |level: f64| format!("{:.decimals$}", unit.shown(level));
    let names = |number: usize| -> Vec<String> {
        let setting = &swept.settings[number];
        (0..setting.values.len())
            .map(|value| setting.value(value, look.units))
            .collect()
    };
    let (rows, columns) = (names(0), names(1));
    let count = columns.len().max(1);
    let cell = |answer: usize| {
        let (level, (low, high)) = swept.level(answer);
        // The middle of the scale where all are alike.
        let share = if most > least {
            (level - least) / (most - least)
        } else {
            0.5
        };
        let column = (answer % count) as f64;
        let [own, low, high] = [level, low, high].map(|level| swept.said(level, look.units));
        Cell {
            row: answer / count,
            along: (column - 0.5, column + 0.5),
            color: Some(of_share(share)),
            figure: (
                number(level),
                if share < LIGHT_FROM {
                    "#ffffff"
                } else {
                    "#111111"
                },
            ),
            says: format!(
                "{}: {own} ({low} to {high})",
                swept.values(answer, look.units)
            ),
        }
    };
    let [from, to] = [least, most].map(|level| format!("{} {}", number(level), unit.symbol()));
    let bar = if most > least {
        ColorBar {
            label: String::new(),
            stops: stops().collect(),
            ticks: vec![(0.0, from), (1.0, to)],
        }
    } else {
        ColorBar {
            label: format!("all {from}"),
            stops: Vec::new(),
            ticks: Vec::new(),
        }
    };
    let font = look.font();
    let width = look.width() - 2.0 * font;
    let wide = (width - Cells::names_px(look, &rows, width)) / count as f64;
    Cells {
        down: swept.settings[0].name(),
        across: Across::Categories(columns, swept.settings[1].name()),
        rows,
        row_px: (0.5 * wide).clamp(CELL_EM.0 * font, CELL_EM.1 * font),
        gap_px: 0.5,
        cells: (0..swept.answers.len()).map(cell).collect(),
        bar,
    }
}

#[cfg(test)]
mod tests {
    use super::super::grammar::Describe;
    use super::super::metric;
    use super::super::swept::tests::{setting, swept};
    use super::*;

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
            metric(&map),
            "3.5\u{a0}kg less honey with wall[1].thickness 60\u{a0}mm and shelter 0.1 than with 20\u{a0}mm and open"
        );
        let svg = map.draw("sweep-need", Look::default(), "");
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
        let look = Look::wide(320);
        let svg = map.draw("sweep-risk", look, "");
        assert!(svg.contains("all 100 %") && !svg.contains("<script>") && !svg.contains("NaN"));
    }
}
