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
pub mod place;
pub mod normals;
pub mod pressure;
pub mod record;
mod rows;
pub mod season;
mod source;
mod stamp;
mod table;
pub mod variable;
pub mod winter;

pub use account::Account;
pub use error::WeatherError;
pub use layout::write_plain;
pub use place::Place;
pub use record::{ReadOptions, Record, read, read_bytes};
pub use season::{Season, Winters};
pub use variable::Variable;
pub use winter::{Winter, WinterFigures};
pub mod radiation;
pub mod sample;
pub mod sky;
pub mod sun;
pub mod synthesis;
pub mod wind;
#[derive(Debug, Clone)]
pub struct Winter {
    pub label: String,
    pub start: jiff::civil::DateTime,
    pub temperature_c: Vec<f64>,
    pub wind_m_s: Option<Vec<f64>>,
    pub pressure_pa: Option<Vec<f64>>,
}
