//! The answer of an ensemble for a terminal: first the answer, then its tables, then what made it and its cautions.

use super::changes::{change_table, over_winters};
use super::feeding_text::feed_words;
use super::shared_text::{GIVEN, cell, span, stands_on};
use super::table::{percent, table};
use super::{Block, CAUTIONS, Document, RunReport, advice_text, confinement_text, damp_text};
use crate::ensemble::{Need, Precision, Reached, SETS_TOGETHER, Summary, most_likely};
use crate::season::LossPath;
use crate::units::{Dimension, Round, System, show};

/// Paths that the short line names together.
const WALLS: [LossPath; 4] = [
    LossPath::Front,
    LossPath::Right,
    LossPath::Back,
    LossPath::Left,
];
const AIR: [LossPath; 3] = [LossPath::LowerAir, LossPath::UpperAir, LossPath::Fanning];

/// Share of colonies lost to cold from which a need is no advice by itself.
const MANY: f64 = 0.05;
/// Share of colonies that take all their feed from which it is not said how many do not.
const NEARLY_ALL: f64 = 0.995;
/// Share from which it is none at all.
const MOST: f64 = 0.5;

/// The report as text.
#[must_use]
pub fn text(report: &RunReport<'_>, units: System) -> String {
    document(report, units).terminal()
}

/// The report, block by block.
#[must_use]
pub fn document(report: &RunReport<'_>, units: System) -> Document {
    let mut parts = vec![answer(report, units)];
    parts.push(needs(report, units));
    if report.summary.chilled() < MOST {
        parts.extend(advice_text::section(report, units));
    }
    parts.push(ends(report.summary, units));
    parts.push(heat(report.summary));
    parts.push(damp_text::section(report.summary, units));
    parts.push(confinement_text::section(&report.summary.confinement));
    parts.push(winters(report.summary, units));
    parts.extend(changes(report, units));
    parts.push(notes(report));
    Document::new(parts)
}

fn mass(kg: f64, units: System) -> String {
    let decimals = match units {
        System::Metric => 1,
        System::Us => 0,
    };
    show(kg, Dimension::Mass, units, Round::Decimals(decimals))
}

/// The first lines: what a reader came for.
fn answer(report: &RunReport<'_>, units: System) -> Vec<Block> {
    let s = report.summary;
    let season = report.scenario.season;
    let stores = mass(report.scenario.colony.stores_kg, units);
    let when = match &s.ran_out {
        None => format!("none starves before {}", season.first_forage),
        Some(ran_out) => {
            let [early, middle, late] = ran_out.days.map(|day| s.day_words(day));
            format!(
                "half of those that starve have done so by {middle}, most between {early} and {late}"
            )
        }
    };
    let together = |paths: &[LossPath]| {
        s.heat
            .iter()
            .filter(|heat| paths.contains(&heat.path))
            .map(|heat| heat.share)
            .sum::<f64>()
    };
    let need = if s.chilled() >= MOST {
        format!(
            "is not the question: {} die of cold or too few bees, whatever the stores",
            percent(s.chilled())
        )
    } else {
        needed(s, units)
    };
    let mut blocks = vec![
        Block::Head(format!(
            "{}: {} over {}, {} to {}",
            report.scenario.name,
            counted(s.members, "member"),
            counted(s.winters.len(), "winter"),
            season.start,
            season.first_forage
        )),
        Block::answer("Honey needed", need),
        Block::answer(
            "Risk",
            format!(
                "{} of colonies starve on {stores} ({}{}, sampling){}",
                percent(s.starved),
                s.starved_shared.map_or_else(String::new, |shared| {
                    format!("{}, {GIVEN}; ", span(shared.range(), &percent))
                }),
                span(s.starved_interval, &percent),
                chilled(s)
            ),
        ),
    ];
    if s.starved_shared.is_none() {
        let crossing = report.prepared.plan.crossing();
        blocks.push(Block::answer("Not known", stands_on(None, &crossing)));
    }
    let precise = report.precision.map(|reached| precision(reached, units));
    blocks.extend(precise.map(|words| Block::answer("Precision", words)));
    blocks.push(Block::answer("When", when));
    blocks.push(Block::answer(
        "Heat goes",
        format!(
            "walls {}, lid {}, floor {}, air {}, water vapour {}",
            percent(together(&WALLS)),
            percent(together(&[LossPath::Lid])),
            percent(together(&[LossPath::Floor])),
            percent(together(&AIR)),
            percent(together(&[LossPath::Vapour])),
        ),
    ));
    blocks.push(Block::answer("Water", damp_text::short(&s.damp, units)));
    blocks.push(Block::answer("Colony", colony(report, units)));
    let fed = feeding(report, units);
    blocks.extend(fed.map(|words| Block::answer("Feed", words)));
    blocks.push(Block::answer("Weight", weight(report, units)));
    blocks
}

