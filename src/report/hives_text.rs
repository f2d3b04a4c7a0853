//! The library of hives, lids and floors for a terminal, and as rows for JSON.

use super::table::{Rows, lines, table};
use crate::hive::Hive;
use crate::hive::heatloss::{HeatLoss, Pair};
use crate::parameter::Parameters;
use crate::scenario::{LibraryEntry, Part, ScenarioError, library, parse_hive};
use crate::units::{Dimension, Round, System, in_system, show};
use serde::Serialize;
use std::path::Path;

/// Conditions of the listing: still air, so that builds and not sites are compared.
pub const PAIR: Pair = Pair {
    inside_c: 10.0,
    outside_c: -10.0,
    wind_m_s: 0.0,
};

/// The hive that lids and floors are listed on.
const CARRIER: &str = "thin-softwood-two-boxes";

/// The library with its conductances, as JSON has it, in SI units.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Listing {
    /// Conditions of all conductances.
    pub pair: Pair,
    /// Whole hives.
    pub hives: Vec<HiveRow>,
    /// Hive that lids and floors are on.
    pub carrier: &'static str,
    /// Lids.
    pub lids: Vec<PartRow>,
    /// Floors.
    pub floors: Vec<PartRow>,
}

/// A hive of the library.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct HiveRow {
    /// Name in scenarios.
    pub name: &'static str,
    /// What it is.
    pub title: &'static str,
    /// Space inside, m3.
    pub volume_m3: f64,
    /// Conductance of its surfaces, W/K.
    pub surfaces_w_k: f64,
    /// Conductance of its openings and joints, W/K.
    pub air_w_k: f64,
    /// Both, W/K.
    pub whole_w_k: f64,
}

/// A lid or floor of the library on the hive that carries it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PartRow {
    /// Name in scenarios.
    pub name: &'static str,
    /// What it is.
    pub title: &'static str,
    /// Resistance of its layers, m2K/W; none of open mesh.
    pub layers_m2k_w: Option<f64>,
    /// Conductance of its layers, W/K.
    pub surface_w_k: f64,
    /// Conductance of all openings and joints of the hive that carries it, W/K.
    pub air_w_k: f64,
}

impl Listing {
    /// The whole library.
    ///
    /// # Errors
    /// [`ScenarioError`], which a test of the library excludes.
    pub fn new() -> Result<Self, ScenarioError> {
        let library = library();
        let of = |part| library.iter().filter(move |entry| entry.part == part);
        let part = |name, surface: &'static str| {
            move |entry: &LibraryEntry| {
                let hive = taken(&format!("from = {CARRIER:?}\n{name} = {:?}", entry.name))?;
                let loss = HeatLoss::new(&hive, PAIR, &Parameters::default());
                let own = loss.surfaces.iter().find(|row| row.name == surface);
                Ok(PartRow {
                    name: entry.name,
                    title: entry.title,
                    layers_m2k_w: own.map(|own| own.layers_m2k_w),
                    surface_w_k: own.map_or(0.0, |own| own.conductance_w_k),
                    air_w_k: loss.air_w_k(),
                })
            }
        };
        Ok(Self {
            pair: PAIR,
            hives: of(Part::Hive).map(hive_row).collect::<Result<_, _>>()?,
            carrier: CARRIER,
            lids: of(Part::Lid)
                .map(part("lid", "lid"))
                .collect::<Result<_, _>>()?,
            floors: of(Part::Floor)
                .map(part("floor", "floor"))
                .collect::<Result<_, _>>()?,
        })
    }
}

fn hive_row(entry: &LibraryEntry) -> Result<HiveRow, ScenarioError> {
    let hive = taken(&format!("from = {:?}", entry.name))?;
    let loss = HeatLoss::new(&hive, PAIR, &Parameters::default());
    Ok(HiveRow {
        name: entry.name,
        title: entry.title,
        volume_m3: hive.cavity.plan_m2() * hive.cavity.height_m(),
        surfaces_w_k: loss.surfaces_w_k(),
        air_w_k: loss.air_w_k(),
        whole_w_k: loss.whole_w_k(),
    })
}

fn taken(keys: &str) -> Result<Hive, ScenarioError> {
    parse_hive(&format!("[hive]\n{keys}"), Path::new("the library"))
}

/// The listing as text.
#[must_use]
pub fn text(listing: &Listing, units: System) -> String {
    let number = |value, dimension, decimals: usize| {
        format!("{:.decimals$}", in_system(value, dimension, units).0)
    };
    let conductance = |value| number(value, Dimension::Conductance, 2);
    let unit = |dimension| in_system(1.0, dimension, units).1;
    let w_k = unit(Dimension::Conductance);

    let mut hives = table([
        "Hive",
        &format!("UA {w_k}"),
        "of surfaces",
        "of air",
        "what it is",
    ]);
    for row in &listing.hives {
        hives.add_row([
            row.name.to_owned(),
            conductance(row.whole_w_k),
            conductance(row.surfaces_w_k),
            conductance(row.air_w_k),
            row.title.to_owned(),
        ]);
    }
    let parts = |head: &str, rows: &[PartRow]| {
        let resistance = format!("layers R {}", unit(Dimension::Resistance));
        let mut parts = table([
            head,
            &resistance,
            &format!("UA {w_k}"),
            "air of the hive",
            "what it is",
        ]);
        for row in rows {
            let layers = row.layers_m2k_w;
            parts.add_row([
                row.name.to_owned(),
                layers.map_or_else(|| "-".to_owned(), |r| number(r, Dimension::Resistance, 2)),
                conductance(row.surface_w_k),
                conductance(row.air_w_k),
                row.title.to_owned(),
            ]);
        }
        words_last(parts)
    };
    let degrees = |c| show(c, Dimension::Temperature, units, Round::Usual);
    format!(
        "{}\n\n{}\n\n{}\n\n\
         {} inside, {} outside, still air; wind adds to it: see `overwinter heatloss --wind`. Lids and floors on {}.\n\
         Open mesh by the standard for airing rooms, which in still air lets through more than a mesh under warm air does.\n\
         In a scenario: [hive] with from = \"NAME\" and beside it whatever is yours, as boxes = 3, lid = \"NAME\", floor = \"NAME\".\n\
         `overwinter hives NAME` prints the lines that a name stands for.\n",
        words_last(hives),
        parts("Lid", &listing.lids),
        parts("Floor", &listing.floors),
        degrees(listing.pair.inside_c),
        degrees(listing.pair.outside_c),
        listing.carrier,
    )
}

/// The table with its last column, of words, to the left.
fn words_last(mut rows: Rows) -> String {
    rows.words_last = true;
    lines(&rows)
}
