//! One winter for a terminal, month by month, and as `trace.csv`, hour by hour.

use super::changes::{change_table, held};
use super::daily::commented_csv;
use super::table::{Rows, percent, table};
use super::{Block, Document, OutputError, Provenance};
use crate::colony::End;
use crate::hive::{Change, InForce};
use crate::season::{LossPath, Outcome, TraceHour};
use crate::units::{Dimension, Round, System, in_system, show};

/// What was traced.
#[derive(Clone, Copy, Debug)]
pub struct TraceReport<'a> {
    /// Label of the winter.
    pub winter: &'a str,
    /// "colony and parameters without spread", "member 12".
    pub colony: &'a str,
    /// What became of it.
    pub outcome: &'a Outcome,
    /// Changes of the hive.
    pub changes: &'a [Change],
    /// Boxes of the hive.
    pub boxes: usize,
    /// From comb to comb, m.
    pub comb_pitch_m: f64,
    /// Its hours.
    pub hours: &'a [TraceHour],
    /// What made it.
    pub made_by: &'a Provenance,
}

/// The months as text.
#[must_use]
pub fn text(report: &TraceReport<'_>, units: System) -> String {
    document(report, units).terminal()
}

/// The report, block by block.
#[must_use]
pub fn document(report: &TraceReport<'_>, units: System) -> Document {
    let outcome = report.outcome;
    let kg = |kg: f64| show(kg, Dimension::Mass, units, Round::Decimals(1));
    let degrees = |c: f64| show(c, Dimension::Temperature, units, Round::Decimals(1));
    let end = match outcome.end_date {
        None => End::Alive.words().to_owned(),
        Some(date) => format!("{} on {date}", outcome.end.words()),
    };
    let unit = |dimension| in_system(1.0, dimension, units).1;
    let power = |w: f64| format!("{:.1}", in_system(w, Dimension::Power, units).0);
    let energy = |j: f64| show(j, Dimension::Energy, units, Round::Significant(3));
    let heat_head = format!("heat {}", unit(Dimension::Power));
    let mut months = table([
        "Month",
        "outside",
        "coldest",
        "lower air",
        "upper air",
        "mantle",
        "core",
        heat_head.as_str(),
        "humidity",
        "wet lid",
        "honey left",
        "weight",
        "bees",
        "brood",
    ]);
    for month in report.hours.chunk_by(|a, b| a.month() == b.month()) {
        let mean = |value: fn(&TraceHour) -> f64| {
            month.iter().map(value).sum::<f64>() / month.len() as f64
        };
        let coldest = month
            .iter()
            .map(|hour| hour.outside_c)
            .fold(f64::INFINITY, f64::min);
        let Some(last) = month.last() else { continue };
        months.add_row([
            month[0].begin().strftime("%Y-%m").to_string(),
            degrees(mean(|hour| hour.outside_c)),
            degrees(coldest),
            degrees(mean(|hour| hour.lower_c)),
            degrees(mean(|hour| hour.upper_c)),
            degrees(mean(|hour| hour.mantle_c)),
            degrees(mean(|hour| hour.core_c)),
            power(mean(|hour| hour.made_w)),
            percent(mean(|hour| hour.dampness.upper_humidity)),
            percent(mean(|hour| f64::from(u8::from(hour.dampness.lid.wet)))),
            kg(last.stores_kg),
            kg(last.gross_kg),
            format!("{:.0}", last.bees),
            format!("{:.0}", last.brood),
        ]);
    }
    let ledger = &outcome.ledger;
    let mut heat = table(["Heat leaves by", "share", "heat"]);
    for path in LossPath::ALL {
        let lost_j = ledger.lost_j(path);
        if lost_j != 0.0 {
            let share = percent(lost_j / ledger.made_j);
            heat.add_row([path.words().to_owned(), share, energy(lost_j)]);
        }
    }
    heat.add_row([
        "stored".to_owned(),
        percent(ledger.stored_j / ledger.made_j),
        energy(ledger.stored_j),
    ]);
    let mut water = table(["Water leaves by", "share", "water"]);
    for (way, gone_kg) in [
        ("air", ledger.water.air_kg),
        ("walls, lid and floor", ledger.water.layers_kg),
        ("running out", ledger.water.drained_kg),
        ("stored", ledger.water.stored_kg),
    ] {
        let share = percent(gone_kg / ledger.water.made_kg);
        water.add_row([way.to_owned(), share, kg(gone_kg)]);
    }
    let head = format!(
        "Winter {}, {}: {end}; {} used ({} as heat, {} for brood, {} on flight days), {} left{}",
        report.winter,
        report.colony,
        kg(outcome.used.total_kg()),
        kg(outcome.used.heat_kg),
        kg(outcome.used.brood_kg),
        kg(outcome.used.activity_kg),
        kg(outcome.stores_left_kg),
        fed(outcome, units),
    );
    let notes = [
        "Humidity is that of the air round the cluster, over liquid water; wet lid is the share of hours with condensate or frost on it.".to_owned(),
        "Weight is that of the hive with all that is in it; a scale also carries rain, snow and stand.".to_owned(),
        confinement(outcome),
        format!("Made by {}.", report.made_by.line()),
    ];
    Document::new(vec![
        vec![Block::Head(head)],
        vec![Block::Table(months)],
        vec![Block::Table(places(report, units))],
        vec![
            Block::Table(heat),
            Block::Line(format!(
                "Heat made {}; the ledger closes to {:.0e} of it.",
                energy(ledger.made_j),
                ledger.imbalance().abs()
            )),
        ],
        vec![
            Block::Table(water),
            Block::Line(format!(
                "Water made {}; its ledger closes to {:.0e} of it.",
                kg(ledger.water.made_kg),
                ledger.water.imbalance().abs()
            )),
        ],
        changes(report, units)
            .map(Block::Table)
            .into_iter()
            .collect(),
        notes.map(Block::Note).to_vec(),
    ])
}

