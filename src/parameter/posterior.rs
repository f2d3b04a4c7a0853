//! What measurements say of the unknowns that all colonies share: their joint posterior, committed as data.
//!
//! `posterior.toml` is written by `benches/calibrate`: for each unknown a table of quantiles, and for all together the Cholesky factor `L` of the correlation of their
//! normal scores (a Gaussian copula). Independent uniform numbers `u`, one a name, become
//!
//! ```text
//! z = Phi^-1(u),   w = L z,   value = Q(Phi(w))
//! ```
//!
//! so draws keep their names: Sobol points and common random numbers work as with independent parameters. Shared parameters that no measurement tells anything of are not
//! in it and keep their prior.
//!
//! Weak: a Gaussian copula has no joint tails and no bends; the calibration checks its mean and spread against the chain on every row of the evidence.

use super::{Parameters, Scope, Spread, find};
use crate::normal;
use serde::{Deserialize, Serialize};
use std::sync::LazyLock;
use thiserror::Error;

const TEXT: &str = include_str!("posterior.toml");
/// Version of the layout.
pub const VERSION: u32 = 1;
/// Before the name of an unknown that is no parameter: how far the model is off rows of a kind, or a source.
pub const DISCREPANCY: &str = "discrepancy of ";
/// Farthest that a row of the factor may be from unit length: they are written with six digits.
const UNIT_WITHIN: f64 = 1e-4;

/// The joint posterior of the shared unknowns.
#[derive(Clone, Debug, PartialEq)]
pub struct Posterior {
    file: PosteriorFile,
}

/// As it is written.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PosteriorFile {
    /// Version of the layout.
    pub version: u32,
    /// Probabilities of the quantiles, 0 and 1 among them.
    pub probabilities: Vec<f64>,
    /// The unknowns, in the order of the factor's rows.
    pub unknown: Vec<Unknown>,
    /// Rows of the factor, each up to its diagonal.
    pub factor: Vec<Vec<f64>>,
    /// What the chain gave for each row of the evidence.
    #[serde(default)]
    pub row: Vec<ChainRow>,
}

/// One unknown.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Unknown {
    /// Name of the parameter, or what a discrepancy is of.
    pub name: String,
    /// Values at the probabilities, in the parameter's unit.
    pub quantiles: Vec<f64>,
}

/// The model's figure for a row of the evidence, over the chain.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ChainRow {
    /// The row.
    pub id: String,
    /// Mean.
    pub mean: f64,
    /// Standard deviation.
    pub sd: f64,
    /// Where weights of draws cannot leave the row's source out: mean and standard deviation of the prediction by a fit without it.
    #[serde(default)]
    pub without: Option<[f64; 2]>,
}

/// Why a posterior cannot be used.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum PosteriorError {
    /// It is no posterior.
    #[error("posterior: {problem}")]
    Layout {
        /// What the TOML reader says, with the line.
        problem: String,
    },
    /// It is of a version that this program does not know.
    #[error(
        "posterior: has version {found}, and this program reads {VERSION}; fit it anew (benches/README.md)"
    )]
    Version {
        /// The version found.
        found: u32,
    },
    /// Its probabilities do not rise from 0 to 1.
    #[error("posterior: its probabilities do not rise from 0 to 1")]
    Probabilities,
    /// An unknown that the table of parameters does not have, or that is not drawn for all colonies alike.
    #[error("posterior, {name}: is no parameter that all colonies share and the ensemble draws")]
    Name {
        /// The unknown.
        name: String,
    },
    /// An unknown stands there twice.
    #[error("posterior, {name}: stands there twice")]
    Twice {
        /// The unknown.
        name: String,
    },
    /// Quantiles of another number than the probabilities, or falling ones.
    #[error(
        "posterior, {name}: its quantiles are not one a probability, each at least the one before"
    )]
    Quantiles {
        /// The unknown.
        name: String,
    },
    /// A quantile out of the parameter's range.
    #[error("posterior, {name}: {value} is out of its range, {low} to {high}")]
    Range {
        /// The unknown.
        name: String,
        /// The value.
        value: f64,
        /// Lowest of the range.
        low: f64,
        /// Highest of the range.
        high: f64,
    },
    /// The factor is none of a correlation.
    #[error("posterior, row {row} of the factor: is no row of a correlation's Cholesky factor")]
    Factor {
        /// The row, from 1.
        row: usize,
    },
}

