//! A bar on a terminal's standard error while members run.

use crate::ensemble::Watcher;
use indicatif::{ProgressBar, ProgressStyle};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

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
}
