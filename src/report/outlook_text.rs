//! The outlook from a day in the midst of winter, for a terminal and as JSON.

use super::daily::commented_csv;
use super::feeding_text::feed_words;
use super::table::{lines, paragraph, percent, table};
use super::{CAUTIONS, OutputError, Provenance};
use crate::ensemble::{Asked, Outlook, day_of};
use crate::scenario::{Prepared, Scenario};
use crate::season::{Honey, Rest};
use crate::units::{Dimension, Round, System, show};
use serde::Serialize;

/// Stores below which colonies are fed in an emergency, kg (Ontario's provincial note on fall feeding).
pub const EMERGENCY_KG: f64 = 10.0;
/// Share of colonies lost to cold from which honey is no answer, as in `run`.
const MOST: f64 = 0.5;
/// Risk of starving that a feed is sought for, own choice.
const SMALL_RISK: f64 = 0.05;

/// What feeding in winter can and cannot do.
pub const FEEDING: [&str; 2] = [
    "Feed is counted as honey laid over the cluster at once: fondant, candy or dry sugar, sugar as about 1.1 times its weight. No syrup below 10 °C (50 °F): \
     bees do not take it and it brings water.",
    "Opening a hive in frost costs the bees heat that is not counted here; be quick, and choose the mildest hour.",
];

/// All that the outlook says.
#[derive(Clone, Copy, Debug)]
pub struct OutlookReport<'a> {
    /// The scenario.
    pub scenario: &'a Scenario,
    /// What was run.
    pub prepared: &'a Prepared,
    /// What was asked.
    pub asked: &'a Asked,
    /// The answer.
    pub outlook: &'a Outlook,
    /// What made it.
    pub provenance: &'a Provenance,
}

#[derive(Serialize)]
struct Output<'a> {
    provenance: &'a Provenance,
    notes: &'a [String],
    /// Feed of the scenario that is counted in, from the day on.
    planned: Option<String>,
    outlook: &'a Outlook,
    emergency_kg: f64,
    cautions: Vec<&'static str>,
}

impl<'a> OutlookReport<'a> {
    /// As JSON has it, in SI units.
    #[must_use]
    pub fn json(&self) -> impl Serialize + 'a {
        Output {
            provenance: self.provenance,
            notes: &self.prepared.notes,
            planned: planned_words(self, System::Metric),
            outlook: self.outlook,
            emergency_kg: EMERGENCY_KG,
            cautions: FEEDING.into_iter().chain(CAUTIONS).collect(),
        }
    }
}

/// `outlook.csv`: a row for each member alive on the day and each feed, SI units. Its first line is a comment that begins with `#`.
///
/// # Errors
/// [`OutputError::Format`].
pub fn csv(report: &OutlookReport<'_>, rests: &[Option<Rest>]) -> Result<Vec<u8>, OutputError> {
    let plan = &report.prepared.plan;
    let head = [
        "member",
        "winter",
        "bees",
        "brood",
        "stores_kg",
        "gross_kg",
        "need_kg",
        "feed_kg",
        "end",
        "end_date",
        "left_kg",
    ];
    let numbers = (0..plan.members).zip(rests);
    let alive = numbers.filter_map(|(number, rest)| Some((number, rest.as_ref()?)));
    let rows: Vec<_> = alive
        .flat_map(|(number, rest)| rest.fed.iter().map(move |fed| (number, rest, fed)))
        .collect();
    let head = head.map(str::to_owned);
    commented_csv(
        &report.provenance.line(),
        &head,
        &rows,
        |(number, rest, fed)| {
            vec![
                number.to_string(),
                plan.winters[plan.winter_of(*number)].label.clone(),
                format!("{:.0}", rest.bees),
                format!("{:.0}", rest.brood),
                format!("{:.3}", rest.stores_kg),
                format!("{:.3}", rest.gross_kg),
                format!("{:.4}", rest.need_kg),
                format!("{:.3}", fed.feed_kg),
                fed.end.words().to_owned(),
                fed.end_date
                    .map(|date| date.to_string())
                    .unwrap_or_default(),
                format!("{:.4}", fed.left_kg),
            ]
        },
    )
}

fn mass(kg: f64, units: System) -> String {
    let decimals = match units {
        System::Metric => 1,
        System::Us => 0,
    };
    show(kg, Dimension::Mass, units, Round::Decimals(decimals))
}

/// The report as text.
#[must_use]
pub fn text(report: &OutlookReport<'_>, units: System) -> String {
    let parts = [
        answer(report, units),
        feeds(report.outlook, units),
        notes(report, units),
    ];
    parts.join("\n\n") + "\n"
}

