//! The scenario: a TOML file that a keeper writes by hand, validated into the types of the library.
//!
//! [`read`] takes a file, [`parse`] its text, [`built_in`] is the sample, and [`starter`] the text of a commented file to begin
//! with. Every error names file, line and field, the value as written, what is allowed and, where one can be told, what was
//! probably meant. Keys, units, defaults and ranges are listed in `src/guide/scenario-reference.md`.
//!
//! ```
//! use overwinter::scenario;
//! use std::path::Path;
//!
//! let scenario = scenario::parse(scenario::starter(), Path::new("oak.toml"))?;
//! assert_eq!(scenario.hive.cavity.boxes, 2);
//!
//! let wrong = scenario::starter().replace("boxes = 2", "boxes = 0");
//! let error = scenario::parse(&wrong, Path::new("oak.toml")).unwrap_err();
//! assert_eq!(error.field, "hive.boxes");
//! assert!(error.to_string().starts_with("oak.toml:"));
//! # Ok::<(), overwinter::scenario::ScenarioError>(())
//! ```

mod change;
mod colony;
mod columns;
mod error;
mod exchange;
mod feeding;
mod field;
mod fingerprint;
mod hive;
mod layer;
mod library;
mod overrides;
mod prepare;
mod prices;
mod reading;
mod season;
mod season_rule;
mod setting;
mod site;
mod study;
mod table;
mod together;
mod weather;

pub use colony::{
    BEES, BEES_SPREAD, LOOSER_WHEN_COUNTED, STORES_SPREAD, bees_in_seams, most_honey_kg,
};
pub use error::{Problem, ScenarioError};
pub use exchange::ExchangeError;
pub use hive::{BOX_HEIGHT_M, BOX_LENGTH_M, COMB_PITCH_M, SIDE_SPACE_M};
pub use layer::MESH_FREE_SHARE;
pub use library::{LibraryEntry, Part, library};
pub use prepare::{PrepareError, Prepared};
pub use prices::{LASTS_WINTERS, PriceList};
pub use reading::{
    MOST_MEMBERS, SHARED_SETS, SHARED_SETS_ALLOWED, built_in, parse, parse_hive, read, read_text,
    starter,
};
pub use season::{MonthDay, Season};
pub use season_rule::{ForageRule, SeasonDays, SeasonRule, StartRule};
pub use setting::{
    MOST_VALUES, Setting, SettingError, text_with_layer, text_with_settings, with_settings,
};
pub use site::{SHELTERS, SiteDescription};
pub use study::{Station, Study, read_study};
pub use together::{TogetherError, prepare_together};
pub use weather::{WeatherDescription, WeatherSource};

use std::path::PathBuf;

use crate::ensemble::{ColonySpread, Override, Sampling, most_likely};
use crate::hive::Hive;
use crate::parameter::Parameters;
use serde::Serialize;

/// Everything that a run is asked for.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Scenario {
    /// What its keeper calls it; the file's name when not given.
    #[serde(skip)]
    pub name: String,
    /// Its file; none for the built-in sample.
    #[serde(skip)]
    pub path: Option<PathBuf>,
    /// Where the hive stands.
    pub site: SiteDescription,
    /// Where the winters come from and how they are changed.
    pub weather: WeatherDescription,
    /// From when to when a winter runs.
    pub season: Season,
    /// The hive.
    pub hive: Hive,
    /// The colony and what is not known of it.
    pub colony: ColonySpread,
    /// Parameters that differ from the table, in the order of the table; no row twice.
    pub overrides: Vec<Override>,
    /// How many members, from which seed.
    pub ensemble: Ensemble,
    /// What things cost, for comparisons.
    #[serde(skip)]
    pub prices: PriceList,
    /// Sixteen hex digits that tell scenarios of different results apart: a hash of all values that results depend on, the same
    /// however the file is laid out. Names count for nothing; weather files count by path, not by content.
    #[serde(skip)]
    pub fingerprint: String,
}

impl Scenario {
    /// Every parameter at its most likely value, with the overrides of the scenario.
    #[must_use]
    pub fn parameters(&self) -> Parameters {
        most_likely(&self.overrides)
    }
}

/// How many members are drawn, from which seed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Ensemble {
    /// 1 to [`MOST_MEMBERS`].
    pub members: u32,
    /// 0 to 2^63 - 1, the whole numbers of TOML.
    pub seed: u64,
    /// How the draws are taken.
    pub sampling: Sampling,
    /// Sets of what all colonies share: a multiple of [`SETS_TOGETHER`](crate::ensemble::SETS_TOGETHER).
    pub shared_sets: u32,
}
