//! One volume of the chain: a sled store that holds the records from its first number on.
//!
//! ```text
//! store/            the first volume
//! store-000002/     the next, begun when the first had taken enough records, or after a fault of the disk
//! store-000003.draft/   one that is being made or taken away; removed at the next open
//! ```
//!
//! Only the newest volume is written. A volume ends where the next begins: what lies in it beyond that was never
//! acknowledged. A *thinned* volume was written anew from old ones with fewer readings; it says itself where it ends,
//! and supersedes whatever lies in its range. So nothing is ever removed inside a store, space comes back whole, and
//! a start reads again only what the newest volume holds.

use std::collections::BTreeMap;
use std::fs::{self, OpenOptions};
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use sled::Batch;
use uuid::Uuid;

use crate::disk::{Disk, WriteDisk};
use crate::folder::{Folder, io_error, sync_folder};
use crate::index::Index;
use crate::reader::Shared;
use crate::{JournalError, SledOptions};

/// Format of a store as a whole: keys and what lies under them. 2 knows volumes.
pub(crate) const STORE_FORMAT: u16 = 2;

const EPOCH: &[u8] = b"mepoch";
const FORMAT: &[u8] = b"mformat";
const TAILS: &[u8] = b"mtails";
const FIRST: &[u8] = b"mfirst";
const END: &[u8] = b"mend";
const COUNT: &[u8] = b"mcount";

/// Name of the first volume, and what those of the others begin with.
const NAME: &str = "store";

/// Memory for pages of a volume that is only read, in bytes.
pub(crate) const SEALED_CACHE_BYTES: u64 = 2 * 1024 * 1024;

/// What a volume written anew holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Thinned {
    /// The last record it stands for.
    pub(crate) end: u64,
    /// Records in it.
    pub(crate) records: u64,
}

/// An opened volume and what it says of itself.
#[derive(Debug)]
pub(crate) struct Volume {
    pub(crate) disk: WriteDisk,
    pub(crate) number: u32,
    pub(crate) path: PathBuf,
    pub(crate) epoch: Option<Uuid>,
    /// Number of its first record; `None` for one that waits for it.
    pub(crate) first: Option<u64>,
    pub(crate) thinned: Option<Thinned>,
    /// The history holds every record up to here.
    pub(crate) tails: u64,
}

impl Volume {
    fn open(number: u32, path: PathBuf, cache_bytes: u64) -> Result<Self, JournalError> {
        let disk = WriteDisk::open(&path, cache_bytes)?;
        let epoch = match disk.disk.get(EPOCH)? {
            Some(stored) => Some(
                Uuid::from_slice(&stored)
                    .map_err(|_| damaged(0, "the store's epoch cannot be read"))?,
            ),
            None => None,
        };
        let format = kept_number(&disk.disk, FORMAT)?.unwrap_or_default();
        if format > u64::from(STORE_FORMAT) {
            return Err(JournalError::FutureVersion {
                seq: 0,
                version: u16::try_from(format).unwrap_or(u16::MAX),
                known: STORE_FORMAT,
            });
        }
        let records = kept_number(&disk.disk, COUNT)?.unwrap_or_default();
        Ok(Self {
            number,
            epoch,
            // The first volume was there before volumes had a first record.
            first: kept_number(&disk.disk, FIRST)?.or((number == 1).then_some(1)),
            thinned: kept_number(&disk.disk, END)?.map(|end| Thinned { end, records }),
            tails: kept_number(&disk.disk, TAILS)?.unwrap_or_default(),
            path,
            disk,
        })
    }

    /// Number of the first record; only asked of volumes that have one.
    pub(crate) fn first(&self) -> u64 {
        self.first.unwrap_or(1)
    }

    /// The last record it stands for as far as it knows by itself.
    pub(crate) fn last(&self) -> Result<u64, JournalError> {
        let found = self.disk.disk.last_seq()?;
        let end = self.thinned.map_or(0, |thinned| thinned.end);
        Ok(found.max(end).max(self.first() - 1))
    }

    /// As readers see it.
    pub(crate) fn share(&self, index: Index, last: u64) -> Arc<Shared> {
        Arc::new(Shared::new(
            (self.disk.disk.clone(), self.path.clone()),
            index,
            (self.first(), last),
            self.thinned,
        ))
    }

    fn supersedes(&self, other: &Self) -> bool {
        self.thinned.is_some_and(|thinned| {
            other.number < self.number
                && other
                    .first
                    .is_some_and(|first| (self.first()..=thinned.end).contains(&first))
        })
    }
}

