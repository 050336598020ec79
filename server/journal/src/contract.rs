//! What a journal promises, whatever it is stored on.

use swapcall_crew::{Callsign, Entry, Fleet, HistoryPoint, Millis};
use uuid::Uuid;

use crate::{JournalError, Keep};

/// The writing side: owned by the desk's thread, the one writer.
pub trait Journal: Send {
    /// Identity of the store, made when it was created. A cursor of another epoch means nothing here.
    fn epoch(&self) -> Uuid;

    /// Appends `entries` as one atomic commit, durable when this returns. Their sequence numbers must continue the
    /// journal without a gap, and their times must not go back; an empty slice is a commit of nothing.
    ///
    /// [`JournalError::OutOfOrder`] and [`JournalError::TooLarge`] are found before anything is written and change
    /// nothing. After every other error it is not known what reached the disk, so each later append is refused with
    /// [`JournalError::ReadOnlyAfterFault`]; only a new open finds out.
    fn append(&mut self, entries: &[Entry]) -> Result<(), JournalError>;

    /// Keeps `fleet`, which must be the fold of everything appended so far, to make the next start fast. The writer waits
    /// only for a copy of the fleet; the file is written beside it, and a failure of that is told by the next call, or by
    /// [`Journal::close`], and leaves the journal working. One that failed in the store does not, like an append.
    fn snapshot(&mut self, fleet: &Fleet) -> Result<(), JournalError>;

    /// Looks after the space the journal takes: records older than `keep` says are thinned once a snapshot stands for
    /// them, beside the writer and a stretch at a time. Call it every few seconds; it never waits. `Some` once a stretch is
    /// done. A failure leaves everything as it was.
    fn tidy(&mut self, now: Millis, keep: &Keep) -> Result<Option<Tidied>, JournalError>;

    /// A reader; cheap.
    fn reader(&self) -> Box<dyn JournalReader>;

    /// Makes everything durable and lets go of the store, so that it can be opened again.
    fn close(self: Box<Self>) -> Result<(), JournalError>;

    /// Bytes the store takes on its disk (in memory: a reckoning of the encoded entries).
    fn size_on_disk(&self) -> u64;
}

/// The reading side: usable from any thread while the writer writes. Sees only what is durable.
pub trait JournalReader: Send + Sync {
    /// The past of one unit: what was observed in `[from, to)`, sorted by the time of observation; equal times in the
    /// order of their acceptance. Empty for an unknown unit or an empty window.
    fn history(
        &self,
        unit: &Callsign,
        from: Millis,
        to: Millis,
    ) -> Result<Vec<HistoryPoint>, JournalError>;

    /// The entries after sequence number `after`, oldest first, `at_most` of them. Where old records were thinned, numbers
    /// are left out.
    fn entries(&self, after: u64, at_most: usize) -> Result<Vec<Entry>, JournalError>;

    /// Sequence number of the last durable entry; 0 while there is none.
    fn last_seq(&self) -> u64;

    /// Another reader of the same journal.
    fn clone_reader(&self) -> Box<dyn JournalReader>;
}

/// A journal that was opened, and what it held.
#[derive(Debug)]
pub struct Opened<J> {
    /// The journal, ready to append.
    pub journal: J,
    /// The fold of everything in it.
    pub fleet: Fleet,
    /// How it was found.
    pub recovery: Recovery,
}

impl<J: Journal + 'static> Opened<J> {
    /// The same behind the trait, for a desk that does not care on what it is stored.
    pub fn boxed(self) -> Opened<Box<dyn Journal>> {
        Opened {
            journal: Box::new(self.journal),
            fleet: self.fleet,
            recovery: self.recovery,
        }
    }
}

/// How a journal was found when it was opened; worth a line in the log.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Recovery {
    /// How many records were folded one by one.
    pub records_replayed: u64,
    /// Sequence number of the snapshot the fold started from.
    pub from_snapshot: Option<u64>,
    /// A torn tail that was cut off.
    pub cut: Option<Cut>,
    /// The store did not exist and was made.
    pub created: bool,
    /// Snapshots that could not be used, and why; the fold then started from an older one or from the first record.
    pub snapshots_passed_over: Vec<String>,
}

/// A stretch of old records that was thinned.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Tidied {
    /// Records before.
    pub records_before: u64,
    /// Records left.
    pub records_after: u64,
}

/// A torn tail: unreadable records at the very end, left by a crash in the middle of a write. They were never
/// acknowledged, because an acknowledgement waits for the whole write. What the store itself takes back of a write that
/// was cut short (its usual way) leaves no unreadable record, and is not told here.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cut {
    /// The last good record.
    pub after_seq: u64,
    /// How many records were removed.
    pub records: u64,
    /// What was wrong with the first of them.
    pub why: String,
}
