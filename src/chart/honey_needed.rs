//! Honey needed as a hundred dots, a dot a winter in a hundred, with the stores beside them.

use super::Look;
use super::label::width_em;
use super::mark::Style;
use super::rows::pale;
use super::scale::{Scale, Ticks, px};
use super::sheet::{Area, Sheet};
use super::words::{mass, percent, starved_in_run};
use crate::units::{Dimension, System, in_system};
use maud::{Markup, html};
use serde::{Deserialize, Serialize};

/// Most dots.
pub const DOTS: usize = 100;
/// Share of colonies lost to cold from which honey is not the question.
const MOST: f64 = 0.5;
/// Most stacks over the needs; some thirty dots' worth of stacks keep the shape without holes.
const STACKS: f64 = 24.0;
/// Widths of stacks, times a power of ten.
const WIDTHS: [f64; 3] = [1.0, 2.0, 5.0];

/// Honey needed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct HoneyNeeded {
    /// Needs of as many evenly placed winters as there are dots, from least to most, kg.
    pub dots_kg: Vec<f64>,
    /// Winters run: drawn colonies in winters.
    pub members: usize,
    /// Stores that the scenario has, kg.
    pub stores_kg: f64,
    /// What its feed adds in the mean, kg.
    pub fed_kg: f64,
    /// Share of winters that need more than both together.
    pub needing_more: f64,
    /// Share of colonies that starved in the run.
    pub starved: f64,
    /// Share that were chilled or too few.
    pub chilled: f64,
    /// Shares of winters with the honey that they need at most and its range over what is not known about bees, kg; empty where that is not told.
    #[serde(default)]
    pub ranges_kg: Vec<(f64, f64, (f64, f64))>,
}

/// Height of a range under the dots, sizes of the font.
const RANGE_EM: f64 = 1.3;

impl HoneyNeeded {
    fn has_kg(&self) -> f64 {
        self.stores_kg + self.fed_kg
    }

