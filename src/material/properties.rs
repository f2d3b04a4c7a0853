//! What is known of one material.

use std::borrow::Cow;

use super::error::MaterialError;
use crate::source::Mark;
use serde::Serialize;

/// Thermal conductivities that a material may have, W/mK: a vacuum panel to above copper.
pub const CONDUCTIVITY_LIMITS_W_MK: (f64, f64) = (0.005, 500.0);
/// Densities that a material may have, kg/m³: aerogel to lead.
pub const DENSITY_LIMITS_KG_M3: (f64, f64) = (1.0, 12_000.0);
/// Specific heat capacities that a material may have, J/kgK: below lead to above water.
pub const SPECIFIC_HEAT_LIMITS_J_KGK: (f64, f64) = (100.0, 5_000.0);
/// Water vapour resistance factors that a material may have: still air to metal sheet.
pub const VAPOUR_FACTOR_LIMITS: (f64, f64) = (1.0, 1e7);

/// A homogeneous material, with the values used and the range that sources give for them.
///
/// Values do not vary with temperature (insulation conducts about 10 % less at -10 °C than at +10 °C, own estimate). What
/// moisture adds to the conductivity is not in them but follows from the water that a layer holds
/// ([`hive::vapour`](crate::hive::vapour)).
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Material {
    /// Lower-case letters, digits and hyphens: "wood-fibre-board".
    pub name: Cow<'static, str>,
    /// The name as people read it.
    #[serde(skip)]
    pub title: Cow<'static, str>,
    /// Other names that [`find`](super::find) knows.
    #[serde(skip)]
    pub aliases: &'static [&'static str],
    /// Thermal conductivity, W/mK.
    pub conductivity_w_mk: f64,
    /// Lowest and highest conductivity in the sources, W/mK; both the value itself where there is one source.
    #[serde(skip)]
    pub conductivity_range_w_mk: (f64, f64),
    /// Density, kg/m³.
    pub density_kg_m3: f64,
    /// Lowest and highest density in the sources, kg/m³.
    #[serde(skip)]
    pub density_range_kg_m3: (f64, f64),
    /// Specific heat capacity, J/kgK.
    pub specific_heat_j_kgk: f64,
    /// Lowest and highest specific heat capacity in the sources, J/kgK.
    #[serde(skip)]
    pub specific_heat_range_j_kgk: (f64, f64),
    /// Water vapour resistance factor mu of dry material (dry cup), 1 for still air; none where not known.
    pub vapour_factor_dry: Option<f64>,
    /// The same of damp material (wet cup).
    pub vapour_factor_wet: Option<f64>,
    /// Water that it takes from humid air, as a share of what wood takes (see [`sorption`](super::sorption)): 1 for wood, 0 for what takes none.
    pub sorption: f64,
    /// Where the conductivity and density come from.
    #[serde(skip)]
    pub source: Cow<'static, str>,
    /// How well the conductivity is founded; the note says where another value is founded less well.
    #[serde(skip)]
    pub mark: Mark,
    /// What a user should know when choosing it; may be empty.
    #[serde(skip)]
    pub note: Cow<'static, str>,
}

/// Materials poured or stuffed in by hand, whose conductivity varies with how they settle.
const LOOSE_FILL: [&str; 5] = [
    "shavings",
    "shavings-loose",
    "shavings-packed",
    "sawdust",
    "straw",
];
/// The material that is a closed gap, and the one that is a gap open to the outside.
const GAPS: [&str; 2] = ["air", "vented-air"];

impl Material {
    /// Whether it is poured or stuffed in by hand.
    #[must_use]
    pub fn is_loose_fill(&self) -> bool {
        LOOSE_FILL.contains(&self.name.as_ref())
    }

    /// Whether it is a gap of air, closed or open to the outside.
    #[must_use]
    pub fn is_gap(&self) -> bool {
        GAPS.contains(&self.name.as_ref())
    }

    /// Whether it is a gap open to the outside, where vapour leaves the hive.
    #[must_use]
    pub fn is_vented(&self) -> bool {
        self.name == GAPS[1]
    }

