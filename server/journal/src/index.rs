//! What stands in memory about the history: the bounds of every block, and each unit's open tail.

use std::collections::BTreeMap;

use sled::Batch;
use swapcall_crew::{Callsign, Entry, HistoryPoint, Record};

use crate::JournalError;
use crate::blocks::{self, BLOCK_POINTS, BOUNDS_PREFIX, Bounds};
use crate::disk::{Disk, WriteDisk, put_record};
use crate::encoding;

/// One unit's history.
#[derive(Clone, Debug, Default)]
pub(crate) struct UnitHistory {
    /// The full blocks, by number.
    pub(crate) blocks: Vec<Bounds>,
    /// Points not yet in a full block, fewer than 64, with the number of their record.
    pub(crate) tail: Vec<(u64, HistoryPoint)>,
    /// How many of them lie on the disk as a short block, written with the last snapshot.
    tail_kept: usize,
}

impl UnitHistory {
    /// The last record in it.
    fn last_seq(&self) -> u64 {
        let in_blocks = self.blocks.last().map_or(0, |bounds| bounds.last_seq);
        self.tail.last().map_or(in_blocks, |(seq, _)| *seq)
    }
}

/// Every unit's history.
#[derive(Debug, Default)]
pub(crate) struct Index {
    units: BTreeMap<Callsign, UnitHistory>,
}

/// What a commit adds to the index once it is durable.
#[derive(Debug, Default)]
pub(crate) struct Staged {
    units: BTreeMap<Callsign, StagedUnit>,
}

#[derive(Debug)]
struct StagedUnit {
    full: Vec<Bounds>,
    /// With full blocks: the new tail. Without: what is added to it.
    tail: Vec<(u64, HistoryPoint)>,
}

impl Staged {
    /// Whether it put blocks into the batch.
    pub(crate) fn fills_blocks(&self) -> bool {
        self.units.values().any(|unit| !unit.full.is_empty())
    }
}

impl Index {
    /// Reads the bounds of every block, and the short blocks.
    pub(crate) fn load(disk: &Disk) -> Result<Self, JournalError> {
        let mut index = Self::default();
        let mut short: Vec<(Callsign, usize, Bounds)> = Vec::new();
        disk.scan(BOUNDS_PREFIX, |key, value| {
            let parsed = blocks::parse_bounds_key(key).zip(Bounds::read(value));
            let Some(((unit, number), (bounds, points))) = parsed else {
                return Err(damaged(
                    0,
                    "the bounds of a block of history cannot be read",
                ));
            };
            let history = index.units.entry(unit.clone()).or_default();
            if number != history.blocks.len() || short.last().is_some_and(|last| last.0 == unit) {
                return Err(damaged(bounds.last_seq, "a block of history is missing"));
            }
            if points < BLOCK_POINTS {
                short.push((unit, number, bounds));
            } else {
                history.blocks.push(bounds);
            }
            Ok(())
        })?;
        for (unit, number, bounds) in short {
            let points = fetch_block(disk, &unit, number, bounds)?;
            let history = index.units.entry(unit).or_default();
            history.tail_kept = points.len();
            // Which record each came from is no longer known; only the last matters.
            history.tail = points
                .into_iter()
                .map(|point| (bounds.last_seq, point))
                .collect();
        }
        Ok(index)
    }

    /// One unit's history.
    pub(crate) fn unit(&self, unit: &Callsign) -> Option<&UnitHistory> {
        self.units.get(unit)
    }

    /// The last record in any unit's history.
    pub(crate) fn last_seq(&self) -> u64 {
        let last = self.units.values().map(UnitHistory::last_seq);
        last.max().unwrap_or_default()
    }

    /// Every unit with a history.
    pub(crate) fn units(&self) -> impl Iterator<Item = (&Callsign, &UnitHistory)> {
        self.units.iter()
    }

    /// Puts the blocks that `entries` fill into `batch`. What is in the history already is passed over.
    pub(crate) fn stage(
        &self,
        entries: &[Entry],
        batch: &mut Batch,
    ) -> Result<Staged, JournalError> {
        let mut new: BTreeMap<&Callsign, Vec<(u64, HistoryPoint)>> = BTreeMap::new();
        for entry in entries {
            if let Record::Reading(reading) = &entry.record
                && self
                    .units
                    .get(&reading.unit)
                    .map_or(0, UnitHistory::last_seq)
                    < entry.seq
            {
                let point = (entry.seq, reading.history_point());
                new.entry(&reading.unit).or_default().push(point);
            }
        }
        let mut staged = Staged::default();
        for (unit, points) in new {
            let known = self.units.get(unit);
            let staged_unit = stage_unit(unit, known, points, batch)?;
            staged.units.insert(unit.clone(), staged_unit);
        }
        Ok(staged)
    }