    /// "stores" or, where feed adds to them, "stores and feed".
    fn what(&self) -> &'static str {
        if self.fed_kg > 0.0 {
            "stores and feed"
        } else {
            "stores"
        }
    }

    fn beyond(&self) -> usize {
        self.dots_kg
            .iter()
            .filter(|kg| **kg > self.has_kg())
            .count()
    }

    /// "8 of 100 winters need more".
    fn count(&self) -> String {
        let of = self.dots_kg.len();
        match (self.beyond(), of) {
            (0, DOTS) if self.needing_more > 0.0 => {
                "Fewer than 1 of 100 winters needs more".to_owned()
            }
            (DOTS, _) if self.needing_more < 1.0 => {
                "More than 99 of 100 winters need more".to_owned()
            }
            (0, 1) => "The one winter needs no more".to_owned(),
            (_, 1) => "The one winter needs more".to_owned(),
            (0, _) => format!("None of {of} winters needs more"),
            (1, _) => format!("1 of {of} winters needs more"),
            (count, _) => format!("{count} of {of} winters need more"),
        }
    }

    pub(super) fn finding(&self, units: System) -> String {
        if self.chilled >= MOST {
            return format!(
                "Honey is not the question: {} of colonies die of cold or too few bees, whatever the stores",
                percent(self.chilled)
            );
        }
        format!(
            "{} than {} of {}",
            self.count(),
            mass(self.has_kg(), units),
            self.what()
        )
    }

    fn notes(&self) -> Vec<String> {
        let mut notes = vec![format!(
            "Honey needed: what a winter takes from a colony that never lacks any. {}",
            starved_in_run(self.starved)
        )];
        if !self.ranges_kg.is_empty() {
            notes.push("Bars below: bees not known, 90 %.".to_owned());
        }
        if self.members < DOTS && self.members > 1 {
            notes.push(format!("Only {} winters were run, each a drawn colony in one of the weather record: they tell little of rare ones.", self.members));
        }
        notes
    }

    pub(super) fn draw(&self, key: &str, look: Look, source: &str) -> String {
        let units = look.units;
        let stacks = Stacks::new(self, units);
        let shown = match self.dots_kg.len() {
            1 => "A dot for the one winter that was run".to_owned(),
            DOTS => format!("A dot is one winter in a hundred, of {} run", self.members),
            count => format!("A dot is one of the {count} winters run"),
        };
        let symbol = in_system(0.0, Dimension::Mass, units).1;
        let font = look.font();
        let sheet = Sheet {
            id: key,
            look,
            title: self.finding(units),
            shown: match self.dots_kg.len() {
                1 => format!("{shown}."),
                _ => format!("{shown}, in stacks {} {symbol} wide.", stacks.width_text()),
            },
            described: format!(
                "Dots stacked over an axis of honey needed, with a line at the {}.",
                self.what()
            ),
            key: Vec::new(),
            notes: self.notes(),
            source,
        };
        // As high as its highest stack asks for.
        let across = look.width() - 4.0 * font;
        let dot = (across / (stacks.ticks().ends().1 - stacks.ticks().ends().0) * stacks.width)
            .min(2.0 * font);
        let height = (dot * stacks.highest() as f64 + 8.0 * font).clamp(
            14.0 * font,
            (30.0 * font).min(0.9 * look.width()).max(14.0 * font),
        ) + self.ranges_px(font);
        sheet.draw(height, |area| self.picture(look, area, &stacks))
    }

    /// Room for the ranges, px.
    fn ranges_px(&self, font: f64) -> f64 {
        RANGE_EM * font * self.ranges_kg.len() as f64
    }

    /// Ranges under each other from here down: how far the honey of a share of winters moves with what is not known about bees.
    fn ranges(&self, look: Look, x: &Scale, top: f64) -> Markup {
        let (font, ink, units) = (look.font(), look.theme.ink(), look.units);
        let shown = |kg: f64| {
            in_system(kg, Dimension::Mass, units)
                .0
                .clamp(x.values.0, x.values.1)
        };
        html! {
            @for (number, (share, kg, (low, high))) in self.ranges_kg.iter().enumerate() {
                @let y = top + RANGE_EM * font * (number as f64 + 0.5);
                @let words = format!("{} of winters: {} or less ({} to {})", percent(*share), mass(*kg, units), mass(*low, units), mass(*high, units));
                @let beside = x.at(shown(*high)) + 0.6 * font;
                @let wide = width_em(&words) * 0.9 * font;
                @let before = beside + wide > x.pixels.1;
                (pale(x, y, (shown(*low), shown(*high)), ink.text, 0.6 * font))
                line x1=(px(x.at(shown(*kg)))) x2=(px(x.at(shown(*kg)))) y1=(px(y - 0.45 * font)) y2=(px(y + 0.45 * font)) stroke=(ink.text) stroke-width="2" {}
                text x=(px(if before { x.at(shown(*low)) - 0.6 * font } else { beside })) y=(px(y + 0.32 * font)) font-size=(px(0.9 * font)) fill=(ink.text) text-anchor=[before.then_some("end")] { (words) }
            }
        }
    }

    fn picture(&self, look: Look, area: Area, stacks: &Stacks) -> Markup {
        let (font, ink, units) = (look.font(), look.theme.ink(), look.units);
        let (small, symbol) = (0.9 * font, in_system(0.0, Dimension::Mass, units).1);
        let ranges = self.ranges_px(font);
        let ticks = stacks.ticks();
        let x = Scale {
            values: ticks.ends(),
            pixels: (area.left + font, area.left + area.width - font),
        };
        let (top, bottom) = (
            area.top + 4.2 * font,
            area.top + area.height - 3.1 * font - ranges,
        );
        let wide = x.at(stacks.width) - x.at(0.0);
        let high = ((bottom - top) / stacks.highest().max(1) as f64)
            .min(wide)
            .min(2.0 * font);
        let dot = |beyond: bool| Style {
            number: usize::from(beyond),
            theme: look.theme,
            radius_px: 0.44 * high,
        };
        let at = x.at(stacks.has);
        let lines = [
            format!("{} {}", self.what(), mass(self.has_kg(), units)),
            self.count(),
        ];
        let widest = lines.iter().map(|line| width_em(line)).fold(0.0, f64::max) * font;
        // Words stand right of the line where they fit, else where they do.
        let left = (at + 0.5 * font)
            .min(area.left + area.width - widest)
            .max(area.left);
        html! {
            g stroke=(ink.axis) stroke-width="1" {
                line x1=(px(x.pixels.0)) x2=(px(x.pixels.1)) y1=(px(bottom)) y2=(px(bottom)) {}
                @for tick in &ticks.at { line x1=(px(x.at(*tick))) x2=(px(x.at(*tick))) y1=(px(bottom)) y2=(px(bottom + 0.35 * font)) {} }
            }
            g font-size=(px(small)) fill=(ink.quiet) text-anchor="middle" {
                @for tick in &ticks.at { text x=(px(x.at(*tick))) y=(px(bottom + 0.4 * font + small)) { (ticks.text(*tick)) } }
            }
            text x=(px(0.5 * (x.pixels.0 + x.pixels.1))) y=(px(bottom + 2.7 * font)) font-size=(px(font)) fill=(ink.text) text-anchor="middle" { "Honey needed, " (symbol) }
            line x1=(px(at)) x2=(px(at)) y1=(px(top - 1.2 * font)) y2=(px(bottom + 0.35 * font)) stroke=(ink.text) stroke-width="2" {}
            @for (number, stack) in stacks.stacks.iter().enumerate() {
                @for (level, kg) in stack.iter().enumerate() {
                    @let beyond = *kg > self.has_kg();
                    @let words = format!("{} needed{}", mass(*kg, units), if beyond { ": more than there is" } else { "" });
                    @let spot = (x.at(stacks.middle(number)), bottom - (level as f64 + 0.5) * high);
                    (dot(beyond).mark(spot, Some(&words))) "\n"
                }
            }
            (self.ranges(look, &x, bottom + 3.4 * font))
            g font-size=(px(font)) fill=(ink.text) {
                @for (number, line) in lines.iter().enumerate() {
                    text x=(px(left)) y=(px(area.top + font * (1.0 + 1.3 * number as f64))) font-weight=[(number == 0).then_some("bold")] { (line) }
                }
            }
        }
    }
}

