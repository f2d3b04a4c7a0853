//! Fits the colony and a few parameters of a scenario to the weights of one winter.

use super::forecast::Forecast;
use super::importance_sampling::{WeightedSample, adaptive_importance_sampling};
use super::noise::Noise;
use super::scale::Weights;
use super::spans::{Cut, Spans, days};
use crate::ensemble::{Draws, EnsembleError, Plan, Watcher};
use crate::normal;
use crate::parameter::{self, Scope, TABLE};
use crate::season;
use jiff::civil::Date;
use rayon::prelude::*;
use serde::Serialize;
use thiserror::Error;

/// What is shown of the colony's own, beside the bees at the start: what decides most of its use of honey. All else that has a spread is
/// drawn with it and counts in the intervals.
pub const OWN: [&str; 2] = ["brood_start_rank", "peak_eggs_per_day"];
/// What moves no weight of a colony that never lacks honey, but for a constant.
const IDLE: [&str; 2] = ["frame_kg_m2", "move_air_c"];
/// Rounds of draws (own choice: the first four or five find the place, the others are drawn there).
pub const ROUNDS: usize = 8;
/// Fewest days that kept weights must cover (own choice: a month of a hive's use is some tenfold of what a usual scale is off by).
const FEWEST_DAYS: i32 = 21;
/// Effective draws below which intervals are not to be trusted (own choice).
const FEW_EFFECTIVE: f64 = 100.0;
/// Shares of which an [`Interval`] holds the quantiles: from first to last are 90 %, from second to last but one 50 %.
pub const SHARES: [f64; 5] = [0.05, 0.25, 0.5, 0.75, 0.95];

/// Why nothing was fitted.
#[derive(Debug, Error)]
pub enum FitError {
    /// No winter of the weather holds the weights.
    #[error(
        "the weights run from {first} to {last}, and no complete winter of the weather holds them: there are {winters}; name weather of that winter, or for one \
         that is not over set first_forage to its last day"
    )]
    NoWinter {
        /// First day.
        first: Date,
        /// Last day.
        last: Date,
        /// Those there are.
        winters: String,
    },
    /// Too little is left to fit to.
    #[error(
        "the weights that are the colony's alone cover {days} days in {kept} steps; at least {FEWEST_DAYS} days are needed"
    )]
    TooFew {
        /// Days covered.
        days: i32,
        /// Steps.
        kept: usize,
    },
    /// A winter could not be run.
    #[error(transparent)]
    Ensemble(#[from] EnsembleError),
}

/// Quantiles for [`SHARES`] before and after the weights.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Interval {
    /// By the scenario.
    pub prior: [f64; 5],
    /// By the weights too.
    pub posterior: [f64; 5],
}

/// One fitted quantity.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Fitted {
    /// "bees" or the parameter's name.
    pub name: &'static str,
    /// Before and after.
    pub interval: Interval,
    /// Hundredth and ninety-nine hundredths after the weights.
    pub range: (f64, f64),
}

/// A parameter that all colonies share.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SharedFitted {
    /// Before and after.
    #[serde(flatten)]
    pub fitted: Fitted,
    /// Its value in each draw of [`Fit::weights`].
    #[serde(skip)]
    pub values: Vec<f64>,
}

/// What the weights told.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Fit {
    /// The winter weighed.
    pub winter: String,
    /// First and last day of the weights in it.
    pub days: (Date, Date),
    /// Readings in it, and outside of it.
    pub readings: (usize, usize),
    /// Steps from reading to reading that are fitted to.
    pub kept: usize,
    /// Steps left out.
    pub cuts: Vec<Cut>,
    /// Draws.
    pub draws: usize,
    /// Draws that count.
    pub effective: f64,
    /// Honey used from the first to the last of these days, kg.
    pub used_kg: Interval,
    /// The colony's own, which tells nothing of others: bees, then [`OWN`] where they have a spread.
    pub fitted: Vec<Fitted>,
    /// Everything drawn that all colonies share, in the order of the table.
    pub shared: Vec<SharedFitted>,
    /// Weight of each draw; their sum is one.
    #[serde(skip)]
    pub weights: Vec<f64>,
    /// What the scenario foresaw without the weights, against them.
    pub forecast: Forecast,
}