/// Honey that half, 80 and 95 % of winters need, each with its range over what is not known about bees.
fn needed(summary: &Summary, units: System) -> String {
    let words = |kg: f64| mass(kg, units);
    let need = |share: f64| summary.need(share);
    let figure = |share: f64| need(share).map_or_else(String::new, |need| words(need.kg));
    let range = |share: f64| {
        let shared = need(share).and_then(|need| need.shared);
        shared.map(|shared| span(shared.range(), &words))
    };
    let given = range(0.5).map_or_else(String::new, |range| format!(" ({range}, {GIVEN})"));
    let behind = |share: f64| range(share).map_or_else(String::new, |range| format!(" ({range})"));
    format!(
        "Half of winters need {} or less{given}, 80 % {}{}, 95 % {}{}",
        figure(0.5),
        figure(0.8),
        behind(0.8),
        figure(0.95),
        behind(0.95),
    )
}

/// How precise the answer was to be, and is.
fn precision(reached: &Reached, units: System) -> String {
    let half = |value: f64| match reached.asked {
        Precision::Risk(_) => format!("{:.2} points", 100.0 * value),
        Precision::NeedKg(_) => show(value, Dimension::Mass, units, Round::Decimals(2)),
    };
    let what = match reached.asked {
        Precision::Risk(_) => "risk",
        Precision::NeedKg(_) => "honey needed in 50, 80 and 95 %",
    };
    let has = half(reached.half_width);
    let asked = half(reached.asked.asked());
    match reached.members_needed {
        None => format!(
            "{what} to {has} either way by sampling, asked {asked}, with {} members; ranges {GIVEN} do not shrink with members",
            reached.members
        ),
        Some(needed) => format!(
            "{what} only to {has} either way by sampling with {} members, asked {asked}: some {needed} would be needed (--most), in {} sets (--shared-sets); ranges {GIVEN} \
             do not shrink with members",
            reached.members,
            reached.shared_sets_needed.unwrap_or_default(),
        ),
    }
}

/// What became of feed; none where the scenario gives none.
fn feeding(report: &RunReport<'_>, units: System) -> Option<String> {
    let part = |kg| show(kg, Dimension::Mass, units, Round::Decimals(1));
    let feeds = report.scenario.colony.feeds.iter();
    let feeds: Vec<String> = feeds.map(|feed| feed_words(feed, units)).collect();
    let feeds = feeds.join(", ");
    let Some(fed) = &report.summary.feeding else {
        let given = !feeds.is_empty();
        return given.then(|| format!("{feeds}: no colony lives to the last of it"));
    };
    let before = match fed.ended_before {
        0.0 => String::new(),
        share => format!("; {} had ended before the last of it", percent(share)),
    };
    let waiting_kg = fed.offered_kg - fed.stored_kg - fed.lost_kg;
    let whole = if fed.whole < NEARLY_ALL {
        format!(
            "; {} of colonies take all of it, {} of stores stay in the feeder on average",
            percent(fed.whole),
            part(waiting_kg)
        )
    } else {
        String::new()
    };
    Some(format!(
        "{feeds}: {} of stores on average, after {} used in taking it in{whole}{before}",
        part(fed.stored_kg),
        part(fed.lost_kg),
    ))
}

