//! Water vapour: how it crosses films and layers, and how much water a layer holds.
//!
//! Flows are driven by differences of vapour pressure, as in ISO 13788:2012. Weak where liquid water moves: layers take up and pass on
//! vapour only; but a film that is not frozen is sucked up by open plant material and wool, as cloth, filling or soft board. Solid wood, which bees
//! coat, does not suck, and water in a filling sinks only where it overflows.

use super::airflow::AIR_J_KGK;
use super::parts::Layer;
use crate::lane::{Number, per_lane};
use crate::material::{Material, sorption};
use serde::Serialize;

/// Vapour permeability of still air, kg/(m s Pa) (ISO 13788:2012, 2e-10; published).
pub const STILL_AIR_KG_M_S_PA: f64 = 2.0e-10;
/// Molar mass of water over that of dry air (ASHRAE Fundamentals, published).
const MASS_RATIO: f64 = 0.621_945;
/// Gas constant of water vapour, J/kgK (published).
pub const VAPOUR_J_KGK: f64 = 461.5;
/// Lewis number of water vapour in air: thermal over vapour diffusivity (ASHRAE Fundamentals, mass transfer chapter: 0.845;
/// from memory).
pub const LEWIS_NUMBER: f64 = 0.845;
/// `LEWIS_NUMBER^(2/3)`.
const LEWIS_FACTOR: f64 = 0.893_794_8;

/// Vapour factor of a material that has none in the table: such a layer counts as tight.
const UNKNOWN_FACTOR: f64 = 1e6;
/// Relative humidities at which the dry-cup and the wet-cup vapour factor hold (ISO 12572: 0 to 50 % and 50 to 93 %, in the mean).
const DRY_CUP: f64 = 0.25;
const WET_CUP: f64 = 0.72;

/// Water that a material without sorption holds in its pores and on its faces at 100 % humidity, kg/m3. Own estimate: foams and
/// mineral wool hold less than a kilogram; small enough not to matter, large enough to be followed.
const PORE_KG_M3: f64 = 0.5;
/// Share of a layer's volume that liquid can fill before it overflows: of plant material and wool (own estimate)...
const FULL_SHARE: f64 = 0.5;
/// ...and of foams, felt and metal, which water does not enter (own estimate).
const FULL_SHARE_TIGHT: f64 = 0.02;
/// Condensate that hangs in a gap before it runs, kg/m2 (ISO 13788's limit for upright surfaces, from memory).
const GAP_HOLDS_KG_M2: f64 = 0.2;
/// Density below which plant material and wool are loose fibres, kg/m3 (own choice between shavings and boards).
const LOOSE_KG_M3: f64 = 200.0;
/// Sorption from which a material sucks up liquid: cork, which repels it, has less (own choice).
const SUCKING: f64 = 0.5;
/// Dry-cup vapour factor below which a layer counts as open to vapour (own choice, between boards and solid wood).
pub const OPEN_FACTOR: f64 = 15.0;
const WATER_KG_M3: f64 = 1000.0;
/// Conductivity of water, W/mK: no wet layer conducts more.
const WATER_W_MK: f64 = 0.6;
/// Rise of a foam's or mineral wool's conductivity with its water, as a share of itself, m3 of material a m3 of water (ISO 10456:2007 table 4: 2.5
/// to 6, from memory).
const PORE_GAIN: f64 = 4.0;
/// Humidity at which conductivities of the tables hold (ISO 10456: 23 °C and 50 %).
const TABLE_HUMIDITY: f64 = 0.5;

/// Vapour carried for each joule that moving air carries, kg K/(J Pa): `0.622 / (c_p p)`.
///
/// The humidity ratio is taken as `0.622 e / p`, without the vapour's own share of the pressure: one part in a hundred at 10 °C.
#[must_use]
#[inline(always)]
pub fn vapour_per_heat<N: Number>(pressure_pa: N) -> N {
    pressure_pa.splat(MASS_RATIO / AIR_J_KGK) / pressure_pa
}