fn answer(report: &OutlookReport<'_>, units: System) -> String {
    let o = report.outlook;
    let winters = report.prepared.plan.winters.len();
    let until = report.scenario.season.first_forage;
    let of = |values: [f64; 3]| {
        let [low, median, high] = values.map(|kg| mass(kg, units));
        format!("{median} ({low} to {high})")
    };
    let source = match report.asked.honey {
        Honey::Expected => "as the scenario leads to it",
        Honey::Stores(_) => "as you found it",
        Honey::Gross(_) => "as you weighed it",
    };
    let chilled = o.feeds.first().map_or(0.0, |none| none.chilled);
    let need = |share| mass(o.need_kg(share).unwrap_or(f64::NAN), units);
    let mut said = vec![
        format!(
            "{}: from {} to {until}, {} members over {winters} winter{}",
            report.scenario.name,
            o.day_words(0.0),
            o.members,
            if winters == 1 { "" } else { "s" }
        ),
        format!(
            "Today           {} of honey, {:.0} bees, {:.0} cells of brood; the hive weighs {}; {source}",
            of(o.stores_kg),
            o.bees[1],
            o.brood[1],
            of(o.gross_kg)
        ),
        if chilled >= MOST {
            format!(
                "Still needed    is not the question: {} die of cold or too few bees, whatever the stores",
                percent(chilled)
            )
        } else {
            format!(
                "Still needed    half of winters need {} or less, 80 % {}, 95 % {}",
                need(0.5),
                need(0.8),
                need(0.95)
            )
        },
    ];
    if let Some(none) = o.feeds.first() {
        let (low, high) = none.starved_interval;
        let chilled = match none.chilled {
            0.0 => String::new(),
            share => format!("; {} die of cold or too few bees", percent(share)),
        };
        said.push(format!(
            "Risk            {} starve before {until} ({} to {}){chilled}",
            percent(none.starved),
            percent(low),
            percent(high)
        ));
        said.push(match none.ran_out_days {
            None => format!("When            none starves before {until}"),
            Some(days) => {
                let [early, middle, late] = days.map(|days| o.day_words(days));
                format!(
                    "When            half of those that starve have done so by {middle}, most between {early} and {late}"
                )
            }
        });
    }
    if o.feeder_kg[2] > 0.0 {
        said.push(format!(
            "In the feeder   {} of syrup, taken in warm hours and counted in all of this",
            of(o.feeder_kg)
        ));
    }
    said.extend(planned(report, units));
    said.push(match chilled >= MOST {
        true => "Feeding         does not help a colony that is too small for the cold".to_owned(),
        false => format!("Feeding         {}", advice(o, units)),
    });
    said.join("\n")
}

/// Feed that the scenario brings from the day on, which all of the odds hold.
fn planned(report: &OutlookReport<'_>, units: System) -> Option<String> {
    let words = planned_words(report, units)?;
    Some(format!(
        "Planned         {words}: the scenario's, counted in all of this"
    ))
}

fn planned_words(report: &OutlookReport<'_>, units: System) -> Option<String> {
    let start = report.prepared.plan.winters.first()?.start.date();
    let today = day_of(start, report.asked.on)?;
    let feeds = report.scenario.colony.feeds.iter();
    let to_come = feeds.filter(|feed| day_of(start, feed.on).is_some_and(|day| day >= today));
    let words: Vec<String> = to_come.map(|feed| feed_words(feed, units)).collect();
    (!words.is_empty()).then(|| words.join(", "))
}

/// The least of the feeds that makes the risk small.
fn advice(outlook: &Outlook, units: System) -> String {
    let enough = outlook.feeds.iter().find(|odds| odds.starved < SMALL_RISK);
    let limit = percent(SMALL_RISK);
    match (enough, outlook.feeds.last()) {
        (Some(odds), _) if odds.feed_kg == 0.0 => {
            format!("without any, fewer than {limit} starve")
        }
        (Some(odds), _) => format!(
            "{} is the least of the amounts below with which fewer than {limit} starve",
            mass(odds.feed_kg, units)
        ),
        (None, Some(odds)) => format!(
            "even with {} still {} starve",
            mass(odds.feed_kg, units),
            percent(odds.starved)
        ),
        (None, None) => String::new(),
    }
}

fn feeds(outlook: &Outlook, units: System) -> String {
    let mut rows = table([
        "Fed that day",
        "starve",
        "95 % interval",
        "half have by",
        "cold or too few",
        "left over",
    ]);
    for odds in &outlook.feeds {
        let (low, high) = odds.starved_interval;
        rows.add_row([
            match odds.feed_kg {
                0.0 => "nothing".to_owned(),
                kg => mass(kg, units),
            },
            percent(odds.starved),
            format!("{} to {}", percent(low), percent(high)),
            odds.ran_out_days
                .map_or_else(|| "-".to_owned(), |[_, half, _]| outlook.day_words(half)),
            percent(odds.chilled),
            odds.left_kg
                .map_or_else(|| "-".to_owned(), |kg| mass(kg, units)),
        ]);
    }
    format!(
        "{}\n{}",
        lines(&rows),
        paragraph("Left over is the median of those alive at first forage.")
    )
}

fn notes(report: &OutlookReport<'_>, units: System) -> String {
    let o = report.outlook;
    let mut notes: Vec<String> = Vec::new();
    if o.stores_kg[1] < EMERGENCY_KG {
        notes.push(format!(
            "Caution: less than {} of honey is where Ontario's advice feeds in an emergency, whatever the odds above.",
            mass(EMERGENCY_KG, units)
        ));
    }
    if o.ended_before > 0 {
        notes.push(format!(
            "Note: {} members had died by that day and are not counted; say with --stores or --weight what you found to count all.",
            o.ended_before
        ));
    }
    if o.no_honey > 0.0 {
        notes.push(format!(
            "Note: in {} of draws hive and bees alone weigh as much as you weighed, which leaves no honey: give a tare to know better.",
            percent(o.no_honey)
        ));
    }
    let prepared = report.prepared;
    notes.extend(prepared.notes.iter().map(|note| format!("Note: {note}.")));
    let refused = prepared.refused.iter();
    notes.extend(refused.map(|(label, why)| format!("Left out: winter {label}: {why}.")));
    notes.extend(FEEDING.into_iter().chain(CAUTIONS).map(str::to_owned));
    notes.push(format!("Made by {}.", report.provenance.line()));
    notes.join("\n")
}
