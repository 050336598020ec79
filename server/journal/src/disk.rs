//! The store on the disk, wrapped: typed errors instead of panics, pieces put together, commits that are durable.
//!
//! One tree holds everything, so that a commit is one atomic batch:
//!
//! | key | value |
//! |---|---|
//! | `r` + sequence number | a record (see `encoding`), or its first piece |
//! | `r` + sequence number + piece number from 1 | the further pieces of a large record |
//! | `h` + callsign + 0 + block number | a block of history points (see `blocks`) |
//! | `i` + callsign + 0 + block number | the bounds of that block |
//! | `m` + name | epoch, format, how far the open blocks were kept |
//!
//! Numbers in keys are big-endian, so they sort. Records come under increasing keys and are never rewritten.
//!
//! **Pieces**: sled keeps up to 17 values on a page and writes a page of more than 128 KiB to a file of its own, which it
//! does not sync with the log. No value here is longer than [`PIECE_BYTES`], so no page gets there.
//!
//! **Durability**: sled's `flush` writes its log, but on Linux it ends in `sync_file_range`, which reaches neither the
//! disk's own cache nor the file's length. So each commit is followed by `fdatasync` on a handle of our own, of the same
//! file. sled's own `snap.*` file is written only while it opens; the folder is synced right after, before anything is
//! appended. Even without that file nothing is lost: sled then reads its whole log again.

use std::fs::{self, File, OpenOptions};
use std::io::ErrorKind;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::time::Duration;

use sled::{Batch, Db, IVec, Mode};

use crate::JournalError;
use crate::folder::{io_error, is_full, sync_folder};

/// The longest value stored under one key, in bytes: 17 of them with their keys stay under sled's 128 KiB.
pub(crate) const PIECE_BYTES: usize = 6 * 1024;

/// A store that this process has just let go may still be held by sled's own threads for a moment.
const LOCK_TRIES: u32 = 100;
const LOCK_PAUSE: Duration = Duration::from_millis(20);

const RECORD: u8 = b'r';
const NEXT_AFTER_RECORD: u8 = b's';
const SEQ_BYTES: usize = 8;

/// A record's value as found: its number and the pieces put together.
pub(crate) type RawRecord = (u64, Vec<u8>);

/// The open store.
#[derive(Clone, Debug)]
pub(crate) struct Disk {
    db: Db,
}

/// The store and the handle that syncs it: only the writer has this one.
#[derive(Debug)]
pub(crate) struct WriteDisk {
    pub(crate) disk: Disk,
    file: File,
    path: PathBuf,
}

impl WriteDisk {
    /// Opens the store in `folder`, or makes it. Takes as long as sled needs to read what was written since it was
    /// opened last.
    pub(crate) fn open(folder: &Path, cache_bytes: u64) -> Result<Self, JournalError> {
        put_away_drafts(folder)?;
        let config = sled::Config::new()
            .path(folder)
            .cache_capacity(cache_bytes)
            .mode(Mode::HighThroughput)
            .flush_every_ms(None);
        let db = open_when_free(&config)?;
        let path = folder.join("db");
        let file = OpenOptions::new()
            .read(true)
            .write(true)
            .open(&path)
            .map_err(io_error("open", &path))?;
        let configuration = folder.join("conf");
        File::open(&configuration)
            .and_then(|file| file.sync_all())
            .map_err(io_error("sync", &configuration))?;
        file.sync_all().map_err(io_error("sync", &path))?;
        sync_folder(folder)?;
        Ok(Self {
            disk: Disk { db },
            file,
            path,
        })
    }

    /// Writes the batch whole or not at all; durable when it returns.
    pub(crate) fn commit(&self, batch: Batch) -> Result<(), JournalError> {
        guarded(|| {
            self.disk.db.apply_batch(batch)?;
            self.disk.db.flush().map(|_| ())
        })?;
        self.file.sync_data().map_err(io_error("sync", &self.path))
    }

    /// Closes the store, when this is the last hold on it.
    pub(crate) fn close(self) {
        self.disk.let_go();
    }
}

#[cfg(test)]
impl WriteDisk {
    pub(crate) fn swap_file(&mut self, file: File) -> File {
        std::mem::replace(&mut self.file, file)
    }
}

/// Removes what a start left that was cut short, because sled would read it: a draft of its own snapshot counts as the
/// newest one by its name, and a `conf` torn while the store was being made is not made again. The draft is never
/// needed, and a store whose database is still empty holds nothing that a new `conf` could spoil.
fn put_away_drafts(folder: &Path) -> Result<(), JournalError> {
    let found = match fs::read_dir(folder) {
        Ok(found) => found,
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok(()),
        Err(error) => return Err(io_error("list", folder)(error)),
    };
    let never_written = fs::metadata(folder.join("db")).map_or(true, |db| db.len() == 0);
    for item in found {
        let item = item.map_err(io_error("list", folder))?;
        let name = item.file_name();
        let name = name.to_string_lossy();
        if name.ends_with(".generating") || (never_written && name == "conf") {
            fs::remove_file(item.path()).map_err(io_error("remove", &item.path()))?;
        }
    }
    Ok(())
}

