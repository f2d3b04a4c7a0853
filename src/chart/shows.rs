//! Charts as results keep them: data in SI, drawn again at any width, in any theme and units.

use super::grammar::Describe;
use super::{
    Coldness, Cut, HeatByMonth, HiveSection, Hives, HoneyNeeded, Influences, Learned, Misses,
    PairedNeed, Risk, SharedUnknowns, Steps, StoresLeft, Swept, WetLid, WinterHours,
};
use super::{Look, Picture, PngError};
use serde::{Deserialize, Serialize};

/// A chart of a result.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Chart {
    /// Name of its files without their ending, and its id on a page: small letters, digits and "-".
    pub key: String,
    /// What it shows.
    pub shows: Shows,
}

/// What a chart shows.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Shows {
    /// Honey needed against how cold a winter was.
    Coldness(Coldness),
    /// Honey left over the winter.
    StoresLeft(StoresLeft),
    /// Honey needed, as dots.
    HoneyNeeded(HoneyNeeded),
    /// Risk over stores.
    Risk(Risk),
    /// Where heat goes, by month.
    HeatByMonth(HeatByMonth),
    /// A calendar of the wet lid.
    WetLid(WetLid),
    /// A hive to scale, with where its heat would go.
    HiveSection(HiveSection),
    /// Hives of a comparison.
    Hives(Hives),
    /// What honey need and risk depend on.
    Influences(Influences),
    /// What learning what is not known about bees is worth.
    Learned(Learned),
    /// Honey needed by two hives, pair by pair.
    PairedNeed(PairedNeed),
    /// What to build or do differently.
    Steps(Steps),
    /// Honey need or risk over values of settings.
    Swept(Swept),
    /// One winter hour by hour.
    WinterHours(WinterHours),
    /// Temperature along cuts through the hive at the coldest hour.
    Cut(Cut),
    /// How far the model is off published values.
    Misses(Misses),
    /// What measurements leave of what is not known.
    SharedUnknowns(SharedUnknowns),
}

impl Chart {
    /// A chart under a name.
    #[must_use]
    pub fn new(key: &str, shows: Shows) -> Self {
        Self {
            key: key.to_owned(),
            shows,
        }
    }

    fn data(&self) -> &dyn Describe {
        match &self.shows {
            Shows::Coldness(data) => data,
            Shows::StoresLeft(data) => data,
            Shows::HoneyNeeded(data) => data,
            Shows::Risk(data) => data,
            Shows::HeatByMonth(data) => data,
            Shows::WetLid(data) => data,
            Shows::HiveSection(data) => data,
            Shows::Hives(data) => data,
            Shows::Influences(data) => data,
            Shows::Learned(data) => data,
            Shows::PairedNeed(data) => data,
            Shows::Steps(data) => data,
            Shows::Swept(data) => data,
            Shows::WinterHours(data) => data,
            Shows::Cut(data) => data,
            Shows::Misses(data) => data,
            Shows::SharedUnknowns(data) => data,
        }
    }

    /// Its finding: the title.
    #[must_use]
    pub fn finding(&self, units: crate::units::System) -> String {
        self.data().finding(units)
    }

    /// SVG for a page that brings the font; `source` is the line that says what made it.
    #[must_use]
    pub fn svg(&self, look: Look, source: &str) -> String {
        self.data().draw(&self.key, look, source)
    }

    /// Its files, as those of [`Picture::files`].
    ///
    /// # Errors
    /// [`PngError`] when it cannot be drawn.
    pub fn files(&self, look: Look, source: &str) -> Result<Vec<(String, Vec<u8>)>, PngError> {
        let name = self.key.clone();
        let svg = self.svg(look, source);
        Picture { name, svg }.files()
    }
}
