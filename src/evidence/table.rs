//! Reading the table of evidence: nothing without its spread and source, and no value out of its range.

use super::error::EvidenceError;
use super::measure::Measure;
use super::row::{Evidence, EvidenceMark, Kind, Listed, Role, Row, Run};
use crate::parameter::find;
use crate::scenario::MonthDay;
use serde::Deserialize;
use std::collections::BTreeMap;
use std::sync::LazyLock;

const TEXT: &str = include_str!("rows.toml");
/// Version of the layout.
const VERSION: u32 = 1;
/// Masses of colonies at the start of a run, kg.
const RUN_KG: (f64, f64) = (0.3, 6.0);
/// Means that a run's winters may be moved to, degC.
const RUN_MEAN_C: (f64, f64) = (-30.0, 15.0);
/// Most winters of a run.
const MOST_WINTERS: f64 = 10.0;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    version: u32,
    kind: Vec<Kind>,
    #[serde(default)]
    run: Vec<Run>,
    row: Vec<Raw>,
    #[serde(default)]
    listed: Vec<Listed>,
}

/// A row before it is known that it has all it needs.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Raw {
    id: String,
    quantity: Option<String>,
    published: Option<String>,
    conditions: Option<String>,
    observed: Option<f64>,
    sd: Option<f64>,
    sd_from: Option<String>,
    unit: Option<String>,
    source: Option<String>,
    mark: Option<EvidenceMark>,
    role: Option<Role>,
    why: Option<String>,
    kind: Option<String>,
    measure: Option<Measure>,
    #[serde(default)]
    given: BTreeMap<String, f64>,
    known_miss: Option<String>,
}

impl Evidence {
    /// The evidence that is built in.
    #[must_use]
    pub fn built_in() -> &'static Self {
        static BUILT_IN: LazyLock<Evidence> = LazyLock::new(|| match Evidence::parse(TEXT) {
            Ok(evidence) => evidence,
            // The text is part of the program and a test reads it.
            Err(error) => unreachable!("the built-in evidence: {error}"),
        });
        &BUILT_IN
    }

    /// Evidence from TOML.
    ///
    /// # Errors
    /// [`EvidenceError`], which names the row.
    pub fn parse(text: &str) -> Result<Self, EvidenceError> {
        let layout = |error: toml::de::Error| EvidenceError::Layout {
            problem: error.to_string().trim_end().to_owned(),
        };
        #[derive(Deserialize)]
        struct Versioned {
            version: u32,
        }
        let found = toml::from_str::<Versioned>(text).map_err(layout)?.version;
        if found != VERSION {
            return Err(EvidenceError::Version {
                found,
                known: VERSION,
            });
        }
        let file: File = toml::from_str(text).map_err(layout)?;
        debug_assert_eq!(file.version, VERSION);
        let File {
            kind: kinds,
            run: runs,
            row,
            listed,
            ..
        } = file;
        for run in &runs {
            check_run(run)?;
        }
        let mut rows: Vec<Row> = Vec::new();
        for raw in row {
            let row = raw.checked(&kinds, &runs)?;
            if rows.iter().any(|other| other.id == row.id) {
                return Err(EvidenceError::Twice { row: row.id });
            }
            rows.push(row);
        }
        Ok(Self {
            kinds,
            runs,
            rows,
            listed,
        })
    }
}

impl Raw {
    fn checked(self, kinds: &[Kind], runs: &[Run]) -> Result<Row, EvidenceError> {
        let id = self.id;
        let text = |value: Option<String>, what| {
            let value = value.filter(|text| !text.trim().is_empty());
            value.ok_or_else(|| missing(&id, what))
        };
        let kind_name = text(self.kind, "kind")?;
        let kind = kinds.iter().position(|kind| kind.name == kind_name);
        let row = Row {
            quantity: text(self.quantity, "quantity")?,
            published: text(self.published, "published value")?,
            conditions: text(self.conditions, "assumed conditions")?,
            observed: self
                .observed
                .ok_or_else(|| missing(&id, "observed value"))?,
            sd: self
                .sd
                .ok_or_else(|| missing(&id, "standard deviation (sd)"))?,
            sd_from: text(
                self.sd_from,
                "word on how its standard deviation was set (sd_from)",
            )?,
            unit: text(self.unit, "unit")?,
            source: text(self.source, "source")?,
            mark: self.mark.ok_or_else(|| missing(&id, "mark"))?,
            role: self.role.ok_or_else(|| missing(&id, "role"))?,
            why: self.why,
            kind: kind.ok_or_else(|| unknown(&id, "kind", &kind_name))?,
            measure: self.measure.ok_or_else(|| missing(&id, "measure"))?,
            given: self.given,
            known_miss: self.known_miss,
            id: id.clone(),
        };
        if row.role != Role::Fitted && row.why.is_none() {
            return Err(missing(&id, "reason (why) for not being fitted"));
        }
        if row.mark == EvidenceMark::Memory && row.is_fitted() {
            return Err(missing(
                &id,
                "source that was read: rows from memory are shown, not fitted",
            ));
        }
        within(&id, "observed", row.observed, (-1e6, 1e6))?;
        within(&id, "sd", row.sd, (1e-9, 1e6))?;
        for (what, value, range) in row.measure.assumed() {
            within(&id, what, value, range)?;
        }
        given(&id, &row.given)?;
        if let Some((name, hives)) = row.measure.run() {
            let run = runs.iter().find(|run| run.name == name);
            let run = run.ok_or_else(|| unknown(&id, "run", name))?;
            if let Some(hive) = hives.iter().find(|hive| !run.hives.contains_key(**hive)) {
                return Err(unknown(&id, "hive of its run", hive));
            }
        }
        for (from, until) in row.measure.spans() {
            for day in [from, until] {
                if MonthDay::parse(day).is_none() {
                    return Err(unknown(&id, "day", day));
                }
            }
        }
        Ok(row)
    }
}

fn missing(row: &str, what: &'static str) -> EvidenceError {
    EvidenceError::Missing {
        row: row.to_owned(),
        what,
    }
}

fn unknown(row: &str, what: &'static str, name: &str) -> EvidenceError {
    EvidenceError::Unknown {
        row: row.to_owned(),
        what,
        name: name.to_owned(),
    }
}

fn within(row: &str, what: &str, value: f64, (low, high): (f64, f64)) -> Result<(), EvidenceError> {
    if (low..=high).contains(&value) {
        return Ok(());
    }
    Err(EvidenceError::Range {
        row: row.to_owned(),
        what: what.to_owned(),
        value,
        low,
        high,
    })
}

/// That parameters which conditions fix are there and within their ranges.
fn given(row: &str, given: &BTreeMap<String, f64>) -> Result<(), EvidenceError> {
    for (name, value) in given {
        let parameter = find(name).ok_or_else(|| unknown(row, "parameter", name))?;
        within(row, name, *value, (parameter.low, parameter.high))?;
    }
    Ok(())
}

fn check_run(run: &Run) -> Result<(), EvidenceError> {
    let name = format!("of run {}", run.name);
    within(&name, "kg", run.kg, RUN_KG)?;
    within(&name, "winters", run.winters as f64, (1.0, MOST_WINTERS))?;
    if let Some(mean) = &run.mean {
        within(&name, "mean", mean.c, RUN_MEAN_C)?;
    }
    given(&name, &run.given)
}

#[cfg(test)]
mod tests;
