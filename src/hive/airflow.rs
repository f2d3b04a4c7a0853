//! Air through the openings of a hive: two-way exchange of one level, through flow between two.
//!
//! Sources: single-sided airing of EN 15242 / EN 16798-7 (coefficients from memory, in the parameter table); sharp-edged
//! orifices in series with stack and wind pressure (ASHRAE Fundamentals, ventilation chapter). Weak for very small openings,
//! where edges are not sharp, in gusts, and for an open mesh floor in still air: the standard's turbulence term lets it exchange, though cold
//! air under warm lies still.

use super::description::Hive;
use super::surface::UPPER_SHARE;
use crate::parameter::Parameters;

/// Specific heat of air, J/kgK (dry, published).
pub const AIR_J_KGK: f64 = 1_006.0;
/// Gas constant of dry air, J/kgK (published).
const GAS_J_KGK: f64 = 287.05;
const ZERO_C_K: f64 = 273.15;
const GRAVITY_M_S2: f64 = 9.806_65;

/// Pressure of the air when the weather does not give it: standard atmosphere at sea level, Pa.
pub const STANDARD_PRESSURE_PA: f64 = 101_325.0;

/// Density of dry air, kg/m3.
///
/// ```
/// let rho = overwinter::hive::airflow::air_density_kg_m3(0.0, 101_325.0);
/// assert!((rho - 1.2923).abs() < 5e-4);
/// ```
#[must_use]
pub fn air_density_kg_m3(temperature_c: f64, pressure_pa: f64) -> f64 {
    pressure_pa / (GAS_J_KGK * (temperature_c + ZERO_C_K))
}

/// Free openings of a hive, by level.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Openings {
    /// Free area at the level of the floor: entrances and open mesh, m2.
    pub lower_m2: f64,
    /// Height of the lower opening over which its own stack acts, m.
    pub lower_height_m: f64,
    /// Free area of uncorked upper vents, m2.
    pub upper_m2: f64,
    /// Height of the upper vents over which their own stack acts, m.
    pub upper_height_m: f64,
    /// Height between both levels, m.
    pub rise_m: f64,
}

impl Openings {
    /// The openings of `hive`.
    #[must_use]
    pub fn of(hive: &Hive) -> Self {
        let mesh_m2 = hive.cavity.plan_m2() * hive.floor.free_share();
        let open_vents = || hive.vents.iter().filter(|vent| !vent.corked);
        Self {
            lower_m2: mesh_m2 + hive.entrances.iter().map(|o| o.area_m2()).sum::<f64>(),
            lower_height_m: tallest(hive.entrances.iter().map(|o| o.height_m)),
            upper_m2: open_vents().map(|vent| vent.opening.area_m2()).sum(),
            upper_height_m: tallest(open_vents().map(|vent| vent.opening.height_m)),
            rise_m: hive.cavity.height_m(),
        }
    }
}

fn tallest(heights_m: impl Iterator<Item = f64>) -> f64 {
    heights_m.fold(0.0, f64::max)
}

/// Heat that moving air carries for each kelvin, W/K.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Airflow {
    /// Two-way exchange of the lower air with the outside.
    pub lower_w_k: f64,
    /// Two-way exchange of the upper air with the outside.
    pub upper_w_k: f64,
    /// Through flow between both levels; positive is in below and out above.
    pub through_w_k: f64,
}

impl Airflow {
    /// Through flow that enters below and leaves above, W/K.
    #[must_use]
    pub fn up_w_k(&self) -> f64 {
        self.through_w_k.max(0.0)
    }

    /// Through flow that enters above and leaves below, W/K.
    #[must_use]
    pub fn down_w_k(&self) -> f64 {
        (-self.through_w_k).max(0.0)
    }
}

/// State of the air round the openings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AirState {
    /// Wind at the hive, m/s.
    pub wind_m_s: f64,
    /// Outside air, degC.
    pub outside_c: f64,
    /// Upper air, degC.
    pub upper_c: f64,
    /// Lower air, degC.
    pub lower_c: f64,
    /// Air pressure, Pa.
    pub pressure_pa: f64,
}

