//! Quantiles, proportions and their intervals.

use crate::normal;

/// Confidence of every interval in the outputs.
pub const CONFIDENCE: f64 = 0.95;

/// Quantile of sorted values, type 7 of Hyndman & Fan 1996 (the default of NumPy and R); NaN for no value.
///
/// ```
/// let values: Vec<f64> = (1..=10).map(f64::from).collect();
/// assert!((overwinter::ensemble::statistics::quantile(&values, 0.05) - 1.45).abs() < 1e-12);
/// ```
#[must_use]
pub fn quantile(sorted: &[f64], probability: f64) -> f64 {
    let Some(last) = sorted.len().checked_sub(1) else {
        return f64::NAN;
    };
    let place = probability.clamp(0.0, 1.0) * last as f64;
    let below = place.floor() as usize;
    let above = (below + 1).min(last);
    sorted[below] + (place - below as f64) * (sorted[above] - sorted[below])
}

/// Quantiles as of [`quantile`] of values in any order, which are moved about; `probabilities` must not fall. A few of many values are found sooner than all are
/// sorted.
pub(super) fn quantiles_of<const N: usize>(
    values: &mut [f64],
    probabilities: [f64; N],
) -> [f64; N] {
    let Some(last) = values.len().checked_sub(1) else {
        return [f64::NAN; N];
    };
    // Values before this place are in their places, or below it.
    let mut from = 0;
    probabilities.map(|probability| {
        let place = probability.clamp(0.0, 1.0) * last as f64;
        let below = place.floor() as usize;
        let rest = &mut values[from..];
        let (_, low, above) = rest.select_nth_unstable_by(below - from, f64::total_cmp);
        let low = *low;
        let high = above.iter().copied().min_by(f64::total_cmp).unwrap_or(low);
        from = below;
        low + (place - below as f64) * (high - low)
    })
}

/// Sorts values for [`quantile`].
#[must_use]
pub fn sorted(mut values: Vec<f64>) -> Vec<f64> {
    values.sort_unstable_by(f64::total_cmp);
    values
}

/// Interval of a quantile of sorted values from order statistics: ranks `n p +- z sqrt(n p (1 - p))` (binomial count below the
/// quantile, normal approximation; Conover 1999, 3.2). With too few values it reaches the ends and covers less than it says.
#[must_use]
pub fn quantile_interval(sorted: &[f64], probability: f64) -> (f64, f64) {
    let Some(last) = sorted.len().checked_sub(1) else {
        return (f64::NAN, f64::NAN);
    };
    let n = sorted.len() as f64;
    let z = normal::quantile(0.5 + 0.5 * CONFIDENCE);
    let half = z * (n * probability * (1.0 - probability)).sqrt();
    between_ranks(sorted, n * probability, half, last)
}

/// The values at ranks `half` to both sides of a rank; `last` is the last place.
pub(super) fn between_ranks(sorted: &[f64], rank: f64, half: f64, last: usize) -> (f64, f64) {
    // Ranks count from 1, places from 0.
    let place = |rank: f64| (rank.ceil().max(1.0) as usize - 1).min(last);
    (sorted[place(rank - half)], sorted[place(rank + half)])
}

/// Wilson's score interval of a proportion (Wilson 1927, J Am Stat Assoc 22:209).
#[must_use]
pub fn wilson(count: usize, of: usize) -> (f64, f64) {
    if of == 0 {
        return (0.0, 1.0);
    }
    let p = count as f64 / of as f64;
    score_interval(p, of as f64, normal::quantile(0.5 + 0.5 * CONFIDENCE))
}

/// Wilson's interval of a share `p` from so many independent members, which need not be a whole number, with the deviate z.
pub(super) fn score_interval(p: f64, n: f64, z: f64) -> (f64, f64) {
    let z2 = z * z;
    let middle = (p + z2 / (2.0 * n)) / (1.0 + z2 / n);
    let half = z / (1.0 + z2 / n) * (p * (1.0 - p) / n + z2 / (4.0 * n * n)).sqrt();
    // The limits of none and of all are exact; rounding would only blur them.
    let low = if p == 0.0 { 0.0 } else { middle - half };
    let high = if p == 1.0 { 1.0 } else { middle + half };
    (low, high)
}

/// Mean; NaN for no value.
#[must_use]
pub fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Newcombe 1998, Stat Med 17:857, table I, score method: 81 of 263 gives 0.2553 to 0.3662 [memory].
    #[test]
    fn wilson_gives_newcombes_published_interval() {
        let (low, high) = wilson(81, 263);
        assert!(
            (low - 0.2553).abs() < 5e-5 && (high - 0.3662).abs() < 5e-5,
            "{low} {high}"
        );
    }

    #[test]
    fn no_event_in_many_still_has_an_upper_limit() {
        let (low, high) = wilson(0, 20);
        assert_eq!(low, 0.0);
        assert!((high - 0.1611).abs() < 1e-4);
    }

    #[test]
    fn the_interval_of_a_quantile_holds_it_about_as_often_as_said() {
        let draws = crate::ensemble::Draws::new(5);
        let (repeats, n) = (1000, 200);
        let held = (0..repeats)
            .filter(|repeat| {
                let values = (0..n)
                    .map(|i| draws.uniform(repeat * n + i, "case"))
                    .collect();
                let (low, high) = quantile_interval(&sorted(values), 0.8);
                low <= 0.8 && 0.8 <= high
            })
            .count();
        // Whole ranks cover 95.8 % exactly (binomial); 958 +- 3 standard deviations of 6.
        assert!((939..=977).contains(&held), "{held}");
    }

    #[test]
    fn quantiles_of_unsorted_values_are_those_of_sorted_ones() {
        let draws = crate::ensemble::Draws::new(6);
        let shares = [0.0, 0.05, 0.25, 0.25, 0.5, 0.95, 1.0];
        for count in [1, 2, 3, 20, 21, 1000] {
            // Some are alike.
            let value = |i| (30.0 * draws.uniform(i, "value")).floor() / 7.0;
            let mut values: Vec<f64> = (0..count).map(value).collect();
            let in_order = sorted(values.clone());
            let found = quantiles_of(&mut values, shares);
            assert_eq!(found, shares.map(|share| quantile(&in_order, share)));
        }
        assert!(quantiles_of(&mut [], [0.5])[0].is_nan());
    }

    #[test]
    fn a_quantile_of_one_value_is_that_value() {
        assert_eq!(quantile(&[3.0], 0.95), 3.0);
        assert_eq!(quantile_interval(&[3.0], 0.95), (3.0, 3.0));
        assert!(quantile(&[], 0.5).is_nan());
    }
}
