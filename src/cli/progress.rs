//! A bar on a terminal's standard error while members run.

use crate::ensemble::Watcher;
use indicatif::{ProgressBar, ProgressStyle};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

/// How often the sign of work moves on (own choice).
const TICK: Duration = Duration::from_millis(120);

/// Shows progress and passes an interrupt on.
pub(super) struct Progress {
    bar: ProgressBar,
    stop: Arc<AtomicBool>,
}

impl Progress {
    /// A bar over `members`; with `quiet`, or when standard error is no terminal, none.
    pub fn new(members: u32, quiet: bool, stop: Arc<AtomicBool>) -> Self {
        let bar = if quiet {
            ProgressBar::hidden()
        } else {
            ProgressBar::new(u64::from(members))
        };
        if let Ok(style) = ProgressStyle::with_template("{bar:30} {pos}/{len} members, {eta} left")
        {
            bar.set_style(style);
        }
        Self { bar, stop }
    }

    /// Shows that all members have run and figures are made of them, which of many takes a while.
    pub fn figures(&self) {
        if let Ok(style) = ProgressStyle::with_template("{spinner} figures of {len} members") {
            self.bar.set_style(style);
        }
        self.bar.enable_steady_tick(TICK);
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        self.bar.finish_and_clear();
    }
}

impl Watcher for Progress {
    fn finished(&self) {
        self.bar.inc(1);
    }

    fn planned(&self, members: u32) {
        self.bar.set_length(u64::from(members));
    }

    fn stop(&self) -> bool {
        self.stop.load(Ordering::Relaxed)
    }

    fn flag(&self) -> Arc<AtomicBool> {
        Arc::clone(&self.stop)
    }
}
