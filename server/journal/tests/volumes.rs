//! The chain of volumes: begun, filled, left after a fault, thinned; and what a crash in between leaves.

#![allow(
    clippy::unwrap_used,
    clippy::cast_possible_wrap,
    reason = "a test that cannot go on fails here, and its numbers are small"
)]

mod common;

use std::collections::BTreeSet;
use std::fs;
use std::time::Duration;

use common::places::OnDisk;
use common::{START, UNITS, assert_shows, callsign, entries, entry, fold, reading};
use swapcall_crew::{Entry, Millis, Record};
use swapcall_journal::{Journal, JournalError, Keep, SledJournal, Tidied, Verified};

/// Waits for what is done beside the writer.
fn settle(journal: &SledJournal) {
    while journal.is_busy() {
        std::thread::sleep(Duration::from_millis(2));
    }
}

/// Appends in commits of 10, each after the next volume had time to be made.
fn append_all(journal: &mut SledJournal, all: &[Entry]) {
    for commit in all.chunks(10) {
        journal.append(commit).unwrap();
        settle(journal);
    }
}

/// Appends entries up to number `to`.
fn append(journal: &mut SledJournal, to: u64) {
    let from = journal.reader().last_seq() + 1;
    append_all(journal, &entries(from, to));
}

fn keep_nothing_whole(full_s: f64) -> Keep {
    Keep {
        full_s,
        whole: Vec::new(),
    }
}

/// Tidies until nothing is left to do.
fn tidy(journal: &mut SledJournal, now: Millis, keep: &Keep) -> Vec<Tidied> {
    let mut done = Vec::new();
    loop {
        // Looks at what was done beside the writer, then begins what is next.
        let told = journal.tidy(now, keep).unwrap();
        let begun = journal.tidy(now, keep).unwrap();
        let idle = told.is_none() && begun.is_none() && !journal.is_busy();
        done.extend(told.into_iter().chain(begun));
        if idle && journal.tidy(now, keep).unwrap().is_none() && !journal.is_busy() {
            return done;
        }
        settle(journal);
    }
}

fn at(seq: u64) -> Millis {
    entry(seq).at
}

#[test]
fn a_full_volume_gives_way_to_the_next() {
    let place = OnDisk::in_volumes_of(100);
    let mut journal = place.open_sled().journal;
    append(&mut journal, 450);
    assert!(place.volumes().len() >= 4, "{:?}", place.volumes());
    let all = entries(1, 450);
    assert_shows(journal.reader().as_ref(), &all);
    let verified = journal.verify().unwrap();
    assert_eq!((verified.records, verified.thinned_out), (450, 0));
    drop(journal);
    let opened = place.open_sled();
    assert_eq!(opened.fleet, fold(&all));
    assert_shows(opened.journal.reader().as_ref(), &all);
}

#[test]
fn a_volume_that_is_gone_is_told() {
    let place = OnDisk::in_volumes_of(100);
    let mut journal = place.open_sled().journal;
    append(&mut journal, 450);
    drop(journal);
    let volumes = place.volumes();
    fs::remove_dir_all(place.path().join(&volumes[1])).unwrap();
    let error = SledJournal::open(place.path(), &place.options()).unwrap_err();
    assert!(matches!(error, JournalError::Corrupt { .. }), "{error}");
    assert!(error.to_string().contains("missing"), "{error}");
}

#[test]
fn what_a_crash_leaves_of_a_volume_in_the_making_is_taken_away() {
    let place = OnDisk::in_volumes_of(100);
    let mut journal = place.open_sled().journal;
    append(&mut journal, 95);
    // The next volume is made by now, and has not begun.
    drop(journal);
    assert_eq!(place.volumes().len(), 2);
    fs::create_dir(place.path().join("store-000009.draft")).unwrap();
    fs::write(place.path().join("store-000009.draft/db"), b"half").unwrap();
    let opened = place.open_sled();
    assert_eq!(place.volumes(), ["store"]);
    assert_shows(opened.journal.reader().as_ref(), &entries(1, 95));
}

#[test]
fn after_a_fault_a_new_volume_begins_behind_the_last_acknowledged_record() {
    let place = OnDisk::new();
    let all = entries(1, 200);
    let mut journal = place.open_sled().journal;
    journal.append(&all[..150]).unwrap();
    journal.snapshot(&fold(&all[..150])).unwrap();
    // These reached the file, but let nobody have been told: the sync failed.
    journal.append(&all[150..180]).unwrap();
    drop(journal);
    let mut opened = SledJournal::reopen_after(place.path(), &place.options(), 150).unwrap();
    assert_eq!(opened.fleet, fold(&all[..150]));
    assert_shows(opened.journal.reader().as_ref(), &all[..150]);
    opened.journal.append(&all[150..160]).unwrap();
    assert_shows(opened.journal.reader().as_ref(), &all[..160]);
    opened.journal.verify().unwrap();
    drop(opened);
    assert_eq!(place.volumes(), ["store", "store-000002"]);
    let opened = place.open_sled();
    assert_eq!(opened.fleet, fold(&all[..160]));
    assert_shows(opened.journal.reader().as_ref(), &all[..160]);
    drop(opened);
    // Twice in a row, with nothing stored between: the empty volume goes.
    drop(SledJournal::reopen_after(place.path(), &place.options(), 160).unwrap());
    drop(SledJournal::reopen_after(place.path(), &place.options(), 160).unwrap());
    let opened = place.open_sled();
    assert_eq!(place.volumes(), ["store", "store-000002", "store-000004"]);
    assert_shows(opened.journal.reader().as_ref(), &all[..160]);
}

