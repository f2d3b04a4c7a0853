//! Honey need or risk over the values of one or two settings: what is kept, and what it says.

use super::difference::{PairedDifference, effect, points};
use super::grammar::{Describe, Figure, Unit, name};
use super::words::{counted, mass, percent};
use super::{Look, swept_lines, swept_map};
use crate::ensemble::Verdict;
use crate::scenario::MonthDay;
use crate::units::{Dimension, Round, System, parse, show};
use serde::{Deserialize, Serialize};

/// Part of the honey needed below which a difference hardly matters (own choice).
const HARDLY: f64 = 0.02;
/// Share of winters that a title and a map are about, as its number among the levels of honey.
const MIDDLE: usize = 1;
/// Graphemes of a key and of a value that are shown.
const WORDS: usize = 48;

/// What is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Measure {
    /// Honey needed, kg.
    Need,
    /// Share that starves.
    Risk,
}

/// Honey need or risk over the values of one or two settings.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Swept {
    /// What is shown.
    pub measure: Measure,
    /// One setting or two.
    pub settings: Vec<SweptSetting>,
    /// Every value, or pair of values with the second setting's changing fastest.
    pub answers: Vec<SweptAnswer>,
    /// Members at each.
    pub members: u32,
    /// Winters.
    pub winters: usize,
}

/// A setting with its values.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SweptSetting {
    /// Its path in a scenario.
    pub key: String,
    /// Values as written.
    pub values: Vec<String>,
    /// What they are.
    pub along: Along,
}

/// What the values of a setting are.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Along {
    /// Different numbers, of a dimension (then in SI) or of none.
    Numbers {
        /// The values.
        values: Vec<f64>,
        /// Their dimension.
        dimension: Option<Dimension>,
    },
    /// Days of the year, in the order in which they stand.
    Days,
    /// Words, or of several kinds.
    Words,
}

/// What one value gave.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SweptAnswer {
    /// Honey needed in 50, 80 and 95 % of winters, kg, or the share that starves; each with its interval.
    pub levels: Vec<(f64, (f64, f64))>,
    /// Range of each over what is not known about bees; none where it is not told.
    #[serde(default)]
    pub shared: Vec<Option<(f64, f64)>>,
    /// Stores at the start, kg.
    pub stores_kg: f64,
    /// Mean honey, kg, or share less that of the first value; none of the first and where the winters are others.
    pub difference: Option<PairedDifference>,
}

impl SweptSetting {
    /// Of a key and values as a scenario has them.
    #[must_use]
    pub fn new(key: &str, values: &[String]) -> Self {
        let along = if values.len() < 2 {
            Along::Words
        } else if let Some((numbers, dimension)) = numbers(values) {
            Along::Numbers {
                values: numbers,
                dimension,
            }
        } else if values.iter().all(|value| MonthDay::parse(value).is_some()) {
            Along::Days
        } else {
            Along::Words
        };
        Self {
            key: key.to_owned(),
            values: values.to_vec(),
            along,
        }
    }

    pub(super) fn name(&self) -> String {
        name(&self.key, WORDS)
    }

    /// A value in the units of the reader; one that has them already, or has none, as it is written.
    pub(super) fn value(&self, number: usize, units: System) -> String {
        let written = self
            .values
            .get(number)
            .map_or_else(String::new, |value| name(value.trim_matches('"'), WORDS));
        let Along::Numbers {
            values,
            dimension: Some(dimension),
        } = &self.along
        else {
            return written;
        };
        let Some(value_si) = values.get(number) else {
            return written;
        };
        let shown = show(*value_si, *dimension, units, Round::Significant(3));
        let unit = |text: &str| {
            text.trim_start_matches(|c: char| !c.is_alphabetic() && !matches!(c, '°' | '%'))
                .to_owned()
        };
        let text = if unit(&shown) == unit(&written) {
            written
        } else {
            shown
        };
        text.replace(' ', "\u{a0}")
    }
}

/// Values as different numbers of one dimension, or of none.
fn numbers(values: &[String]) -> Option<(Vec<f64>, Option<Dimension>)> {
    let plain: Result<Vec<f64>, _> = values
        .iter()
        .map(|value| value.trim().parse::<f64>())
        .collect();
    if let Ok(plain) = plain {
        return different(&plain).then_some((plain, None));
    }
    let kelvins = values.iter().all(|value| value.trim_end().ends_with('K'));
    let all = Dimension::ALL.into_iter();
    let mut fitting = all.filter(|dimension| *dimension != Dimension::Temperature || !kelvins);
    let (numbers, dimension) = fitting.find_map(|dimension| {
        let numbers: Result<Vec<f64>, _> =
            values.iter().map(|value| parse(value, dimension)).collect();
        Some((numbers.ok()?, dimension))
    })?;
    // Hundreds of metres are no thicknesses, and openings no walls.
    let most = numbers.iter().copied().fold(0.0, f64::max);
    let dimension = match dimension {
        Dimension::Length if most > 10.0 => Dimension::Elevation,
        Dimension::Area if most < 0.05 => Dimension::OpeningArea,
        other => other,
    };
    different(&numbers).then_some((numbers, Some(dimension)))
}

