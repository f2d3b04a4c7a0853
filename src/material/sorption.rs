//! How much water wood and other plant material hold in equilibrium with the humidity round them.
//!
//! Source: the two-hydrate equation of Hailwood and Horrobin as fitted in the *Wood Handbook* (USDA Forest Products Laboratory,
//! 2010, equation 4-5; coefficients from memory, checked against its table 4-2 in `tests/validation/moisture.rs`). Other
//! materials take a share of it. Wetting and drying take the same curve, though drying wood holds a tenth to a quarter more;
//! below 0 °C the equation is extrapolated by being held at [`REFERENCE_C`].

use crate::lane::Number;

/// Temperature at which the curve is taken for every hour, degC: between 0 and 20 °C it moves by a twentieth of itself.
pub const REFERENCE_C: f64 = 5.0;

/// Pieces of the tabulated curve.
const PIECES: usize = 128;

/// Equilibrium moisture content of wood, kg water a kg of dry wood, at a temperature in degC and a relative humidity of 0 to 1.
///
/// ```
/// let emc = overwinter::material::sorption::wood_moisture_kg_kg(21.1, 0.65);
/// assert!((emc - 0.120).abs() < 1e-3);
/// ```
#[must_use]
pub const fn wood_moisture_kg_kg(temperature_c: f64, humidity: f64) -> f64 {
    let t = temperature_c;
    let weight = 349.0 + 1.29 * t + 0.0135 * t * t;
    let k = 0.805 + 0.000_736 * t - 0.000_002_73 * t * t;
    let k1 = 6.27 - 0.009_38 * t - 0.000_303 * t * t;
    let k2 = 1.91 + 0.040_7 * t - 0.000_293 * t * t;
    let kh = k * humidity.clamp(0.0, 1.0);
    let bound = (k1 * kh + 2.0 * k1 * k2 * kh * kh) / (1.0 + k1 * kh + k1 * k2 * kh * kh);
    18.0 / weight * (kh / (1.0 - kh) + bound)
}

/// A humidity and how it rises with the water held.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Humidity<N = f64> {
    /// Relative humidity, 0 to 1.
    pub humidity: N,
    /// Its rise with the moisture content, kg dry wood a kg of water.
    pub per_kg_kg: N,
}

/// Moisture content over a piece of [`PIECES_OF_CURVE`], kg/kg.
const STEP_KG_KG: f64 = saturated_kg_kg() / PIECES as f64;

/// The curve of wood at [`REFERENCE_C`], turned round: humidity by moisture content, in straight pieces of [`STEP_KG_KG`]. Of each the humidity that its
/// line would have without water and its rise over a piece; last what is beyond saturation.
static PIECES_OF_CURVE: [[f64; 2]; PIECES + 1] = pieces();

const fn pieces() -> [[f64; 2]; PIECES + 1] {
    let mut pieces = [[1.0, 0.0]; PIECES + 1];
    // Constant functions have no `for`.
    let mut number = 0;
    while number < PIECES {
        let low = humidity_at(STEP_KG_KG * number as f64);
        let rise = humidity_at(STEP_KG_KG * (number + 1) as f64) - low;
        pieces[number] = [low - number as f64 * rise, rise];
        number += 1;
    }
    pieces
}

/// Moisture content of wood at [`REFERENCE_C`] in saturated air, kg/kg: fibre saturation.
#[must_use]
pub const fn saturated_kg_kg() -> f64 {
    wood_moisture_kg_kg(REFERENCE_C, 1.0)
}

/// Humidity in equilibrium with a moisture content, by halving.
const fn humidity_at(moisture_kg_kg: f64) -> f64 {
    let (mut low, mut high) = (0.0, 1.0);
    let mut halvings = 60;
    while halvings > 0 {
        halvings -= 1;
        let middle = 0.5 * (low + high);
        if wood_moisture_kg_kg(REFERENCE_C, middle) < moisture_kg_kg {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

/// Humidity in equilibrium with wood of a moisture content in kg/kg, at [`REFERENCE_C`]; at and above fibre saturation it is 1 and
/// rises no further.
#[must_use]
#[inline(always)]
pub fn wood_humidity<N: Number>(moisture_kg_kg: N) -> Humidity<N> {
    let place = (moisture_kg_kg * (1.0 / STEP_KG_KG)).positive();
    let [at_none, rise] = place.look_up(&PIECES_OF_CURVE);
    Humidity {
        humidity: at_none + place * rise,
        per_kg_kg: rise * (1.0 / STEP_KG_KG),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn humidity_and_moisture_are_inverses() {
        for humidity in [0.05, 0.2, 0.5, 0.8, 0.95, 0.999] {
            let moisture = wood_moisture_kg_kg(REFERENCE_C, humidity);
            let back = wood_humidity(moisture).humidity;
            assert!((back - humidity).abs() < 3e-3, "{humidity} {back}");
        }
    }

    #[test]
    fn wet_wood_is_in_equilibrium_with_saturated_air_and_dry_wood_with_dry() {
        assert_eq!(wood_humidity(saturated_kg_kg() * 1.2).humidity, 1.0);
        assert!(wood_humidity(0.0).humidity < 1e-12);
        assert!(wood_humidity(1e-4).per_kg_kg > 1.0);
    }
}