#[test]
fn blocks_of_history_that_reach_beyond_the_last_acknowledged_record_are_taken_back() {
    let place = OnDisk::new();
    let all = entries(1, 900);
    let mut journal = place.open_sled().journal;
    journal.append(&all[..250]).unwrap();
    // Enough to fill blocks that hold points of both sides.
    journal.append(&all[250..]).unwrap();
    drop(journal);
    let opened = SledJournal::reopen_after(place.path(), &place.options(), 250).unwrap();
    assert_shows(opened.journal.reader().as_ref(), &all[..250]);
    opened.journal.verify().unwrap();
    drop(opened);
    assert_shows(place.open_sled().journal.reader().as_ref(), &all[..250]);
}

#[test]
fn a_reopening_that_finds_less_than_was_acknowledged_says_so() {
    let place = OnDisk::new();
    let mut journal = place.open_sled().journal;
    journal.append(&entries(1, 50)).unwrap();
    drop(journal);
    let error = SledJournal::reopen_after(place.path(), &place.options(), 60).unwrap_err();
    assert!(
        matches!(error, JournalError::Corrupt { seq: 51, .. }),
        "{error}"
    );
}

/// Takes a snapshot of the fold of these, all that there are, and waits for it.
fn snapshot(journal: &mut SledJournal, all: &[Entry]) {
    journal.snapshot(&fold(all)).unwrap();
    settle(journal);
}

/// Numbers of entries that are no longer there.
fn missing(journal: &SledJournal, all: &[Entry]) -> Vec<u64> {
    let left = journal.reader().entries(0, usize::MAX).unwrap();
    let left: BTreeSet<u64> = left.iter().map(|entry| entry.seq).collect();
    let numbers = all.iter().map(|entry| entry.seq);
    numbers.filter(|seq| !left.contains(seq)).collect()
}

/// What is left of entries when old ones are thinned: everything that is no reading, and readings that the journal kept.
fn assert_thinned(journal: &SledJournal, all: &[Entry], whole_from: u64) -> Vec<Entry> {
    let left = journal.reader().entries(0, usize::MAX).unwrap();
    let missing = missing(journal, all);
    assert!(missing.len() > all.len() / 10, "something was thinned out");
    for seq in missing {
        let entry = &all[seq as usize - 1];
        assert!(entry.seq < whole_from, "{} is young", entry.seq);
        assert!(
            matches!(entry.record, Record::Reading(_)),
            "{} is no reading",
            entry.seq
        );
    }
    for entry in &left {
        assert_eq!(*entry, all[entry.seq as usize - 1]);
    }
    left
}

/// Readings that change little, so that most of them can go.
fn steady(to: u64) -> Vec<Entry> {
    let steady = |seq: u64| match seq {
        1..=4 => common::record(seq),
        _ if seq.is_multiple_of(50) => common::record(97),
        // One number for all: the same percent, mode, pack and cards each time.
        _ => match reading(1, seq % UNITS, START + seq as i64 * 500) {
            Record::Reading(mut reading) => {
                reading.id = uuid::Uuid::from_u128(u128::from(seq));
                Record::Reading(reading)
            }
            other => other,
        },
    };
    (1..=to)
        .map(|seq| Entry {
            record: steady(seq),
            ..entry(seq)
        })
        .collect()
}

#[test]
fn old_records_are_thinned_and_young_ones_stay() {
    let place = OnDisk::in_volumes_of(200);
    let all = steady(1_500);
    let mut journal = place.open_sled().journal;
    append_all(&mut journal, &all[..1_000]);
    journal.snapshot(&fold(&all[..1_000])).unwrap();
    append_all(&mut journal, &all[1_000..]);
    let bytes_before = journal.size_on_disk();
    let done = tidy(&mut journal, at(1_300), &keep_nothing_whole(250.0));
    assert!(done.len() >= 2, "{done:?}");
    assert!(journal.size_on_disk() < bytes_before);
    // Younger than 250 s: the last 500 of those up to 1,300.
    let left = assert_thinned(&journal, &all, 800);
    let Verified {
        records,
        thinned_out,
        last_seq,
        ..
    } = journal.verify().unwrap();
    assert_eq!((records, last_seq), (left.len() as u64, 1_500));
    assert_eq!(thinned_out, 1_500 - records);
    // Neighbours were put together while small.
    assert!(place.volumes().len() < 7, "{:?}", place.volumes());
    drop(journal);
    let opened = place.open_sled();
    assert_eq!(
        opened.fleet,
        fold(&all),
        "the snapshot makes the fold exact"
    );
    assert_eq!(
        opened.journal.reader().entries(0, usize::MAX).unwrap(),
        left
    );
    let points = |unit| {
        let reader = opened.journal.reader();
        let all = reader.history(&callsign(unit), Millis(i64::MIN), Millis(i64::MAX));
        all.unwrap().len()
    };
    let readings = left
        .iter()
        .filter(|entry| matches!(entry.record, Record::Reading(_)));
    assert_eq!((0..UNITS).map(points).sum::<usize>(), readings.count());
}