impl Fit {
    /// Whether too few draws count to trust the intervals.
    #[must_use]
    pub fn is_thin(&self) -> bool {
        self.effective < FEW_EFFECTIVE
    }
}

/// What is kept of a draw.
struct Drawn {
    used_kg: f64,
    midnights_kg: Vec<f64>,
    values: Vec<f64>,
}

/// Fits to weights, with `each` draws in each of [`ROUNDS`]. `fed` are days on which the hive was fed.
///
/// # Errors
/// [`FitError`].
pub fn fit(
    plan: &Plan,
    weights: &Weights,
    fed: &[Date],
    each: usize,
    watcher: &impl Watcher,
) -> Result<Fit, FitError> {
    if weights.readings.is_empty() {
        return Err(FitError::TooFew { days: 0, kept: 0 });
    }
    let number = winter_of(plan, weights)?;
    let forcing = &plan.winters[number];
    let start = forcing.start.date();
    let within =
        |date: Date| usize::try_from(days(start, date)).is_ok_and(|day| day < forcing.days());
    let mut readings = weights.readings.clone();
    readings.retain(|reading| within(reading.date));
    let fed = fed_on(fed, plan, &readings);
    let spans = Spans::new(&readings, &fed);
    let (Some(first), Some(last)) = (readings.first(), readings.last()) else {
        return Err(FitError::TooFew { days: 0, kept: 0 });
    };
    if spans.days() < FEWEST_DAYS {
        return Err(FitError::TooFew {
            days: spans.days(),
            kept: spans.kept(),
        });
    }
    let unknowns = unknowns(plan);
    let draws = Draws::new(plan.seed);
    let deviate =
        |draw: usize, of: usize| normal::quantile(draws.uniform(draw as u64, unknowns[of]));
    let noise = Noise::new(&spans, start);
    let day_of = |date: Date| usize::try_from(days(start, date)).unwrap_or(0);
    let (from, until) = (day_of(first.date), day_of(last.date));
    let mut used_kg: Vec<f64> = Vec::new();
    let mut values: Vec<Vec<f64>> = Vec::new();
    let mut first_round: Vec<Vec<f64>> = Vec::new();
    let names = &unknowns;
    let sample =
        adaptive_importance_sampling(unknowns.len(), (ROUNDS, each), deviate, &noise, |new| {
            let drawn: Vec<Result<Drawn, EnsembleError>> = new
                .par_iter()
                .map(|z| {
                    if watcher.stop() {
                        return Err(EnsembleError::Interrupted);
                    }
                    let member = plan.member_at(&probability(&unknowns, z));
                    let weighed = season::weighing(&member, &plan.site, forcing, until + 1);
                    watcher.finished();
                    let weighed = weighed.map_err(|source| EnsembleError::Member {
                        member: 0,
                        winter: forcing.label.clone(),
                        source,
                    })?;
                    let value = |name: &&'static str| match *name {
                        "bees" => member.colony.bees,
                        name => member.parameters.get(name).unwrap_or(f64::NAN),
                    };
                    Ok(Drawn {
                        used_kg: weighed[until].used_kg - weighed[from].used_kg,
                        midnights_kg: weighed.iter().map(|at| at.change_kg).collect(),
                        values: names.iter().map(value).collect(),
                    })
                })
                .collect();
            let mut midnights_kg = Vec::with_capacity(new.len());
            for drawn in drawn {
                let drawn = drawn?;
                midnights_kg.push(drawn.midnights_kg);
                used_kg.push(drawn.used_kg);
                values.push(drawn.values);
            }
            // The first round is drawn as the scenario has it.
            if first_round.is_empty() {
                first_round.clone_from(&midnights_kg);
            }
            Ok::<_, EnsembleError>(midnights_kg)
        })?;
    let interval = |values: &[f64]| interval(&sample, values, each);
    let fitted = |of: usize| {
        let values: Vec<f64> = values.iter().map(|draw| draw[of]).collect();
        let fitted = Fitted {
            name: names[of],
            interval: interval(&values),
            range: (
                sample.quantile(&values, 0.01),
                sample.quantile(&values, 0.99),
            ),
        };
        SharedFitted { fitted, values }
    };
    let places = |is: &dyn Fn(&str) -> bool| -> Vec<usize> {
        (0..names.len()).filter(|of| is(names[*of])).collect()
    };
    let own = places(&|name| name == "bees" || OWN.contains(&name));
    let shared = places(&is_shared);
    Ok(Fit {
        winter: forcing.label.clone(),
        days: (first.date, last.date),
        readings: (readings.len(), weights.readings.len() - readings.len()),
        kept: spans.kept(),
        fitted: own.into_iter().map(|of| fitted(of).fitted).collect(),
        shared: shared.into_iter().map(fitted).collect(),
        forecast: Forecast::new(&spans, start, &first_round),
        cuts: spans.cuts,
        draws: sample.draws.len(),
        effective: sample.effective(),
        used_kg: interval(&used_kg),
        weights: sample.weights.clone(),
    })
}

