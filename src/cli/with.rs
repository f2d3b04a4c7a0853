//! The option that takes what a fit of one hive told of what all colonies share.

use super::error::CliError;
use crate::ensemble::SharedDraws;
use crate::fit;
use crate::scenario::Prepared;
use clap::Args;
use std::path::PathBuf;
use std::sync::Arc;

/// What is known of bees.
#[derive(Debug, Args)]
pub(super) struct With {
    /// What a hive's weights told of all bees: the fit.json of `overwinter fit --out`. Bees, dates and stores stay the scenario's.
    #[arg(long, value_name = "FIT")]
    with: Option<PathBuf>,
}

impl With {
    /// What the file holds, if one is named.
    pub fn read(&self) -> Result<Option<Arc<SharedDraws>>, CliError> {
        let read = self.with.as_deref().map(fit::read).transpose()?;
        Ok(read.map(Arc::new))
    }

    /// The option as it was given.
    pub fn words(&self) -> Vec<String> {
        let given = self.with.as_ref().map(|path| path.display().to_string());
        given.map_or_else(Vec::new, |path| vec!["--with".to_owned(), path])
    }
}

/// Draws what all colonies share as it is known, and says so.
pub(super) fn use_in(prepared: &mut Prepared, known: Option<&Arc<SharedDraws>>) {
    let Some(known) = known else {
        return;
    };
    prepared.plan.shared_draws = Some(Arc::clone(known));
    prepared.notes.push(format!(
        "what is not known about bees is drawn as {} tells it",
        known.source()
    ));
    for set in &prepared.plan.overrides {
        if known.value(set.row, 0.5).is_some() {
            prepared.notes.push(format!(
                "{} is as the scenario sets it, not as the fit tells it",
                set.parameter().name
            ));
        }
    }
}
