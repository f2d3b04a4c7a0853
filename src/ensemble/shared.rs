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
mod tests {
    use super::*;
    use crate::ensemble::Draws;
    use crate::normal;

    /// A made-up response with normal parts: sets, colonies, their meeting, sizes as standard deviations.
    struct Toy {
        set: f64,
        colony: f64,
        both: f64,
    }

    const TOY: Toy = Toy {
        set: 1.0,
        colony: 1.5,
        both: 1.0,
    };

    impl Toy {
        fn values(&self, seed: u64, crossing: &Crossing, members: u64) -> Vec<(u32, f64)> {
            let draws = Draws::new(seed);
            let z = |of: u64, name: &str| normal::quantile(draws.uniform(of, name));
            let value = |member: u64| {
                let cell = crossing.cell(member);
                let value = self.set * z(cell.set.into(), "set")
                    + self.colony * z(cell.colony.into(), "colony")
                    + self.both * z(member, "both");
                (member as u32, 10.0 + value)
            };
            (0..members).map(value).collect()
        }

        /// Spread of members of one set.
        fn inner(&self) -> f64 {
            (self.colony * self.colony + self.both * self.both).sqrt()
        }
    }

    /// Share of sets of a normal figure that lies in a range, by the figure's inverse.
    fn covered(range: &SharedRange, set_of: impl Fn(f64) -> f64) -> f64 {
        normal::probability(set_of(range.p95)) - normal::probability(set_of(range.p05))
    }

    fn seeds() -> u64 {
        // By hand: TWO_LEVEL_SEEDS=100.
        let asked = std::env::var("TWO_LEVEL_SEEDS").ok();
        asked.and_then(|asked| asked.parse().ok()).unwrap_or(20)
    }

    /// Mean share of true sets in the range, over seeds.
    fn coverage(
        members: u64,
        find: impl Fn(&Crossing, &[(u32, f64)]) -> SharedRange,
        set_of: impl Fn(f64) -> f64 + Copy,
    ) -> f64 {
        let crossing = Crossing::new(10, 100);
        let shares: Vec<f64> = (0..seeds())
            .map(|seed| {
                let values = TOY.values(seed, &crossing, members);
                covered(&find(&crossing, &values), set_of)
            })
            .collect();
        println!(
            "{members} members: {:.3}, {:.3} to {:.3}",
            mean(&shares),
            shares.iter().copied().fold(1.0, f64::min),
            shares.iter().copied().fold(0.0, f64::max),
        );
        mean(&shares)
    }

    fn of(figure: Figure) -> impl Fn(&Crossing, &[(u32, f64)]) -> SharedRange {
        move |crossing, values| SharedRange::new(crossing, values, figure).expect("sets")
    }

    #[test]
    fn the_range_of_a_mean_holds_nine_tenths_of_the_true_sets() {
        for members in [1000, 2000] {
            let held = coverage(members, of(Figure::Mean), |x| (x - 10.0) / TOY.set);
            assert!((0.87..0.93).contains(&held), "{held}");
        }
    }

    #[test]
    fn the_range_of_a_quantile_holds_nine_tenths_of_the_true_sets() {
        for probability in [0.5, 0.8, 0.95] {
            let shift = TOY.inner() * normal::quantile(probability);
            let set_of = |x| (x - 10.0 - shift) / TOY.set;
            let held = coverage(1000, of(Figure::Quantile(probability)), set_of);
            assert!((0.85..0.95).contains(&held), "{probability}: {held}");
        }
    }