/// The first round is drawn as the scenario has it.
fn interval(sample: &WeightedSample, values: &[f64], each: usize) -> Interval {
    let before = WeightedSample {
        draws: Vec::new(),
        weights: vec![1.0 / each as f64; each],
    };
    Interval {
        prior: SHARES.map(|share| before.quantile(&values[..each], share)),
        posterior: SHARES.map(|share| sample.quantile(values, share)),
    }
}

/// Names of all that has a spread.
fn unknowns(plan: &Plan) -> Vec<&'static str> {
    let bees = (plan.colony.bees_spread > 0.0).then_some("bees");
    let rows = TABLE.iter().enumerate();
    let drawn = rows.filter(|(number, row)| plan.is_drawn(*number) && !IDLE.contains(&row.name));
    bees.into_iter()
        .chain(drawn.map(|(_, row)| row.name))
        .collect()
}

fn is_shared(name: &str) -> bool {
    parameter::find(name).is_some_and(|row| row.scope == Scope::Shared)
}

/// The place of each name in its distribution; the middle for all that is not drawn.
fn probability<'a>(unknowns: &'a [&'static str], z: &'a [f64]) -> impl Fn(&str) -> f64 + 'a {
    |name| {
        let of = unknowns.iter().position(|unknown| *unknown == name);
        // The ends themselves would be infinite deviates.
        of.map_or(0.5, |of| normal::probability(z[of]).clamp(1e-9, 1.0 - 1e-9))
    }
}

/// Days of feeding: those named, and those on which the scenario feeds.
fn fed_on(named: &[Date], plan: &Plan, readings: &[super::Reading]) -> Vec<Date> {
    let planned = readings.iter().map(|reading| reading.date).filter(|date| {
        let day = (date.month(), date.day());
        plan.colony.feeds.iter().any(|feed| feed.on == day)
    });
    named.iter().copied().chain(planned).collect()
}

/// The winter that holds most of the readings.
fn winter_of(plan: &Plan, weights: &Weights) -> Result<usize, FitError> {
    let held = |number: &usize| {
        let winter = &plan.winters[*number];
        let (start, length) = (winter.start.date(), winter.days());
        let readings = weights.readings.iter();
        let inside = readings.filter(|reading| {
            usize::try_from(days(start, reading.date)).is_ok_and(|day| day < length)
        });
        inside.count()
    };
    let best = (0..plan.winters.len()).max_by_key(held);
    let date =
        |reading: Option<&super::Reading>| reading.map_or(Date::ZERO, |reading| reading.date);
    best.filter(|number| held(number) > 0)
        .ok_or_else(|| FitError::NoWinter {
            first: date(weights.readings.first()),
            last: date(weights.readings.last()),
            winters: plan
                .winters
                .iter()
                .map(|winter| winter.label.as_str())
                .collect::<Vec<_>>()
                .join(", "),
        })
}
