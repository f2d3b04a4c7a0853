//! Differences between two ensembles of the same draws, with intervals that pair them.
//!
//! Each difference has two intervals. That of the *draws* holds the chance of which colonies and parameters were drawn, in these very winters. That of the
//! *winters* takes these winters as a sample of others like them: a winter is a cluster of pairs, and the clusters' means differ by years and draws alike.

use super::clustered::{self, Error};
use super::crossing::Crossing;
use super::shared::{Figure, SharedRange};
use super::statistics::CONFIDENCE;
use crate::{normal, student};
use serde::{Deserialize, Serialize};

/// Halvings in the search for a limit of a risk difference; below its last bit.
const HALVINGS: u32 = 60;

/// What a difference and its intervals let one say.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// Below zero, in these winters and in others like them.
    Less,
    /// Above zero, in these winters and in others like them.
    More,
    /// Below zero in these winters; they are too few, or differ too much, to say it of others.
    LessHere,
    /// Above zero in these winters; the same.
    MoreHere,
    /// Every pair was alike.
    Same,
    /// Zero is among what the draws leave possible.
    CannotTell,
}

/// A mean of paired differences, or a difference of two risks.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Difference {
    /// The difference.
    pub mean: f64,
    /// 95 % interval from the chance of the draws, in these winters.
    pub draws: (f64, f64),
    /// 95 % interval for winters of which these are a sample; none with fewer than two winters.
    pub winters: Option<(f64, f64)>,
    /// Pairs that it stands on.
    pub pairs: usize,
    /// What can be said, as far as the chance of draws and winters goes.
    pub verdict: Verdict,
    /// Range over what is not known about bees, which more pairs do not narrow; none of independent draws, with too few sets, and of pairs that were picked.
    pub shared: Option<SharedRange>,
}

impl Difference {
    /// The mean of `values`, each with the number of its winter; `None` without any.
    ///
    /// Draws: Student's interval from the spread within winters, as every winter has its share of members whatever is drawn. Winters: the means of
    /// clusters, weighted by their pairs, with as many degrees of freedom as winters less one (linearised ratio estimator, Cochran 1977, Sampling
    /// Techniques, 2.11 and 9A; with equal numbers it is Student's interval of the winters' means). It asks that winters be independent and near
    /// normal about their mean; resampled winters are neither more nor other than those they were made from.
    ///
    /// ```
    /// use overwinter::ensemble::{Difference, Verdict};
    /// let pairs = [(0, -2.1), (1, -1.0), (0, -1.9), (1, -1.2)];
    /// let less = Difference::of_means(&pairs).unwrap();
    /// assert!((less.mean + 1.55).abs() < 1e-12);
    /// // The draws agree; two winters that differ so much say nothing of others.
    /// assert_eq!(less.verdict, Verdict::LessHere);
    /// ```
    #[must_use]
    pub fn of_means(values: &[(usize, f64)]) -> Option<Self> {
        let n = values.len() as f64;
        let mean = values.iter().map(|(_, value)| value).sum::<f64>() / n;
        let clusters = Clusters::new(values, mean);
        (!values.is_empty()).then(|| {
            let around = |(error, degrees): (f64, usize)| {
                let half = student::two_sided(CONFIDENCE, degrees) * error;
                (mean - half, mean + half)
            };
            let alike = values.iter().all(|(_, value)| *value == values[0].1);
            // Pairs that are all alike show no spread; of one pair nothing is known.
            let draws = match clusters.draws() {
                _ if alike && values.len() > 1 => (mean, mean),
                None => (f64::NEG_INFINITY, f64::INFINITY),
                Some(error) => around(error),
            };
            Self::new(mean, draws, clusters.winters().map(around), values.len())
        })
    }

    /// The difference of two risks, from pairs with the number of their winter and whether it happened in the base and in the other; `None` without
    /// any. It is the other's risk less the base's.
    ///
    /// Draws: Tango's score interval of paired proportions ([`tango`]). Winters: as [`Difference::of_means`], and never narrower than that of the draws,
    /// as a few discordant pairs in a few winters can lie alike by chance.
    #[must_use]
    pub fn of_risks(pairs: &[(usize, bool, bool)]) -> Option<Self> {
        let number = |is: bool| f64::from(u8::from(is));
        let values: Vec<(usize, f64)> = pairs
            .iter()
            .map(|(winter, base, other)| (*winter, number(*other) - number(*base)))
            .collect();
        let means = Self::of_means(&values)?;
        let count = |wanted: f64| values.iter().filter(|(_, value)| *value == wanted).count();
        let draws = tango(count(1.0), count(-1.0), pairs.len());
        let winters = means
            .winters
            .map(|(low, high)| (low.min(draws.0).max(-1.0), high.max(draws.1).min(1.0)));
        Some(Self::new(means.mean, draws, winters, pairs.len()))
    }