/// What became of feed, if any was brought.
fn fed(outcome: &Outcome, units: System) -> String {
    let feed = &outcome.feed;
    let kg = |kg: f64| show(kg, Dimension::Mass, units, Round::Decimals(1));
    if feed.offered_kg <= 0.0 {
        return String::new();
    }
    format!(
        "; of feed {} came to the stores, {} went for taking it in, {} stayed in the feeder",
        kg(feed.stored_kg),
        kg(feed.lost_kg),
        kg(feed.waiting_kg())
    )
}

/// Where honey and cluster are at each month's end.
fn places(report: &TraceReport<'_>, units: System) -> Rows {
    let kg = |kg: f64| show(kg, Dimension::Mass, units, Round::Decimals(1));
    let mut head = [
        "Month's end",
        "seams",
        "round seam",
        "crown above floor",
        "in reach",
    ]
    .map(str::to_owned)
    .to_vec();
    head.extend((1..=report.boxes).map(|number| match number {
        1 => "box 1, lowest".to_owned(),
        _ => format!("box {number}"),
    }));
    let mut rows = table(head);
    for month in report.hours.chunk_by(|a, b| a.month() == b.month()) {
        let Some(last) = month.last() else { continue };
        let place = &last.place;
        let mut row = vec![
            last.begin().strftime("%Y-%m").to_string(),
            format!("{:.1}", 2.0 * last.radius_m / report.comb_pitch_m),
            format!("{:.1}", place.seam + 0.5),
            show(place.crown_m, Dimension::Length, units, Round::Decimals(0)),
            kg(place.in_reach_kg),
        ];
        row.extend(
            last.boxes_kg
                .iter()
                .take(report.boxes)
                .map(|of_box_kg| kg(*of_box_kg)),
        );
        rows.add_row(row);
    }
    rows
}

/// The longest confinement and what bees held.
fn confinement(outcome: &Outcome) -> String {
    let most = outcome.days.iter().map(|day| day.gut_share);
    format!(
        "Longest without a cleansing flight: {:.0} days; a bee held {} of its mass at most.",
        outcome.gut.longest_days,
        percent(most.fold(0.0, f64::max)),
    )
}

/// The days on which each change of the hive held while the colony lived; nothing without changes.
fn changes(report: &TraceReport<'_>, units: System) -> Option<Rows> {
    let days = &report.outcome.days;
    let of_days = |number: usize| {
        let held = held(number, days.iter().map(|day| &day.changes));
        format!("{held} of {}", days.len())
    };
    change_table(report.changes, "days", units, of_days)
}

