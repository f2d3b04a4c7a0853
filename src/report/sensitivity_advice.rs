//! What a keeper can do about the factors of a sensitivity: measure them, or build and do differently.

use super::Block;
use super::shared_text::{GIVEN, cell};
use super::table::{signed, table};
use crate::ensemble::{Difference, Factor, FactorInfluence, Influence, Sensitivity, Verdict};
use crate::fit::OWN;
use crate::units::{Dimension, Round, System, show};
use serde::Serialize;

/// Total index from which a factor is worth a line of advice (own choice).
const WORTH_A_LINE: f64 = 0.05;
/// Drawn factors that a keeper can build or do differently, with what to do.
const DOING: [(&str, &str); 2] = [
    (
        "joint_gap_m",
        "close the joints of boxes, lid and floor: tape, a wrap, a strap (hive.joints)",
    ),
    (
        "syrup_uptake_per_h",
        "feed while days are warm (colony.feed)",
    ),
];
/// Honey below which a step does next to nothing, kg: what rounds to none.
const NONE_KG: f64 = 0.05;
/// Settings of a scenario that are never drawn.
const NOT_DRAWN: &str = "Walls, lid, floor, openings, wind, colour, feed and the days on which you change the hive are yours to choose, so they are not drawn and have \
                         no share above; the table does one thing at a time to the same colonies in the same winters. `overwinter sweep` runs them over any setting, as --set \
                         \"hive.entrance.width=20 mm..150 mm:3\", and `overwinter compare` holds whole hives against each other.";

/// What can be done about a factor.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Remedy {
    /// Nothing: it is the weather.
    Weather,
    /// It can be known better.
    Measure,
    /// It can be built or done differently.
    Do,
}

impl Remedy {
    pub(super) fn word(self) -> &'static str {
        match self {
            Self::Weather => "weather",
            Self::Measure => "measure",
            Self::Do => "do",
        }
    }
}

/// What can be done about a factor, and how, in words.
#[must_use]
pub fn remedy(factor: Factor) -> (Remedy, &'static str) {
    match factor {
        Factor::Winter => (
            Remedy::Weather,
            "no one's to choose; stores are the answer to it",
        ),
        Factor::Bees => (
            Remedy::Measure,
            "count the seams that the cluster covers on a day of about 5 °C, and say with colony.spread how sure you are",
        ),
        Factor::Stores => (
            Remedy::Measure,
            "weigh the hive rather than heft it, give its tare, and say with colony.stores_spread how sure you are",
        ),
        Factor::Shared => (
            Remedy::Measure,
            "all colonies share it, so more colonies do not narrow it; above stands what learning each part of it is worth",
        ),
        Factor::Parameter(_) => {
            let name = factor.name();
            if let Some((_, how)) = DOING.iter().find(|(doing, _)| *doing == name) {
                (Remedy::Do, how)
            } else if OWN.contains(&name) {
                (
                    Remedy::Measure,
                    "weights of a hive through a winter narrow it: `overwinter fit`",
                )
            } else {
                (
                    Remedy::Measure,
                    "not known for any colony: only measurements on bees can narrow it",
                )
            }
        }
    }
}

/// What to measure and what to do, by the larger part in need or risk.
pub(super) fn advice(found: &Sensitivity, units: System) -> [Vec<Block>; 2] {
    let part = |factor: &FactorInfluence| {
        let of = |influence: Option<Influence>| {
            let told = influence.filter(|i| i.indices.total_interval.0 > 0.0);
            told.map_or(0.0, |i| i.indices.total)
        };
        let risk = if found.risk_is_told() {
            of(factor.starved)
        } else {
            0.0
        };
        of(factor.need).max(risk)
    };
    let mut factors: Vec<_> = found
        .factors
        .iter()
        .filter(|f| part(f) >= WORTH_A_LINE)
        .collect();
    factors.sort_by(|a, b| part(b).total_cmp(&part(a)));
    let list = |asked: Remedy| {
        let lines = factors
            .iter()
            .filter(|f| remedy(f.factor).0 == asked)
            .map(|factor| {
                format!(
                    "{} ({}): {}",
                    // What a meaning says behind a semicolon is for those who set it.
                    factor
                        .factor
                        .meaning()
                        .split(';')
                        .next()
                        .unwrap_or_default(),
                    factor.factor.name(),
                    remedy(factor.factor).1
                )
            });
        let lines = lines
            .enumerate()
            .map(|(place, line)| Block::Paragraph(format!("{}. {line}", place + 1)));
        lines.collect::<Vec<_>>()
    };
    let mut measuring = vec![Block::Head(
        "What to measure better, the most telling first".to_owned(),
    )];
    measuring.extend(list(Remedy::Measure));
    if measuring.len() == 1 {
        measuring.push(Block::Paragraph(
            "Nothing of what is drawn has a part worth the work.".to_owned(),
        ));
    }
    let mut building = vec![Block::Head(
        "What to build or do differently, what saves most honey first".to_owned(),
    )];
    building.extend(steps(found, units));
    building.extend(list(Remedy::Do));
    building.push(Block::Paragraph(NOT_DRAWN.to_owned()));
    [measuring, building]
}

/// What each step changes, and how sure its direction is given what is not known about bees.
fn steps(found: &Sensitivity, units: System) -> [Block; 2] {
    let kg = |kg: f64| show(kg, Dimension::Mass, units, Round::Decimals(1));
    let points = |share: f64| signed(format!("{:.1} pt", 100.0 * share));
    let mut rows = table([
        "Step",
        "honey needed",
        "5-95 %",
        "direction",
        "starve",
        "95 % interval",
    ]);
    for effect in &found.steps {
        let (need, starved) = (&effect.need_kg, &effect.starved);
        let (low, high) = starved.widest();
        rows.add_row([
            effect.step.to_owned(),
            signed(kg(need.mean)),
            cell(need.shared.as_ref(), &kg),
            direction(need).to_owned(),
            points(starved.mean),
            format!("{} to {}", points(low), points(high)),
        ]);
    }
    [
        Block::Table(rows),
        Block::Paragraph(format!(
            "With the step less without, {} pairs of alike colonies. 5-95 %: {GIVEN}. Intervals of starving are of sampling. Wet is not weighed here: look at it with \
             `overwinter compare` before you close anything.",
            found.pairs
        )),
    ]
}

/// Which way a step goes, as far as bees are known and colonies tell.
fn direction(need_kg: &Difference) -> &'static str {
    let range = need_kg.shared.map(|shared| shared.range());
    match need_kg.verdict {
        _ if range.is_some_and(|(low, high)| low.abs().max(high.abs()) < NONE_KG) => "next to none",
        _ if need_kg.direction_is_uncertain() => "uncertain",
        Verdict::Same | Verdict::CannotTell => "no clear effect",
        Verdict::Less | Verdict::LessHere => "saves",
        Verdict::More | Verdict::MoreHere => "costs",
    }
}
