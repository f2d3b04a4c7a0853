//! Hives of a comparison under each other: honey needed, stores, and the share that starves.

use super::Look;
use super::axis::Axis;
use super::label::name;
use super::mark::Style;
use super::paired::verdict;
use super::rows::{Row, Rows, pale, two, whisker};
use super::scale::{Scale, Ticks, px};
use super::sheet::{Area, Sheet};
use super::told::{Told, any_of, leaders, points, small_mass};
use super::words::{mass, percent};
use crate::ensemble::Verdict;
use crate::units::{Dimension, System, in_system};
use maud::{Markup, html};
use serde::{Deserialize, Serialize};

/// Graphemes of a name that are shown.
const NAME: usize = 60;
/// Narrowest panel that stands beside another, sizes of the font.
const BESIDE_EM: f64 = 27.0;
/// Hives that a title names when it cannot tell which of them saves most.
const NAMED: usize = 3;

/// Hives of a comparison.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Hives {
    /// The hives; others are held against the first.
    pub hives: Vec<HiveRow>,
    /// Pairs of each with the first.
    pub pairs: usize,
    /// Winters.
    pub winters: usize,
}

/// One hive.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct HiveRow {
    /// Its letter.
    pub letter: char,
    /// Its name.
    pub name: String,
    /// Honey that suffices in 50, 80 and 95 % of winters, kg.
    pub need_kg: [f64; 3],
    /// Stores at the start, kg.
    pub stores_kg: f64,
    /// Share that starves.
    pub starved: f64,
    /// Its interval.
    pub starved_interval: (f64, f64),
    /// Ranges of the honey over what is not known about bees, kg; none where they are not told.
    #[serde(default)]
    pub need_shared: [Option<(f64, f64)>; 3],
    /// That of the share.
    #[serde(default)]
    pub starved_shared: Option<(f64, f64)>,
    /// Mean honey needed less that of the first, kg; none of the first.
    pub need_against: Option<Told>,
    /// Share that starves less that of the first; none of the first.
    pub starved_against: Option<Told>,
}

impl HiveRow {
    fn called(&self) -> String {
        format!("{}\u{a0}\u{a0}{}", self.letter, name(&self.name, NAME))
    }

    /// Its risk against that of the first, in words.
    fn risk_words(&self, first: char) -> String {
        let Some(told) = &self.starved_against else {
            return "the first, which the others are held against".to_owned();
        };
        let word = if told.mean < 0.0 { "fewer" } else { "more" };
        let within = told
            .sizes(&points)
            .map_or_else(String::new, |sizes| format!(" ({sizes})"));
        let size = points(told.mean.abs());
        if let (Some((low, high)), true) = (told.shared, told.direction_is_uncertain()) {
            return format!(
                "direction uncertain against {first}: {} points fewer to {} more starve",
                points(-low),
                points(high)
            );
        }
        match (told.verdict, told.interval) {
            (Verdict::Less | Verdict::More, _) => {
                format!("{size} points {word} starve than in {first}{within}")
            }
            (Verdict::LessHere | Verdict::MoreHere, _) => {
                format!(
                    "{size} points {word} starve than in {first} in these winters; others may differ"
                )
            }
            (Verdict::Same, _) => format!("the same colonies starve as in {first}"),
            (Verdict::CannotTell, Some((low, high))) => format!(
                "cannot be told from {first}: {} points fewer to {} more",
                points(low.min(0.0).abs()),
                points(high.max(0.0))
            ),
            (Verdict::CannotTell, None) => format!("one pair cannot tell it from {first}"),
        }
    }
}

impl Hives {
    fn others(&self) -> &[HiveRow] {
        self.hives.get(1..).unwrap_or_default()
    }

    pub(super) fn finding(&self, units: System) -> String {
        let Some(first) = self.hives.first() else {
            return "No hive was compared".to_owned();
        };
        let risks = self.risks();
        if let [other] = self.others() {
            let names = if first.name == other.name {
                [first.letter, other.letter].map(String::from)
            } else {
                [&first.name, &other.name].map(|text| name(text, NAME))
            };
            let need = other.need_against.map_or_else(String::new, |told| {
                verdict(&names, &told, self.winters, units)
            });
            return format!("{need}; {risks}");
        }
        let saving: Vec<(&HiveRow, Told)> = self
            .others()
            .iter()
            .filter_map(|hive| {
                let told = hive.need_against.filter(Told::is_less)?;
                let told = (!told.direction_is_uncertain()).then_some(told)?;
                Some((hive, told.turned()))
            })
            .collect();
        let values: Vec<_> = saving
            .iter()
            .map(|(_, told)| (told.mean, told.interval))
            .collect();
        let may_be = leaders(&values);
        let letter = first.letter;
        let need = match &may_be[..] {
            [] => format!("No hive is told to need less honey than {letter}"),
            [only] => {
                let (hive, told) = &saving[*only];
                let here = if told.is_here() {
                    " in these winters"
                } else {
                    ""
                };
                let most = if saving.len() > 1 {
                    "saves most honey"
                } else {
                    "alone is told to save honey"
                };
                format!(
                    "{} ({}) {most} against {letter}{here}: {}",
                    hive.letter,
                    name(&hive.name, NAME),
                    small_mass(told.mean, units)
                )
            }
            some if some.len() <= NAMED => {
                let letters: Vec<String> = some
                    .iter()
                    .map(|n| saving[*n].0.letter.to_string())
                    .collect();
                format!(
                    "{} saves most honey against {letter}, which of them cannot be told: up to {}",
                    any_of(&letters),
                    small_mass(saving[some[0]].1.mean, units)
                )
            }
            _ => format!(
                "{} of {} hives save honey against {letter}, up to {}; which most cannot be told",
                saving.len(),
                self.others().len(),
                small_mass(saving[may_be[0]].1.mean, units)
            ),
        };
        format!("{need}; {risks}")
    }

