//! Results as text, JSON and CSV, and the folder they are written to.

mod advice_text;
mod batch_contrast_text;
pub mod batch_files;
pub mod batch_text;
pub mod build_text;
pub mod changes;
pub mod charts;
mod charts_compared;
mod columns;
pub mod compare_csv;
pub mod compare_text;
mod comparison;
mod confinement_text;
pub mod daily;
mod damp_text;
mod document;
pub mod evidence_page;
pub mod evidence_text;
mod feeding_text;
pub mod fit_text;
pub mod heatloss_text;
mod hive_charts;
pub mod hives_text;
pub mod json;
pub mod learning_text;
pub mod materials_text;
pub mod members;
pub mod outlook_text;
mod output;
pub mod page;
pub mod parameters_text;
#[cfg(feature = "parquet")]
mod parquet_file;
mod provenance;
mod run_charts;
pub mod run_text;
mod saved;
pub mod sensitivity_advice;
pub mod sensitivity_text;
pub(crate) mod shared_text;
pub mod sweep_text;
mod table;
mod trace_charts;
pub mod trace_text;
pub mod weather_text;

pub use comparison::{Comparison, Entry};
pub use document::{Block, Document};
pub use output::{OutputError, OutputFolder, WriteError, write_file};
pub use provenance::{PROGRAM, Provenance};
pub use saved::{Repeat, SAVED_FILE, Saved, SavedError};
pub use table::Rows;

use crate::ensemble::{Reached, StoresAdvice, Summary};
use crate::scenario::{Prepared, Scenario};

/// All that a report of an ensemble draws on.
#[derive(Clone, Copy, Debug)]
pub struct RunReport<'a> {
    /// What was asked.
    pub scenario: &'a Scenario,
    /// What was run.
    pub prepared: &'a Prepared,
    /// The answer.
    pub summary: &'a Summary,
    /// What to feed before winter.
    pub advice: &'a StoresAdvice,
    /// How far a precision that was asked for was reached.
    pub precision: Option<&'a Reached>,
    /// What made it.
    pub provenance: &'a Provenance,
}

/// Cautions that every result carries.
pub const CAUTIONS: [&str; 6] = [
    "No reserve for a late spring, for robbing or for what the bees do not find is in these figures. Where local advice asks for more honey, follow it.",
    "These figures are a model's. Heft the hive and look: a colony can die of mites, disease, queen loss or wet with stores to spare.",
    "Weights are of the dry outside: a scale also carries rain, snow and the stand. Weigh your hive empty and give its tare to know them better.",
    "Water in the hive is the least certain part: rain that gets in and liquid that creeps in wood are not in it. Look under the lid.",
    "Follow your apiary inspector and extension service on wintering, feeding and treatments.",
    "Lifting, stings and cold are hazards; foam boards burn: follow the maker's data and local codes.",
];
