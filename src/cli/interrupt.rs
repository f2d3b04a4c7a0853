//! Stopping on request: an interrupt raises a flag that the work looks at between members.

use super::error::CliError;
use signal_hook::consts::{SIGINT, SIGTERM};
use std::sync::Arc;
use std::sync::atomic::AtomicBool;

/// Ctrl-C, a request to end, and a terminal that closes. Where the system does not tell which signals are ignored, the last is left alone.
#[cfg(target_os = "linux")]
const WATCHED: &[i32] = &[SIGINT, SIGTERM, signal_hook::consts::SIGHUP];
#[cfg(not(target_os = "linux"))]
const WATCHED: &[i32] = &[SIGINT, SIGTERM];

/// A flag that an interrupt raises.
///
/// What is ignored on purpose stays so: Ctrl-C does not stop a script's background job, nor a terminal that closes a run under `nohup`.
///
/// # Errors
/// [`CliError::System`] when the system lets no handler be set.
pub(super) fn flag() -> Result<Arc<AtomicBool>, CliError> {
    let flag = Arc::new(AtomicBool::new(false));
    let ignored = ignored();
    for &signal in WATCHED {
        if ignored & (1 << (signal - 1)) == 0 {
            signal_hook::flag::register(signal, Arc::clone(&flag)).map_err(|error| {
                CliError::System(format!("cannot watch for an interrupt: {error}"))
            })?;
        }
    }
    Ok(flag)
}

/// The signals that whoever started the program has had ignored, a bit each from the first up, as Linux tells them.
fn ignored() -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    status
        .lines()
        .find_map(|line| line.strip_prefix("SigIgn:"))
        .and_then(|mask| u64::from_str_radix(mask.trim(), 16).ok())
        .unwrap_or_default()
}
