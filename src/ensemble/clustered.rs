//! Standard errors of means over members that are crossed by sets of shared unknowns and colonies.
//!
//! Members of one set resemble each other, and so do those of one colony; a mean is as sure as its sets and its colonies are many. Two-way clustered variance
//! (Cameron, Gelbach & Miller 2011, J Bus Econ Stat 29:238): that of sums by set, and that of sums by colony, less that of members by themselves, which both hold.

use super::crossing::{Cell, Crossing};
use std::collections::BTreeMap;

/// How sure a mean is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Error {
    /// Standard error.
    pub error: f64,
    /// Degrees of freedom of it, 1 or more: those of the fewer of both clusters.
    pub degrees: usize,
}

/// The error of the mean of values of members, each with its number, by the chance of sets and colonies in these very winters; none where there is but one set.
///
/// Deviations are from the mean of each winter, as every winter has its share of members whatever is drawn. Where no winter has a second colony, they are from the mean of
/// all: what winters differ by then holds what colonies differ by.
pub(super) fn of_draws(crossing: &Crossing, values: &[(u32, f64)]) -> Option<Error> {
    let cells: Vec<Cell> = cells(crossing, values);
    let of_colonies = distinct(cells.iter().map(|cell| cell.colony as usize));
    let of_winters = distinct(cells.iter().map(|cell| cell.winter));
    let strata = if of_colonies > of_winters {
        of_winters
    } else {
        1
    };
    let deviations = if strata > 1 {
        from_means(cells.iter().map(|cell| cell.winter), values)
    } else {
        from_means(cells.iter().map(|_| 0), values)
    };
    let by_set = Clusters::new(cells.iter().map(|cell| cell.set.into()), &deviations);
    let by_colony = Clusters::new(cells.iter().map(|cell| cell.colony.into()), &deviations);
    let alone = Clusters::alone(&deviations);
    two_way(
        (by_set, 1),
        (by_colony, strata),
        (alone, strata),
        values.len(),
    )
}

/// The error of the mean for winters of which these are a sample; none where there is but one winter or one set.
pub(super) fn of_winters(crossing: &Crossing, values: &[(u32, f64)]) -> Option<Error> {
    let cells = cells(crossing, values);
    let deviations = from_means(cells.iter().map(|_| 0), values);
    let sets = crossing.sets() as u64;
    let both = |cell: &Cell| cell.winter as u64 * sets + u64::from(cell.set);
    let by_winter = Clusters::new(cells.iter().map(|cell| cell.winter as u64), &deviations);
    let by_set = Clusters::new(cells.iter().map(|cell| cell.set.into()), &deviations);
    let by_both = Clusters::new(cells.iter().map(both), &deviations);
    two_way((by_winter, 1), (by_set, 1), (by_both, 1), values.len())
}

/// Members that would tell as much of a share if each were drawn by itself, with the degrees of freedom of that; none for a share of none or all, and of one
/// set.
pub(super) fn independent(crossing: &Crossing, are: &[(u32, bool)]) -> Option<(f64, usize)> {
    let values: Vec<(u32, f64)> = are
        .iter()
        .map(|(member, is)| (*member, f64::from(u8::from(*is))))
        .collect();
    let n = values.len() as f64;
    let p = values.iter().map(|(_, value)| value).sum::<f64>() / n;
    if p <= 0.0 || p >= 1.0 {
        return None;
    }
    let found = of_draws(crossing, &values)?;
    let told = p * (1.0 - p) / (found.error * found.error);
    Some((told.clamp(1.0, n), found.degrees))
}

fn cells(crossing: &Crossing, values: &[(u32, f64)]) -> Vec<Cell> {
    let members = values.iter().map(|(member, _)| u64::from(*member));
    members.map(|member| crossing.cell(member)).collect()
}

fn distinct(numbers: impl Iterator<Item = usize>) -> usize {
    let mut all: Vec<usize> = numbers.collect();
    all.sort_unstable();
    all.dedup();
    all.len()
}

/// Deviations of values from the mean of those in the same stratum.
fn from_means(strata: impl Iterator<Item = usize> + Clone, values: &[(u32, f64)]) -> Vec<f64> {
    let most = strata.clone().max().map_or(0, |most| most + 1);
    let mut sums = vec![(0.0, 0.0); most];
    for (stratum, (_, value)) in strata.clone().zip(values) {
        sums[stratum].0 += 1.0;
        sums[stratum].1 += value;
    }
    let each = strata.zip(values);
    each.map(|(stratum, (_, value))| value - sums[stratum].1 / sums[stratum].0)
        .collect()
}

/// Deviations summed by cluster.
struct Clusters {
    count: usize,
    /// Sum of the squares of the sums.
    squares: f64,
}

impl Clusters {
    fn new(numbers: impl Iterator<Item = u64>, deviations: &[f64]) -> Self {
        let mut sums: BTreeMap<u64, f64> = BTreeMap::new();
        for (number, deviation) in numbers.zip(deviations) {
            *sums.entry(number).or_default() += deviation;
        }
        Self {
            count: sums.len(),
            squares: sums.values().map(|sum| sum * sum).sum(),
        }
    }

    /// Each value a cluster.
    fn alone(deviations: &[f64]) -> Self {
        Self {
            count: deviations.len(),
            squares: deviations
                .iter()
                .map(|deviation| deviation * deviation)
                .sum(),
        }
    }

