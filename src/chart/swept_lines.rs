//! One setting: honey need or risk as lines over its values.

use super::Look;
use super::grammar::{Across, Axis, EndLabel, Figure, Mark, Paragraph, Plot, Style, Unit, Xy};
use super::swept::{Along, Measure, Swept};
use super::words::{capital, mass};

/// Names of the lines of honey at their ends.
const SHARES: [&str; 3] = ["50\u{a0}%", "80\u{a0}%", "95\u{a0}%"];
/// Values up to which each has a mark.
const MARKED: usize = 40;

struct Lines<'a> {
    swept: &'a Swept,
    look: Look,
    /// Where along each value stands.
    at: Vec<f64>,
    /// The values from left to right.
    order: Vec<usize>,
}

pub(super) fn figure(swept: &Swept, look: Look) -> Figure<'_> {
    let need = swept.measure == Measure::Need;
    let shown = if need {
        let stores = swept.answers.first().filter(|_| stores_alike(swept));
        let stores = stores.map_or_else(String::new, |first| {
            format!(", {}", mass(first.stores_kg, look.units))
        });
        format!(
            "Honey needed in 50, 80 and 95 % of winters; dashed, the stores{stores}. {}.",
            capital(swept.each())
        )
    } else {
        format!("Share of colonies that starve: {}.", swept.each())
    };
    let what = if need { "honey" } else { "the share" };
    Figure {
        shown,
        described: format!(
            "A panel with the values along and {what} up. {}",
            swept.spoken(look.units)
        ),
        legend: Vec::new(),
        notes: notes(swept, look),
        plot: plot(swept, look),
    }
}

