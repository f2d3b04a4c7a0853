//! Hives of a comparison under each other: honey needed, stores, and the share that starves.

use super::Look;
use super::difference::{PairedDifference, any_of, leaders, points, small_mass};
use super::grammar::{Axis, Describe, Figure, Mark, Ranked, Row, SideBySide, Unit, name};
use super::paired::verdict;
use super::words::{mass, percent};
use crate::ensemble::Verdict;
use crate::units::{Dimension, System};
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
    /// Honey needed in 50, 80 and 95 % of winters, kg.
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
    pub need_against: Option<PairedDifference>,
    /// Share that starves less that of the first; none of the first.
    pub starved_against: Option<PairedDifference>,
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
        let within = told.bracketed(&points);
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
                "no clear effect against {first}: {} points fewer to {} more",
                points(low.min(0.0).abs()),
                points(high.max(0.0))
            ),
            (Verdict::CannotTell, None) => format!("one pair is too few to compare with {first}"),
        }
    }
}

impl HiveRow {
    fn need_row(&self, look: Look) -> Row<'_> {
        const SHARES: [&str; 3] = ["50 %", "80 %", "95 %"];
        let (unit, font) = (look.unit(Dimension::Mass), look.font());
        let style = |number| look.style(number, 0.38);
        let needs = self
            .need_kg
            .map(|kg| format!("{:.1}", unit.shown(kg)))
            .join(" · ");
        let mut row = Row::new(self.called(), format!("{needs} {}", unit.symbol()));
        for (share, ends) in self.need_shared.iter().enumerate() {
            // Of three that overlap, each has a height of its own.
            row = row.pale(
                0.3 * (share as f64 - 1.0),
                *ends,
                style(share).color(),
                0.3 * font,
            );
        }
        let ends = (self.need_kg[0], self.need_kg[2]);
        row = row.mark(Mark::level_interval(0.0, ends, 0.0).stroke(look.theme.ink().axis, 2.0));
        for (share, kg) in self.need_kg.iter().enumerate() {
            let words = format!(
                "{}: {} suffice in {} of winters",
                self.letter,
                mass(*kg, look.units),
                SHARES[share]
            );
            row = row.mark(Mark::symbol((*kg, 0.0), style(share)).says(words));
        }
        let words = format!(
            "{}: stores {}",
            self.letter,
            mass(self.stores_kg, look.units)
        );
        row.mark(Mark::symbol((self.stores_kg, 0.0), style(3)).says(words))
    }

    fn risk_row(&self, look: Look, first: char, beside: bool) -> Row<'_> {
        let (style, font, risk) = (look.style(0, 0.38), look.font(), self.risk_words(first));
        let (low, high) = self.starved_interval;
        let words = if beside {
            format!("{}\u{a0}\u{a0}{risk}", self.letter)
        } else {
            format!("{}: {risk}", self.called())
        };
        let [own, from, to] = [self.starved, low, high].map(percent);
        let says = format!("{}: {own} starve ({from} to {to})", self.letter);
        Row::new(words, own)
            .pale(0.0, self.starved_shared, style.color(), 0.7 * font)
            .estimate(
                (self.starved, 0.0),
                Some((low, high)),
                style,
                0.3 * font,
                says,
            )
    }
}

impl Hives {
    fn others(&self) -> &[HiveRow] {
        self.hives.get(1..).unwrap_or_default()
    }

    /// What is told of risks, in words.
    fn risks(&self) -> String {
        let told = |is: fn(&PairedDifference) -> bool| -> Vec<String> {
            let those = self.others().iter().filter(|hive| {
                let told = hive.starved_against.as_ref();
                told.is_some_and(|told| is(told) && !told.direction_is_uncertain())
            });
            those.map(|hive| hive.letter.to_string()).collect()
        };
        let (fewer, more) = (
            told(PairedDifference::is_less),
            told(PairedDifference::is_more),
        );
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
            (true, true) => format!("no clear effect on risk against {letter}"),
            (false, true) => format!("fewer starve {}", count(&fewer)),
            (true, false) => format!("more starve {}", count(&more)),
            (false, false) => format!("fewer starve {}, more {}", count(&fewer), count(&more)),
        }
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

