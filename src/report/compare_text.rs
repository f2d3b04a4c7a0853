//! A comparison for a terminal: a verdict for each against the first, then the tables it stands on.

use super::shared_text::{GIVEN, behind, effect_mass, either_way, of_difference, span, stands_on};
use super::table::{percent, signed, table};
use super::{Block, Comparison, Document, Entry};
use crate::ensemble::{Against, Difference, Money, Verdict};
use crate::units::{Dimension, Round, System, show};

/// Hours of a day.
const DAY_H: f64 = 24.0;
/// Most members that are proposed when the draws cannot tell; more would tell of nothing worth knowing (own choice).
const MOST_PROPOSED: f64 = 1e6;

/// The report as text.
#[must_use]
pub fn text(comparison: &Comparison, units: System) -> String {
    document(comparison, units).terminal()
}

/// The report, block by block.
#[must_use]
pub fn document(comparison: &Comparison, units: System) -> Document {
    let mut parts = vec![head(comparison), sides(comparison, units)];
    if let Some(first) = comparison.entries.first() {
        for entry in &comparison.entries {
            if let Some(against) = &entry.against_first {
                parts.extend(pair(first, entry, against, comparison, units));
            }
        }
    }
    parts.push(notes(comparison));
    Document::new(parts)
}

fn mass(kg: f64, units: System) -> String {
    show(kg, Dimension::Mass, units, Round::Decimals(1))
}

fn head(comparison: &Comparison) -> Vec<Block> {
    let [start, end] = &comparison.season;
    let winters = comparison.winters.len();
    let mut said = vec![Block::Head(format!(
        "The same {} draws over the same {winters} winter{}, {start} to {end}",
        comparison.members,
        if winters == 1 { "" } else { "s" },
    ))];
    let entries = comparison.entries.iter();
    said.extend(entries.map(|entry| Block::Line(format!("{}  {}", entry.letter, entry.name))));
    said
}

fn sides(comparison: &Comparison, units: System) -> Vec<Block> {
    let entries = &comparison.entries;
    let letters = entries.iter().map(|entry| entry.letter.to_string());
    let mut rows = table(std::iter::once(String::new()).chain(letters));
    let mut row = |what: &str, value: &dyn Fn(&Entry) -> String| {
        rows.add_row(std::iter::once(what.to_owned()).chain(entries.iter().map(value)));
    };
    let labels = [
        "Half of winters need at most",
        "80 % need at most",
        "95 % need at most",
    ];
    for (place, label) in labels.into_iter().enumerate() {
        row(label, &|e| {
            let words = |kg| mass(kg, units);
            let shared = e.results.need_shared[place];
            words(e.results.need_kg[place]) + &behind(shared.as_ref(), &words)
        });
    }
    row("Stores at the start", &|e| mass(e.stores_kg, units));
    row("Starve", &|e| {
        let starved = e.results.starved;
        percent(starved.share) + &behind(starved.shared.as_ref(), &percent)
    });
    row("Die of cold or too few bees", &|e| {
        percent(e.results.chilled.share)
    });
    row("Days with a wet lid, median", &|e| {
        format!("{:.0}", e.results.wet_lid_h[1] / DAY_H)
    });
    row("Left by the living, median", &|e| {
        e.results
            .left_kg
            .map_or_else(|| "-".to_owned(), |[_, median, _]| mass(median, units))
    });
    if entries.iter().any(|entry| entry.hive_price.is_some()) {
        row("Price of the hive", &|e| {
            e.hive_price
                .map_or_else(|| "-".to_owned(), |price| format!("{price:.0}"))
        });
    }
    let shared = entries.iter().find_map(|e| e.results.starved.shared);
    let brackets = shared.map_or("", |_| "In brackets: 90 % range. ");
    let said = stands_on(shared.as_ref(), &comparison.crossing);
    vec![
        Block::Table(rows),
        Block::Paragraph(format!("{brackets}{said}")),
    ]
}

