//! What every chart is described in: a figure round one plot or several, axes bound to a unit, marks in SI, and labels that never lie on each other.
//!
//! A chart says what it shows ([`Describe`]); where things go is decided here. Text is only ever placed by estimated widths that are on the safe side
//! (`text`), since a picture must not depend on the fonts of the machine that made it.

mod axis;
mod category;
mod cells;
mod color;
mod dates;
mod dot_stacks;
mod figure;
mod label_stack;
mod labels;
mod mark;
mod ranked;
mod scale;
mod side_by_side;
mod symbol;
mod text;
mod xy;

pub(super) use axis::Axis;
pub(super) use cells::{Cell, Cells, ColorBar};
pub(super) use color::{Ink, between, of_share, stops};
pub use dates::Dates;
pub(super) use dates::Month;
pub(super) use dot_stacks::DotStacks;
pub(super) use figure::{Area, Describe, Drawing, Figure, Paragraph, Plot};
pub(super) use label_stack::stack;
pub(super) use labels::{Label, Placer};
pub(super) use mark::{Mark, halo};
pub(super) use ranked::{Ranked, Row};
pub(super) use scale::{Scale, Ticks, Unit, extent, px, signed};
pub(super) use side_by_side::SideBySide;
pub(super) use symbol::{Style, title};
pub use text::name;
pub(super) use text::{BOLD, lines, shortened, width_em};
pub(super) use xy::{Across, EndLabel, Panel, Xy};
