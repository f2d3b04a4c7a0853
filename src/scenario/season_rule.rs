//! From when to when a winter runs at the stations of a study: by the calendar or by each station's mean year.

use super::error::{Problem, ScenarioError};
use super::field::Field;
use super::season::{MonthDay, Season, day};
use crate::units::Dimension;

/// Most degree days that a rule may ask for, K d; more than a northern spring has.
const MOST_DEGREE_DAYS: f64 = 1_000.0;

/// A rule for the days of a winter, by its name in a study.
#[derive(Debug, Clone, PartialEq)]
pub struct SeasonRule {
    /// Name, unique in the study.
    pub name: String,
    /// The rule; none for the season of each scenario.
    pub days: Option<SeasonDays>,
}

/// First day and first forage of a rule.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SeasonDays {
    /// First day.
    pub start: StartRule,
    /// First forage.
    pub first_forage: ForageRule,
}

/// When a winter begins.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum StartRule {
    /// On a day of the calendar.
    On(MonthDay),
    /// The day after the last, before the coldest of the station's mean year, that is as warm as this, °C, -5 to 20.
    Below(f64),
}

/// When nectar comes in again.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ForageRule {
    /// On a day of the calendar.
    On(MonthDay),
    /// The first day, after the coldest of the station's mean year, that is as warm as this, °C, -5 to 20.
    Above(f64),
    /// The day by which the station's mean year has so many degree days above 5 °C since 1 January, K d, 1 to 1,000.
    DegreeDays(f64),
}

pub(super) fn rules(field: Option<&Field<'_>>) -> Result<Vec<SeasonRule>, ScenarioError> {
    let Some(field) = field else {
        return Ok(vec![SeasonRule {
            name: "scenario".to_owned(),
            days: None,
        }]);
    };
    let mut rules: Vec<SeasonRule> = Vec::new();
    for field in field.list("[[season]]")? {
        let table = field.table(&["name", "start", "first_forage"], "[[season]]")?;
        let name = table.require("name", "name = \"calendar\"")?;
        let text = name.text("\"calendar\"")?;
        if rules.iter().any(|rule| rule.name == text) {
            return Err(name.not_allowed("a name that no other season has"));
        }
        let days = SeasonDays {
            start: start(&table.require("start", "start = \"1 October\"")?)?,
            first_forage: first_forage(
                &table.require("first_forage", "first_forage = \"20 April\"")?,
            )?,
        };
        if let (StartRule::On(start), ForageRule::On(end)) = (days.start, days.first_forage) {
            Season::new(start, end).map_err(|why| table.error(Problem::Together(why)))?;
        }
        rules.push(SeasonRule {
            name: text.to_owned(),
            days: Some(days),
        });
    }
    if rules.is_empty() {
        return Err(field.not_allowed("at least one season, or leave it out"));
    }
    Ok(rules)
}

fn start(field: &Field<'_>) -> Result<StartRule, ScenarioError> {
    if !field.is_table() {
        return Ok(StartRule::On(day(field)?));
    }
    let example = "below = \"10 °C\"";
    let table = field.table(&["below"], "{ below = \"10 °C\" }")?;
    Ok(StartRule::Below(warmth_c(
        &table.require("below", example)?,
    )?))
}

fn first_forage(field: &Field<'_>) -> Result<ForageRule, ScenarioError> {
    if !field.is_table() {
        return Ok(ForageRule::On(day(field)?));
    }
    let table = field.table(&["above", "degree_days"], "{ above = \"8 °C\" }")?;
    match table.one_of(&["above", "degree_days"])? {
        ("above", above) => Ok(ForageRule::Above(warmth_c(&above)?)),
        (_, sum) => Ok(ForageRule::DegreeDays(
            sum.number_within(1.0, MOST_DEGREE_DAYS)?,
        )),
    }
}

fn warmth_c(field: &Field<'_>) -> Result<f64, ScenarioError> {
    field.quantity(Dimension::Temperature, "-5 °C", "20 °C")
}