    /// What is told of risks, in words.
    fn risks(&self) -> String {
        let told = |is: fn(&Told) -> bool| -> Vec<String> {
            let those = self.others().iter().filter(|hive| {
                let told = hive.starved_against.as_ref();
                told.is_some_and(|told| is(told) && !told.direction_is_uncertain())
            });
            those.map(|hive| hive.letter.to_string()).collect()
        };
        let (fewer, more) = (told(Told::is_less), told(Told::is_more));
        let count = |hives: &[String]| match hives.len() {
            few @ 1..=4 if few < self.others().len() || few == 1 => {
                format!("in {}", hives.join(", "))
            }
            all if all == self.others().len() => "in all others".to_owned(),
            some => format!("in {some} others"),
        };
        let letter = self.hives.first().map_or('A', |hive| hive.letter);
        match (fewer.is_empty(), more.is_empty()) {
            (true, true) if self.hives.iter().all(|hive| hive.starved <= 0.0) => {
                "no colony starved".to_owned()
            }
            (true, true) if self.hives.iter().all(|hive| hive.starved >= 1.0) => {
                "all colonies starved".to_owned()
            }
            (true, true) => format!("no risk can be told from that of {letter}"),
            (false, true) => format!("fewer starve {}", count(&fewer)),
            (true, false) => format!("more starve {}", count(&more)),
            (false, false) => format!("fewer starve {}, more {}", count(&fewer), count(&more)),
        }
    }

    pub(super) fn draw(&self, key: &str, look: Look, source: &str) -> String {
        let font = look.font();
        let style = |number| Style {
            number,
            theme: look.theme,
            radius_px: 0.4 * font,
        };
        let stores = self.hives.iter().map(|hive| hive.stores_kg);
        let all_alike = stores.clone().all(|kg| Some(kg) == stores.clone().next());
        let sheet = Sheet {
            id: key,
            look,
            title: self.finding(look.units),
            shown: format!(
                "Honey that suffices in 50, 80 and 95 % of winters, stores, and the share that starves: the same {} draws over the same {} in each hive.",
                self.pairs,
                if self.winters == 1 { "winter".to_owned() } else { format!("{} winters", self.winters) }
            ),
            described: format!("Two panels of rows, one a hive. {}", self.spoken(look.units)),
            key: vec![
                (style(0), "need in 50 %".to_owned()),
                (style(1), "80 %".to_owned()),
                (style(2), "95 % of winters".to_owned()),
                (style(3), if all_alike { format!("stores, {}", mass(self.hives.first().map_or(0.0, |hive| hive.stores_kg), look.units)) } else { "stores".to_owned() }),
            ],
            notes: vec!["Pale bars: bees not known, 90 %. Whiskers of risks: sampling, 95 %. Both hives get the same colonies, winters and unknowns, so a difference can be real even where bars overlap.".to_owned()],
            source,
        };
        let width = look.width() - 2.0 * font;
        let (one, beside) = two(look, width, BESIDE_EM);
        let (need, risk) = (self.need_rows(look), self.risk_rows(look, beside));
        let (mut needs, mut risks) = (need.heads(one), risk.heads(one));
        if beside {
            let most: Vec<usize> = needs.iter().zip(&risks).map(|(a, b)| *a.max(b)).collect();
            (needs, risks) = (most.clone(), most);
        }
        let (first, second) = (need.height(one, &needs), risk.height(one, &risks));
        let height = if beside {
            first.max(second)
        } else {
            first + second + font
        };
        sheet.draw(height, |area| {
            let left = Area { width: one, ..area };
            let right = if beside {
                Area { left: area.left + area.width - one, width: one, ..area }
            } else {
                Area { top: area.top + first + font, ..left }
            };
            html! {
                (need.draw(left, &needs, |number, scale, y| self.need_marks(number, scale, y, look)))
                (risk.draw(right, &risks, |number, scale, y| self.risk_marks(number, scale, y, look)))
            }
        })
    }