    /// The mean of `values` of members, each with its number, that are crossed by sets of shared unknowns and colonies; `None` without any.
    ///
    /// Intervals as of [`Difference::of_means`], with sets and colonies as clusters of the draws, and winters and sets as those of the winters.
    #[must_use]
    pub fn of_crossed_means(crossing: &Crossing, values: &[(u32, f64)]) -> Option<Self> {
        let (_, first) = *values.first()?;
        let mean = values.iter().map(|(_, value)| value).sum::<f64>() / values.len() as f64;
        let around = |found: Error| {
            let half = student::two_sided(CONFIDENCE, found.degrees) * found.error;
            (mean - half, mean + half)
        };
        let alike = values.iter().all(|(_, value)| *value == first);
        let draws = match clustered::of_draws(crossing, values) {
            _ if alike && values.len() > 1 => (mean, mean),
            None => (f64::NEG_INFINITY, f64::INFINITY),
            Some(found) => around(found),
        };
        let winters = clustered::of_winters(crossing, values).map(around);
        let all = Self::new(mean, draws, winters, values.len());
        Some(Self {
            shared: SharedRange::new(crossing, values, Figure::Mean),
            ..all
        })
    }

    /// The difference of two risks of members that are crossed, each with its number and whether it happened in the base and in the other; `None` without any.
    ///
    /// Draws: Tango's interval as of so many independent pairs as would tell as much (a design effect, Kish 1965, Survey Sampling, 8.2), of pairs without a
    /// discordant one as of them all.
    #[must_use]
    pub fn of_crossed_risks(crossing: &Crossing, pairs: &[(u32, bool, bool)]) -> Option<Self> {
        let number = |is: bool| f64::from(u8::from(is));
        let values: Vec<(u32, f64)> = pairs
            .iter()
            .map(|(member, base, other)| (*member, number(*other) - number(*base)))
            .collect();
        let means = Self::of_crossed_means(crossing, &values)?;
        let count =
            |wanted: f64| values.iter().filter(|(_, value)| *value == wanted).count() as f64;
        let (only_other, only_base, n) = (count(1.0), count(-1.0), pairs.len() as f64);
        let of_independent = (only_other + only_base) / n - means.mean * means.mean;
        let (told, z) = match clustered::of_draws(crossing, &values) {
            Some(found) if found.error > 0.0 && of_independent > 0.0 => {
                let effect = found.error * found.error * n / of_independent;
                let z = student::two_sided(CONFIDENCE, found.degrees);
                (1.0 / effect.max(1.0), z)
            }
            _ => (1.0, normal::quantile(0.5 + 0.5 * CONFIDENCE)),
        };
        let draws = score_limits(told * only_other, told * only_base, told * n, z);
        let winters = means
            .winters
            .map(|(low, high)| (low.min(draws.0).max(-1.0), high.max(draws.1).min(1.0)));
        Some(Self {
            shared: means.shared,
            ..Self::new(means.mean, draws, winters, pairs.len())
        })
    }

    /// Whether what is not known about bees leaves open which way it goes.
    #[must_use]
    pub fn direction_is_uncertain(&self) -> bool {
        self.shared.is_some_and(|shared| shared.crosses_zero())
    }

    fn new(mean: f64, draws: (f64, f64), winters: Option<(f64, f64)>, pairs: usize) -> Self {
        let refused = |(low, high): (f64, f64)| low > 0.0 || high < 0.0;
        let verdict = match (refused(draws), winters.is_some_and(refused)) {
            _ if draws == (0.0, 0.0) => Verdict::Same,
            (false, _) => Verdict::CannotTell,
            (true, true) if mean < 0.0 => Verdict::Less,
            (true, true) => Verdict::More,
            (true, false) if mean < 0.0 => Verdict::LessHere,
            (true, false) => Verdict::MoreHere,
        };
        Self {
            mean,
            draws,
            winters,
            pairs,
            verdict,
            shared: None,
        }
    }

    /// The interval that holds most: that of the winters, or where there is none that of the draws.
    #[must_use]
    pub fn widest(&self) -> (f64, f64) {
        self.winters.map_or(self.draws, |(low, high)| {
            (low.min(self.draws.0), high.max(self.draws.1))
        })
    }
}

/// Sums of deviations by winter.
struct Clusters {
    pairs: usize,
    winters: usize,
    /// Sum of squares round each winter's own mean.
    within: f64,
    /// Sum of the squares of each winter's sum of deviations from the common mean.
    between: f64,
}

