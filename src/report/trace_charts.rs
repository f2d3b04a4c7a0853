//! Charts of one winter hour by hour.

use super::trace_text::TraceReport;
use crate::chart::{
    Chart, ColdSpell, Cut, CutAir, CutShell, Dates, DrawnLayer, Shows, TemperatureSeries,
    WinterHours,
};
use crate::hive::airflow::UPPER_SHARE;
use crate::hive::surface::chains_with_column;
use crate::hive::vapour::{saturation_over_water_pa, saturation_pa};
use crate::hive::{self, BuildUp, Face, Hive, Side, Zone};
use crate::season::{ColdestHour, Forcing, TraceHour};

/// Charts of a traced winter of a hive, described with all of its changes: its hours and, where the colony lived one, the coldest of them.
#[must_use]
pub fn of_trace(
    report: &TraceReport<'_>,
    forcing: &Forcing,
    hive: &Hive,
    coldest: Option<&ColdestHour>,
) -> Vec<Chart> {
    let hours = Shows::WinterHours(hours(report, forcing));
    let cut = coldest.and_then(|coldest| cut(report, hive, coldest));
    let charts = [
        Some(Chart::new("winter-hours", hours)),
        cut.map(|cut| Chart::new("cut", Shows::Cut(cut))),
    ];
    charts.into_iter().flatten().collect()
}

/// The hive at its coldest hour; none where the hour is not of the trace.
fn cut(report: &TraceReport<'_>, hive: &Hive, coldest: &ColdestHour) -> Option<Cut> {
    let hour = report.hours.get(coldest.hour)?;
    let days = &report.outcome.days;
    let in_force = days.get(coldest.hour / 24).map(|day| day.changes);
    let hive = hive.altered(in_force.unwrap_or_default());
    let chains = chains_with_column(&hive, coldest.column_share);
    let shell = |face: Face, zone: Zone| {
        let number = chains
            .iter()
            .position(|chain| chain.face == face && chain.zone == zone)?;
        let first: usize = chains[..number].iter().map(hive::Chain::len).sum();
        let nodes_c = coldest.state.walls_c.get(first..)?;
        let depths_m = chains[number].depth_m.iter().copied();
        let layers = BuildUp::of_face(face).layers(&hive);
        Some(CutShell {
            layers: layers.iter().map(DrawnLayer::of).collect(),
            inside_c: *coldest.inside_c.get(number)?,
            outside_c: *coldest.outside_c.get(number)?,
            touches: chains[number].shared,
            nodes: depths_m.zip(nodes_c.iter().copied()).collect(),
        })
    };
    let water = &coldest.state.water;
    let height_m = hive.cavity.height_m();
    Some(Cut {
        winter: report.winter.to_owned(),
        colony: report.colony.to_owned(),
        time: hour.time,
        outside_c: hour.outside_c,
        lower: CutAir {
            air_c: hour.lower_c,
            dew_c: full_c(water.lower_pa, hour.lower_c),
        },
        upper: CutAir {
            air_c: hour.upper_c,
            dew_c: full_c(water.upper_pa, hour.upper_c),
        },
        over: Some(CutAir {
            air_c: hour.column_c,
            dew_c: full_c(water.column_pa, hour.column_c),
        }),
        beside_c: Some(hour.beside_c),
        mantle_c: hour.mantle_c,
        core_c: hour.core_c,
        radius_m: hour.radius_m,
        core_radius_m: coldest.core_radius_m,
        crown_m: hour.place.crown_m,
        length_m: hive.cavity.length_m,
        height_m,
        lower_m: (1.0 - UPPER_SHARE) * height_m,
        floor: shell(Face::Floor, Zone::Lower),
        lid: shell(Face::Lid, Zone::Column)?,
        front: shell(Face::Side(Side::Front), Zone::Upper)?,
        back: shell(Face::Side(Side::Back), Zone::Upper)?,
    })
}

/// The dew point of air at a temperature whose water, mist counted in, has this pressure, °C.
fn full_c(water_pa: f64, air_c: f64) -> f64 {
    dew_c(water_pa.min(saturation_over_water_pa(air_c)))
}

/// The temperature at which a surface of the model would begin to take vapour of this pressure from the air, °C: over ice below freezing.
fn dew_c(vapour_pa: f64) -> f64 {
    let (mut low, mut high) = (-80.0, 60.0);
    // Halved to less than a millionth of a kelvin.
    for _ in 0..30 {
        let middle = 0.5 * (low + high);
        if saturation_pa(middle) < vapour_pa {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

/// A temperature of an hour, °C.
type OfHour = fn(&TraceHour) -> f64;

/// What is as warm as what, in the order in which it is drawn.
const COURSES: [(&str, OfHour); 5] = [
    ("outside", |hour| hour.outside_c),
    ("lower air", |hour| hour.lower_c),
    ("upper air", |hour| hour.upper_c),
    ("mantle", |hour| hour.mantle_c),
    ("core", |hour| hour.core_c),
];

fn hours(report: &TraceReport<'_>, forcing: &Forcing) -> WinterHours {
    let span_h = WinterHours::span_of(24 * forcing.days());
    let courses = COURSES.iter().filter_map(|(what, value)| {
        let hours_c: Vec<f64> = report.hours.iter().map(value).collect();
        TemperatureSeries::new(what, &hours_c, span_h)
    });
    // As the trace has it: an hour's instant is its end.
    let instants = forcing.instants.get(1..).unwrap_or_default();
    let means: Vec<f64> = instants
        .chunks_exact(24)
        .take(report.outcome.days.len())
        .map(|day| day.iter().map(|at| at.outside_c).sum::<f64>() / 24.0)
        .collect();
    let outcome = report.outcome;
    WinterHours {
        winter: report.winter.to_owned(),
        colony: report.colony.to_owned(),
        dates: Dates {
            start: forcing.start.date(),
            days: forcing.days(),
        },
        span_h,
        courses: courses.collect(),
        brood: outcome.days.iter().map(|day| day.brood.round()).collect(),
        spells: ColdSpell::all(&means),
        end: outcome
            .end_day
            .map(|day| (day, outcome.end.words().to_owned())),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn at_its_dew_point_air_is_saturated() {
        for c in [-35.0, -0.5, 0.5, 20.0] {
            assert!((dew_c(saturation_pa(c)) - c).abs() < 1e-6, "{c}");
        }
    }
}
