//! Hourly weather records: readers by layout, cleaning, winters, sun and sky, synthetic winters.

pub mod account;
mod cleaning;
pub mod clock;
mod column_name;
pub mod column_unit;
pub mod error;
pub mod gaps;
mod hourly;
pub mod humidity;
pub mod layout;
pub mod normals;
pub mod place;
pub mod pressure;
pub mod radiation;
pub mod record;
pub mod resampling;
mod rows;
pub mod sample;
pub mod season;
pub mod sky;
mod source;
mod stamp;
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
pub use record::{ReadOptions, Record, read, read_bytes};
pub use season::{Season, Winters};
pub use variable::Variable;
pub use winter::{Winter, WinterFigures};
