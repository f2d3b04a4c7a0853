//! What a command can fail of, and the exit code that tells it.

use crate::batch::BatchError;
use crate::ensemble::{EnsembleError, RowsError};
use crate::fit::FitError;
use crate::report::OutputError;
use crate::scenario::{ExchangeError, PrepareError, ScenarioError, SettingError, TogetherError};
use crate::season::SeasonError;
#[cfg(feature = "serve")]
use crate::serve::BindError;
use crate::units::QuantityError;
use crate::weather::WeatherError;
use thiserror::Error;

/// A command's error.
#[derive(Debug, Error)]
pub enum CliError {
    /// The arguments are no command; the text is clap's.
    #[error(transparent)]
    Usage(clap::Error),
    /// An option has a value that cannot be.
    #[error("{option}: {problem}")]
    Option {
        /// The option.
        option: &'static str,
        /// What is wrong, what is allowed.
        problem: String,
    },
    /// The scenario file.
    #[error(transparent)]
    Scenario(#[from] ScenarioError),
    /// A setting of the scenario to vary.
    #[error("--set: {0}")]
    Setting(#[from] SettingError),
    /// The weather files.
    #[error(transparent)]
    Weather(#[from] WeatherError),
    /// The winters of the scenario cannot be made.
    #[error(transparent)]
    Prepare(PrepareError),
    /// Scenarios that cannot be compared.
    #[error(transparent)]
    Together(TogetherError),
    /// A hive of the library that cannot take the scenario's place.
    #[error("--hive: {0}")]
    Exchange(#[from] ExchangeError),
    /// The place of the sun.
    #[error(transparent)]
    Sun(#[from] crate::weather::sun::SunError),
    /// A file of climate normals.
    #[error("{file}: {problem}")]
    Normals {
        /// The file.
        file: String,
        /// What is wrong.
        problem: crate::weather::normals::NormalsError,
    },
    /// Winters that cannot be made.
    #[error(transparent)]
    Synthesis(#[from] crate::weather::synthesis::SynthesisError),
    /// The files or folder to write.
    #[error(transparent)]
    Output(#[from] OutputError),
    /// A winter could not be run.
    #[error(transparent)]
    Season(#[from] SeasonError),
    /// The ensemble could not be run.
    #[error(transparent)]
    Ensemble(#[from] EnsembleError),
    /// What became of members could not be read back.
    #[error(transparent)]
    Rows(#[from] RowsError),
    /// A result that is to be shown again.
    #[error(transparent)]
    Saved(#[from] crate::report::SavedError),
    /// A table of weights.
    #[error(transparent)]
    Scale(#[from] crate::fit::ScaleError),
    /// A fit that is to be used.
    #[error("--with: {0}")]
    With(#[from] crate::fit::FitFileError),
    /// Weights that nothing can be fitted to.
    #[error("--scale: {0}")]
    Fit(FitError),
    /// A batch that cannot be run or put together.
    #[error(transparent)]
    Batch(#[from] BatchError),
    /// Cells of a batch that cannot be run; all others are finished, and results are written.
    #[error("{failed} of {of} cells failed:\n{reasons}")]
    FailedCells {
        /// How many.
        failed: usize,
        /// Cells of the batch.
        of: usize,
        /// The first of them with their reasons, a line each.
        reasons: String,
    },
    /// A part that this program was built without.
    #[error("this overwinter was built without {0}; build it with the Cargo feature {0}")]
    BuiltWithout(&'static str),
    /// The page of `serve`.
    #[cfg(feature = "serve")]
    #[error(transparent)]
    Serve(#[from] crate::serve::ServeError),
    /// Standard output.
    #[error("cannot write the results: {0}")]
    Print(std::io::Error),
    /// Evidence that cannot be held against the model.
    #[error(transparent)]
    Evidence(#[from] crate::evidence::EvidenceError),
    /// Something that depends on this machine.
    #[error("{0}")]
    System(String),
}

impl From<PrepareError> for CliError {
    fn from(error: PrepareError) -> Self {
        match error {
            PrepareError::Weather(error) => Self::Weather(error),
            error @ (PrepareError::Resampling { .. } | PrepareError::NoSnowDepth { .. }) => {
                Self::Prepare(error)
            }
            PrepareError::Sun(error) => Self::Sun(error),
        }
    }
}

#[cfg(feature = "serve")]
impl From<BindError> for CliError {
    fn from(error: BindError) -> Self {
        match error {
            BindError::Scenario(error) => Self::Scenario(error),
            BindError::Serve(error) => Self::Serve(error),
        }
    }
}

impl From<TogetherError> for CliError {
    fn from(error: TogetherError) -> Self {
        match error {
            TogetherError::Prepare(error) => error.into(),
            error @ (TogetherError::Winters { .. } | TogetherError::Draws { .. }) => {
                Self::Together(error)
            }
        }
    }
}

impl From<FitError> for CliError {
    fn from(error: FitError) -> Self {
        match error {
            FitError::Ensemble(error) => Self::Ensemble(error),
            error @ (FitError::NoWinter { .. } | FitError::TooFew { .. }) => Self::Fit(error),
        }
    }
}

impl CliError {
    /// An option whose value is no quantity.
    pub(super) fn quantity(option: &'static str) -> impl FnOnce(QuantityError) -> Self {
        move |error| Self::Option {
            option,
            problem: error.to_string(),
        }
    }

    /// The exit code: 2 when usage or input is wrong, 1 when the work failed.
    #[must_use]
    pub fn code(&self) -> u8 {
        match self {
            Self::Usage(_)
            | Self::Option { .. }
            | Self::BuiltWithout(_)
            | Self::Scenario(_)
            | Self::Setting(_)
            | Self::Weather(_)
            | Self::Prepare(_)
            | Self::Together(_)
            | Self::Exchange(_)
            | Self::Sun(_)
            | Self::Normals { .. }
            | Self::Synthesis(_)
            | Self::Saved(_)
            | Self::Scale(_)
            | Self::With(_)
            | Self::Fit(_) => 2,
            Self::Output(error) if error.is_input() => 2,
            #[cfg(feature = "serve")]
            Self::Serve(error) => {
                if error.is_input() {
                    2
                } else {
                    1
                }
            }
            Self::Batch(error) if error.is_input() => 2,
            Self::Batch(_)
            | Self::FailedCells { .. }
            | Self::Output(_)
            | Self::Season(_)
            | Self::Ensemble(_)
            | Self::Rows(_)
            | Self::Print(_)
            | Self::Evidence(_)
            | Self::System(_) => 1,
        }
    }
}
