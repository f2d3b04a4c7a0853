//! Stopping on request: an interrupt raises a flag that the work looks at between members.

use super::error::CliError;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// A flag that an interrupt raises.
///
/// # Errors
/// [`CliError::System`] when the system lets no handler be set.
pub(super) fn flag() -> Result<Arc<AtomicBool>, CliError> {
    let flag = Arc::new(AtomicBool::new(false));
    let raised = Arc::clone(&flag);
    let set = ctrlc::try_set_handler(move || {
        raised.store(true, Ordering::Relaxed);
    });
    match set {
        // Where a signal is ignored on purpose (`nohup`, a script's background job) or watched already, all stay as they are: a terminal that closes
        // does not stop such a run, and one that is killed leaves whole files or none.
        Ok(()) | Err(ctrlc::Error::MultipleHandlers) => Ok(flag),
        Err(error) => Err(CliError::System(format!(
            "cannot watch for an interrupt: {error}"
        ))),
    }
}
