//! Where the hub is in its life; visible on `/readyz`, as a metric and in the log.

use std::sync::Arc;

/// A phase of the hub's life.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Phase {
    /// Reading the journal.
    Replaying,
    /// Taking commands.
    Serving,
    /// Stopping: no new commands, the queue is being worked off.
    Draining,
    /// The journal is closed.
    Stopped,
    /// The journal cannot be read or written; what was acknowledged is safe, nothing more is taken.
    Failed(Arc<str>),
}

impl Phase {
    /// Every name, for the metric.
    pub const NAMES: [&'static str; 5] = ["replaying", "serving", "draining", "stopped", "failed"];

    /// The name on `/readyz`, in the metric and in the log.
    pub const fn name(&self) -> &'static str {
        match self {
            Self::Replaying => "replaying",
            Self::Serving => "serving",
            Self::Draining => "draining",
            Self::Stopped => "stopped",
            Self::Failed(_) => "failed",
        }
    }
}