/// Vapour conductance of a film that conducts `convection` by moving air alone, in the unit of the convection times kg K/(J Pa):
/// the Lewis relation `h_m = h_c / (rho c_p Le^(2/3))`.
///
/// ```
/// // Illig 1952: about 7e-9 kg/(m2 s Pa) for each W/m2K.
/// let film = overwinter::hive::vapour::film_vapour(1.0, 101_325.0);
/// assert!((film - 7e-9).abs() < 0.3e-9);
/// ```
#[must_use]
#[inline(always)]
pub fn film_vapour<N: Number>(convection: N, pressure_pa: N) -> N {
    convection * (vapour_per_heat(pressure_pa) * (1.0 / LEWIS_FACTOR))
}

/// Saturation pressure on a surface, Pa: over ice below 0 °C, over water above (ISO 13788:2012 annex E; from memory).
/// Too low by 0.25 % at most from -10 to 40 °C, by 0.5 % at -20, 1.0 % at -30 and 1.9 % at -40 (`tests/validation/moisture.rs`).
///
/// ```
/// use overwinter::hive::vapour::saturation_pa;
/// assert!((saturation_pa(20.0) - 2338.8).abs() < 5.0 && (saturation_pa(-10.0) - 259.9).abs() < 1.0);
/// ```
#[must_use]
pub fn saturation_pa(temperature_c: f64) -> f64 {
    Saturation::at(temperature_c).pa
}

/// Saturation pressure over liquid water, supercooled below 0 °C, Pa, as humidities are told by: `611.2 exp(17.62 t / (243.12 + t))` (WMO-No. 8, 2014,
/// annex 4.B; from memory). From -40 to 45 °C within 0.6 % of Murphy & Koop 2005, by which weather is read.
#[must_use]
#[inline(always)]
pub fn saturation_over_water_pa<N: Number>(temperature_c: N) -> N {
    let t = temperature_c;
    (t * 17.62 / (t + 243.12)).exp() * 611.2
}

/// Saturation on a surface, and how it rises with temperature.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Saturation<N = f64> {
    /// As [`saturation_pa`].
    pub pa: N,
    /// Rise of the logarithm of the pressure with temperature, 1/K.
    pub rise_per_k: N,
}

impl<N: Number> Saturation<N> {
    /// At a temperature in degC.
    #[must_use]
    #[inline(always)]
    pub fn at(temperature_c: N) -> Self {
        let t = temperature_c;
        let liquid = t.ge(t.splat(0.0));
        let slope = N::choose(liquid, t.splat(17.269), t.splat(21.875));
        let base_c = N::choose(liquid, t.splat(237.3), t.splat(265.5));
        let per_k = t.splat(1.0) / (base_c + t);
        let steepness = slope * per_k;
        Self {
            pa: (steepness * t).exp() * 610.5,
            rise_per_k: steepness * (base_c * per_k),
        }
    }
}

impl<N: Number> Saturation<N> {
    /// Over liquid water, also below 0 °C, at a temperature in degC: [`saturation_over_water_pa`].
    #[must_use]
    #[inline(always)]
    pub fn over_water(temperature_c: N) -> Self {
        let per_k = temperature_c.splat(1.0) / (temperature_c + 243.12);
        Self {
            pa: saturation_over_water_pa(temperature_c),
            rise_per_k: per_k * per_k * (17.62 * 243.12),
        }
    }
}

/// What one cell of a chain does with water.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct DampCell<N = f64> {
    /// Resistance of half of it to vapour, by the dry cup and by the wet, Pa s/kg.
    pub half_pa_s_kg: [N; 2],
    /// Dry mass that sorbs as wood does, kg; none where it does not sorb.
    pub wood_kg: N,
    /// Water at which the table's conductivity holds, kg.
    table_kg: N,
    /// Rise of its conductivity with its water, as a share of itself, 1/kg.
    gain_per_kg: N,
    /// Most that its conductivity can rise by water.
    most: N,
    /// Rise of its humidity with its water just below saturation, 1/kg.
    top_per_kg: N,
    /// Water that it holds at 100 % humidity, kg.
    pub saturated_kg: N,
    /// Water at which it overflows, kg.
    pub full_kg: N,
    /// One over the dry mass that sorbs, or over what saturates a cell that does not sorb, 1/kg.
    per_kg: N,
    /// Sorbs as wood does.
    sorbs: bool,
    /// Loose filling of plant material, as is poured into a lid.
    pub filling: bool,
    /// Sucks up liquid that touches it: plant material and wool through which vapour passes freely.
    pub sucks: bool,
}