impl Clusters {
    fn new(values: &[(usize, f64)], mean: f64) -> Self {
        let most = values
            .iter()
            .map(|(winter, _)| winter + 1)
            .max()
            .unwrap_or(0);
        let mut sums = vec![(0_usize, 0.0); most];
        for (winter, value) in values {
            sums[*winter].0 += 1;
            sums[*winter].1 += value - mean;
        }
        let within = values.iter().map(|(winter, value)| {
            let (count, sum) = sums[*winter];
            let deviation = value - mean - sum / count as f64;
            deviation * deviation
        });
        Self {
            pairs: values.len(),
            winters: sums.iter().filter(|(count, _)| *count > 0).count(),
            within: within.sum(),
            between: sums.iter().map(|(_, sum)| sum * sum).sum(),
        }
    }

    /// Standard error of the mean by the draws, with its degrees of freedom; none of one pair.
    fn draws(&self) -> Option<(f64, usize)> {
        let n = self.pairs as f64;
        let (squares, degrees) = if self.pairs > self.winters {
            (self.within, self.pairs - self.winters)
        } else {
            // A pair a winter: what is between winters is all that is known, and holds the draws too.
            (self.between, self.pairs.saturating_sub(1))
        };
        (degrees > 0).then(|| ((squares / degrees as f64 / n).sqrt(), degrees))
    }

    /// Standard error of the mean by winters, with its degrees of freedom; none of one winter.
    fn winters(&self) -> Option<(f64, usize)> {
        let degrees = self.winters.checked_sub(1).filter(|degrees| *degrees > 0)?;
        let correction = self.winters as f64 / degrees as f64;
        Some((
            (correction * self.between).sqrt() / self.pairs as f64,
            degrees,
        ))
    }
}

/// Score interval of a difference of two risks in pairs: `only_first` of `of` pairs had the event in the first alone, `only_second` in the second
/// alone; first less second.
///
/// Tango 1998, Stat Med 17:891: the differences that a score test does not refuse. At zero the test is McNemar's. Chosen because it stays near its
/// nominal rate with few discordant pairs, with none too, where Wald's has no width (Newcombe 1998, Stat Med 17:2635, compares).
///
/// ```
/// use overwinter::ensemble::tango;
/// // McNemar's chi squared of 2 against 12 is 7.14: zero is out.
/// assert!(tango(2, 12, 50).1 < 0.0);
/// let (low, high) = tango(0, 0, 50);
/// assert!(low < 0.0 && high > 0.0);
/// ```
#[must_use]
pub fn tango(only_first: usize, only_second: usize, of: usize) -> (f64, f64) {
    if of == 0 {
        return (-1.0, 1.0);
    }
    let z = normal::quantile(0.5 + 0.5 * CONFIDENCE);
    score_limits(only_first as f64, only_second as f64, of as f64, z)
}

