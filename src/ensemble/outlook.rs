//! The odds of the rest of a winter for a colony as its keeper found it.

use super::ensemble_error::EnsembleError;
use super::plan::Plan;
use super::replicates::Chance;
use super::shared::{Figure, SharedRange};
use super::statistics::{quantile, sorted};
use super::summary::{NEED_SHARES, Need};
use super::watcher::Watcher;
use crate::colony::End;
use crate::season::{self, Found, Honey, Rest};
use jiff::civil::Date;
use rayon::prelude::*;
use serde::Serialize;

/// Twentieth, median, nineteen twentieths.
const SPREAD: [f64; 3] = [0.05, 0.5, 0.95];

/// What a keeper knows in the midst of a winter.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked {
    /// Month and day; the colony is as it stands when the day begins.
    pub on: (i8, i8),
    /// Bees, if they were counted; spread as the scenario spreads those at the start.
    pub bees: Option<f64>,
    /// Honey. Stores are spread as the scenario spreads those at the start; a gross weight is taken as exact, and its honey is as uncertain as the bees and
    /// the empty hive.
    pub honey: Honey,
    /// Feeds to compare, as honey over the cluster, kg; ascending.
    pub feeds_kg: Vec<f64>,
}

/// The rest of the winters of all members; `None` for those that had ended by the day.
///
/// # Errors
/// [`EnsembleError`]; of several failing members the one with the lowest number is named.
pub fn outlook(
    plan: &Plan,
    asked: &Asked,
    watcher: &impl Watcher,
) -> Result<Vec<Option<Rest>>, EnsembleError> {
    plan.check()?;
    let draws = plan.draws();
    let rests: Vec<Result<Option<Rest>, EnsembleError>> = (0..plan.members)
        .into_par_iter()
        .map(|number| {
            if watcher.stop() {
                return Err(EnsembleError::Interrupted);
            }
            let forcing = &plan.winters[plan.winter_of(number)];
            let member = plan.member(&draws, number);
            let day = day_of(forcing.start.date(), asked.on).unwrap_or(0);
            let found = Found {
                day,
                bees: asked.bees.map(|bees| plan.bees(&draws, number, bees)),
                honey: match asked.honey {
                    Honey::Stores(kg) => Honey::Stores(plan.stores_kg(&draws, number, kg)),
                    other => other,
                },
            };
            let rest = season::rest(&member, &plan.site, forcing, &found, &asked.feeds_kg);
            watcher.finished();
            rest.map_err(|source| EnsembleError::Member {
                member: number,
                winter: forcing.label.clone(),
                source,
            })
        })
        .collect();
    rests.into_iter().collect()
}

/// Days from the start of a winter to a day of the year; `None` for a day that no year has.
#[must_use]
pub fn day_of(start: Date, (month, day): (i8, i8)) -> Option<usize> {
    let this = Date::new(start.year(), month, day).ok()?;
    let on = if this < start {
        Date::new(start.year() + 1, month, day).ok()?
    } else {
        this
    };
    let days = (on - start).get_days();
    usize::try_from(days).ok()
}

/// Members with one amount of feed.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FeedOdds {
    /// Given, as honey, kg.
    pub feed_kg: f64,
    /// Share that starves before first forage.
    pub starved: f64,
    /// Interval of it by the chance of the draws.
    pub starved_interval: (f64, f64),
    /// Days after the day asked for by which a twentieth, half and nineteen twentieths of those that starve have done so; none when none does.
    pub ran_out_days: Option<[f64; 3]>,
    /// Share that dies of cold or too few bees.
    pub chilled: f64,
    /// Median honey left by those alive, kg; none when none is.
    pub left_kg: Option<f64>,
}

/// What the rests of winters say together.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Outlook {
    /// The day asked for, in a common year.
    pub on: Date,
    /// Members alive on it, of which all else speaks.
    pub members: usize,
    /// Members that had ended by then.
    pub ended_before: usize,
    /// Honey on the day, kg: twentieth, median, nineteen twentieths.
    pub stores_kg: [f64; 3],
    /// Syrup in the feeder on the day, kg; the same.
    pub feeder_kg: [f64; 3],
    /// Share of members whose hive, bees and brood alone weigh what was weighed, so that no honey is left for them.
    pub no_honey: f64,
    /// What the hive weighs on the day, kg; the same.
    pub gross_kg: [f64; 3],
    /// Bees on the day; the same.
    pub bees: [f64; 3],
    /// Brood cells on the day; the same.
    pub brood: [f64; 3],
    /// Honey that the rest of the winter takes; [`Need::gross_kg`] is the weight on the day.
    pub needs: Vec<Need>,
    /// For each feed asked for.
    pub feeds: Vec<FeedOdds>,
}

