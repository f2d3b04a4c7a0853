//! What the stations of a batch say together: honey needed and risk against latitude and January.

use super::cell::{CellRecord, Figures};
use super::contrast::{Contrast, First, SAFE};
use super::gather::Gathered;
use crate::ensemble::SharedRange;
use serde::Serialize;

/// Width of a band of latitude, degrees.
const BAND_DEG: f64 = 5.0;
/// Width of a band of January means, K.
const BAND_K: f64 = 5.0;
/// The parallel of the rule of thumb "thin walls winter badly north of 40 degrees".
const PARALLEL_DEG: f64 = 40.0;
/// Least stations for a trend (own choice).
const LEAST: usize = 5;

/// What stations are told apart by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Against {
    /// Bands of latitude, degrees north.
    Latitude,
    /// Bands of the mean of January, °C.
    January,
    /// South and north of the 40th parallel.
    Parallel40,
}

impl Against {
    /// Its key in tables.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::Latitude => "latitude_deg",
            Self::January => "january_mean_c",
            Self::Parallel40 => "parallel_40_deg",
        }
    }
}

/// One scenario under one rule for the season, over the stations.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct District {
    /// Name of the scenario.
    pub scenario: String,
    /// Name of the rule.
    pub season: String,
    /// Honey of the scenario, kg.
    pub stores_kg: f64,
    /// Stations with figures.
    pub stations: usize,
    /// Bands, from low to high, those without a station left out.
    pub bands: Vec<Band>,
    /// What it differs by from the first scenario over all stations, also those whose place is not known; none for that itself.
    pub against_first: Option<Contrast>,
    /// Straight lines through the stations.
    pub trends: Vec<Trend>,
}

/// Stations of one band; means over stations, each counted once.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Band {
    /// What the band is of.
    pub against: Against,
    /// From here on.
    pub from: f64,
    /// Up to below this.
    pub to: f64,
    /// Stations in it.
    pub stations: usize,
    /// Mean of the honey needed in half of winters, kg.
    pub need_q50_kg: f64,
    /// Mean of the honey needed in 95 % of winters, kg.
    pub need_q95_kg: f64,
    /// Least of the latter.
    pub need_q95_least_kg: f64,
    /// Most of it.
    pub need_q95_most_kg: f64,
    /// Mean of the ends of the latter's ranges over what is not known about bees, kg: a set of values is the same at all stations, so that averaging does not narrow
    /// it. None where a station has too few sets to tell.
    pub need_q95_shared_kg: Option<(f64, f64)>,
    /// Mean share that starves with the scenario's stores.
    pub starved: f64,
    /// The same of its ranges.
    pub starved_shared: Option<(f64, f64)>,
    /// Least of them.
    pub starved_least: f64,
    /// Most of them.
    pub starved_most: f64,
    /// Mean share that is chilled or too few.
    pub chilled: f64,
    /// What it differs by from the first scenario at the same stations; none for that itself.
    pub against_first: Option<Contrast>,
}

/// A straight line by least squares through the honey needed in 95 % of winters at each station.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Trend {
    /// Latitude or January.
    pub against: Against,
    /// kg a degree or a kelvin.
    pub slope_kg: f64,
    /// kg at zero.
    pub at_zero_kg: f64,
    /// Share of the stations' variance that the line explains, 0 to 1.
    pub r2: f64,
}

/// A station's figures with its place on an axis.
struct Point<'a> {
    at: f64,
    cell: &'a CellRecord,
    figures: &'a Figures,
}

/// Every scenario under every rule, in the order of the plan; those without any figures are left out.
#[must_use]
pub fn districts(batch: &Gathered) -> Vec<District> {
    let plan = &batch.plan;
    let mut districts = Vec::new();
    for scenario in &plan.scenarios {
        for season in &plan.seasons {
            let own: Vec<&CellRecord> = cells_of(batch, scenario, season).collect();
            let first = plan.scenarios.first().filter(|first| *first != scenario);
            let first = first.map(|first| First::new(cells_of(batch, first, season)));
            let first = first.as_ref();
            let Some(stores_kg) = own.iter().find_map(|cell| Some(cell.figures()?.stores_kg))
            else {
                continue;
            };
            districts.push(District {
                scenario: scenario.clone(),
                season: season.clone(),
                stores_kg,
                stations: own.iter().filter(|cell| cell.figures().is_some()).count(),
                bands: [
                    bands(&own, first, Against::Latitude, |at| band(at, BAND_DEG)),
                    bands(&own, first, Against::January, |at| band(at, BAND_K)),
                    bands(&own, first, Against::Parallel40, |at| {
                        if at < PARALLEL_DEG {
                            (0.0, PARALLEL_DEG)
                        } else {
                            (PARALLEL_DEG, 90.0)
                        }
                    }),
                ]
                .concat(),
                against_first: first.and_then(|first| first.against(&own)),
                trends: [Against::Latitude, Against::January]
                    .into_iter()
                    .filter_map(|against| trend(against, &points(&own, against)))
                    .collect(),
            });
        }
    }
    districts
}