fn pair(
    first: &Entry,
    entry: &Entry,
    against: &Against,
    comparison: &Comparison,
    units: System,
) -> [Vec<Block>; 2] {
    let (a, b) = (first.letter, entry.letter);
    let kg = |kg: f64| effect_mass(kg, units);
    let points = |share: f64| format!("{:.1} points", 100.0 * share);
    let days = |hours: f64| format!("{:.0} days", hours / DAY_H);
    let mut said = vec![Block::Head(format!("{b} against {a}"))];
    let under = |label: &str, words: String| Block::Under {
        label: label.to_owned(),
        words,
    };
    let mut verdict =
        |name: &str, difference: &Difference, show: &dyn Fn(f64) -> String, words: [&str; 2]| {
            said.push(under(name, verdict(difference, comparison, show, words)));
        };
    verdict("Honey needed", &against.need_kg, &kg, ["less", "more"]);
    verdict(
        "Risk",
        &against.starved,
        &points,
        ["fewer starve", "more starve"],
    );
    if let Some(wet) = &against.wet_lid_h {
        verdict("Wet lid", wet, &days, ["fewer", "more"]);
    }
    verdict("Left in spring", &against.spring_kg, &kg, ["less", "more"]);
    if let Some(money) = &against.money {
        said.push(under("Money", worth(money, units)));
    }
    let mut rows = table([
        format!("{b} less {a}"),
        "mean".to_owned(),
        "bees not known, 90 %".to_owned(),
        "sampling here, 95 %".to_owned(),
        "elsewhere, 95 %".to_owned(),
    ]);
    let mut row = |what: &str, difference: &Difference, show: &dyn Fn(f64) -> String| {
        let ends = |(low, high): (f64, f64)| {
            if low.is_finite() && high.is_finite() {
                format!("{} to {}", signed(show(low)), signed(show(high)))
            } else {
                "unknown".to_owned()
            }
        };
        rows.add_row([
            what.to_owned(),
            signed(show(difference.mean)),
            difference
                .shared
                .map_or_else(|| "-".to_owned(), |shared| ends(shared.range())),
            ends(difference.draws),
            difference
                .winters
                .map_or_else(|| "one winter".to_owned(), ends),
        ]);
    };
    let kg = |kg: f64| mass(kg, units);
    row("Honey needed", &against.need_kg, &kg);
    row("- before brood", &against.before_brood_kg, &kg);
    row("- with brood", &against.with_brood_kg, &kg);
    row("Starve", &against.starved, &points);
    row("Lost for any cause", &against.lost, &points);
    if let Some(wet) = &against.wet_lid_h {
        row("Wet lid, where both live", wet, &|hours| {
            format!("{hours:.0} h")
        });
    }
    row("Left in spring", &against.spring_kg, &kg);
    let whole = |count: f64| format!("{count:.0}");
    for (what, spring) in [
        ("Bees in spring, where both live", &against.spring_bees),
        ("Brood cells, where both live", &against.spring_brood),
    ] {
        if let Some(spring) = spring {
            row(what, spring, &whole);
        }
    }
    if let Some(money) = &against.money {
        row("Saved a winter, money", &money.saved_per_winter, &|sum| {
            format!("{sum:.1}")
        });
    }
    let (less, of) = against.winters_needing_less;
    let [only_a, only_b, both] = against.starved_pairs;
    let (low, high) = against.needs_less.interval;
    let counts = format!(
        "{b} needs less honey in {} of the pairs ({} to {}) and more in {}; on average it needs less in {less} of {of} winters. Of {} pairs only {a} starves in \
         {only_a}, only {b} in {only_b}, both in {both}.",
        percent(against.needs_less.share),
        percent(low),
        percent(high),
        percent(against.needs_more.share),
        comparison.members,
    );
    [said, vec![Block::Table(rows), Block::Paragraph(counts)]]
}

/// A difference in words; `words` are those for below and above zero.
fn verdict(
    difference: &Difference,
    comparison: &Comparison,
    show: &dyn Fn(f64) -> String,
    words: [&str; 2],
) -> String {
    let [less, more] = words;
    let (word, interval, here) = match difference.verdict {
        Verdict::Same => return "no pair differs".to_owned(),
        Verdict::CannotTell => return no_clear_effect(difference, show, words),
        Verdict::Less => (less, difference.widest(), false),
        Verdict::More => (more, difference.widest(), false),
        Verdict::LessHere => (less, difference.draws, true),
        Verdict::MoreHere => (more, difference.draws, true),
    };
    let mean = format!("{} {word}", show(difference.mean.abs()));
    let sampling = format!("{}, sampling", sizes(interval, show));
    let said = match &difference.shared {
        None => format!("{mean} ({sampling})"),
        Some(shared) if shared.crosses_zero() => format!(
            "direction uncertain: {}, {GIVEN}; on average {mean} ({sampling})",
            either_way(shared, show, words)
        ),
        Some(shared) => format!(
            "{mean} ({}, {GIVEN}; {sampling})",
            sizes(shared.range(), show)
        ),
    };
    let winters = match comparison.winters.len() {
        1 => "one winter cannot tell of others".to_owned(),
        count => format!("these {count} winters cannot tell of others"),
    };
    if here {
        format!("{said} in these winters; {winters}")
    } else {
        said
    }
}