    /// Variance of the mean of `n` values by these clusters, of which so many means were taken away.
    fn variance(&self, lost: usize, n: usize) -> f64 {
        let degrees = self.count.saturating_sub(lost);
        if degrees == 0 {
            return 0.0;
        }
        self.squares * (self.count as f64 / degrees as f64) / (n as f64 * n as f64)
    }
}

/// Clusters of two kinds and their intersections, each with the number of means that were taken away. The sum may fall below one of its parts by chance; the larger
/// part holds then.
fn two_way(
    one: (Clusters, usize),
    other: (Clusters, usize),
    both: (Clusters, usize),
    n: usize,
) -> Option<Error> {
    let degrees = |(clusters, lost): &(Clusters, usize)| clusters.count.saturating_sub(*lost);
    let fewest = degrees(&one).min(degrees(&other));
    if fewest == 0 {
        return None;
    }
    let variance = |(clusters, lost): &(Clusters, usize)| clusters.variance(*lost, n);
    let (a, b) = (variance(&one), variance(&other));
    let variance = (a + b - variance(&both)).max(a).max(b);
    Some(Error {
        error: variance.sqrt(),
        degrees: fewest,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ensemble::Draws;
    use crate::ensemble::statistics::score_interval;
    use crate::{normal, student};

    /// A made-up response: sets, colonies, their meeting and winters each add a normal part of known size.
    fn response(seed: u64, crossing: &Crossing, members: u32, sizes: [f64; 4]) -> Vec<(u32, f64)> {
        let draws = Draws::new(seed);
        let z = |of: u64, name: &str| normal::quantile(draws.uniform(of, name));
        let value = |member: u32| {
            let cell = crossing.cell(member.into());
            let parts = [
                z(cell.set.into(), "set"),
                z(cell.colony.into(), "colony"),
                z(member.into(), "both"),
                z(cell.winter as u64, "winter"),
            ];
            let value = parts
                .iter()
                .zip(sizes)
                .map(|(part, size)| part * size)
                .sum();
            (member, value)
        };
        (0..members).map(value).collect()
    }

    fn here(seed: u64, winters: u64, size: f64) -> f64 {
        let draws = Draws::new(seed);
        let z = |of: u64| normal::quantile(draws.uniform(of, "winter"));
        size * (0..winters).map(z).sum::<f64>() / winters as f64
    }

    #[test]
    fn intervals_of_crossed_members_hold_the_truth_as_often_as_said() {
        let crossing = Crossing::new(10, 100);
        let repeats = 400;
        for (members, sizes) in [
            (1000, [1.0, 1.5, 1.0, 1.0]),
            (1000, [0.0, 1.0, 1.0, 0.5]),
            (300, [1.0, 0.5, 0.5, 1.0]),
            (2000, [0.5, 1.5, 1.0, 0.0]),
        ] {
            let (mut draws, mut winters) = (0, 0);
            for seed in 0..repeats {
                let values = response(seed, &crossing, members, sizes);
                let mean = values.iter().map(|(_, value)| value).sum::<f64>() / f64::from(members);
                let holds = |found: Option<Error>, truth: f64| {
                    let found = found.expect("clusters");
                    let half = student::two_sided(0.95, found.degrees) * found.error;
                    u32::from((mean - truth).abs() <= half)
                };
                draws += holds(of_draws(&crossing, &values), here(seed, 10, sizes[3]));
                winters += holds(of_winters(&crossing, &values), 0.0);
            }
            println!("{members} {sizes:?}: draws {draws}, winters {winters} of {repeats}");
            // 380, give or take four standard deviations of 4.4; the larger of two parts may be too wide.
            assert!((362..=398).contains(&draws), "{draws}");
            assert!((362..=400).contains(&winters), "{winters}");
        }
    }

    #[test]
    fn intervals_of_shares_hold_the_truth_as_often_as_said() {
        let crossing = Crossing::new(10, 100);
        let sizes = [0.6, 0.6, 0.53, 0.0];
        let repeats = 400;
        for p in [0.02, 0.2, 0.7] {
            let limit = normal::quantile(p) * (0.72_f64 + 0.53 * 0.53).sqrt();
            let mut held = 0;
            for seed in 0..repeats {
                let values = response(seed, &crossing, 1000, sizes);
                let are: Vec<(u32, bool)> = values
                    .iter()
                    .map(|(member, value)| (*member, *value < limit))
                    .collect();
                let share = are.iter().filter(|(_, is)| *is).count() as f64 / 1000.0;
                let (n, degrees) = independent(&crossing, &are).unwrap_or((1000.0, 99));
                let (low, high) = score_interval(share, n, student::two_sided(0.95, degrees));
                held += u32::from((low..=high).contains(&p));
            }
            println!("{p}: {held} of {repeats}");
            assert!((360..=398).contains(&held), "{p}: {held}");
        }
    }

    #[test]
    fn more_colonies_make_a_mean_no_surer_than_its_sets() {
        let crossing = Crossing::new(10, 10);
        let error = |members| {
            let values = response(3, &crossing, members, [1.0, 1.0, 1.0, 0.0]);
            of_draws(&crossing, &values).expect("clusters").error
        };
        // Ten sets of a standard deviation of one.
        assert!(error(20_000) > 0.2 && error(20_000) < error(100));
    }

    #[test]
    fn one_member_tells_no_error() {
        assert_eq!(of_draws(&Crossing::new(10, 100), &[(4, 1.0)]), None);
        assert_eq!(
            of_winters(&Crossing::new(1, 100), &[(0, 1.0), (1, 2.0)]),
            None
        );
    }
}