/// Bees and stores as drawn, in words.
fn colony(report: &RunReport<'_>, units: System) -> String {
    let c = &report.scenario.colony;
    let bee_kg = most_likely(&report.scenario.overrides).bee_mass_kg;
    format!(
        "{:.0} bees ({}) ± {}, {} of stores ± {}",
        c.bees,
        show(c.bees * bee_kg, Dimension::Mass, units, Round::Decimals(1)),
        percent(c.bees_spread),
        mass(c.stores_kg, units),
        show(
            c.stores_spread_kg,
            Dimension::Mass,
            units,
            Round::Decimals(1)
        ),
    )
}

/// What to heft for at the start of winter.
fn weight(report: &RunReport<'_>, units: System) -> String {
    let s = report.summary;
    let gross = |share: f64| mass(s.need(share).map_or(f64::NAN, |need| need.gross_kg), units);
    let [low, median, high] = s.bare_kg.map(|kg| mass(kg, units));
    let weighed = match report.scenario.hive.tare_kg {
        None => "estimated from its layers and frames",
        Some(_) => "from its tare",
    };
    if s.chilled() >= MOST {
        return format!(
            "hive, frames and bees weigh {median} ({low} to {high}) without honey, {weighed}"
        );
    }
    format!(
        "target on {}: {} covers 80 % of winters, {} 90 %, {} 95 %; {median} of it ({low} to {high}) is hive, frames and bees, {weighed}",
        report.scenario.season.start,
        gross(0.8),
        gross(0.9),
        gross(0.95),
    )
}

/// What else ends colonies. Honey is no answer to it, so that it may not hide behind a small risk of running out.
fn chilled(summary: &Summary) -> String {
    if summary.chilled() > 0.0 {
        format!(
            "; {} die of cold or too few bees",
            percent(summary.chilled())
        )
    } else {
        String::new()
    }
}

fn counted(count: usize, noun: &str) -> String {
    let plural = if count == 1 { "" } else { "s" };
    format!("{count} {noun}{plural}")
}

fn needs(report: &RunReport<'_>, units: System) -> Vec<Block> {
    let summary = report.summary;
    let mut rows = table([
        "Share of winters",
        "honey needed",
        "bees not known, 90 %",
        "sampling, 95 %",
        "hive weighs",
    ]);
    for Need {
        share,
        kg,
        interval_kg: (low, high),
        shared,
        gross_kg,
    } in &summary.needs
    {
        rows.add_row([
            format!("{} of winters", percent(*share)),
            mass(*kg, units),
            cell(shared.as_ref(), &|kg| mass(kg, units)),
            span((*low, *high), &|kg| mass(kg, units)),
            mass(*gross_kg, units),
        ]);
    }
    let used = summary.used;
    // Small amounts beside each other: a decimal in pounds too.
    let part = |kg| show(kg, Dimension::Mass, units, Round::Decimals(1));
    let left = match summary.left_kg {
        None => "No colony lived to first forage.".to_owned(),
        Some(kg) => format!(
            "Colonies alive at first forage have a median of {} left.",
            mass(kg, units)
        ),
    };
    vec![
        Block::Table(rows),
        Block::Line(stands_on(
            summary.starved_shared.as_ref(),
            &report.prepared.plan.crossing(),
        )),
        Block::Line(format!(
            "Each winter here is one simulated colony in one recorded winter; {}",
            if_all_lived(summary)
        )),
        Block::Line(format!(
            "Used on average: {} for heat, {} for brood, {} on flight days. {left}",
            part(used.heat_kg),
            part(used.brood_kg),
            part(used.activity_kg),
        )),
    ]
}

/// What a need means when colonies die of something that honey does not help.
fn if_all_lived(summary: &Summary) -> String {
    if summary.chilled() >= MANY {
        return format!(
            "the honey is what they would take if all lived, and {} do not for cold or too few bees.",
            percent(summary.chilled())
        );
    }
    "the honey is what it takes if the colony never lacks any.".to_owned()
}

