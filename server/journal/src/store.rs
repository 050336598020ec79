//! The journal on a disk.

use std::collections::BTreeMap;
use std::ops::Deref;
use std::path::Path;
use std::sync::Arc;

use sled::Batch;
use swapcall_crew::{Callsign, Entry, Fleet, Millis, Record};
use uuid::Uuid;

use crate::disk::{WriteDisk, put_record};
use crate::encoding;
use crate::folder::Folder;
use crate::reader::{Shared, SledReader};
use crate::recover::{Evidence, Recovered, recover};
use crate::snapshots;
use crate::{Journal, JournalError, JournalReader, Opened};

/// Format of the store as a whole: keys and what lies under them.
const STORE_FORMAT: u16 = 1;

const EPOCH: &[u8] = b"mepoch";
const FORMAT: &[u8] = b"mformat";
const TAILS: &[u8] = b"mtails";

/// Records checked at a time by [`SledJournal::verify`].
const CHUNK: usize = 1024;

/// What a store on the disk may take, and its identity if it has to be made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SledOptions {
    /// Memory for pages of the store, in bytes.
    pub cache_bytes: u64,
    /// Identity of a store that is made now; one that exists keeps its own.
    pub new_epoch: Uuid,
}

impl SledOptions {
    /// 32 MiB of cache: a show's readings of one unit fit several times over.
    pub const CACHE_BYTES: u64 = 32 * 1024 * 1024;

    /// The usual limits.
    pub const fn new(new_epoch: Uuid) -> Self {
        Self {
            cache_bytes: Self::CACHE_BYTES,
            new_epoch,
        }
    }
}

/// What [`SledJournal::verify`] has looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Verified {
    /// Records with a good checksum, from 1 without a gap.
    pub records: u64,
    /// Points of history, as many for each unit as it has readings.
    pub history_points: u64,
}

/// The journal on a disk, in a folder that it holds for itself alone.
///
/// What a start checks: every record after the newest snapshot (version, checksum, no gap), that no record is missing
/// that a snapshot or the last clean end proves, and the bounds of the history. What it does *not* read again, for
/// speed, are the records behind the snapshot; [`SledJournal::verify`] does.
#[derive(Debug)]
pub struct SledJournal {
    // Dropped in this order: the writer's hold on the store, the store itself, the lock on its folder.
    disk: WriteDisk,
    shared: SharedOwner,
    folder: Folder,
    epoch: Uuid,
    last: (u64, Millis),
    fault: Option<String>,
}

impl SledJournal {
    /// Opens the journal in `folder`, or makes it there.
    pub fn open(folder: &Path, options: &SledOptions) -> Result<Opened<Self>, JournalError> {
        let folder = Folder::lock(folder)?;
        let identity = folder.identity()?;
        if identity.is_some() && !folder.store().join("db").exists() {
            return Err(emptied());
        }
        let disk = WriteDisk::open(&folder.store(), options.cache_bytes)?;
        folder.sync()?;
        let known = known_epoch(&disk, identity)?;
        let evidence = Evidence {
            snapshots: snapshots::find(&folder.snapshots())?,
            tails_kept_at: kept_number(&disk, TAILS)?,
            marked: folder.mark()?,
        };
        let Recovered {
            fleet,
            index,
            mut recovery,
        } = recover(&disk, evidence)?;
        recovery.created = known.is_none();
        let epoch = match known {
            Some(epoch) => epoch,
            None => make_epoch(&disk, options.new_epoch)?,
        };
        if identity.is_none() {
            folder.write_identity(epoch)?;
        }
        let last = match fleet.seq() {
            0 => (0, Millis(i64::MIN)),
            seq => (seq, fleet.latest()),
        };
        let journal = Self {
            shared: SharedOwner(Arc::new(Shared::new(disk.disk.clone(), index, last.0))),
            disk,
            folder,
            epoch,
            last,
            fault: None,
        };
        Ok(Opened {
            journal,
            fleet,
            recovery,
        })
    }

    /// Reads every record and every block of history again and checks them against each other. Takes minutes on a large
    /// store: for a rehearsal, a restored backup, or a disk one no longer trusts.
    pub fn verify(&self) -> Result<Verified, JournalError> {
        let reader = SledReader(Arc::clone(&self.shared.0));
        let mut readings: BTreeMap<Callsign, u64> = BTreeMap::new();
        let mut records = 0;
        loop {
            let entries = reader.entries(records, CHUNK)?;
            let Some(last) = entries.last() else { break };
            records = last.seq;
            for entry in &entries {
                if let Record::Reading(reading) = &entry.record {
                    *readings.entry(reading.unit.clone()).or_default() += 1;
                }
            }
        }
        if records != self.last.0 {
            return Err(damaged(records + 1, "it is missing"));
        }
        let units: Vec<Callsign> = self
            .shared
            .index()
            .units()
            .map(|(unit, _)| unit.clone())
            .collect();
        let mut history_points = 0;
        for unit in units {
            let points = reader
                .history(&unit, Millis(i64::MIN), Millis(i64::MAX))?
                .len() as u64;
            if readings.remove(&unit) != Some(points) {
                return Err(damaged(
                    records,
                    "a unit's history does not match its readings",
                ));
            }
            history_points += points;
        }
        if readings.is_empty() {
            Ok(Verified {
                records,
                history_points,
            })
        } else {
            Err(damaged(records, "a unit's history is missing"))
        }
    }