/// Dots in stacks, with an edge between stacks at the stores, so that none holds dots from both sides.
struct Stacks {
    /// What there is, in the unit shown.
    has: f64,
    /// Width of a stack in it.
    width: f64,
    /// Number of the first stack, counted from the stores.
    first: i64,
    /// Needs in each, kg.
    stacks: Vec<Vec<f64>>,
}

impl Stacks {
    fn new(data: &HoneyNeeded, units: System) -> Self {
        let shown = |kg: f64| in_system(kg, Dimension::Mass, units).0;
        let has = shown(data.has_kg());
        let ends = (data.dots_kg.first(), data.dots_kg.last());
        let range = ends
            .1
            .zip(ends.0)
            .map_or(0.0, |(most, least)| shown(*most) - shown(*least));
        let widths = [0.1, 1.0, 10.0]
            .into_iter()
            .flat_map(|power| WIDTHS.map(|width| width * power));
        let width = widths
            .into_iter()
            .find(|width| range / width <= STACKS)
            .unwrap_or(100.0);
        // A need of exactly the stores is met by them.
        let number = |kg: f64| ((shown(kg) - has) / width).ceil() as i64 - 1;
        let first = ends.0.map_or(0, |kg| number(*kg));
        let last = ends.1.map_or(0, |kg| number(*kg));
        let mut stacks = vec![Vec::new(); usize::try_from(last - first).unwrap_or(0) + 1];
        for kg in &data.dots_kg {
            let place = usize::try_from(number(*kg) - first).unwrap_or(0);
            if let Some(stack) = stacks.get_mut(place) {
                stack.push(*kg);
            }
        }
        Self {
            has,
            width,
            first,
            stacks,
        }
    }

    fn middle(&self, number: usize) -> f64 {
        self.has + (self.first as f64 + number as f64 + 0.5) * self.width
    }

    fn highest(&self) -> usize {
        self.stacks.iter().map(Vec::len).max().unwrap_or(0)
    }

    fn width_text(&self) -> String {
        let decimals = usize::from(self.width < 1.0);
        format!("{:.decimals$}", self.width)
    }

