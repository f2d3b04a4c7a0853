//! Quantities as people write them, to SI and back.
//!
//! Units are converted only here, at the edges of the program: [`parse`] reads what a user wrote
//! into the SI base unit of its [`Dimension`], [`show`] and [`in_system`] turn an SI value into the
//! units of the reader. Everything between works in SI.
//!
//! ```
//! use overwinter::units::{Dimension, Round, System, parse, show};
//!
//! let board_m = parse("1 1/2 in", Dimension::Length)?;
//! assert!((board_m - 0.0381).abs() < 1e-12);
//! assert_eq!(show(board_m, Dimension::Length, System::Metric, Round::Usual), "38 mm");
//!
//! let error = parse("38 kg", Dimension::Length).unwrap_err();
//! assert!(error.to_string().contains("'kg' is a mass; a length is asked"));
//! # Ok::<(), overwinter::units::QuantityError>(())
//! ```

mod dimension;
mod display;
mod error;
mod number;
mod quantity;
mod significant;
mod symbol;
mod table;

pub use dimension::{Dimension, System};
pub use display::{Round, in_system, show};
pub use error::QuantityError;
pub use quantity::parse;
pub use significant::three_digits;
pub(crate) use table::POUND_KG;
pub use table::{TABLE, Unit};

/// The number that a quantity begins with, and its unit as written; `None` where it begins with no number.
pub(crate) fn number_and_unit(text: &str) -> Option<(f64, String)> {
    let text = number::plain(text);
    let (number, unit) = number::leading(&text).ok()?;
    Some((number, unit.trim().to_owned()))
}
