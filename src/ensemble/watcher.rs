//! Who watches a long run, and may stop it.

use std::sync::Arc;
use std::sync::atomic::AtomicBool;

/// Told of every finished member, from any thread.
pub trait Watcher: Sync {
    /// A member has finished.
    fn finished(&self);
    /// So many members are to run in all; said again when they become more.
    fn planned(&self, _members: u32) {}
    /// Whether to stop: members not yet begun are left.
    fn stop(&self) -> bool;
    /// What is raised when to stop, for what is made of the rows once all members have run ([`MemberRows::stop_on`](super::MemberRows::stop_on)); never, if not said otherwise.
    fn flag(&self) -> Arc<AtomicBool> {
        Arc::default()
    }
}

/// No one watches.
impl Watcher for () {
    fn finished(&self) {}
    fn stop(&self) -> bool {
        false
    }
}
