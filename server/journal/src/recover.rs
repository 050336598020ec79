//! From what lies on the disk to the fleet: check, fold, and cut a torn tail.

use sled::Batch;
use swapcall_crew::{Entry, Fleet};

use crate::encoding::{BadRecord, RECORD_VERSION, read_record};
use crate::index::Index;
use crate::snapshots;
use crate::volume::Volume;
use crate::{Cut, JournalError, Recovery};

/// Records read at a time.
const CHUNK: usize = 1024;

/// What the disk held.
#[derive(Debug)]
pub(crate) struct Recovered {
    pub(crate) fleet: Fleet,
    /// The history of each volume, and its last record.
    pub(crate) volumes: Vec<(Index, u64)>,
    pub(crate) recovery: Recovery,
}

/// What is known before the first record is read.
#[derive(Debug)]
pub(crate) struct Evidence {
    pub(crate) snapshots: snapshots::Found,
    /// The last record at the last clean end.
    pub(crate) marked: u64,
}

/// Folds the records of all volumes, in order, onto the newest snapshot. Records behind it were checked when they were
/// folded the first time and are not read again; those after it are checked one by one.
pub(crate) fn recover(volumes: &[Volume], evidence: Evidence) -> Result<Recovered, JournalError> {
    let snapshots = evidence.snapshots;
    let proven = snapshots.proven.max(evidence.marked);
    let found = volumes.last().map_or(Ok(0), Volume::last)?;
    check_not_lost(found, proven)?;
    let mut fleet = snapshots.fleet.unwrap_or_default();
    let folded = fleet.seq();
    let mut recovered = Vec::with_capacity(volumes.len());
    let (mut last, mut cut, mut replayed) = (0, None, 0);
    for (number, volume) in volumes.iter().enumerate() {
        if volume.first() != last + 1 {
            let why = "the volume that holds it is gone".to_owned();
            return Err(JournalError::Corrupt { seq: last + 1, why });
        }
        let end = volumes.get(number + 1).map(|next| next.first() - 1);
        let mut replay = Replay::new(volume, std::mem::take(&mut fleet), end)?;
        replay.run()?;
        cut = replay.settle()?;
        last = replay.expected - 1;
        replayed += replay.folded_records;
        fleet = replay.fleet;
        recovered.push((replay.index, last));
    }
    check_not_lost(last, proven)?;
    Ok(Recovered {
        recovery: Recovery {
            records_replayed: replayed,
            from_snapshot: (folded > 0).then_some(folded),
            cut,
            created: false,
            snapshots_passed_over: snapshots.passed_over,
        },
        fleet,
        volumes: recovered,
    })
}

/// Whether the journal, whose last good record is `found`, still holds what it must.
fn check_not_lost(found: u64, proven: u64) -> Result<(), JournalError> {
    if found < proven {
        return Err(JournalError::LostRecords { proven, found });
    }
    Ok(())
}

struct Replay<'a> {
    volume: &'a Volume,
    /// The last record that counts, where the volume is not the newest or says it itself.
    end: Option<u64>,
    fleet: Fleet,
    index: Index,
    /// The record that must come next.
    expected: u64,
    /// The first record that is not good, and why.
    bad: Option<(u64, String)>,
    bad_records: u64,
    folded_records: u64,
}

impl<'a> Replay<'a> {
    fn new(volume: &'a Volume, fleet: Fleet, end: Option<u64>) -> Result<Self, JournalError> {
        let end = end.or(volume.thinned.map(|thinned| thinned.end));
        let known = fleet.seq().min(volume.tails);
        let known = end.map_or(known, |end| known.min(end));
        Ok(Self {
            volume,
            end,
            fleet,
            index: Index::load(&volume.disk.disk)?,
            expected: volume.first().max(known + 1),
            bad: None,
            bad_records: 0,
            folded_records: 0,
        })
    }

    fn counts(&self, seq: u64) -> bool {
        self.end.is_none_or(|end| seq <= end)
    }

    fn run(&mut self) -> Result<(), JournalError> {
        let mut from = self.expected;
        while self.counts(from) {
            let mut chunk = self.volume.disk.disk.records(from, CHUNK)?;
            chunk.retain(|(seq, _)| self.counts(*seq));
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
        Ok(())
    }

    /// The entry, when it is good and everything before it was.
    fn check(&mut self, seq: u64, value: &[u8]) -> Result<Option<Entry>, JournalError> {
        let read = read_record(seq, value);
        if self.bad.is_none() && seq != self.expected && self.volume.thinned.is_none() {
            self.bad = Some((self.expected, "it is missing".to_owned()));
        }
        match (read, &self.bad) {
            // Something whole comes after something that is not: no torn tail looks like this.
            (Ok(_) | Err(BadRecord::Future(_)), Some((seq, why))) => Err(JournalError::Corrupt {
                seq: *seq,
                why: format!("{why}, yet whole records follow"),
            }),
            (Ok(entry), None) => {
                self.expected = seq + 1;
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
            self.folded_records += 1;
        }
        self.extend_history(entries)
    }

    fn extend_history(&mut self, entries: &[Entry]) -> Result<(), JournalError> {
        let mut batch = Batch::default();
        let staged = self.index.stage(entries, &mut batch)?;
        // A block is written with the record that fills it, so this commits only after a cut took blocks back.
        if staged.fills_blocks() {
            self.volume.disk.commit(batch)?;
        }
        self.index.publish(staged);
        Ok(())
    }

    /// Brings the volume to its end: a torn tail of the newest one is cut, what an older one holds beyond its end goes,
    /// and an older one that does not reach its end is refused.
    fn settle(&mut self) -> Result<Option<Cut>, JournalError> {
        let missing = |seq, why| Err(JournalError::Corrupt { seq, why });
        let bad = self.bad.take();
        let Some(end) = self.end else {
            let last = self.expected - 1;
            if last < self.volume.tails {
                // Noted inside the store itself, so this is no loss of its end.
                let why = "it is missing, yet the store itself says that it was there".to_owned();
                return missing(self.expected, why);
            }
            let Some((_, why)) = bad else {
                return Ok(None);
            };
            self.cut_after(last)?;
            return Ok(Some(Cut {
                after_seq: last,
                records: self.bad_records,
                why,
            }));
        };
        if let Some((seq, why)) = bad {
            return missing(seq, why);
        }
        if self.volume.thinned.is_some() {
            self.expected = end + 1;
        } else if self.expected <= end {
            let why = "it is missing, yet later volumes follow".to_owned();
            return missing(self.expected, why);
        }
        // Left by a commit that failed: it was never acknowledged, and its number has been given again since.
        if self.volume.disk.disk.last_seq()? > end || self.index.last_seq() > end {
            self.cut_after(end)?;
        }
        Ok(None)
    }

    /// Removes everything after record `last`, durably.
    fn cut_after(&mut self, last: u64) -> Result<(), JournalError> {
        let disk = &self.volume.disk;
        let mut batch = Batch::default();
        disk.disk.remove_records(last + 1, &mut batch)?;
        let mut rebuilt = self.index.take_back(last, &mut batch);
        disk.commit(batch)?;
        while rebuilt < last {
            let chunk = disk.disk.records(rebuilt + 1, CHUNK)?;
            let mut entries = Vec::with_capacity(chunk.len());
            for (seq, value) in &chunk {
                entries.push(whole_record(*seq, value)?);
            }
            self.extend_history(&entries)?;
            rebuilt = chunk.last().map_or(last, |(seq, _)| *seq);
        }
        Ok(())
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
