//! The journal on a disk.

use std::path::Path;
use std::sync::Arc;

use sled::Batch;
use swapcall_crew::{Entry, Fleet, Millis};
use uuid::Uuid;

use crate::check::{Verified, verify_volume};
use crate::disk::{WriteDisk, put_record};
use crate::encoding;
use crate::folder::Folder;
use crate::keep::Keep;
use crate::reader::{Chain, Shared, SledReader};
use crate::recover::{Evidence, Recovered, recover};
use crate::snapshots;
use crate::volume::{self, New, Volume};
use crate::work::{self, Rewritten, ThinOrder, Work};
use crate::{Journal, JournalError, JournalReader, Opened, Tidied};

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
    fault: Option<String>,
}

impl SledJournal {
    /// Opens the journal in `folder`, or makes it there.
    pub fn open(folder: &Path, options: &SledOptions) -> Result<Opened<Self>, JournalError> {
        Self::open_at(folder, options, None)
    }

    /// Opens the journal again after a write or a sync failed, without trusting what the failed commit left: everything
    /// up to record `last`, the last that was acknowledged, is taken, and a new volume begins behind it, so that nothing
    /// that is acknowledged later rests on pages the system may have dropped. The one that failed must be closed.
    ///
    /// First the disk must take and sync something that does not matter; the error says why it does not.
    pub fn reopen_after(
        folder: &Path,
        options: &SledOptions,
        last: u64,
    ) -> Result<Opened<Self>, JournalError> {
        Self::probe(folder)?;
        Self::open_at(folder, options, Some(last))
    }

    /// Finds out whether the disk under `folder` takes and syncs a few megabytes, without touching the journal.
    pub fn probe(folder: &Path) -> Result<(), JournalError> {
        Folder::probe(folder)
    }

    fn open_at(
        folder: &Path,
        options: &SledOptions,
        acknowledged: Option<u64>,
    ) -> Result<Opened<Self>, JournalError> {
        let folder = Folder::lock(folder)?;
        let identity = folder.identity()?;
        if acknowledged.is_some() {
            volume::write_again(folder.path())?;
        }
        let mut volumes = volume::open_all(&folder, identity, options)?;
        let known = volumes.iter().find_map(|volume| volume.epoch);
        let mut next_number = 1 + volumes
            .iter()
            .map(|volume| volume.number)
            .max()
            .unwrap_or(0);
        if let (Some(last), Some(epoch)) = (acknowledged, known) {
            volumes.push(begin_after(&folder, (next_number, last), epoch, options)?);
            next_number += 1;
        }
        let evidence = Evidence {
            snapshots: snapshots::find(&folder.snapshots())?,
            marked: folder.mark()?,
        };
        let recovered = recover(&volumes, evidence)?;
        let epoch = known.unwrap_or(options.new_epoch);
        if known.is_none()
            && let Some(first) = volumes.first()
        {
            volume::make_epoch(&first.disk, epoch)?;
        }
        if identity.is_none() {
            folder.write_identity(epoch)?;
        }
        Self::assemble(folder, options, (epoch, next_number), volumes, recovered).map(
            |mut opened| {
                opened.recovery.created = known.is_none();
                opened
            },
        )
    }

    fn assemble(
        folder: Folder,
        options: &SledOptions,
        (epoch, next_number): (Uuid, u32),
        mut volumes: Vec<Volume>,
        recovered: Recovered,
    ) -> Result<Opened<Self>, JournalError> {
        let shared: Vec<Arc<Shared>> = volumes
            .iter()
            .zip(recovered.volumes)
            .map(|(volume, (index, last))| volume.share(index, last))
            .collect();
        let (Some(newest), Some(current)) = (volumes.pop(), shared.last().cloned()) else {
            return Err(JournalError::Closed);
        };
        let fleet = recovered.fleet;
        let last = match fleet.seq() {
            0 => (0, Millis(i64::MIN)),
            seq => (seq, fleet.latest()),
        };
        let mut journal = Self {
            work: WorkOwner::default(),
            // A thinned volume is whole: what comes next needs one of its own.
            spare: None,
            disk: Some(newest.disk),
            current,
            chain: ChainOwner(Arc::new(Chain::new(shared))),
            folder,
            options: *options,
            epoch,
            next_number,
            last,
            fault: None,
        };
        if newest.thinned.is_some() {
            journal.spare = Some(journal.make_spare_now()?);
        }
        Ok(Opened {
            journal,
            fleet,
            recovery: recovered.recovery,
        })
    }

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

    fn take_number(&mut self) -> u32 {
        self.next_number += 1;
        self.next_number - 1
    }

    fn make_spare_now(&mut self) -> Result<Volume, JournalError> {
        let number = self.take_number();
        work::make_spare(
            self.folder.path(),
            number,
            self.epoch,
            self.options.cache_bytes,
        )
    }

