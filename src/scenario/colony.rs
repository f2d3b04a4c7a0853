//! The colony of a scenario and how far its size and stores are uncertain.

use super::error::{Problem, ScenarioError};
use super::feeding::{feeds, placement};
use super::field::Field;
use super::season::Season;
use super::table::Table;
use crate::colony::cluster::mass_from_seams_kg;
use crate::ensemble::ColonySpread;
use crate::hive::Hive;
use crate::parameter::Parameters;
use crate::units::{Dimension, parse};

/// Share by which a cluster that is counted in seams is less dense than a tight one. A cluster's volume falls by 55 % from 4 to
/// -23 degC (Severson & Erickson 1990); seams are counted in autumn at about 5 degC.
pub const LOOSER_WHEN_COUNTED: f64 = 0.55;
/// Spread of the number of bees when the scenario gives none, relative. Own estimate: colonies counted by eye.
pub const BEES_SPREAD: f64 = 0.15;
/// Spread of the stores when the scenario gives none, relative. Own estimate: a hive that was hefted or weighed.
pub const STORES_SPREAD: f64 = 0.05;
/// Most honey for the space inside the boxes, kg/m3. Combs fill near two thirds of it: own estimate, rounded up.
const MOST_HONEY_KG_M3: f64 = 1_000.0;
/// Fewest and most bees of a colony.
pub const BEES: (f64, f64) = (500.0, 100_000.0);

/// Keys of `[colony]`.
pub(super) const KEYS: [&str; 11] = [
    "bees",
    "mass",
    "seams",
    "spread",
    "stores",
    "stores_spread",
    "stores_by_box",
    "stores_by_seam",
    "cluster_box",
    "cluster_seam",
    "feed",
];

pub(super) fn colony(
    field: &Field<'_>,
    hive: &Hive,
    season: &Season,
    parameters: &Parameters,
) -> Result<ColonySpread, ScenarioError> {
    let table = field.table(&KEYS, "[colony]")?;
    let bees = bees(&table, hive, parameters)?;
    let spread = table
        .get("spread")
        .map(|spread| spread.quantity(Dimension::Fraction, "0 %", "50 %"));
    let stores = table.require("stores", "stores = \"25 kg\"")?;
    let stores_kg = stores.quantity(Dimension::Mass, "0.1 kg", "200 kg")?;
    let most_kg = most_honey_kg(hive);
    if stores_kg > most_kg {
        return Err(stores.error(Problem::Together(format!(
            "{} of honey do not fit into this hive: its boxes hold {most_kg:.0} kg at the very most",
            stores.written()
        ))));
    }
    let placement = placement(&table, hive)?;
    let fullest = fullest_box(&placement.boxes) * stores_kg;
    let box_kg = most_kg / f64::from(hive.cavity.boxes);
    if let (Some(by_box), true) = (table.get("stores_by_box"), fullest > box_kg) {
        return Err(by_box.error(Problem::Together(format!(
            "puts {fullest:.0} kg of honey into one box, which holds {box_kg:.0} kg at the very most"
        ))));
    }
    let feeds = feeds(&table, season)?;
    let fed_kg: f64 = feeds.iter().map(|feed| feed.offered_kg(parameters)).sum();
    if let (Some(feed), true) = (table.get("feed"), stores_kg + fed_kg > most_kg) {
        return Err(feed.error(Problem::Together(format!(
            "makes {fed_kg:.0} kg of stores, which with {} do not fit into this hive: its boxes hold {most_kg:.0} kg at the very most",
            stores.written()
        ))));
    }
    Ok(ColonySpread {
        bees,
        bees_spread: spread.transpose()?.unwrap_or(BEES_SPREAD),
        stores_kg,
        stores_spread_kg: stores_spread_kg(&table, stores_kg)?,
        placement,
        feeds,
    })
}

/// Share of the honey in the box that has most of it; 0 where no box is named.
fn fullest_box(boxes: &[f64]) -> f64 {
    let sum: f64 = boxes.iter().sum();
    boxes
        .iter()
        .fold(0.0, |most, of_box| f64::max(most, of_box / sum))
}

/// Honey that does not fit into a hive's boxes by far, kg.
#[must_use]
pub fn most_honey_kg(hive: &Hive) -> f64 {
    MOST_HONEY_KG_M3 * hive.cavity.plan_m2() * hive.cavity.height_m()
}

fn bees(table: &Table<'_>, hive: &Hive, parameters: &Parameters) -> Result<f64, ScenarioError> {
    let (key, size) = table.one_of(&["bees", "mass", "seams"])?;
    let bee_mass_kg = parameters.bee_mass_kg;
    let bees = match key {
        "bees" => return size.number_within(BEES.0, BEES.1),
        "mass" => size.quantity(Dimension::Mass, "0.05 kg", "15 kg")? / bee_mass_kg,
        _ => {
            // One seam more than frames: there are seams beside the outer combs.
            let seams = size.number_within(1.0, f64::from(hive.frames + 1))?;
            bees_in_seams(seams, hive, parameters)
        }
    };
    if (BEES.0..=BEES.1).contains(&bees) {
        return Ok(bees);
    }
    Err(size.not_allowed(format!(
        "a size that makes {} to {} bees, this makes {bees:.0}",
        BEES.0, BEES.1
    )))
}

/// Bees of a cluster that covers so many seams on a day of about 5 degC.
#[must_use]
pub fn bees_in_seams(seams: f64, hive: &Hive, parameters: &Parameters) -> f64 {
    let density_kg_m3 = parameters.tight_density_kg_m3 * (1.0 - LOOSER_WHEN_COUNTED);
    mass_from_seams_kg(seams, hive.comb_pitch_m, density_kg_m3) / parameters.bee_mass_kg
}

/// A mass, or a share of the stores.
fn stores_spread_kg(table: &Table<'_>, stores_kg: f64) -> Result<f64, ScenarioError> {
    let Some(field) = table.get("stores_spread") else {
        return Ok(STORES_SPREAD * stores_kg);
    };
    let share = field
        .text("\"2 kg\"")
        .is_ok_and(|text| parse(text, Dimension::Fraction).is_ok());
    let spread_kg = if share {
        stores_kg * field.quantity(Dimension::Fraction, "0 %", "50 %")?
    } else {
        field.quantity(Dimension::Mass, "0 kg", "100 kg")?
    };
    if spread_kg <= 0.5 * stores_kg {
        return Ok(spread_kg);
    }
    Err(field.not_allowed("0 to half of the stores"))
}
