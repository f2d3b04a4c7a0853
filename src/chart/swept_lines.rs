//! One setting: honey need or risk as lines over its values.

use super::Look;
use super::axis::{Axis, Panel, panel};
use super::label::width_em;
use super::mark::Style;
use super::named;
use super::scale::{Ticks, px};
use super::sheet::{Area, Sheet};
use super::swept::{Along, Measure, Swept};
use super::words::mass;
use crate::units::{Dimension, in_system};
use maud::{Markup, html};

/// Names of the lines of honey at their ends.
const SHARES: [&str; 3] = ["50\u{a0}%", "80\u{a0}%", "95\u{a0}%"];
/// Values up to which each has a mark.
const MARKED: usize = 40;

struct Lines<'a> {
    swept: &'a Swept,
    look: Look,
}

pub(super) fn draw(swept: &Swept, key: &str, look: Look, source: &str) -> String {
    let font = look.font();
    let lines = Lines { swept, look };
    let (shown, intervals) = (
        match swept.measure {
            Measure::Need => format!(
                "Honey that suffices in 50, 80 and 95 % of winters; dashed, the stores{}. {}.",
                match swept.answers.first() {
                    Some(first) if lines.stores_alike() =>
                        format!(", {}", mass(first.stores_kg, look.units)),
                    _ => String::new(),
                },
                super::words::capital(swept.each())
            ),
            Measure::Risk => format!("Share of colonies that starve: {}.", swept.each()),
        },
        if lines.joined() { "Bands" } else { "Whiskers" },
    );
    let mut notes = vec![format!(
        "{intervals}: sampling, 95 %, of each value by itself. The same colonies stand at every value, so differences can be told where they overlap; the title goes by the differences of the means to the first value."
    )];
    if swept
        .answers
        .iter()
        .skip(1)
        .any(|answer| answer.difference.is_none())
    {
        notes = vec![format!(
            "{intervals}: sampling, 95 %, of each value by itself. The winters differ between values, so colonies cannot be paired."
        )];
    }
    if swept
        .answers
        .iter()
        .any(|answer| answer.shared.iter().any(Option::is_some))
    {
        notes.push("Pale bars: bees not known, 90 %.".to_owned());
    }
    let uncertain: Vec<String> = (1..swept.answers.len())
        .filter(|number| {
            let difference = swept.answers[*number].difference;
            difference.is_some_and(|told| told.direction_is_uncertain())
        })
        .map(|number| swept.values(number, look.units))
        .collect();
    if !uncertain.is_empty() {
        notes.push(format!(
            "Direction uncertain against the first value: {}.",
            uncertain.join("; ")
        ));
    }
    let sheet = Sheet {
        id: key,
        look,
        title: swept.finding(look.units),
        shown,
        described: format!(
            "A panel with the values along and {} up. {}",
            if swept.measure == Measure::Need {
                "honey"
            } else {
                "the share"
            },
            swept.spoken(look.units)
        ),
        key: Vec::new(),
        notes,
        source,
    };
    let height = (26.0 * font).min(0.8 * look.width());
    sheet.draw(height, |area| lines.picture(area))
}