impl Posterior {
    /// The posterior that is built in.
    #[must_use]
    pub fn built_in() -> &'static Self {
        static BUILT_IN: LazyLock<Posterior> = LazyLock::new(|| match Posterior::parse(TEXT) {
            Ok(posterior) => posterior,
            // The text is part of the program and a test reads it.
            Err(error) => unreachable!("the built-in posterior: {error}"),
        });
        &BUILT_IN
    }

    /// A posterior from TOML.
    ///
    /// # Errors
    /// [`PosteriorError`], which names the unknown.
    pub fn parse(text: &str) -> Result<Self, PosteriorError> {
        let layout = |error: toml::de::Error| PosteriorError::Layout {
            problem: error.to_string().trim_end().to_owned(),
        };
        #[derive(Deserialize)]
        struct Versioned {
            version: u32,
        }
        let found = toml::from_str::<Versioned>(text).map_err(layout)?.version;
        if found != VERSION {
            return Err(PosteriorError::Version { found });
        }
        Self::new(toml::from_str(text).map_err(layout)?)
    }

    /// A posterior that was checked.
    ///
    /// # Errors
    /// [`PosteriorError`], which names the unknown.
    pub fn new(file: PosteriorFile) -> Result<Self, PosteriorError> {
        let p = &file.probabilities;
        let ends = p.first() == Some(&0.0) && p.last() == Some(&1.0);
        if !ends || !p.is_sorted_by(|a, b| a < b) {
            return Err(PosteriorError::Probabilities);
        }
        for (number, unknown) in file.unknown.iter().enumerate() {
            unknown.check(p.len())?;
            let before = &file.unknown[..number];
            if before.iter().any(|other| other.name == unknown.name) {
                return Err(PosteriorError::Twice {
                    name: unknown.name.clone(),
                });
            }
        }
        let rows = file.factor.len().max(file.unknown.len());
        for number in 0..rows {
            let row = file.factor.get(number).filter(|row| {
                let square: f64 = row.iter().map(|x| x * x).sum();
                number < file.unknown.len()
                    && row.len() == number + 1
                    && row.last().is_some_and(|diagonal| *diagonal > 0.0)
                    && (square - 1.0).abs() < UNIT_WITHIN
            });
            if row.is_none() {
                return Err(PosteriorError::Factor { row: number + 1 });
            }
        }
        Ok(Self { file })
    }

    /// As it is written.
    #[must_use]
    pub fn file(&self) -> &PosteriorFile {
        &self.file
    }

    /// The value of an unknown where each name stands at a uniform number, above 0 and below 1; none for a name that was not fitted.
    #[must_use]
    pub fn value(&self, name: &str, uniforms: &dyn Fn(&str) -> f64) -> Option<f64> {
        let unknowns = &self.file.unknown;
        let number = unknowns.iter().position(|unknown| unknown.name == name)?;
        let factors = self.file.factor[number].iter();
        let score: f64 = factors
            .zip(unknowns)
            .filter(|(factor, _)| **factor != 0.0)
            .map(|(factor, unknown)| factor * normal::quantile(uniforms(&unknown.name)))
            .sum();
        Some(self.quantile(number, normal::probability(score)))
    }

    /// The values of all unknowns with their names, as [`Posterior::value`] has each.
    #[must_use]
    pub fn draw(&self, uniforms: &dyn Fn(&str) -> f64) -> Vec<(&str, f64)> {
        let unknowns = &self.file.unknown;
        let scores: Vec<f64> = unknowns
            .iter()
            .map(|unknown| normal::quantile(uniforms(&unknown.name)))
            .collect();
        let rows = unknowns.iter().zip(&self.file.factor).enumerate();
        rows.map(|(number, (unknown, factors))| {
            let products = factors.iter().zip(&scores);
            let products = products.filter(|(factor, _)| **factor != 0.0);
            let score = products.map(|(factor, score)| factor * score).sum();
            let value = self.quantile(number, normal::probability(score));
            (unknown.name.as_str(), value)
        })
        .collect()
    }

    /// Parameters where each name stands at a uniform number: shared ones by the posterior where they were fitted, all others by their own distribution.
    #[must_use]
    pub fn parameters(&self, uniforms: &dyn Fn(&str) -> f64) -> Parameters {
        let drawn = self.draw(uniforms);
        Parameters::from_rows(|_, row| {
            let fitted = drawn.iter().find(|(name, _)| *name == row.name);
            fitted.map_or_else(|| row.quantile(uniforms(row.name)), |(_, value)| *value)
        })
    }

    /// The quantile of an unknown by itself, at a probability; none for a name that was not fitted.
    #[must_use]
    pub fn marginal(&self, name: &str, probability: f64) -> Option<f64> {
        let unknowns = &self.file.unknown;
        let number = unknowns.iter().position(|unknown| unknown.name == name)?;
        Some(self.quantile(number, probability))
    }

    /// The value of an unknown, by its number, at a probability: straight between those of its table.
    fn quantile(&self, number: usize, probability: f64) -> f64 {
        let (p, q) = (
            &self.file.probabilities,
            &self.file.unknown[number].quantiles,
        );
        let after = p
            .partition_point(|at| *at <= probability)
            .clamp(1, p.len() - 1);
        let share = (probability - p[after - 1]) / (p[after] - p[after - 1]);
        q[after - 1] + share.clamp(0.0, 1.0) * (q[after] - q[after - 1])
    }
}

