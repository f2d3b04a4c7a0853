//! Winters that colonies are run through, made from climate normals, and what of them rows need.

use super::error::EvidenceError;
use super::row::{MeanOver, Run};
use crate::hive::Hive;
use crate::scenario::{self, MonthDay};
use crate::season::{Forcing, Outcome, Site};
use crate::weather::normals::{Normals, normals_from_toml};
use crate::weather::synthesis::{synthesise, write_winters};
use crate::weather::{ReadOptions, Record, read_bytes, sample};
use jiff::civil::Date;
use std::collections::BTreeMap;
use std::path::Path;

/// Seed of the winters.
const SEED: u64 = 5;
/// Year in which the first of a run begins; any year will do.
const FIRST_YEAR: i16 = 2015;
/// Honey on the first day, kg: so much that none runs out.
const STORES_KG: f64 = 40.0;

const NORMALS: [(&str, &str); 5] = [
    (
        "sweden-southwest",
        include_str!("normals/sweden-southwest.toml"),
    ),
    ("germany-south", include_str!("normals/germany-south.toml")),
    ("germany-north", include_str!("normals/germany-north.toml")),
    (
        "illinois-central",
        include_str!("normals/illinois-central.toml"),
    ),
    ("kettlewend", sample::NORMALS_TOML),
];

/// A run made ready.
#[derive(Clone, Debug)]
pub(super) struct Prepared {
    pub site: Site,
    pub kg: f64,
    pub given: BTreeMap<String, f64>,
    /// Hives by name, with the forcings of each: a forcing knows where its hive faces.
    pub hives: BTreeMap<String, (Hive, Vec<Forcing>)>,
}

/// What rows need of an outcome.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Course {
    start: Date,
    /// Honey used at the end of each day, kg.
    used_kg: Vec<f64>,
    /// First day with brood.
    brood_day: Option<usize>,
}

impl Prepared {
    pub fn new(run: &Run) -> Result<Self, EvidenceError> {
        let problem = |problem: String| EvidenceError::Run {
            run: run.name.clone(),
            problem,
        };
        let normals = NORMALS.iter().find(|(name, _)| *name == run.normals);
        let (_, months) =
            normals.ok_or_else(|| problem(format!("knows no normals {:?}", run.normals)))?;
        let mut normals = normals_from_toml(months).map_err(|error| problem(error.to_string()))?;
        normals.temperature_c[1] += run.february_k;
        let record = record(&normals, run.winters).map_err(problem)?;
        let shift_k = match &run.mean {
            None => 0.0,
            Some(mean) => {
                let found_c = mean_c(&record, mean)
                    .ok_or_else(|| problem("has a mean over no day".to_owned()))?;
                mean.c - found_c
            }
        };
        let mut hives = BTreeMap::new();
        let mut site = None;
        for (name, hive) in &run.hives {
            let text = text(run, &normals, hive);
            let path = Path::new("built-in rows.toml");
            let mut scenario =
                scenario::parse(&text, path).map_err(|error| problem(error.to_string()))?;
            scenario.weather.warming_k = shift_k;
            let prepared = scenario
                .prepare_from(record.clone())
                .map_err(|error| problem(error.to_string()))?;
            site = Some(prepared.plan.site);
            hives.insert(name.clone(), (prepared.plan.hive, prepared.plan.winters));
        }
        Ok(Self {
            site: site.ok_or_else(|| problem("has no hive".to_owned()))?,
            kg: run.kg,
            given: run.given.clone(),
            hives,
        })
    }

    /// Honey on the first day, kg.
    pub fn stores_kg() -> f64 {
        STORES_KG
    }
}

/// A scenario of a run in one hive.
fn text(run: &Run, normals: &Normals, hive: &str) -> String {
    let site = &normals.site;
    format!(
        "name = \"{}\"\n[site]\nlatitude = {}\nlongitude = {}\nelevation = \"{} m\"\nutc_offset = \"{} h\"\nshelter = \"hedge\"\n[weather]\nsample = true\n\
         [season]\nstart = \"{}\"\nfirst_forage = \"{}\"\n[hive]\n{hive}\n[colony]\nmass = \"{} kg\"\nspread = \"0 %\"\nstores = \"{STORES_KG} kg\"\n",
        run.name,
        site.latitude_deg,
        site.longitude_deg,
        site.elevation_m,
        site.utc_offset_h,
        run.start,
        run.first_forage,
        run.kg
    )
}

fn record(normals: &Normals, winters: usize) -> Result<Record, String> {
    let made = synthesise(normals, FIRST_YEAR, winters, SEED).map_err(|error| error.to_string())?;
    let mut bytes = Vec::new();
    write_winters(normals, SEED, &made, &mut bytes).map_err(|error| error.to_string())?;
    read_bytes("made.csv", &bytes, &ReadOptions::default()).map_err(|error| error.to_string())
}

/// Mean of a record over the days of each of its winters.
fn mean_c(record: &Record, over: &MeanOver) -> Option<f64> {
    let (from, until) = (MonthDay::parse(&over.from)?, MonthDay::parse(&over.until)?);
    let season = crate::weather::Season {
        start: (from.month, from.day),
        end: (until.month, until.day),
    };
    let cut = record.winters(season).ok()?;
    let hours = || cut.winters.iter().flat_map(|winter| &winter.temperature_c);
    let count = hours().count();
    (count > 0).then(|| hours().sum::<f64>() / count as f64)
}

impl Course {
    pub fn new(forcing: &Forcing, outcome: &Outcome) -> Self {
        Self {
            start: forcing.start.date(),
            used_kg: outcome.days.iter().map(|day| day.used_kg).collect(),
            brood_day: outcome.days.iter().position(|day| day.brood > 0.0),
        }
    }

    /// Honey used from the first day up to, and without, another, kg; of a colony that died before, at the rate until then, and none where it did not live a
    /// third of the span.
    pub fn used_kg(&self, from: &str, until: &str) -> Option<f64> {
        let (first, end) = (self.day(from)?, self.day(until)?);
        let at = |day: usize| {
            if day == 0 {
                Some(0.0)
            } else {
                self.used_kg.get(day - 1).copied()
            }
        };
        let lived = end.min(self.used_kg.len());
        if lived < first || 3 * (lived - first) < end - first {
            return None;
        }
        let share = (end - first) as f64 / (lived - first) as f64;
        Some((at(lived)? - at(first)?) * share)
    }

    /// Days of a span.
    pub fn days(&self, from: &str, until: &str) -> Option<f64> {
        Some((self.day(until)? - self.day(from)?) as f64)
    }

    /// First day with brood, from the start of the run.
    pub fn brood_day(&self) -> Option<f64> {
        self.brood_day.map(|day| day as f64)
    }

    /// Days from the start to the first such day of the calendar.
    fn day(&self, text: &str) -> Option<usize> {
        let day = MonthDay::parse(text)?;
        let mut date = Date::new(self.start.year(), day.month, day.day).ok()?;
        if date < self.start {
            date = Date::new(self.start.year() + 1, day.month, day.day).ok()?;
        }
        usize::try_from(date.since(self.start).ok()?.get_days()).ok()
    }
}
