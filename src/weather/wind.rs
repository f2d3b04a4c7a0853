//! Wind at the height of a hive, from the wind of a station.
//!
//! The logarithmic profile of neutral air over rough ground, by way of the wind at 60 m where the
//! ground no longer matters (WMO-No. 8, part I, chapter 5, and Wieringa 1986, Q. J. R. Meteorol. Soc.
//! 112:867). Shelter by hedges and walls is a factor of the scenario and not in here. In still clear
//! nights the air near the ground is calmer than the profile says.
//!
//! ```
//! use overwinter::weather::wind::{OPEN_GROUND_ROUGHNESS_M, STATION_HEIGHT_M, wind_factor};
//!
//! let factor = wind_factor(STATION_HEIGHT_M, OPEN_GROUND_ROUGHNESS_M, 0.5, 0.10);
//! assert!((factor - 0.33).abs() < 0.01);
//! ```

/// Height of a station's wind meter above ground, m (WMO-No. 8).
pub const STATION_HEIGHT_M: f64 = 10.0;

/// Roughness length of the open ground round a station, m (WMO-No. 8, Davenport-Wieringa class 3).
pub const OPEN_GROUND_ROUGHNESS_M: f64 = 0.03;

/// Height above which the roughness of the ground no longer matters, m (Wieringa 1986).
const BLENDING_HEIGHT_M: f64 = 60.0;

/// The wind at a height over a site, as a multiple of the wind that a station measures.
///
/// Roughness lengths by class (Davenport-Wieringa, WMO-No. 8): snow field 0.005 m, short grass 0.03,
/// low crops 0.10, scattered hedges 0.25, orchard or many obstacles 0.5, woodland 1.0. Lengths are held to
/// 0.0002 to 2 m and heights to 1.5 roughness lengths to 60 m, so the factor is finite and above zero.
pub fn wind_factor(
    station_height_m: f64,
    station_roughness_m: f64,
    site_height_m: f64,
    site_roughness_m: f64,
) -> f64 {
    let up = profile(BLENDING_HEIGHT_M, station_roughness_m)
        / profile(station_height_m, station_roughness_m);
    let down =
        profile(site_height_m, site_roughness_m) / profile(BLENDING_HEIGHT_M, site_roughness_m);
    up * down
}

fn profile(height_m: f64, roughness_m: f64) -> f64 {
    let roughness = roughness_m.clamp(0.000_2, 2.0);
    libm::log(height_m.clamp(1.5 * roughness, BLENDING_HEIGHT_M) / roughness)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_same_height_and_ground_leave_the_wind_as_it_is() {
        assert!((wind_factor(10.0, 0.03, 10.0, 0.03) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn rougher_ground_and_less_height_mean_less_wind() {
        let factors = [0.005, 0.03, 0.1, 0.25].map(|rough| wind_factor(10.0, 0.03, 0.5, rough));
        assert!(factors.windows(2).all(|pair| pair[1] < pair[0]));
        assert!(wind_factor(10.0, 0.03, 0.3, 0.1) < wind_factor(10.0, 0.03, 2.0, 0.1));
    }

    #[test]
    fn absurd_heights_and_lengths_give_a_finite_factor() {
        for height in [-1.0, 0.0, 1e-9, 0.5, 1e9] {
            for roughness in [-1.0, 0.0, 0.03, 1e9] {
                let factor = wind_factor(10.0, 0.03, height, roughness);
                assert!(factor.is_finite() && factor > 0.0 && factor < 2.0);
            }
        }
    }
}
