//! Hourly weather records: readers by layout, cleaning, winters, sun and sky, synthetic winters.
pub mod humidity;
pub mod pressure;
