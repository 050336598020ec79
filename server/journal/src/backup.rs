//! A journal in one file: what a running hub hands out, and what a new folder is made from.
//!
//! ```text
//! "swapcall-backup\n"  version u8  epoch (16 bytes)  number of the last record u64
//! frames: kind u8, length u32, payload
//!   1  the fleet at the last record, as in a snapshot file; comes first
//!   2  a record: its number u64, then the value as it lies in the store, with its own checksum
//!   3  the end: number of records u64, SHA-256 over everything before this frame
//! ```
//!
//! Numbers are big-endian. Records come in order; numbers are left out where old readings were thinned. The fleet makes
//! the restored hub exact in what the records alone no longer say, such as report ids it has seen.

use std::io::{Read, Write};
use std::path::Path;

use sha2::{Digest, Sha256};
use swapcall_crew::{Entry, Fleet, Record};
use uuid::Uuid;

use crate::encoding;
use crate::folder::Folder;
use crate::index::Index;
use crate::recover::whole_record;
use crate::snapshots;
use crate::volume::{self, New, SEALED_CACHE_BYTES, Thinned};
use crate::{JournalError, JournalReader};

const MAGIC: &[u8; 16] = b"swapcall-backup\n";
const VERSION: u8 = 1;

const FLEET: u8 = 1;
const RECORD: u8 = 2;
const END: u8 = 3;

/// A fleet of thousands of units with all their report ids stays far below.
const FRAME_BYTES_MAX: u32 = 1024 * 1024 * 1024;

/// Frames handed out at a time, in bytes, give or take a record.
const PART_BYTES: usize = 4 * 1024 * 1024;

/// Records written to the new store at a time.
const CHUNK: usize = 2_048;

/// What a backup holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct BackedUp {
    /// Identity of the store it was taken of.
    pub epoch: Uuid,
    /// Number of its last record.
    pub last_seq: u64,
    /// Records in it.
    pub records: u64,
    /// Of these, readings.
    pub readings: u64,
}

/// The fleet as a frame of a backup.
pub fn fleet_frame(fleet: &Fleet) -> Result<Vec<u8>, JournalError> {
    Ok(frame(FLEET, &snapshots::bytes_of(fleet)?))
}

/// Records after `after` and up to `until` as frames, at most `at_most`. Empty when there are none left.
pub fn record_frames(
    reader: &dyn JournalReader,
    (after, until): (u64, u64),
    at_most: usize,
) -> Result<Vec<u8>, JournalError> {
    let mut frames = Vec::new();
    for entry in reader.entries(after, at_most)? {
        if entry.seq > until {
            break;
        }
        let mut payload = entry.seq.to_be_bytes().to_vec();
        payload.extend(encoding::record_value(&entry)?);
        frames.extend(frame(RECORD, &payload));
        if frames.len() >= PART_BYTES {
            break;
        }
    }
    Ok(frames)
}

/// The fleet's frame taken apart: the number of the record it stands at.
pub fn fleet_seq(frame: &[u8]) -> Result<u64, JournalError> {
    let (kind, payload) = only_frame(frame)?;
    if kind != FLEET {
        return Err(bad("the fleet is missing"));
    }
    Ok(snapshots::read(payload)
        .map_err(JournalError::BadBackup)?
        .seq())
}

fn only_frame(mut bytes: &[u8]) -> Result<(u8, &[u8]), JournalError> {
    let mut head = [0; 5];
    bytes
        .read_exact(&mut head)
        .map_err(|_| bad("it is cut short"))?;
    Ok((head[0], bytes))
}

fn frame(kind: u8, payload: &[u8]) -> Vec<u8> {
    let length = u32::try_from(payload.len()).unwrap_or(u32::MAX);
    let mut frame = Vec::with_capacity(5 + payload.len());
    frame.push(kind);
    frame.extend_from_slice(&length.to_be_bytes());
    frame.extend_from_slice(payload);
    frame
}

