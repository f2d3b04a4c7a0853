//! What the stations of a batch say, in words for titles, and whether they can tell it.

use super::district::{Dot, LEAST, Series};
use super::grammar::extent;
use super::words::{capital, mass, percent};
use crate::batch::Against;
use crate::student;
use crate::units::{Dimension, Round, System, show};

/// How a title begins that has found what most expect.
const RISES: &str = "honey needed rises";
/// What stations do that tell nothing.
const UNTOLD: &str = "cannot tell whether honey needed goes with";
/// Confidence of what is said to be so.
const CONFIDENCE: f64 = 0.95;
/// Share that starves which a map asks about: that of the winters in which honey for 95 % of them does not suffice.
pub(super) const RISK: f64 = 0.05;

/// The title over honey needed: by how much it rises with cold and with latitude, as far as the stations tell.
pub(super) fn need(series: &[Series<'_>], units: System) -> String {
    let said: Vec<String> = [Against::January, Against::Latitude]
        .into_iter()
        .filter_map(|against| slope(series, against, units))
        .collect();
    if said.is_empty() {
        let figures = each(series, |series| {
            let needs = series.dots.iter().map(|dot| dot.need_kg.0);
            span(needs, |kg| mass(kg, units))
        });
        return too_few(
            series,
            "how honey needed goes with latitude or cold",
            &figures,
        );
    }
    // What is found of both axes in the same words is said once.
    match said[..] {
        [ref one, ref other] if one.starts_with(RISES) && other.starts_with(RISES) => {
            capital(one.clone() + ", and" + &other[RISES.len()..])
        }
        [ref one, ref other] if one.starts_with(UNTOLD) && other.starts_with(UNTOLD) => {
            format!(
                "These {} stations {UNTOLD} January or with latitude",
                stations(series)
            )
        }
        _ => {
            let said = said.iter().map(|words| {
                if words.starts_with(UNTOLD) {
                    format!("these {} stations {words}", stations(series))
                } else {
                    words.clone()
                }
            });
            capital(said.collect::<Vec<_>>().join("; "))
        }
    }
}

/// The title over risk: whether more starve where it is colder or further north.
pub(super) fn risk(series: &[Series<'_>]) -> String {
    let most = |of: fn(&Dot) -> f64| {
        let all = series.iter().flat_map(|series| &series.dots).map(of);
        all.fold(0.0, f64::max)
    };
    let stations = stations(series);
    if most(|dot| dot.starved.0) == 0.0 {
        let at = if stations == 1 {
            "the one station"
        } else {
            &format!("any of {stations} stations")
        };
        return format!(
            "None starved in the draws at {at}; so few draws leave up to {} possible",
            percent(most(|dot| dot.starved.1.1))
        );
    }
    let figures = each(series, |series| {
        span(series.dots.iter().map(|dot| dot.starved.0), percent)
    });
    if stations < LEAST {
        return too_few(series, "what starving goes with", &figures);
    }
    let ties = [
        (Against::January, -1.0, "where January is colder"),
        (Against::Latitude, 1.0, "further north"),
    ];
    // All scenarios must agree before a title says so.
    let told = ties.iter().filter(|(against, sign, _)| {
        !series.is_empty()
            && series
                .iter()
                .all(|series| rank_tie(&series.dots, *against) == Some(*sign))
    });
    let told: Vec<_> = told.collect();
    match told[..] {
        [] => format!(
            "These {stations} stations cannot tell for every hive whether more starve where it is colder or further north; shares: {figures}"
        ),
        [(against, _, words), ..] => {
            let words = told
                .iter()
                .skip(1)
                .fold((*words).to_owned(), |all, (_, _, more)| {
                    all + " and " + more
                });
            let ends = each(series, |series| thirds(series, *against));
            let thirds = match against {
                Against::January => "coldest and mildest",
                Against::Latitude | Against::Parallel40 => "northern and southern",
            };
            format!("More starve {words}: {ends}, means of the {thirds} third of stations")
        }
    }
}

/// At how many stations more starve than [`RISK`], fewer, or where the interval holds both.
pub(super) fn surely(series: &Series<'_>) -> (usize, usize, usize) {
    let count = |of: &dyn Fn(&Dot) -> bool| series.dots.iter().filter(|dot| of(dot)).count();
    let more = count(&|dot| dot.starved.1.0 > RISK);
    let fewer = count(&|dot| dot.starved.1.1 < RISK);
    (more, fewer, series.dots.len() - more - fewer)
}

/// The title over a map.
pub(super) fn place(series: &[Series<'_>]) -> String {
    let stations = stations(series);
    let counts: Vec<_> = series.iter().map(surely).collect();
    let limit = percent(RISK);
    if counts.iter().all(|(more, fewer, _)| more + fewer == 0) {
        return format!(
            "At none of {stations} stations can the draws tell whether more than {limit} starve"
        );
    }
    let of = |number: fn(&(usize, usize, usize)) -> usize| {
        let numbers = || counts.iter().map(number);
        match (numbers().min().unwrap_or(0), numbers().max().unwrap_or(0)) {
            (least, most) if least == most => most.to_string(),
            (least, most) => format!("{least} to {most}"),
        }
    };
    if let [only] = series {
        let (more, fewer, open) = surely(only);
        return format!(
            "More than {limit} starve at {more} of {stations} stations, fewer at {fewer}; at {open} the draws cannot tell"
        );
    }
    if series.len() == 2 {
        let words = each(series, |series| surely(series).0.to_string());
        return format!(
            "More than {limit} starve at {words} of {stations} stations; at {} the draws cannot tell",
            of(|count| count.2)
        );
    }
    format!(
        "More than {limit} starve at {} of {stations} stations, depending on the hive; at {} the draws cannot tell",
        of(|count| count.0),
        of(|count| count.2)
    )
}

/// By how much one of two scenarios needs more than the other at the same station.
pub(super) fn pair(series: &[Series<'_>], units: System) -> Option<String> {
    let [one, other] = series else { return None };
    let both = one.dots.iter().filter_map(|dot| {
        let same = other
            .dots
            .iter()
            .find(|second| second.station == dot.station)?;
        Some(same.need_kg.0 - dot.need_kg.0)
    });
    let gains: Vec<f64> = both.collect();
    if gains.len() < 2 {
        return None;
    }
    let mass = |kg: f64| mass(kg, units);
    let mean = gains.iter().sum::<f64>() / gains.len() as f64;
    Some(format!(
        "At the same station {} needs {} {} than {} on average; station by station the difference is {}.",
        other.name,
        mass(mean.abs()),
        if mean < 0.0 { "less" } else { "more" },
        one.name,
        span(gains.iter().copied(), mass)
    ))
}

/// Whether a line through n points has a slope: Student's test of a correlation at 95 %.
pub(super) fn is_told(r2: f64, n: usize) -> bool {
    if n < LEAST {
        return false;
    }
    let t = student::two_sided(CONFIDENCE, n - 2);
    // A perfect line divides by nothing.
    r2 * (n - 2) as f64 > t * t * (1.0 - r2)
}

/// What the lines say along one axis; none when there are none.
fn slope(series: &[Series<'_>], against: Against, units: System) -> Option<String> {
    let mut gains = Vec::new();
    let mut any = false;
    for series in series {
        let Some(trend) = series.trends.iter().find(|trend| trend.against == against) else {
            continue;
        };
        any = true;
        let n = series
            .dots
            .iter()
            .filter(|dot| dot.at(against).is_some())
            .count();
        if is_told(trend.r2, n) {
            gains.push((series, trend.slope_kg));
        }
    }
    if !any {
        return None;
    }
    let (each_one, whether) = match (against, units) {
        (Against::January, System::Metric) => ("for each °C colder in January", "colder Januaries"),
        (Against::January, System::Us) => ("for each °F colder in January", "colder Januaries"),
        _ => ("for each degree further north", "latitude"),
    };
    let per = |slope: f64| match (against, units) {
        (Against::January, System::Metric) => -slope,
        (Against::January, System::Us) => -slope / 1.8,
        _ => slope,
    };
    let amount = |kg: f64| {
        show(kg.abs(), Dimension::Mass, units, Round::Significant(2)).replace(' ', "\u{a0}")
    };
    let rises = gains.iter().all(|(_, slope)| per(*slope) > 0.0);
    let falls = gains.iter().all(|(_, slope)| per(*slope) < 0.0);
    Some(if gains.is_empty() {
        format!("{UNTOLD} {whether}")
    } else if gains.len() < series.len() || !(rises || falls) {
        let names: Vec<&str> = gains
            .iter()
            .take(2)
            .map(|(series, _)| series.name.as_str())
            .collect();
        let more = if gains.len() > 2 { " and others" } else { "" };
        format!(
            "honey needed goes with {whether} for {}{more}, but not surely for every hive",
            names.join(" and ")
        )
    } else {
        let way = if rises { RISES } else { "honey needed falls" };
        let amounts = match gains[..] {
            [(_, slope)] => amount(per(slope)),
            [(one, a), (other, b)] => format!(
                "{} ({}) and {} ({})",
                amount(per(a)),
                one.name,
                amount(per(b)),
                other.name
            ),
            _ => span(gains.iter().map(|(_, slope)| per(*slope).abs()), amount),
        };
        format!("{way} by {amounts} {each_one}")
    })
}

/// Sign of Spearman's rank correlation of the share that starves with an axis, if Student's test tells it from none.
fn rank_tie(dots: &[Dot], against: Against) -> Option<f64> {
    let pairs: Vec<(f64, f64)> = dots
        .iter()
        .filter_map(|dot| Some((dot.at(against)?, dot.starved.0)))
        .collect();
    let x = ranks(&pairs.iter().map(|pair| pair.0).collect::<Vec<_>>());
    let y = ranks(&pairs.iter().map(|pair| pair.1).collect::<Vec<_>>());
    // The mean of ranks from 1 to n, ties or not.
    let middle = 0.5 * (pairs.len() as f64 + 1.0);
    let sum = |a: &[f64], b: &[f64]| -> f64 {
        a.iter()
            .zip(b)
            .map(|(a, b)| (a - middle) * (b - middle))
            .sum()
    };
    let (xx, xy, yy) = (sum(&x, &x), sum(&x, &y), sum(&y, &y));
    (xx > 0.0 && yy > 0.0 && is_told(xy * xy / (xx * yy), pairs.len())).then(|| xy.signum())
}

/// Ranks from 1, the mean of their ranks for values that are the same.
fn ranks(values: &[f64]) -> Vec<f64> {
    let rank = |value: &f64| {
        let below = values.iter().filter(|other| *other < value).count();
        let same = values.iter().filter(|other| *other == value).count();
        below as f64 + 0.5 * (same as f64 + 1.0)
    };
    values.iter().map(rank).collect()
}

/// Mean share that starves in the third of stations that is furthest (coldest, north) and in the third at the other end.
fn thirds(series: &Series<'_>, against: Against) -> String {
    let mut pairs: Vec<(f64, f64)> = series
        .dots
        .iter()
        .filter_map(|dot| Some((dot.at(against)?, dot.starved.0)))
        .collect();
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0));
    if against == Against::Latitude {
        pairs.reverse();
    }
    let third = (pairs.len() / 3).max(1).min(pairs.len());
    let mean =
        |own: &[(f64, f64)]| own.iter().map(|pair| pair.1).sum::<f64>() / own.len().max(1) as f64;
    format!(
        "{} against {}",
        percent(mean(&pairs[..third])),
        percent(mean(&pairs[pairs.len() - third..]))
    )
}

fn too_few(series: &[Series<'_>], what: &str, figures: &str) -> String {
    match stations(series) {
        1 => {
            let station = series.iter().find_map(|series| series.dots.first());
            let station = station.map_or("", |dot| dot.station.as_str());
            format!("One station, {station}, tells nothing of others: {figures}")
        }
        few if few < LEAST => format!("{few} stations are too few to tell {what}: {figures}"),
        many => {
            format!("Neither place nor January of these {many} stations can tell {what}: {figures}")
        }
    }
}

/// A figure of every scenario, by name when there are several; of more than three, the first two and how many more.
fn each(series: &[Series<'_>], figure: impl Fn(&Series<'_>) -> String) -> String {
    match series {
        [only] => figure(only),
        _ => {
            let told = if series.len() > 3 { 2 } else { series.len() };
            let mut words: Vec<String> = series[..told]
                .iter()
                .map(|series| format!("{} ({})", figure(series), series.name))
                .collect();
            if series.len() > told {
                words.push(format!("{} more hives below", series.len() - told));
            }
            match words.pop() {
                Some(last) if !words.is_empty() => format!("{} and {last}", words.join(", ")),
                last => last.unwrap_or_default(),
            }
        }
    }
}

fn span(values: impl Iterator<Item = f64>, words: impl Fn(f64) -> String) -> String {
    let (least, most) = extent(values);
    let (least, most) = (words(least), words(most));
    if least == most {
        least
    } else {
        format!("{least} to {most}")
    }
}

fn stations(series: &[Series<'_>]) -> usize {
    series
        .iter()
        .map(|series| series.dots.len())
        .max()
        .unwrap_or(0)
}