fn ends(summary: &Summary, units: System) -> Vec<Block> {
    let mut rows = table(["End", "members", "share", "sampling, 95 %"]);
    for end in &summary.ends {
        let (low, high) = end.interval;
        rows.add_row([
            end.end.words().to_owned(),
            end.count.to_string(),
            percent(end.share),
            format!("{} to {}", percent(low), percent(high)),
        ]);
    }
    let stranded = summary.stranded_kg.map(|kg| {
        let left = show(kg, Dimension::Mass, units, Round::Decimals(1));
        Block::Line(format!("Stranded colonies leave a median of {left} that they did not reach: beside or above the cluster, in air too cold to move."))
    });
    std::iter::once(Block::Table(rows))
        .chain(stranded)
        .collect()
}

fn heat(summary: &Summary) -> Vec<Block> {
    let mut rows = table(["Heat leaves by", "share"]);
    for heat in summary.heat.iter().filter(|heat| heat.share != 0.0) {
        rows.add_row([heat.path.words().to_owned(), percent(heat.share)]);
    }
    vec![
        Block::Table(rows),
        Block::Line("Shares of the heat that bees made. Surfaces are net of the sun they took up; below zero the sun gave more than left there.".to_owned()),
    ]
}

fn winters(summary: &Summary, units: System) -> Vec<Block> {
    let mut rows = table([
        "Winter",
        "mean",
        "coldest",
        "median need",
        "starve",
        "confined",
    ]);
    let degrees = |c: f64| show(c, Dimension::Temperature, units, Round::Decimals(1));
    for winter in &summary.winters {
        rows.add_row([
            winter.label.clone(),
            degrees(winter.mean_c),
            degrees(winter.coldest_c),
            mass(winter.need_kg, units),
            percent(winter.starved),
            format!("{:.0} d", winter.confined_days),
        ]);
    }
    let years = match summary.winters.len() {
        1 => "one winter cannot show how winters differ".to_owned(),
        count => format!("other winters than these {count} would come"),
    };
    vec![
        Block::Table(rows),
        Block::Line(chance(summary)),
        Block::Line(format!(
            "Sampling intervals hold the chance of which colonies and sets were drawn, not of the years: {years}."
        )),
    ]
}

/// The days on which each change of the hive held, if it has any.
fn changes(report: &RunReport<'_>, units: System) -> Option<Vec<Block>> {
    let plan = &report.prepared.plan;
    let held = over_winters(plan);
    let days = |number: usize| {
        let days = held.get(number).and_then(|change| change.days);
        format!("{:.0}", days.unwrap_or(f64::NAN))
    };
    let table = change_table(&plan.hive.changes, "days a winter", units, days)?;
    let whole = report.summary.days;
    Some(vec![
        Block::Table(table),
        Block::Line(format!(
            "Days on which it held, of {whole}; the mean of the winters."
        )),
    ])
}

/// How far two winters may lie apart by the chance of which members they were dealt.
fn chance(summary: &Summary) -> String {
    // Winters have sets in common, and colonies of their own.
    let fewest = summary
        .winters
        .iter()
        .map(|winter| winter.members.div_ceil(SETS_TOGETHER as usize))
        .min()
        .unwrap_or(0);
    let p = summary.starved;
    // Two standard errors of the difference of two shares.
    let points = 200.0 * (2.0 * p * (1.0 - p) / fewest.max(1) as f64).sqrt();
    format!(
        "Each winter has colonies of its own, {fewest} or more: shares that differ by less than {points:.0} points differ by chance."
    )
}

fn notes(report: &RunReport<'_>) -> Vec<Block> {
    let mut notes: Vec<String> = report
        .prepared
        .notes
        .iter()
        .map(|note| format!("Note: {note}."))
        .collect();
    let refused = report.prepared.refused.iter();
    notes.extend(refused.map(|(label, why)| format!("Left out: winter {label}: {why}.")));
    notes.extend(CAUTIONS.map(str::to_owned));
    notes.push(format!("Made by {}.", report.provenance.line()));
    notes.into_iter().map(Block::Note).collect()
}
