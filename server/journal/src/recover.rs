//! From what lies on the disk to the fleet: check, fold, and cut a torn tail.

use sled::Batch;
use swapcall_crew::{Entry, Fleet};

use crate::disk::WriteDisk;
use crate::encoding::{BadRecord, RECORD_VERSION, read_record};
use crate::index::Index;
use crate::snapshots;
use crate::{Cut, JournalError, Recovery};

/// Records read at a time.
const CHUNK: usize = 1024;

/// What the disk held.
#[derive(Debug)]
pub(crate) struct Recovered {
    pub(crate) fleet: Fleet,
    pub(crate) index: Index,
    pub(crate) recovery: Recovery,
}

/// What is known before the first record is read.
#[derive(Debug)]
pub(crate) struct Evidence {
    pub(crate) snapshots: snapshots::Found,
    /// The history holds every record up to here.
    pub(crate) tails_kept_at: u64,
    /// The last record at the last clean end.
    pub(crate) marked: u64,
}

/// Folds the records onto the newest snapshot. Records behind it were checked when they were folded the first time and
/// are not read again; those after it are checked one by one.
pub(crate) fn recover(disk: &WriteDisk, evidence: Evidence) -> Result<Recovered, JournalError> {
    let snapshots = evidence.snapshots;
    let proven = snapshots.proven.max(evidence.marked);
    let tails_kept_at = evidence.tails_kept_at;
    check_not_lost(disk.disk.last_seq()?, proven, tails_kept_at)?;
    let fleet = snapshots.fleet.unwrap_or_default();
    let folded = fleet.seq();
    let mut replay = Replay {
        disk,
        fleet,
        index: Index::load(&disk.disk)?,
        expected: folded.min(tails_kept_at) + 1,
        bad: None,
        bad_records: 0,
    };
    replay.run()?;
    let last = replay.expected - 1;
    check_not_lost(last, proven, tails_kept_at)?;
    let cut = replay.cut()?;
    Ok(Recovered {
        recovery: Recovery {
            records_replayed: last - folded,
            from_snapshot: (folded > 0).then_some(folded),
            cut,
            created: false,
            snapshots_passed_over: snapshots.passed_over,
        },
        fleet: replay.fleet,
        index: replay.index,
    })
}

/// Whether the store, whose last good record is `found`, still holds what it must.
fn check_not_lost(found: u64, proven: u64, tails_kept_at: u64) -> Result<(), JournalError> {
    if found < proven {
        return Err(JournalError::LostRecords { proven, found });
    }
    if found < tails_kept_at {
        // Noted inside the store itself, so this is no loss of its end.
        return Err(JournalError::Corrupt {
            seq: found + 1,
            why: "it is missing, yet the store itself says that it was there".to_owned(),
        });
    }
    Ok(())
}

struct Replay<'a> {
    disk: &'a WriteDisk,
    fleet: Fleet,
    index: Index,
    /// The record that must come next.
    expected: u64,
    /// The first record that is not good, and why.
    bad: Option<(u64, String)>,
    bad_records: u64,
}

impl Replay<'_> {
    fn run(&mut self) -> Result<(), JournalError> {
        let mut from = self.expected;
        loop {
            let chunk = self.disk.disk.records(from, CHUNK)?;
            let Some((last, _)) = chunk.last() else {
                return Ok(());
            };
            from = last + 1;
            let mut good = Vec::with_capacity(chunk.len());
            for (seq, value) in &chunk {
                good.extend(self.check(*seq, value)?);
            }
            self.fold(&good)?;
        }
    }

    /// The entry, when it is good and everything before it was.
    fn check(&mut self, seq: u64, value: &[u8]) -> Result<Option<Entry>, JournalError> {
        let read = read_record(seq, value);
        if self.bad.is_none() && seq != self.expected {
            self.bad = Some((self.expected, "it is missing".to_owned()));
        }
        match (read, &self.bad) {
            // Something whole comes after something that is not: no torn tail looks like this.
            (Ok(_) | Err(BadRecord::Future(_)), Some((seq, why))) => Err(JournalError::Corrupt {
                seq: *seq,
                why: format!("{why}, yet whole records follow"),
            }),
            (Ok(entry), None) => {
                self.expected += 1;
                Ok(Some(entry))
            }
            (Err(BadRecord::Future(version)), None) => Err(JournalError::FutureVersion {
                seq,
                version: u16::from(version),
                known: u16::from(RECORD_VERSION),
            }),
            (Err(BadRecord::Damaged(why)), bad) => {
                if bad.is_none() {
                    self.bad = Some((seq, why));
                }
                self.bad_records += 1;
                Ok(None)
            }
        }
    }

    fn fold(&mut self, entries: &[Entry]) -> Result<(), JournalError> {
        let folded = self.fleet.seq();
        for entry in entries.iter().filter(|entry| entry.seq > folded) {
            self.fleet.apply(entry);
        }
        self.extend_history(entries)
    }

    fn extend_history(&mut self, entries: &[Entry]) -> Result<(), JournalError> {
        let mut batch = Batch::default();
        let staged = self.index.stage(entries, &mut batch)?;
        // A block is written with the record that fills it, so this commits only after a cut took blocks back.
        if staged.fills_blocks() {
            self.disk.commit(batch)?;
        }
        self.index.publish(staged);
        Ok(())
    }

    /// Removes what is not good from the end, durably.
    fn cut(&mut self) -> Result<Option<Cut>, JournalError> {
        let Some((_, why)) = self.bad.take() else {
            return Ok(None);
        };
        let last = self.expected - 1;
        let mut batch = Batch::default();
        self.disk.disk.remove_records(self.expected, &mut batch)?;
        let mut rebuilt = self.index.take_back(last, &mut batch);
        self.disk.commit(batch)?;
        while rebuilt < last {
            let chunk = self.disk.disk.records(rebuilt + 1, CHUNK)?;
            let mut entries = Vec::with_capacity(chunk.len());
            for (seq, value) in &chunk {
                entries.push(whole_record(*seq, value)?);
            }
            self.extend_history(&entries)?;
            rebuilt = chunk.last().map_or(last, |(seq, _)| *seq);
        }
        Ok(Some(Cut {
            after_seq: last,
            records: self.bad_records,
            why,
        }))
    }
}

/// A record that must be good.
pub(crate) fn whole_record(seq: u64, value: &[u8]) -> Result<Entry, JournalError> {
    read_record(seq, value).map_err(|bad| match bad {
        BadRecord::Damaged(why) => JournalError::Corrupt { seq, why },
        BadRecord::Future(version) => JournalError::FutureVersion {
            seq,
            version: u16::from(version),
            known: u16::from(RECORD_VERSION),
        },
    })
}
