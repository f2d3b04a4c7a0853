//! The hive of a scenario.

use super::error::{Problem, ScenarioError};
use super::field::Field;
use super::layer::{floor, layers, lid};
use super::library::{self, Part};
use super::site::degrees;
use super::table::Table;
use crate::hive::film::EMISSIVITY;
use crate::hive::{Cavity, FINISHES, Finish, Hive, Joints, Opening, Side, Vent};
use crate::material::Catalogue;
use crate::units::Dimension;

/// Distance from comb to comb when the scenario gives none, m: self-spacing frames. Common practice.
pub const COMB_PITCH_M: f64 = 0.035;
/// Space beside the outer frames, both sides together, m: ten frames make the usual 375 mm inside width. Common practice.
pub const SIDE_SPACE_M: f64 = 0.025;
/// Inside length of the usual ten-frame box, m. Common practice.
pub const BOX_LENGTH_M: f64 = 0.465;
/// Height of the usual deep ten-frame box, m. Common practice.
pub const BOX_HEIGHT_M: f64 = 0.244;

#[rustfmt::skip]
const COMPASS: [(&str, f64); 20] = [
    ("north", 0.0), ("northeast", 45.0), ("east", 90.0), ("southeast", 135.0),
    ("south", 180.0), ("southwest", 225.0), ("west", 270.0), ("northwest", 315.0),
    ("north-east", 45.0), ("south-east", 135.0), ("south-west", 225.0), ("north-west", 315.0),
    ("n", 0.0), ("ne", 45.0), ("e", 90.0), ("se", 135.0), ("s", 180.0), ("sw", 225.0), ("w", 270.0), ("nw", 315.0),
];
/// Sides that can touch another hive; the front has the entrance.
const SHARED: [(&str, Side); 3] = [
    ("left", Side::Left),
    ("right", Side::Right),
    ("back", Side::Back),
];

/// Sides that something can stand close before.
const SHADED: [(&str, Side); 4] = [
    ("left", Side::Left),
    ("right", Side::Right),
    ("back", Side::Back),
    ("front", Side::Front),
];
/// How joints are closed.
const JOINTS: [(&str, Joints); 3] = [
    ("propolised", Joints::Propolised),
    ("tight", Joints::Tight),
    ("loose", Joints::Loose),
];
/// Colour of sides and lid when the scenario gives none.
const COLOUR: &str = "bare-wood";

/// Keys of `[hive]`.
pub(super) const KEYS: [&str; 20] = [
    "from",
    "name",
    "boxes",
    "frames",
    "comb_pitch",
    "cavity",
    "wall",
    "lid",
    "floor",
    "entrance",
    "upper_entrance",
    "vents",
    "joints",
    "faces",
    "shared_sides",
    "shaded_sides",
    "colour",
    "lid_colour",
    "tare",
    "change",
];