fn bad(why: &str) -> JournalError {
    JournalError::BadBackup(why.to_owned())
}

/// Puts a backup together from frames.
#[derive(Debug)]
pub struct BackupWriter<W> {
    out: W,
    sum: Sha256,
    records: u64,
    last: u64,
}

impl<W: Write> BackupWriter<W> {
    /// Begins a backup of the store `epoch` with the fleet's frame.
    pub fn begin(out: W, epoch: Uuid, fleet: &[u8]) -> std::io::Result<Self> {
        let last = fleet_seq(fleet).map_err(std::io::Error::other)?;
        let mut writer = Self {
            out,
            sum: Sha256::new(),
            records: 0,
            last: 0,
        };
        writer.write(MAGIC)?;
        writer.write(&[VERSION])?;
        writer.write(epoch.as_bytes())?;
        writer.write(&last.to_be_bytes())?;
        writer.write(fleet)?;
        Ok(writer)
    }

    fn write(&mut self, bytes: &[u8]) -> std::io::Result<()> {
        self.sum.update(bytes);
        self.out.write_all(bytes)
    }

    /// Adds frames of records as they came; answers the number of the last.
    pub fn add(&mut self, frames: &[u8]) -> std::io::Result<u64> {
        let mut rest = frames;
        while let Some((kind, payload)) = next_frame(&mut rest).map_err(std::io::Error::other)? {
            let (seq, _) = record_of(kind, &payload).map_err(std::io::Error::other)?;
            self.records += 1;
            self.last = seq;
        }
        self.write(frames)?;
        Ok(self.last)
    }

    /// Writes the end and gives the sink back, to be synced.
    pub fn finish(mut self) -> std::io::Result<W> {
        let mut payload = self.records.to_be_bytes().to_vec();
        payload.extend_from_slice(&self.sum.finalize());
        self.out.write_all(&frame(END, &payload))?;
        self.out.flush()?;
        Ok(self.out)
    }
}

/// The next frame, or `None` at the end of the bytes.
fn next_frame(from: &mut impl Read) -> Result<Option<(u8, Vec<u8>)>, JournalError> {
    let mut kind = [0; 1];
    if from
        .read(&mut kind)
        .map_err(|error| bad(&error.to_string()))?
        == 0
    {
        return Ok(None);
    }
    let short = |_| bad("it is cut short");
    let mut length = [0; 4];
    from.read_exact(&mut length).map_err(short)?;
    let length = u32::from_be_bytes(length);
    if length > FRAME_BYTES_MAX {
        return Err(bad("a part of it is impossibly long"));
    }
    let mut payload = Vec::new();
    from.take(u64::from(length))
        .read_to_end(&mut payload)
        .map_err(|error| bad(&error.to_string()))?;
    if payload.len() as u64 != u64::from(length) {
        return Err(bad("it is cut short"));
    }
    Ok(Some((kind[0], payload)))
}

fn record_of(kind: u8, payload: &[u8]) -> Result<(u64, &[u8]), JournalError> {
    match payload.split_first_chunk::<8>() {
        Some((seq, value)) if kind == RECORD => Ok((u64::from_be_bytes(*seq), value)),
        _ => Err(bad("a record was expected")),
    }
}

