//! Last autumn's forecast against what the scale showed: weight lost in each span, as the scenario foresaw it without the weights.

use super::spans::{Spans, days, noise_kg};
use crate::normal;
use jiff::civil::Date;
use serde::Serialize;
use std::f64::consts::PI;

/// Fewest days of a span that is scored (own choice: of less, the scale's own noise is most).
const FEWEST_DAYS: i32 = 7;
/// Least standard deviation of two readings' difference, kg (own estimate: a good hive scale).
const LEAST_NOISE_KG: f64 = 0.02;
/// Share of spans within the range of 90 % from which a forecast is said to have held (own choice; spans of a winter hang together).
const HELD: f64 = 0.8;
/// Halvings that place a quantile.
const HALVINGS: usize = 60;

/// A span of weights, and what was foreseen of it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Scored {
    /// First and last day.
    pub days: (Date, Date),
    /// Weight that it was foreseen to lose, kg: mean.
    pub foreseen_kg: f64,
    /// 5 and 95 % of it.
    pub range_kg: (f64, f64),
    /// Weight lost, kg.
    pub lost_kg: f64,
    /// Probability that the forecast gave to losing less.
    pub below: f64,
    /// The same as a standard normal deviate: how many standard deviations more was lost than foreseen.
    pub z: f64,
    /// Continuous ranked probability score, kg (Gneiting & Raftery 2007, J Am Stat Assoc 102:359, from memory): a distance between forecast and observation.
    pub crps_kg: f64,
}

impl Scored {
    /// Whether the loss lies within the range.
    #[must_use]
    pub fn is_inside(&self) -> bool {
        (self.range_kg.0..=self.range_kg.1).contains(&self.lost_kg)
    }
}

/// The forecast of a winter.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Forecast {
    /// The day that it was made for: first of the winter.
    pub from: Date,
    /// Spans with nothing but the colony's change, by month.
    pub spans: Vec<Scored>,
    /// Spans whose loss lies within the range.
    pub inside: usize,
    /// Mean score, kg.
    pub crps_kg: f64,
    /// Whether it held; none without a span.
    pub held: Option<bool>,
}

impl Forecast {
    /// Of what hives of the scenario's draws weigh at each midnight from the start, kg.
    pub(super) fn new(spans: &Spans, from: Date, hives_kg: &[Vec<f64>]) -> Self {
        let readings: Vec<_> = spans.spans.iter().flatten().copied().collect();
        let noise_kg = noise_kg(&readings).max(LEAST_NOISE_KG);
        let noon = |hive_kg: &Vec<f64>, date: Date| {
            let day = usize::try_from(days(from, date)).ok()?;
            Some(0.5 * (hive_kg.get(day)? + hive_kg.get(day + 1)?))
        };
        let score = |part: &[super::Reading]| {
            let (first, last) = (part.first()?, part.last()?);
            if days(first.date, last.date) < FEWEST_DAYS {
                return None;
            }
            let lost = |hive| Some(noon(hive, first.date)? - noon(hive, last.date)?);
            let foreseen: Option<Vec<f64>> = hives_kg.iter().map(lost).collect();
            Some(scored(
                (first.date, last.date),
                &foreseen?,
                first.kg - last.kg,
                noise_kg,
            ))
        };
        let by_month = spans.spans.iter().flat_map(|span| {
            span.chunk_by(|a, b| (a.date.year(), a.date.month()) == (b.date.year(), b.date.month()))
        });
        let spans: Vec<Scored> = by_month.filter_map(score).collect();
        let inside = spans.iter().filter(|span| span.is_inside()).count();
        let of = spans.len() as f64;
        Self {
            from,
            inside,
            crps_kg: if spans.is_empty() {
                0.0
            } else {
                spans.iter().map(|span| span.crps_kg).sum::<f64>() / of
            },
            held: (!spans.is_empty()).then_some(inside as f64 >= HELD * of),
            spans,
        }
    }
}