    /// Has the next volume made in time, and goes over to it once this one has taken enough and the other is there.
    fn roll_when_due(&mut self) -> Result<(), JournalError> {
        if let Some(spare) = self.work.0.spare.done() {
            self.spare = Some(spare?);
        }
        if let Some(sealed) = self.work.0.seal.done() {
            sealed?;
        }
        let taken = (self.last.0 + 1).saturating_sub(self.current.first());
        let due = taken >= self.options.volume_records;
        if self.spare.is_none() && self.work.0.spare.is_idle() {
            if taken >= self.options.volume_records / 10 * 9 {
                let number = self.take_number();
                let (folder, epoch) = (self.folder.path().to_path_buf(), self.epoch);
                let cache_bytes = self.options.cache_bytes;
                self.work.0.spare.start("next-volume", move || {
                    work::make_spare(&folder, number, epoch, cache_bytes)
                })?;
            }
        } else if (due || self.current.thinned().is_some()) && self.work.0.seal.is_idle() {
            self.roll()?;
        }
        Ok(())
    }

    fn roll(&mut self) -> Result<(), JournalError> {
        let Some(mut spare) = self.spare.take() else {
            return Ok(());
        };
        spare.first = Some(self.last.0 + 1);
        let next = spare.share(crate::index::Index::default(), self.last.0);
        self.chain.0.add(Arc::clone(&next));
        let full = std::mem::replace(&mut self.current, next);
        if let Some(disk) = self.disk.replace(spare.disk)
            && full.thinned().is_none()
        {
            self.work
                .0
                .seal
                .start("full-volume", move || work::seal(disk, &full))?;
        }
        Ok(())
    }

    /// The volumes to be thinned next: the oldest whose records are all old, and with it the thinned one before it while
    /// that is small.
    fn next_to_thin(&self, before: Millis) -> Result<Vec<Arc<Shared>>, JournalError> {
        let volumes = self.chain.0.volumes();
        let sealed = volumes.split_last().map_or(&[][..], |(_, sealed)| sealed);
        let Some(at) = sealed.iter().position(|volume| volume.thinned().is_none()) else {
            return Ok(Vec::new());
        };
        let oldest = &sealed[at];
        let newest_record = oldest.entries(oldest.last_seq().saturating_sub(1), 1)?;
        if newest_record.last().is_none_or(|entry| entry.at >= before) {
            return Ok(Vec::new());
        }
        let small = |volume: &&Arc<Shared>| {
            let records = volume.thinned().map_or(u64::MAX, |thinned| thinned.records);
            records < self.options.volume_records
        };
        let with = at
            .checked_sub(1)
            .map(|before| &sealed[before])
            .filter(small);
        Ok(with.into_iter().chain([oldest]).cloned().collect())
    }

    fn take_over(&self, rewritten: Rewritten) -> Result<Option<Tidied>, JournalError> {
        let Some(new) = rewritten.new else {
            return Ok(None);
        };
        self.chain.0.replace(&rewritten.old, new);
        for old in rewritten.old {
            old.let_go();
            volume::remove(old.path())?;
        }
        Ok(Some(rewritten.tidied))
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
        self.work
            .0
            .snapshot
            .start("snapshot", move || snapshots::write(&folder, &fleet))?;
        before
    }

    fn tidy(&mut self, now: Millis, keep: &Keep) -> Result<Option<Tidied>, JournalError> {
        if let Some(sealed) = self.work.0.seal.done() {
            sealed?;
        }
        if let Some(thinned) = self.work.0.thinning.done() {
            return self.take_over(thinned?);
        }
        if self.fault.is_some() || !self.work.0.thinning.is_idle() || !self.work.0.seal.is_idle() {
            return Ok(None);
        }
        let old = self.next_to_thin(now.plus_seconds(-keep.full_s))?;
        if old.is_empty() {
            return Ok(None);
        }
        let order = ThinOrder {
            folder: self.folder.path().to_path_buf(),
            number: self.take_number(),
            epoch: self.epoch,
            old,
            keep: keep.whole.clone(),
            stop: Arc::clone(&self.work.0.stop),
        };
        self.work
            .0
            .thinning
            .start("thinning", move || work::thin(order))?;
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

/// A volume that begins behind record `last`, whatever the one before holds beyond it.
fn begin_after(
    folder: &Folder,
    (number, last): (u32, u64),
    epoch: Uuid,
    options: &SledOptions,
) -> Result<Volume, JournalError> {
    volume::make(
        &New {
            folder: folder.path(),
            number,
            epoch,
            cache_bytes: options.cache_bytes,
        },
        |_, batch| {
            volume::put_first(last + 1, batch);
            Ok(())
        },
    )
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
