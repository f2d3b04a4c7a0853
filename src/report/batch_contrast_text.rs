//! How hives of a batch differ at the same stations, for a terminal.

use super::batch_text::edges;
use super::table::{lines, number, paragraph, signed, table};
use crate::batch::{Against, Contrast, District, Spread};
use crate::units::{Dimension, System};

/// What it differs by from the first scenario at the same stations.
pub(super) fn text(district: &District, first: &str, units: System) -> Option<String> {
    let all = district.against_first.as_ref()?;
    let unit = match units {
        System::Metric => "kg",
        System::Us => "lb",
    };
    let mut table = table([
        format!("Less {first}"),
        "stations".to_owned(),
        format!("mean need, {unit}"),
        "bees not known, 90 %".to_owned(),
        "95 % interval".to_owned(),
        format!("95 % need, {unit}"),
        "95 % interval".to_owned(),
        "starve, points".to_owned(),
        "95 % interval".to_owned(),
    ]);
    let mass = |kg: f64| signed(number(kg, Dimension::Mass, units, (1, 1)));
    // Rounding may leave a sign on nothing, hence the sum.
    let points = |share: f64| signed(format!("{:.1}", (1_000.0 * share).round() / 10.0 + 0.0));
    let interval = |spread: Spread, show: &dyn Fn(f64) -> String| {
        let within = |(low, high)| format!("{} to {}", show(low), show(high));
        spread.interval.map_or("-".to_owned(), within)
    };
    let mut row = |place: String, contrast: &Contrast| {
        table.add_row([
            place,
            contrast.stations.to_string(),
            mass(contrast.need_mean_kg.mean),
            contrast
                .need_mean_shared_kg
                .map_or("-".to_owned(), |(low, high)| {
                    format!("{} to {}", mass(low), mass(high))
                }),
            interval(contrast.need_mean_kg, &mass),
            mass(contrast.need_q95_kg.mean),
            interval(contrast.need_q95_kg, &mass),
            points(contrast.starved.mean),
            interval(contrast.starved, &points),
        ]);
    };
    for band in &district.bands {
        let Some(contrast) = &band.against_first else {
            continue;
        };
        match band.against {
            Against::Latitude => row(edges(band, units), contrast),
            Against::Parallel40 if band.from == 0.0 => row("south of 40°".to_owned(), contrast),
            Against::Parallel40 => row("north of 40°".to_owned(), contrast),
            Against::January => {}
        }
    }
    row("all".to_owned(), all);
    let says = paragraph(&format!(
        "Differences at the same stations, colonies and winters; intervals take the stations as a sample of others like them. The 90 % range given what is not known about bees, the same everywhere, is that of single stations, averaged; where it crosses zero, the direction is uncertain. {}",
        claim(district, first)
    ));
    Some(format!("{}\n{says}", lines(&table)))
}

/// Whether the hive is better or worse south and north of the 40th parallel, as far as these stations can tell.
fn claim(district: &District, first: &str) -> String {
    let own = &district.scenario;
    let sides = district.bands.iter().filter_map(|band| {
        let contrast = band.against_first?;
        let side = if band.from == 0.0 { "South" } else { "North" };
        (band.against == Against::Parallel40).then_some((side, contrast.starved))
    });
    let says = |(side, starved): (&str, Spread)| {
        let points = format!("{:.1} points", 100.0 * starved.mean.abs());
        match (starved.may_be_none(), starved.mean < 0.0) {
            (true, _) => {
                format!(
                    "{side} of 40° these stations cannot tell in which of {first} and {own} more starve."
                )
            }
            (false, true) => {
                format!("{side} of 40° {points} fewer starve in {own} than in {first}.")
            }
            (false, false) => {
                format!("{side} of 40° {points} more starve in {own} than in {first}.")
            }
        }
    };
    sides.map(says).collect::<Vec<_>>().join(" ")
}
