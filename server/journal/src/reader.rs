//! Reading from other threads while the writer writes: one volume, and the chain of them.

use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, PoisonError, RwLock, RwLockReadGuard, RwLockWriteGuard};

use swapcall_crew::{Callsign, Entry, HistoryPoint, Millis};

use crate::blocks::Bounds;
use crate::disk::{Disk, RawRecord};
use crate::index::{Index, Staged, fetch_block};
use crate::recover::whole_record;
use crate::volume::Thinned;
use crate::{JournalError, JournalReader};

/// What writer and readers share of one volume. The writer changes it only after a commit is durable, so no reader sees
/// more.
#[derive(Debug)]
pub(crate) struct Shared {
    /// Empty once the volume is closed: a reader that is kept longer must not keep the files open.
    disk: RwLock<Option<Disk>>,
    path: PathBuf,
    /// Locked for moments only: never while something is read from the disk.
    index: RwLock<Index>,
    first: u64,
    last_seq: AtomicU64,
    thinned: Option<Thinned>,
}

impl Shared {
    /// `range` is the first and the last record.
    pub(crate) fn new(
        store: (Disk, PathBuf),
        index: Index,
        range: (u64, u64),
        thinned: Option<Thinned>,
    ) -> Self {
        Self {
            disk: RwLock::new(Some(store.0)),
            path: store.1,
            index: RwLock::new(index),
            first: range.0,
            last_seq: AtomicU64::new(range.1),
            thinned,
        }
    }

