//! A hive as its keeper describes it, in SI.

use super::parts::{Cavity, Finish, Floor, Joints, Layer, Opening, ScreenState, Side, Vent};
use super::schedule::{Alteration, Change, InForce, MOST_CHANGES};
use serde::Serialize;
use thiserror::Error;

/// Most boxes of a hive.
pub const MOST_BOXES: usize = 10;

/// A hive with its frames, layers and openings.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Hive {
    /// What its keeper calls it.
    #[serde(skip)]
    pub name: String,
    /// The space inside.
    pub cavity: Cavity,
    /// Frames across the width; so many combs, and seams between and beside them.
    pub frames: u32,
    /// Distance from comb to comb, m.
    pub comb_pitch_m: f64,
    /// Compass direction that the front faces, degrees clockwise from north.
    pub faces_deg: f64,
    /// Layers of the four sides, inside to outside.
    pub wall: Vec<Layer>,
    /// Layers of the lid with all that lies under it, inside to outside.
    pub lid: Vec<Layer>,
    /// The floor.
    pub floor: Floor,
    /// Openings at the level of the floor.
    pub entrances: Vec<Opening>,
    /// Entrances of the upper air, beside those at the floor or instead of them.
    pub upper_entrances: Vec<Opening>,
    /// Other openings of the upper air.
    pub vents: Vec<Vent>,
    /// How the joints between boxes, lid and floor are closed.
    pub joints: Joints,
    /// Sides that touch another wintering hive and so pass no heat.
    pub shared_sides: Vec<Side>,
    /// Sides that a hive, fence or wall stands close before: they see neither sun nor sky.
    pub shaded_sides: Vec<Side>,
    /// Outside of the sides.
    pub side_finish: Finish,
    /// Outside of the lid.
    pub lid_finish: Finish,
    /// What it weighs empty, with frames and empty comb and whatever else stands on the scale, before any of its changes, kg: as weighed; none
    /// to take the sum of its layers and frames.
    pub tare_kg: Option<f64>,
    /// What its keeper changes in the course of a winter, at most [`MOST_CHANGES`](super::MOST_CHANGES); later ones win over earlier.
    pub changes: Vec<Change>,
}

/// Why a description is no hive. Every field is named as in [`Hive`].
#[derive(Clone, Debug, Error, PartialEq)]
pub enum HiveError {
    /// A number outside what a hive can have.
    #[error("{field} is {value}; it must be {allowed}")]
    OutOfRange {
        /// Field.
        field: String,
        /// Its value, SI.
        value: f64,
        /// What is allowed.
        allowed: &'static str,
    },
    /// A surface without a layer.
    #[error("{field} has no layer; give at least one, from the inside out")]
    NoLayer {
        /// Surface.
        field: String,
    },
    /// A vented gap that lies open to the bees.
    #[error(
        "{field} begins with vented-air, which would open the hive to the outside; put a layer inside of it, or describe the opening as a vent"
    )]
    VentedInside {
        /// Surface.
        field: String,
    },
    /// A change that is none.
    #[error("{field} {problem}")]
    Change {
        /// Which, counted from 1.
        field: String,
        /// What is wrong with it and what is needed.
        problem: &'static str,
    },
}

impl HiveError {
    /// The same of a part of the hive: the field with the name of the part before it.
    pub(super) fn within(mut self, part: &str) -> Self {
        let (Self::OutOfRange { field, .. }
        | Self::NoLayer { field }
        | Self::VentedInside { field }
        | Self::Change { field, .. }) = &mut self;
        *field = format!("{part}: {field}");
        self
    }
}

impl Hive {
    /// Scales the conductivity of shavings, sawdust and straw in every layer, those of changes too.
    pub fn scale_loose_fill(&mut self, factor: f64) {
        let changes = self.changes.iter_mut();
        let changed = changes.flat_map(|change| change.what.surfaces_mut());
        let own = [&mut self.wall, &mut self.lid];
        let layers = own.into_iter().chain(self.floor.board_mut()).chain(changed);
        for layer in layers.flatten() {
            layer.scale_loose_fill(factor);
        }
    }

