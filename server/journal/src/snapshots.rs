//! The fleet at some record, in a file of its own: makes a start fast, and proves how far the journal once was.
//!
//! `fleet-<seq>.snap` is `magic, version u16, seq u64, SHA-256 over version, seq and payload, payload`; the payload is
//! the fleet as `MessagePack`. It holds the *result* of the fold, so [`SNAPSHOT_VERSION`] must be raised whenever the
//! fold (crew's `apply`, or a filter inside it) changes what it makes of the same records: old snapshots are then passed
//! over and the records folded anew.

use std::fs;
use std::path::{Path, PathBuf};

use sha2::{Digest, Sha256};
use swapcall_crew::Fleet;

use crate::JournalError;
use crate::encoding::{decode, encode};
use crate::folder::{io_error, sync_folder, write_whole};

/// Version of the fleet in a snapshot; see the module for when to raise it.
pub(crate) const SNAPSHOT_VERSION: u16 = 13;

const MAGIC: &[u8; 8] = b"swapcall";
const SUM_BYTES: usize = 32;
const HEAD_BYTES: usize = MAGIC.len() + 2 + 8 + SUM_BYTES;

/// How many snapshots stay: the older one is there for the day the newer one cannot be read.
const KEPT: usize = 2;

/// What the snapshots of a folder yield.
#[derive(Debug, Default)]
pub(crate) struct Found {
    /// The newest fleet that can be used.
    pub(crate) fleet: Option<Fleet>,
    /// The highest record any whole snapshot was taken at, usable or not.
    pub(crate) proven: u64,
    /// Those that cannot be used, newest first, and why.
    pub(crate) passed_over: Vec<String>,
}

fn sum(version: [u8; 2], seq: [u8; 8], payload: &[u8]) -> [u8; SUM_BYTES] {
    let mut hasher = Sha256::new();
    hasher.update(version);
    hasher.update(seq);
    hasher.update(payload);
    hasher.finalize().into()
}

fn name_of(seq: u64) -> String {
    // Twenty digits hold every number, so names sort as numbers do.
    format!("fleet-{seq:020}.snap")
}

/// Writes a snapshot and removes those that are too many.
pub(crate) fn write(folder: &Path, fleet: &Fleet) -> Result<(), JournalError> {
    write_as(folder, fleet, SNAPSHOT_VERSION)
}

pub(crate) fn write_as(folder: &Path, fleet: &Fleet, version: u16) -> Result<(), JournalError> {
    let bytes = bytes_as(fleet, version)?;
    write_whole(folder, &name_of(fleet.seq()), &bytes)?;
    let drafts = with_extension(folder, "draft")?;
    for old in newest_first(folder)?.into_iter().skip(KEPT).chain(drafts) {
        fs::remove_file(&old).map_err(io_error("remove", &old))?;
    }
    sync_folder(folder)
}

/// A snapshot's bytes.
pub(crate) fn bytes_of(fleet: &Fleet) -> Result<Vec<u8>, JournalError> {
    bytes_as(fleet, SNAPSHOT_VERSION)
}

fn bytes_as(fleet: &Fleet, version: u16) -> Result<Vec<u8>, JournalError> {
    let payload = encode(fleet)?;
    let (version, seq) = (version.to_be_bytes(), fleet.seq().to_be_bytes());
    let mut bytes = Vec::with_capacity(HEAD_BYTES + payload.len());
    bytes.extend_from_slice(MAGIC);
    bytes.extend_from_slice(&version);
    bytes.extend_from_slice(&seq);
    bytes.extend_from_slice(&sum(version, seq, &payload));
    bytes.extend_from_slice(&payload);
    Ok(bytes)
}

/// The fleet in a snapshot's bytes, or why it cannot be used.
pub(crate) fn read(bytes: &[u8]) -> Result<Fleet, String> {
    let (version, seq, payload) = whole(bytes)?;
    usable(version, seq, payload)
}

/// The newest snapshot that can be used, and what all of them prove.
pub(crate) fn find(folder: &Path) -> Result<Found, JournalError> {
    let mut found = Found::default();
    for path in newest_first(folder)? {
        let bytes = fs::read(&path).map_err(io_error("read", &path))?;
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        let fleet = whole(&bytes).and_then(|(version, seq, payload)| {
            found.proven = found.proven.max(seq);
            // An older one next to a usable newer one is only asked what it proves.
            match found.fleet {
                Some(_) => Ok(None),
                None => usable(version, seq, payload).map(Some),
            }
        });
        match fleet {
            Ok(Some(fleet)) => found.fleet = Some(fleet),
            Ok(None) => {}
            Err(why) => found.passed_over.push(format!("{name}: {why}")),
        }
    }
    Ok(found)
}

fn newest_first(folder: &Path) -> Result<Vec<PathBuf>, JournalError> {
    let mut paths = with_extension(folder, "snap")?;
    paths.sort_unstable_by(|a, b| b.cmp(a));
    Ok(paths)
}

fn with_extension(folder: &Path, wanted: &str) -> Result<Vec<PathBuf>, JournalError> {
    let failed = || io_error("list", folder);
    let mut paths = Vec::new();
    for item in fs::read_dir(folder).map_err(failed())? {
        let path = item.map_err(failed())?.path();
        if path
            .extension()
            .is_some_and(|extension| extension == wanted)
        {
            paths.push(path);
        }
    }
    Ok(paths)
}

/// Version, sequence number and payload of a file that is whole.
fn whole(bytes: &[u8]) -> Result<(u16, u64, &[u8]), String> {
    let parts = bytes.split_first_chunk::<8>().and_then(|(magic, rest)| {
        let (version, rest) = rest.split_first_chunk::<2>()?;
        let (seq, rest) = rest.split_first_chunk::<8>()?;
        let (stated, payload) = rest.split_first_chunk::<SUM_BYTES>()?;
        let whole = magic == MAGIC && *stated == sum(*version, *seq, payload);
        whole.then_some((*version, *seq, payload))
    });
    let (version, seq, payload) = parts.ok_or("it is damaged")?;
    Ok((
        u16::from_be_bytes(version),
        u64::from_be_bytes(seq),
        payload,
    ))
}

fn usable(version: u16, seq: u64, payload: &[u8]) -> Result<Fleet, String> {
    if version != SNAPSHOT_VERSION {
        return Err(format!(
            "it is of version {version}, this program makes {SNAPSHOT_VERSION}"
        ));
    }
    let fleet: Fleet = decode(payload).map_err(|error| format!("it cannot be read: {error}"))?;
    if fleet.seq() == seq {
        Ok(fleet)
    } else {
        Err("it does not hold what it says".to_owned())
    }
}
