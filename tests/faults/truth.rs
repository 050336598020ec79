//! What a run wrote: every record it ever stored, and which of them a thinning may take.
//!
//! The rule of thinning is told here once more, from its promise and not from its code: of a unit's readings that are
//! old enough one a minute stays, and so do both sides of every change.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Mutex, PoisonError};

use swapcall_crew::{BatteryLevel, Callsign, Entry, Fleet, Reading, Record};

/// Milliseconds for which one reading of a unit is enough.
const MINUTE_MS: i64 = 60_000;

/// A battery that rose by more than this was changed or charged, in percent.
const ROSE_PERCENT: f64 = 2.0;

/// All records of a run, without a gap.
pub(crate) struct Truth {
    records: Vec<Entry>,
    /// The readings that may go once they are old.
    may_go: BTreeSet<u64>,
    /// When they are, in milliseconds, where that can be told.
    keep_ms: Option<i64>,
    /// The fold up to the record that was asked for last: askers come in order.
    folded: Mutex<Fleet>,
}

impl Truth {
    /// A run in which nothing is thinned.
    ///
    /// # Panics
    ///
    /// When a record is missing.
    pub(crate) fn whole(records: Vec<Entry>) -> Self {
        assert!(
            records
                .iter()
                .map(|entry| entry.seq)
                .eq(1..=records.len() as u64),
            "every record of the run is known"
        );
        Self {
            records,
            may_go: BTreeSet::new(),
            keep_ms: None,
            folded: Mutex::default(),
        }
    }

    /// A run in which readings older than this, in hub time, are thinned.
    pub(crate) fn thinned(records: Vec<Entry>, keep_ms: i64) -> Self {
        Self {
            may_go: may_go(&records),
            keep_ms: Some(keep_ms),
            ..Self::whole(records)
        }
    }

    /// The truth of a hub that began with the first `safe` records of this one, and ended with those in `found`. Its clock
    /// begins at its newest record, so it does not tell how old the others were when they were thinned.
    pub(crate) fn continued(&self, safe: u64, found: &[Entry]) -> Self {
        let after = found.iter().filter(|entry| entry.seq > safe);
        let records = self.records[..index(safe)].iter().chain(after);
        let mut may_go = self.may_go.clone();
        may_go.retain(|seq| *seq <= safe);
        Self {
            may_go,
            ..Self::whole(records.cloned().collect())
        }
    }

    /// How many records there are.
    pub(crate) fn len(&self) -> usize {
        self.records.len()
    }

    fn get(&self, seq: u64) -> Option<&Entry> {
        self.records.get(index(seq.checked_sub(1)?))
    }

    /// The fold of the records up to number `until`.
    pub(crate) fn fold(&self, until: u64) -> Fleet {
        let mut folded = self.folded.lock().unwrap_or_else(PoisonError::into_inner);
        if folded.seq() > until {
            *folded = Fleet::default();
        }
        for entry in &self.records[index(folded.seq())..index(until)] {
            folded.apply(entry);
        }
        folded.clone()
    }

    /// Whether record `seq` may be missing from a disk on which `newest` is the last.
    pub(crate) fn may_be_missing(&self, seq: u64, newest: u64) -> bool {
        if !self.may_go.contains(&seq) {
            return false;
        }
        // The one after the newest was written after every thinning that this disk has seen.
        match (self.get(seq), self.get(newest + 1), self.keep_ms) {
            (Some(gone), Some(next), Some(keep_ms)) => gone.at.0 < next.at.0 - keep_ms,
            _ => true,
        }
    }

    /// How many of the first `safe` records are not there as they were, though they must be. `found` is in order.
    pub(crate) fn lost(&self, found: &[Entry], safe: u64) -> usize {
        let newest = found.last().map_or(0, |entry| entry.seq);
        let is_lost = |seq: &u64| match place(found, *seq) {
            Some(entry) => self.get(*seq) != Some(entry),
            None => !self.may_be_missing(*seq, newest),
        };
        (1..=safe).filter(is_lost).count()
    }
}

