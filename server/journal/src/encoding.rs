//! How a record lies on the disk: version, checksum, payload.
//!
//! A value is `[version u8][first 8 bytes of SHA-256 over sequence number, version and payload][payload]`; the payload
//! is `(at, record)` as `MessagePack` with structs as arrays. The sequence number is part of the checksum, so a value that
//! ends up under another key does not check out.

use serde::Serialize;
use serde::de::DeserializeOwned;
use sha2::{Digest, Sha256};
use swapcall_crew::{Entry, Fleet, Millis, Record};

use crate::JournalError;

/// Version of a record's encoding. A program reads every version up to its own.
pub const RECORD_VERSION: u8 = 1;

/// The most bytes one encoded record may take. The largest real one, limits for every unit of a full fleet, takes about
/// a third of it. Large records lie in the store in small pieces.
pub const RECORD_BYTES_MAX: usize = 1024 * 1024;

const CHECKSUM_BYTES: usize = 8;
const HEAD_BYTES: usize = 1 + CHECKSUM_BYTES;

/// What is wrong with a stored value.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum BadRecord {
    /// Written by a newer program, and whole.
    Future(u8),
    /// Does not check out.
    Damaged(String),
}

/// A value as `MessagePack` with structs as arrays.
pub(crate) fn encode<T: Serialize>(value: &T) -> Result<Vec<u8>, JournalError> {
    rmp_serde::to_vec(value)
        .map_err(|error| JournalError::Store(format!("cannot encode a record: {error}")))
}

/// The other way.
pub(crate) fn decode<T: DeserializeOwned>(bytes: &[u8]) -> Result<T, rmp_serde::decode::Error> {
    rmp_serde::from_slice(bytes)
}

fn checksum(seq: u64, version: u8, payload: &[u8]) -> [u8; CHECKSUM_BYTES] {
    let mut hasher = Sha256::new();
    hasher.update(seq.to_be_bytes());
    hasher.update([version]);
    hasher.update(payload);
    let mut first = [0; CHECKSUM_BYTES];
    first.copy_from_slice(&hasher.finalize()[..CHECKSUM_BYTES]);
    first
}

/// The stored form of an entry.
pub fn record_value(entry: &Entry) -> Result<Vec<u8>, JournalError> {
    let payload = encode(&(entry.at, &entry.record))?;
    let value = sealed(entry.seq, RECORD_VERSION, &payload);
    if value.len() > RECORD_BYTES_MAX {
        return Err(JournalError::TooLarge {
            seq: entry.seq,
            bytes: value.len(),
            most: RECORD_BYTES_MAX,
        });
    }
    Ok(value)
}

/// Puts version and checksum before a payload.
pub fn sealed(seq: u64, version: u8, payload: &[u8]) -> Vec<u8> {
    let mut value = Vec::with_capacity(HEAD_BYTES + payload.len());
    value.push(version);
    value.extend_from_slice(&checksum(seq, version, payload));
    value.extend_from_slice(payload);
    value
}

/// Reads a stored value back. The checksum comes first: a version is believed only when the value is whole.
pub fn read_record(seq: u64, value: &[u8]) -> Result<Entry, BadRecord> {
    let Some((head, payload)) = value.split_at_checked(HEAD_BYTES) else {
        return Err(BadRecord::Damaged("it is cut short".to_owned()));
    };
    let version = head[0];
    if head[1..] != checksum(seq, version, payload) {
        return Err(BadRecord::Damaged("its checksum is wrong".to_owned()));
    }
    if version > RECORD_VERSION {
        return Err(BadRecord::Future(version));
    }
    let (at, record): (Millis, Record) = decode(payload)
        .map_err(|error| BadRecord::Damaged(format!("it is whole but cannot be read: {error}")))?;
    Ok(Entry { seq, at, record })
}

/// Whether `entries` continue a journal whose last entry has this number and time.
pub(crate) fn check_order(last: (u64, Millis), entries: &[Entry]) -> Result<(), JournalError> {
    let (mut seq, mut at) = last;
    for entry in entries {
        if entry.seq != seq + 1 || entry.at < at {
            return Err(JournalError::OutOfOrder {
                expected: seq + 1,
                found: entry.seq,
            });
        }
        (seq, at) = (entry.seq, entry.at);
    }
    Ok(())
}

/// A snapshot ahead of or behind the journal would be a lie about it.
pub(crate) fn check_snapshot(last: u64, fleet: &Fleet) -> Result<(), JournalError> {
    if fleet.seq() == last {
        Ok(())
    } else {
        Err(JournalError::OutOfOrder {
            expected: last,
            found: fleet.seq(),
        })
    }
}
