//! What made a result, so that it can be made again.

use crate::ensemble::Sampling;
use crate::scenario::{Prepared, Scenario};
use crate::weather::record::FileRead;
use serde::Serialize;

/// The program and its version.
pub const PROGRAM: &str = concat!("overwinter ", env!("CARGO_PKG_VERSION"));

/// Version, seed, scenario and weather of a result.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Provenance {
    /// The program and its version.
    pub program: String,
    /// Name of the scenario.
    pub scenario: String,
    /// Fingerprint of its meaning.
    pub fingerprint: String,
    /// Seed of the draws.
    pub seed: u64,
    /// Members.
    pub members: u32,
    /// How they are drawn.
    pub draws: Sampling,
    /// The fit that what all colonies share is drawn from, with its hash; none without one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub with: Option<String>,
    /// Weather files with their layout and SHA-256.
    pub weather: Vec<FileRead>,
}

impl Provenance {
    /// Of a scenario as it was prepared.
    #[must_use]
    pub fn new(scenario: &Scenario, prepared: &Prepared) -> Self {
        Self {
            program: PROGRAM.to_owned(),
            scenario: scenario.name.clone(),
            fingerprint: scenario.fingerprint.clone(),
            seed: prepared.plan.seed,
            members: prepared.plan.members,
            draws: prepared.plan.sampling,
            with: prepared
                .plan
                .shared_draws
                .as_ref()
                .map(|known| known.source().to_owned()),
            weather: prepared.record.files.clone(),
        }
    }

    /// One line for a terminal or a file's head.
    #[must_use]
    pub fn line(&self) -> String {
        let files = self.weather.iter().map(|read| {
            let digits: String = read.sha256.chars().take(8).collect();
            format!("{} ({digits})", read.file)
        });
        format!(
            "{}, seed {}, {} members{}, scenario {}, weather {}{}",
            self.program,
            self.seed,
            self.members,
            self.draws.words(),
            self.fingerprint,
            files.collect::<Vec<_>>().join(", "),
            self.with
                .as_ref()
                .map_or_else(String::new, |with| format!(", fit {with}"))
        )
    }
}
