//! What a hive's weights through a winter tell of its colony.
//!
//! [`Weights`] reads them, [`Spans`] leaves out the days on which more than the colony moved the scale, [`Noise`] says how likely
//! they are under a simulated winter, and [`fit`] draws colonies and parameters round those that make them likely. Results hold
//! for the model: where it is wrong, its parameters take up what is wrong.

mod noise;
mod population;
mod run;
mod scale;
mod spans;

pub use noise::Noise;
pub use population::{Measured, Population, populate};
pub use run::{Fit, FitError, Fitted, Interval, OWN, ROUNDS, SHARES, fit};
pub use scale::{Reading, ScaleError, Weights};
pub use spans::{Cut, Span, Spans};
