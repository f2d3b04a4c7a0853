//! Statistics of hourly winters that several tests hold against each other.

/// Sample of paired values.
pub fn correlation(a: &[f64], b: &[f64]) -> f64 {
    let (mean_a, mean_b) = (mean(a), mean(b));
    let product: f64 = a
        .iter()
        .zip(b)
        .map(|(a, b)| (a - mean_a) * (b - mean_b))
        .sum();
    product / (a.len() as f64 * sd(a) * sd(b))
}

pub fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

pub fn sd(values: &[f64]) -> f64 {
    let mean = mean(values);
    let squares: f64 = values
        .iter()
        .map(|value| (value - mean) * (value - mean))
        .sum();
    (squares / values.len() as f64).sqrt()
}

pub fn daily_means(hours: &[f64]) -> Vec<f64> {
    hours.chunks_exact(24).map(mean).collect()
}

pub fn daily_ranges(hours: &[f64]) -> Vec<f64> {
    let range = |day: &[f64]| {
        day.iter().copied().fold(f64::NEG_INFINITY, f64::max)
            - day.iter().copied().fold(f64::INFINITY, f64::min)
    };
    hours.chunks_exact(24).map(range).collect()
}

/// Days of each winter less the mean of that day of the season over all winters, smoothed over 31 days:
/// what is left is weather.
pub fn anomalies(winters: &[Vec<f64>]) -> Vec<Vec<f64>> {
    let days = winters.iter().map(Vec::len).min().unwrap_or(0);
    let by_day: Vec<f64> = (0..days)
        .map(|day| mean(&winters.iter().map(|winter| winter[day]).collect::<Vec<_>>()))
        .collect();
    let normal: Vec<f64> = (0..days)
        .map(|day| {
            let reach = 15.min(day).min(days - 1 - day);
            mean(&by_day[day - reach..=day + reach])
        })
        .collect();
    winters
        .iter()
        .map(|winter| {
            winter
                .iter()
                .zip(&normal)
                .map(|(value, normal)| value - normal)
                .collect()
        })
        .collect()
}

/// Autocorrelation over some days, pairs taken within winters only.
pub fn autocorrelation(anomalies: &[Vec<f64>], lag: usize) -> f64 {
    let (mut now, mut then) = (Vec::new(), Vec::new());
    for winter in anomalies {
        now.extend_from_slice(&winter[..winter.len() - lag]);
        then.extend_from_slice(&winter[lag..]);
    }
    correlation(&now, &then)
}

/// Hours of the longest unbroken spell below a temperature.
pub fn longest_spell_h(hours: &[f64], below: f64) -> usize {
    let mut longest = 0;
    let mut run = 0;
    for temperature in hours {
        run = if *temperature < below { run + 1 } else { 0 };
        longest = longest.max(run);
    }
    longest
}