    /// Checks every number of the description, with and without its changes.
    ///
    /// # Errors
    /// The first [`HiveError`] found, from the cavity outward, changes last.
    pub fn validate(&self) -> Result<(), HiveError> {
        let c = &self.cavity;
        within("cavity.width", c.width_m, 0.05, 2.0, "0.05 to 2 m")?;
        within("cavity.length", c.length_m, 0.05, 2.0, "0.05 to 2 m")?;
        within(
            "cavity.height",
            c.box_height_m,
            0.05,
            2.0,
            "0.05 to 2 m a box",
        )?;
        let most = MOST_BOXES as f64;
        within("boxes", f64::from(c.boxes), 1.0, most, "1 to 10")?;
        within("frames", f64::from(self.frames), 1.0, 40.0, "1 to 40")?;
        within("comb_pitch", self.comb_pitch_m, 0.025, 0.06, "25 to 60 mm")?;
        within("faces", self.faces_deg, 0.0, 360.0, "0 to 360 degrees")?;
        layers("wall", &self.wall)?;
        layers("lid", &self.lid)?;
        match &self.floor {
            Floor::Solid(floor) => layers("floor", floor)?,
            Floor::Screened { free_share, state } => {
                within("floor.free_share", *free_share, 0.05, 0.95, "0.05 to 0.95")?;
                match state {
                    ScreenState::Open => {}
                    ScreenState::Half(board) | ScreenState::Closed(board) => {
                        layers("floor.board", board)?;
                    }
                }
            }
        }
        for (field, finish) in [
            ("colour", self.side_finish),
            ("lid_colour", self.lid_finish),
        ] {
            within(field, finish.absorptance, 0.0, 1.0, "0 to 1")?;
            within(field, finish.emissivity, 0.05, 1.0, "0.05 to 1")?;
        }
        let vents = self.vents.iter().map(|vent| ("vent", &vent.opening));
        let entrances = self.entrances.iter().map(|opening| ("entrance", opening));
        let upper = self.upper_entrances.iter();
        let upper = upper.map(|opening| ("upper_entrance", opening));
        for (field, opening) in entrances.chain(upper).chain(vents) {
            let widest_m = c.width_m.max(c.length_m);
            within(
                field,
                opening.width_m,
                0.0,
                widest_m,
                "no wider than the hive",
            )?;
            within(
                field,
                opening.height_m,
                0.0,
                c.height_m().min(0.5),
                "no higher than the boxes, and at most 0.5 m",
            )?;
        }
        if self.changes.is_empty() {
            return Ok(());
        }
        self.validate_changes()
    }

    /// The hive while certain of its changes hold, itself without changes. Where two of them alter the same part, the later one wins.
    #[must_use]
    pub fn altered(&self, in_force: InForce) -> Self {
        let mut hive = Self {
            changes: Vec::new(),
            ..self.clone()
        };
        let mut wrap = &Vec::new();
        for number in in_force.numbers() {
            let Some(change) = self.changes.get(number) else {
                continue;
            };
            let what = &change.what;
            wrap = what.wrap.as_ref().unwrap_or(wrap);
            take(&mut hive.lid, &what.lid);
            take(&mut hive.floor, &what.floor);
            take(&mut hive.vents, &what.vents);
            take(&mut hive.entrances, &what.entrances);
            take(&mut hive.side_finish, &what.side_finish);
            take(&mut hive.lid_finish, &what.lid_finish);
        }
        hive.wall.extend_from_slice(wrap);
        hive
    }

    /// Checks every change by itself, and the hive with each of them and with all: each part of a hive is checked by itself, so no other
    /// set of them can be at fault.
    fn validate_changes(&self) -> Result<(), HiveError> {
        if self.changes.len() > MOST_CHANGES {
            return Err(HiveError::Change {
                field: "change".to_owned(),
                problem: "is given more than 16 times, the most a hive may have",
            });
        }
        for (number, change) in self.changes.iter().enumerate() {
            let field = format!("change[{}]", number + 1);
            let nothing = change.what == Alteration::default();
            let nothing = nothing.then_some(
                "changes nothing; give at least one of wrap, lid, floor, vents, entrance, colour, lid_colour",
            );
            let bare = matches!(&change.what.wrap, Some(wrap) if wrap.is_empty());
            let bare = bare.then_some("has a wrap without a layer; give at least one");
            if let Some(problem) = change.when.problem().or(nothing).or(bare) {
                return Err(HiveError::Change { field, problem });
            }
            let altered = self.altered(InForce::from_iter([number]));
            altered.validate().map_err(|error| error.within(&field))?;
        }
        let all = InForce::from_iter(0..self.changes.len());
        self.altered(all)
            .validate()
            .map_err(|error| error.within("all changes together"))
    }
}

fn take<T: Clone>(place: &mut T, altered: &Option<T>) {
    if let Some(altered) = altered {
        place.clone_from(altered);
    }
}

fn within(
    field: &str,
    value: f64,
    low: f64,
    high: f64,
    allowed: &'static str,
) -> Result<(), HiveError> {
    if (low..=high).contains(&value) {
        return Ok(());
    }
    Err(HiveError::OutOfRange {
        field: field.to_owned(),
        value,
        allowed,
    })
}

fn layers(field: &str, layers: &[Layer]) -> Result<(), HiveError> {
    if layers.is_empty() {
        return Err(HiveError::NoLayer {
            field: field.to_owned(),
        });
    }
    if layers[0].material.is_vented() {
        return Err(HiveError::VentedInside {
            field: field.to_owned(),
        });
    }
    for (number, layer) in layers.iter().enumerate() {
        let thickness = format!("{field}[{}].thickness", number + 1);
        within(&thickness, layer.thickness_m, 1e-4, 1.0, "0.1 mm to 1 m")?;
        if let Some(framing) = &layer.framing {
            let share = format!("{field}[{}].framing.share", number + 1);
            within(&share, framing.share, 0.0, 0.9, "0 to 0.9")?;
        }
    }
    Ok(())
}
