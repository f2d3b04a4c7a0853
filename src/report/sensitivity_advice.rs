//! What a keeper can do about the factors of a sensitivity: measure them, or build and do differently.

use super::table::paragraph;
use crate::ensemble::{Factor, FactorInfluence, Influence, Sensitivity};
use crate::fit::FITTED;
use serde::Serialize;

/// Total index from which a factor is worth a line of advice (own choice).
const WORTH_A_LINE: f64 = 0.05;
/// Drawn factors that a keeper can build or do differently, with what to do.
const DOING: [(&str, &str); 6] = [
    (
        "shelter_scale",
        "look how much wind reaches the hive, and give it a hedge or a wall of straw bales (site.shelter)",
    ),
    (
        "joint_gap_m",
        "close the joints of boxes, lid and floor: tape, a wrap, a strap (hive.joints)",
    ),
    (
        "loose_fill_scale",
        "keep loose fillings dry and of one known kind, or take boards of a stated conductivity (hive.lid)",
    ),
    (
        "vent_pressure_difference",
        "cork top openings or set them on the face of the entrance (hive.vents)",
    ),
    (
        "feed_loss",
        "feed early, or heavy syrup or fondant rather than thin syrup (colony.feed)",
    ),
    (
        "syrup_uptake_per_h",
        "feed while days are warm (colony.feed)",
    ),
];
/// Settings of a scenario that are never drawn.
const NOT_DRAWN: &str = "Walls, lid, floor, openings, colour, feed and the days on which you change the hive are yours to choose, so they are not drawn and have \
                         no share here. `overwinter sweep` runs the same colonies and winters over them, as --set \"hive.entrance.width=20 mm..150 mm:3\".";

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
        Factor::Parameter(_) => {
            let name = factor.name();
            if let Some((_, how)) = DOING.iter().find(|(doing, _)| *doing == name) {
                (Remedy::Do, how)
            } else if FITTED.contains(&name) {
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
pub(super) fn advice(found: &Sensitivity) -> String {
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
        let lines: Vec<String> = lines
            .enumerate()
            .map(|(place, line)| paragraph(&format!("{}. {line}", place + 1)))
            .collect();
        match lines.is_empty() {
            true => paragraph("Nothing of what is drawn has a part worth the work."),
            false => lines.join("\n"),
        }
    };
    format!(
        "What to measure better, the most telling first\n{}\n\nWhat to build or do differently\n{}\n{}",
        list(Remedy::Measure),
        list(Remedy::Do),
        paragraph(NOT_DRAWN)
    )
}
