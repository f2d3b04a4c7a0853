//! What honey need and risk depend on, over everything that is drawn: colony, parameters and the winter.
//!
//! Indices ask for independent factors. What is not known about bees is shared by all colonies and may hang together, so it is one factor; what learning
//! each of its unknowns is worth stands in [`learning`](super::learning).

use super::draws::Draws;
use super::ensemble_error::EnsembleError;
use super::indices::{Indices, Mixed, indices};
use super::keeper::HiveMeasure;
use super::learning::Learning;
use super::parallel::{MemberRuns, run_members};
use super::plan::Plan;
use super::sets::{Ended, Sets, blocks, is_shared, shared};
use super::statistics::{mean, wilson};
use super::steps::{StepEffect, changed};
use super::watcher::Watcher;
use crate::parameter::{Scope, TABLE};
use crate::season::{Forcing, Member, Outcome, Site};
use serde::Serialize;

/// Tenth and nine tenths of a draw are so far apart in probability.
const TENTH_TO_NINE_TENTHS: f64 = 0.8;
/// Fewest members that must have starved, and lived, for indices of risk (own choice: below it single colonies carry them).
const FEWEST_OF_EACH: usize = 20;

/// Something that members differ in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Factor {
    /// Which of the plan's winters it is.
    Winter,
    /// Bees at the start.
    Bees,
    /// Honey at the start.
    Stores,
    /// All that is not known about bees and hives alike, as one: every drawn parameter that colonies share.
    Shared,
    /// A parameter that differs between colonies, by its number in the table.
    Parameter(usize),
}

impl Factor {
    /// Name of its draw, as in the files.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Winter => "winter",
            Self::Bees => "bees",
            Self::Stores => "stores",
            Self::Shared => "shared",
            Self::Parameter(number) => TABLE.get(number).map_or("", |row| row.name),
        }
    }

    /// What it is, in words.
    #[must_use]
    pub fn meaning(self) -> &'static str {
        match self {
            Self::Winter => "the weather: which of the winters it is",
            Self::Bees => "bees at the start",
            Self::Stores => "honey at the start",
            Self::Shared => "what is not known about bees",
            Self::Parameter(number) => TABLE.get(number).map_or("", |row| row.meaning),
        }
    }
}

impl Factor {
    /// Whether it draws the name of a member's draw.
    fn draws(self, name: &str) -> bool {
        match self {
            Self::Shared => is_shared(name),
            own => own.name() == name,
        }
    }
}

/// Everything that is drawn in a plan: the winter where there are several, bees and stores where they have a spread, what is not known about bees as one,
/// then parameters that differ between colonies in the order of the table.
#[must_use]
pub fn factors(plan: &Plan) -> Vec<Factor> {
    let mut factors = Vec::new();
    if plan.winters.len() > 1 {
        factors.push(Factor::Winter);
    }
    if plan.colony.bees_spread > 0.0 {
        factors.push(Factor::Bees);
    }
    if plan.colony.stores_spread_kg > 0.0 {
        factors.push(Factor::Stores);
    }
    if shared(plan).next().is_some() {
        factors.push(Factor::Shared);
    }
    let drawn = (0..TABLE.len()).filter(|number| plan.is_drawn(*number));
    let own = drawn.filter(|number| TABLE[*number].scope == Scope::Colony);
    factors.extend(own.map(Factor::Parameter));
    factors
}

/// Members that [`sensitivity`] runs for `rows` rows of each table: in each row as many as there are factors and two more; and shared sets, half as many as
/// rows, each with some colonies, as they are and with each step done.
#[must_use]
pub fn members_for(plan: &Plan, rows: u32) -> u64 {
    let in_table = u64::from(rows) * (factors(plan).len() + 2) as u64;
    let in_sets = blocks(rows).pairs().count() * (1 + changed(plan).len());
    in_table + in_sets as u64
}

/// What an output does with one factor.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Influence {
    /// Shares of the output's variance.
    #[serde(flatten)]
    pub indices: Indices,
    /// Mean change of the output, all else equal, when the factor goes from its lowest tenth to its highest, on a straight line through the draws; none for
    /// the winter and for what is shared, which have no low and high.
    pub change: Option<f64>,
}

/// One factor and what it does to both outputs.
#[derive(Clone, Debug, PartialEq)]
pub struct FactorInfluence {
    /// The factor.
    pub factor: Factor,
    /// On the honey needed, kg; none where all members need the same.
    pub need: Option<Influence>,
    /// On starving, 0 or 1; none where all members starve or none does.
    pub starved: Option<Influence>,
}

