//! What a hive weighs without bees, honey and the water that it takes up in winter.
//!
//! Weak where the bill of materials is: rims, cleats, mesh, fastenings and paint weigh nothing here, and wood differs by a quarter. Whoever
//! has weighed the empty hive gives its [`tare`](Hive::tare_kg), which takes the place of the sum.

use super::build::Build;
use super::description::Hive;
use super::schedule::InForce;
use crate::parameter::Parameters;

impl Hive {
    /// Mass of all frames with empty comb, kg. A frame is as large as the box seen from its side.
    #[must_use]
    pub fn frames_kg(&self, parameters: &Parameters) -> f64 {
        let cavity = &self.cavity;
        let frames_m2 =
            f64::from(self.frames * cavity.boxes) * cavity.length_m * cavity.box_height_m;
        frames_m2 * parameters.frame_kg_m2
    }

    /// Mass of the hive with frames and empty comb while certain of its changes hold, kg: its tare, or the sum of its layers and
    /// frames, with the layers that the changes bring or take.
    ///
    /// ```
    /// use overwinter::hive::InForce;
    /// use overwinter::{parameter::Parameters, scenario};
    /// let mut hive = scenario::built_in().hive;
    /// let kg = hive.empty_kg(InForce::default(), &Parameters::default());
    /// assert!((kg - 23.53).abs() < 0.01);
    /// hive.tare_kg = Some(26.0);
    /// assert_eq!(hive.empty_kg(InForce::default(), &Parameters::default()), 26.0);
    /// ```
    #[must_use]
    pub fn empty_kg(&self, in_force: InForce, parameters: &Parameters) -> f64 {
        let layers_kg = Build::new(&self.altered(in_force)).mass_kg();
        match self.tare_kg {
            None => layers_kg + self.frames_kg(parameters),
            Some(tare_kg) => tare_kg + (layers_kg - Build::new(self).mass_kg()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::hive::{Alteration, Change, Layer, When};
    use crate::material::find;
    use crate::scenario::built_in;
    use approx::assert_relative_eq;

    /// Two boxes of ten frames, each 0.465 by 0.244 m: 2.269 m2 at 4 kg/m2.
    #[test]
    fn frames_weigh_by_their_area() {
        let kg = built_in().hive.frames_kg(&Parameters::default());
        assert_relative_eq!(kg, 20.0 * 0.465 * 0.244 * 4.0, max_relative = 1e-12);
    }

    #[test]
    fn a_wrap_adds_its_own_mass_to_a_sum_and_to_a_tare_alike() {
        let p = Parameters::default();
        let mut hive = built_in().hive;
        let xps = find("xps").expect("a material").clone();
        hive.changes = vec![Change {
            when: When::default(),
            what: Alteration {
                wrap: Some(vec![Layer::new(xps, 0.038)]),
                ..Alteration::default()
            },
        }];
        let wrapped = InForce::on(&hive.changes, jiff::civil::date(2021, 1, 1), 0.0);
        let added =
            |hive: &Hive| hive.empty_kg(wrapped, &p) - hive.empty_kg(InForce::default(), &p);
        let by_sum_kg = added(&hive);
        hive.tare_kg = Some(20.0);
        assert!(by_sum_kg > 1.0, "{by_sum_kg}");
        assert_relative_eq!(added(&hive), by_sum_kg, max_relative = 1e-12);
    }
}