/// Reads a whole backup and hands its records to `see` in chunks, after the fleet. Every checksum is checked; the one
/// over all of it only at the end, so what `see` did must be taken back when this fails.
fn walk(
    from: &mut impl Read,
    mut see: impl FnMut(&[Entry]) -> Result<(), JournalError>,
) -> Result<(BackedUp, Fleet), JournalError> {
    let mut from = Summing {
        from,
        sum: Sha256::new(),
    };
    let mut head = [0; 41];
    from.read_exact(&mut head)
        .map_err(|_| bad("it is cut short"))?;
    if !head.starts_with(MAGIC) {
        return Err(bad("it does not begin like one"));
    }
    if head[16] != VERSION {
        return Err(bad("a newer program made it"));
    }
    let number = |bytes: &[u8]| bytes.try_into().map_or(0, u64::from_be_bytes);
    let mut backed_up = BackedUp {
        epoch: Uuid::from_slice(&head[17..33]).unwrap_or_default(),
        last_seq: number(&head[33..41]),
        records: 0,
        readings: 0,
    };
    let fleet = match next_frame(&mut from)? {
        Some((FLEET, payload)) => snapshots::read(&payload).map_err(JournalError::BadBackup)?,
        _ => return Err(bad("the fleet is missing")),
    };
    let (mut chunk, mut last) = (Vec::new(), 0);
    loop {
        let sum = from.sum.clone();
        let Some((kind, payload)) = next_frame(&mut from)? else {
            return Err(bad("its end is missing"));
        };
        if kind == END {
            see(&chunk)?;
            let whole = payload
                .split_first_chunk::<8>()
                .is_some_and(|(count, stated)| {
                    u64::from_be_bytes(*count) == backed_up.records && sum.finalize()[..] == *stated
                });
            let complete = last == backed_up.last_seq && fleet.seq() == last;
            return match (whole, complete) {
                (true, true) => Ok((backed_up, fleet)),
                (true, false) => Err(bad("records are missing")),
                (false, _) => Err(bad("its checksum is wrong")),
            };
        }
        let (seq, value) = record_of(kind, &payload)?;
        if seq <= last {
            return Err(bad("its records are not in order"));
        }
        last = seq;
        let entry = whole_record(seq, value)?;
        backed_up.records += 1;
        backed_up.readings += u64::from(matches!(entry.record, Record::Reading(_)));
        chunk.push(entry);
        if chunk.len() == CHUNK {
            see(&chunk)?;
            chunk.clear();
        }
    }
}

/// A reader that sums up what passes.
struct Summing<R> {
    from: R,
    sum: Sha256,
}

impl<R: Read> Read for Summing<R> {
    fn read(&mut self, into: &mut [u8]) -> std::io::Result<usize> {
        let count = self.from.read(into)?;
        self.sum.update(&into[..count]);
        Ok(count)
    }
}

/// Reads a backup from its first byte to its last and checks everything in it.
pub fn verify_backup(mut from: impl Read) -> Result<BackedUp, JournalError> {
    Ok(walk(&mut from, |_| Ok(()))?.0)
}

/// Makes a journal in `folder`, which must not hold one, from a backup. It gets an identity of its own, `epoch`: clients
/// that knew the old one take a fresh snapshot. Broken off, it leaves a folder that can be restored into again.
pub fn restore(mut from: impl Read, folder: &Path, epoch: Uuid) -> Result<BackedUp, JournalError> {
    let folder = Folder::lock(folder)?;
    if folder.identity()?.is_some() {
        return Err(JournalError::NotEmpty {
            folder: folder.path().to_path_buf(),
        });
    }
    let mut index = Index::default();
    let mut restored = None;
    let volume = volume::make(
        &New {
            folder: folder.path(),
            number: 1,
            epoch,
            cache_bytes: SEALED_CACHE_BYTES,
        },
        |disk, last_batch| {
            let (backed_up, fleet) = walk(&mut from, |entries| index.write(entries, disk))?;
            index.keep_tails(last_batch)?;
            let thinned = Thinned {
                end: backed_up.last_seq,
                records: backed_up.records,
            };
            volume::put_thinned(1, thinned, last_batch);
            restored = Some((backed_up, fleet));
            Ok(())
        },
    )?;
    volume.disk.close();
    let (backed_up, fleet) = restored.ok_or_else(|| bad("nothing was in it"))?;
    snapshots::write(&folder.snapshots(), &fleet)?;
    // Last: a folder with an identity holds a whole journal.
    folder.write_identity(epoch)?;
    Ok(backed_up)
}