/// Opens every volume of the folder, oldest records first, and takes away what a crash left over. There is always at
/// least one, which may be new and without an epoch.
pub(crate) fn open_all(
    folder: &Folder,
    identity: Option<Uuid>,
    options: &SledOptions,
) -> Result<Vec<Volume>, JournalError> {
    let mut numbers = BTreeMap::new();
    for (number, path) in list(folder.path())? {
        numbers.insert(number, path);
    }
    if identity.is_some()
        && (numbers.is_empty() || numbers.values().any(|path| !path.join("db").exists()))
    {
        return Err(emptied());
    }
    if numbers.is_empty() {
        numbers.insert(1, folder.path().join(NAME));
    }
    let newest = numbers.keys().copied().max().unwrap_or(1);
    let mut volumes = Vec::with_capacity(numbers.len());
    for (number, path) in numbers {
        let cache = if number == newest {
            options.cache_bytes
        } else {
            SEALED_CACHE_BYTES
        };
        volumes.push(Volume::open(number, path, cache)?);
    }
    sync_folder(folder.path())?;
    check_epochs(&volumes, identity)?;
    let (kept, gone) = needed(volumes);
    for volume in gone {
        let path = volume.path.clone();
        drop(volume);
        remove(&path)?;
    }
    Ok(kept)
}

/// Those that are part of the chain in order, and those that are not: superseded by a thinned one, never begun, or begun
/// in vain because the disk failed again.
fn needed(volumes: Vec<Volume>) -> (Vec<Volume>, Vec<Volume>) {
    let stood_for = |volume: &Volume| {
        volumes.iter().any(|other| {
            let begins_anew = other.number > volume.number && other.first == volume.first;
            begins_anew || other.supersedes(volume)
        })
    };
    let superseded: Vec<bool> = volumes.iter().map(stood_for).collect();
    let (mut kept, mut gone) = (Vec::new(), Vec::new());
    for (volume, superseded) in volumes.into_iter().zip(superseded) {
        if superseded || volume.first.is_none() {
            gone.push(volume);
        } else {
            kept.push(volume);
        }
    }
    kept.sort_by_key(Volume::first);
    (kept, gone)
}

fn check_epochs(volumes: &[Volume], identity: Option<Uuid>) -> Result<(), JournalError> {
    let known = identity.or_else(|| volumes.iter().find_map(|volume| volume.epoch));
    for volume in volumes {
        match (volume.epoch, known) {
            (Some(epoch), Some(known)) if epoch != known => {
                return Err(damaged(
                    0,
                    "the folder was put together from two different stores",
                ));
            }
            // The epoch is durable before the first record is taken.
            (None, Some(_)) => return Err(emptied()),
            (None, None) if volume.disk.disk.last_seq()? > 0 => return Err(emptied()),
            _ => {}
        }
    }
    Ok(())
}

/// Notes the epoch in a store that was just made.
pub(crate) fn make_epoch(disk: &WriteDisk, epoch: Uuid) -> Result<(), JournalError> {
    let mut batch = Batch::default();
    put_identity(epoch, &mut batch);
    disk.commit(batch)
}

/// A volume to be made.
pub(crate) struct New<'a> {
    pub(crate) folder: &'a Path,
    pub(crate) number: u32,
    pub(crate) epoch: Uuid,
    pub(crate) cache_bytes: u64,
}

/// Makes a volume whole under a draft's name, filled by `fill`, then gives it its name. Durable when it returns.
pub(crate) fn make(
    new: &New<'_>,
    fill: impl FnOnce(&WriteDisk, &mut Batch) -> Result<(), JournalError>,
) -> Result<Volume, JournalError> {
    let New {
        folder,
        number,
        epoch,
        cache_bytes,
    } = *new;
    let path = folder.join(name_of(number));
    let draft = draft_of(&path);
    if draft.exists() {
        remove(&draft)?;
    }
    let disk = WriteDisk::open(&draft, SEALED_CACHE_BYTES)?;
    let mut batch = Batch::default();
    put_identity(epoch, &mut batch);
    fill(&disk, &mut batch)?;
    disk.commit(batch)?;
    disk.close();
    fs::rename(&draft, &path).map_err(io_error("rename to", &path))?;
    sync_folder(folder)?;
    Volume::open(number, path, cache_bytes)
}

/// Takes a volume away: first its name, which is one step, then the rest.
pub(crate) fn remove(path: &Path) -> Result<(), JournalError> {
    let draft = draft_of(path);
    if path != draft {
        if draft.exists() {
            fs::remove_dir_all(&draft).map_err(io_error("remove", &draft))?;
        }
        fs::rename(path, &draft).map_err(io_error("rename", path))?;
        // Or a power cut could leave the old name on a folder that is half empty.
        sync_folder(path.parent().unwrap_or(path))?;
    }
    fs::remove_dir_all(&draft).map_err(io_error("remove", &draft))
}

