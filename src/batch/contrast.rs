//! How hives differ at the same stations: all cells of a batch have the same draws, so at one station only the hives differ.

use super::cell::{CellRecord, Figures};
use crate::ensemble::{Crossing, Difference};
use serde::Serialize;
use std::collections::HashMap;

/// Share of winters for which honey is compared.
pub(super) const SAFE: f64 = 0.95;

/// Figures of a scenario less those of the first at the same stations and under the same rule for the season.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Contrast {
    /// Stations at which both have figures.
    pub stations: usize,
    /// Mean honey needed, kg.
    pub need_mean_kg: Spread,
    /// Its 90 % range over what is not known about bees, kg: that of single stations, averaged, as all share the same unknowns. None where a station has too few sets.
    pub need_mean_shared_kg: Option<(f64, f64)>,
    /// Honey needed in 95 % of winters, kg.
    pub need_q95_kg: Spread,
    /// Share that starves with each scenario's own stores.
    pub starved: Spread,
}

/// A difference over stations.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Spread {
    /// Mean over stations.
    pub mean: f64,
    /// 95 % interval of Student's for stations of which these are a sample; none of a single one. Stations share their draws, so what these few draws have of
    /// chance is in it only as far as it differs from station to station.
    pub interval: Option<(f64, f64)>,
}

impl Spread {
    fn new(values: &[f64]) -> Option<Self> {
        let all: Vec<(usize, f64)> = values.iter().map(|value| (0, *value)).collect();
        let over = Difference::of_means(&all)?;
        Some(Self {
            mean: over.mean,
            interval: (values.len() > 1).then_some(over.draws),
        })
    }

    /// Whether zero is among what the stations leave possible.
    #[must_use]
    pub fn may_be_none(&self) -> bool {
        self.interval
            .is_none_or(|(low, high)| low <= 0.0 && high >= 0.0)
    }
}

/// Figures of the first scenario by station.
pub(super) struct First<'a>(HashMap<&'a str, &'a Figures>);

impl<'a> First<'a> {
    /// Of its cells.
    pub fn new(cells: impl Iterator<Item = &'a CellRecord>) -> Self {
        Self(
            cells
                .filter_map(|cell| Some((cell.station.as_str(), cell.figures()?)))
                .collect(),
        )
    }

    /// What `cells` differ by from it; none without a station that both have.
    pub fn against(&self, cells: &[&CellRecord]) -> Option<Contrast> {
        let pairs: Vec<(&Figures, &Figures)> = cells
            .iter()
            .filter_map(|cell| Some((cell.figures()?, *self.0.get(cell.station.as_str())?)))
            .collect();
        let over = |of: &dyn Fn(&Figures) -> f64| {
            let less = pairs.iter().map(|(own, first)| of(own) - of(first));
            Spread::new(&less.collect::<Vec<_>>())
        };
        Some(Contrast {
            stations: pairs.len(),
            need_mean_kg: over(&|figures| figures.mean_need_kg)?,
            need_mean_shared_kg: mean_range(&pairs),
            need_q95_kg: over(&|figures| figures.need(SAFE).0)?,
            starved: over(&|figures| figures.starved)?,
        })
    }
}

/// Mean ends of the ranges, over what is not known about bees, of what each pair's members need less; none where one is not told.
fn mean_range(pairs: &[(&Figures, &Figures)]) -> Option<(f64, f64)> {
    let ranges: Option<Vec<(f64, f64)>> = pairs.iter().map(|pair| range(*pair)).collect();
    let ranges = ranges?;
    let count = ranges.len() as f64;
    let sum = |end: fn(&(f64, f64)) -> f64| ranges.iter().map(end).sum::<f64>();
    Some((sum(|range| range.0) / count, sum(|range| range.1) / count))
}

fn range((own, first): (&Figures, &Figures)) -> Option<(f64, f64)> {
    let (winters, sets) = own.crossed_by;
    let alike = own.crossed_by == first.crossed_by
        && own.member_needs_kg.len() == first.member_needs_kg.len();
    let crossing = (alike && winters > 0).then(|| Crossing::new(winters, sets))?;
    let pairs = own.member_needs_kg.iter().zip(&first.member_needs_kg);
    let less: Vec<(u32, f64)> = (0..).zip(pairs.map(|(own, first)| own - first)).collect();
    let shared = Difference::of_crossed_means(&crossing, &less)?.shared?;
    Some(shared.range())
}
