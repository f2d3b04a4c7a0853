//! What a fit tells other colonies, in a file: weighted draws of what all colonies share.

use super::run::{Fit, SharedFitted};
use crate::ensemble::{SharedDraws, SharedDrawsError};
use crate::parameter;
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use std::path::Path;
use thiserror::Error;

/// Form of the file; a change that older programs would misread raises it.
pub const FORMAT: u32 = 1;
/// Weight of the draws that are left out, those of least weight, in sum (own choice).
const LEFT_OUT: f64 = 1e-3;
/// Most bytes that are read.
const MOST_BYTES: u64 = 64 << 20;

/// The part of a fit's file that other colonies may use.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct SharedPart {
    /// Names of the parameters.
    pub names: Vec<String>,
    /// Draws from what is known of them after the weights, whatever the colony that was weighed.
    pub draws: Vec<SharedDraw>,
}

/// One draw.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct SharedDraw {
    /// Its weight; they sum to one.
    pub weight: f64,
    /// A value of each name, in its unit.
    pub values: Vec<f64>,
}

/// Why a fit's file cannot be used.
#[derive(Debug, Error)]
pub enum FitFileError {
    /// It cannot be read.
    #[error("{file}: cannot be read: {source}; check the path")]
    Read {
        /// Its path.
        file: String,
        /// Why.
        source: std::io::Error,
    },
    /// It is none, or not of this form.
    #[error("{file}: {problem}; make it with `overwinter fit --out`")]
    Form {
        /// Its path.
        file: String,
        /// What is wrong.
        problem: String,
    },
    /// Its draws cannot be.
    #[error("{file}: shared: {problem}")]
    Draws {
        /// Its path.
        file: String,
        /// What is wrong, with the row.
        problem: SharedDrawsError,
    },
}

/// What is read of a file; all else is for people.
#[derive(Deserialize)]
struct FitFile {
    parameters: String,
    /// Whether too few draws count to trust them.
    thin: bool,
    shared: SharedPart,
}

#[derive(Deserialize)]
struct Form {
    format: Option<u32>,
}

impl SharedPart {
    /// Of a fit: its draws without those that weigh next to nothing.
    #[must_use]
    pub fn new(fit: &Fit) -> Self {
        let mut heaviest: Vec<usize> = (0..fit.weights.len()).collect();
        heaviest.sort_by(|a, b| fit.weights[*b].total_cmp(&fit.weights[*a]));
        let mut sum = 0.0;
        let kept = heaviest.iter().take_while(|draw| {
            let before = sum;
            sum += fit.weights[**draw];
            before < 1.0 - LEFT_OUT && fit.weights[**draw] > 0.0
        });
        let mut kept: Vec<usize> = kept.copied().collect();
        kept.sort_unstable();
        let all: f64 = kept.iter().map(|draw| fit.weights[*draw]).sum();
        // Rounding may leave a value a bit beyond the end of its range.
        let value = |own: &SharedFitted, draw: usize| {
            let row = parameter::find(own.fitted.name);
            let value = own.values[draw];
            row.map_or(value, |row| value.clamp(row.low, row.high))
        };
        let draw = |draw: &usize| SharedDraw {
            weight: fit.weights[*draw] / all,
            values: fit.shared.iter().map(|own| value(own, *draw)).collect(),
        };
        Self {
            names: fit
                .shared
                .iter()
                .map(|own| own.fitted.name.to_owned())
                .collect(),
            draws: kept.iter().map(draw).collect(),
        }
    }

    /// As what an ensemble draws from.
    ///
    /// # Errors
    /// [`SharedDrawsError`].
    pub fn draws(self, source: &str) -> Result<SharedDraws, SharedDrawsError> {
        let draws = self
            .draws
            .into_iter()
            .map(|draw| (draw.weight, draw.values));
        SharedDraws::new(source, &self.names, draws)
    }
}

/// Reads what a fit tells other colonies from its `fit.json`.
///
/// # Errors
/// [`FitFileError`] where it is no such file, of another form or another table of parameters, or has a value that cannot be.
pub fn read(path: &Path) -> Result<SharedDraws, FitFileError> {
    let file = path.display().to_string();
    let unread = |source| FitFileError::Read {
        file: file.clone(),
        source,
    };
    let form = |problem: String| FitFileError::Form {
        file: file.clone(),
        problem,
    };
    if std::fs::metadata(path).map_err(unread)?.len() > MOST_BYTES {
        return Err(form(format!("is larger than {} MB", MOST_BYTES >> 20)));
    }
    let bytes = std::fs::read(path).map_err(unread)?;
    let is_none = |error: serde_json::Error| form(format!("is no file of a fit: {error}"));
    let Form { format } = serde_json::from_slice(&bytes).map_err(is_none)?;
    match format {
        Some(FORMAT) => {}
        Some(other) => {
            return Err(form(format!(
                "has format {other}, and this program reads {FORMAT}"
            )));
        }
        None => return Err(form("has no format, as those of older programs".to_owned())),
    }
    let FitFile {
        parameters,
        thin,
        shared,
    } = serde_json::from_slice(&bytes).map_err(is_none)?;
    let digits: String = Sha256::digest(&bytes)
        .iter()
        .take(4)
        .map(|byte| format!("{byte:02x}"))
        .collect();
    let few = if thin { ", few draws count" } else { "" };
    let draws = shared.draws(&format!("{file} ({digits}{few})"));
    let draws = draws.map_err(|problem| FitFileError::Draws {
        file: file.clone(),
        problem,
    })?;
    if parameters != parameter::fingerprint() {
        return Err(form(format!(
            "was made with another table of parameters ({parameters}; this program has {})",
            parameter::fingerprint()
        )));
    }
    Ok(draws)
}
