//! What subscribers receive: the new state of one unit or one call.

use std::sync::{Arc, OnceLock};

use swapcall_crew::{Call, Callsign, UnitStatus};

/// The new state of something.
#[derive(Clone, Debug, PartialEq)]
pub enum What {
    /// A unit.
    Unit(Arc<UnitStatus>),
    /// A call.
    Call(Arc<Call>),
}

/// One update, encoded once for all subscribers.
#[derive(Debug)]
pub struct Update {
    cursor: u64,
    what: What,
    encoded: OnceLock<Arc<str>>,
}

impl Update {
    /// An update after which a subscriber holds everything up to `cursor`.
    pub fn new(cursor: u64, what: What) -> Self {
        Self {
            cursor,
            what,
            encoded: OnceLock::new(),
        }
    }

    /// A subscriber that has seen this update, and those before it, holds everything up to here.
    pub fn cursor(&self) -> u64 {
        self.cursor
    }

    /// The new state.
    pub fn what(&self) -> &What {
        &self.what
    }

    /// The text to send: made by the first who asks, shared by all others.
    pub fn encoded(&self, encode: impl FnOnce(&Self) -> String) -> Arc<str> {
        Arc::clone(self.encoded.get_or_init(|| encode(self).into()))
    }

    /// The unit this is the state of; `None` for a call.
    pub(crate) fn unit(&self) -> Option<&Callsign> {
        match &self.what {
            What::Unit(status) => Some(&status.unit),
            What::Call(_) => None,
        }
    }

    /// Sequence number of the change.
    pub(crate) fn changed(what: &What) -> u64 {
        match what {
            What::Unit(status) => status.changed,
            What::Call(call) => call.changed,
        }
    }
}

/// Puts changes in order and gives each its cursor: where two changes share a sequence number, only the last of them
/// completes it.
pub(crate) fn in_order(mut changes: Vec<What>) -> Vec<Arc<Update>> {
    changes.sort_by_key(Update::changed);
    let mut updates = Vec::with_capacity(changes.len());
    let mut rest = changes.into_iter().peekable();
    while let Some(what) = rest.next() {
        let changed = Update::changed(&what);
        let shared = rest
            .peek()
            .is_some_and(|next| Update::changed(next) == changed);
        let cursor = if shared {
            changed.saturating_sub(1)
        } else {
            changed
        };
        updates.push(Arc::new(Update::new(cursor, what)));
    }
    updates
}