/// Sizes between the ends of a range that lies on one side of zero.
fn sizes((low, high): (f64, f64), show: &dyn Fn(f64) -> String) -> String {
    let (low, high) = (low.abs(), high.abs());
    span((low.min(high), low.max(high)), show)
}

/// What the draws leave possible where they leave zero possible.
fn no_clear_effect(
    difference: &Difference,
    show: &dyn Fn(f64) -> String,
    words: [&str; 2],
) -> String {
    let (low, high) = difference.widest();
    if !low.is_finite() || !high.is_finite() {
        return "one pair cannot tell".to_owned();
    }
    let [less, more] = words;
    let shared = of_difference(difference, show, words);
    format!(
        "no clear effect: {} {less} to {} {more}, sampling{}{}",
        show(low.min(0.0).abs()),
        show(high.max(0.0)),
        shared.map_or_else(String::new, |shared| format!("; {shared}")),
        members_needed(difference)
    )
}

/// How many members would tell, if the difference is what it seems: the draws' interval narrows with their root.
fn members_needed(difference: &Difference) -> String {
    let (low, high) = difference.draws;
    let ratio = 0.5 * (high - low) / difference.mean.abs();
    let needed = difference.pairs as f64 * ratio * ratio;
    if needed <= MOST_PROPOSED {
        // Two digits: it is a guess.
        let unit = libm::pow(10.0, libm::floor(libm::log10(needed)) - 1.0);
        format!(
            "; if it is as it seems, some {:.0} members would tell in these winters",
            (needed / unit).ceil() * unit
        )
    } else {
        "; no number of members is likely to tell".to_owned()
    }
}

fn worth(money: &Money, units: System) -> String {
    let saved = money.saved_per_winter;
    let extra = money.prices.extra;
    let price = match extra {
        extra if extra > 0.0 => format!("costs {extra:.0} more"),
        extra if extra < 0.0 => format!("costs {:.0} less", -extra),
        _ => "costs the same".to_owned(),
    };
    let saves = if saved.mean >= 0.0 {
        format!("saves {:.1} a winter", saved.mean)
    } else {
        format!("costs {:.1} more every winter", -saved.mean)
    };
    let back = match (money.winters_to_pay_back, money.pay_back_interval) {
        (Some(winters), Some((soonest, Some(latest)))) => {
            format!("; paid back in {winters:.1} winters ({soonest:.1} to {latest:.1})")
        }
        (Some(winters), Some((soonest, None))) => {
            format!(
                "; paid back in {winters:.1} winters, perhaps never ({soonest:.1} at the soonest)"
            )
        }
        _ if extra > 0.0 => "; it does not pay itself back".to_owned(),
        _ => String::new(),
    };
    let per_kg = money
        .per_kg_saved
        .filter(|_| extra > 0.0)
        .map_or_else(String::new, |per_kg| {
            let (per, unit) = match units {
                System::Metric => (per_kg, "kg"),
                System::Us => (per_kg * crate::units::POUND_KG, "lb"),
            };
            format!(
                "; {per:.2} for each {unit} of honey saved over {:.0} winters",
                money.prices.lasts_winters
            )
        });
    format!("{price} and {saves}{back}{per_kg}")
}

fn notes(comparison: &Comparison) -> Vec<Block> {
    let mut said: Vec<String> = comparison.intervals.map(str::to_owned).to_vec();
    said.push(
        "Honey needed is what a winter takes if the colony never lacks any. Left in spring counts the honey beside living bees, none beside dead ones; with \
         other stores at the start more or less of it is left for that alone. Money counts no interest, labour or use of the hive in summer."
            .to_owned(),
    );
    said.extend(comparison.notes.iter().map(|note| format!("Note: {note}.")));
    said.extend(comparison.cautions.map(str::to_owned));
    let entries = comparison.entries.iter();
    said.extend(
        entries.map(|entry| format!("{} made by {}.", entry.letter, entry.provenance.line())),
    );
    said.into_iter().map(Block::Note).collect()
}
