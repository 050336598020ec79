//! The journal on a disk: what is written to it, in order. How it is opened, and how its volumes follow each other,
//! stands in files of their own.

mod opening;
mod upkeep;

use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

use sled::Batch;
use swapcall_crew::{Entry, Fleet, Millis};
use uuid::Uuid;

use crate::check::{Verified, verify_volume};
use crate::disk::{WriteDisk, put_record};
use crate::encoding;
use crate::folder::Folder;
use crate::keep::Keep;
use crate::reader::{Chain, Shared, SledReader};
use crate::snapshots;
use crate::volume::{self, Volume};
use crate::work::Work;
use crate::{Journal, JournalError, JournalReader, Tidied};

/// What a store on the disk may take, and its identity if it has to be made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SledOptions {
    /// Memory for pages of the store, in bytes.
    pub cache_bytes: u64,
    /// Identity of a store that is made now; one that exists keeps its own.
    pub new_epoch: Uuid,
    /// Records after which the next volume begins.
    pub volume_records: u64,
}

impl SledOptions {
    /// 32 MiB of cache: a show's readings of one unit fit several times over.
    pub const CACHE_BYTES: u64 = 32 * 1024 * 1024;

    /// Six hours of sixty units that report every five seconds: about 100 MB. After a crash the store reads the newest
    /// volume again, so its size bounds the time of a start.
    pub const VOLUME_RECORDS: u64 = 250_000;

    /// The usual limits.
    pub const fn new(new_epoch: Uuid) -> Self {
        Self {
            cache_bytes: Self::CACHE_BYTES,
            new_epoch,
            volume_records: Self::VOLUME_RECORDS,
        }
    }
}

/// The journal on a disk, in a folder that it holds for itself alone: a chain of volumes, the newest of which is
/// written.
///
/// What a start checks: every record after the newest snapshot (version, checksum, no gap), that no record is missing
/// that a snapshot or the last clean end proves, that no volume is missing, and the bounds of the history. What it does
/// *not* read again, for speed, are the records behind the snapshot; [`SledJournal::verify`] does.
#[derive(Debug)]
pub struct SledJournal {
    // Dropped in this order: work beside the writer, its hold on the newest volume, all volumes, the lock.
    work: WorkOwner,
    disk: Option<WriteDisk>,
    current: Arc<Shared>,
    chain: ChainOwner,
    folder: Folder,
    options: SledOptions,
    epoch: Uuid,
    next_number: u32,
    spare: Option<Volume>,
    last: (u64, Millis),
    /// The record of the newest snapshot that is durable.
    folded: Arc<AtomicU64>,
    fault: Option<String>,
}

impl SledJournal {
    /// Reads every record and every block of history again and checks them against each other. Takes minutes on a large
    /// store: for a rehearsal, a restored backup, or a disk one no longer trusts.
    pub fn verify(&self) -> Result<Verified, JournalError> {
        let mut verified = Verified::default();
        for volume in self.chain.0.volumes() {
            verify_volume(&volume, &mut verified)?;
        }
        if verified.last_seq == self.last.0 {
            Ok(verified)
        } else {
            Err(JournalError::Corrupt {
                seq: verified.last_seq + 1,
                why: "it is missing".to_owned(),
            })
        }
    }

    /// Whether something is being done beside the writer right now: a snapshot, the next volume, the end of a full one,
    /// a thinning.
    pub fn is_busy(&self) -> bool {
        self.work.0.is_busy()
    }

    /// Puts another file in the place of the one that is synced, and gives that back.
    #[cfg(test)]
    pub(crate) fn break_sync(&mut self, file: std::fs::File) -> std::fs::File {
        self.disk.as_mut().unwrap().swap_file(file)
    }

    /// The volume with the oldest records.
    #[cfg(test)]
    pub(crate) fn oldest_volume(&self) -> Arc<Shared> {
        Arc::clone(&self.chain.0.volumes()[0])
    }

    /// Writes past all checks.
    #[cfg(test)]
    pub(crate) fn break_store(&self, batch: Batch) {
        self.disk.as_ref().unwrap().commit(batch).unwrap();
    }