    fn spoken(&self, units: System) -> String {
        let hive = |hive: &HiveRow| {
            format!(
                "{} {}: {} in 95 % of winters, {} starve.",
                hive.letter,
                name(&hive.name, NAME),
                mass(hive.need_kg[2], units),
                percent(hive.starved)
            )
        };
        self.hives.iter().map(hive).collect::<Vec<_>>().join(" ")
    }

    fn need_rows(&self, look: Look) -> Rows {
        let units = look.units;
        let (_, symbol) = in_system(0.0, Dimension::Mass, units);
        let honey = |kg: f64| in_system(kg, Dimension::Mass, units).0;
        let most = self.hives.iter().fold(1e-3, |most: f64, hive| {
            let shared = hive.need_shared[2].map_or(0.0, |(_, high)| high);
            most.max(honey(hive.need_kg[2]))
                .max(honey(hive.stores_kg))
                .max(honey(shared))
        });
        let row = |hive: &HiveRow| Row {
            words: hive.called(),
            figure: format!(
                "{} {symbol}",
                hive.need_kg
                    .map(|kg| format!("{:.1}", honey(kg)))
                    .join(" · ")
            ),
        };
        Rows {
            look,
            axis: Axis {
                words: format!("Honey, {symbol}"),
                ticks: Ticks::over(0.0, most, 7),
                after: "",
            },
            rows: self.hives.iter().map(row).collect(),
            lane_em: 1.1,
        }
    }

    fn risk_rows(&self, look: Look, beside: bool) -> Rows {
        let first = self.hives.first().map_or('A', |hive| hive.letter);
        let most = self.hives.iter().fold(0.1, |most: f64, hive| {
            let shared = hive.starved_shared.map_or(0.0, |(_, high)| high);
            most.max(hive.starved_interval.1).max(shared)
        });
        let row = |hive: &HiveRow| {
            let words = hive.risk_words(first);
            Row {
                words: if beside {
                    format!("{}\u{a0}\u{a0}{words}", hive.letter)
                } else {
                    format!("{}: {words}", hive.called())
                },
                figure: percent(hive.starved),
            }
        };
        Rows {
            look,
            axis: Axis {
                words: "Share that starves, %".to_owned(),
                ticks: Ticks::over(0.0, 100.0 * most, 6),
                after: "",
            },
            rows: self.hives.iter().map(row).collect(),
            lane_em: 1.1,
        }
    }

    fn need_marks(&self, number: usize, scale: &Scale, y: f64, look: Look) -> Markup {
        let hive = &self.hives[number];
        let font = look.font();
        let at = |kg: f64| scale.at(in_system(kg, Dimension::Mass, look.units).0);
        let style = |number| Style {
            number,
            theme: look.theme,
            radius_px: 0.38 * font,
        };
        let shares = ["50 %", "80 %", "95 %"];
        html! {
            @for (share, ends) in hive.need_shared.iter().enumerate() {
                @if let Some((low, high)) = ends {
                    @let shown = |kg: f64| in_system(kg, Dimension::Mass, look.units).0;
                    // Of three that overlap, each has a height of its own.
                    (pale(scale, y + 0.3 * font * (share as f64 - 1.0), (shown(*low), shown(*high)), style(share).color(), 0.3 * font))
                }
            }
            line x1=(px(at(hive.need_kg[0]))) x2=(px(at(hive.need_kg[2]))) y1=(px(y)) y2=(px(y)) stroke=(look.theme.ink().axis) stroke-width="2" {}
            @for (share, kg) in hive.need_kg.iter().enumerate() {
                (style(share).mark((at(*kg), y), Some(&format!("{}: {} suffice in {} of winters", hive.letter, mass(*kg, look.units), shares[share]))))
            }
            (style(3).mark((at(hive.stores_kg), y), Some(&format!("{}: stores {}", hive.letter, mass(hive.stores_kg, look.units)))))
        }
    }

    fn risk_marks(&self, number: usize, scale: &Scale, y: f64, look: Look) -> Markup {
        let hive = &self.hives[number];
        let font = look.font();
        let (low, high) = hive.starved_interval;
        let style = Style {
            number: 0,
            theme: look.theme,
            radius_px: 0.38 * font,
        };
        let words = format!(
            "{}: {} starve ({} to {})",
            hive.letter,
            percent(hive.starved),
            percent(low),
            percent(high)
        );
        html! {
            @if let Some((low, high)) = hive.starved_shared { (pale(scale, y, (100.0 * low, 100.0 * high), style.color(), 0.7 * font)) }
            (whisker(scale, y, (100.0 * low, 100.0 * high), style.color(), 0.3 * font))
            (style.mark((scale.at(100.0 * hive.starved), y), Some(&words)))
        }
    }
}

#[cfg(test)]
mod tests;