impl Lines<'_> {
    fn joined(&self) -> bool {
        self.swept.answers.len() > 1
            && self
                .swept
                .settings
                .first()
                .is_some_and(|setting| setting.along != Along::Words)
    }

    fn drawn(&self, value: f64) -> f64 {
        match self.swept.measure {
            Measure::Need => in_system(value, Dimension::Mass, self.look.units).0,
            Measure::Risk => 100.0 * value,
        }
    }

    fn stores_alike(&self) -> bool {
        let all = &self.swept.answers;
        all.iter()
            .all(|answer| answer.stores_kg == all[0].stores_kg)
    }

    fn up(&self) -> Axis {
        let need = self.swept.measure == Measure::Need;
        let mut most: f64 = if need { 1e-3 } else { 10.0 };
        for answer in &self.swept.answers {
            for (_, (_, high)) in &answer.levels {
                most = most.max(self.drawn(*high));
            }
            for (_, high) in answer.shared.iter().flatten() {
                most = most.max(self.drawn(*high));
            }
            if need {
                most = most.max(self.drawn(answer.stores_kg));
            }
        }
        Axis {
            words: if need {
                format!(
                    "Honey needed, {}",
                    in_system(0.0, Dimension::Mass, self.look.units).1
                )
            } else {
                "Share that starves, %".to_owned()
            },
            ticks: Ticks::over(0.0, most, 7),
            after: "",
        }
    }

    /// The panel, the pixel along of each value, and their order along.
    fn panel(&self, area: Area) -> (Panel, Vec<f64>, Vec<usize>) {
        let setting = &self.swept.settings[0];
        let units = self.look.units;
        let mut order: Vec<usize> = (0..self.swept.answers.len()).collect();
        let key = setting.name();
        match &setting.along {
            Along::Numbers { values, dimension } => {
                let of = |value: f64| {
                    dimension.map_or((value, ""), |dimension| in_system(value, dimension, units))
                };
                let values: Vec<f64> = values.iter().map(|value| of(*value).0).collect();
                let ends = values.iter().fold(
                    (f64::INFINITY, f64::NEG_INFINITY),
                    |(least, most), value| (least.min(*value), most.max(*value)),
                );
                let symbol = of(0.0).1;
                let words = if symbol.is_empty() {
                    key
                } else {
                    format!("{key}, {symbol}")
                };
                let count = (area.width / self.look.font() / 5.0).clamp(3.0, 10.0) as usize;
                let across = Axis {
                    words,
                    ticks: Ticks::over(ends.0, ends.1, count),
                    after: "",
                };
                let panel = panel(self.look, area, &across, &self.up());
                order.sort_by(|a, b| values[*a].total_cmp(&values[*b]));
                let at = values.iter().map(|value| panel.x.at(*value)).collect();
                (panel, at, order)
            }
            Along::Days | Along::Words => {
                let names: Vec<String> = (0..order.len())
                    .map(|number| setting.value(number, units))
                    .collect();
                let panel = named::panel(self.look, area, &names, &key, &self.up());
                let at = order
                    .iter()
                    .map(|number| panel.x.at(*number as f64))
                    .collect();
                (panel, at, order)
            }
        }
    }

    fn picture(&self, area: Area) -> Markup {
        if self.swept.settings.is_empty() || self.swept.answers.is_empty() {
            return html! {};
        }
        let font = self.look.font();
        let need = self.swept.measure == Measure::Need;
        let room = if need {
            (2.0 + width_em("stores")) * font
        } else {
            0.6 * font
        };
        let (panel, at, order) = self.panel(Area {
            width: area.width - room,
            ..area
        });
        let levels = self.swept.answers[0].levels.len();
        html! {
            (panel.frame)
            @if need { (self.stores(&panel, &at, &order)) }
            @for level in 0..levels { (self.line(&panel, &at, &order, level)) }
            @if need { (self.ends(&panel, &order)) }
        }
    }

    fn style(&self, level: usize) -> Style {
        Style {
            number: level,
            theme: self.look.theme,
            radius_px: 0.32 * self.look.font(),
        }
    }

    fn line(&self, panel: &Panel, at: &[f64], order: &[usize], level: usize) -> Markup {
        let style = self.style(level);
        let of = |number: usize| {
            self.swept.answers[number]
                .levels
                .get(level)
                .copied()
                .unwrap_or_default()
        };
        let spot = |number: &usize, value: f64| {
            format!("{},{}", px(at[*number]), px(panel.y.at(self.drawn(value))))
        };
        let path = |points: Vec<String>| format!("M{}", points.join("L"));
        let line = path(
            order
                .iter()
                .map(|number| spot(number, of(*number).0))
                .collect(),
        );
        let lower = order.iter().map(|number| spot(number, of(*number).1.0));
        let upper = order
            .iter()
            .rev()
            .map(|number| spot(number, of(*number).1.1));
        let band = path(lower.chain(upper).collect()) + "Z";
        // Without a line between them, marks of one value stand side by side.
        let beside = if self.joined() {
            0.0
        } else {
            0.9 * self.look.font()
                * (level as f64 - 0.5 * (self.swept.answers[0].levels.len() as f64 - 1.0))
        };
        let say = |value: f64| self.swept.said(value, self.look.units);
        html! {
            @if self.joined() {
                path d=(band) fill=(style.color()) fill-opacity="0.18" {}
                path d=(line) fill="none" stroke=(style.color()) stroke-width="2" {}
            }
            @for number in order {
                @let (value, (low, high)) = of(*number);
                @let x = at[*number] + beside;
                @if let Some((low, high)) = self.swept.answers[*number].shared.get(level).copied().flatten() {
                    // Bars of several levels would hide each other.
                    @let aside = if self.joined() { 0.4 * self.look.font() * (level as f64 - 1.0) } else { 0.0 };
                    line x1=(px(x + aside)) x2=(px(x + aside)) y1=(px(panel.y.at(self.drawn(low)))) y2=(px(panel.y.at(self.drawn(high)))) stroke=(style.color()) stroke-width=(px(0.35 * self.look.font())) stroke-opacity="0.25" {}
                }
                @if !self.joined() {
                    line x1=(px(x)) x2=(px(x)) y1=(px(panel.y.at(self.drawn(low)))) y2=(px(panel.y.at(self.drawn(high)))) stroke=(style.color()) stroke-width="1.6" {}
                }
                @if order.len() <= MARKED {
                    @let share = if self.swept.measure == Measure::Need { format!(" in {} of winters", SHARES[level.min(2)]) } else { " starve".to_owned() };
                    @let words = format!("{}: {}{share} ({} to {})", self.swept.values(*number, self.look.units), say(value), say(low), say(high));
                    (style.mark((x, panel.y.at(self.drawn(value))), Some(&words))) "\n"
                }
            }
        }
    }

    fn stores(&self, panel: &Panel, at: &[f64], order: &[usize]) -> Markup {
        let y = |number: usize| px(panel.y.at(self.drawn(self.swept.answers[number].stores_kg)));
        let ink = self.look.theme.ink();
        let right = panel.inner.left + panel.inner.width;
        let half = 0.5 * panel.inner.width / order.len() as f64;
        html! {
            g stroke=(ink.text) stroke-width="1.4" stroke-dasharray="6 5" fill="none" {
                @if self.stores_alike() {
                    line x1=(px(panel.inner.left)) x2=(px(right)) y1=(y(0)) y2=(y(0)) {}
                } @else if self.joined() {
                    path d={ "M" (order.iter().map(|number| format!("{},{}", px(at[*number]), y(*number))).collect::<Vec<_>>().join("L")) } {}
                } @else {
                    @for number in order { line x1=(px(at[*number] - 0.8 * half)) x2=(px(at[*number] + 0.8 * half)) y1=(y(*number)) y2=(y(*number)) {} }
                }
            }
        }
    }

    /// Names at the right ends of the lines, each with its mark, moved apart where they would hide each other.
    fn ends(&self, panel: &Panel, order: &[usize]) -> Markup {
        let (font, ink) = (self.look.font(), self.look.theme.ink());
        let Some(last) = order.last() else {
            return html! {};
        };
        let answer = &self.swept.answers[*last];
        let mut ends: Vec<(f64, &str, Option<Style>)> = Vec::new();
        for (level, (value, _)) in answer.levels.iter().enumerate() {
            let share = SHARES[level.min(2)];
            ends.push((
                panel.y.at(self.drawn(*value)),
                share,
                Some(self.style(level)),
            ));
        }
        ends.push((panel.y.at(self.drawn(answer.stores_kg)), "stores", None));
        ends.sort_by(|a, b| a.0.total_cmp(&b.0));
        let wanted: Vec<f64> = ends.iter().map(|end| end.0).collect();
        apart(&wanted, 1.12 * font, panel.inner.top + panel.inner.height)
            .into_iter()
            .zip(&mut ends)
            .for_each(|(y, end)| end.0 = y);
        let x = panel.inner.left + panel.inner.width + 0.9 * font;
        html! {
            g font-size=(px(0.95 * font)) fill=(ink.text) {
                @for (y, words, style) in &ends {
                    @match style {
                        Some(style) => (style.mark((x, *y), None)),
                        None => line x1=(px(x - 0.4 * font)) x2=(px(x + 0.4 * font)) y1=(px(*y)) y2=(px(*y)) stroke=(ink.text) stroke-width="1.4" stroke-dasharray="3 2" {},
                    }
                    text x=(px(x + 0.65 * font)) y=(px(*y + 0.33 * font)) { (words) }
                }
            }
        }
    }
}