/// What honey need and risk depend on.
#[derive(Clone, Debug, PartialEq)]
pub struct Sensitivity {
    /// Rows of each table.
    pub rows: u32,
    /// Members run.
    pub members: u64,
    /// Mean honey needed, kg, over the rows of both tables.
    pub need_kg: f64,
    /// Its standard deviation, kg.
    pub need_sd_kg: f64,
    /// Members of both tables that starved.
    pub starved: usize,
    /// Every factor, in the order of [`factors`].
    pub factors: Vec<FactorInfluence>,
    /// Pairs of colonies without and with each step.
    pub pairs: usize,
    /// What may be built or set up differently; what saves most honey first.
    pub steps: Vec<StepEffect>,
    /// What learning the shared unknowns is worth; none where nothing shared is drawn or sets are too few.
    pub learning: Option<Learning>,
}

impl Sensitivity {
    /// Share of members that starved, with its Wilson interval.
    #[must_use]
    pub fn risk(&self) -> (f64, (f64, f64)) {
        let of = self.plain_members();
        (self.starved as f64 / of as f64, wilson(self.starved, of))
    }

    /// Whether enough members starved, and enough lived, for the indices of risk to stand on more than single colonies.
    #[must_use]
    pub fn risk_is_told(&self) -> bool {
        let lived = self.plain_members() - self.starved;
        self.starved.min(lived) >= FEWEST_OF_EACH
    }

    /// Members of both tables, each drawn by itself, as `run` draws plain ones.
    #[must_use]
    pub fn plain_members(&self) -> usize {
        2 * self.rows as usize
    }

    /// Sum of the first-order indices of one output: what is explained without interactions. None where the output does not vary.
    #[must_use]
    pub fn alone(&self, of: impl Fn(&FactorInfluence) -> Option<Influence>) -> Option<f64> {
        let first = |factor| of(factor).map(|influence| influence.indices.first);
        self.factors.iter().map(first).sum()
    }
}

/// Runs the members of [`members_for`], splits the variance of need and risk, and says what each step changes and what would be worth learning.
///
/// Row `i` of the two tables is made of the draws of members `2 i` and `2 i + 1`; set and colony `i` of those of member `i`. So the same seed gives the same
/// bytes for any number of threads.
/// Members that a plan names are not looked at, nor how it draws them: the rows of a table must be independent of each other and of the other table's, which
/// neighbouring points of a Sobol sequence are not.
///
/// # Errors
/// [`EnsembleError`]; of several failing members the one with the lowest number is named.
pub fn sensitivity(
    plan: &Plan,
    rows: u32,
    watcher: &impl Watcher,
) -> Result<Sensitivity, EnsembleError> {
    plan.check()?;
    let factors = factors(plan);
    let draws = Draws::new(plan.seed);
    let columns = factors.len() + 2;
    let table = Table {
        plan,
        draws: &draws,
        factors: &factors,
        columns,
    };
    let ended = run_members(&table, 0..rows as usize * columns, watcher)?;
    let needs_kg = outputs(&ended, columns, |ended| ended.need_kg);
    let starved = outputs(&ended, columns, |ended| f64::from(u8::from(ended.starved)));
    let need = influences(&needs_kg, &factors, &draws, "bootstrap of need");
    let risk = influences(&starved, &factors, &draws, "bootstrap of risk");
    let plain_kg: Vec<f64> = needs_kg.a.iter().chain(&needs_kg.b).copied().collect();
    let need_kg = mean(&plain_kg);
    let squares: Vec<f64> = plain_kg.iter().map(|kg| (kg - need_kg).powi(2)).collect();
    let starved = starved.a.iter().chain(&starved.b);
    let sets = Sets::new(plan, &draws, rows);
    let by_set = run_members(&sets, 0..sets.members(), watcher)?;
    Ok(Sensitivity {
        rows,
        members: (ended.len() + by_set.len()) as u64,
        need_kg,
        need_sd_kg: mean(&squares).sqrt(),
        starved: starved.filter(|starved| **starved > 0.0).count(),
        factors: factors
            .iter()
            .enumerate()
            .map(|(number, factor)| FactorInfluence {
                factor: *factor,
                need: need.as_ref().map(|need| need[number]),
                starved: risk.as_ref().map(|risk| risk[number]),
            })
            .collect(),
        pairs: sets.pairs.len(),
        steps: sets.effects(&by_set),
        learning: sets.learning(&by_set, &between_colonies(&ended, columns, &factors)),
    })
}

