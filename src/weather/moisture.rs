//! Dew points from relative humidity, and whether the two agree where a file has both.

use std::collections::HashMap;

use super::column_unit::ColumnUnit;
use super::humidity;

/// Rows with temperature, dew point and humidity that are compared.
const COMPARED_ROWS: u32 = 2_000;

/// The least of them that tell something.
const LEAST_COMPARED_ROWS: u32 = 48;

/// Mean difference of the humidity from that of temperature and dew point above which a unit is doubted.
/// Rounding to whole degrees gives 0.03.
const HUMIDITY_OFF: f64 = 0.05;

/// How well the three humidity columns of a file agree.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Agreement {
    rows: u32,
    /// Sum of the differences if the temperatures are in °C.
    celsius: f64,
    /// Sum of the differences if they are °F taken for °C.
    fahrenheit: f64,
}

impl Agreement {
    /// Compares the three of a row, taken as °C; rows without all three do not count.
    pub(crate) fn compare(&mut self, temperature: f64, dew_point: f64, humidity: f64) {
        if self.rows >= COMPARED_ROWS || !(0.1..0.97).contains(&humidity) || dew_point.is_nan() {
            return;
        }
        let fahrenheit = |value: f64| ColumnUnit::FAHRENHEIT.to_si(value);
        let off = |t: f64, d: f64| (humidity::relative_humidity_fraction(t, d) - humidity).abs();
        let celsius = off(temperature, dew_point);
        let fahrenheit = off(fahrenheit(temperature), fahrenheit(dew_point));
        // False for a missing temperature.
        if celsius.is_finite() && fahrenheit.is_finite() {
            self.rows += 1;
            self.celsius += celsius;
            self.fahrenheit += fahrenheit;
        }
    }

    /// The mean differences of humidity if the temperatures are °C and if they are °F, when °F fits much
    /// better.
    pub(crate) fn looks_like_fahrenheit(&self) -> Option<(f64, f64)> {
        let rows = f64::from(self.rows);
        (self.rows >= LEAST_COMPARED_ROWS
            && self.celsius > HUMIDITY_OFF * rows
            && self.fahrenheit < 0.5 * self.celsius)
            .then(|| (self.celsius / rows, self.fahrenheit / rows))
    }
}

/// Dew points already computed: temperature and humidity come in coarse steps, so pairs repeat, and a
/// look-up takes a tenth of the time.
#[derive(Debug, Default)]
pub(crate) struct DewPoints(HashMap<(u64, u64), f64>);

impl DewPoints {
    /// Pairs kept.
    const KEPT: usize = 1 << 16;

    /// As [`humidity::dew_point_c`].
    pub(crate) fn of(&mut self, temperature_c: f64, humidity: f64) -> f64 {
        let key = (temperature_c.to_bits(), humidity.to_bits());
        if let Some(&known) = self.0.get(&key) {
            return known;
        }
        let dew_point = humidity::dew_point_c(temperature_c, humidity);
        if self.0.len() < Self::KEPT {
            self.0.insert(key, dew_point);
        }
        dew_point
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_in_fahrenheit_fit_their_humidity_only_as_such() {
        let mut wrong = Agreement::default();
        let mut right = Agreement::default();
        for step in 0..100 {
            let (t, d) = (f64::from(step) / 10.0, f64::from(step) / 10.0 - 8.0);
            let humidity = humidity::relative_humidity_fraction(t, d);
            right.compare(t, d, humidity);
            wrong.compare(t * 1.8 + 32.0, d * 1.8 + 32.0, humidity);
        }
        assert_eq!(right.looks_like_fahrenheit(), None);
        let (celsius, fahrenheit) = wrong.looks_like_fahrenheit().unwrap();
        assert!(
            celsius > 0.05 && fahrenheit < 1e-9,
            "{celsius} {fahrenheit}"
        );
    }

    #[test]
    fn a_dew_point_looked_up_is_the_one_computed() {
        let mut dew_points = DewPoints::default();
        for _ in 0..2 {
            assert_eq!(dew_points.of(5.0, 0.8), humidity::dew_point_c(5.0, 0.8));
        }
    }
}