    #[test]
    fn the_range_of_a_share_holds_nine_tenths_of_the_true_sets() {
        let limit = 12.0;
        let are = |values: &[(u32, f64)]| -> Vec<(u32, bool)> {
            let above = values
                .iter()
                .map(|(member, value)| (*member, *value > limit));
            above.collect()
        };
        let find = |crossing: &Crossing, values: &[(u32, f64)]| {
            SharedRange::of_share(crossing, &are(values)).expect("sets")
        };
        let find_by = |crossing: &Crossing, values: &[(u32, f64)]| {
            SharedRange::of_share_by(crossing, &are(values), values).expect("sets")
        };
        // A set's share falls with what it adds; ends beyond 0 or 1 hold all.
        let set_of = |share: f64| {
            let share = share.clamp(1e-9, 1.0 - 1e-9);
            (limit - 10.0 + TOY.inner() * normal::quantile(share)) / TOY.set
        };
        let held = coverage(1000, find, set_of);
        assert!((0.84..0.96).contains(&held), "{held}");
        // What is added beyond the mean is never less than nothing, so that it is rather too wide.
        let held = coverage(1000, find_by, set_of);
        assert!((0.88..0.97).contains(&held), "{held}");
    }

    #[test]
    fn a_share_of_none_has_a_range_where_its_values_come_near() {
        let crossing = Crossing::new(10, 100);
        let values = TOY.values(3, &crossing, 1000);
        let none: Vec<(u32, bool)> = (0..1000).map(|member| (member, false)).collect();
        let plain = SharedRange::of_share(&crossing, &none).expect("sets");
        assert_eq!(plain.range(), (0.0, 0.0));
        let by = SharedRange::of_share_by(&crossing, &none, &values).expect("sets");
        assert!(by.p05 == 0.0 && by.p95 > 0.0 && by.p95 < 0.05, "{by:?}");
    }

    #[test]
    fn twice_the_colonies_move_the_range_by_less_than_a_tenth_of_its_width() {
        let crossing = Crossing::new(10, 100);
        for figure in [Figure::Mean, Figure::Quantile(0.8)] {
            let moved = (0..seeds()).map(|seed| {
                let values = TOY.values(seed, &crossing, 2000);
                let found = |members: usize| {
                    SharedRange::new(&crossing, &values[..members], figure).expect("sets")
                };
                let (once, twice) = (found(1000), found(2000));
                let width = |range: &SharedRange| range.p95 - range.p05;
                (width(&twice) / width(&once) - 1.0).abs()
            });
            let moved = mean(&moved.collect::<Vec<_>>());
            println!("{figure:?}: {moved:.3}");
            assert!(moved < 0.1, "{figure:?}: {moved}");
        }
    }

    #[test]
    fn without_anything_shared_the_range_collapses() {
        let crossing = Crossing::new(10, 100);
        let none = Toy { set: 0.0, ..TOY };
        for figure in [Figure::Mean, Figure::Quantile(0.5)] {
            let widths = (0..seeds()).map(|seed| {
                let values = none.values(seed, &crossing, 1000);
                let range = SharedRange::new(&crossing, &values, figure).expect("sets");
                range.p95 - range.p05
            });
            let width = mean(&widths.collect::<Vec<_>>());
            // Sets of ten colonies of their own would spread over 3.3 standard deviations of 1.8 over the root of ten.
            println!("{figure:?}: {width:.3}");
            assert!(
                width < 0.25 * 3.3 * none.inner() / 10.0_f64.sqrt(),
                "{width}"
            );
        }
        let alike: Vec<(u32, f64)> = (0..1000).map(|member| (member, 3.0)).collect();
        let range = SharedRange::new(&crossing, &alike, Figure::Mean).expect("sets");
        assert!(range.p95 - range.p05 < 1e-12 && (range.p50 - 3.0).abs() < 1e-12);
    }

    #[test]
    fn fewer_than_ten_complete_sets_tell_no_range() {
        let crossing = Crossing::new(10, 100);
        let values = TOY.values(1, &crossing, 1000);
        let found = |members: usize| {
            let range = SharedRange::new(&crossing, &values[..members], Figure::Mean);
            range.map(|range| (range.sets, range.colonies))
        };
        assert_eq!(found(99), None);
        assert_eq!(found(100), Some((10, 10)));
        assert_eq!(found(999), Some((95, 10)));
        assert_eq!(found(1000), Some((100, 10)));
        // Members out of order or missing are no table.
        assert!(SharedRange::new(&crossing, &values[1..], Figure::Mean).is_none());
    }
}