    /// Puts another file in the place of the one that is synced, and gives that back.
    #[cfg(test)]
    pub(crate) fn break_sync(&mut self, file: std::fs::File) -> std::fs::File {
        self.disk.swap_file(file)
    }

    /// Writes past all checks.
    #[cfg(test)]
    pub(crate) fn break_store(&self, batch: Batch) {
        self.disk.commit(batch).unwrap();
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
        self.disk
            .commit(batch)
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
        let Some(last) = entries.last() else {
            return Ok(());
        };
        let mut batch = Batch::default();
        for entry in entries {
            put_record(entry.seq, &encoding::record_value(entry)?, &mut batch);
        }
        let staged = self.shared.index().stage(entries, &mut batch)?;
        self.commit(batch)?;
        self.last = (last.seq, last.at);
        self.shared.publish(staged, last.seq);
        Ok(())
    }

    fn snapshot(&mut self, fleet: &Fleet) -> Result<(), JournalError> {
        self.refuse_if_failed()?;
        encoding::check_snapshot(self.last.0, fleet)?;
        let mut batch = Batch::default();
        self.shared.index().keep_tails(&mut batch)?;
        batch.insert(TAILS, &self.last.0.to_be_bytes());
        self.commit(batch)?;
        self.shared.index_mut().tails_kept();
        snapshots::write(&self.folder.snapshots(), fleet)
    }

    fn reader(&self) -> Box<dyn JournalReader> {
        Box::new(SledReader(Arc::clone(&self.shared.0)))
    }

    fn close(self: Box<Self>) -> Result<(), JournalError> {
        // Every append was durable already; after a fault nothing can be said.
        if self.fault.is_none() {
            self.folder.write_mark(self.last.0)?;
        }
        Ok(())
    }

    fn size_on_disk(&self) -> u64 {
        self.folder.bytes()
    }
}

/// The writer's hold on what it shares with readers. When it goes, the store goes, however many readers are left.
#[derive(Debug)]
struct SharedOwner(Arc<Shared>);

impl Deref for SharedOwner {
    type Target = Shared;

    fn deref(&self) -> &Shared {
        &self.0
    }
}

impl Drop for SharedOwner {
    fn drop(&mut self) {
        self.0.let_go();
    }
}

fn damaged(seq: u64, why: &str) -> JournalError {
    JournalError::Corrupt {
        seq,
        why: why.to_owned(),
    }
}

fn emptied() -> JournalError {
    damaged(
        0,
        "the store is empty or gone, although this folder held one before",
    )
}

/// The epoch the store and the folder agree on; `None` for a store that was never finished being made.
fn known_epoch(disk: &WriteDisk, identity: Option<Uuid>) -> Result<Option<Uuid>, JournalError> {
    let stored = disk.disk.get(EPOCH)?;
    let Some(stored) = stored else {
        // The epoch is durable before the first record is taken.
        return match identity {
            None if disk.disk.last_seq()? == 0 => Ok(None),
            _ => Err(emptied()),
        };
    };
    let format = kept_number(disk, FORMAT)?;
    if format > u64::from(STORE_FORMAT) {
        return Err(JournalError::FutureVersion {
            seq: 0,
            version: u16::try_from(format).unwrap_or(u16::MAX),
            known: STORE_FORMAT,
        });
    }
    let epoch =
        Uuid::from_slice(&stored).map_err(|_| damaged(0, "the store's epoch cannot be read"))?;
    if identity.is_some_and(|identity| identity != epoch) {
        return Err(damaged(
            0,
            "the folder was put together from two different stores",
        ));
    }
    Ok(Some(epoch))
}

fn make_epoch(disk: &WriteDisk, epoch: Uuid) -> Result<Uuid, JournalError> {
    let mut batch = Batch::default();
    batch.insert(EPOCH, epoch.as_bytes().as_slice());
    batch.insert(FORMAT, &u64::from(STORE_FORMAT).to_be_bytes());
    disk.commit(batch)?;
    Ok(epoch)
}

/// A number kept in the store; 0 where it never was.
fn kept_number(disk: &WriteDisk, key: &[u8]) -> Result<u64, JournalError> {
    let Some(value) = disk.disk.get(key)? else {
        return Ok(0);
    };
    let bytes = value.as_ref().try_into();
    bytes
        .map(u64::from_be_bytes)
        .map_err(|_| damaged(0, "the store's own notes cannot be read"))
}
