//! Who wants to count what the desk does.

use swapcall_crew::{Entry, Refusal, ReportOutcome};

/// Counts what the desk does. Called on the desk's thread: must be quick and must not block.
pub trait Observer: Send + Sync {
    /// One commit became durable: what was in it, and how long append and sync took.
    fn committed(&self, entries: &[Entry], seconds: f64);

    /// Reports were answered.
    fn reported(&self, _outcomes: &[ReportOutcome]) {}

    /// A command was refused.
    fn refused(&self, _refusal: &Refusal) {}

    /// A subscriber was cut off because it read too slowly.
    fn cut_off(&self) {}
}

/// Counts nothing.
#[derive(Clone, Copy, Debug, Default)]
pub struct NoObserver;

impl Observer for NoObserver {
    fn committed(&self, _entries: &[Entry], _seconds: f64) {}
}