/// Water of a cell and what it does to the vapour in it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CellHumidity<N = f64> {
    /// Relative humidity, 0 to 1.
    pub humidity: N,
    /// Its rise with the water held, 1/kg; nothing when wet.
    pub per_kg: N,
}

per_lane!(DampCell { half_pa_s_kg, wood_kg, saturated_kg, full_kg, table_kg, gain_per_kg, most, per_kg, top_per_kg } like { sorbs, filling, sucks });

impl DampCell {
    /// A cell of `layer`, `thickness_m` thick, of a mean area, conducting `conductivity_w_mk` when dry.
    #[must_use]
    pub fn new(layer: &Layer, thickness_m: f64, area_m2: f64, conductivity_w_mk: f64) -> Self {
        let material = &layer.material;
        let volume_m3 = thickness_m * area_m2;
        let (dry, wet) = factors(material);
        let half = |own: f64, of_framing: fn(&Material) -> f64| {
            let open = layer.framing.as_ref().map_or(1.0 / own, |framing| {
                (1.0 - framing.share) / own + framing.share / of_framing(&framing.material)
            });
            0.5 * thickness_m / (STILL_AIR_KG_M_S_PA * open * area_m2)
        };
        let sorbing = |material: &Material, share: f64| {
            share * material.sorption * material.density_kg_m3 * volume_m3
        };
        let wood_kg = layer.framing.as_ref().map_or_else(
            || sorbing(material, 1.0),
            |framing| {
                sorbing(material, 1.0 - framing.share) + sorbing(&framing.material, framing.share)
            },
        );
        let saturated_kg = if wood_kg > 0.0 {
            wood_kg * sorption::saturated_kg_kg()
        } else {
            PORE_KG_M3 * volume_m3
        };
        let framed = layer.framing.as_ref().map_or(0.0, |framing| framing.share);
        let open = |material: &Material, dry: f64| material.sorption > 0.0 || dry < OPEN_FACTOR;
        let full_of = |material: &Material| {
            if open(material, factors(material).0) {
                FULL_SHARE
            } else {
                FULL_SHARE_TIGHT
            }
        };
        let full_kg = if material.is_gap() {
            saturated_kg + GAP_HOLDS_KG_M2 * area_m2
        } else {
            let of_framing = layer
                .framing
                .as_ref()
                .map_or(0.0, |framing| framing.share * full_of(&framing.material));
            let share = (1.0 - framed) * full_of(material) + of_framing;
            (share * WATER_KG_M3 * volume_m3).max(1.5 * saturated_kg)
        };
        let (table_kg, gain_per_kg) = if wood_kg > 0.0 {
            let table = sorption::wood_moisture_kg_kg(sorption::REFERENCE_C, TABLE_HUMIDITY);
            // Where only the framing sorbs, only its share of the heat passes better.
            let sorbing = layer
                .framing
                .as_ref()
                .filter(|_| material.sorption == 0.0)
                .map_or(1.0, |framing| {
                    framing.share * framing.material.conductivity_w_mk / conductivity_w_mk
                });
            (wood_kg * table, sorbing * damp_gain(material) / wood_kg)
        } else if material.is_gap() {
            (0.0, 0.0)
        } else {
            (0.0, PORE_GAIN / (WATER_KG_M3 * volume_m3))
        };
        let mut cell = Self {
            half_pa_s_kg: [
                half(dry, |material| factors(material).0),
                half(wet, |material| factors(material).1),
            ],
            wood_kg,
            saturated_kg,
            full_kg,
            table_kg,
            gain_per_kg,
            most: (WATER_W_MK / conductivity_w_mk).max(1.0),
            filling: layer.material.is_loose_fill(),
            sucks: material.sorption >= SUCKING && dry < OPEN_FACTOR,
            per_kg: 1.0 / if wood_kg > 0.0 { wood_kg } else { saturated_kg },
            top_per_kg: 0.0,
            sorbs: wood_kg > 0.0,
        };
        cell.top_per_kg = cell.humidity(saturated_kg * (1.0 - 1e-6)).per_kg;
        cell
    }

