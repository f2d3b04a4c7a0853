//! Air through the openings of a hive: two-way exchange of one level, through flow between two.
//!
//! Entrances, vents and mesh take both: two streams fit in them side by side, in by one part and out by the other. Joints between boxes,
//! lid and floor are cracks: air goes through them one way at a time, so they take part in the through flow alone, and with them even
//! a hive of one entrance has some. The joints of the lower half of the boxes count as openings at the floor, those of the upper half
//! as openings under the lid, a joint in the middle half to each; the stack is then somewhat too high for all but the outermost.
//!
//! Sources: single-sided airing of EN 15242 / EN 16798-7 (coefficients from memory, in the parameter table); sharp-edged
//! orifices in series with stack and wind pressure (ASHRAE Fundamentals, ventilation chapter). Weak for very small openings,
//! where edges are not sharp, in gusts, and for an open mesh floor in still air: the standard's turbulence term lets it exchange, though cold
//! air under warm lies still. Weak for joints too: their gap is an effective one, that of a sharp-edged slot which leaks as much at a
//! few pascals; at the tenths of a pascal of a hive in still air friction lets through less. Wind across the hive, in by the joints of
//! one side and out by those of another at the same level, is not counted, which spares loose hives in open places.

use super::description::Hive;
use super::parts::Opening;
use crate::lane::{Number, per_lane};
use crate::parameter::Parameters;
use serde::Serialize;

/// Specific heat of air, J/kgK (dry, published).
pub const AIR_J_KGK: f64 = 1_006.0;
/// Share of the boxes' height that belongs to the upper air. Own estimate: the upper air is round and above the cluster.
pub const UPPER_SHARE: f64 = 0.5;
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
#[inline(always)]
pub fn air_density_kg_m3<N: Number>(temperature_c: N, pressure_pa: N) -> N {
    pressure_pa / ((temperature_c + ZERO_C_K) * GAS_J_KGK)
}

/// Free openings of a hive, by level.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Openings {
    /// Free area at the level of the floor: entrances and open mesh, m2.
    pub lower_m2: f64,
    /// Height of the lower opening over which its own stack acts, m.
    pub lower_height_m: f64,
    /// Effective area of the joints of the lower half, m2.
    pub lower_joints_m2: f64,
    /// Free area of upper entrances and uncorked vents, m2.
    pub upper_m2: f64,
    /// Height of the upper entrances and vents over which their own stack acts, m.
    pub upper_height_m: f64,
    /// Effective area of the joints of the upper half, m2.
    pub upper_joints_m2: f64,
    /// Height between both levels, m.
    pub rise_m: f64,
}

impl Openings {
    /// The openings of `hive`, with the gap of its joints from the parameters.
    #[must_use]
    pub fn of(hive: &Hive, parameters: &Parameters) -> Self {
        let mesh_m2 = hive.cavity.plan_m2() * hive.floor.free_share();
        let open_vents = hive.vents.iter().filter(|vent| !vent.corked);
        let upper = || {
            let vents = open_vents.clone().map(|vent| &vent.opening);
            hive.upper_entrances.iter().chain(vents)
        };
        let joints_m2 = hive.cavity.joints_m() * parameters.joint_gap_m * hive.joints.gap_scale();
        Self {
            lower_m2: mesh_m2 + hive.entrances.iter().map(Opening::area_m2).sum::<f64>(),
            lower_height_m: tallest(hive.entrances.iter().map(|o| o.height_m)),
            // As many joints lie above the middle of the boxes as below it.
            lower_joints_m2: 0.5 * joints_m2,
            upper_m2: upper().map(Opening::area_m2).sum(),
            upper_height_m: tallest(upper().map(|opening| opening.height_m)),
            upper_joints_m2: 0.5 * joints_m2,
            rise_m: hive.cavity.height_m(),
        }
    }

    /// The same with every joint sealed.
    #[must_use]
    pub fn without_joints(self) -> Self {
        Self {
            lower_joints_m2: 0.0,
            upper_joints_m2: 0.0,
            ..self
        }
    }
}

fn tallest(heights_m: impl Iterator<Item = f64>) -> f64 {
    heights_m.fold(0.0, f64::max)
}

/// Heat that moving air carries for each kelvin, W/K.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Airflow<N = f64> {
    /// Two-way exchange of the lower air with the outside.
    pub lower_w_k: N,
    /// Two-way exchange of the upper air with the outside.
    pub upper_w_k: N,
    /// Through flow between both levels; positive is in below and out above.
    pub through_w_k: N,
}

