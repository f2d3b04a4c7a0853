//! Layers of walls, lids, floors and boards, and the materials that a scenario adds.

use std::borrow::Cow;

use super::error::{Problem, ScenarioError};
use super::field::Field;
use super::library::{self, Part};
use crate::hive::{Floor, Framing, Layer, ScreenState};
use crate::material::{Catalogue, Material, MaterialError};
use crate::units::{self, Dimension, QuantityError};

const NAME: &str = "name = \"hemp-mat\"";
const LAYER: &str = "\"19 mm softwood\" or { material = \"softwood\", thickness = \"19 mm\" }";
const LAYERS: &str = "[\"19 mm softwood\", \"38 mm xps\"]";
const THINNEST: &str = "0.1 mm";
const THICKEST: &str = "1 m";

/// Free share of a floor mesh when the scenario gives none. Own estimate: hardware cloth of 8 wires an inch, wire 0.7 mm
/// thick, has `((3.175 - 0.7) / 3.175)^2` = 61 %.
pub const MESH_FREE_SHARE: f64 = 0.6;

/// The materials of the table and those of `[[material]]`.
pub(super) fn materials(field: Option<&Field<'_>>) -> Result<Catalogue, ScenarioError> {
    let mut defined = Vec::new();
    for field in field
        .map(|field| field.one_or_list("[[material]]"))
        .transpose()?
        .unwrap_or_default()
    {
        defined.push(material(&field)?);
        // Checked one by one, so that a name taken is refused at its line.
        let name = field.open_table("[[material]]")?.require("name", NAME)?;
        Catalogue::with(defined.clone()).map_err(|e| name.error(e.into()))?;
    }
    Ok(Catalogue::with(defined).unwrap_or_default())
}

fn material(field: &Field<'_>) -> Result<Material, ScenarioError> {
    let keys = [
        "name",
        "title",
        "conductivity",
        "density",
        "specific_heat",
        "vapour_factor",
        "sorption",
        "source",
        "note",
    ];
    let table = field.table(&keys, "[[material]]")?;
    let name = table.require("name", NAME)?;
    let conductivity = table.require("conductivity", "conductivity = \"0.042 W/mK\"")?;
    let density = table.require("density", "density = \"40 kg/m3\"")?;
    let heat = table.require("specific_heat", "specific_heat = \"1700 J/kgK\"")?;
    let vapour = table
        .get("vapour_factor")
        .map(|factor| factor.number("2.0"))
        .transpose()?;
    let material = Material::defined(
        name.text("\"hemp-mat\"")?,
        conductivity.any_quantity(Dimension::Conductivity)?,
        density.any_quantity(Dimension::Density)?,
        heat.any_quantity(Dimension::SpecificHeat)?,
        vapour,
    );
    let mut material = material.map_err(|e| {
        let key = match &e {
            MaterialError::Limits { field, .. } => field.trim_end_matches("_dry"),
            _ => "name",
        };
        table.get(key).map_or_else(
            || table.error(e.clone().into()),
            |field| field.error(e.clone().into()),
        )
    })?;
    if let Some(sorption) = table.get("sorption") {
        material.sorption = sorption.number_within(0.0, 2.0)?;
    }
    let words = |key| {
        table
            .get(key)
            .map(|words| words.text("\"Hemp mat\"").map(str::to_owned))
            .transpose()
    };
    for (key, place) in [
        ("title", &mut material.title),
        ("source", &mut material.source),
        ("note", &mut material.note),
    ] {
        if let Some(words) = words(key)? {
            *place = Cow::Owned(words);
        }
    }
    Ok(material)
}

/// Layers from inside to outside, at least one.
pub(super) fn layers(
    field: &Field<'_>,
    catalogue: &Catalogue,
) -> Result<Vec<Layer>, ScenarioError> {
    let list = field.one_or_list(LAYERS)?;
    if list.is_empty() {
        return Err(field.not_allowed(format!("at least one layer, from the inside out: {LAYERS}")));
    }
    list.iter().map(|field| layer(field, catalogue)).collect()
}

/// `{ material = "softwood", thickness = "19 mm" }` with or without framing, or in short "19 mm softwood".
fn layer(field: &Field<'_>, catalogue: &Catalogue) -> Result<Layer, ScenarioError> {
    if field.is_text() {
        return layer_in_short(field, catalogue);
    }
    let table = field.table(&["material", "thickness", "framing"], LAYER)?;
    let framing = table
        .get("framing")
        .map(|field| framing(&field, catalogue))
        .transpose()?;
    Ok(Layer {
        material: named(
            &table.require("material", "material = \"softwood\"")?,
            catalogue,
        )?,
        thickness_m: table
            .require("thickness", "thickness = \"19 mm\"")?
            .quantity(Dimension::Length, THINNEST, THICKEST)?,
        framing,
    })
}