/// A loss against those foreseen, each with the noise of two readings.
fn scored(days: (Date, Date), foreseen: &[f64], lost_kg: f64, noise_kg: f64) -> Scored {
    let of = foreseen.len() as f64;
    let below = |kg: f64| {
        let each = foreseen
            .iter()
            .map(|own| normal::probability((kg - own) / noise_kg));
        each.sum::<f64>() / of
    };
    let (least, most) = foreseen
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), own| {
            (low.min(*own), high.max(*own))
        });
    let quantile = |probability: f64| {
        let (mut low, mut high) = (least - 5.0 * noise_kg, most + 5.0 * noise_kg);
        for _ in 0..HALVINGS {
            let middle = 0.5 * (low + high);
            if below(middle) < probability {
                low = middle;
            } else {
                high = middle;
            }
        }
        0.5 * (low + high)
    };
    // Mean distance from none of a normal distribution.
    let distance = |off: f64, sd: f64| {
        let far = off / sd;
        let density = libm::exp(-0.5 * far * far) / (2.0 * PI).sqrt();
        2.0 * sd * density + off * (2.0 * normal::probability(far) - 1.0)
    };
    let from_seen = foreseen
        .iter()
        .map(|own| distance(lost_kg - own, noise_kg))
        .sum::<f64>()
        / of;
    let apart = foreseen
        .iter()
        .flat_map(|a| foreseen.iter().map(move |b| (a, b)));
    let apart = apart
        .map(|(a, b)| distance(a - b, std::f64::consts::SQRT_2 * noise_kg))
        .sum::<f64>()
        / (of * of);
    let share = below(lost_kg);
    Scored {
        days,
        foreseen_kg: foreseen.iter().sum::<f64>() / of,
        range_kg: (quantile(0.05), quantile(0.95)),
        lost_kg,
        below: share,
        // No forecast of so many draws says more than one in as many.
        z: normal::quantile(share.clamp(0.5 / of, 1.0 - 0.5 / of)),
        crps_kg: from_seen - 0.5 * apart,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ensemble::Draws;
    use crate::fit::Reading;
    use jiff::civil::date;

    const FROM: Date = date(2024, 10, 1);

    /// Hives that lose so much a day, spread by a fifth.
    fn hives(loss_kg_day: f64) -> Vec<Vec<f64>> {
        let draws = Draws::new(4);
        let loss = |hive| loss_kg_day * (1.0 + 0.2 * normal::quantile(draws.uniform(hive, "loss")));
        (0..200)
            .map(|hive| (0..130).map(|day| -loss(hive) * f64::from(day)).collect())
            .collect()
    }

    /// A hive weighed daily from 1 November to 20 January, with a gap of an inspection.
    fn spans(loss_kg_day: f64) -> Spans {
        let reading = |day: i64| Reading {
            date: date(2024, 11, 1).saturating_add(jiff::Span::new().days(day)),
            kg: 40.0 - loss_kg_day * day as f64,
        };
        Spans {
            spans: vec![
                (0..40).map(reading).collect(),
                (42..81).map(reading).collect(),
            ],
            cuts: Vec::new(),
        }
    }

    #[test]
    fn a_loss_as_foreseen_is_inside_and_a_double_one_far_above() {
        let forecast = Forecast::new(&spans(0.05), FROM, &hives(0.05));
        // November, early December, the rest of it, January.
        assert_eq!(
            (forecast.spans.len(), forecast.inside, forecast.held),
            (4, 4, Some(true))
        );
        let first = forecast.spans[0];
        assert!((first.foreseen_kg - 29.0 * 0.05).abs() < 0.05, "{first:?}");
        assert!(
            first.z.abs() < 0.3 && (0.4..0.6).contains(&first.below),
            "{first:?}"
        );
        let wrong = Forecast::new(&spans(0.1), FROM, &hives(0.05));
        assert_eq!((wrong.inside, wrong.held), (0, Some(false)));
        assert!(wrong.spans.iter().all(|span| span.z > 2.0), "{wrong:?}");
        assert!(wrong.crps_kg > 4.0 * forecast.crps_kg);
    }

    #[test]
    fn without_a_week_in_a_row_nothing_is_scored() {
        let mut few = spans(0.05);
        few.spans.truncate(1);
        few.spans[0].truncate(6);
        let forecast = Forecast::new(&few, FROM, &hives(0.05));
        assert_eq!((forecast.spans.len(), forecast.held), (0, None));
    }

    /// With all draws alike the score is that of one normal distribution: 0.2337 standard deviations at its mean (Gneiting & Raftery 2007).
    #[test]
    fn the_score_of_a_normal_forecast_is_the_published_one() {
        let scored = scored((FROM, FROM), &[1.0; 50], 1.0, 0.5);
        assert!(
            (scored.crps_kg - 0.5 * 0.233_695).abs() < 1e-5,
            "{scored:?}"
        );
        assert!((scored.range_kg.1 - 1.0 - 0.5 * 1.644_854).abs() < 1e-5);
        assert!(scored.z.abs() < 1e-9 && scored.is_inside());
    }
}