/// How many volumes may have been under way when the disk failed: the one that was written, the full one being finished,
/// and the next one, just made. What is being thinned is a draft, and goes.
const UNDER_WAY: usize = 3;

/// Bytes copied at a time by [`write_again`].
const COPIED: u64 = 1024 * 1024;

/// Writes the databases that were written last over with what they hold, and syncs them. After a sync that failed the
/// system may hold pages that never reached the disk and count them as safe; sled would build on them when it opens, and
/// be lost with them when the power fails. Written once more they have to be written back, or that fails as well.
pub(crate) fn write_again(folder: &Path) -> Result<(), JournalError> {
    let mut databases = Vec::new();
    for (_, path) in list(folder)? {
        let path = path.join("db");
        let changed = fs::metadata(&path)
            .and_then(|data| data.modified())
            .map_err(io_error("look at", &path))?;
        databases.push((changed, path));
    }
    databases.sort_unstable_by(|a, b| b.cmp(a));
    for (_, path) in databases.into_iter().take(UNDER_WAY) {
        write_file_again(&path).map_err(io_error("write again", &path))?;
    }
    Ok(())
}

fn write_file_again(path: &Path) -> io::Result<()> {
    let file = OpenOptions::new().read(true).write(true).open(path)?;
    let mut at = 0;
    loop {
        let mut bytes = Vec::new();
        (&file).seek(SeekFrom::Start(at))?;
        let read = (&file).take(COPIED).read_to_end(&mut bytes)?;
        if read == 0 {
            return file.sync_all();
        }
        (&file).seek(SeekFrom::Start(at))?;
        (&file).write_all(&bytes)?;
        at += read as u64;
    }
}

/// The volumes by name, after drafts were removed.
fn list(folder: &Path) -> Result<Vec<(u32, PathBuf)>, JournalError> {
    let mut found = Vec::new();
    for item in fs::read_dir(folder).map_err(io_error("list", folder))? {
        let path = item.map_err(io_error("list", folder))?.path();
        let Some(name) = path.file_name().and_then(|name| name.to_str()) else {
            continue;
        };
        if name.starts_with(NAME) && name.ends_with(DRAFT) {
            remove(&path)?;
        } else if let Some(number) = number_of(name) {
            found.push((number, path));
        }
    }
    Ok(found)
}

const DRAFT: &str = ".draft";

fn draft_of(path: &Path) -> PathBuf {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    path.with_file_name(format!("{}{DRAFT}", name.trim_end_matches(DRAFT)))
}

fn name_of(number: u32) -> String {
    match number {
        1 => NAME.to_owned(),
        _ => format!("{NAME}-{number:06}"),
    }
}

fn number_of(name: &str) -> Option<u32> {
    if name == NAME {
        return Some(1);
    }
    let digits = name.strip_prefix(NAME)?.strip_prefix('-')?;
    digits.parse().ok().filter(|number| *number > 1)
}

fn put_identity(epoch: Uuid, batch: &mut Batch) {
    batch.insert(EPOCH, epoch.as_bytes().as_slice());
    put_number(FORMAT, u64::from(STORE_FORMAT), batch);
}

/// Notes the first record of a volume.
pub(crate) fn put_first(first: u64, batch: &mut Batch) {
    put_number(FIRST, first, batch);
}

/// Notes up to which record the history is kept.
pub(crate) fn put_tails(last: u64, batch: &mut Batch) {
    put_number(TAILS, last, batch);
}

/// Notes that a volume is thinned, and what it stands for.
pub(crate) fn put_thinned(first: u64, thinned: Thinned, batch: &mut Batch) {
    put_first(first, batch);
    put_number(END, thinned.end, batch);
    put_number(COUNT, thinned.records, batch);
    put_tails(thinned.end, batch);
}

fn put_number(key: &[u8], number: u64, batch: &mut Batch) {
    batch.insert(key, &number.to_be_bytes());
}

/// A number kept in the store.
fn kept_number(disk: &Disk, key: &[u8]) -> Result<Option<u64>, JournalError> {
    let Some(value) = disk.get(key)? else {
        return Ok(None);
    };
    let bytes = value.as_ref().try_into();
    bytes
        .map(|bytes| Some(u64::from_be_bytes(bytes)))
        .map_err(|_| damaged(0, "the store's own notes cannot be read"))
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
