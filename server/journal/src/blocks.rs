//! History on the disk: per unit, blocks of 64 points with their bounds.
//!
//! A block holds points in the order of their acceptance. A cart that was away sends old observations late, so a block's
//! points need not be in order of time and blocks may overlap: its least and greatest time are kept beside it, under a
//! key of their own, and only blocks that can hold something of a window are fetched. The bounds of all blocks stand in
//! memory: 24 bytes for each 64 points.

use swapcall_crew::{Callsign, HistoryPoint, Millis, Mode};

use crate::JournalError;
use crate::encoding::{decode, encode};

/// Points in a full block.
pub(crate) const BLOCK_POINTS: usize = 64;

/// Version of a block's encoding.
const BLOCK_VERSION: u8 = 1;

const BLOCK: u8 = b'h';
const BOUNDS: u8 = b'i';
/// First byte of every bounds key.
pub(crate) const BOUNDS_PREFIX: &[u8] = &[BOUNDS];
const BOUNDS_BYTES: usize = 3 * 8 + 1;

/// The least and greatest time in a block, and the last record in it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Bounds {
    pub(crate) min: Millis,
    pub(crate) max: Millis,
    pub(crate) last_seq: u64,
}

impl Bounds {
    /// Of some points; `None` when there are none.
    pub(crate) fn of(points: &[(u64, HistoryPoint)]) -> Option<Self> {
        let times = || points.iter().map(|(_, point)| point.observed);
        Some(Self {
            min: times().min()?,
            max: times().max()?,
            last_seq: points.last()?.0,
        })
    }

    /// Whether something in `[from, to)` can be in the block.
    pub(crate) fn touch(&self, from: Millis, to: Millis) -> bool {
        self.max >= from && self.min < to
    }

    /// The stored form, with the number of points.
    pub(crate) fn value(&self, points: usize) -> Vec<u8> {
        let mut value = Vec::with_capacity(BOUNDS_BYTES);
        value.extend_from_slice(&self.min.0.to_be_bytes());
        value.extend_from_slice(&self.max.0.to_be_bytes());
        value.extend_from_slice(&self.last_seq.to_be_bytes());
        value.push(points as u8);
        value
    }

    /// Reads the stored form: the bounds and the number of points.
    pub(crate) fn read(value: &[u8]) -> Option<(Self, usize)> {
        if value.len() != BOUNDS_BYTES {
            return None;
        }
        let number = |at: usize| value.get(at..at + 8)?.try_into().ok();
        let bounds = Self {
            min: Millis(i64::from_be_bytes(number(0)?)),
            max: Millis(i64::from_be_bytes(number(8)?)),
            last_seq: u64::from_be_bytes(number(16)?),
        };
        Some((bounds, usize::from(value[24])))
    }
}

/// Key of a block.
pub(crate) fn block_key(unit: &Callsign, number: usize) -> Vec<u8> {
    key(BLOCK, unit, number)
}

/// Key of a block's bounds.
pub(crate) fn bounds_key(unit: &Callsign, number: usize) -> Vec<u8> {
    key(BOUNDS, unit, number)
}

/// A callsign holds no zero byte, so the zero ends it, and no callsign's keys lie among another's.
fn key(kind: u8, unit: &Callsign, number: usize) -> Vec<u8> {
    let mut key = Vec::with_capacity(unit.as_str().len() + 10);
    key.push(kind);
    key.extend_from_slice(unit.as_str().as_bytes());
    key.push(0);
    key.extend_from_slice(&(number as u64).to_be_bytes());
    key
}

/// Unit and block number of a bounds key.
pub(crate) fn parse_bounds_key(key: &[u8]) -> Option<(Callsign, usize)> {
    let (rest, number) = key.split_last_chunk::<8>()?;
    let name = rest.strip_prefix(BOUNDS_PREFIX)?.strip_suffix(&[0])?;
    let unit = Callsign::new(std::str::from_utf8(name).ok()?).ok()?;
    let number = usize::try_from(u64::from_be_bytes(*number)).ok()?;
    Some((unit, number))
}

/// One point as stored: milliseconds after the block's first point, mode and external power, battery, cards.
type StoredPoint = (i64, u8, Option<f32>, Vec<f32>);

const EXTERNAL: u8 = 4;
const MODE: u8 = 3;

/// The stored form of a block.
pub(crate) fn block_value(points: &[(u64, HistoryPoint)]) -> Result<Vec<u8>, JournalError> {
    let base = points.first().map_or(0, |(_, point)| point.observed.0);
    let stored: Vec<StoredPoint> = points
        .iter()
        .map(|(_, point)| store_point(base, point))
        .collect();
    encode(&(BLOCK_VERSION, base, stored))
}

fn store_point(base: i64, point: &HistoryPoint) -> StoredPoint {
    // Taken apart by name, so that a new member cannot be forgotten here.
    let HistoryPoint {
        observed,
        mode,
        battery,
        external,
        cards,
    } = point;
    let mode = match mode {
        None => 0,
        Some(Mode::Off) => 1,
        Some(Mode::Standby) => 2,
        Some(Mode::Recording) => 3,
    };
    let flags = mode | if *external { EXTERNAL } else { 0 };
    // Wrapping, and the same on the way back: exact for every pair of times.
    (
        observed.0.wrapping_sub(base),
        flags,
        *battery,
        cards.clone(),
    )
}

fn read_point(base: i64, stored: StoredPoint) -> HistoryPoint {
    let (after, flags, battery, cards) = stored;
    HistoryPoint {
        observed: Millis(base.wrapping_add(after)),
        mode: match flags & MODE {
            0 => None,
            1 => Some(Mode::Off),
            2 => Some(Mode::Standby),
            _ => Some(Mode::Recording),
        },
        battery,
        external: flags & EXTERNAL != 0,
        cards,
    }
}

/// Reads a block back. `last_seq` is the record named when something is wrong.
pub(crate) fn read_block(last_seq: u64, value: &[u8]) -> Result<Vec<HistoryPoint>, JournalError> {
    let (version, base, stored): (u8, i64, Vec<StoredPoint>) =
        decode(value).map_err(|error| JournalError::Corrupt {
            seq: last_seq,
            why: format!("a block of history cannot be read: {error}"),
        })?;
    if version > BLOCK_VERSION {
        return Err(JournalError::FutureVersion {
            seq: last_seq,
            version: u16::from(version),
            known: u16::from(BLOCK_VERSION),
        });
    }
    Ok(stored
        .into_iter()
        .map(|point| read_point(base, point))
        .collect())
}
