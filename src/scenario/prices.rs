//! What hive, honey and colony cost, for comparisons: `[prices]`.

use super::error::{Problem, ScenarioError};
use super::field::Field;
use super::library::{self, Part};
use super::table::alike;
use crate::units::POUND_KG;

/// Winters that a hive lasts when the scenario does not say. Own estimate: painted wood and foam in common use.
pub const LASTS_WINTERS: f64 = 10.0;
const EXAMPLE: &str = "[prices] with hive = 140 and honey_per_kg = 8 below it";
/// Highest price, of any currency.
const MOST: f64 = 1e9;

/// Prices in any one currency; they change no result of a run.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PriceList {
    /// The scenario's hive.
    pub hive: Option<f64>,
    /// A kilogram of honey, or of the feed that stands for it.
    pub honey_per_kg: Option<f64>,
    /// A colony, when one that died must be replaced.
    pub colony: Option<f64>,
    /// Winters that a hive lasts.
    pub lasts_winters: Option<f64>,
    /// Hives of the library that take the scenario's place, by name.
    pub library: Vec<(&'static str, f64)>,
}

pub(super) fn prices(field: &Field<'_>) -> Result<PriceList, ScenarioError> {
    let keys = [
        "hive",
        "honey_per_kg",
        "honey_per_lb",
        "colony",
        "lasts_winters",
        "library",
    ];
    let table = field.table(&keys, EXAMPLE)?;
    let price = |key: &str| {
        let field = table.get(key);
        field
            .map(|field| field.number_within(0.0, MOST))
            .transpose()
    };
    let honey_per_kg = match (price("honey_per_kg")?, price("honey_per_lb")?) {
        (Some(_), Some(_)) => {
            return Err(field.error(Problem::OneOf {
                keys: vec!["honey_per_kg", "honey_per_lb"],
                found: vec!["honey_per_kg", "honey_per_lb"],
            }));
        }
        (per_kg, per_lb) => per_kg.or(per_lb.map(|price| price / POUND_KG)),
    };
    let lasts = table.get("lasts_winters");
    let lasts_winters = lasts.map(|lasts| lasts.number_within(1.0, 100.0));
    Ok(PriceList {
        hive: price("hive")?,
        honey_per_kg,
        colony: price("colony")?,
        lasts_winters: lasts_winters.transpose()?,
        library: table
            .get("library")
            .map(|field| of_library(&field))
            .transpose()?
            .unwrap_or_default(),
    })
}

fn of_library(field: &Field<'_>) -> Result<Vec<(&'static str, f64)>, ScenarioError> {
    let names = library::names(Part::Hive);
    let entries = field.open_table("{ foam-two-boxes = 190 }")?.entries();
    let priced = entries.into_iter().map(|(name, price)| {
        let Some(known) = names.iter().find(|known| **known == name) else {
            return Err(price.error(Problem::UnknownKey {
                nearest: alike(name, names.iter().copied()).first().copied(),
                allowed: names.clone(),
            }));
        };
        Ok((*known, price.number_within(0.0, MOST)?))
    });
    priced.collect()
}