/// As [`tango`], of counts that need not be whole, with the deviate z.
fn score_limits(b: f64, c: f64, n: f64, z: f64) -> (f64, f64) {
    let score = |delta: f64| {
        // The greatest likelihood of the second's share of discordant pairs under this difference.
        let first = -b - c + (2.0 * n - b + c) * delta;
        let last = -c * delta * (1.0 - delta);
        let q = ((first * first - 8.0 * n * last).max(0.0).sqrt() - first) / (4.0 * n);
        let variance = n * (2.0 * q + delta * (1.0 - delta));
        let distance = b - c - n * delta;
        match (variance > 0.0, distance == 0.0) {
            (true, _) => distance / variance.sqrt(),
            (false, true) => 0.0,
            (false, false) => distance.signum() * f64::INFINITY,
        }
    };
    let middle = (b - c) / n;
    let limit = |outside: f64| {
        let (mut kept, mut refused) = (middle, outside);
        if score(outside).abs() <= z {
            return outside;
        }
        for _ in 0..HALVINGS {
            let half = 0.5 * (kept + refused);
            if score(half).abs() <= z {
                kept = half;
            } else {
                refused = half;
            }
        }
        kept
    };
    (limit(-1.0), limit(1.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ensemble::statistics::wilson;

    #[test]
    fn tangos_interval_begins_at_zero_where_mcnemars_test_begins_to_refuse() {
        let z = normal::quantile(0.975);
        for (b, c) in [(10, 2), (9, 3), (30, 16), (30, 14), (5, 0), (4, 0), (3, 0)] {
            let (b_f, c_f) = (f64::from(b), f64::from(c));
            let mcnemar = (b_f - c_f) / (b_f + c_f).sqrt();
            let (low, high) = tango(b as usize, c as usize, 100);
            assert_eq!(low > 0.0, mcnemar > z, "{b} {c}: {low} {high}");
            let mirrored = tango(c as usize, b as usize, 100);
            assert!((low + mirrored.1).abs() < 1e-12 && (high + mirrored.0).abs() < 1e-12);
        }
    }

    /// With no event in the second, the pairs are single trials, and the limit away from zero that of Wilson's score is near.
    #[test]
    fn tangos_interval_lies_in_the_bounds_of_single_trials() {
        let (low, high) = tango(0, 0, 50);
        let (_, wilson_high) = wilson(0, 50);
        assert!((high - wilson_high).abs() < 1e-9 && (low + wilson_high).abs() < 1e-9);
        assert_eq!(tango(0, 0, 0), (-1.0, 1.0));
        assert_eq!(tango(50, 0, 50).1, 1.0);
    }

    #[test]
    fn with_many_pairs_tangos_interval_is_walds() {
        let (b, c, n) = (3_000.0_f64, 2_000.0_f64, 100_000.0_f64);
        let mean = (b - c) / n;
        let error = ((b + c) / n - mean * mean).sqrt() / n.sqrt();
        let (low, high) = tango(3_000, 2_000, 100_000);
        // They differ by terms of 1/n, here a five-hundredth of the half width.
        let half = 1.96 * error;
        assert!((low - (mean - half)).abs() < 0.005 * half, "{low}");
        assert!((high - (mean + half)).abs() < 0.005 * half, "{high}");
    }

    /// Summed over all tables of so many pairs, each with its probability.
    #[test]
    fn tangos_interval_holds_the_truth_as_often_as_said() {
        let ln_factorial: Vec<f64> = (0..=120)
            .scan(0.0, |sum, i: u32| {
                *sum += f64::from(i.max(1)).ln();
                Some(*sum)
            })
            .collect();
        let covered = |n: usize, first: f64, second: f64| {
            let tables = (0..=n).flat_map(|b| (0..=n - b).map(move |c| (b, c)));
            let chance = |b: usize, c: usize| {
                let rest = n - b - c;
                let ways = ln_factorial[n] - ln_factorial[b] - ln_factorial[c] - ln_factorial[rest];
                let (b, c, rest) = (b as f64, c as f64, rest as f64);
                (ways + b * first.ln() + c * second.ln() + rest * (1.0 - first - second).ln()).exp()
            };
            let likely = tables
                .map(|(b, c)| (b, c, chance(b, c)))
                .filter(|(.., p)| *p > 1e-9);
            let held = likely.filter(|(b, c, _)| {
                let (low, high) = tango(*b, *c, n);
                (low..=high).contains(&(first - second))
            });
            held.map(|(.., p)| p).sum::<f64>()
        };
        let cases = [
            (60, 0.05, 0.2),
            (80, 0.01, 0.07),
            (100, 0.02, 0.1),
            (100, 0.05, 0.05),
            (120, 0.15, 0.02),
        ];
        let covered = cases.map(|(n, first, second)| covered(n, first, second));
        println!("{covered:.3?}");
        assert!(
            covered.iter().all(|share| (0.93..0.97).contains(share)),
            "{covered:?}"
        );
        assert!(
            (covered.iter().sum::<f64>() / 5.0 - 0.95).abs() < 0.01,
            "{covered:?}"
        );
    }

    #[test]
    fn equal_winters_give_students_interval_of_their_means() {
        let values = [(0, 1.0), (0, 3.0), (1, 4.0), (1, 6.0), (2, 0.0), (2, 1.0)];
        let difference = Difference::of_means(&values).expect("pairs");
        // Means 2, 5 and 0.5: their standard deviation over the root of three is 1.3229.
        let half = 4.302_652_73 * 1.322_875_66;
        let (low, high) = difference.winters.expect("winters");
        assert!((low - (2.5 - half)).abs() < 1e-6 && (high - (2.5 + half)).abs() < 1e-6);
        // Within winters: squares of 4.5 over three degrees and six pairs.
        let half = 3.182_446_31 * 0.5;
        assert!((difference.draws.1 - (2.5 + half)).abs() < 1e-6);
        assert_eq!(difference.verdict, Verdict::MoreHere);
    }

    #[test]
    fn pairs_that_are_alike_are_the_same_and_one_pair_says_nothing() {
        let same = Difference::of_means(&[(0, 0.0), (1, 0.0)]).expect("pairs");
        assert_eq!((same.verdict, same.draws), (Verdict::Same, (0.0, 0.0)));
        let one = Difference::of_means(&[(3, -2.0)]).expect("a pair");
        assert_eq!((one.verdict, one.winters), (Verdict::CannotTell, None));
        assert!(Difference::of_means(&[]).is_none() && Difference::of_risks(&[]).is_none());
    }

    #[test]
    fn risks_without_a_discordant_pair_still_have_a_width() {
        let pairs: Vec<_> = (0..40).map(|i| (i % 4, i < 5, i < 5)).collect();
        let risks = Difference::of_risks(&pairs).expect("pairs");
        assert_eq!((risks.mean, risks.verdict), (0.0, Verdict::CannotTell));
        let (low, high) = risks.winters.expect("winters");
        assert!(low < -0.05 && high > 0.05, "{low} {high}");
    }
}
