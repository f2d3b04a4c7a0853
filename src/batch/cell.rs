//! What is kept of one cell: figures over its members, or why there are none.

use crate::colony::End;
use crate::ensemble::{Share, SharedRange, Summary};
use crate::scenario::{Prepared, Scenario, Season};
use crate::weather::Record;
use crate::weather::record::FileRead;
use serde::{Deserialize, Serialize};

/// A finished cell.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CellRecord {
    /// Hash of all that it depends on.
    pub fingerprint: String,
    /// Name of the station.
    pub station: String,
    /// Name of the scenario.
    pub scenario: String,
    /// Name of the rule for the season.
    pub season: String,
    /// The station as its files describe it; none when they could not be read.
    pub place: Option<StationFacts>,
    /// What came of it.
    pub outcome: Outcome,
}

/// What came of a cell.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Outcome {
    /// Figures.
    Finished(Box<Figures>),
    /// It cannot be run, for this reason.
    Failed(String),
}

impl CellRecord {
    /// Its figures, if it has any.
    #[must_use]
    pub fn figures(&self) -> Option<&Figures> {
        match &self.outcome {
            Outcome::Finished(figures) => Some(figures),
            Outcome::Failed(_) => None,
        }
    }

    /// Why it failed, if it did.
    #[must_use]
    pub fn failure(&self) -> Option<&str> {
        match &self.outcome {
            Outcome::Finished(_) => None,
            Outcome::Failed(reason) => Some(reason),
        }
    }

    /// Station, scenario and season in words.
    #[must_use]
    pub fn words(&self) -> String {
        format!("{}, {}, {}", self.station, self.scenario, self.season)
    }
}

/// A station and its record.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StationFacts {
    /// Degrees north; none when neither study nor files say.
    pub latitude_deg: Option<f64>,
    /// Degrees east.
    pub longitude_deg: Option<f64>,
    /// Above sea level, m.
    pub elevation_m: Option<f64>,
    /// Hours of local standard time ahead of UTC.
    pub utc_offset_h: Option<f64>,
    /// Mean of January as recorded, °C.
    pub january_mean_c: Option<f64>,
    /// First hour of the record.
    pub first: String,
    /// Last hour of the record.
    pub last: String,
    /// Its files from the study's folder, with their layouts.
    pub files: Vec<String>,
}

impl StationFacts {
    /// Of a record; `shown` turns a file's path into the words for it.
    pub(super) fn new(record: &Record, shown: &dyn Fn(&str) -> String) -> Self {
        let place = &record.place;
        let file = |read: &FileRead| {
            let digits: String = read.sha256.chars().take(8).collect();
            format!("{} ({}, {digits})", shown(&read.file), read.layout)
        };
        Self {
            latitude_deg: place.latitude,
            longitude_deg: place.longitude,
            elevation_m: place.elevation_m,
            utc_offset_h: place.utc_offset_h,
            january_mean_c: super::mean_year::january_mean_c(record),
            first: record.first().to_string(),
            last: record.last().to_string(),
            files: record.files.iter().map(file).collect(),
        }
    }
}

/// Figures of a cell over its members and winters.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Figures {
    /// First day of the winters: "1 October".
    pub start: String,
    /// First forage.
    pub first_forage: String,
    /// Days between them.
    pub days: i32,
    /// Mean outside air over the winters, °C.
    pub winter_mean_c: f64,
    /// Coldest hour, °C.
    pub coldest_c: f64,
    /// Winters of the record that are not complete.
    pub refused_winters: usize,
    /// Members.
    pub members: usize,
    /// Winters, and sets of what all colonies share, by which members are crossed; none in cells of older programs.
    #[serde(default)]
    pub crossed_by: (u32, u32),
    /// Honey that each member needs, in the order of their numbers, kg: what the same members need in another hive is told apart from it.
    #[serde(default)]
    pub member_needs_kg: Vec<f64>,
    /// Honey of the scenario, kg.
    pub stores_kg: f64,
    /// Honey needed by share of winters: share, honey in kg, limits of its interval.
    pub needs: Vec<(f64, f64, (f64, f64))>,
    /// Ranges of it over what is not known about bees, in the same order, kg; none with too few sets.
    pub need_shared: Vec<Option<SharedRange>>,
    /// Mean honey needed, kg.
    pub mean_need_kg: f64,
    /// Share of members that starved.
    pub starved: f64,
    /// Interval of it by the chance of the draws.
    pub starved_interval: (f64, f64),
    /// Range of it over what is not known about bees; none with too few sets.
    pub starved_shared: Option<SharedRange>,
    /// Share of members alive at first forage.
    pub alive: f64,
    /// Share of members that starved with honey out of reach.
    pub stranded: f64,
    /// Share of members that were chilled or too few.
    pub chilled: f64,
    /// Median hours with a wet or frosted lid.
    pub wet_lid_h: f64,
    /// Share of members on which water dripped.
    pub drip: f64,
    /// Median of the longest time without a cleansing day, days.
    pub confined_days: f64,
    /// Each winter.
    pub winters: Vec<WinterFigures>,
    /// What a reader must know of the weather before trusting the figures.
    pub notes: Vec<String>,
}

