//! One suite for both journals, and for the one on the disk in many small volumes as well: what the desk may rely on,
//! whatever lies below.

#![allow(
    clippy::unwrap_used,
    clippy::cast_possible_wrap,
    reason = "a test that cannot go on fails here, and its numbers are small"
)]

mod common;

use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};

use common::places::{OnDisk, Place};
use common::{
    EPOCH, OTHER_EPOCH, START, assert_shows, callsign, entries, entry, fold, limits, plain_history,
    reading,
};
use swapcall_crew::{Entry, Fleet, Millis, Record};
use swapcall_journal::{Journal, JournalError, RECORD_BYTES_MAX, SledJournal, SledOptions};

macro_rules! contracts {
    ($($contract:ident),* $(,)?) => {
        mod memory {
            $(#[test] fn $contract() { super::$contract(&crate::common::places::InMemory::new()); })*
        }
        mod disk {
            $(#[test] fn $contract() { super::$contract(&crate::common::places::OnDisk::new()); })*
        }
        mod small_volumes {
            $(#[test] fn $contract() { super::$contract(&crate::common::places::OnDisk::in_volumes_of(20)); })*
        }
    };
}

contracts!(
    what_was_appended_is_there_again,
    what_was_appended_survives_a_crash,
    gaps_repeats_and_backward_time_are_refused,
    an_empty_commit_changes_nothing,
    entries_come_in_windows,
    history_comes_in_windows,
    a_snapshot_changes_nothing_but_the_start,
    a_snapshot_of_another_moment_is_refused,
    the_epoch_is_kept,
    too_large_a_record_is_refused_and_a_large_one_kept,
    a_reader_sees_whole_commits_while_the_writer_writes,
);

fn what_was_appended_is_there_again(place: &dyn Place) {
    let all = entries(1, 700);
    let mut journal = place.open().journal;
    for commit in all.chunks(37) {
        journal.append(commit).unwrap();
    }
    assert_shows(journal.reader().as_ref(), &all);
    assert!(journal.size_on_disk() > 10_000, "700 records take room");
    journal.close().unwrap();

    let opened = place.open();
    assert_shows(opened.journal.reader().as_ref(), &all);
    assert_eq!(opened.fleet, fold(&all));
    assert_eq!(opened.recovery.records_replayed, 700);
    assert_eq!(opened.recovery.cut, None);
    assert!(!opened.recovery.created);
}

fn what_was_appended_survives_a_crash(place: &dyn Place) {
    let all = entries(1, 300);
    let mut before = place.open();
    before.journal.append(&all[..200]).unwrap();
    let reader = before.journal.reader();
    drop(before);
    let mut opened = place.open();
    assert_eq!(opened.fleet, fold(&all[..200]));
    opened.journal.append(&all[200..]).unwrap();
    assert_shows(opened.journal.reader().as_ref(), &all);
    drop(reader);
}

fn gaps_repeats_and_backward_time_are_refused(place: &dyn Place) {
    let mut journal = place.open().journal;
    let refused =
        |journal: &mut dyn Journal, entries: &[Entry], wanted: u64| match journal.append(entries) {
            Err(JournalError::OutOfOrder { expected, .. }) => assert_eq!(expected, wanted),
            other => panic!("should be refused, was {other:?}"),
        };
    refused(journal.as_mut(), &[entry(2)], 1);
    journal.append(&entries(1, 3)).unwrap();
    refused(journal.as_mut(), &[entry(3)], 4);
    refused(journal.as_mut(), &[entry(5)], 4);
    refused(journal.as_mut(), &[entry(4), entry(6)], 5);
    refused(
        journal.as_mut(),
        &[Entry {
            at: Millis(START),
            ..entry(4)
        }],
        4,
    );
    // Nothing of the refused commits was kept, and the journal goes on.
    assert_shows(journal.reader().as_ref(), &entries(1, 3));
    journal.append(&entries(4, 5)).unwrap();
    drop(journal);
    let mut journal = place.open().journal;
    refused(journal.as_mut(), &[entry(5)], 6);
    journal.append(&[entry(6)]).unwrap();
    assert_shows(journal.reader().as_ref(), &entries(1, 6));
}

fn an_empty_commit_changes_nothing(place: &dyn Place) {
    let mut journal = place.open().journal;
    journal.append(&[]).unwrap();
    assert_shows(journal.reader().as_ref(), &[]);
    drop(journal);
    let opened = place.open();
    assert_eq!(opened.fleet, Fleet::default());
    assert_eq!(opened.recovery.records_replayed, 0);
}

fn entries_come_in_windows(place: &dyn Place) {
    let all = entries(1, 50);
    let mut journal = place.open().journal;
    journal.append(&all).unwrap();
    let reader = journal.reader().clone_reader();
    assert_eq!(reader.entries(0, 0).unwrap(), []);
    assert_eq!(reader.entries(0, 3).unwrap(), all[..3]);
    assert_eq!(reader.entries(20, 5).unwrap(), all[20..25]);
    assert_eq!(reader.entries(48, 100).unwrap(), all[48..]);
    assert_eq!(reader.entries(50, 1).unwrap(), []);
    assert_eq!(reader.entries(u64::MAX, 1).unwrap(), []);
}

fn history_comes_in_windows(place: &dyn Place) {
    // 200 points of one unit, a second apart, in an order that is not that of time; two at the same time.
    let order = |number: u64| START + (number * 37 % 200) as i64 * 1000;
    let mut all = vec![Entry {
        seq: 1,
        at: Millis(START),
        record: common::record(2),
    }];
    all.extend((2..=201).map(|seq| Entry {
        seq,
        at: Millis(START + 1_000_000),
        record: reading(seq, 0, order(seq).max(START + 1000)),
    }));
    let mut journal = place.open().journal;
    journal.append(&all).unwrap();
    let reader = journal.reader();
    let ask = |from: i64, to: i64| {
        let points = reader
            .history(&callsign(0), Millis(START + from), Millis(START + to))
            .unwrap();
        assert_eq!(
            points,
            plain_history(&all, 0, START + from, START + to),
            "{from} to {to}"
        );
        points.len()
    };
    assert_eq!(ask(0, 200_000), 200);
    assert_eq!(
        ask(1000, 2000),
        2,
        "the moment `from` is in, the moment `to` is out"
    );
    assert_eq!(ask(1001, 2000), 0);
    assert_eq!(ask(50_000, 53_001), 4);
    assert_eq!(
        ask(60_000, 50_000),
        0,
        "a window that ends before it begins is empty"
    );
    assert_eq!(
        reader
            .history(&callsign(9), Millis(0), Millis(i64::MAX))
            .unwrap(),
        []
    );
    // One callsign is the beginning of another.
    let longer = swapcall_crew::Callsign::new("UNIT00").unwrap();
    assert_eq!(
        reader
            .history(&longer, Millis(0), Millis(i64::MAX))
            .unwrap(),
        []
    );
}

fn a_snapshot_changes_nothing_but_the_start(place: &dyn Place) {
    let all = entries(1, 1000);
    let mut journal = place.open().journal;
    for (number, commit) in all.chunks(100).enumerate() {
        journal.append(commit).unwrap();
        if number % 3 == 2 {
            journal.snapshot(&fold(&all[..(number + 1) * 100])).unwrap();
        }
    }
    drop(journal);
    let opened = place.open();
    assert_eq!(opened.recovery.from_snapshot, Some(900));
    assert_eq!(opened.recovery.records_replayed, 100);
    assert_eq!(
        opened.fleet,
        fold(&all),
        "snapshot and replay are the full replay"
    );
    assert_shows(opened.journal.reader().as_ref(), &all);
    // A snapshot at the very end: nothing is left to build the open blocks of history from but what it kept.
    let mut journal = opened.journal;
    journal.snapshot(&opened.fleet).unwrap();
    drop(journal);
    let mut opened = place.open();
    assert_eq!(opened.recovery.records_replayed, 0);
    assert_shows(opened.journal.reader().as_ref(), &all);
    let more = entries(1001, 1050);
    opened.journal.append(&more).unwrap();
    drop(opened);
    let opened = place.open();
    assert_shows(opened.journal.reader().as_ref(), &[all, more].concat());
}

fn a_snapshot_of_another_moment_is_refused(place: &dyn Place) {
    let mut journal = place.open().journal;
    journal.append(&entries(1, 10)).unwrap();
    for wrong in [9, 11] {
        let refused = journal.snapshot(&fold(&entries(1, wrong)));
        assert!(
            matches!(refused, Err(JournalError::OutOfOrder { .. })),
            "{refused:?}"
        );
    }
    journal.append(&[entry(11)]).unwrap();
    drop(journal);
    assert_eq!(place.open().recovery.from_snapshot, None);
}

fn the_epoch_is_kept(place: &dyn Place) {
    assert_eq!(place.open().journal.epoch(), EPOCH);
    assert_eq!(place.open().journal.epoch(), EPOCH);
}

#[test]
fn a_store_that_exists_keeps_its_epoch_whatever_is_offered() {
    let place = OnDisk::new();
    let opened = place.open();
    assert!(opened.recovery.created);
    drop(opened);
    let opened = SledJournal::open(place.path(), &SledOptions::new(OTHER_EPOCH)).unwrap();
    assert_eq!(opened.journal.epoch(), EPOCH);
    assert!(!opened.recovery.created);
}

/// Rewriting in place makes a log-structured store grow; only the short blocks at a snapshot are ever rewritten here.
#[test]
fn the_disk_grows_with_what_is_written_and_not_with_snapshots() {
    let grown = |snapshot_every: u64| {
        let place = OnDisk::new();
        let mut opened = place.open();
        for first in (1..20_000).step_by(200) {
            let commit: Vec<Entry> = (first..first + 200).map(entry).collect();
            opened.journal.append(&commit).unwrap();
            for entry in &commit {
                opened.fleet.apply(entry);
            }
            if (first + 199).is_multiple_of(snapshot_every) {
                opened.journal.snapshot(&opened.fleet).unwrap();
            }
        }
        opened.journal.size_on_disk()
    };
    let (without, with) = (grown(u64::MAX), grown(1_000));
    println!("{without} bytes without snapshots, {with} with twenty");
    assert!(without < 20_000 * 700, "{without} bytes for 20,000 records");
    assert!(
        with < without + 3_000_000,
        "{with} bytes with twenty snapshots, {without} without"
    );
}

fn too_large_a_record_is_refused_and_a_large_one_kept(place: &dyn Place) {
    let with_limits = |units| Entry {
        seq: 1,
        at: Millis(START),
        record: Record::LimitsSet(Box::new(limits(units))),
    };
    let mut journal = place.open().journal;
    match journal.append(&[with_limits(60_000)]) {
        Err(JournalError::TooLarge {
            seq: 1,
            bytes,
            most,
        }) => {
            assert!(bytes > most && most == RECORD_BYTES_MAX);
        }
        other => panic!("should be refused, was {:?}", other.map(|()| "taken")),
    }
    // As many units as a fleet can have: that is what the limit leaves room for.
    let large = with_limits(swapcall_crew::UNITS_MAX as u64);
    journal.append(std::slice::from_ref(&large)).unwrap();
    journal.append(&[entry(2), entry(3)]).unwrap();
    drop(journal);
    let all = [large, entry(2), entry(3)];
    assert_shows(place.open().journal.reader().as_ref(), &all);
}

fn a_reader_sees_whole_commits_while_the_writer_writes(place: &dyn Place) {
    const COMMIT: usize = 10;
    let all: Vec<Entry> = (1..=2000)
        .map(|seq| Entry {
            record: reading(seq, 0, START + seq as i64),
            ..entry(seq)
        })
        .collect();
    let mut journal = place.open().journal;
    let reader = journal.reader();
    let done = AtomicBool::new(false);
    let looks = AtomicU64::new(0);
    std::thread::scope(|scope| {
        let watcher = scope.spawn(|| {
            loop {
                let finished = done.load(Ordering::Acquire);
                let before = reader.last_seq();
                let window = (Millis(START), Millis(i64::MAX));
                let points = reader
                    .history(&callsign(0), window.0, window.1)
                    .unwrap()
                    .len() as u64;
                let after = reader.last_seq();
                assert_eq!(before % COMMIT as u64, 0, "only whole commits are seen");
                assert!(points.is_multiple_of(COMMIT as u64));
                assert!(
                    before <= points && points <= after,
                    "{before} {points} {after}"
                );
                let seen = reader.entries(before.saturating_sub(25), 25).unwrap();
                assert!(
                    seen.iter()
                        .all(|entry| *entry == all[entry.seq as usize - 1])
                );
                looks.fetch_add(1, Ordering::AcqRel);
                if finished {
                    return;
                }
            }
        });
        for (number, commit) in all.chunks(COMMIT).enumerate() {
            journal.append(commit).unwrap();
            // However fast the writer is, the reader looks at least so often in between.
            while looks.load(Ordering::Acquire) < number as u64 / 40 && !watcher.is_finished() {
                std::thread::yield_now();
            }
        }
        done.store(true, Ordering::Release);
    });
    assert!(looks.into_inner() >= 5);
    assert_shows(reader.as_ref(), &all);
}
