//! Pictures of results: SVG as text, the same bytes every time, readable on a slide and in print.
//!
//! A chart is made of three parts. What is found in the data and said in its title stands in a file of findings; where marks go stands in the chart's
//! own file, on `axis` and `scale`; title, key, notes, source line and the words for screen readers are laid round it by `sheet`. Text is only ever
//! placed by estimated widths that are on the safe side (`label`), since a picture must not depend on the fonts of the machine that made it.

mod axis;
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
mod hive_labels;
mod hive_plan;
mod hive_section;
mod kept;
mod label;
mod layers;
mod mark;
mod png;
mod scale;
mod sheet;
mod winter_hours;
mod winter_panels;
mod words;

pub use coldness::{ColdWinter, Coldness};
pub use cut::{Cut, CutAir, CutShell};
pub use dates::Dates;
pub use hive_section::{HiveSection, Hole, SectionChange, SectionLoss};
pub use kept::{Chart, Shows};
pub use layers::{DrawnLayer, Kind};
pub use png::{PngError, png};
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

/// A picture and the name of its file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Picture {
    /// File name.
    pub name: String,
    /// SVG.
    pub svg: String,
}
