//! Pictures of results: SVG as text, the same bytes every time, readable on a slide and in print.
//!
//! A chart is made of three parts. What is found in the data and said in its title stands in a file of findings; where marks go stands in the chart's
//! own file, on `axis` and `scale`; title, key, notes, source line and the words for screen readers are laid round it by `sheet`. Text is only ever
//! placed by estimated widths that are on the safe side (`label`), since a picture must not depend on the fonts of the machine that made it.

mod axis;
mod beside;
mod coldness;
mod color;
mod column;
mod cut;
mod cut_panel;
mod dates;
pub mod district;
mod district_dots;
mod district_finding;
mod district_map;
pub mod font;
mod heat_by_month;
mod hive_labels;
mod hive_plan;
mod hive_section;
mod hives;
mod honey_needed;
mod influences;
mod kept;
mod label;
mod layers;
mod learning;
mod mark;
mod misses;
mod named;
mod paired;
mod png;
mod risk;
mod rows;
mod scale;
mod shared_unknowns;
mod sheet;
mod steps;
mod stores_left;
mod swept;
mod swept_lines;
mod swept_map;
mod told;
mod wet_lid;
mod winter_hours;
mod winter_panels;
mod words;

pub use coldness::{ColdWinter, Coldness};
pub use cut::{Cut, CutAir, CutShell};
pub use dates::Dates;
pub use heat_by_month::{HeatByMonth, MonthOfHeat, WAYS};
pub use hive_section::{HiveSection, Hole, SectionChange, SectionLoss};
pub use hives::{HiveRow, Hives};
pub use honey_needed::{DOTS as NEEDED_DOTS, HoneyNeeded};
pub use influences::{FactorShare, Influences, Ranked, SHOWN as SHOWN_FACTORS};
pub use kept::{Chart, Shows};
pub use label::name;
pub use layers::{DrawnLayer, Kind};
pub use learning::{Learned, LearnedShare};
pub use misses::{FAR as FAR_MISS, MissedRow, Misses};
pub use paired::{PairedNeed, even_shares};
pub use png::PngError;
#[cfg(feature = "png")]
pub use png::png;
pub use risk::{Risk, RiskAt, SMALL as SMALL_RISK};
pub use shared_unknowns::{PROBABILITIES as UNKNOWN_PROBABILITIES, SharedUnknown, SharedUnknowns};
pub use steps::{StepSaving, Steps};
pub use stores_left::{ColonyEnd, StoresLeft};
pub use swept::{Along, Measure, Swept, SweptAnswer, SweptSetting};
pub use told::{Told, finite};
pub use wet_lid::{MOST_ROWS as WET_ROWS, WetLid, WetWinter};
pub use winter_hours::{ColdSpell, Course, WinterHours};

use crate::units::System;

/// Colours of paper or of a dark screen.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, clap::ValueEnum)]
pub enum Theme {
    /// Dark on white.
    #[default]
    Light,
    /// Light on near black.
    Dark,
}

/// How a chart is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Look {
    /// Width in CSS pixels; what is outside [`Look::WIDTHS`] is drawn at the nearest of its ends.
    pub width_px: u32,
    /// Its colours.
    pub theme: Theme,
    /// Its units.
    pub units: System,
}

impl Look {
    /// Widths that charts are laid out for, px.
    pub const WIDTHS: std::ops::RangeInclusive<u32> = 320..=4000;
    /// Width without a wish, px: fits a page and, doubled, a slide.
    pub const USUAL_WIDTH_PX: u32 = 960;

    fn width(self) -> f64 {
        f64::from(
            self.width_px
                .clamp(*Self::WIDTHS.start(), *Self::WIDTHS.end()),
        )
    }

    /// Size of plain text, px: grows more slowly than the width, so that a narrow chart stays readable.
    fn font(self) -> f64 {
        (9.0 + self.width() / 160.0).round()
    }
}

impl Default for Look {
    fn default() -> Self {
        Self {
            width_px: Self::USUAL_WIDTH_PX,
            theme: Theme::Light,
            units: System::Metric,
        }
    }
}

/// A picture and the name of its files.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Picture {
    /// Name of its files without their ending.
    pub name: String,
    /// SVG for a page that brings the font.
    pub svg: String,
}

impl Picture {
    /// Its files with their names: SVG with its font in it, and PNG where the program is built with it.
    ///
    /// # Errors
    /// [`PngError`] when it cannot be drawn.
    pub fn files(&self) -> Result<Vec<(String, Vec<u8>)>, PngError> {
        let (name, svg) = (&self.name, &self.svg);
        Ok(vec![
            (format!("{name}.svg"), font::embedded(svg).into_bytes()),
            #[cfg(feature = "png")]
            (format!("{name}.png"), png(svg)?),
        ])
    }
}
