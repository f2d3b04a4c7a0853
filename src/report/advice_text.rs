//! What to feed before winter, by when, and the risk over stores, for a terminal.

use super::shared_text::{cell, span};
use super::table::{percent, table};
use super::{Block, RunReport};
use crate::ensemble::{FeedAdvice, StoresAdvice};
use crate::units::{Dimension, POUND_KG, Round, System, show};

/// Least that a feed is spoken of, kg.
const NOTHING_KG: f64 = 0.05;

/// The two parts of a run.
pub(super) fn section(report: &RunReport<'_>, units: System) -> [Vec<Block>; 2] {
    [feeds(report, units), curve(report.advice, units)]
}

fn mass(kg: f64, units: System) -> String {
    show(kg, Dimension::Mass, units, Round::Decimals(1))
}

fn feeds(report: &RunReport<'_>, units: System) -> Vec<Block> {
    let advice = report.advice;
    let from = mass(advice.stores_kg + advice.fed_kg, units);
    let has = if advice.fed_kg > 0.0 {
        "of stores and the scenario's feed"
    } else {
        "of stores"
    };
    if advice.feeds.iter().all(|feed| feed.lacking_kg < NOTHING_KG) {
        return vec![Block::Line(format!(
            "{from} {has} are what 99 % of winters take: nothing to feed."
        ))];
    }
    let mut rows = table([
        "To have the honey of",
        "lacking",
        "bees not known, 90 %",
        "sugar",
        "2:1 syrup",
        "fed by, for 95 %",
        "80 %",
        "50 % of colonies",
    ]);
    for feed in &advice.feeds {
        let FeedAdvice {
            share,
            lacking_kg,
            lacking_shared,
            sugar_kg,
            syrup_m3,
            ..
        } = *feed;
        let mut cells = vec![format!("{} of winters", percent(share))];
        if lacking_kg < NOTHING_KG {
            cells.push("nothing".to_owned());
            cells.push(cell(lacking_shared.as_ref(), &|kg| mass(kg, units)));
            cells.extend(["", "", "", "", ""].map(str::to_owned));
        } else {
            cells.extend([
                mass(lacking_kg, units),
                cell(lacking_shared.as_ref(), &|kg| mass(kg, units)),
                mass(sugar_kg, units),
                show(syrup_m3, Dimension::Volume, units, Round::Decimals(1)),
            ]);
            // The day that suits most colonies first: a keeper has one, and does not know which.
            let days = feed.latest_days.iter().rev();
            cells.extend(days.map(|day| day_words(report, *day)));
        }
        rows.add_row(cells);
    }
    let warm = show(
        report.scenario.parameters().syrup_air_c,
        Dimension::Temperature,
        units,
        Round::Decimals(0),
    );
    let said = format!(
        "Lacking from {from} {has}. Sugar is what makes it after the loss of taking it in; syrup two to one by weight. Fed by: from that day to 21 December \
         so many colonies, each in its winter, have the warm hours (outside air of {warm} or above) to take it all; earlier is better, as bees \
         must ripen it and warm days can be wet. Later, only fondant or dry sugar over the cluster is of use."
    );
    vec![Block::Table(rows), Block::Paragraph(said)]
}

/// "12 September"; or that the first day that was looked at is too late, or any.
fn day_words(report: &RunReport<'_>, day: Option<i64>) -> String {
    if report.advice.too_late {
        return "too late".to_owned();
    }
    let summary = report.summary;
    day.map_or_else(
        || {
            format!(
                "before {}",
                summary.day_words(report.advice.first_day as f64)
            )
        },
        |day| summary.day_words(day as f64),
    )
}

fn curve(advice: &StoresAdvice, units: System) -> Vec<Block> {
    let (unit_kg, decimals) = match units {
        System::Metric => (1.0, 1),
        System::Us => (POUND_KG, 0),
    };
    let mut rows = table([
        "Stores and feed",
        "need more",
        "bees not known, 90 %",
        "sampling, 95 %",
    ]);
    for point in advice.curve_in(unit_kg) {
        let (low, high) = point.needing_more.interval;
        rows.add_row([
            show(
                point.stores_kg,
                Dimension::Mass,
                units,
                Round::Decimals(decimals),
            ),
            percent(point.needing_more.share),
            cell(point.needing_more.shared.as_ref(), &percent),
            span((low, high), &percent),
        ]);
    }
    let said = format!(
        "Counted from what members need, with exactly so much honey. It knows neither honey out of reach, which starves more, nor other deaths, which leave fewer \
         to starve: with the stores of this run {} needed more than they had, and {} starved. `overwinter sweep SCENARIO --set stores=...` runs it at other stores.",
        percent(advice.own.share),
        percent(advice.starved.share),
    );
    vec![Block::Table(rows), Block::Paragraph(said)]
}
