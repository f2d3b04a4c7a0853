//! Shared sets crossed with colonies, with and without each step: what the hive may be built differently is worth, and what would be worth learning first.

use super::blocks::{Blocks, COLONIES};
use super::draws::Draws;
use super::keeper::{HiveMeasure, Shown};
use super::learning::{self, Learning, READINGS, Readings, Unknown};
use super::parallel::MemberRuns;
use super::plan::Plan;
use super::shared::SharedRange;
use super::steps::{StepEffect, changed, effect};
use crate::colony::End;
use crate::normal;
use crate::parameter::{self, Parameters, Scope, TABLE};
use crate::season::{Forcing, Member, Outcome, Site};

/// Whether a name is that of a parameter that all colonies share.
pub(super) fn is_shared(name: &str) -> bool {
    parameter::find(name).is_some_and(|row| row.scope == Scope::Shared)
}

/// Shared parameters that a plan draws, by their numbers in the table.
pub(super) fn shared(plan: &Plan) -> impl Iterator<Item = usize> {
    let all = (0..TABLE.len()).filter(|number| TABLE[*number].scope == Scope::Shared);
    all.filter(|number| plan.is_drawn(*number))
}

/// Shared sets for so many rows: half as many (own choice; a hundred and more by default).
pub(super) fn blocks(rows: u32) -> Blocks {
    Blocks {
        sets: (rows / 2) as usize,
    }
}

/// What is looked at of a member.
pub(super) struct Ended {
    pub winter: usize,
    pub need_kg: f64,
    pub starved: bool,
    pub shown: Shown,
}

impl Ended {
    /// Of a member's winter.
    pub fn new(winter: usize, plan: &Plan, outcome: &Outcome) -> Self {
        Self {
            winter,
            need_kg: outcome.need_kg,
            starved: matches!(outcome.end, End::StoresRanOut | End::Stranded),
            shown: Shown::new(outcome, &plan.winters[winter], plan.site.latitude_deg),
        }
    }
}

/// Shared sets and the colonies that each meets, pair by pair; of each pair the hive as it is, then with each step done.
pub(super) struct Sets<'a> {
    plan: &'a Plan,
    draws: &'a Draws,
    steps: Vec<(&'static str, Plan)>,
    blocks: Blocks,
    /// Set and colony.
    pub pairs: Vec<(usize, usize)>,
}

impl<'a> Sets<'a> {
    /// Half as many sets as rows.
    pub fn new(plan: &'a Plan, draws: &'a Draws, rows: u32) -> Self {
        let blocks = blocks(rows);
        Self {
            plan,
            draws,
            steps: changed(plan),
            blocks,
            pairs: blocks.pairs().collect(),
        }
    }

    fn columns(&self) -> usize {
        1 + self.steps.len()
    }

    /// Members to run.
    pub fn members(&self) -> usize {
        self.pairs.len() * self.columns()
    }

    fn probability(&self, (set, colony): (usize, usize), name: &str) -> f64 {
        let of = if is_shared(name) { set } else { colony };
        self.draws.uniform(of as u64, name)
    }

    /// Colonies are dealt to winters in turn.
    fn winter_of(&self, number: usize) -> usize {
        let (_, colony) = self.pairs[number / self.columns()];
        colony % self.plan.winters.len()
    }

    /// What each step changes, what saves most honey first.
    pub fn effects(&self, ended: &[Ended]) -> Vec<StepEffect> {
        let of = |ended: &Ended| (ended.need_kg, ended.starved);
        let step = |(number, (words, _)): (usize, &(&'static str, Plan))| {
            let pair = |pair: &[Ended]| (pair[0].winter, [of(&pair[0]), of(&pair[number + 1])]);
            let pairs: Vec<_> = ended.chunks_exact(self.columns()).map(pair).collect();
            let mut told = effect(words, &pairs)?;
            told.need_kg.shared = self.over_sets(&pairs);
            Some(told)
        };
        let mut effects: Vec<StepEffect> = self.steps.iter().enumerate().filter_map(step).collect();
        effects.sort_by(|a, b| a.need_kg.mean.total_cmp(&b.need_kg.mean));
        effects
    }

    /// How far the difference in honey needed moves over shared sets. Starving, yes or no, is told too roughly by so few colonies a set.
    fn over_sets(&self, pairs: &[(usize, [(f64, bool); 2])]) -> Option<SharedRange> {
        let differences: Vec<f64> = pairs.iter().map(|(_, [a, b])| b.0 - a.0).collect();
        let found = self.blocks.by_set(&differences)?;
        Some(learning::range(&found, COLONIES))
    }

    /// What learning the shared unknowns is worth; colonies differ by so much in what each measurement shows.
    pub fn learning(
        &self,
        ended: &[Ended],
        between: &[f64; HiveMeasure::ALL.len()],
    ) -> Option<Learning> {
        let by_set = |value: &dyn Fn(&[Ended]) -> f64| {
            let outputs: Vec<f64> = ended.chunks_exact(self.columns()).map(value).collect();
            self.blocks.by_set(&outputs)
        };
        let members: Vec<Parameters> = (0..self.blocks.sets)
            .map(|set| {
                self.plan
                    .member_at(&|name| self.probability((set, 0), name))
                    .parameters
            })
            .collect();
        let unknown = |number: usize| {
            let name = TABLE[number].name;
            let values = members.iter().filter_map(|own| own.get(name)).collect();
            Unknown { name, values }
        };
        let unknowns: Vec<Unknown> = shared(self.plan).map(unknown).collect();
        if unknowns.is_empty() {
            return None;
        }
        let readings = |(number, of): (usize, HiveMeasure)| {
            let shown = by_set(&|pair| pair[0].shown.0[number])?;
            let sd = of.reading_sd().hypot(between[number]);
            let read = |(set, value): (usize, &f64)| {
                let name = format!("readings of {}", of.words());
                let deviates = self.draws.uniforms(set as u64, &name).take(READINGS);
                let read = deviates.map(|u| value + sd * normal::quantile(u));
                read.collect::<Vec<f64>>()
            };
            let values = shown.means.iter().enumerate().flat_map(read).collect();
            Some(Readings { of, values })
        };
        let all = HiveMeasure::ALL.into_iter().enumerate();
        let measurements: Vec<_> = all.filter_map(readings).collect();
        let (need_kg, need) = learning::need(&by_set(&|pair| pair[0].need_kg)?, &unknowns);
        let choice = |(number, (words, _)): (usize, &(&'static str, Plan))| {
            let saved = by_set(&|pair| pair[0].need_kg - pair[number + 1].need_kg)?;
            Some(learning::choice(words, &saved, &unknowns, &measurements))
        };
        let mut choices: Vec<_> = self.steps.iter().enumerate().filter_map(choice).collect();
        choices.sort_by(|a, b| b.loss_now_kg.total_cmp(&a.loss_now_kg));
        Some(Learning {
            sets: self.blocks.sets,
            colonies: COLONIES,
            need_kg,
            need,
            choices,
        })
    }
}

impl MemberRuns for Sets<'_> {
    type Kept = Ended;

    fn member(&self, number: usize) -> (Member, &Site, &Forcing) {
        let step = (number % self.columns()).checked_sub(1);
        let plan = step.map_or(self.plan, |step| &self.steps[step].1);
        let pair = self.pairs[number / self.columns()];
        let member = plan.member_at(&|name| self.probability(pair, name));
        (member, &plan.site, &plan.winters[self.winter_of(number)])
    }

    fn keep(&self, number: usize, _member: &Member, outcome: Outcome) -> Ended {
        Ended::new(self.winter_of(number), self.plan, &outcome)
    }
}
