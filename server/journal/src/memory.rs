//! The twin without a disk, for tests of everything above the journal.

use std::sync::{Arc, PoisonError, RwLock, RwLockReadGuard, RwLockWriteGuard};

use swapcall_crew::{Callsign, Entry, Fleet, HistoryPoint, Millis, Record};
use uuid::Uuid;

use crate::encoding;
use crate::{Journal, JournalError, JournalReader, Keep, Opened, Recovery, Tidied};

/// What the next append of a [`MemoryJournal`] suffers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MemoryFault {
    /// It fails and nothing was written, as on a full disk.
    FailsUnwritten,
    /// It fails although everything was written, as when the last sync goes wrong.
    FailsWritten,
}

#[derive(Debug, Default)]
struct Kept {
    epoch: Uuid,
    entries: Vec<Entry>,
    snapshot: Option<(u64, Vec<u8>)>,
    encoded_bytes: u64,
    next_append: Option<MemoryFault>,
    fails_snapshots: bool,
    /// Every append and probe fails while this is set.
    broken: bool,
    /// Counts the opens: a writer of an earlier open is one that "crashed" and may write no more.
    opened: u64,
}

/// What stands for the disk. Outlives the journals opened on it; clones are the same storage.
#[derive(Clone, Debug, Default)]
pub struct MemoryStorage(Arc<RwLock<Kept>>);

impl MemoryStorage {
    fn read(&self) -> RwLockReadGuard<'_, Kept> {
        self.0.read().unwrap_or_else(PoisonError::into_inner)
    }

    fn write(&self) -> RwLockWriteGuard<'_, Kept> {
        self.0.write().unwrap_or_else(PoisonError::into_inner)
    }

    /// Opens the storage as after a crash: whoever had it open can write no more.
    pub fn reopen(&self) -> Result<Opened<MemoryJournal>, JournalError> {
        let mut kept = self.write();
        kept.opened += 1;
        let mut recovery = Recovery::default();
        let mut fleet = Fleet::default();
        if let Some((seq, bytes)) = &kept.snapshot {
            fleet = encoding::decode(bytes).map_err(|why| JournalError::Corrupt {
                seq: *seq,
                why: why.to_string(),
            })?;
            recovery.from_snapshot = Some(*seq);
        }
        let known = fleet.seq();
        for entry in kept.entries.iter().filter(|entry| entry.seq > known) {
            fleet.apply(entry);
            recovery.records_replayed += 1;
        }
        recovery.created = kept.opened == 1;
        Ok(Opened {
            journal: MemoryJournal {
                storage: self.clone(),
                opened: kept.opened,
                fault: None,
            },
            fleet,
            recovery,
        })
    }

    /// Lets the next append go wrong.
    pub fn fail_next_append(&self, fault: MemoryFault) {
        self.write().next_append = Some(fault);
    }

    /// Breaks the storage, or mends it: while broken every append fails unwritten, and so does a probe.
    pub fn set_broken(&self, broken: bool) {
        self.write().broken = broken;
    }

    pub(crate) fn check(&self) -> Result<(), JournalError> {
        if self.read().broken {
            return Err(JournalError::Full);
        }
        Ok(())
    }

    /// Forgets what was appended after record `last`.
    pub(crate) fn forget_after(&self, last: u64) {
        self.write().entries.retain(|entry| entry.seq <= last);
    }

    /// Lets every snapshot fail, or work again.
    pub fn fail_snapshots(&self, fail: bool) {
        self.write().fails_snapshots = fail;
    }

    /// Everything appended so far.
    pub fn all_entries(&self) -> Vec<Entry> {
        self.read().entries.clone()
    }
}

/// A journal in memory; what it holds lives as long as its [`MemoryStorage`].
#[derive(Debug)]
pub struct MemoryJournal {
    storage: MemoryStorage,
    opened: u64,
    fault: Option<String>,
}

impl MemoryJournal {
    /// An empty journal on a storage of its own.
    pub fn new(epoch: Uuid) -> Self {
        let storage = MemoryStorage::default();
        {
            let mut kept = storage.write();
            kept.epoch = epoch;
            kept.opened = 1;
        }
        Self {
            storage,
            opened: 1,
            fault: None,
        }
    }

    /// The storage: keep it to crash, reopen or hurt the journal after the desk owns it.
    pub fn storage(&self) -> MemoryStorage {
        self.storage.clone()
    }

    /// Opens the same storage as after a crash; this journal can write no more.
    pub fn reopen(&self) -> Result<Opened<Self>, JournalError> {
        self.storage.reopen()
    }