    pub(crate) fn index(&self) -> RwLockReadGuard<'_, Index> {
        self.index.read().unwrap_or_else(PoisonError::into_inner)
    }

    pub(crate) fn index_mut(&self) -> RwLockWriteGuard<'_, Index> {
        self.index.write().unwrap_or_else(PoisonError::into_inner)
    }

    /// Where it lies.
    pub(crate) fn path(&self) -> &Path {
        &self.path
    }

    /// Number of its first record.
    pub(crate) fn first(&self) -> u64 {
        self.first
    }

    /// What it stands for, where it was written anew with fewer readings.
    pub(crate) fn thinned(&self) -> Option<Thinned> {
        self.thinned
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

    /// Reads from it, for a long time.
    #[cfg(test)]
    pub(crate) fn read_on(&self) -> RwLockReadGuard<'_, Option<Disk>> {
        self.disk.read().unwrap_or_else(PoisonError::into_inner)
    }

    /// Waits for the reads under way, then lets go of the store.
    pub(crate) fn let_go(&self) {
        let disk = self.disk_mut().take();
        if let Some(disk) = disk {
            disk.let_go();
        }
    }

    /// Closes the store and opens it again, while readers wait.
    pub(crate) fn reopen(
        &self,
        open: impl FnOnce() -> Result<Disk, JournalError>,
    ) -> Result<(), JournalError> {
        let mut guard = self.disk_mut();
        // Let go meanwhile: the journal is closing, and nobody is to open it again.
        let Some(disk) = guard.take() else {
            return Ok(());
        };
        disk.let_go();
        *guard = Some(open()?);
        Ok(())
    }

    fn disk_mut(&self) -> RwLockWriteGuard<'_, Option<Disk>> {
        self.disk.write().unwrap_or_else(PoisonError::into_inner)
    }

    fn with_disk<T>(
        &self,
        read: impl FnOnce(&Disk) -> Result<T, JournalError>,
    ) -> Result<T, JournalError> {
        let guard = self.disk.read().unwrap_or_else(PoisonError::into_inner);
        read(guard.as_ref().ok_or(JournalError::Closed)?)
    }

    /// The blocks that can hold something of the window, and what of the tail lies in it.
    fn look_up(
        &self,
        unit: &Callsign,
        from: Millis,
        to: Millis,
    ) -> (Vec<(usize, Bounds)>, Vec<HistoryPoint>) {
        let index = self.index();
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

    /// What this volume holds of a unit's past, in the order of acceptance.
    pub(crate) fn history(
        &self,
        unit: &Callsign,
        from: Millis,
        to: Millis,
    ) -> Result<Vec<HistoryPoint>, JournalError> {
        let (blocks, tail) = self.look_up(unit, from, to);
        let mut points = Vec::new();
        if !blocks.is_empty() {
            self.with_disk(|disk| {
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
        }
        points.extend(tail);
        Ok(points)
    }

    /// Up to `at_most` of its entries after `after`.
    pub(crate) fn entries(&self, after: u64, at_most: usize) -> Result<Vec<Entry>, JournalError> {
        let last = self.last_seq();
        let from = (after + 1).max(self.first);
        if from > last {
            return Ok(Vec::new());
        }
        let raw = self.with_disk(|disk| disk.records(from, at_most))?;
        let mut expected = from;
        let mut entries = Vec::with_capacity(raw.len());
        let known = |record: &RawRecord| record.0 <= last;
        for (seq, value) in raw.into_iter().take_while(known) {
            if seq != expected && self.thinned.is_none() {
                return Err(missing(expected));
            }
            entries.push(whole_record(seq, &value)?);
            expected = seq + 1;
        }
        if entries.is_empty() && at_most > 0 && self.thinned.is_none() {
            return Err(missing(from));
        }
        Ok(entries)
    }
}

fn missing(seq: u64) -> JournalError {
    let why = "it is missing".to_owned();
    JournalError::Corrupt { seq, why }
}

/// The volumes, oldest records first; the last is the one that is written.
#[derive(Debug)]
pub(crate) struct Chain(RwLock<Vec<Arc<Shared>>>);

impl Chain {
    pub(crate) fn new(volumes: Vec<Arc<Shared>>) -> Self {
        Self(RwLock::new(volumes))
    }

    pub(crate) fn volumes(&self) -> Vec<Arc<Shared>> {
        self.0
            .read()
            .unwrap_or_else(PoisonError::into_inner)
            .clone()
    }

    fn write(&self) -> RwLockWriteGuard<'_, Vec<Arc<Shared>>> {
        self.0.write().unwrap_or_else(PoisonError::into_inner)
    }

    /// Adds the volume that is written from now on.
    pub(crate) fn add(&self, volume: Arc<Shared>) {
        self.write().push(volume);
    }

    /// Puts one in the place of those whose range it stands for.
    pub(crate) fn replace(&self, old: &[Arc<Shared>], new: Arc<Shared>) {
        let mut volumes = self.write();
        volumes.retain(|volume| !old.iter().any(|gone| Arc::ptr_eq(gone, volume)));
        volumes.push(new);
        volumes.sort_by_key(|volume| volume.first());
    }

    pub(crate) fn let_go(&self) {
        for volume in self.volumes() {
            volume.let_go();
        }
    }

    /// Number of the last record that is durable.
    fn last_seq(&self) -> u64 {
        let volumes = self.0.read().unwrap_or_else(PoisonError::into_inner);
        volumes.last().map_or(0, |volume| volume.last_seq())
    }
}

/// Tries of a read that meets a volume which was just replaced.
const TRIES: u32 = 3;

/// A reader of the journal on the disk.
#[derive(Clone, Debug)]
pub(crate) struct SledReader(pub(crate) Arc<Chain>);

impl SledReader {
    /// Reads from the chain as it stands. A volume that is replaced meanwhile is closed; then the chain is looked at
    /// again.
    fn read<T>(
        &self,
        read: impl Fn(&[Arc<Shared>]) -> Result<T, JournalError>,
    ) -> Result<T, JournalError> {
        let mut tries = 1;
        loop {
            match read(&self.0.volumes()) {
                Err(JournalError::Closed) if tries < TRIES => tries += 1,
                other => return other,
            }
        }
    }
}

impl JournalReader for SledReader {
    fn history(
        &self,
        unit: &Callsign,
        from: Millis,
        to: Millis,
    ) -> Result<Vec<HistoryPoint>, JournalError> {
        let mut points = self.read(|volumes| {
            let mut points = Vec::new();
            for volume in volumes {
                points.extend(volume.history(unit, from, to)?);
            }
            Ok(points)
        })?;
        // Stable: equal times stay in the order of their acceptance.
        points.sort_by_key(|point| point.observed);
        Ok(points)
    }

    fn entries(&self, after: u64, at_most: usize) -> Result<Vec<Entry>, JournalError> {
        self.read(|volumes| {
            let mut entries = Vec::new();
            for volume in volumes.iter().filter(|volume| volume.last_seq() > after) {
                if entries.len() >= at_most {
                    break;
                }
                entries.extend(volume.entries(after, at_most - entries.len())?);
            }
            Ok(entries)
        })
    }

    fn last_seq(&self) -> u64 {
        self.0.last_seq()
    }

    fn clone_reader(&self) -> Box<dyn JournalReader> {
        Box::new(self.clone())
    }
}