fn notes(swept: &Swept, look: Look) -> Vec<String> {
    let intervals = if joined(swept) { "Bands" } else { "Whiskers" };
    let mut notes = vec![format!(
        "{intervals}: sampling, 95 %, of each value by itself. The same colonies stand at every value, so a difference can be real even where they overlap; the title compares averages with the first value."
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
    notes
}

fn stores_alike(swept: &Swept) -> bool {
    let all = &swept.answers;
    all.iter()
        .all(|answer| answer.stores_kg == all[0].stores_kg)
}

/// Whether a line may run from value to value.
fn joined(swept: &Swept) -> bool {
    let ordered = swept
        .settings
        .first()
        .is_some_and(|setting| setting.along != Along::Words);
    ordered && swept.answers.len() > 1
}

fn plot(swept: &Swept, look: Look) -> Box<dyn Plot + '_> {
    let Some(setting) = swept.settings.first().filter(|_| !swept.answers.is_empty()) else {
        return Box::new(Paragraph(String::new()));
    };
    let mut order: Vec<usize> = (0..swept.answers.len()).collect();
    let (at, across) = match &setting.along {
        Along::Numbers { values, dimension } => {
            order.sort_by(|a, b| values[*a].total_cmp(&values[*b]));
            let unit = dimension.map_or(Unit::Plain, |dimension| look.unit(dimension));
            let count = ((look.width() / look.font() - 9.0) / 5.0).clamp(3.0, 10.0) as usize;
            let axis = Axis::new(&setting.name(), unit, values.iter().copied(), count);
            (values.clone(), Across::Numbers(axis))
        }
        Along::Days | Along::Words => {
            let names = order
                .iter()
                .map(|number| setting.value(*number, look.units));
            let at = order.iter().map(|number| *number as f64).collect();
            (at, Across::Categories(names.collect(), setting.name()))
        }
    };
    let lines = Lines {
        swept,
        look,
        at,
        order,
    };
    let levels = 0..swept.answers[0].levels.len();
    let need = swept.measure == Measure::Need;
    let mut marks = if need { lines.stores() } else { Vec::new() };
    marks.extend(levels.flat_map(|level| lines.level(level)));
    let ends = if need { lines.end_labels() } else { Vec::new() };
    let height = (26.0 * look.font()).min(0.8 * look.width());
    Box::new(Xy {
        height,
        ends,
        ..Xy::new(look, across, lines.up(), marks)
    })
}

impl Lines<'_> {
    fn up(&self) -> Axis {
        let need = self.swept.measure == Measure::Need;
        let all = self.swept.answers.iter().flat_map(|answer| {
            let highs = answer.levels.iter().map(|(_, (_, high))| *high);
            let shared = answer.shared.iter().flatten().map(|(_, high)| *high);
            highs.chain(shared).chain(need.then_some(answer.stores_kg))
        });
        let (label, least) = if need {
            ("Honey needed", 1e-3)
        } else {
            ("Share that starves", 0.1)
        };
        Axis::new(
            label,
            self.swept.unit(self.look),
            all.chain([0.0, least]),
            7,
        )
    }

    fn style(&self, level: usize) -> Style {
        self.look.style(level, 0.32)
    }

    /// A level's band, line, intervals and marks.
    fn level(&self, level: usize) -> Vec<Mark<'static>> {
        let (swept, font, color) = (self.swept, self.look.font(), self.style(level).color());
        let joined = joined(swept);
        let of = |number: usize| {
            swept.answers[number]
                .levels
                .get(level)
                .copied()
                .unwrap_or_default()
        };
        let mut marks = Vec::new();
        if joined {
            let points = || {
                self.order
                    .iter()
                    .map(|number| (self.at[*number], of(*number)))
            };
            let band = points()
                .map(|(x, (_, (low, high)))| (x, low, high))
                .collect();
            marks.push(Mark::band(band).fill(color, 0.18));
            marks.push(
                Mark::line(points().map(|(x, (value, _))| (x, value)).collect()).stroke(color, 2.0),
            );
        }
        // Without a line between them, marks of one value stand side by side; bars of several levels would hide each other anyhow.
        let middle = 0.5 * (swept.answers[0].levels.len() as f64 - 1.0);
        let dodge = if joined {
            0.0
        } else {
            0.9 * font * (level as f64 - middle)
        };
        let aside = if joined {
            0.4 * font * (level as f64 - 1.0)
        } else {
            dodge
        };
        for number in &self.order {
            let (x, (value, (low, high))) = (self.at[*number], of(*number));
            let shared = swept.answers[*number].shared.get(level).copied().flatten();
            marks.extend(shared.map(|ends| {
                Mark::interval(x, ends)
                    .pale(color, 0.35 * font, 0.25)
                    .shift(aside)
            }));
            if !joined {
                marks.push(
                    Mark::interval(x, (low, high))
                        .stroke(color, 1.6)
                        .shift(dodge),
                );
            }
            if self.order.len() <= MARKED {
                let share = match swept.measure {
                    Measure::Need => format!(" in {} of winters", SHARES[level.min(2)]),
                    Measure::Risk => " starve".to_owned(),
                };
                let [own, low, high] =
                    [value, low, high].map(|value| swept.said(value, self.look.units));
                let says = format!(
                    "{}: {own}{share} ({low} to {high})",
                    swept.values(*number, self.look.units)
                );
                marks.push(
                    Mark::symbol((x, value), self.style(level))
                        .shift(dodge)
                        .says(says),
                );
            }
        }
        marks
    }

    /// One line for all stores, or one from value to value, or one for each.
    fn stores(&self) -> Vec<Mark<'static>> {
        let stores = |number: &usize| (self.at[*number], self.swept.answers[*number].stores_kg);
        let lines = if stores_alike(self.swept) {
            vec![Mark::rule(stores(&0).1)]
        } else if joined(self.swept) {
            vec![Mark::line(self.order.iter().map(stores).collect())]
        } else {
            let each = self.order.iter().map(stores);
            each.map(|(x, kg)| Mark::line(vec![(x - 0.4, kg), (x + 0.4, kg)]))
                .collect()
        };
        let ink = self.look.theme.ink();
        lines
            .into_iter()
            .map(|line| line.stroke(ink.text, 1.4).dash("6 5"))
            .collect()
    }

    fn end_labels(&self) -> Vec<EndLabel> {
        let Some(last) = self.order.last().map(|last| &self.swept.answers[*last]) else {
            return Vec::new();
        };
        let levels = last
            .levels
            .iter()
            .enumerate()
            .map(|(level, (y, _))| EndLabel {
                y: *y,
                words: SHARES[level.min(2)].to_owned(),
                color: self.style(level).color(),
                symbol: Some(self.style(level)),
            });
        let stores = EndLabel {
            y: last.stores_kg,
            words: "stores".to_owned(),
            color: self.look.theme.ink().text,
            symbol: None,
        };
        levels.chain([stores]).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::super::grammar::Describe;
    use super::super::swept::tests::{setting, swept};
    use super::*;

    #[test]
    fn numbers_are_joined_and_words_are_not() {
        let of = |values: &[&str]| {
            let settings = vec![setting("k", values)];
            swept(Measure::Need, settings, &[14.0, 12.0]).draw("sweep", Look::default(), "")
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
                let look = Look::wide(320);
                let svg = swept.draw("sweep", look, "");
                assert!(
                    !svg.contains("<script>") && !svg.contains("NaN") && !svg.contains("inf\"")
                );
            }
        }
    }
}
