//! Short-wave radiation: what arrives at the top of the air, on level ground and on the face of a hive.
//!
//! Nothing here divides by the height of a sun on the horizon: with the sun below
//! [`LOWEST_COS_ZENITH`] all radiation is taken as diffuse.
//!
//! ```
//! use overwinter::weather::radiation::{Face, split_global};
//! use overwinter::weather::sun::SunPosition;
//!
//! let sun = SunPosition { zenith_deg: 65.0, azimuth_deg: 170.0, distance_au: 0.984 };
//! let split = split_global(300.0, &sun);
//! let south_wall = Face { tilt_deg: 90.0, azimuth_deg: 180.0 };
//! let on_wall = south_wall.irradiance(&split, &sun, 0.6);
//! assert!(on_wall.direct_w_m2 > on_wall.sky_w_m2);
//! ```

use super::sun::SunPosition;

/// Solar constant, W/m2 (Kopp & Lean 2011, Geophys. Res. Lett. 38:L01706: 1360.8).
pub const SOLAR_CONSTANT_W_M2: f64 = 1_361.0;

/// Cosine of the zenith angle (87°) below which a direct beam is not told from the diffuse: an hour's
/// mean divided by it would be noise. The limit pvlib uses too.
pub const LOWEST_COS_ZENITH: f64 = 0.052_335_956;

/// Global radiation on level ground, parted.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Split {
    /// The whole on level ground, W/m2.
    pub global_w_m2: f64,
    /// The diffuse part on level ground, W/m2.
    pub diffuse_w_m2: f64,
    /// The beam on a surface that faces the sun, W/m2.
    pub direct_normal_w_m2: f64,
}

/// A plane that radiation falls on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Face {
    /// Angle from level: 0 a flat lid, 90 a wall.
    pub tilt_deg: f64,
    /// Compass bearing that it faces, degrees clockwise from true north; no matter for a flat lid.
    pub azimuth_deg: f64,
}

/// Radiation on a face by where it comes from, W/m2.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct OnFace {
    /// Straight from the sun.
    pub direct_w_m2: f64,
    /// From the sky.
    pub sky_w_m2: f64,
    /// Thrown back by the ground.
    pub ground_w_m2: f64,
}

impl OnFace {
    /// The sum.
    pub fn total_w_m2(&self) -> f64 {
        self.direct_w_m2 + self.sky_w_m2 + self.ground_w_m2
    }
}

/// Irradiance on a surface that faces the sun at the top of the air, W/m2.
pub fn extraterrestrial_normal_w_m2(distance_au: f64) -> f64 {
    SOLAR_CONSTANT_W_M2 / (distance_au * distance_au)
}

/// Share of global radiation that is diffuse, by clearness index (global over extraterrestrial, both on
/// level ground).
///
/// Erbs, Klein & Duffie 1982, Solar Energy 28:293, equation 1. Fitted to hourly values of five stations
/// of the United States, without snow; over snow it is low, because the ground lights the sky.
pub fn erbs_diffuse_fraction(clearness_index: f64) -> f64 {
    let k = clearness_index.max(0.0);
    if k <= 0.22 {
        1.0 - 0.09 * k
    } else if k <= 0.80 {
        0.951_1 + k * (-0.160_4 + k * (4.388 + k * (-16.638 + k * 12.336)))
    } else {
        0.165
    }
}

/// Parts global radiation on level ground into beam and diffuse by [`erbs_diffuse_fraction`].
///
/// With the sun lower than [`LOWEST_COS_ZENITH`] all of it is diffuse. The beam never exceeds the one at
/// the top of the air; what is over goes to the diffuse, so that the parts always make the whole.
/// A negative global counts as zero.
pub fn split_global(global_w_m2: f64, sun: &SunPosition) -> Split {
    let global = global_w_m2.max(0.0);
    let cos_zenith = sun.cos_zenith();
    if cos_zenith < LOWEST_COS_ZENITH {
        return Split {
            global_w_m2: global,
            diffuse_w_m2: global,
            direct_normal_w_m2: 0.0,
        };
    }
    let top = extraterrestrial_normal_w_m2(sun.distance_au);
    let fraction = erbs_diffuse_fraction(global / (top * cos_zenith));
    let direct_normal = ((1.0 - fraction) * global / cos_zenith).min(top);
    Split {
        global_w_m2: global,
        diffuse_w_m2: global - direct_normal * cos_zenith,
        direct_normal_w_m2: direct_normal,
    }
}

impl Face {
    /// Cosine of the angle between the beam and the face's normal; zero or less when the sun is behind.
    pub fn cos_incidence(&self, sun: &SunPosition) -> f64 {
        let (tilt, zenith) = (self.tilt_deg.to_radians(), sun.zenith_deg.to_radians());
        let bearing = (sun.azimuth_deg - self.azimuth_deg).to_radians();
        libm::cos(zenith) * libm::cos(tilt)
            + libm::sin(zenith) * libm::sin(tilt) * libm::cos(bearing)
    }