fn cells_of<'a>(
    batch: &'a Gathered,
    scenario: &'a str,
    season: &'a str,
) -> impl Iterator<Item = &'a CellRecord> {
    let cells = batch.cells.iter();
    cells.filter(move |cell| cell.scenario == scenario && cell.season == season)
}

fn points<'a>(cells: &[&'a CellRecord], against: Against) -> Vec<Point<'a>> {
    let point = |cell: &&'a CellRecord| {
        let place = cell.place.as_ref()?;
        let at = match against {
            Against::Latitude | Against::Parallel40 => place.latitude_deg,
            Against::January => place.january_mean_c,
        };
        Some(Point {
            at: at?,
            cell,
            figures: cell.figures()?,
        })
    };
    cells.iter().filter_map(point).collect()
}

fn band(at: f64, width: f64) -> (f64, f64) {
    let from = (at / width).floor() * width;
    (from, from + width)
}

fn bands(
    cells: &[&CellRecord],
    first: Option<&First<'_>>,
    against: Against,
    band_of: impl Fn(f64) -> (f64, f64),
) -> Vec<Band> {
    let mut points = points(cells, against);
    // Stable, so that stations of one place keep the order of the plan.
    points.sort_by(|a, b| a.at.total_cmp(&b.at));
    points
        .chunk_by(|one, next| band_of(one.at) == band_of(next.at))
        .map(|own| {
            let (from, to) = band_of(own[0].at);
            let needs = |share| -> Vec<f64> {
                own.iter()
                    .map(|point| point.figures.need(share).0)
                    .collect()
            };
            let risks: Vec<f64> = own.iter().map(|point| point.figures.starved).collect();
            let chilled: Vec<f64> = own.iter().map(|point| point.figures.chilled).collect();
            Band {
                against,
                from,
                to,
                stations: own.len(),
                need_q50_kg: mean(&needs(0.5)),
                need_q95_kg: mean(&needs(SAFE)),
                need_q95_least_kg: least(&needs(SAFE)),
                need_q95_most_kg: most(&needs(SAFE)),
                need_q95_shared_kg: shared(own, |figures| figures.need_shared(SAFE)),
                starved: mean(&risks),
                starved_shared: shared(own, |figures| figures.starved_shared),
                starved_least: least(&risks),
                starved_most: most(&risks),
                chilled: mean(&chilled),
                against_first: first.and_then(|first| {
                    let own: Vec<&CellRecord> = own.iter().map(|point| point.cell).collect();
                    first.against(&own)
                }),
            }
        })
        .collect()
}

/// Mean ends of ranges over what is not known about bees; none where one is not told.
fn shared(
    points: &[Point<'_>],
    of: impl Fn(&Figures) -> Option<SharedRange>,
) -> Option<(f64, f64)> {
    let ranges: Option<Vec<(f64, f64)>> = points
        .iter()
        .map(|point| of(point.figures).map(|shared| shared.range()))
        .collect();
    let (low, high): (Vec<f64>, Vec<f64>) = ranges?.into_iter().unzip();
    Some((mean(&low), mean(&high)))
}

/// The line through points; none through too few, or through such that all stand at one place.
fn trend(against: Against, points: &[Point<'_>]) -> Option<Trend> {
    if points.len() < LEAST {
        return None;
    }
    let x: Vec<f64> = points.iter().map(|point| point.at).collect();
    let y: Vec<f64> = points
        .iter()
        .map(|point| point.figures.need(SAFE).0)
        .collect();
    let (x_mean, y_mean) = (mean(&x), mean(&y));
    let sum = |of: &dyn Fn(f64, f64) -> f64| -> f64 {
        x.iter()
            .zip(&y)
            .map(|(x, y)| of(x - x_mean, y - y_mean))
            .sum()
    };
    let (xx, xy, yy) = (sum(&|x, _| x * x), sum(&|x, y| x * y), sum(&|_, y| y * y));
    if xx <= 0.0 || yy <= 0.0 {
        return None;
    }
    let slope_kg = xy / xx;
    Some(Trend {
        against,
        slope_kg,
        at_zero_kg: y_mean - slope_kg * x_mean,
        r2: xy * xy / (xx * yy),
    })
}

fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

fn least(values: &[f64]) -> f64 {
    values.iter().copied().fold(f64::INFINITY, f64::min)
}

fn most(values: &[f64]) -> f64 {
    values.iter().copied().fold(f64::NEG_INFINITY, f64::max)
}

#[cfg(test)]
mod tests;
