//! What a hive's weights through a winter tell of its colony.
//!
//! [`Weights`] reads them, [`Spans`] leaves out the days on which more than the colony moved the scale, [`Noise`] says how likely
//! they are under a simulated winter, and [`fit`] draws colonies and parameters round those that make them likely. Results hold
//! for the model: where it is wrong, its parameters take up what is wrong.
//!
//! A fit has two parts. What all colonies share ([`SharedPart`]) may serve others, whatever the colony that was weighed; what is that colony's own, its
//! bees and dates, stays with it. [`read`] takes the first from a file. [`Forecast`] scores what the scenario foresaw without the weights.

mod file;
mod forecast;
mod importance_sampling;
mod noise;
mod run;
mod scale;
mod spans;

pub use file::{FORMAT, FitFileError, SharedDraw, SharedPart, read};
pub use forecast::{Forecast, Scored};
pub use importance_sampling::{Measured, WeightedSample, adaptive_importance_sampling};
pub use noise::Noise;
pub use run::{Fit, FitError, Fitted, Interval, OWN, ROUNDS, SHARES, SharedFitted, fit};
pub use scale::{Reading, ScaleError, Weights};
pub use spans::{Cut, Span, Spans};
