//! The unknowns of the fit and their prior: the table of parameters' own distributions, and half-normal ones of the discrepancies.
//!
//! Each unknown is sampled as its normal score `z` under the prior, `value = Q(Phi(z))`: the prior is then the standard normal distribution whatever the ranges.

use overwinter::evidence::Evidence;
use overwinter::evidence::likelihood::{Discrepancy, SOURCE_EFFECT};
use overwinter::normal;
use overwinter::parameter::posterior::DISCREPANCY;
use overwinter::parameter::{Parameter, Parameters, Scope, Spread, TABLE};

/// Scores beyond which a probability would round to 0 or 1.
const FARTHEST: f64 = 8.0;

/// What is fitted.
#[derive(Clone, Debug)]
pub struct Unknowns {
    /// Numbers of the parameters in the table.
    pub rows: Vec<usize>,
    /// Prior scales of the discrepancies, by kind, and of the effect of a source.
    scales: Vec<f64>,
    names: Vec<String>,
}

/// Parameters that all colonies share and the ensemble draws.
pub fn shared() -> Vec<usize> {
    let rows = TABLE.iter().enumerate();
    rows.filter(|(_, row)| row.scope == Scope::Shared && row.spread != Spread::Fixed)
        .map(|(number, _)| number)
        .collect()
}

impl Unknowns {
    pub fn new(evidence: &Evidence, rows: Vec<usize>) -> Self {
        let kinds = evidence.kinds.iter();
        let mut scales: Vec<f64> = kinds.clone().map(|kind| kind.discrepancy).collect();
        scales.push(SOURCE_EFFECT);
        let names = rows.iter().map(|row| TABLE[*row].name.to_owned());
        let of = kinds.map(|kind| format!("{DISCREPANCY}{}", kind.name));
        let source = std::iter::once(format!("{DISCREPANCY}a source"));
        Self {
            names: names.chain(of).chain(source).collect(),
            rows,
            scales,
        }
    }

    pub fn count(&self) -> usize {
        self.names.len()
    }

    pub fn names(&self) -> &[String] {
        &self.names
    }

    /// The row of a parameter; none of a discrepancy.
    pub fn parameter(&self, number: usize) -> Option<&'static Parameter> {
        self.rows.get(number).map(|row| &TABLE[*row])
    }

    /// The value of an unknown at its score.
    pub fn value(&self, number: usize, score: f64) -> f64 {
        let probability = normal::probability(score.clamp(-FARTHEST, FARTHEST));
        match self.parameter(number) {
            Some(row) => row.quantile(probability),
            None => {
                self.scales[number - self.rows.len()] * normal::quantile(0.5 + 0.5 * probability)
            }
        }
    }

    /// Parameters at these scores; those that are not fitted at their middle.
    pub fn parameters(&self, scores: &[f64]) -> Parameters {
        Parameters::from_rows(|number, row| {
            let own = self.rows.iter().position(|fitted| *fitted == number);
            own.map_or(row.default, |own| self.value(own, scores[own]))
        })
    }

    pub fn discrepancy(&self, scores: &[f64]) -> Discrepancy {
        let first = self.rows.len();
        let mut by_kind: Vec<f64> = (first..self.count())
            .map(|number| self.value(number, scores[number]))
            .collect();
        let source = by_kind.pop().unwrap_or_default();
        Discrepancy { by_kind, source }
    }

    /// Logarithm of the prior, without its constant.
    pub fn log_prior(scores: &[f64]) -> f64 {
        -0.5 * scores.iter().map(|z| z * z).sum::<f64>()
    }
}

/// Where a value stands in a parameter's range, -1 to 1; in the logarithm where the parameter is drawn in it.
pub fn place(row: &Parameter, value: f64) -> f64 {
    let of = |x: f64| {
        if row.spread == Spread::LogTriangular {
            libm::log(x)
        } else {
            x
        }
    };
    2.0 * (of(value) - of(row.low)) / (of(row.high) - of(row.low)) - 1.0
}
