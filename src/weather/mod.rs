//! Hourly weather records: readers by layout, cleaning, winters, sun and sky, synthetic winters.

//!
//! A file's layout is found by its content ([`layout`]). Its rows pass a guard for size and encoding, are
//! checked against what can be on Earth, go to the hours of local standard time and are cleaned; all of it
//! is counted in the [`Account`] of the [`Record`]. [`Record::winters`] cuts the winters out of it and
//! repairs their gaps.
//!
//! Conventions: SI units; local standard time of the site all year; temperature, dew point (over water), wind
//! (at station height), cloud and pressure are readings at the hour; radiation is the mean of the hour
//! centred on it, from half an hour before to half an hour after, its sum kept.
//!
//! ```
//! use overwinter::weather::{ReadOptions, Season, read_bytes};
//! let mut text = String::from("time,temperature_c\n");
//! for day in 1..=9 {
//!     for hour in 0..24 {
//!         text += &format!("2019-11-{day:02}T{hour:02}:00,{}\n", -hour);
//!     }
//! }
//! let record = read_bytes("mine.csv", text.as_bytes(), &ReadOptions::default())?;
//! let winters = record.winters(Season::parse("11-02", "11-09")?)?;
//! let winter = &winters.winters[0];
//! assert_eq!((winter.label.as_str(), winter.hours()), ("2019", 24 * 7 + 1));
//! # Ok::<(), overwinter::weather::WeatherError>(())
//! ```
pub mod account;
mod cleaning;
pub mod clock;
mod column_name;
pub mod column_unit;
pub mod derived;
pub mod error;
pub mod gaps;
mod hourly;
pub mod humidity;
pub mod layout;
mod moisture;
pub mod normals;
pub mod place;
pub mod pressure;
pub mod radiation;
mod reader;
pub mod record;
pub mod resampling;
mod rows;
mod running_sum;
pub mod sample;
pub mod season;
pub mod sky;
mod source;
mod stamp;
mod station;
pub mod sun;
pub mod synthesis;
mod table;
pub mod variable;
pub mod wind;
pub mod winter;

pub use account::Account;
pub use error::WeatherError;
pub use layout::write_plain;
pub use place::Place;
pub use reader::{ReadOptions, layout_of, read, read_bytes};
pub use record::Record;
pub use season::{Season, Winters};
pub use variable::Variable;
pub use winter::{Winter, WinterFigures};