impl Unknown {
    fn check(&self, count: usize) -> Result<(), PosteriorError> {
        let name = || self.name.clone();
        let (low, high) = if self.name.starts_with(DISCREPANCY) {
            (0.0, f64::MAX)
        } else {
            let row = find(&self.name)
                .filter(|row| row.scope == Scope::Shared && row.spread != Spread::Fixed);
            let row = row.ok_or_else(|| PosteriorError::Name { name: name() })?;
            (row.low, row.high)
        };
        let q = &self.quantiles;
        if q.len() != count || !q.is_sorted() {
            return Err(PosteriorError::Quantiles { name: name() });
        }
        if let Some(value) = q.iter().find(|value| !(low..=high).contains(*value)) {
            return Err(PosteriorError::Range {
                name: name(),
                value: *value,
                low,
                high,
            });
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn two(correlation: f64) -> PosteriorFile {
        let unknown = |name: &str, quantiles: [f64; 3]| Unknown {
            name: name.to_owned(),
            quantiles: quantiles.to_vec(),
        };
        PosteriorFile {
            version: VERSION,
            probabilities: vec![0.0, 0.5, 1.0],
            unknown: vec![
                unknown("resting_w_kg", [2.0, 2.5, 3.0]),
                unknown("tight_film_w_m2k", [2.0, 3.0, 4.0]),
            ],
            factor: vec![
                vec![1.0],
                vec![correlation, (1.0 - correlation * correlation).sqrt()],
            ],
            row: Vec::new(),
        }
    }

    #[test]
    fn the_built_in_posterior_is_read() {
        assert!(!Posterior::built_in().file().unknown.is_empty());
    }

    #[test]
    fn draws_have_the_marginals_and_the_correlation_of_the_tables() {
        let posterior = Posterior::new(two(-0.8)).expect("a posterior");
        let n = 2000;
        let halton = |number: u32, base: u32| {
            let (mut at, mut part, mut rest) = (0.0, 1.0, number);
            while rest > 0 {
                part /= f64::from(base);
                at += part * f64::from(rest % base);
                rest /= base;
            }
            at
        };
        let score = |value: f64, low: f64, width: f64| normal::quantile((value - low) / width);
        let (mut sum, mut below) = (0.0, 0);
        for number in 1..=n {
            let uniforms = |name: &str| halton(number, if name == "resting_w_kg" { 2 } else { 3 });
            let resting = posterior
                .value("resting_w_kg", &uniforms)
                .expect("an unknown");
            let film = posterior
                .value("tight_film_w_m2k", &uniforms)
                .expect("an unknown");
            sum += score(resting, 2.0, 1.0) * score(film, 2.0, 2.0);
            below += u32::from(film < 2.5);
        }
        assert!((sum / f64::from(n) + 0.8).abs() < 0.03, "{sum}");
        assert!(below.abs_diff(n / 4) < 30, "{below}");
    }

    #[test]
    fn an_unknown_that_was_not_fitted_keeps_its_prior() {
        let posterior = Posterior::new(two(0.0)).expect("a posterior");
        assert_eq!(posterior.value("lid_drip_kg_m2", &|_| 0.5), None);
        let uniforms = |name: &str| if name == "resting_w_kg" { 0.7 } else { 0.2 };
        for (name, value) in posterior.draw(&uniforms) {
            assert_eq!(Some(value), posterior.value(name, &uniforms));
        }
        let p = posterior.parameters(&|_| 0.25);
        let row = find("lid_drip_kg_m2").expect("a parameter");
        assert_eq!(p.lid_drip_kg_m2, row.quantile(0.25));
        assert!((p.resting_w_kg - 2.25).abs() < 1e-9, "{}", p.resting_w_kg);
    }

    #[test]
    fn bad_files_are_refused_by_name() {
        let refusal = |change: &dyn Fn(&mut PosteriorFile)| {
            let mut file = two(0.3);
            change(&mut file);
            Posterior::new(file).expect_err("bad").to_string()
        };
        let of_other_version = Posterior::parse("version = 9").expect_err("a version");
        assert!(of_other_version.to_string().contains("version 9"));
        assert!(refusal(&|f| f.unknown[0].name = "nothing".to_owned()).contains("nothing"));
        // Not drawn for all colonies alike.
        assert!(
            refusal(&|f| f.unknown[0].name = "mortality_per_day".to_owned())
                .contains("mortality_per_day")
        );
        assert!(refusal(&|f| f.unknown[1].quantiles[0] = 3.5).contains("tight_film_w_m2k"));
        assert!(
            refusal(&|f| f.unknown[1].quantiles[2] = 400.0).contains("400 is out of its range")
        );
        assert!(refusal(&|f| f.unknown[1] = f.unknown[0].clone()).contains("twice"));
        assert!(refusal(&|f| f.factor[1][0] = 0.9).contains("row 2"));
        assert!(refusal(&|f| f.probabilities[1] = 1.0).contains("rise"));
    }
}