    /// Radiation on the face: beam, isotropic sky (Liu & Jordan 1960) and ground of an albedo (0.2
    /// grass, 0.6 to 0.8 snow).
    ///
    /// An isotropic sky leaves out the brighter sky round the sun and at the horizon: up to 10 % low on a
    /// south wall under clear sky.
    pub fn irradiance(&self, split: &Split, sun: &SunPosition, albedo: f64) -> OnFace {
        let cos_tilt = libm::cos(self.tilt_deg.to_radians());
        let beam = if sun.cos_zenith() > 0.0 {
            self.cos_incidence(sun).max(0.0)
        } else {
            0.0
        };
        OnFace {
            direct_w_m2: split.direct_normal_w_m2 * beam,
            sky_w_m2: split.diffuse_w_m2 * (1.0 + cos_tilt) / 2.0,
            ground_w_m2: split.global_w_m2 * albedo * (1.0 - cos_tilt) / 2.0,
        }
    }
}

/// Global radiation under a clear sky, W/m2, by cosine of the zenith angle; zero with the sun down.
///
/// Haurwitz 1945, J. Meteorology 2:154 (Blue Hill observatory): 1098 cos z exp(-0.059 / cos z). Of the
/// models that need nothing but the sun's height the best one (Reno, Hansen & Stein 2012,
/// SAND2012-2389); within about 10 % of clear days, low in dry winter air and over snow.
pub fn clear_sky_global_w_m2(cos_zenith: f64) -> f64 {
    if cos_zenith <= 0.0 {
        return 0.0;
    }
    1_098.0 * cos_zenith * libm::exp(-0.059 / cos_zenith)
}

/// Share of the clear-sky global radiation that comes through a cloud cover, as a fraction of the sky.
///
/// Kasten & Czeplak 1980, Solar Energy 24:177: 1 - 0.75 N^3.4 (ten years of Hamburg). A mean: a given
/// hour under thin or thick cloud of the same cover differs by a third.
pub fn cloud_transmission(cloud_fraction: f64) -> f64 {
    1.0 - 0.75 * libm::pow(cloud_fraction.clamp(0.0, 1.0), 3.4)
}

/// Global radiation, W/m2, from the sun's height and the cloud cover alone.
pub fn global_from_cloud_w_m2(cos_zenith: f64, cloud_fraction: f64) -> f64 {
    clear_sky_global_w_m2(cos_zenith) * cloud_transmission(cloud_fraction)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sun(zenith_deg: f64) -> SunPosition {
        SunPosition {
            zenith_deg,
            azimuth_deg: 180.0,
            distance_au: 1.0,
        }
    }

    #[test]
    fn the_parts_always_make_the_whole() {
        for zenith in (0..=180).map(f64::from) {
            for global in [-3.0, 0.0, 1.0, 50.0, 400.0, 1_200.0] {
                let sun = sun(zenith);
                let split = split_global(global, &sun);
                let whole =
                    split.diffuse_w_m2 + split.direct_normal_w_m2 * sun.cos_zenith().max(0.0);
                assert!(
                    (whole - global.max(0.0)).abs() < 1e-9,
                    "{zenith}° {global} W/m2"
                );
                assert!(split.diffuse_w_m2 >= 0.0 && split.direct_normal_w_m2 >= 0.0);
                assert!(split.direct_normal_w_m2 <= SOLAR_CONSTANT_W_M2);
            }
        }
    }

    #[test]
    fn a_low_sun_gives_diffuse_light_only() {
        let split = split_global(12.0, &sun(88.5));
        assert_eq!((split.diffuse_w_m2, split.direct_normal_w_m2), (12.0, 0.0));
    }

    #[test]
    fn the_north_wall_gets_no_beam_from_a_southern_sun() {
        let wall = Face {
            tilt_deg: 90.0,
            azimuth_deg: 0.0,
        };
        let split = split_global(300.0, &sun(65.0));
        let on_wall = wall.irradiance(&split, &sun(65.0), 0.6);
        assert_eq!(on_wall.direct_w_m2, 0.0);
        assert!(on_wall.total_w_m2() > 90.0);
    }

    #[test]
    fn a_flat_lid_gets_the_global_radiation() {
        let lid = Face {
            tilt_deg: 0.0,
            azimuth_deg: 77.0,
        };
        let split = split_global(420.0, &sun(50.0));
        let on_lid = lid.irradiance(&split, &sun(50.0), 0.6);
        assert!((on_lid.total_w_m2() - 420.0).abs() < 1e-9);
    }

    #[test]
    fn cloud_takes_radiation_away_and_night_has_none() {
        assert_eq!(global_from_cloud_w_m2(-0.2, 0.0), 0.0);
        assert_eq!(global_from_cloud_w_m2(0.0, 0.0), 0.0);
        let steps: Vec<f64> = (0..=10)
            .map(|tenths| global_from_cloud_w_m2(0.4, f64::from(tenths) / 10.0))
            .collect();
        assert!(steps.windows(2).all(|pair| pair[1] < pair[0]));
        assert!((steps[10] / steps[0] - 0.25).abs() < 1e-12);
    }
}