/// Air that moves through `openings`, as heat for each kelvin.
///
/// A level that carries through flow keeps of its two-way exchange only what exceeds that flow.
#[must_use]
pub fn airflow(openings: &Openings, air: &AirState, parameters: &Parameters) -> Airflow {
    let heat_j_m3k = AIR_J_KGK * air_density_kg_m3(air.outside_c, air.pressure_pa);
    let through_m3_s = through_m3_s(openings, air, parameters);
    let level = |area_m2, height_m, inside_c: f64| {
        let difference_k = (inside_c - air.outside_c).abs();
        let both_ways = two_way_m3_s(area_m2, height_m, air.wind_m_s, difference_k, parameters);
        (both_ways - through_m3_s.abs()).max(0.0) * heat_j_m3k
    };
    Airflow {
        lower_w_k: level(openings.lower_m2, openings.lower_height_m, air.lower_c),
        upper_w_k: level(openings.upper_m2, openings.upper_height_m, air.upper_c),
        through_w_k: through_m3_s * heat_j_m3k,
    }
}

/// Two-way exchange through an opening of one level, m3/s: `0.5 A sqrt(Ct + Cw v^2 + Cst H dT)` (EN 16798-7:2017, airing).
#[must_use]
pub fn two_way_m3_s(
    area_m2: f64,
    height_m: f64,
    wind_m_s: f64,
    difference_k: f64,
    parameters: &Parameters,
) -> f64 {
    let p = parameters;
    let drive = p.airing_turbulence
        + p.airing_wind * wind_m_s * wind_m_s
        + p.airing_stack * height_m * difference_k;
    0.5 * area_m2 * drive.sqrt()
}

/// Flow through a sharp-edged opening, m3/s, under `pressure_pa` of either sign: `Cd A sqrt(2 dp / rho)`.
///
/// ```
/// let flow = overwinter::hive::airflow::orifice_m3_s(10e-4, 1.0, 1.2, 0.61);
/// assert!((flow - 7.875066e-4).abs() < 1e-9);
/// ```
#[must_use]
pub fn orifice_m3_s(area_m2: f64, pressure_pa: f64, density_kg_m3: f64, discharge: f64) -> f64 {
    let speed_m_s = (2.0 * pressure_pa.abs() / density_kg_m3).sqrt();
    (discharge * area_m2 * speed_m_s).copysign(pressure_pa)
}

/// Area of one opening that resists as two in series do: `A1 A2 / sqrt(A1^2 + A2^2)`, m2.
#[must_use]
pub fn series_area_m2(first_m2: f64, second_m2: f64) -> f64 {
    if first_m2 <= 0.0 || second_m2 <= 0.0 {
        return 0.0;
    }
    first_m2 * second_m2 / (first_m2 * first_m2 + second_m2 * second_m2).sqrt()
}

/// Pressure that lifts warm air over `rise_m`, Pa: `(rho_outside - rho_inside) g H`.
#[must_use]
pub fn stack_pa(rise_m: f64, inside_c: f64, outside_c: f64, pressure_pa: f64) -> f64 {
    let difference =
        air_density_kg_m3(outside_c, pressure_pa) - air_density_kg_m3(inside_c, pressure_pa);
    difference * GRAVITY_M_S2 * rise_m
}

/// Wind pressure on a face, Pa: `Cp rho v^2 / 2`.
#[must_use]
pub fn wind_pa(coefficient: f64, wind_m_s: f64, density_kg_m3: f64) -> f64 {
    0.5 * coefficient * density_kg_m3 * wind_m_s * wind_m_s
}

fn through_m3_s(openings: &Openings, air: &AirState, parameters: &Parameters) -> f64 {
    let area_m2 = series_area_m2(openings.lower_m2, openings.upper_m2);
    if area_m2 == 0.0 {
        return 0.0;
    }
    let density = air_density_kg_m3(air.outside_c, air.pressure_pa);
    let column_c = UPPER_SHARE * air.upper_c + (1.0 - UPPER_SHARE) * air.lower_c;
    let pressure_pa = stack_pa(openings.rise_m, column_c, air.outside_c, air.pressure_pa)
        + wind_pa(parameters.vent_pressure_difference, air.wind_m_s, density);
    orifice_m3_s(area_m2, pressure_pa, density, parameters.discharge)
}