fn different(values: &[f64]) -> bool {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    values.iter().all(|value| value.is_finite()) && sorted.windows(2).all(|pair| pair[1] > pair[0])
}

impl Swept {
    /// The level that titles and maps are about.
    pub(super) fn level(&self, answer: usize) -> (f64, (f64, f64)) {
        let levels = self
            .answers
            .get(answer)
            .map_or(&[][..], |answer| &answer.levels);
        let level = levels.get(MIDDLE).or_else(|| levels.first());
        level.copied().unwrap_or_default()
    }

    pub(super) fn keys(&self) -> String {
        let keys: Vec<String> = self.settings.iter().map(SweptSetting::name).collect();
        keys.join(" and ")
    }

    /// The settings of an answer, each with its value in words.
    fn settings(&self, answer: usize, units: System) -> Vec<(String, String)> {
        let across = self
            .settings
            .get(1)
            .map_or(1, |columns| columns.values.len().max(1));
        let numbers = [answer / across, answer % across];
        let parts = self.settings.iter().zip(numbers);
        parts
            .map(|(setting, number)| (setting.name(), setting.value(number, units)))
            .collect()
    }

    /// The values of an answer: "60 mm", "60 mm and 5 cm²".
    pub(super) fn values(&self, answer: usize, units: System) -> String {
        let settings = self.settings(answer, units).into_iter();
        settings
            .map(|(_, value)| value)
            .collect::<Vec<_>>()
            .join(" and ")
    }

    /// The values of an answer with their settings: "wall.thickness 60 mm and entrance.area 5 cm²".
    fn named(&self, answer: usize, units: System) -> String {
        let settings = self.settings(answer, units).into_iter();
        let named = settings.map(|(key, value)| format!("{key} {value}"));
        named.collect::<Vec<_>>().join(" and ")
    }

    /// What levels are shown in.
    pub(super) fn unit(&self, look: Look) -> Unit {
        match self.measure {
            Measure::Need => look.unit(Dimension::Mass),
            Measure::Risk => Unit::Percent,
        }
    }

    /// A level in words.
    pub(super) fn said(&self, value: f64, units: System) -> String {
        match self.measure {
            Measure::Need => mass(value, units),
            Measure::Risk => percent(value),
        }
    }

    /// Size of a difference in words.
    fn size(&self, size: f64, units: System) -> String {
        match self.measure {
            Measure::Need => effect(size, units),
            Measure::Risk => format!("{} points", points(size)),
        }
    }