    /// A material that a user defines: its ranges are the values themselves, its mark is
    /// [`Mark::OwnEstimate`]. Title, source, mark and note may be set afterwards.
    ///
    /// # Errors
    /// As [`Material::validate`].
    pub fn defined(
        name: &str,
        conductivity_w_mk: f64,
        density_kg_m3: f64,
        specific_heat_j_kgk: f64,
        vapour_factor: Option<f64>,
    ) -> Result<Material, MaterialError> {
        let material = Material {
            name: Cow::Owned(name.to_owned()),
            title: Cow::Owned(name.to_owned()),
            aliases: &[],
            conductivity_w_mk,
            conductivity_range_w_mk: (conductivity_w_mk, conductivity_w_mk),
            density_kg_m3,
            density_range_kg_m3: (density_kg_m3, density_kg_m3),
            specific_heat_j_kgk,
            specific_heat_range_j_kgk: (specific_heat_j_kgk, specific_heat_j_kgk),
            vapour_factor_dry: vapour_factor,
            vapour_factor_wet: vapour_factor,
            sorption: 0.0,
            source: Cow::Borrowed("the scenario"),
            mark: Mark::OwnEstimate,
            note: Cow::Borrowed(""),
        };
        material.validate()?;
        Ok(material)
    }

    /// Checks the name and that every value is within the limits of this module and within its own range.
    ///
    /// # Errors
    /// [`MaterialError::Name`], [`MaterialError::Limits`] or [`MaterialError::Range`] for the first field that fails.
    pub fn validate(&self) -> Result<(), MaterialError> {
        let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
        if !self.name.starts_with(|c: char| c.is_ascii_lowercase()) || !self.name.chars().all(plain)
        {
            return Err(MaterialError::Name {
                name: self.name.to_string(),
            });
        }
        let fields = [
            (
                ("conductivity", "W/mK"),
                self.conductivity_w_mk,
                self.conductivity_range_w_mk,
                CONDUCTIVITY_LIMITS_W_MK,
            ),
            (
                ("density", "kg/m3"),
                self.density_kg_m3,
                self.density_range_kg_m3,
                DENSITY_LIMITS_KG_M3,
            ),
            (
                ("specific_heat", "J/kgK"),
                self.specific_heat_j_kgk,
                self.specific_heat_range_j_kgk,
                SPECIFIC_HEAT_LIMITS_J_KGK,
            ),
        ];
        for ((field, unit), value, (low, high), limits) in fields {
            for value in [value, low, high] {
                self.within_limits(field, unit, value, limits)?;
            }
            if !(low..=high).contains(&value) {
                return Err(MaterialError::Range {
                    name: self.name.to_string(),
                    field,
                    unit,
                    value,
                    low,
                    high,
                });
            }
        }
        for (field, factor) in [
            ("vapour_factor_dry", self.vapour_factor_dry),
            ("vapour_factor_wet", self.vapour_factor_wet),
        ] {
            if let Some(factor) = factor {
                self.within_limits(field, "", factor, VAPOUR_FACTOR_LIMITS)?;
            }
        }
        Ok(())
    }

    fn within_limits(
        &self,
        field: &'static str,
        unit: &'static str,
        value: f64,
        (low, high): (f64, f64),
    ) -> Result<(), MaterialError> {
        if (low..=high).contains(&value) {
            return Ok(());
        }
        Err(MaterialError::Limits {
            name: self.name.to_string(),
            field,
            unit,
            value,
            low,
            high,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_value_beyond_the_limits_is_refused_with_field_value_and_limits() {
        let refused = |k, rho, c, mu| {
            Material::defined("mat", k, rho, c, mu)
                .unwrap_err()
                .to_string()
        };
        assert_eq!(
            refused(35.0e3, 30.0, 1_400.0, None),
            "material 'mat': conductivity is 35000 W/mK; allowed is 0.005 to 500 W/mK"
        );
        assert!(
            refused(0.04, -30.0, 1_400.0, None)
                .contains("density is -30 kg/m3; allowed is 1 to 12000")
        );
        assert!(
            refused(0.04, 30.0, 1.4, None)
                .contains("specific_heat is 1.4 J/kgK; allowed is 100 to 5000")
        );
        assert!(
            refused(0.04, 30.0, 1_400.0, Some(0.0))
                .contains("vapour_factor_dry is 0; allowed is 1 to 10000000")
        );
        assert!(refused(f64::NAN, 30.0, 1_400.0, None).contains("conductivity is NaN"));
    }

    #[test]
    fn a_name_with_blanks_or_capitals_is_refused() {
        for name in ["", "Foam", "my foam", "-foam", "1", "mousse-é"] {
            let error = Material::defined(name, 0.04, 30.0, 1_400.0, None).unwrap_err();
            assert_eq!(
                error,
                MaterialError::Name {
                    name: name.to_owned()
                }
            );
        }
    }

    #[test]
    fn a_value_outside_its_own_range_is_refused() {
        let mut material = Material::defined("mat", 0.04, 30.0, 1_400.0, None).unwrap();
        material.conductivity_range_w_mk = (0.05, 0.06);
        assert!(matches!(
            material.validate(),
            Err(MaterialError::Range {
                field: "conductivity",
                ..
            })
        ));
    }
}