    /// Lets the next append go wrong.
    pub fn fail_next_append(&self, fault: MemoryFault) {
        self.storage.fail_next_append(fault);
    }

    fn refuse_if_failed(&self) -> Result<(), JournalError> {
        if let Some(why) = &self.fault {
            return Err(JournalError::ReadOnlyAfterFault { why: why.clone() });
        }
        if self.storage.read().opened != self.opened {
            let why = "the storage was opened again".to_owned();
            return Err(JournalError::ReadOnlyAfterFault { why });
        }
        Ok(())
    }
}

impl Journal for MemoryJournal {
    fn epoch(&self) -> Uuid {
        self.storage.read().epoch
    }

    fn append(&mut self, entries: &[Entry]) -> Result<(), JournalError> {
        self.refuse_if_failed()?;
        let mut kept = self.storage.write();
        let last = kept.entries.last().map_or((0, Millis(i64::MIN)), at);
        encoding::check_order(last, entries)?;
        let mut bytes = 0;
        for entry in entries {
            bytes += encoding::record_value(entry)?.len() as u64;
        }
        if kept.broken {
            let error = JournalError::Full;
            self.fault = Some(error.to_string());
            return Err(error);
        }
        let fault = kept.next_append.take();
        if fault != Some(MemoryFault::FailsUnwritten) {
            kept.entries.extend_from_slice(entries);
            kept.encoded_bytes += bytes;
        }
        if fault.is_some() {
            let why = "a test asked for this fault".to_owned();
            self.fault = Some(why.clone());
            return Err(JournalError::Store(why));
        }
        Ok(())
    }

    fn snapshot(&mut self, fleet: &Fleet) -> Result<(), JournalError> {
        self.refuse_if_failed()?;
        let mut kept = self.storage.write();
        let last = kept.entries.last().map_or(0, |entry| entry.seq);
        encoding::check_snapshot(last, fleet)?;
        if kept.fails_snapshots {
            return Err(JournalError::Store(
                "a test asked for this fault".to_owned(),
            ));
        }
        kept.snapshot = Some((fleet.seq(), encoding::encode(fleet)?));
        Ok(())
    }

    /// Nothing: what is in memory is gone with the process.
    fn tidy(&mut self, _now: Millis, _keep: &Keep) -> Result<Option<Tidied>, JournalError> {
        Ok(None)
    }

    fn reader(&self) -> Box<dyn JournalReader> {
        Box::new(MemoryReader(self.storage.clone()))
    }

    fn close(self: Box<Self>) -> Result<(), JournalError> {
        Ok(())
    }

    fn size_on_disk(&self) -> u64 {
        let kept = self.storage.read();
        let snapshot = kept.snapshot.as_ref().map_or(0, |(_, bytes)| bytes.len());
        kept.encoded_bytes + snapshot as u64
    }
}

fn at(entry: &Entry) -> (u64, Millis) {
    (entry.seq, entry.at)
}

/// Reads the shared storage. Looks at every entry for a history: plainly right, and the yardstick for the other.
#[derive(Clone, Debug)]
struct MemoryReader(MemoryStorage);

impl JournalReader for MemoryReader {
    fn history(
        &self,
        unit: &Callsign,
        from: Millis,
        to: Millis,
    ) -> Result<Vec<HistoryPoint>, JournalError> {
        let mut points: Vec<HistoryPoint> = self
            .0
            .read()
            .entries
            .iter()
            .filter_map(|entry| match &entry.record {
                Record::Reading(reading) if reading.unit == *unit => Some(reading),
                _ => None,
            })
            .filter(|reading| (from..to).contains(&reading.observed))
            .map(|reading| reading.history_point())
            .collect();
        points.sort_by_key(|point| point.observed);
        Ok(points)
    }

    fn entries(&self, after: u64, at_most: usize) -> Result<Vec<Entry>, JournalError> {
        let kept = self.0.read();
        // Sequence numbers count up from 1 without gaps, so entry n lies at index n - 1.
        let skipped = usize::try_from(after).unwrap_or(usize::MAX);
        let entries = kept.entries.iter().skip(skipped).take(at_most);
        Ok(entries.cloned().collect())
    }

    fn last_seq(&self) -> u64 {
        self.0.read().entries.last().map_or(0, |entry| entry.seq)
    }

    fn clone_reader(&self) -> Box<dyn JournalReader> {
        Box::new(self.clone())
    }
}