fn layer_in_short(field: &Field<'_>, catalogue: &Catalogue) -> Result<Layer, ScenarioError> {
    let text = field.text(LAYER)?;
    if units::parse(text, Dimension::Length).is_ok() {
        return Err(field.not_allowed("the material too, as \"19 mm softwood\""));
    }
    let Some((length, name)) = thickness_and_material(text) else {
        let why = of_another_dimension(text).or(units::parse(text, Dimension::Length).err());
        return Err(field.error(why.map_or(Problem::Missing { example: LAYER }, Problem::Quantity)));
    };
    let material = catalogue.find(name).map_err(|e| field.error(e.into()))?;
    Ok(Layer::new(
        material.clone(),
        field.quantity_in(length, Dimension::Length, THINNEST, THICKEST)?,
    ))
}

/// A layer in short taken apart. The thickness is the longest beginning that is a length: "1 1/2 in", not "1".
pub(super) fn thickness_and_material(text: &str) -> Option<(&str, &str)> {
    let blanks = text.char_indices().rev().filter(|(_, c)| c.is_whitespace());
    blanks
        .map(|(at, blank)| (&text[..at], &text[at + blank.len_utf8()..]))
        .find(|(length, _)| units::parse(length, Dimension::Length).is_ok())
}

/// That a layer in short begins with a quantity which is no length, as "19 kg softwood".
fn of_another_dimension(text: &str) -> Option<QuantityError> {
    text.char_indices()
        .filter(|(_, c)| c.is_whitespace())
        .filter_map(|(at, _)| units::parse(&text[..at], Dimension::Length).err())
        .find(|error| matches!(error, QuantityError::OtherDimension { .. }))
}

fn framing(field: &Field<'_>, catalogue: &Catalogue) -> Result<Framing, ScenarioError> {
    let table = field.table(
        &["material", "share"],
        "{ material = \"softwood\", share = \"15 %\" }",
    )?;
    Ok(Framing {
        material: named(
            &table.require("material", "material = \"softwood\"")?,
            catalogue,
        )?,
        share: table.require("share", "share = \"15 %\"")?.quantity(
            Dimension::Fraction,
            "0 %",
            "90 %",
        )?,
    })
}

fn named(field: &Field<'_>, catalogue: &Catalogue) -> Result<Material, ScenarioError> {
    let found = catalogue.find(field.text("\"softwood\"")?);
    found.cloned().map_err(|e| field.error(e.into()))
}

/// How much of a screen a board covers.
#[derive(Clone, Copy)]
enum Cover {
    None,
    Half,
    Whole,
}

/// The layers of a lid, or those of one of the library by its name.
pub(super) fn lid(field: &Field<'_>, catalogue: &Catalogue) -> Result<Vec<Layer>, ScenarioError> {
    layers(&of_library(Part::Lid, field)?, catalogue)
}

/// What the library has under the name that `field` gives, or `field` itself where it is no name: a layer begins with a number.
fn of_library<'a>(part: Part, field: &Field<'a>) -> Result<Field<'a>, ScenarioError> {
    let text = field.value.as_str().unwrap_or_default();
    if !text.trim_start().starts_with(char::is_alphabetic) {
        return Ok(field.clone());
    }
    let entry = library::find(part, field)?;
    entry.require(part.key(), LAYERS)
}

/// A list of layers is a solid floor; a table is a screened one; a name is one of the library.
pub(super) fn floor(field: &Field<'_>, catalogue: &Catalogue) -> Result<Floor, ScenarioError> {
    let field = &of_library(Part::Floor, field)?;
    if !field.is_table()
        || !field
            .open_table("")?
            .entries()
            .iter()
            .any(|(key, _)| is_of_screen(key))
    {
        return Ok(Floor::Solid(layers(field, catalogue)?));
    }
    let example =
        "{ screened = \"closed\", board = [{ material = \"plywood\", thickness = \"6 mm\" }] }";
    let table = field.table(&["screened", "free_share", "board"], example)?;
    let screened = table.require("screened", "screened = \"closed\"")?;
    let cover = screened.choice(&[
        ("open", Cover::None),
        ("half", Cover::Half),
        ("closed", Cover::Whole),
    ])?;
    let board = || {
        let board = table.require(
            "board",
            "board = [{ material = \"plywood\", thickness = \"6 mm\" }]",
        )?;
        layers(&board, catalogue)
    };
    let state = match (cover, table.get("board")) {
        (Cover::None, None) => ScreenState::Open,
        (Cover::None, Some(board)) => {
            return Err(board.error(Problem::Together(
                "an open screen has no board; leave the board out, or write screened = \"half\" or \"closed\"".to_owned(),
            )));
        }
        (Cover::Half, _) => ScreenState::Half(board()?),
        (Cover::Whole, _) => ScreenState::Closed(board()?),
    };
    let free_share = table
        .get("free_share")
        .map(|share| share.quantity(Dimension::Fraction, "5 %", "95 %"))
        .transpose()?;
    Ok(Floor::Screened {
        free_share: free_share.unwrap_or(MESH_FREE_SHARE),
        state,
    })
}

fn is_of_screen(key: &str) -> bool {
    matches!(key, "screened" | "free_share" | "board")
}
