//! Changes of a hive in the course of a winter: in words, with the days on which they hold, and the heat loss while they do.

use super::table::{Rows, table};
use crate::ensemble::Plan;
use crate::hive::heatloss::{HeatLoss, Pair};
use crate::hive::{Change, Hive, InForce, When};
use crate::parameter::Parameters;
use crate::scenario::MonthDay;
use crate::season::days_in_force;
use crate::units::{Dimension, Round, System, show};
use serde::Serialize;

/// A change and what is told of it, for JSON.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ChangeReport {
    /// Its number in the scenario, from 1.
    pub number: usize,
    /// When it holds, in words with SI units.
    pub when: String,
    /// What it alters.
    pub alters: Vec<&'static str>,
    /// Days of a winter on which it holds, the mean of the winters; none where no winters are run.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub days: Option<f64>,
    /// Conductance of the whole hive while this change alone holds, W/K; none where it is not asked.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub whole_w_k: Option<f64>,
}

impl ChangeReport {
    fn new(number: usize, change: &Change) -> Self {
        Self {
            number: number + 1,
            when: when(&change.when, System::Metric),
            alters: change.what.parts(),
            days: None,
            whole_w_k: None,
        }
    }
}

/// The changes of a plan's hive with the days of a winter on which each holds, whether or not a colony lives to see them.
#[must_use]
pub fn over_winters(plan: &Plan) -> Vec<ChangeReport> {
    let changes = &plan.hive.changes;
    let winters: Vec<Vec<InForce>> = plan
        .winters
        .iter()
        .map(|winter| days_in_force(changes, winter))
        .collect();
    let report = |(number, change)| ChangeReport {
        days: Some(held(number, winters.iter().flatten()) / winters.len() as f64),
        ..ChangeReport::new(number, change)
    };
    changes.iter().enumerate().map(report).collect()
}

/// The changes of a hive with its heat loss while each of them alone holds.
#[must_use]
pub fn heat_losses(hive: &Hive, pair: Pair, parameters: &Parameters) -> Vec<ChangeReport> {
    let report = |(number, change)| {
        let altered = hive.altered(InForce::from_iter([number]));
        let loss = HeatLoss::new(&altered, pair, parameters);
        ChangeReport {
            whole_w_k: Some(loss.whole_w_k()),
            ..ChangeReport::new(number, change)
        }
    };
    hive.changes.iter().enumerate().map(report).collect()
}

/// Days on which a change holds.
pub(super) fn held<'a>(number: usize, days: impl Iterator<Item = &'a InForce>) -> f64 {
    days.filter(|day| day.has(number)).count() as f64
}

/// A table of changes, each with a figure under `head`; nothing without changes.
pub(super) fn change_table(
    changes: &[Change],
    head: &str,
    units: System,
    figure: impl Fn(usize) -> String,
) -> Option<Rows> {
    if changes.is_empty() {
        return None;
    }
    let mut rows = table(["Change of the hive", head]);
    for (number, change) in changes.iter().enumerate() {
        rows.add_row([words(number, change, units), figure(number)]);
    }
    Some(rows)
}

/// "1 from 15 November until 1 March: wrap".
fn words(number: usize, change: &Change, units: System) -> String {
    format!(
        "{} {}: {}",
        number + 1,
        when(&change.when, units),
        change.what.parts().join(", ")
    )
}

fn when(when: &When, units: System) -> String {
    let day = |word, day: Option<(i8, i8)>| {
        let day = day.and_then(|(month, day)| MonthDay::new(month, day))?;
        Some(format!("{word} {day}"))
    };
    let degrees = |word, c: Option<f64>| {
        let degrees = show(c?, Dimension::Temperature, units, Round::Decimals(1));
        Some(format!("{word} {degrees}"))
    };
    let parts = [
        day("from", when.from),
        day("until", when.until),
        degrees("below", when.below_c),
        degrees("above", when.above_c),
    ];
    parts.into_iter().flatten().collect::<Vec<_>>().join(" ")
}