pub(super) fn hive(
    field: &Field<'_>,
    catalogue: &Catalogue,
    default_name: &str,
) -> Result<Hive, ScenarioError> {
    let mut table = field.table(&KEYS, "[hive]")?;
    let from = table.own("from");
    if let Some(from) = &from {
        table.base = Some(Box::new(library::find(Part::Hive, from)?));
    }
    let name = table.own("name").or(from);
    let name = name.map(|name| name.text("\"oak hive\"")).transpose()?;
    let pitch = table
        .get("comb_pitch")
        .map(|pitch| pitch.quantity(Dimension::Length, "25 mm", "60 mm"));
    let comb_pitch_m = pitch.transpose()?.unwrap_or(COMB_PITCH_M);
    let boxes = whole_u32(&table.require("boxes", "boxes = 2")?, 1, 10)?;
    let frames_field = table.require("frames", "frames = 10")?;
    let frames = whole_u32(&frames_field, 1, 40)?;
    let cavity = cavity(table.get("cavity").as_ref(), boxes, frames, comb_pitch_m)?;
    if f64::from(frames) * comb_pitch_m > cavity.width_m {
        // Of what the library gave one part and the keeper the other, the keeper's is the place to change.
        let own = ["frames", "cavity", "comb_pitch"];
        let place = own.iter().find_map(|key| table.own(key));
        return Err(place.unwrap_or(frames_field).error(Problem::Together(format!(
            "{frames} frames at {:.0} mm from comb to comb need {:.0} mm; the cavity is {:.0} mm wide",
            1e3 * comb_pitch_m,
            1e3 * comb_pitch_m * f64::from(frames),
            1e3 * cavity.width_m
        ))));
    }
    let hive = Hive {
        name: name.unwrap_or(default_name).to_owned(),
        cavity,
        frames,
        comb_pitch_m,
        faces_deg: table
            .get("faces")
            .map(|faces| direction(&faces))
            .transpose()?
            .unwrap_or(180.0),
        wall: layers(
            &table.require(
                "wall",
                "wall = [{ material = \"softwood\", thickness = \"19 mm\" }]",
            )?,
            catalogue,
        )?,
        lid: lid(
            &table.require(
                "lid",
                "lid = [{ material = \"softwood\", thickness = \"19 mm\" }]",
            )?,
            catalogue,
        )?,
        floor: floor(
            &table.require(
                "floor",
                "floor = [{ material = \"softwood\", thickness = \"19 mm\" }]",
            )?,
            catalogue,
        )?,
        entrances: entrances(&table)?,
        upper_entrances: upper_entrances(&table)?,
        vents: vents(&table)?,
        joints: table
            .get("joints")
            .map(|joints| joints.choice(&JOINTS))
            .transpose()?
            .unwrap_or_default(),
        shared_sides: sides(&table, "shared_sides", &SHARED)?,
        shaded_sides: sides(&table, "shaded_sides", &SHADED)?,
        side_finish: finish(&table, "colour")?,
        lid_finish: finish(&table, "lid_colour")?,
        tare_kg: table
            .get("tare")
            .map(|tare| tare.quantity(Dimension::Mass, "2 kg", "200 kg"))
            .transpose()?,
        // Read apart: they need the season and the hive without them.
        changes: Vec::new(),
    };
    hive.validate().map_err(|e| field.error(e.into()))?;
    Ok(hive)
}

/// A colour by name, or the share of the sun's radiation that it absorbs.
pub(super) fn finish(table: &Table<'_>, key: &str) -> Result<Finish, ScenarioError> {
    let Some(field) = table.get(key) else {
        let bare = FINISHES.iter().find(|(name, _)| *name == COLOUR);
        return Ok(bare.map_or(FINISHES[0].1, |(_, finish)| *finish));
    };
    if field.is_number() {
        return Ok(Finish {
            absorptance: field.number_within(0.0, 1.0)?,
            emissivity: EMISSIVITY,
        });
    }
    field.choice(&FINISHES)
}

fn whole_u32(field: &Field<'_>, low: u32, high: u32) -> Result<u32, ScenarioError> {
    let value = field.whole(low.into(), high.into())?;
    u32::try_from(value).map_err(|_| field.not_allowed(format!("{low} to {high}")))
}

fn cavity(
    field: Option<&Field<'_>>,
    boxes: u32,
    frames: u32,
    pitch_m: f64,
) -> Result<Cavity, ScenarioError> {
    let Some(field) = field else {
        return Ok(Cavity {
            width_m: f64::from(frames) * pitch_m + SIDE_SPACE_M,
            length_m: BOX_LENGTH_M,
            box_height_m: BOX_HEIGHT_M,
            boxes,
        });
    };
    let example = "{ width = \"375 mm\", length = \"465 mm\", box_height = \"244 mm\" }";
    let table = field.table(&["width", "length", "box_height"], example)?;
    let size = |key, example| {
        table
            .require(key, example)?
            .quantity(Dimension::Length, "50 mm", "2 m")
    };
    Ok(Cavity {
        width_m: size("width", "width = \"375 mm\"")?,
        length_m: size("length", "length = \"465 mm\"")?,
        box_height_m: size("box_height", "box_height = \"244 mm\"")?,
        boxes,
    })
}

