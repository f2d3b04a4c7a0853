//! Why an ensemble gave no result.

use super::spill::RowsError;
use crate::season::SeasonError;
use thiserror::Error;

/// Why an ensemble gave no result.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum EnsembleError {
    /// A member's winter failed.
    #[error("member {member} in winter {winter}: {source}")]
    Member {
        /// Number of the member.
        member: u32,
        /// Label of its winter.
        winter: String,
        /// What failed.
        source: SeasonError,
    },
    /// There is nothing to run.
    #[error("the plan has {members} members and {winters} winters; it needs at least one of each")]
    Nothing {
        /// Members of the plan.
        members: u32,
        /// Winters of the plan.
        winters: usize,
    },
    /// The caller asked to stop.
    #[error("interrupted")]
    Interrupted,
    /// What has become of members cannot be kept.
    #[error(transparent)]
    Rows(RowsError),
}

impl From<RowsError> for EnsembleError {
    fn from(error: RowsError) -> Self {
        match error {
            RowsError::Interrupted => Self::Interrupted,
            error @ RowsError::File { .. } => Self::Rows(error),
        }
    }
}