/// An output of the members of the tables.
fn outputs(ended: &[Ended], columns: usize, value: impl Fn(&Ended) -> f64) -> Mixed {
    let column = |column: usize| -> Vec<f64> {
        let of_column = ended.iter().skip(column).step_by(columns);
        of_column.map(&value).collect()
    };
    Mixed {
        a: column(0),
        b: column(1),
        mixed: (2..columns).map(column).collect(),
    }
}

/// Standard deviation of what each measurement shows over colonies in one winter and under one shared set: half the mean square by which each factor that
/// differs between colonies moves it, summed (Jansen's estimator, as of total indices).
fn between_colonies(
    ended: &[Ended],
    columns: usize,
    factors: &[Factor],
) -> [f64; HiveMeasure::ALL.len()] {
    std::array::from_fn(|measure| {
        let shown = outputs(ended, columns, |ended| ended.shown.0[measure]);
        let of = |mixed: &Vec<f64>| {
            let pairs = shown.a.iter().zip(mixed).map(|(a, b)| (a - b) * (a - b));
            let squares: Vec<f64> = pairs.filter(|square| square.is_finite()).collect();
            if squares.is_empty() {
                0.0
            } else {
                0.5 * mean(&squares)
            }
        };
        let all = factors.iter().zip(&shown.mixed);
        let own = all.filter(|(factor, _)| !matches!(factor, Factor::Winter | Factor::Shared));
        own.map(|(_, mixed)| of(mixed)).sum::<f64>().sqrt()
    })
}

/// The members of the tables, row by row. Columns: A, B, then A with each factor from B.
struct Table<'a> {
    plan: &'a Plan,
    draws: &'a Draws,
    factors: &'a [Factor],
    columns: usize,
}

impl Table<'_> {
    /// Probability at which a member by its number in the tables stands, for a drawn name.
    fn probability(&self, number: usize, name: &str) -> f64 {
        let (row, column) = ((number / self.columns) as u64, number % self.columns);
        let own = column.checked_sub(2);
        let own = own.and_then(|factor| self.factors.get(factor));
        let from_b = column == 1 || own.is_some_and(|factor| factor.draws(name));
        self.draws.uniform(2 * row + u64::from(from_b), name)
    }

    fn winter_of(&self, number: usize) -> usize {
        let winters = self.plan.winters.len();
        let winter = self.probability(number, Factor::Winter.name()) * winters as f64;
        (winter as usize).min(winters - 1)
    }
}

impl MemberRuns for Table<'_> {
    type Kept = Ended;

    fn member(&self, number: usize) -> (Member, &Site, &Forcing) {
        let plan = self.plan;
        let member = plan.member_at(&|name| self.probability(number, name));
        (member, &plan.site, &plan.winters[self.winter_of(number)])
    }

    fn keep(&self, number: usize, _member: &Member, outcome: Outcome) -> Ended {
        Ended::new(self.winter_of(number), self.plan, &outcome)
    }
}

fn influences(
    outputs: &Mixed,
    factors: &[Factor],
    draws: &Draws,
    name: &str,
) -> Option<Vec<Influence>> {
    let indices = indices(outputs, draws, name)?;
    let of = |(number, indices): (usize, Indices)| Influence {
        indices,
        change: change(outputs, number, factors[number], draws),
    };
    Some(indices.into_iter().enumerate().map(of).collect())
}

/// Slope of the output on the factor's probability, by least squares through the pairs that differ in nothing else.
fn change(outputs: &Mixed, number: usize, factor: Factor, draws: &Draws) -> Option<f64> {
    // Many at once have no one scale.
    if matches!(factor, Factor::Winter | Factor::Shared) {
        return None;
    }
    let (mut products, mut squares) = (0.0, 0.0);
    for (row, (a, mixed)) in (0_u64..).zip(outputs.a.iter().zip(&outputs.mixed[number])) {
        let step =
            draws.uniform(2 * row + 1, factor.name()) - draws.uniform(2 * row, factor.name());
        products += step * (mixed - a);
        squares += step * step;
    }
    Some(TENTH_TO_NINE_TENTHS * products / squares)
}