    /// A share of the cell, 0 to 1: as if so much of its area were all.
    #[must_use]
    pub fn part(&self, share: f64) -> Self {
        Self {
            half_pa_s_kg: self.half_pa_s_kg.map(|half| half / share),
            wood_kg: self.wood_kg * share,
            table_kg: self.table_kg * share,
            gain_per_kg: self.gain_per_kg / share,
            top_per_kg: self.top_per_kg / share,
            saturated_kg: self.saturated_kg * share,
            full_kg: self.full_kg * share,
            per_kg: self.per_kg / share,
            ..*self
        }
    }

    /// Water held at a relative humidity of 0 to 1, kg.
    #[must_use]
    pub fn water_kg(&self, humidity: f64) -> f64 {
        if self.wood_kg > 0.0 {
            self.wood_kg * sorption::wood_moisture_kg_kg(sorption::REFERENCE_C, humidity)
        } else {
            self.saturated_kg * humidity
        }
    }
}

impl<N: Number> DampCell<N> {
    /// Humidity of the cell when it holds `water_kg`.
    #[must_use]
    #[inline(always)]
    pub fn humidity(&self, water_kg: N) -> CellHumidity<N> {
        let content = water_kg * self.per_kg;
        let (humidity, per_kg) = if self.sorbs {
            let wood = sorption::wood_humidity(content);
            (wood.humidity, wood.per_kg_kg * self.per_kg)
        } else {
            (content, self.per_kg)
        };
        let wet = water_kg.ge(self.saturated_kg);
        CellHumidity {
            humidity: N::choose(wet, water_kg.splat(1.0), humidity),
            per_kg: N::choose(wet, water_kg.splat(0.0), per_kg),
        }
    }

    /// Rise of the humidity with the water just below saturation, 1/kg.
    #[must_use]
    #[inline(always)]
    pub fn top_per_kg(&self) -> N {
        self.top_per_kg
    }

    /// Resistance of half of the cell to vapour when it holds `water_kg`, Pa s/kg: between the two cups by its humidity.
    #[must_use]
    #[inline(always)]
    pub fn half_pa_s_kg(&self, water_kg: N) -> N {
        let [dry, wet] = self.half_pa_s_kg;
        let humidity = self.humidity(water_kg).humidity;
        let share = ((humidity - DRY_CUP) * (1.0 / (WET_CUP - DRY_CUP))).within(0.0, 1.0);
        let one = share.splat(1.0);
        one / ((one - share) / dry + share / wet)
    }

    /// How many times as well as by the table the cell conducts heat when it holds `water_kg`: `1 + f (u - u_table)`, at most as water
    /// does. Drier than in the table counts as in the table.
    #[must_use]
    #[inline(always)]
    pub fn conduction_gain(&self, water_kg: N) -> N {
        (self.gain_per_kg * (water_kg - self.table_kg).positive() + 1.0).min(self.most)
    }
}

/// Rise of the conductivity of wood with its moisture content, as a share of itself, kg dry a kg of water. The *Wood Handbook*
/// (2010, equation 4-7, from memory: `k = G (0.1941 + 0.004064 M) + 0.0186`) gives 1.4 for softwood.
pub const DAMP_GAIN_WOOD: f64 = 1.5;
/// The same of loose fibres (ISO 10456:2007 table 4, loose-fill cellulose, from memory).
pub const DAMP_GAIN_LOOSE: f64 = 0.5;

fn damp_gain(material: &Material) -> f64 {
    if material.sorption > 0.0 && material.density_kg_m3 < LOOSE_KG_M3 {
        DAMP_GAIN_LOOSE
    } else {
        DAMP_GAIN_WOOD
    }
}