    fn need(&self, look: Look) -> Ranked<'_> {
        let all = self.hives.iter().flat_map(|hive| {
            let shared = hive.need_shared[2].map_or(0.0, |(_, high)| high);
            [hive.need_kg[2], hive.stores_kg, shared]
        });
        let axis = Axis::new(
            "Honey",
            look.unit(Dimension::Mass),
            all.chain([0.0, 1e-3]),
            7,
        );
        Ranked::new(
            axis,
            1.1,
            self.hives.iter().map(|hive| hive.need_row(look)).collect(),
        )
    }

    fn risk(&self, look: Look, beside: bool) -> Ranked<'_> {
        let first = self.hives.first().map_or('A', |hive| hive.letter);
        let all = self.hives.iter().flat_map(|hive| {
            let shared = hive.starved_shared.map_or(0.0, |(_, high)| high);
            [hive.starved_interval.1, shared]
        });
        let axis = Axis::new(
            "Share that starves",
            Unit::Percent,
            all.chain([0.0, 0.1]),
            6,
        );
        Ranked::new(
            axis,
            1.1,
            self.hives
                .iter()
                .map(|hive| hive.risk_row(look, first, beside))
                .collect(),
        )
    }
}

impl Describe for Hives {
    fn finding(&self, units: System) -> String {
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
        let saving: Vec<(&HiveRow, PairedDifference)> = self
            .others()
            .iter()
            .filter_map(|hive| {
                let told = hive.need_against.filter(PairedDifference::is_less)?;
                let told = (!told.direction_is_uncertain()).then_some(told)?;
                Some((hive, told.turned()))
            })
            .collect();
        let may_be = leaders(saving.iter().map(|(_, told)| (told.mean, told.interval)));
        let letter = first.letter;
        let need = match &may_be[..] {
            [] => format!("No hive is told to need less honey than {letter}"),
            [only] => {
                let (hive, told) = &saving[*only];
                let here = told.here();
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
                    "{} saves most honey against {letter}, too close to rank: up to {}",
                    any_of(&letters),
                    small_mass(saving[some[0]].1.mean, units)
                )
            }
            _ => format!(
                "{} of {} hives save honey against {letter}, up to {}; too close to say which saves most",
                saving.len(),
                self.others().len(),
                small_mass(saving[may_be[0]].1.mean, units)
            ),
        };
        format!("{need}; {risks}")
    }

    fn figure(&self, look: Look) -> Figure<'_> {
        let stores = self.hives.iter().map(|hive| hive.stores_kg);
        let alike = stores
            .clone()
            .next()
            .filter(|first| stores.clone().all(|kg| kg == *first));
        let stores = alike.map_or("stores".to_owned(), |kg| {
            format!("stores, {}", mass(kg, look.units))
        });
        let names = [
            "need in 50 %".to_owned(),
            "80 %".to_owned(),
            "95 % of winters".to_owned(),
            stores,
        ];
        let width = look.width() - 2.0 * look.font();
        let (one, beside) = SideBySide::split(look, width, 2, BESIDE_EM);
        let (mut need, mut risk) = (self.need(look), self.risk(look, beside));
        if beside {
            (need.least_lines, risk.least_lines) =
                (risk.row_lines(look, one), need.row_lines(look, one));
        }
        Figure {
            shown: format!(
                "Honey needed in 50, 80 and 95 % of winters, stores, and the share that starves: the same {} draws over the same {} in each hive.",
                self.pairs,
                if self.winters == 1 { "winter".to_owned() } else { format!("{} winters", self.winters) }
            ),
            described: format!("Two panels of rows, one a hive. {}", self.spoken(look.units)),
            legend: names.into_iter().enumerate().map(|(number, name)| (look.style(number, 0.4), name)).collect(),
            notes: vec!["Pale bars: bees not known, 90 %. Whiskers of risks: sampling, 95 %. Both hives get the same colonies, winters and unknowns, so a difference can be real even where bars overlap.".to_owned()],
            plot: Box::new(SideBySide::new(BESIDE_EM, vec![Box::new(need), Box::new(risk)])),
        }
    }
}

#[cfg(test)]
mod tests;
