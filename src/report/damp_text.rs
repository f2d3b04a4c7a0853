//! Water in the hive, in words for a terminal.

use super::Block;
use super::table::{percent, table};
use crate::ensemble::{Damp, Filling, Summary};
use crate::units::{Dimension, Round, System, show};

/// Share of members in which something happens from which it is said to be likely.
const LIKELY: f64 = 0.5;

fn water(kg: f64, units: System) -> String {
    match units {
        System::Metric => format!("{:.0} g", 1e3 * kg),
        System::Us => show(kg, Dimension::Mass, units, Round::Decimals(2)),
    }
}

fn days(hours: f64) -> String {
    let days = hours / 24.0;
    match days {
        none if none < 0.05 => "0".to_owned(),
        few if few < 9.95 => format!("{few:.1}"),
        many => format!("{many:.0}"),
    }
}

/// One line for the head of a report.
pub(super) fn short(damp: &Damp, units: System) -> String {
    let lid = match damp.wet_lid_h[1] {
        0.0 => "lid dry in most winters".to_owned(),
        hours => format!("lid wet or frosted for {} days (median)", days(hours)),
    };
    let drip = match damp.drip.share {
        0.0 => "no water drips on the cluster".to_owned(),
        share => format!(
            "water drips on the cluster in {} of winters ({} on average)",
            percent(share),
            water(damp.dripped_kg, units)
        ),
    };
    let filling = damp
        .filling
        .as_ref()
        .map(|filling| match filling.damp.share {
            0.0 => "; filling stays dry enough".to_owned(),
            share => format!("; filling gets damp in {}", percent(share)),
        });
    format!("{lid}, {drip}{}", filling.unwrap_or_default())
}

/// The table of wet surfaces, and what it means.
pub(super) fn section(summary: &Summary, units: System) -> Vec<Block> {
    let damp = &summary.damp;
    let mut rows = table([
        "Wet or frosted",
        "median",
        "5 % to 95 %",
        "frost, mean",
        "most water, median",
    ]);
    for (name, [low, median, high], frost_h, most_kg) in [
        ("lid", damp.wet_lid_h, damp.frost_lid_h, damp.lid_most_kg),
        (
            "walls",
            damp.wet_walls_h,
            damp.frost_walls_h,
            damp.walls_most_kg,
        ),
    ] {
        rows.add_row([
            name.to_owned(),
            format!("{} d", days(median)),
            format!("{} to {} d", days(low), days(high)),
            format!("{} d", days(frost_h)),
            water(most_kg, units),
        ]);
    }
    let [air, layers, drained] = damp.left.map(percent);
    // Layers that end drier than they began have given more than the bees.
    let stored = match 1.0 - damp.left.iter().sum::<f64>() {
        share if share > 0.0 => format!(", {} stays in the hive", percent(share)),
        _ => String::new(),
    };
    let mut said = vec![
        format!(
            "Wet days are wet hours / 24; a colony counts until it dies. The bees give off {} of water on average: {air} leaves with air, \
             {layers} through walls, lid and floor, {drained} drains away or leaves with a removed layer{stored}.",
            show(damp.made_kg, Dimension::Mass, units, Round::Decimals(1)),
        ),
        format!(
            "Average humidity: {} round the cluster, {} below it.",
            percent(damp.upper_humidity),
            percent(damp.lower_humidity)
        ),
    ];
    if damp.drip.share > 0.0 {
        let (low, high) = damp.drip.interval;
        said.push(format!(
            "Water drips from the lid in {} of winters ({} to {}), {} on average.",
            percent(damp.drip.share),
            percent(low),
            percent(high),
            water(damp.dripped_kg, units)
        ));
    }
    if let Some(filling) = &damp.filling {
        said.push(of_filling(filling, summary));
    }
    let said = said.into_iter().map(Block::Line);
    std::iter::once(Block::Table(rows)).chain(said).collect()
}

fn of_filling(filling: &Filling, summary: &Summary) -> String {
    let [_, median, high] = filling.most_kg_kg.map(percent);
    let held = format!(
        "The filling of the lid holds at most {median} of its dry weight of water in the median winter, {high} in a wet one"
    );
    let (low, until) = filling.damp.interval;
    match filling.damp_days {
        None => format!("{held}: below what calls for a change, in all draws."),
        Some([early, middle, _]) => {
            let share = percent(filling.damp.share);
            let advice = if filling.damp.share >= LIKELY {
                format!(
                    "look at it by {} and change it when it is damp",
                    summary.day_words(early)
                )
            } else {
                format!("look at it round {}", summary.day_words(middle))
            };
            format!(
                "{held}; in {share} ({} to {}) it gets so damp that it should be changed, half of those by {}: {advice}.",
                percent(low),
                percent(until),
                summary.day_words(middle)
            )
        }
    }
}