fn direction(field: &Field<'_>) -> Result<f64, ScenarioError> {
    let in_words = !field.is_number()
        && !field
            .text("\"south\"")?
            .starts_with(|c: char| c.is_ascii_digit() || c == '-');
    if in_words {
        return field.choice(&COMPASS);
    }
    let faces_deg = degrees(field)?;
    if (0.0..=360.0).contains(&faces_deg) {
        return Ok(faces_deg);
    }
    Err(field.not_allowed("0 to 360 degrees clockwise from north, or a word such as \"south\""))
}

/// Entrances at the floor; they may be left out where there is an upper one.
pub(super) fn entrances(table: &Table<'_>) -> Result<Vec<Opening>, ScenarioError> {
    let upper = !upper_entrances(table)?.is_empty();
    if upper && table.get("entrance").is_none() {
        return Ok(Vec::new());
    }
    let entrance = table.require(
        "entrance",
        "entrance = { width = \"150 mm\", height = \"10 mm\" }",
    )?;
    let entrances = openings(&entrance)?;
    if entrances.is_empty() && !upper {
        return Err(entrance
            .not_allowed("at least one entrance, as { width = \"150 mm\", height = \"10 mm\" }, here or as upper_entrance"));
    }
    Ok(entrances)
}

fn upper_entrances(table: &Table<'_>) -> Result<Vec<Opening>, ScenarioError> {
    let entrances = table.get("upper_entrance").map(|field| openings(&field));
    Ok(entrances.transpose()?.unwrap_or_default())
}

fn openings(field: &Field<'_>) -> Result<Vec<Opening>, ScenarioError> {
    let example = "{ width = \"150 mm\", height = \"10 mm\" }";
    field
        .one_or_list(example)?
        .iter()
        .map(|field| opening(&field.table(&["width", "height", "diameter"], example)?))
        .collect()
}

pub(super) fn vents(table: &Table<'_>) -> Result<Vec<Vent>, ScenarioError> {
    let example = "[{ diameter = \"20 mm\", corked = true }]";
    let list = table
        .get("vents")
        .map(|field| field.one_or_list(example))
        .transpose()?
        .unwrap_or_default();
    let vent = |field: &Field<'_>| {
        let keys = ["width", "height", "diameter", "corked"];
        let table = field.table(&keys, "{ diameter = \"20 mm\", corked = true }")?;
        Ok(Vent {
            opening: opening(&table)?,
            corked: table
                .get("corked")
                .map(|corked| corked.boolean())
                .transpose()?
                .unwrap_or(false),
        })
    };
    list.iter().map(vent).collect()
}

/// Width and height, or a diameter: a round hole counts as a slot of its height and area.
fn opening(table: &Table<'_>) -> Result<Opening, ScenarioError> {
    let (key, size) = table.one_of(&["width", "diameter"])?;
    if key == "width" {
        return Ok(Opening {
            width_m: size.quantity(Dimension::Length, "1 mm", "2 m")?,
            height_m: table.require("height", "height = \"10 mm\"")?.quantity(
                Dimension::Length,
                "1 mm",
                "0.5 m",
            )?,
        });
    }
    if let Some(height) = table.get("height") {
        return Err(height.error(Problem::Together(
            "a round hole has a diameter and no height".to_owned(),
        )));
    }
    let diameter_m = size.quantity(Dimension::Length, "1 mm", "0.5 m")?;
    Ok(Opening {
        width_m: std::f64::consts::FRAC_PI_4 * diameter_m,
        height_m: diameter_m,
    })
}

fn sides(
    table: &Table<'_>,
    key: &str,
    choices: &[(&'static str, Side)],
) -> Result<Vec<Side>, ScenarioError> {
    let mut sides = Vec::new();
    for field in table
        .get(key)
        .map(|field| field.list("[\"left\"]"))
        .transpose()?
        .unwrap_or_default()
    {
        let side = field.choice(choices)?;
        if sides.contains(&side) {
            return Err(field.error(Problem::Together(format!(
                "{} is given twice",
                field.written()
            ))));
        }
        sides.push(side);
    }
    sides.sort();
    Ok(sides)
}
