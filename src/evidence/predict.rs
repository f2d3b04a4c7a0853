//! What the model gives for every row under a set of parameters.

use super::error::EvidenceError;
use super::measure::Measure;
use super::nest::Nest;
use super::rest::at_rest;
use super::row::{Evidence, Row, with_given};
use super::winters::{Course, Prepared};
use crate::colony::Colony;
use crate::hive::Hive;
use crate::parameter::Parameters;
use crate::scenario::parse_hive;
use crate::season::{Member, RunInput, Width, run_batch};
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::path::Path;

/// Sets of parameters that are run together: enough to fill the lanes.
const TOGETHER: usize = 32;

/// Evidence with its winters and hives made ready.
#[derive(Debug)]
pub struct Predictor<'a> {
    evidence: &'a Evidence,
    runs: Vec<Prepared>,
    /// Hives of rows of nests, by the text of each.
    nests: BTreeMap<&'a str, Hive>,
}

/// Courses of one set of parameters: by run, hive and winter; none where a step found no balance.
type Courses = BTreeMap<(usize, String), Vec<Option<Course>>>;

impl<'a> Predictor<'a> {
    /// Makes winters and hives of all rows.
    ///
    /// # Errors
    /// [`EvidenceError::Run`] for a run that cannot be made.
    pub fn new(evidence: &'a Evidence) -> Result<Self, EvidenceError> {
        let runs = evidence.runs.iter().map(Prepared::new);
        let mut nests = BTreeMap::new();
        for row in &evidence.rows {
            if let Measure::Nest { hive, .. } = &row.measure {
                let text = format!("[hive]\n{hive}\n");
                let built = parse_hive(&text, Path::new("built-in rows.toml"));
                let built = built.map_err(|error| EvidenceError::Run {
                    run: row.id.clone(),
                    problem: error.to_string(),
                })?;
                nests.insert(hive.as_str(), built);
            }
        }
        Ok(Self {
            evidence,
            runs: runs.collect::<Result<_, _>>()?,
            nests,
        })
    }

    /// The evidence.
    #[must_use]
    pub fn evidence(&self) -> &'a Evidence {
        self.evidence
    }

    /// The figure of a row that needs no hours to be stepped; none for others ([`Measure::is_slow`]) and where bees cannot keep warm.
    #[must_use]
    pub fn quick(&self, row: &Row, parameters: &Parameters) -> Option<f64> {
        if row.given.is_empty() {
            return at_rest(&row.measure, parameters);
        }
        at_rest(&row.measure, &with_given(parameters, &row.given))
    }

    /// The figures of all rows for each set of parameters, in the order of the sets and of the table, on all threads; none where the model finds no state or the
    /// colony died too early.
    #[must_use]
    pub fn all(&self, sets: &[Parameters]) -> Vec<Vec<Option<f64>>> {
        let parts: Vec<Vec<Vec<Option<f64>>>> = sets
            .par_chunks(TOGETHER)
            .map(|sets| self.some(sets))
            .collect();
        parts.into_iter().flatten().collect()
    }

    fn some(&self, sets: &[Parameters]) -> Vec<Vec<Option<f64>>> {
        let mut courses: Vec<Courses> = vec![Courses::new(); sets.len()];
        for (number, run) in self.runs.iter().enumerate() {
            for (name, (hive, forcings)) in &run.hives {
                let members: Vec<Member> = sets.iter().map(|p| member(run, hive, p)).collect();
                let colonies: Vec<RunInput<'_>> = members
                    .iter()
                    .flat_map(|member| {
                        forcings.iter().map(|forcing| RunInput {
                            member,
                            site: &run.site,
                            forcing,
                        })
                    })
                    .collect();
                let mut ran = run_batch(&colonies, Width::Fastest, &mut || true).into_iter();
                for courses in &mut courses {
                    let of_winters = forcings.iter().map(|forcing| {
                        let outcome = ran.next().flatten()?.ok()?;
                        Some(Course::new(forcing, &outcome))
                    });
                    courses.insert((number, name.clone()), of_winters.collect());
                }
            }
        }
        let each = sets.iter().zip(&courses).map(|(p, courses)| {
            let mut nests = BTreeMap::new();
            let rows = self.evidence.rows.iter();
            rows.map(|row| self.one(row, p, courses, &mut nests))
                .collect()
        });
        each.collect()
    }

    fn one(
        &self,
        row: &Row,
        parameters: &Parameters,
        courses: &Courses,
        nests: &mut BTreeMap<(&'a str, u64, u64), Option<Nest>>,
    ) -> Option<f64> {
        if !row.measure.is_slow() {
            return self.quick(row, parameters);
        }
        if let Measure::Nest {
            of,
            kg,
            outside_c,
            hive,
        } = &row.measure
        {
            let (text, hive) = self.nests.get_key_value(hive.as_str())?;
            let p = with_given(parameters, &row.given);
            let key = (*text, kg.to_bits(), outside_c.to_bits());
            let nest = nests
                .entry(key)
                .or_insert_with(|| Nest::at_rest(hive, *kg, *outside_c, &p));
            return nest.as_ref().map(|nest| nest.value(*of));
        }
        self.of_winter(&row.measure, courses)
            .filter(|value| value.is_finite())
    }

    fn of_winter(&self, measure: &Measure, courses: &Courses) -> Option<f64> {
        let (name, _) = measure.run()?;
        let runs = &self.evidence.runs;
        let number = runs.iter().position(|run| run.name == name)?;
        let of = |hive: &str| courses.get(&(number, hive.to_owned()));
        let over = |hive: &str, value: &dyn Fn(&Course) -> Option<f64>| {
            let winters = of(hive)?;
            let values = winters.iter().map(|course| value(course.as_ref()?));
            let values: Vec<f64> = values.collect::<Option<_>>()?;
            Some(values.iter().sum::<f64>() / values.len() as f64)
        };
        match measure {
            Measure::Use {
                hives, from, until, ..
            } => {
                let a_day = |course: &Course| {
                    Some(1000.0 * course.used_kg(from, until)? / course.days(from, until)?)
                };
                let each = hives.iter().map(|hive| over(hive, &a_day));
                let each: Vec<f64> = each.collect::<Option<_>>()?;
                Some(each.iter().sum::<f64>() / each.len() as f64)
            }
            Measure::Loss {
                hive, from, until, ..
            } => over(hive, &|course| course.used_kg(from, until)),
            Measure::UseRatio {
                hive, of, over: by, ..
            } => over(hive, &|course| {
                Some(course.used_kg(&of[0], &of[1])? / course.used_kg(&by[0], &by[1])?)
            }),
            Measure::Saving {
                hive,
                than,
                from,
                until,
                ..
            } => {
                let used = |hive: &str| over(hive, &|course| course.used_kg(from, until));
                Some(used(than)? - used(hive)?)
            }
            Measure::BroodEarlier { hive, than, .. } => {
                Some(over(than, &Course::brood_day)? - over(hive, &Course::brood_day)?)
            }
            _ => None,
        }
    }
}

/// A colony of a run in a hive under a set of parameters.
fn member(run: &Prepared, hive: &Hive, parameters: &Parameters) -> Member {
    let parameters = with_given(parameters, &run.given);
    let mut hive = hive.clone();
    hive.scale_loose_fill(parameters.loose_fill_scale);
    Member {
        hive,
        colony: Colony {
            bees: run.kg / parameters.bee_mass_kg,
            stores_kg: Prepared::stores_kg(),
            ..Colony::default()
        },
        parameters,
    }
}
