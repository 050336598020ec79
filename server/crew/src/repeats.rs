//! Recognising a repeated report, so that a retry is counted once.

use std::collections::VecDeque;

use serde::{Deserialize, Serialize};
use uuid::Uuid;

/// How many report ids of a unit are remembered to recognise a repeat: twice the largest batch, because a sender that
/// did not hear the answer repeats its last batch and nothing older.
pub const REMEMBERED_IDS: usize = 2048;

/// The newest report ids of one unit with their sequence numbers. Kept beside the units, not in them, so that a unit
/// stays small enough to be copied whenever it changes.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) struct RecentIds(VecDeque<(Uuid, u64)>);

impl RecentIds {
    /// The sequence number under which the report `id` was stored, if it is remembered.
    pub(crate) fn stored_as(&self, id: Uuid) -> Option<u64> {
        self.0
            .iter()
            .rev()
            .find(|(known, _)| *known == id)
            .map(|(_, seq)| *seq)
    }

    /// Remembers an id, and forgets the oldest where there are too many.
    pub(crate) fn remember(&mut self, id: Uuid, seq: u64) {
        if self.0.len() == REMEMBERED_IDS {
            self.0.pop_front();
        }
        self.0.push_back((id, seq));
    }
}