/// Figures of one winter of a cell.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WinterFigures {
    /// Its label.
    pub label: String,
    /// Members run through it.
    pub members: usize,
    /// Mean outside air, °C.
    pub mean_c: f64,
    /// Coldest hour, °C.
    pub coldest_c: f64,
    /// Median honey needed, kg.
    pub need_kg: f64,
    /// Share of members that starved.
    pub starved: f64,
}

impl Figures {
    pub(super) fn new(
        scenario: &Scenario,
        prepared: &Prepared,
        (summary, member_needs_kg): (&Summary, Vec<f64>),
        shown: &dyn Fn(&str) -> String,
    ) -> Self {
        let Season {
            start,
            first_forage,
        } = scenario.season;
        let of_end = |end| {
            let found = summary.ends.iter().find(|share| share.end == end);
            found.map_or(0.0, |share| share.share)
        };
        let [_, wet_lid_h, _] = summary.damp.wet_lid_h;
        let [_, confined_days, _] = summary.confinement.longest_days;
        let Share { share: drip, .. } = summary.damp.drip;
        let winters: Vec<WinterFigures> = summary
            .winters
            .iter()
            .map(|winter| WinterFigures {
                label: winter.label.clone(),
                members: winter.members,
                mean_c: winter.mean_c,
                coldest_c: winter.coldest_c,
                need_kg: winter.need_kg,
                starved: winter.starved,
            })
            .collect();
        let means = winters.iter().map(|winter| winter.mean_c);
        Self {
            start: start.to_string(),
            first_forage: first_forage.to_string(),
            days: scenario.season.days(),
            winter_mean_c: means.sum::<f64>() / winters.len() as f64,
            coldest_c: winters
                .iter()
                .map(|winter| winter.coldest_c)
                .fold(f64::INFINITY, f64::min),
            refused_winters: prepared.refused.len(),
            members: summary.members,
            crossed_by: (
                prepared.plan.winters.len() as u32,
                prepared.plan.shared_sets,
            ),
            member_needs_kg,
            stores_kg: scenario.colony.stores_kg,
            needs: summary
                .needs
                .iter()
                .map(|need| (need.share, need.kg, need.interval_kg))
                .collect(),
            need_shared: summary.needs.iter().map(|need| need.shared).collect(),
            mean_need_kg: summary.mean_need_kg,
            starved: summary.starved,
            starved_interval: summary.starved_interval,
            starved_shared: summary.starved_shared,
            alive: of_end(End::Alive),
            stranded: of_end(End::Stranded),
            chilled: of_end(End::Chilled),
            wet_lid_h,
            drip,
            confined_days,
            winters,
            notes: prepared.notes.iter().map(|note| shown(note)).collect(),
        }
    }

    /// Range of the honey needed in a share of winters over what is not known about bees, kg; none for a share that is not stated.
    #[must_use]
    pub fn need_shared(&self, share: f64) -> Option<SharedRange> {
        let at = self.needs.iter().position(|(of, ..)| *of == share)?;
        self.need_shared.get(at).copied().flatten()
    }

    /// Honey needed in a share of winters, kg, with its interval; not a number for a share that is not stated.
    #[must_use]
    pub fn need(&self, share: f64) -> (f64, (f64, f64)) {
        let found = self.needs.iter().find(|(of, ..)| *of == share);
        found.map_or((f64::NAN, (f64::NAN, f64::NAN)), |(_, kg, interval)| {
            (*kg, *interval)
        })
    }
}