/// Record `seq` among records in order, some of which may be missing.
pub(crate) fn place(found: &[Entry], seq: u64) -> Option<&Entry> {
    let at = found.binary_search_by_key(&seq, |entry| entry.seq).ok()?;
    found.get(at)
}

fn index(seq: u64) -> usize {
    usize::try_from(seq).expect("a small run")
}

/// The readings that may go once they are old: the one after it lies in the same minute, and neither shows a change.
fn may_go(records: &[Entry]) -> BTreeSet<u64> {
    let mut of_units: BTreeMap<&Callsign, Vec<(u64, &Reading)>> = BTreeMap::new();
    for entry in records {
        if let Record::Reading(reading) = &entry.record {
            let readings = of_units.entry(&reading.unit).or_default();
            readings.push((entry.seq, reading));
        }
    }
    let mut found = BTreeSet::new();
    for readings in of_units.values() {
        for three in readings.windows(3) {
            let [(_, before), (seq, this), (_, after)] = three else {
                continue;
            };
            let minute = |reading: &Reading| reading.observed.0.div_euclid(MINUTE_MS);
            if minute(this) == minute(after) && !changed(before, this) && !changed(this, after) {
                found.insert(*seq);
            }
        }
    }
    found
}

fn changed(before: &Reading, after: &Reading) -> bool {
    let look = |battery: &Option<BatteryLevel>| {
        let battery = battery.as_ref();
        battery.map(|battery| (battery.external, battery.pack.clone()))
    };
    let level = |battery: &Option<BatteryLevel>| {
        let battery = battery.as_ref();
        battery.map_or(0.0, |battery| battery.percent.value())
    };
    // No run of these tests tells of cards that change; where one did, they would have to stay.
    before.mode != after.mode
        || before.cards != after.cards
        || look(&before.battery) != look(&after.battery)
        || level(&after.battery) > level(&before.battery) + ROSE_PERCENT
}

#[cfg(test)]
mod tests {
    use swapcall_crew::{Millis, Percent};
    use uuid::Uuid;

    use super::*;

    /// A reading each ten seconds, with these levels.
    fn readings(levels: &[f64]) -> Vec<Entry> {
        let reading = |(number, level): (u64, &f64)| {
            let observed = Millis(i64::try_from(number).expect("small") * 10_000);
            let battery = BatteryLevel {
                percent: Percent::new(*level).expect("a percent"),
                step: None,
                external: false,
                pack: None,
                celsius: None,
                volts: None,
            };
            let reading = Reading {
                unit: Callsign::new("BOW2").expect("a callsign"),
                id: Uuid::from_u128(u128::from(number)),
                observed,
                clock_offset: None,
                mode: None,
                battery: Some(battery),
                cards: None,
                typed: false,
            };
            Entry {
                seq: number + 1,
                at: observed,
                record: Record::Reading(Box::new(reading)),
            }
        };
        (0..).zip(levels).map(reading).collect()
    }

    #[test]
    fn the_last_of_a_minute_and_both_sides_of_a_change_may_not_go() {
        let steady = readings(&[50.0; 9]);
        // The first has nothing before it, the sixth ends its minute, the last has nothing after it.
        assert!(may_go(&steady).into_iter().eq([2, 3, 4, 5, 7, 8]));
        let swapped = readings(&[50.0, 50.0, 50.0, 90.0, 90.0, 90.0, 90.0, 90.0, 90.0]);
        assert!(may_go(&swapped).into_iter().eq([2, 5, 7, 8]));
    }

    #[test]
    fn what_is_missing_is_lost_unless_it_may_go_and_is_old() {
        let all = readings(&[50.0; 9]);
        let truth = Truth::thinned(all.clone(), 20_000);
        let without = |gone: u64| -> Vec<Entry> {
            let stays = |entry: &&Entry| entry.seq != gone;
            all[..8].iter().filter(stays).cloned().collect()
        };
        assert_eq!(truth.lost(&without(5), 8), 0);
        assert_eq!(truth.lost(&without(6), 8), 1, "the last of its minute");
        assert_eq!(truth.lost(&without(7), 8), 1, "too young");
        assert_eq!(Truth::whole(all.clone()).lost(&without(5), 8), 1);
        assert_eq!(truth.fold(9).seq(), 9);
    }
}