/// Heights from top to bottom moved apart by `step` at least, as little as can be in the mean, none below `foot`.
fn apart(wanted: &[f64], step: f64, foot: f64) -> Vec<f64> {
    let mut places: Vec<f64> = Vec::new();
    for y in wanted {
        places.push(places.last().map_or(*y, |last: &f64| y.max(last + step)));
    }
    let moved: f64 = places.iter().zip(wanted).map(|(place, y)| place - y).sum();
    let up = moved / wanted.len().max(1) as f64;
    let over = places.last().map_or(0.0, |last| last - up - foot).max(0.0);
    places.into_iter().map(|place| place - up - over).collect()
}

#[cfg(test)]
mod tests {
    use super::super::swept::tests::{setting, swept};
    use super::*;

    #[test]
    fn numbers_are_joined_and_words_are_not() {
        let of = |values: &[&str]| {
            draw(
                &swept(Measure::Need, vec![setting("k", values)], &[14.0, 12.0]),
                "sweep-need",
                Look::default(),
                "",
            )
        };
        assert!(of(&["20 mm", "60 mm"]).contains("fill-opacity=\"0.18\""));
        assert!(of(&["1 November", "1 May"]).contains("fill-opacity=\"0.18\""));
        assert!(!of(&["open", "hedge"]).contains("fill-opacity=\"0.18\""));
    }

    #[test]
    fn one_value_a_hundred_values_and_wild_names_can_be_drawn() {
        let hundred: Vec<String> = (0..100)
            .map(|day| format!("{}<script>{}", "x".repeat(500), day))
            .collect();
        let hundred: Vec<&str> = hundred.iter().map(String::as_str).collect();
        for measure in [Measure::Need, Measure::Risk] {
            for (values, levels) in [
                (vec!["20 mm"], vec![0.0]),
                (hundred.clone(), vec![1.0; 100]),
            ] {
                let swept = swept(measure, vec![setting("k", &values)], &levels);
                let svg = draw(
                    &swept,
                    "sweep",
                    Look {
                        width_px: 320,
                        ..Look::default()
                    },
                    "",
                );
                assert!(
                    !svg.contains("<script>") && !svg.contains("NaN") && !svg.contains("inf\"")
                );
            }
        }
    }
}
