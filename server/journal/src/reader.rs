//! Reading from other threads while the writer writes.

use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, PoisonError, RwLock, RwLockReadGuard, RwLockWriteGuard};

use swapcall_crew::{Callsign, Entry, HistoryPoint, Millis};

use crate::blocks::Bounds;
use crate::disk::Disk;
use crate::index::{Index, Staged, fetch_block};
use crate::recover::whole_record;
use crate::{JournalError, JournalReader};

/// What writer and readers share. The writer changes it only after a commit is durable, so no reader sees more.
#[derive(Debug)]
pub(crate) struct Shared {
    /// Empty once the journal is closed: a reader that is kept longer must not keep the files open.
    disk: RwLock<Option<Disk>>,
    /// Locked for moments only: never while something is read from the disk.
    index: RwLock<Index>,
    last_seq: AtomicU64,
}

impl Shared {
    pub(crate) fn new(disk: Disk, index: Index, last_seq: u64) -> Self {
        Self {
            disk: RwLock::new(Some(disk)),
            index: RwLock::new(index),
            last_seq: AtomicU64::new(last_seq),
        }
    }

    pub(crate) fn index(&self) -> RwLockReadGuard<'_, Index> {
        self.index.read().unwrap_or_else(PoisonError::into_inner)
    }

    pub(crate) fn index_mut(&self) -> RwLockWriteGuard<'_, Index> {
        self.index.write().unwrap_or_else(PoisonError::into_inner)
    }

    /// Shows readers a commit that is durable. The number changes under the lock of the index, so that whoever sees the
    /// one sees the other.
    pub(crate) fn publish(&self, staged: Staged, last_seq: u64) {
        let mut index = self.index_mut();
        index.publish(staged);
        self.last_seq.store(last_seq, Ordering::Release);
    }

    pub(crate) fn last_seq(&self) -> u64 {
        self.last_seq.load(Ordering::Acquire)
    }

    /// Waits for the reads under way, then lets go of the store.
    pub(crate) fn let_go(&self) {
        let disk = self
            .disk
            .write()
            .unwrap_or_else(PoisonError::into_inner)
            .take();
        if let Some(disk) = disk {
            disk.let_go();
        }
    }

    fn with_disk<T>(
        &self,
        read: impl FnOnce(&Disk) -> Result<T, JournalError>,
    ) -> Result<T, JournalError> {
        let guard = self.disk.read().unwrap_or_else(PoisonError::into_inner);
        let closed = || JournalError::Store("the journal is closed".to_owned());
        read(guard.as_ref().ok_or_else(closed)?)
    }
}

/// A reader of the journal on the disk.
#[derive(Clone, Debug)]
pub(crate) struct SledReader(pub(crate) Arc<Shared>);

impl SledReader {
    /// The blocks that can hold something of the window, and what of the tail lies in it.
    fn look_up(
        &self,
        unit: &Callsign,
        from: Millis,
        to: Millis,
    ) -> (Vec<(usize, Bounds)>, Vec<HistoryPoint>) {
        let index = self.0.index();
        let Some(history) = index.unit(unit) else {
            return (Vec::new(), Vec::new());
        };
        let touching = |(_, bounds): &(usize, Bounds)| bounds.touch(from, to);
        let blocks = history.blocks.iter().copied().enumerate();
        let tail = history.tail.iter().map(|(_, point)| point);
        (
            blocks.filter(touching).collect(),
            tail.filter(|point| (from..to).contains(&point.observed))
                .cloned()
                .collect(),
        )
    }
}

impl JournalReader for SledReader {
    fn history(
        &self,
        unit: &Callsign,
        from: Millis,
        to: Millis,
    ) -> Result<Vec<HistoryPoint>, JournalError> {
        let (blocks, tail) = self.look_up(unit, from, to);
        let mut points = Vec::new();
        self.0.with_disk(|disk| {
            for (number, bounds) in blocks {
                let block = fetch_block(disk, unit, number, bounds)?;
                points.extend(
                    block
                        .into_iter()
                        .filter(|point| (from..to).contains(&point.observed)),
                );
            }
            Ok(())
        })?;
        points.extend(tail);
        // Stable: equal times stay in the order of their acceptance.
        points.sort_by_key(|point| point.observed);
        Ok(points)
    }

    fn entries(&self, after: u64, at_most: usize) -> Result<Vec<Entry>, JournalError> {
        let last = self.last_seq();
        if after >= last {
            return Ok(Vec::new());
        }
        let raw = self.0.with_disk(|disk| disk.records(after + 1, at_most))?;
        let mut entries = Vec::with_capacity(raw.len());
        for (expected, (seq, value)) in (after + 1..=last).zip(raw) {
            if seq != expected {
                let why = "it is missing".to_owned();
                return Err(JournalError::Corrupt { seq: expected, why });
            }
            entries.push(whole_record(seq, &value)?);
        }
        Ok(entries)
    }

    fn last_seq(&self) -> u64 {
        self.0.last_seq()
    }

    fn clone_reader(&self) -> Box<dyn JournalReader> {
        Box::new(self.clone())
    }
}
