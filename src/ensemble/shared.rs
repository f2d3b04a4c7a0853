//! How far an answer moves over what is not known about bees: the second kind of uncertainty, which more colonies do not lessen.
//!
//! Each set of shared unknowns gives a figure of its own. Figures of sets differ by the sets and by the chance of the few colonies in each; the variance of the latter is
//! taken out of their spread, so that the range is that of sets with ever so many colonies.

use super::crossing::{Crossing, SETS_TOGETHER};
use super::smooth_quantile::Weights;
use super::statistics::{mean, quantile, sorted};
use serde::{Deserialize, Serialize};

/// Fewest sets whose spread is told (own choice: the spread of ten is known to a quarter).
const FEWEST_SETS: usize = 10;

/// What a figure is of a set's members.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Figure {
    /// Their mean; of zeros and ones, a share.
    Mean,
    /// The value at this probability of them.
    Quantile(f64),
}

/// Range of a figure over sets of shared unknowns, the chance of colonies taken out.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct SharedRange {
    /// Complete sets that it is told from.
    pub sets: usize,
    /// Colonies that each of them was run with.
    pub colonies: usize,
    /// The figure at a twentieth of sets.
    pub p05: f64,
    /// At half of them.
    pub p50: f64,
    /// At nineteen twentieths.
    pub p95: f64,
}

impl SharedRange {
    /// Of values of members, each with its number; none where those of the first ten sets are not complete or a value is not a number.
    ///
    /// Sets of a group have their colonies in common, so what is common to the group says nothing of how its sets differ. The variance of what remains by the chance
    /// of colonies is that of the interaction, by a jackknife that leaves out one colony of all sets of the group at once (of a mean, the residual mean square of
    /// a two-way analysis of variance over the colonies of a set). Where a set has several colonies in a winter they are left out together, so the chance of winters is
    /// taken out with theirs. Deviations of sets are then drawn together until their variance is what the sets have of their own.
    ///
    /// A set's quantile is that of Harrell & Davis 1982, Biometrika 69:635, as one of ten plain values is rough. It still is: sets move it first of all by what they
    /// move the mean by, which is known better, and only as far as its distance from the mean differs between sets beyond chance by that too. Of ten values it lies too
    /// near their middle; where the middle of sets lies, all members say whose set's part in the mean is taken out.
    #[must_use]
    pub fn new(crossing: &Crossing, values: &[(u32, f64)], figure: Figure) -> Option<Self> {
        let table = Table::new(crossing, values)?;
        let means = table.figures(Figure::Mean);
        let (middle, of_means) = deviations(&means);
        let (center, moved) = match figure {
            Figure::Mean => (middle, of_means),
            Figure::Quantile(probability) => {
                let beyond: Vec<SetFigure> = table
                    .figures(figure)
                    .iter()
                    .zip(&means)
                    .map(|(quantile, mean)| quantile.less(mean))
                    .collect();
                let (_, beyond) = deviations(&beyond);
                let rest = sorted(table.without(&of_means));
                let moved = of_means.iter().zip(beyond);
                let moved = moved.map(|(of_mean, beyond)| of_mean + beyond);
                (quantile(&rest, probability), moved.collect())
            }
        };
        let figures = moved.iter().map(|moved| center + moved);
        Some(table.range(figures.collect()))
    }

    /// As [`SharedRange::new`] of the share of members that are so, within 0 and 1.
    #[must_use]
    pub fn of_share(crossing: &Crossing, are: &[(u32, bool)]) -> Option<Self> {
        let range = Self::new(crossing, &numbers(are), Figure::Mean)?;
        Some(range.map(|share| share.clamp(0.0, 1.0)))
    }

