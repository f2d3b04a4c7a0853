//! Charts of one winter hour by hour.

use super::trace_text::TraceReport;
use crate::chart::{Chart, ColdSpell, Course, Dates, Shows, WinterHours};
use crate::season::{Forcing, TraceHour};

/// Charts of a traced winter.
#[must_use]
pub fn of_trace(report: &TraceReport<'_>, forcing: &Forcing) -> Vec<Chart> {
    vec![Chart::new(
        "winter-hours",
        Shows::WinterHours(hours(report, forcing)),
    )]
}

/// What is as warm as what, in the order in which it is drawn.
const COURSES: [(&str, fn(&TraceHour) -> f64); 5] = [
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
        Course::new(what, &hours_c, span_h)
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
