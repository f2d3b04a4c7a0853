//! Thermal bridges: what the framing of a layer costs.
//!
//! The edges of the box are the other bridges; [`HeatLoss::edges_w_k`] has them.

use super::build_up::BuildUp;
use super::description::Hive;
use super::heatloss::{HeatLoss, Pair};
use super::parts::Layer;
use crate::parameter::Parameters;
use serde::Serialize;

/// Ratio of the limits above which the combined method holds no longer (ISO 6946:2017, 6.7.2.1; from memory).
pub const WIDEST_LIMITS: f64 = 1.5;

/// The framing of one layer.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FramingBridge {
    /// Where the layer is: "all four sides", "lid", "floor".
    pub build_up: &'static str,
    /// Number of the layer, 1 being the innermost.
    pub layer: usize,
    /// What the layer is made of between its framing.
    pub material: String,
    /// What the framing is made of.
    pub framing: String,
    /// Share of the layer's area that the framing takes, 0 to 1.
    pub share: f64,
    /// Conductance of these surfaces as they are, with edges, W/K.
    pub with_w_k: f64,
    /// The same with this layer unframed, W/K.
    pub without_w_k: f64,
    /// Upper limit of the resistance of the build-up with standard films, m2K/W.
    pub upper_m2k_w: f64,
    /// Lower limit of the same, m2K/W.
    pub lower_m2k_w: f64,
    /// Largest error of the combined method, as a share of the resistance (ISO 6946:2017, 6.7.2.4).
    pub error_share: f64,
}

impl FramingBridge {
    /// What the framing adds, W/K; below zero where it conducts less than the filling.
    #[must_use]
    pub fn cost_w_k(&self) -> f64 {
        self.with_w_k - self.without_w_k
    }

    /// Whether the limits are so far apart that the standard asks for a finer method.
    #[must_use]
    pub fn is_beyond_the_standard(&self) -> bool {
        self.upper_m2k_w > WIDEST_LIMITS * self.lower_m2k_w
    }
}

/// The framing of every framed layer of `hive`, from the sides to the floor and from the inside out.
///
/// Each is taken out alone from the hive as it is; where two layers of one build-up are framed, their costs do not sum exactly.
#[must_use]
pub fn framing_bridges(hive: &Hive, pair: Pair, parameters: &Parameters) -> Vec<FramingBridge> {
    let with = HeatLoss::new(hive, pair, parameters);
    let bridges = BuildUp::ALL.iter().flat_map(|build_up| {
        let layers = build_up.layers(hive).iter().enumerate();
        layers
            .filter_map(|(number, layer)| bridge(hive, *build_up, number, layer, &with, parameters))
    });
    bridges.collect()
}

fn bridge(
    hive: &Hive,
    build_up: BuildUp,
    number: usize,
    layer: &Layer,
    with: &HeatLoss,
    parameters: &Parameters,
) -> Option<FramingBridge> {
    let framing = layer.framing.as_ref()?;
    let mut unframed = hive.clone();
    build_up.layers_mut(&mut unframed)?[number].framing = None;
    let without = HeatLoss::new(&unframed, with.pair, parameters);
    let limits = build_up.resistance_limits(hive);
    Some(FramingBridge {
        build_up: build_up.words(),
        layer: number + 1,
        material: layer.material.name.to_string(),
        framing: framing.material.name.to_string(),
        share: framing.share,
        with_w_k: with.build_up_w_k(build_up),
        without_w_k: without.build_up_w_k(build_up),
        upper_m2k_w: limits.upper_m2k_w,
        lower_m2k_w: limits.lower_m2k_w,
        error_share: limits.error_share(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::hive::Framing;
    use crate::material::find;
    use crate::scenario::built_in;
    use approx::assert_relative_eq;

    const PAIR: Pair = Pair {
        inside_c: 10.0,
        outside_c: -10.0,
        wind_m_s: 1.0,
    };

    fn layer(name: &str, thickness_m: f64) -> Layer {
        Layer::new(find(name).unwrap().clone(), thickness_m)
    }

    fn framed(name: &str, thickness_m: f64, framing: &str, share: f64) -> Layer {
        Layer {
            framing: Some(Framing {
                material: find(framing).unwrap().clone(),
                share,
            }),
            ..layer(name, thickness_m)
        }
    }

    fn bridges(hive: &Hive) -> Vec<FramingBridge> {
        framing_bridges(hive, PAIR, &Parameters::default())
    }

    #[test]
    fn a_hive_without_framing_has_no_framing_bridge() {
        assert_eq!(bridges(&built_in().hive), []);
    }

    /// The framed wall of `tests/validation/heat.rs`: upper limit 2.505782, lower 2.378862, mean 2.442322 m2K/W; unframed it has
    /// 0.17 + 0.02 / 0.13 + 0.1 / 0.037 + 0.012 / 0.13 = 3.118857.
    #[test]
    fn timber_in_wool_costs_what_the_sections_done_by_hand_say() {
        let mut hive = built_in().hive;
        hive.wall = vec![
            layer("softwood", 0.02),
            framed("mineral-wool", 0.1, "softwood", 0.15),
            layer("plywood", 0.012),
        ];
        let found = bridges(&hive);
        let [bridge] = &found[..] else {
            panic!("{found:?}");
        };
        assert_relative_eq!(bridge.upper_m2k_w, 2.505_782, epsilon = 1e-6);
        assert_relative_eq!(bridge.lower_m2k_w, 2.378_862, epsilon = 1e-6);
        let error = (2.505_782 - 2.378_862) / (2.0 * 2.442_322);
        assert_relative_eq!(bridge.error_share, error, epsilon = 1e-6);
        assert!(!bridge.is_beyond_the_standard());
        assert_eq!((bridge.build_up, bridge.layer), ("all four sides", 2));
        // Without edges and with standard films the conductances would be in the inverse ratio of the resistances; the films of the
        // pair and the edges move it by a few per cent.
        let ratio = bridge.with_w_k / bridge.without_w_k;
        assert_relative_eq!(ratio, 3.118_857 / 2.442_322, max_relative = 0.03);
    }

    #[test]
    fn framing_of_the_layers_own_material_costs_nothing() {
        let mut hive = built_in().hive;
        hive.lid = vec![framed("softwood", 0.019, "softwood", 0.2)];
        let found = bridges(&hive);
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].build_up, "lid");
        assert!(found[0].cost_w_k().abs() < 1e-12, "{found:?}");
        assert!(found[0].error_share.abs() < 1e-12);
    }

    #[test]
    fn steel_in_foam_is_beyond_the_standard() {
        let mut hive = built_in().hive;
        hive.wall = vec![framed("xps", 0.1, "steel", 0.05)];
        let found = bridges(&hive);
        assert!(found[0].is_beyond_the_standard(), "{found:?}");
    }
}