    /// As [`SharedRange::of_share`] of members that are so the likelier the larger a value of theirs is, as they starve the likelier the more honey they lack.
    ///
    /// Few members of a set, or none, say little of a small share. Values say more: what a set moves their mean by moves the share of all members that lie above
    /// the limit which as many pass as are so. What shares differ by beyond that is taken as it is, less its chance.
    #[must_use]
    pub fn of_share_by(
        crossing: &Crossing,
        are: &[(u32, bool)],
        values: &[(u32, f64)],
    ) -> Option<Self> {
        let table = Table::new(crossing, values)?;
        let shares = Table::new(crossing, &numbers(are))?.figures(Figure::Mean);
        let means = table.figures(Figure::Mean);
        let (middle, of_means) = deviations(&means);
        let rest = sorted(table.without(&of_means));
        let (share, _) = deviations(&shares);
        let limit = quantile(&rest, 1.0 - share);
        let above = |moved: f64| {
            let below = rest.partition_point(|value| *value <= limit - moved);
            1.0 - below as f64 / rest.len() as f64
        };
        let beyond: Vec<SetFigure> = shares
            .iter()
            .zip(&means)
            .map(|(share, mean)| share.less(&mean.through(|mean| above(mean - middle))))
            .collect();
        let (_, beyond) = deviations(&beyond);
        let by_mean: Vec<f64> = of_means.iter().map(|moved| above(*moved)).collect();
        let center = share - mean(&by_mean);
        let moved = by_mean.iter().zip(beyond);
        let moved = moved.map(|(by_mean, beyond)| (center + by_mean + beyond).clamp(0.0, 1.0));
        Some(table.range(moved.collect()))
    }

    /// With every figure put through a function that does not change their order.
    #[must_use]
    pub fn map(self, of: impl Fn(f64) -> f64) -> Self {
        Self {
            p05: of(self.p05),
            p50: of(self.p50),
            p95: of(self.p95),
            ..self
        }
    }

    /// From a twentieth to nineteen twentieths of sets.
    #[must_use]
    pub fn range(&self) -> (f64, f64) {
        (self.p05, self.p95)
    }

    /// Whether zero lies within the range.
    #[must_use]
    pub fn crosses_zero(&self) -> bool {
        self.p05 < 0.0 && self.p95 > 0.0
    }
}

/// Complete sets as rows, their colonies as columns; sets of a group stand together and have the same colonies in the same order.
struct Table {
    sets: usize,
    columns: usize,
    /// Columns that stand for one in the jackknife: every so manieth.
    block: usize,
    values: Vec<f64>,
}

/// A set's figure, and that without each part of its colonies.
struct SetFigure {
    all: f64,
    without: Vec<f64>,
}

fn numbers(are: &[(u32, bool)]) -> Vec<(u32, f64)> {
    let number = |(member, is): &(u32, bool)| (*member, f64::from(u8::from(*is)));
    are.iter().map(number).collect()
}

impl SetFigure {
    /// Each figure put through a function.
    fn through(&self, of: impl Fn(f64) -> f64) -> Self {
        Self {
            all: of(self.all),
            without: self.without.iter().map(|figure| of(*figure)).collect(),
        }
    }

    /// Less another figure of the same set.
    fn less(&self, other: &Self) -> Self {
        let without = self.without.iter().zip(&other.without);
        Self {
            all: self.all - other.all,
            without: without.map(|(own, other)| own - other).collect(),
        }
    }
}

impl Table {
    fn new(crossing: &Crossing, values: &[(u32, f64)]) -> Option<Self> {
        let in_order = (0..)
            .zip(values)
            .all(|(number, (member, _))| *member == number);
        let known = values.iter().all(|(_, value)| value.is_finite());
        let members = values.len() as u64;
        let layers = members / crossing.members();
        let (used, sets) = if layers > 0 {
            (layers * crossing.members(), crossing.sets())
        } else {
            let groups = members / crossing.group_members();
            let sets = groups as usize * SETS_TOGETHER as usize;
            (groups * crossing.group_members(), sets)
        };
        if !in_order || !known || sets < FEWEST_SETS {
            return None;
        }
        let block = crossing.block() as usize;
        let columns = block * layers.max(1) as usize;
        let mut table = vec![0.0; sets * columns];
        for (member, value) in values.iter().take(used as usize) {
            let cell = crossing.cell((*member).into());
            let layer = u64::from(*member) / crossing.members();
            let column = layer as usize * block + cell.colony as usize % block;
            table[cell.set as usize * columns + column] = *value;
        }
        Some(Self {
            sets,
            columns,
            block,
            values: table,
        })
    }