    fn refuse_if_failed(&self) -> Result<(), JournalError> {
        match &self.fault {
            Some(why) => Err(JournalError::ReadOnlyAfterFault { why: why.clone() }),
            None => Ok(()),
        }
    }

    /// Commits, and remembers a failure: what reached the disk is not known after one, and asking the system to sync
    /// again can answer "all is well" about pages it has already dropped.
    fn commit(&mut self, batch: Batch) -> Result<(), JournalError> {
        let disk = self.disk.as_ref().ok_or(JournalError::Closed)?;
        disk.commit(batch)
            .inspect_err(|error| self.fault = Some(error.to_string()))
    }
}

impl Journal for SledJournal {
    fn epoch(&self) -> Uuid {
        self.epoch
    }

    fn append(&mut self, entries: &[Entry]) -> Result<(), JournalError> {
        self.refuse_if_failed()?;
        encoding::check_order(self.last, entries)?;
        let (Some(first), Some(last)) = (entries.first(), entries.last()) else {
            return Ok(());
        };
        let mut batch = Batch::default();
        for entry in entries {
            put_record(entry.seq, &encoding::record_value(entry)?, &mut batch);
        }
        self.roll_when_due()
            .inspect_err(|error| self.fault = Some(error.to_string()))?;
        if self.current.first() == first.seq {
            volume::put_first(first.seq, &mut batch);
        }
        let staged = self.current.index().stage(entries, &mut batch)?;
        self.commit(batch)?;
        self.last = (last.seq, last.at);
        self.current.publish(staged, last.seq);
        Ok(())
    }

    fn snapshot(&mut self, fleet: &Fleet) -> Result<(), JournalError> {
        self.refuse_if_failed()?;
        encoding::check_snapshot(self.last.0, fleet)?;
        let before = self.work.0.snapshot.wait().unwrap_or(Ok(()));
        let mut batch = Batch::default();
        self.current.index().keep_tails(&mut batch)?;
        volume::put_tails(self.last.0, &mut batch);
        self.commit(batch)?;
        self.current.index_mut().tails_kept();
        let (folder, fleet) = (self.folder.snapshots(), fleet.clone());
        let folded = Arc::clone(&self.folded);
        self.work.0.snapshot.start("snapshot", move || {
            snapshots::write(&folder, &fleet)?;
            folded.store(fleet.seq(), Ordering::Release);
            Ok(())
        })?;
        before
    }

    fn tidy(&mut self, now: Millis, keep: &Keep) -> Result<Option<Tidied>, JournalError> {
        if let Some(sealed) = self.work.0.seal.done() {
            sealed?;
        }
        if let Some(removed) = self.work.0.removal.done() {
            removed?;
        }
        if let Some(thinned) = self.work.0.thinning.done() {
            return self.take_over(thinned?);
        }
        let work = &self.work.0;
        let idle = work.thinning.is_idle() && work.seal.is_idle() && work.removal.is_idle();
        if self.fault.is_some() || !idle {
            return Ok(None);
        }
        self.begin_thinning(now, keep)?;
        Ok(None)
    }

    fn reader(&self) -> Box<dyn JournalReader> {
        Box::new(SledReader(Arc::clone(&self.chain.0)))
    }

    fn close(mut self: Box<Self>) -> Result<(), JournalError> {
        let ended = self.work.0.end();
        // Every append was durable already; after a fault nothing can be said.
        if self.fault.is_none() {
            self.folder.write_mark(self.last.0)?;
        }
        ended
    }

    fn size_on_disk(&self) -> u64 {
        self.folder.bytes()
    }
}

/// The writer's hold on what it shares with readers. When it goes, the stores go, however many readers are left.
#[derive(Debug)]
struct ChainOwner(Arc<Chain>);

impl Drop for ChainOwner {
    fn drop(&mut self) {
        self.0.let_go();
    }
}

/// Work beside the writer ends with it.
#[derive(Debug, Default)]
struct WorkOwner(Work);

impl Drop for WorkOwner {
    fn drop(&mut self) {
        // Nobody is left to tell; what matters is durable.
        let _ = self.0.end();
    }
}