    fn ticks(&self) -> Ticks {
        let least = self.has + self.first as f64 * self.width;
        let most = self.has + (self.first + self.stacks.len() as i64) as f64 * self.width;
        Ticks::over(least.min(self.has).max(0.0), most.max(self.has), 8)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn needs(dots_kg: Vec<f64>, stores_kg: f64) -> HoneyNeeded {
        let beyond = dots_kg.iter().filter(|kg| **kg > stores_kg).count();
        HoneyNeeded {
            members: 10 * dots_kg.len(),
            stores_kg,
            fed_kg: 0.0,
            needing_more: beyond as f64 / dots_kg.len() as f64,
            starved: 0.1,
            chilled: 0.0,
            ranges_kg: Vec::new(),
            dots_kg,
        }
    }

    fn hundred() -> Vec<f64> {
        (0..100).map(|dot| 8.0 + 0.1 * f64::from(dot)).collect()
    }

    #[test]
    fn the_title_counts_the_dots_beyond_the_stores() {
        let data = needs(hundred(), 15.05);
        assert_eq!(
            data.finding(System::Metric),
            "29 of 100 winters need more than 15.1\u{a0}kg of stores"
        );
        let fed = HoneyNeeded {
            fed_kg: 2.0,
            ..data.clone()
        };
        assert!(
            fed.finding(System::Metric).starts_with("9 of 100")
                && fed.finding(System::Metric).ends_with("of stores and feed")
        );
        assert!(
            needs(hundred(), 40.0)
                .finding(System::Metric)
                .starts_with("None of 100 winters needs more")
        );
        assert!(
            needs(hundred(), 5.0)
                .finding(System::Metric)
                .starts_with("100 of 100 winters need more")
        );
        assert!(
            needs(vec![9.0], 5.0)
                .finding(System::Metric)
                .starts_with("The one winter needs more")
        );
        let cold = HoneyNeeded {
            chilled: 0.8,
            ..data
        };
        assert!(
            cold.finding(System::Metric)
                .starts_with("Honey is not the question: 80\u{a0}%")
        );
    }

    #[test]
    fn a_share_too_small_for_a_dot_is_not_called_none() {
        let rare = HoneyNeeded {
            needing_more: 0.002,
            ..needs(hundred(), 40.0)
        };
        assert!(
            rare.finding(System::Metric)
                .starts_with("Fewer than 1 of 100")
        );
        let nearly = HoneyNeeded {
            needing_more: 0.998,
            ..needs(hundred(), 5.0)
        };
        assert!(
            nearly
                .finding(System::Metric)
                .starts_with("More than 99 of 100")
        );
    }

    #[test]
    fn no_stack_holds_dots_from_both_sides_of_the_stores() {
        for units in [System::Metric, System::Us] {
            for stores_kg in [4.0, 9.97, 13.5, 15.03, 30.0] {
                let data = needs(hundred(), stores_kg);
                let stacks = Stacks::new(&data, units);
                assert_eq!(stacks.stacks.iter().map(Vec::len).sum::<usize>(), 100);
                for stack in stacks.stacks.iter().filter(|stack| !stack.is_empty()) {
                    let beyond = stack.iter().filter(|kg| **kg > stores_kg).count();
                    assert!(beyond == 0 || beyond == stack.len(), "{stack:?}");
                }
            }
        }
    }

    #[test]
    fn every_dot_is_drawn_in_the_shape_of_its_side() {
        let drawn = needs(hundred(), 15.05).draw("honey-needed", Look::default(), "");
        assert_eq!(drawn.matches("<circle").count(), 71);
        assert_eq!(drawn.matches("more than there is").count(), 29);
        assert!(drawn.contains("stores 15.1\u{a0}kg"));
    }

    #[test]
    fn needs_all_alike_can_be_drawn() {
        for data in [
            needs(vec![12.0], 15.0),
            needs(vec![12.0; 100], 12.0),
            needs(vec![12.0; 100], 1.0),
        ] {
            assert!(
                !data
                    .draw("honey-needed", Look::default(), "")
                    .contains("NaN")
            );
        }
    }
}