#[test]
fn only_what_a_snapshot_stands_for_is_thinned() {
    let place = OnDisk::in_volumes_of(200);
    let all = steady(1_000);
    let mut journal = place.open_sled().journal;
    append_all(&mut journal, &all[..500]);
    journal.snapshot(&fold(&all[..500])).unwrap();
    append_all(&mut journal, &all[500..]);
    assert!(!tidy(&mut journal, at(5_000), &keep_nothing_whole(0.0)).is_empty());
    // Up to 400: the volume that holds record 500 goes on behind it, so it waits as well.
    let last_gone = |journal: &SledJournal| missing(journal, &all).last().copied().unwrap_or(0);
    assert!((201..400).contains(&last_gone(&journal)));
    drop(journal);
    let opened = place.open_sled();
    assert_eq!(opened.recovery.from_snapshot, Some(500));
    assert_eq!(opened.fleet, fold(&all), "after a crash as well");
    // The next snapshot lets the others go.
    let mut journal = opened.journal;
    snapshot(&mut journal, &all);
    assert!(!tidy(&mut journal, at(5_000), &keep_nothing_whole(0.0)).is_empty());
    assert!(last_gone(&journal) > 600);
}

#[test]
fn where_no_snapshot_can_be_used_the_fold_of_what_is_left_stands_in() {
    let place = OnDisk::in_volumes_of(200);
    let all = steady(1_000);
    let mut journal = place.open_sled().journal;
    append_all(&mut journal, &all);
    snapshot(&mut journal, &all);
    assert!(!tidy(&mut journal, at(5_000), &keep_nothing_whole(0.0)).is_empty());
    let left = journal.reader().entries(0, usize::MAX).unwrap();
    drop(journal);
    fs::remove_dir_all(place.path().join("snapshots")).unwrap();
    let opened = place.open_sled();
    assert_eq!(opened.recovery.from_snapshot, None);
    assert_eq!(opened.fleet, fold(&left));
    let whole = fold(&all);
    for unit in whole.units() {
        let stood_in = opened.fleet.unit(unit.callsign()).unwrap();
        assert_eq!(stood_in.observed(), unit.observed());
    }
}

#[test]
fn a_time_that_is_kept_whole_stays_whole() {
    let place = OnDisk::in_volumes_of(200);
    let all = steady(900);
    let mut journal = place.open_sled().journal;
    append_all(&mut journal, &all);
    snapshot(&mut journal, &all);
    let keep = Keep {
        full_s: 0.0,
        whole: vec![(at(100), at(300))],
    };
    assert!(!tidy(&mut journal, at(5_000), &keep).is_empty());
    let left = assert_thinned(&journal, &all, u64::MAX);
    let within = |entry: &&Entry| (100..300).contains(&entry.seq);
    assert_eq!(
        left.iter().filter(within).count(),
        all.iter().filter(within).count()
    );
}

#[test]
fn a_thinning_that_is_broken_off_leaves_everything_as_it_was() {
    let place = OnDisk::in_volumes_of(200);
    let all = steady(900);
    let mut journal = place.open_sled().journal;
    append_all(&mut journal, &all);
    snapshot(&mut journal, &all);
    let keep = keep_nothing_whole(0.0);
    // Started, and given up at once.
    assert_eq!(journal.tidy(at(5_000), &keep).unwrap(), None);
    assert!(journal.is_busy());
    drop(journal);
    let opened = place.open_sled();
    assert_eq!(opened.fleet, fold(&all));
    opened.journal.verify().unwrap();
}

#[test]
fn both_the_old_and_the_new_of_a_thinning_are_there_after_a_crash_and_the_new_counts() {
    let place = OnDisk::in_volumes_of(200);
    let all = steady(900);
    let mut journal = place.open_sled().journal;
    append_all(&mut journal, &all);
    snapshot(&mut journal, &all);
    drop(journal);
    let old = common::stores::copy(place.path());
    let mut journal = place.open_sled().journal;
    assert!(!tidy(&mut journal, at(5_000), &keep_nothing_whole(0.0)).is_empty());
    let left = journal.reader().entries(0, usize::MAX).unwrap();
    drop(journal);
    // As if the hub had died before it took the old volumes away.
    for item in fs::read_dir(old.path()).unwrap() {
        let path = item.unwrap().path();
        let name = path.file_name().unwrap().to_owned();
        let there = place.path().join(&name);
        if name.to_string_lossy().starts_with("store") && !there.exists() {
            fs::rename(&path, &there).unwrap();
        }
    }
    let opened = place.open_sled();
    assert_eq!(
        opened.journal.reader().entries(0, usize::MAX).unwrap(),
        left
    );
    opened.journal.verify().unwrap();
}
