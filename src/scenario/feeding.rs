//! Where honey stands at the start, and what a colony is fed: `stores_by_box`, `[[colony.feed]]` and their like.

use super::error::{Problem, ScenarioError};
use super::field::Field;
use super::season::{Season, day};
use super::table::Table;
use crate::colony::feeding::{MOST_FEEDS, syrup_kg_m3};
use crate::colony::{Feed, FeedKind, Placement};
use crate::hive::Hive;
use crate::units::{Dimension, parse};

const EXAMPLE: &str = "[[colony.feed]] with, below it, on = \"1 February\" and fondant = \"2 kg\"";
/// Two to one by mass.
const STRENGTH: (f64, f64) = (2.0, 1.0);
/// Least and most sugar for a kilogram of water: thinner is drink, thicker does not dissolve.
const SUGAR_TO_WATER: (f64, f64) = (0.4, 3.0);
const STRENGTHS: &str = "sugar to water by weight, 0.4 to 3 of sugar to 1 of water, as \"2:1\"";

pub(super) fn placement(table: &Table<'_>, hive: &Hive) -> Result<Placement, ScenarioError> {
    let boxes = hive.cavity.boxes;
    let shares = |key, count: u32, of: &str| {
        let Some(field) = table.get(key) else {
            return Ok(Vec::new());
        };
        let list = field.list("[1, 4]")?;
        if list.len() != count as usize {
            return Err(field.error(Problem::Together(format!(
                "{} has {} numbers, and the hive has {count} {of}; give one for each, in proportion to its honey",
                field.written(),
                list.len()
            ))));
        }
        let numbers = list.iter().map(|share| share.number_within(0.0, 1e6));
        let numbers = numbers.collect::<Result<Vec<f64>, _>>()?;
        if numbers.iter().sum::<f64>() > 0.0 {
            return Ok(numbers);
        }
        Err(field.error(Problem::Together(
            "holds no honey; at least one number must be above 0".to_owned(),
        )))
    };
    let cluster_box = table.get("cluster_box");
    let cluster_box = cluster_box.map(|field| field.whole(1, u64::from(boxes)));
    let cluster_seam = table.get("cluster_seam");
    let cluster_seam = cluster_seam.map(|field| field.number_within(1.0, f64::from(hive.frames)));
    Ok(Placement {
        boxes: shares("stores_by_box", boxes, "boxes")?,
        seams: shares("stores_by_seam", hive.frames, "seams, as many as frames")?,
        cluster_box: cluster_box.transpose()?.map(|number| number as u32 - 1),
        // The first seam is the one between half a seam and one and a half.
        cluster_seam: cluster_seam.transpose()?.map(|number| number - 0.5),
    })
}

pub(super) fn feeds(table: &Table<'_>, season: &Season) -> Result<Vec<Feed>, ScenarioError> {
    let Some(field) = table.get("feed") else {
        return Ok(Vec::new());
    };
    let list = field.one_or_list(EXAMPLE)?;
    if list.len() > MOST_FEEDS {
        return Err(field.error(Problem::Together(format!(
            "{} feeds are more than the {MOST_FEEDS} that a winter may have",
            list.len()
        ))));
    }
    list.iter().map(|field| feed(field, season)).collect()
}

fn feed(field: &Field<'_>, season: &Season) -> Result<Feed, ScenarioError> {
    let keys = ["on", "fondant", "sugar", "syrup", "strength"];
    let table = field.table(&keys, EXAMPLE)?;
    let on_field = table.require("on", "on = \"1 February\"")?;
    let on = day(&on_field)?;
    if !season.holds(on) {
        return Err(on_field.not_allowed(format!(
            "a day of the winter, {} to the day before {}",
            season.start, season.first_forage
        )));
    }
    let (key, amount) = table.one_of(&["fondant", "sugar", "syrup"])?;
    let strength = table.get("strength");
    if let (Some(strength), true) = (&strength, key != "syrup") {
        return Err(strength.error(Problem::Together(format!(
            "is of syrup, and this feed is {key}; take it out"
        ))));
    }
    let kind = match key {
        "fondant" => FeedKind::Fondant,
        "sugar" => FeedKind::Sugar,
        _ => FeedKind::Syrup {
            sugar_share: sugar_share(strength.as_ref())?,
        },
    };
    Ok(Feed {
        on: (on.month, on.day),
        kind,
        kg: amount_kg(&amount, kind)?,
    })
}

/// A mass; of syrup also a volume.
fn amount_kg(field: &Field<'_>, kind: FeedKind) -> Result<f64, ScenarioError> {
    if let FeedKind::Syrup { sugar_share } = kind {
        let text = field.text("\"10 kg\"")?;
        if parse(text, Dimension::Volume).is_ok() {
            let m3 = field.quantity(Dimension::Volume, "0.1 L", "50 L")?;
            return Ok(m3 * syrup_kg_m3(sugar_share));
        }
    }
    field.quantity(Dimension::Mass, "0.1 kg", "60 kg")
}

/// Of "2:1", sugar to water by mass.
fn sugar_share(field: Option<&Field<'_>>) -> Result<f64, ScenarioError> {
    let share = |(sugar, water): (f64, f64)| sugar / (sugar + water);
    let Some(field) = field else {
        return Ok(share(STRENGTH));
    };
    let text = field.text("\"2:1\"")?;
    let part = |text: &str| text.trim().parse::<f64>().ok().filter(|part| *part > 0.0);
    let parts = text.split_once(':');
    let parts = parts.and_then(|(sugar, water)| part(sugar).zip(part(water)));
    parts
        .filter(|(sugar, water)| (SUGAR_TO_WATER.0..=SUGAR_TO_WATER.1).contains(&(sugar / water)))
        .map(share)
        .ok_or_else(|| field.not_allowed(STRENGTHS))
}
