//! The evidence held against draws from the posterior: what `overwinter evidence` shows.

use super::error::EvidenceError;
use super::leave_out::{Draw, Miss, misses};
use super::likelihood::{Discrepancy, SOURCE_EFFECT};
use super::predict::Predictor;
use super::row::Evidence;
use crate::ensemble::Draws;
use crate::normal;
use crate::parameter::posterior::DISCREPANCY;
use crate::parameter::{Parameters, Posterior};

/// Name of the effect of a source in a posterior, after [`DISCREPANCY`].
const SOURCE: &str = "a source";

/// Sets of shared unknowns that are drawn without another wish (own choice: some twenty seconds on two cores).
pub const SETS: u32 = 250;
/// Seed of the draws without another wish.
pub const SEED: u64 = 1;

/// Evidence with how far the model is off each row.
#[derive(Clone, Debug, PartialEq)]
pub struct Held<'a> {
    /// The evidence.
    pub evidence: &'a Evidence,
    /// Misses in the order of its rows, each without the row's own source.
    pub misses: Vec<Miss>,
    /// Sets of shared unknowns that were drawn.
    pub sets: u32,
    /// Seed of the draws.
    pub seed: u64,
}

/// Holds evidence against so many sets of shared unknowns, drawn from a posterior: all rows by the model itself.
///
/// # Errors
/// [`EvidenceError`] for a run that cannot be made, and for a row that the model finds no state for in any draw.
pub fn held<'a>(
    evidence: &'a Evidence,
    posterior: &Posterior,
    sets: u32,
    seed: u64,
) -> Result<Held<'a>, EvidenceError> {
    let predictor = Predictor::new(evidence)?;
    let draws = Draws::new(seed);
    let of = |member: u32| move |name: &str| draws.uniform(u64::from(member), name);
    let parameters: Vec<Parameters> = (0..sets)
        .map(|member| shared(posterior, &of(member)))
        .collect();
    let predicted = predictor.all(&parameters);
    let draws: Vec<Draw> = predicted
        .into_iter()
        .zip(0..)
        .map(|(predicted, member)| Draw {
            predicted,
            discrepancy: discrepancy(evidence, posterior, &of(member)),
        })
        .collect();
    let mut misses = misses(evidence, &draws, &vec![0.0; evidence.rows.len()]);
    for miss in &mut misses {
        let row = &evidence.rows[miss.row];
        let of_chain = posterior.file().row.iter().find(|of| of.id == row.id);
        if let Some([mean, predictive_sd]) = of_chain.and_then(|of| of.without) {
            *miss = Miss {
                mean,
                predictive_sd,
                z: (row.observed - mean) / predictive_sd.hypot(row.sd),
                k: None,
                ..miss.clone()
            };
        }
    }
    if let Some(none) = misses.iter().find(|miss| !miss.z.is_finite()) {
        return Err(EvidenceError::NoState {
            row: evidence.rows[none.row].id.clone(),
        });
    }
    Ok(Held {
        evidence,
        misses,
        sets,
        seed,
    })
}

/// Parameters with the unknowns that all colonies share drawn, all others at their middle: rows are means of colonies.
#[must_use]
pub fn shared(posterior: &Posterior, uniforms: &dyn Fn(&str) -> f64) -> Parameters {
    let drawn = posterior.draw(uniforms);
    Parameters::from_rows(|_, row| {
        let fitted = drawn.iter().find(|(name, _)| *name == row.name);
        fitted.map_or(row.default, |(_, value)| *value)
    })
}

/// Discrepancies of a draw; of a kind that the posterior does not have, by the kind's prior.
fn discrepancy(
    evidence: &Evidence,
    posterior: &Posterior,
    uniforms: &dyn Fn(&str) -> f64,
) -> Discrepancy {
    let of = |what: &str, scale: f64| {
        let name = format!("{DISCREPANCY}{what}");
        let fitted = posterior.value(&name, uniforms);
        fitted.unwrap_or_else(|| scale * normal::quantile(0.5 + 0.5 * uniforms(&name)))
    };
    let kinds = evidence.kinds.iter();
    Discrepancy {
        by_kind: kinds.map(|kind| of(&kind.name, kind.discrepancy)).collect(),
        source: of(SOURCE, SOURCE_EFFECT),
    }
}