    /// The range of figures, one a set.
    fn range(&self, figures: Vec<f64>) -> SharedRange {
        let figures = sorted(figures);
        let at = |probability| quantile(&figures, probability);
        SharedRange {
            sets: self.sets,
            colonies: self.columns,
            p05: at(0.05),
            p50: at(0.5),
            p95: at(0.95),
        }
    }

    fn figures(&self, figure: Figure) -> Vec<SetFigure> {
        let rows = self.values.chunks(self.columns);
        match figure {
            Figure::Mean => rows.map(|row| self.mean_of(row)).collect(),
            Figure::Quantile(probability) => {
                let fewer = self.columns - self.columns / self.block;
                let all = Weights::new(self.columns, probability);
                let without = Weights::new(fewer, probability);
                rows.map(|row| self.quantile_of(row, &all, &without))
                    .collect()
            }
        }
    }

    /// All values less what their set moves them by.
    fn without(&self, moved: &[f64]) -> Vec<f64> {
        let rows = self.values.chunks(self.columns).zip(moved);
        rows.flat_map(|(row, moved)| row.iter().map(move |value| value - moved))
            .collect()
    }

    fn mean_of(&self, row: &[f64]) -> SetFigure {
        let n = row.len() as f64;
        let sum: f64 = row.iter().sum();
        let left_out = n / self.block as f64;
        let without = |part: usize| {
            let own: f64 = row.iter().skip(part).step_by(self.block).sum();
            (sum - own) / (n - left_out)
        };
        SetFigure {
            all: sum / n,
            without: (0..self.block).map(without).collect(),
        }
    }

    fn quantile_of(&self, row: &[f64], all: &Weights, fewer: &Weights) -> SetFigure {
        let mut order: Vec<(usize, f64)> = row.iter().copied().enumerate().collect();
        order.sort_by(|(_, a), (_, b)| a.total_cmp(b));
        let without = |part: usize| {
            let rest = order.iter().filter(|(at, _)| at % self.block != part);
            fewer.of(rest.map(|(_, value)| *value))
        };
        SetFigure {
            all: all.of(order.iter().map(|(_, value)| *value)),
            without: (0..self.block).map(without).collect(),
        }
    }
}

/// The mean of sets' figures, and how far each set moves it, drawn together as far as the chance of colonies spreads them.
fn deviations(found: &[SetFigure]) -> (f64, Vec<f64>) {
    let together = f64::from(SETS_TOGETHER);
    let groups = found.len() as f64 / together;
    let degrees = found.len() as f64 - groups;
    let mean_of = |sets: &[SetFigure]| mean(&sets.iter().map(|set| set.all).collect::<Vec<_>>());
    let middle = mean_of(found);
    let (mut within, mut by_chance, mut between) = (0.0, 0.0, 0.0);
    for group in found.chunks(SETS_TOGETHER as usize) {
        let own = mean_of(group);
        between += (own - middle) * (own - middle) / (groups - 1.0);
        let parts = group.first().map_or(0, |set| set.without.len());
        let without = |part: usize| {
            let of_part: Vec<f64> = group.iter().map(|set| set.without[part]).collect();
            mean(&of_part)
        };
        let without: Vec<f64> = (0..parts).map(without).collect();
        for set in group {
            within += (set.all - own) * (set.all - own) / degrees;
            let apart = set.without.iter().zip(&without);
            let apart: Vec<f64> = apart.map(|(own, group)| own - group).collect();
            let center = mean(&apart);
            let squares: f64 = apart
                .iter()
                .map(|value| (value - center) * (value - center))
                .sum();
            by_chance += squares * (parts as f64 - 1.0) / parts as f64 / degrees;
        }
    }
    let own = (within - by_chance).max(0.0);
    let drawn = |wanted: f64, had: f64| {
        if had > 0.0 {
            (wanted / had).min(1.0).sqrt()
        } else {
            0.0
        }
    };
    // Sets of a group lie round its mean with all but a fifth of their variance; groups have the rest.
    let (of_set, of_group) = (drawn(own, within), drawn(own / together, between));
    let moved = found.chunks(SETS_TOGETHER as usize).flat_map(|group| {
        let own = mean_of(group);
        group
            .iter()
            .map(move |set| (own - middle) * of_group + (set.all - own) * of_set)
    });
    (middle, moved.collect())
}

#[cfg(test)]
mod tests;