fn open_when_free(config: &sled::Config) -> Result<Db, JournalError> {
    let mut tries = 0;
    loop {
        let opened = guarded(|| match config.open() {
            Err(sled::Error::Io(error)) if error.to_string().contains("acquire lock") => Ok(None),
            other => other.map(Some),
        })?;
        if let Some(db) = opened {
            return Ok(db);
        }
        tries += 1;
        if tries == LOCK_TRIES {
            return Err(JournalError::Store(
                "the database file is locked by a program that is not a hub".to_owned(),
            ));
        }
        std::thread::sleep(LOCK_PAUSE);
    }
}

impl Disk {
    /// One value.
    pub(crate) fn get(&self, key: &[u8]) -> Result<Option<IVec>, JournalError> {
        guarded(|| self.db.get(key))
    }

    /// Every key and value that starts with `prefix`, in order.
    pub(crate) fn scan(
        &self,
        prefix: &[u8],
        mut see: impl FnMut(&[u8], &[u8]) -> Result<(), JournalError>,
    ) -> Result<(), JournalError> {
        guarded(|| {
            for item in self.db.scan_prefix(prefix) {
                let (key, value) = item?;
                if let Err(error) = see(&key, &value) {
                    return Ok(Err(error));
                }
            }
            Ok(Ok(()))
        })?
    }

    /// Closes the store, when this is the last hold on it. sled syncs once more and panics when that fails; everything
    /// that was acknowledged is durable already, so there is nobody left to tell.
    pub(crate) fn let_go(self) {
        let _ = guarded(|| {
            drop(self);
            Ok(())
        });
    }

    /// Number of the last record; 0 where there is none.
    pub(crate) fn last_seq(&self) -> Result<u64, JournalError> {
        let last = guarded(|| self.db.get_lt([NEXT_AFTER_RECORD]))?;
        match last {
            Some((key, _)) if key.first() == Some(&RECORD) => seq_of(&key),
            _ => Ok(0),
        }
    }

    /// Up to `at_most` records from number `from` on, as they lie there.
    pub(crate) fn records(
        &self,
        from: u64,
        at_most: usize,
    ) -> Result<Vec<RawRecord>, JournalError> {
        let pairs = guarded(|| {
            let mut pairs: Vec<(IVec, IVec)> = Vec::new();
            let mut heads = 0;
            for item in self
                .db
                .range(record_key(from).to_vec()..vec![NEXT_AFTER_RECORD])
            {
                let (key, value) = item?;
                if key.len() == 1 + SEQ_BYTES {
                    heads += 1;
                    if heads > at_most {
                        break;
                    }
                }
                pairs.push((key, value));
            }
            Ok(pairs)
        })?;
        let mut records: Vec<RawRecord> = Vec::with_capacity(pairs.len());
        for (key, value) in pairs {
            let seq = seq_of(&key)?;
            match records.last_mut() {
                Some((before, bytes)) if *before == seq => bytes.extend_from_slice(&value),
                _ => records.push((seq, value.to_vec())),
            }
        }
        Ok(records)
    }

    /// Puts the removal of every record from number `from` on into `batch`.
    pub(crate) fn remove_records(&self, from: u64, batch: &mut Batch) -> Result<(), JournalError> {
        let keys = guarded(|| {
            self.db
                .range(record_key(from).to_vec()..vec![NEXT_AFTER_RECORD])
                .keys()
                .collect::<sled::Result<Vec<IVec>>>()
        })?;
        for key in keys {
            batch.remove(key);
        }
        Ok(())
    }
}

/// Puts a record into `batch`, in pieces where it is large.
pub(crate) fn put_record(seq: u64, value: &[u8], batch: &mut Batch) {
    let key = record_key(seq);
    for (number, piece) in (0_u16..).zip(value.chunks(PIECE_BYTES)) {
        if number == 0 {
            batch.insert(&key, piece);
        } else {
            batch.insert([key.as_slice(), &number.to_be_bytes()].concat(), piece);
        }
    }
}

fn record_key(seq: u64) -> [u8; 1 + SEQ_BYTES] {
    let mut key = [RECORD; 1 + SEQ_BYTES];
    key[1..].copy_from_slice(&seq.to_be_bytes());
    key
}

fn seq_of(key: &[u8]) -> Result<u64, JournalError> {
    key.get(1..=SEQ_BYTES)
        .and_then(|bytes| bytes.try_into().ok())
        .map(u64::from_be_bytes)
        .ok_or_else(|| JournalError::Corrupt {
            seq: 0,
            why: "a record has no number".to_owned(),
        })
}

/// Runs something of sled's. A damaged file can make it panic; that becomes an error like any other.
fn guarded<T>(work: impl FnOnce() -> sled::Result<T>) -> Result<T, JournalError> {
    match catch_unwind(AssertUnwindSafe(work)) {
        Ok(Ok(value)) => Ok(value),
        Ok(Err(sled::Error::Corruption { at, .. })) => Err(JournalError::Corrupt {
            seq: 0,
            why: format!("the store's own checksums do not match, at {at:?}"),
        }),
        Ok(Err(sled::Error::Io(error))) if is_full(&error) => Err(JournalError::Full),
        Ok(Err(error)) => Err(JournalError::Store(error.to_string())),
        Err(panic) => {
            let said = panic
                .downcast_ref::<String>()
                .map(String::as_str)
                .or_else(|| panic.downcast_ref::<&str>().copied())
                .unwrap_or("without a word");
            Err(JournalError::Corrupt {
                seq: 0,
                why: format!("the store gave up: {said}"),
            })
        }
    }
}