/// Dry-cup and wet-cup vapour factors of a material.
fn factors(material: &Material) -> (f64, f64) {
    let dry = material.vapour_factor_dry.or(material.vapour_factor_wet);
    let wet = material.vapour_factor_wet.or(material.vapour_factor_dry);
    (dry.unwrap_or(UNKNOWN_FACTOR), wet.unwrap_or(UNKNOWN_FACTOR))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::material::find;
    use crate::weather::humidity::saturation_pressure_over_water_pa;

    #[test]
    fn saturation_over_water_is_that_by_which_weather_is_read() {
        for degrees in -40..=45 {
            let c = f64::from(degrees);
            let off = saturation_over_water_pa(c) / saturation_pressure_over_water_pa(c) - 1.0;
            assert!(off.abs() < 0.006, "{c} {off}");
        }
    }

    fn cell(material: &str, thickness_m: f64) -> DampCell {
        let material = find(material).expect("a material").clone();
        let conductivity = material.conductivity_w_mk;
        DampCell::new(
            &Layer::new(material, thickness_m),
            thickness_m,
            1.0,
            conductivity,
        )
    }

    #[test]
    fn the_lewis_factor_is_the_power_that_it_stands_for() {
        let power = libm::pow(LEWIS_NUMBER, 2.0 / 3.0);
        assert!((power - LEWIS_FACTOR).abs() < 1e-7, "{power}");
    }

    #[test]
    fn the_rise_of_the_saturation_pressure_is_its_finite_difference() {
        for c in [-30.0, -0.5, 0.5, 25.0] {
            let step = saturation_pa(c + 1e-4) - saturation_pa(c - 1e-4);
            let rise = step / 2e-4 / saturation_pa(c);
            assert!(
                (rise / Saturation::at(c).rise_per_k - 1.0).abs() < 1e-6,
                "{c}"
            );
        }
    }

    #[test]
    fn a_layer_resists_vapour_as_its_factor_times_still_air() {
        // Mineral wool, factor 1, 100 mm: 0.1 / 2e-10 = 5e8 Pa s m2/kg, half of it before the middle.
        let half = cell("mineral-wool", 0.1).half_pa_s_kg(0.0);
        assert!((half - 2.5e8).abs() < 1.0, "{half}");
    }

    #[test]
    fn a_cell_gives_back_the_humidity_of_its_water() {
        for name in ["softwood", "shavings", "xps", "air"] {
            let cell = cell(name, 0.02);
            for humidity in [0.1, 0.5, 0.9] {
                let back = cell.humidity(cell.water_kg(humidity)).humidity;
                assert!((back - humidity).abs() < 3e-3, "{name} {humidity} {back}");
            }
            assert_eq!(cell.humidity(1.01 * cell.saturated_kg).humidity, 1.0);
        }
    }

    #[test]
    fn a_cell_a_hair_below_saturation_is_wet_or_has_a_slope() {
        for name in ["softwood", "shavings", "sheep-wool", "xps"] {
            let cell = cell(name, 0.000_45);
            let mut water_kg = cell.saturated_kg;
            for _ in 0..8 {
                let here = cell.humidity(water_kg);
                assert!(
                    here.humidity == 1.0 || here.per_kg > 0.0,
                    "{name}: {here:?}"
                );
                water_kg = water_kg.next_down();
            }
        }
    }

    #[test]
    fn wet_shavings_conduct_more_and_never_more_than_water() {
        let shavings = cell("shavings", 0.075);
        let dry_kg = shavings.wood_kg;
        assert_eq!(shavings.conduction_gain(0.05 * dry_kg), 1.0);
        let damp = shavings.conduction_gain(0.30 * dry_kg);
        assert!((1.08..1.13).contains(&damp), "{damp}");
        assert!(shavings.conduction_gain(30.0 * dry_kg) * 0.08 <= 0.6 + 1e-12);
    }

    #[test]
    fn damp_wood_lets_more_vapour_through() {
        let wood = cell("softwood", 0.02);
        let dry = wood.half_pa_s_kg(wood.water_kg(0.2));
        let damp = wood.half_pa_s_kg(wood.water_kg(0.9));
        assert!((dry / damp - 2.5).abs() < 1e-9, "{dry} {damp}");
    }
}