    /// Writes entries and their history into a volume that nobody reads yet, durably.
    pub(crate) fn write(
        &mut self,
        entries: &[Entry],
        disk: &WriteDisk,
    ) -> Result<(), JournalError> {
        let mut batch = Batch::default();
        for entry in entries {
            put_record(entry.seq, &encoding::record_value(entry)?, &mut batch);
        }
        let staged = self.stage(entries, &mut batch)?;
        disk.commit(batch)?;
        self.publish(staged);
        Ok(())
    }

    /// Makes visible what became durable.
    pub(crate) fn publish(&mut self, staged: Staged) {
        for (unit, added) in staged.units {
            let history = self.units.entry(unit).or_default();
            if !added.full.is_empty() {
                history.blocks.extend(added.full);
                history.tail.clear();
                history.tail_kept = 0;
            }
            history.tail.extend(added.tail);
        }
    }

    /// Puts every tail that grew since the last time into `batch` as a short block, to be replaced when it is full.
    pub(crate) fn keep_tails(&self, batch: &mut Batch) -> Result<(), JournalError> {
        for (unit, history) in &self.units {
            if history.tail.len() != history.tail_kept {
                put_block(unit, history.blocks.len(), &history.tail, batch)?;
            }
        }
        Ok(())
    }

    /// Notes that the tails are kept.
    pub(crate) fn tails_kept(&mut self) {
        for history in self.units.values_mut() {
            history.tail_kept = history.tail.len();
        }
    }

    /// Takes back the blocks that hold points of records after `last`, and puts their removal into `batch`. Answers the
    /// record after which the history must be built again; `last` where nothing was taken back.
    pub(crate) fn take_back(&mut self, last: u64, batch: &mut Batch) -> u64 {
        let mut rebuild_after = last;
        for (unit, history) in &mut self.units {
            if history.last_seq() <= last {
                continue;
            }
            history.tail.clear();
            history.tail_kept = 0;
            while history.last_seq() > last {
                history.blocks.pop();
                let number = history.blocks.len();
                batch.remove(blocks::block_key(unit, number));
                batch.remove(blocks::bounds_key(unit, number));
            }
            rebuild_after = rebuild_after.min(history.last_seq());
        }
        rebuild_after
    }
}

fn stage_unit(
    unit: &Callsign,
    known: Option<&UnitHistory>,
    points: Vec<(u64, HistoryPoint)>,
    batch: &mut Batch,
) -> Result<StagedUnit, JournalError> {
    let (open, first_number) = known.map_or((&[][..], 0), |history| {
        (history.tail.as_slice(), history.blocks.len())
    });
    if open.len() + points.len() < BLOCK_POINTS {
        let full = Vec::new();
        return Ok(StagedUnit { full, tail: points });
    }
    let all = [open, &points].concat();
    let blocks = all.chunks_exact(BLOCK_POINTS);
    let tail = blocks.remainder().to_vec();
    let mut full = Vec::new();
    for (number, block) in (first_number..).zip(blocks) {
        full.extend(put_block(unit, number, block, batch)?);
    }
    Ok(StagedUnit { full, tail })
}

fn put_block(
    unit: &Callsign,
    number: usize,
    points: &[(u64, HistoryPoint)],
    batch: &mut Batch,
) -> Result<Option<Bounds>, JournalError> {
    let bounds = Bounds::of(points);
    if let Some(bounds) = bounds {
        batch.insert(
            blocks::block_key(unit, number),
            blocks::block_value(points)?,
        );
        batch.insert(blocks::bounds_key(unit, number), bounds.value(points.len()));
    }
    Ok(bounds)
}

/// Reads one block.
pub(crate) fn fetch_block(
    disk: &Disk,
    unit: &Callsign,
    number: usize,
    bounds: Bounds,
) -> Result<Vec<HistoryPoint>, JournalError> {
    let value = disk
        .get(&blocks::block_key(unit, number))?
        .ok_or_else(|| damaged(bounds.last_seq, "a block of history is missing"))?;
    blocks::read_block(bounds.last_seq, &value)
}

fn damaged(seq: u64, why: &str) -> JournalError {
    JournalError::Corrupt {
        seq,
        why: why.to_owned(),
    }
}
