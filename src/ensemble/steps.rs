//! What building or setting up the hive differently, one step at a time, does to need and risk: the same colonies in the same winters.

use super::paired::Difference;
use super::plan::Plan;
use crate::hive::steps;
use serde::Serialize;

/// Wind that is left behind a new break, as a share.
const BROKEN: f64 = 0.5;

/// What one step changes.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct StepEffect {
    /// What is done, in words.
    pub step: &'static str,
    /// Honey needed, kg: with it less without.
    pub need_kg: Difference,
    /// Share that starves: the same.
    pub starved: Difference,
}

/// The plan with one step done, and what that is, for every step that is left to do: those of the hive, and half the wind.
pub(super) fn changed(plan: &Plan) -> Vec<(&'static str, Plan)> {
    let mut all: Vec<(&'static str, Plan)> = steps(&plan.hive)
        .into_iter()
        .map(|step| {
            let hive = step.hive;
            (
                step.words,
                Plan {
                    hive,
                    ..plan.clone()
                },
            )
        })
        .collect();
    if plan.site.shelter > 0.0 {
        let mut sheltered = plan.clone();
        sheltered.site.shelter *= BROKEN;
        all.push(("a wind break that halves the wind", sheltered));
    }
    all
}

/// What a step changes, from members without and with it, each with the number of its winter, honey needed and whether it starved; `None` without any.
pub(super) fn effect(
    step: &'static str,
    members: &[(usize, [(f64, bool); 2])],
) -> Option<StepEffect> {
    let needs: Vec<(usize, f64)> = members
        .iter()
        .map(|(winter, [(without_kg, _), (with_kg, _)])| (*winter, with_kg - without_kg))
        .collect();
    let risks: Vec<(usize, bool, bool)> = members
        .iter()
        .map(|(winter, [(_, without), (_, with)])| (*winter, *without, *with))
        .collect();
    Some(StepEffect {
        step,
        need_kg: Difference::of_means(&needs)?,
        starved: Difference::of_risks(&risks)?,
    })
}