impl<N: Number> Airflow<N> {
    /// All outside air that comes in, W/K: the conductance of the openings when the whole hive is at one temperature.
    #[must_use]
    #[inline(always)]
    pub fn whole_w_k(&self) -> N {
        self.lower_w_k + self.upper_w_k + self.through_w_k.abs()
    }

    /// Through flow that enters below and leaves above, W/K.
    #[must_use]
    #[inline(always)]
    pub fn up_w_k(&self) -> N {
        self.through_w_k.positive()
    }

    /// Outside air that enters below, by two-way exchange or as through flow, W/K.
    #[must_use]
    #[inline(always)]
    pub fn enters_below_w_k(&self) -> N {
        self.lower_w_k + self.up_w_k()
    }

    /// Through flow that enters above and leaves below, W/K.
    #[must_use]
    #[inline(always)]
    pub fn down_w_k(&self) -> N {
        (-self.through_w_k).positive()
    }
}

/// State of the air round the openings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AirState<N = f64> {
    /// Wind at the hive, m/s.
    pub wind_m_s: N,
    /// Outside air, degC.
    pub outside_c: N,
    /// Upper air, degC.
    pub upper_c: N,
    /// Lower air, degC.
    pub lower_c: N,
    /// Air pressure, Pa.
    pub pressure_pa: N,
}

/// What openings let through, as the numbers that every hour takes.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct AirflowNetwork<N = f64> {
    lower: SingleSidedVentilation<N>,
    upper: SingleSidedVentilation<N>,
    turbulence: N,
    wind: N,
    /// Effective area of both levels in series times the discharge coefficient, m2.
    through_m2: N,
    /// `2 g H` of the rise between both levels, m2/s2.
    rise_m2_s2: N,
    /// Wind pressure between both levels as a share of the wind's own.
    wind_pressure: N,
}

/// Two-way exchange of a level.
#[derive(Clone, Copy, Debug, Serialize)]
struct SingleSidedVentilation<N = f64> {
    half_m2: N,
    /// Rise of the drive with the difference of temperatures, m2/(s2 K).
    stack: N,
}

per_lane!(SingleSidedVentilation { half_m2, stack });
per_lane!(AirflowNetwork {
    lower,
    upper,
    turbulence,
    wind,
    through_m2,
    rise_m2_s2,
    wind_pressure
});

impl AirflowNetwork {
    /// Of `openings`, with the coefficients from the parameters.
    #[must_use]
    pub fn new(openings: &Openings, parameters: &Parameters) -> Self {
        let p = parameters;
        let level = |area_m2, height_m| SingleSidedVentilation {
            half_m2: 0.5 * area_m2,
            stack: p.airing_stack * height_m,
        };
        let area_m2 = series_area_m2(
            openings.lower_m2 + openings.lower_joints_m2,
            openings.upper_m2 + openings.upper_joints_m2,
        );
        Self {
            lower: level(openings.lower_m2, openings.lower_height_m),
            upper: level(openings.upper_m2, openings.upper_height_m),
            turbulence: p.airing_turbulence,
            wind: p.airing_wind,
            through_m2: p.discharge * area_m2,
            rise_m2_s2: 2.0 * GRAVITY_M_S2 * openings.rise_m,
            wind_pressure: p.vent_pressure_difference,
        }
    }
}

