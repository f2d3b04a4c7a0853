//! What scenario files mean and what they may not say, and the library of hives.

mod library;
mod meaning;
mod refusals;
mod weather;
