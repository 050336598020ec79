//! Reading everything again.

use std::collections::BTreeMap;

use swapcall_crew::{Callsign, Millis, Record};

use crate::JournalError;
use crate::reader::Shared;

/// Records checked at a time.
const CHUNK: usize = 1024;

/// What [`crate::SledJournal::verify`] has looked at.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Verified {
    /// Records with a good checksum.
    pub records: u64,
    /// Number of the last of them.
    pub last_seq: u64,
    /// Records that were thinned out on purpose: the numbers between 1 and the last that are no longer there.
    pub thinned_out: u64,
    /// Points of history, as many for each unit as it has readings.
    pub history_points: u64,
    /// Volumes.
    pub volumes: u64,
}

/// Checks one volume: every record whole, none missing but where it is thinned, and the history matching the readings.
pub(crate) fn verify_volume(volume: &Shared, verified: &mut Verified) -> Result<(), JournalError> {
    let mut readings: BTreeMap<Callsign, u64> = BTreeMap::new();
    let mut after = volume.first() - 1;
    let mut records = 0;
    while after < volume.last_seq() {
        let entries = volume.entries(after, CHUNK)?;
        let Some(last) = entries.last() else { break };
        after = last.seq;
        records += entries.len() as u64;
        for entry in &entries {
            if let Record::Reading(reading) = &entry.record {
                *readings.entry(reading.unit.clone()).or_default() += 1;
            }
        }
    }
    if after != volume.last_seq() {
        return Err(damaged(after + 1, "it is missing"));
    }
    if volume
        .thinned()
        .is_some_and(|thinned| thinned.records != records)
    {
        return Err(damaged(
            after,
            "the thinned volume that ends here has lost records",
        ));
    }
    let units: Vec<Callsign> = volume
        .index()
        .units()
        .map(|(unit, _)| unit.clone())
        .collect();
    for unit in units {
        let points = volume.history(&unit, Millis(i64::MIN), Millis(i64::MAX))?;
        if readings.remove(&unit).unwrap_or_default() != points.len() as u64 {
            return Err(damaged(
                after,
                "a unit's history does not match its readings",
            ));
        }
        verified.history_points += points.len() as u64;
    }
    if !readings.is_empty() {
        return Err(damaged(after, "a unit's history is missing"));
    }
    verified.records += records;
    verified.last_seq = after;
    verified.thinned_out = verified.last_seq - verified.records;
    verified.volumes += 1;
    Ok(())
}

fn damaged(seq: u64, why: &str) -> JournalError {
    JournalError::Corrupt {
        seq,
        why: why.to_owned(),
    }
}