impl<N: Number> AirflowNetwork<N> {
    /// Air that moves, as heat for each kelvin.
    ///
    /// Through flow lies over the two streams of a level: it swells the one by half of itself and takes as much from the other, until that one
    /// stops. So a level keeps of its two-way exchange what exceeds half the through flow, and no more wind, wider opening or leakier joint ever
    /// lowers the sum. Own reading: EN 16798-7 gives each case apart and not how they add.
    #[must_use]
    #[inline(always)]
    pub fn airflow(&self, air: &AirState<N>) -> Airflow<N> {
        let heat_j_m3k = air_density_kg_m3(air.outside_c, air.pressure_pa) * AIR_J_KGK;
        let wind_m2_s2 = air.wind_m_s * air.wind_m_s;
        // Stack and wind pressure over half the density of the outside air, which cancels in the orifice's speed.
        let column_c = air.upper_c * UPPER_SHARE + air.lower_c * (1.0 - UPPER_SHARE);
        let lift = (column_c - air.outside_c) / (column_c + ZERO_C_K);
        let drive_m2_s2 = self.rise_m2_s2 * lift + self.wind_pressure * wind_m2_s2;
        let through_m3_s = (self.through_m2 * drive_m2_s2.abs().sqrt()).copysign(drive_m2_s2);
        let drive = self.turbulence + self.wind * wind_m2_s2;
        let stopped_m3_s = through_m3_s.abs() * 0.5;
        let lower_m3_s = self
            .lower
            .both_ways_m3_s(drive, air.lower_c - air.outside_c);
        let upper_m3_s = self
            .upper
            .both_ways_m3_s(drive, air.upper_c - air.outside_c);
        Airflow {
            lower_w_k: (lower_m3_s - stopped_m3_s).positive() * heat_j_m3k,
            upper_w_k: (upper_m3_s - stopped_m3_s).positive() * heat_j_m3k,
            through_w_k: through_m3_s * heat_j_m3k,
        }
    }
}

impl<N: Number> SingleSidedVentilation<N> {
    /// Two-way exchange under the drive of turbulence and wind, m2/s2, and a difference of temperatures of either sign.
    #[inline(always)]
    fn both_ways_m3_s(&self, drive: N, difference_k: N) -> N {
        self.half_m2 * (drive + self.stack * difference_k.abs()).sqrt()
    }
}

/// Air that moves through `openings`, as heat for each kelvin: see [`AirflowNetwork::airflow`].
#[must_use]
pub fn airflow(openings: &Openings, air: &AirState, parameters: &Parameters) -> Airflow {
    AirflowNetwork::new(openings, parameters).airflow(air)
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

#[cfg(test)]
mod tests {
    use super::*;

    const CLOSED: Openings = Openings {
        lower_m2: 0.0,
        lower_height_m: 0.01,
        lower_joints_m2: 0.0,
        upper_m2: 0.0,
        upper_height_m: 0.02,
        upper_joints_m2: 0.0,
        rise_m: 0.488,
    };
    const AIR: AirState = AirState {
        wind_m_s: 1.0,
        outside_c: -10.0,
        upper_c: 10.0,
        lower_c: 10.0,
        pressure_pa: STANDARD_PRESSURE_PA,
    };

    fn moved(openings: Openings) -> Airflow {
        airflow(&openings, &AIR, &Parameters::default())
    }

    #[test]
    fn one_entrance_has_through_flow_with_joints_and_none_without() {
        let entrance = Openings {
            lower_m2: 15e-4,
            ..CLOSED
        };
        assert_eq!(moved(entrance).through_w_k, 0.0);
        let jointed = Openings {
            lower_joints_m2: 1e-4,
            upper_joints_m2: 1e-4,
            ..entrance
        };
        let flow = moved(jointed);
        assert!(flow.through_w_k > 0.0);
        assert_eq!(moved(jointed.without_joints()), moved(entrance));
        // Cracks have no exchange of their own.
        assert_eq!(flow.upper_w_k, 0.0);
    }

    #[test]
    fn two_streams_and_through_flow_bring_in_their_mean_until_one_stream_stops() {
        let open = Openings {
            lower_m2: 15e-4,
            upper_m2: 15e-4,
            ..CLOSED
        };
        let alone = |openings| moved(openings).whole_w_k();
        let lower_w_k = alone(Openings {
            upper_m2: 0.0,
            ..open
        });
        let upper_w_k = alone(Openings {
            lower_m2: 0.0,
            ..open
        });
        // A crack beside one opening: little through flow, which only turns in air of one level into in air of the other.
        let crack = Openings {
            upper_joints_m2: 0.1e-4,
            upper_m2: 0.0,
            ..open
        };
        let flow = moved(crack);
        assert!(flow.through_w_k < 2.0 * lower_w_k);
        let sum_w_k = lower_w_k + 0.5 * flow.through_w_k;
        assert!((flow.whole_w_k() - sum_w_k).abs() < 1e-12);
        // Two wide openings: a draught, and no stream against it.
        let airflow_network = moved(open);
        assert!(airflow_network.through_w_k > 2.0 * lower_w_k.max(upper_w_k));
        assert_eq!(
            (airflow_network.lower_w_k, airflow_network.upper_w_k),
            (0.0, 0.0)
        );
    }
}
