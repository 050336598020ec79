//! Where the hub is in its life; visible on `/readyz`, as a metric and in the log.

use std::sync::Arc;

use swapcall_journal::JournalError;

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
    /// The journal cannot be read or written; what was acknowledged is safe and can be read, nothing more is taken. While
    /// the hub runs, the desk tries again and again and serves once the disk is well.
    Failed(Fault),
}

/// Why the journal cannot be used.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// What is wrong and what to do, for people.
    pub why: Arc<str>,
    /// The disk has no room.
    pub full: bool,
}

impl Fault {
    /// The journal failed earlier, and why is in the log.
    pub(crate) fn unknown() -> Self {
        Self {
            why: "the journal failed before; the log says how".into(),
            full: false,
        }
    }
}

impl From<&JournalError> for Fault {
    fn from(error: &JournalError) -> Self {
        Self {
            why: error.to_string().into(),
            full: matches!(error, JournalError::Full),
        }
    }
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