/// The hours as CSV, SI units. The first line is a comment that begins with `#`; `changes` has the numbers of those in force.
///
/// # Errors
/// [`OutputError::Format`].
pub fn csv(report: &TraceReport<'_>) -> Result<Vec<u8>, OutputError> {
    let mut head: Vec<String> = [
        "time",
        "outside_c",
        "wind_m_s",
        "core_c",
        "mantle_c",
        "beside_c",
        "column_c",
        "upper_c",
        "lower_c",
        "comb_c",
        "tightness",
        "radius_m",
        "made_w",
        "stored_w",
    ]
    .map(str::to_owned)
    .to_vec();
    head.extend(LossPath::ALL.map(|path| format!("{}_w", path.key())));
    head.extend(
        [
            "upper_humidity",
            "lower_humidity",
            "lid_water_kg",
            "walls_water_kg",
            "floor_water_kg",
            "layers_water_kg",
            "filling_kg_kg",
            "gross_kg",
            "stores_kg",
            "in_reach_kg",
            "cluster_seam",
            "cluster_crown_m",
        ]
        .map(str::to_owned),
    );
    head.extend((1..=report.boxes).map(|number| format!("box_{number}_kg")));
    head.extend(
        [
            "bees",
            "winter_bees",
            "reared_bees",
            "brood",
            "eggs",
            "larvae",
            "sealed",
            "gut_share",
            "changes",
        ]
        .map(str::to_owned),
    );
    let days = &report.outcome.days;
    let hours: Vec<_> = report.hours.iter().enumerate().collect();
    commented_csv(&report.made_by.line(), &head, &hours, |(number, hour)| {
        let changes = days.get(number / 24).map(|day| day.changes);
        let mut cells = vec![hour.time.strftime("%Y-%m-%dT%H:%M").to_string()];
        let temperatures = [
            hour.outside_c,
            hour.wind_m_s,
            hour.core_c,
            hour.mantle_c,
            hour.beside_c,
            hour.column_c,
            hour.upper_c,
            hour.lower_c,
            hour.comb_c,
        ];
        cells.extend(temperatures.map(|value| format!("{value:.3}")));
        cells.extend(
            [hour.tightness, hour.radius_m, hour.made_w, hour.stored_w]
                .map(|value| format!("{value:.5}")),
        );
        cells.extend(hour.paths_w.map(|w| format!("{w:.5}")));
        let damp = &hour.dampness;
        cells.extend([damp.upper_humidity, damp.lower_humidity].map(|share| format!("{share:.4}")));
        let films_kg = [damp.lid, damp.walls, damp.floor].map(|on| on.film_kg);
        cells.extend(films_kg.map(|kg| format!("{kg:.5}")));
        cells.push(format!("{:.4}", damp.layers_kg));
        let filling = damp.filling_kg_kg.map(|kg_kg| format!("{kg_kg:.4}"));
        cells.push(filling.unwrap_or_default());
        cells.push(format!("{:.4}", hour.gross_kg));
        cells.push(format!("{:.4}", hour.stores_kg));
        cells.push(format!("{:.4}", hour.place.in_reach_kg));
        cells.push(format!("{:.1}", hour.place.seam));
        cells.push(format!("{:.3}", hour.place.crown_m));
        let boxes_kg = hour.boxes_kg.iter().take(report.boxes);
        cells.extend(boxes_kg.map(|kg| format!("{kg:.4}")));
        let bees = [hour.bees, hour.bees - hour.reared_bees, hour.reared_bees];
        let counts = bees.iter().chain([&hour.brood]).chain(&hour.stages);
        cells.extend(counts.map(|count| format!("{count:.0}")));
        cells.push(format!("{:.4}", hour.gut_share));
        cells.push(numbers(changes.unwrap_or_default()));
        cells
    })
}

/// Numbers of changes from 1, as "1 3".
fn numbers(changes: InForce) -> String {
    let numbers = changes.numbers().map(|number| (number + 1).to_string());
    numbers.collect::<Vec<_>>().join(" ")
}