    /// Ending of a verb after the keys.
    fn ending(&self) -> &'static str {
        if self.settings.len() == 1 { "s" } else { "" }
    }

    fn paired(&self, told: &[PairedDifference], keys: &str, units: System) -> String {
        let s = self.ending();
        let what = match self.measure {
            Measure::Need => "honey need",
            Measure::Risk => "the risk",
        };
        let all = told
            .iter()
            .enumerate()
            .map(|(number, told)| (number + 1, told));
        // Against the first value, whose difference is none; beyond it only what is told counts.
        let (mut least, mut most) = ((0, 0.0), (0, 0.0));
        for (number, told) in all.filter(|(_, told)| told.is_told()) {
            if told.mean < least.1 {
                least = (number, told.mean);
            }
            if told.mean > most.1 {
                most = (number, told.mean);
            }
        }
        if least.0 == most.0 {
            return self.nothing_told(told, keys, what, units);
        }
        let mut ends = [least.0, most.0]
            .into_iter()
            .filter_map(|number| told.get(number.checked_sub(1)?));
        let here = ends
            .find(|told| told.is_here())
            .map_or("", PairedDifference::here);
        let gap = most.1 - least.1;
        let (low, high) = (self.values(least.0, units), self.values(most.0, units));
        let size = self.size(gap, units);
        let named = self.named(least.0, units);
        match self.measure {
            Measure::Need if gap < HARDLY * self.level(0).0 => format!(
                "{keys} hardly matter{s} for honey need: {size} less with {low} than with {high}"
            ),
            Measure::Need => {
                format!("{size} less honey with {named} than with {high}{here}")
            }
            Measure::Risk => {
                format!("{size} fewer starve with {named} than with {high}{here}")
            }
        }
    }

    /// No difference to the first value is told.
    fn nothing_told(
        &self,
        told: &[PairedDifference],
        keys: &str,
        what: &str,
        units: System,
    ) -> String {
        let s = self.ending();
        if told.iter().all(|told| told.verdict == Verdict::Same) {
            return format!("{keys} change{s} nothing: {what} is the same at every value");
        }
        let ends: Option<Vec<(f64, f64)>> = told.iter().map(|told| told.interval).collect();
        let Some(ends) = ends else {
            return format!("One colony cannot tell whether {keys} change{s} {what}");
        };
        let low = ends.iter().fold(0.0_f64, |low, end| low.min(end.0));
        let high = ends.iter().fold(0.0_f64, |high, end| high.max(end.1));
        let most = high.max(-low);
        if self.measure == Measure::Need && most < HARDLY * self.level(0).0 {
            return format!(
                "{keys} hardly matter{s} for honey need: less than {} either way",
                self.size(most, units)
            );
        }
        format!(
            "The data cannot tell whether {keys} change{s} {what}: from {} less to {} more than with {} is possible",
            self.size(-low, units),
            self.size(high, units),
            self.values(0, units)
        )
    }

    /// Of winters that differ between values: levels with intervals that keep clear of each other.
    fn unpaired(&self, keys: &str, units: System) -> String {
        let s = self.ending();
        let by = |a: &usize, b: &usize| self.level(*a).0.total_cmp(&self.level(*b).0);
        let ends = (0..self.answers.len())
            .min_by(by)
            .zip((0..self.answers.len()).max_by(by));
        let Some((least, most)) = ends else {
            return keys.to_owned();
        };
        let (low, high) = (self.level(least), self.level(most));
        let clear = low.1.1 < high.1.0;
        let (with, against) = (self.named(least, units), self.values(most, units));
        let (of_least, of_most) = (self.said(low.0, units), self.said(high.0, units));
        match (self.measure, clear) {
            (Measure::Need, true) => format!(
                "{of_least} of honey suffice in 80\u{a0}% of winters with {with}, {of_most} with {against}"
            ),
            (Measure::Risk, true) => {
                format!("{of_least} starve with {with}, {of_most} with {against}")
            }
            (Measure::Need, false) => format!(
                "The data cannot tell whether {keys} change{s} honey need: {of_least} to {of_most} in 80\u{a0}% of winters"
            ),
            (Measure::Risk, false) => format!(
                "The data cannot tell whether {keys} change{s} the risk: {of_least} to {of_most} starve"
            ),
        }
    }

    /// How many members and winters, for the line below a title.
    pub(super) fn each(&self) -> String {
        let winters = counted(self.winters, "winter");
        format!("{} members over {winters} at each value", self.members)
    }

    /// All answers in words, for those who do not see the picture.
    pub(super) fn spoken(&self, units: System) -> String {
        let one = |answer: usize| {
            format!(
                "{}: {}.",
                self.values(answer, units),
                self.said(self.level(answer).0, units)
            )
        };
        (0..self.answers.len())
            .map(one)
            .collect::<Vec<_>>()
            .join(" ")
    }
}

impl Describe for Swept {
    fn finding(&self, units: System) -> String {
        let keys = self.keys();
        if self.answers.len() < 2 {
            let level = self.said(self.level(0).0, units);
            let values = self.values(0, units);
            return match self.measure {
                Measure::Need => format!(
                    "With {values} as {keys}, {level} of honey suffice in 80\u{a0}% of winters"
                ),
                Measure::Risk => format!("With {values} as {keys}, {level} of colonies starve"),
            };
        }
        if self.measure == Measure::Risk {
            let all =
                |share: f64| (0..self.answers.len()).all(|answer| self.level(answer).0 == share);
            if all(0.0) {
                return format!("No colony starves, whatever the value of {keys}");
            }
            if all(1.0) {
                return format!("All colonies starve, whatever the value of {keys}");
            }
        }
        let told: Option<Vec<PairedDifference>> = self.answers[1..]
            .iter()
            .map(|answer| answer.difference)
            .collect();
        match told {
            Some(told) => self.paired(&told, &keys, units),
            None => self.unpaired(&keys, units),
        }
    }

    fn figure(&self, look: Look) -> Figure<'_> {
        if self.settings.len() == 2 {
            swept_map::figure(self, look)
        } else {
            swept_lines::figure(self, look)
        }
    }
}

#[cfg(test)]
pub(super) mod tests;