impl Outlook {
    /// Of the members that were alive; `None` when none was.
    #[must_use]
    pub fn new(plan: &Plan, asked: &Asked, rests: &[Option<Rest>]) -> Option<Self> {
        let alive: Vec<&Rest> = rests.iter().flatten().collect();
        if alive.is_empty() {
            return None;
        }
        let all = |value: fn(&Rest) -> f64| sorted(alive.iter().map(|rest| value(rest)).collect());
        let spread = |value: fn(&Rest) -> f64| {
            let values = all(value);
            SPREAD.map(|share| quantile(&values, share))
        };
        let needs_kg = all(|rest| rest.need_kg);
        let chance = Chance::new(plan);
        let numbered: Vec<(u32, &Rest)> = (0..).zip(rests).filter_map(alive_one).collect();
        let of_members_kg: Vec<(u32, f64)> = numbered
            .iter()
            .map(|(member, rest)| (*member, rest.need_kg))
            .collect();
        let bare_kg = spread(|rest| rest.gross_kg - rest.stores_kg - rest.feeder_kg)[1];
        let start = plan.winters.first().map(|winter| winter.start.date());
        let day = start.and_then(|start| day_of(start, asked.on)).unwrap_or(0);
        let feeds = asked.feeds_kg.iter().enumerate();
        Some(Self {
            on: Date::new(2001, asked.on.0, asked.on.1).unwrap_or(Date::ZERO),
            members: alive.len(),
            ended_before: rests.len() - alive.len(),
            stores_kg: spread(|rest| rest.stores_kg),
            no_honey: match asked.honey {
                Honey::Gross(_) => {
                    let none = alive.iter().filter(|rest| rest.stores_kg <= 0.0);
                    none.count() as f64 / alive.len() as f64
                }
                _ => 0.0,
            },
            feeder_kg: spread(|rest| rest.feeder_kg),
            gross_kg: spread(|rest| rest.gross_kg),
            bees: spread(|rest| rest.bees),
            brood: spread(|rest| rest.brood),
            needs: NEED_SHARES
                .map(|share| Need {
                    share,
                    kg: quantile(&needs_kg, share),
                    interval_kg: chance.of_quantile(&of_members_kg, &needs_kg, share),
                    shared: SharedRange::new(
                        chance.crossing(),
                        &of_members_kg,
                        Figure::Quantile(share),
                    ),
                    gross_kg: bare_kg + quantile(&needs_kg, share),
                })
                .to_vec(),
            feeds: feeds
                .map(|(number, feed_kg)| odds(&chance, &numbered, (number, *feed_kg), day))
                .collect(),
        })
    }

    /// Honey that the rest takes for a share that is one of 0.5, 0.8, 0.9, 0.95 and 0.99, kg.
    #[must_use]
    pub fn need_kg(&self, share: f64) -> Option<f64> {
        let need = self.needs.iter().find(|need| need.share == share);
        need.map(|need| need.kg)
    }

    /// A day after the one asked for, without its year: "2 April".
    #[must_use]
    pub fn day_words(&self, days: f64) -> String {
        let span = jiff::Span::new().days(days.round() as i32);
        self.on.saturating_add(span).strftime("%-d %B").to_string()
    }
}

fn alive_one((member, rest): (u32, &Option<Rest>)) -> Option<(u32, &Rest)> {
    rest.as_ref().map(|rest| (member, rest))
}

/// With one of the feeds, by its number and as honey, kg.
fn odds(
    chance: &Chance,
    alive: &[(u32, &Rest)],
    (number, feed_kg): (usize, f64),
    day: usize,
) -> FeedOdds {
    let fed: Vec<_> = alive
        .iter()
        .filter_map(|(_, rest)| rest.fed.get(number))
        .collect();
    let starved = |end: End| matches!(end, End::StoresRanOut | End::Stranded);
    let days: Vec<f64> = fed
        .iter()
        .filter(|fed| starved(fed.end))
        .filter_map(|fed| fed.end_day)
        .map(|end| end as f64 - day as f64)
        .collect();
    let share = |end: fn(End) -> bool| {
        fed.iter().filter(|fed| end(fed.end)).count() as f64 / fed.len() as f64
    };
    let left = fed.iter().filter(|fed| fed.end == End::Alive);
    let left = sorted(left.map(|fed| fed.left_kg).collect());
    let are: Vec<(u32, bool)> = alive
        .iter()
        .filter_map(|(member, rest)| Some((*member, starved(rest.fed.get(number)?.end))))
        .collect();
    FeedOdds {
        feed_kg,
        starved: share(starved),
        starved_interval: chance.of_share(&are),
        ran_out_days: (!days.is_empty()).then(|| {
            let days = sorted(days);
            SPREAD.map(|share| quantile(&days, share))
        }),
        chilled: share(|end| end == End::Chilled),
        left_kg: (!left.is_empty()).then(|| quantile(&left, 0.5)),
    }
}
