//! What cannot be reached from outside: a sync that fails, and the stored forms one by one.

use std::fs::File;
use std::sync::mpsc;
use std::time::Duration;

use proptest::prelude::*;
use swapcall_crew::{Callsign, Entry, Fleet, HistoryPoint, Millis, Mode, Record};
use uuid::Uuid;

use crate::blocks::{
    self, BLOCK_POINTS, Bounds, block_key, block_value, bounds_key, parse_bounds_key, read_block,
};
use crate::disk::PIECE_BYTES;
use crate::encoding::{BadRecord, RECORD_VERSION, read_record, record_value, sealed};
use crate::index::Index;
use crate::snapshots::{self, SNAPSHOT_VERSION};
use crate::{Journal, JournalError, Keep, MemoryFault, MemoryJournal, SledJournal, SledOptions};

fn started(seq: u64) -> Entry {
    Entry {
        seq,
        at: Millis(1_000),
        record: Record::HubStarted,
    }
}

fn open(folder: &std::path::Path) -> SledJournal {
    SledJournal::open(folder, &SledOptions::new(Uuid::nil()))
        .unwrap()
        .journal
}

/// Waits for what is done beside the writer.
fn settle(journal: &SledJournal) {
    while journal.is_busy() {
        std::thread::sleep(Duration::from_millis(2));
    }
}

fn fold(entries: &[Entry]) -> Fleet {
    let mut fleet = Fleet::default();
    for entry in entries {
        fleet.apply(entry);
    }
    fleet
}

#[test]
#[cfg(target_os = "linux")]
fn after_a_sync_that_failed_nothing_more_is_taken() {
    let folder = tempfile::tempdir().unwrap();
    let mut journal = open(folder.path());
    journal.append(&[started(1)]).unwrap();
    // /dev/null can be opened and written, but not synced: `fdatasync` answers EINVAL.
    let null = File::options().write(true).open("/dev/null").unwrap();
    let good = journal.break_sync(null);
    let error = journal.append(&[started(2)]).unwrap_err();
    assert!(
        matches!(error, JournalError::Io { what: "sync", .. }),
        "{error}"
    );
    assert_eq!(journal.reader().last_seq(), 1, "not durable, so not shown");
    // The disk is well again, yet what it did with the pages of the failed sync nobody knows.
    journal.break_sync(good);
    for _ in 0..2 {
        let error = journal.append(&[started(2)]).unwrap_err();
        assert!(
            matches!(error, JournalError::ReadOnlyAfterFault { .. }),
            "{error}"
        );
    }
    let error = journal.snapshot(&fold(&[started(1)])).unwrap_err();
    assert!(
        matches!(error, JournalError::ReadOnlyAfterFault { .. }),
        "{error}"
    );
    Box::new(journal).close().unwrap();
    // A new open looks what is there: the record reached the file, so it is taken as it is.
    let journal = open(folder.path());
    assert_eq!(journal.reader().last_seq(), 2);
}

#[test]
fn the_twin_fails_the_same_way() {
    for (fault, kept) in [
        (MemoryFault::FailsUnwritten, 1),
        (MemoryFault::FailsWritten, 2),
    ] {
        let mut journal = MemoryJournal::new(Uuid::nil());
        journal.append(&[started(1)]).unwrap();
        journal.fail_next_append(fault);
        assert!(matches!(
            journal.append(&[started(2)]),
            Err(JournalError::Store(_))
        ));
        let refused = journal.append(&[started(2)]);
        assert!(matches!(
            refused,
            Err(JournalError::ReadOnlyAfterFault { .. })
        ));
        let opened = journal.reopen().unwrap();
        assert_eq!(opened.fleet.seq(), kept);
        assert_eq!(opened.journal.reader().last_seq(), kept);
        // Whoever had it open before can write no more.
        let refused = journal.append(&[started(kept + 1)]);
        assert!(matches!(
            refused,
            Err(JournalError::ReadOnlyAfterFault { .. })
        ));
    }
    let mut journal = MemoryJournal::new(Uuid::nil());
    journal.storage().fail_snapshots(true);
    assert!(journal.snapshot(&Fleet::default()).is_err());
    journal.append(&[started(1)]).unwrap();
}

#[test]
fn the_writer_waits_for_no_reader_of_what_was_thinned() {
    let folder = tempfile::tempdir().unwrap();
    let options = SledOptions {
        volume_records: 20,
        ..SledOptions::new(Uuid::nil())
    };
    let mut journal = SledJournal::open(folder.path(), &options).unwrap().journal;
    let all: Vec<Entry> = (1..=60).map(started).collect();
    for entry in &all {
        journal.append(std::slice::from_ref(entry)).unwrap();
        settle(&journal);
    }
    journal.snapshot(&fold(&all)).unwrap();
    settle(&journal);
    let oldest = journal.oldest_volume();
    let reading = oldest.read_on();
    let keep = Keep {
        full_s: 60.0,
        whole: Vec::new(),
    };
    let now = Millis(10_000_000);
    let (tell, told) = mpsc::sync_channel(1);
    std::thread::scope(|scope| {
        let journal = &mut journal;
        scope.spawn(move || {
            while journal.tidy(now, &keep).unwrap().is_none() {
                std::thread::sleep(Duration::from_millis(2));
            }
            // The other side may have given up.
            let _ = tell.send(());
        });
        let in_time = told.recv_timeout(Duration::from_secs(20));
        let still_there = oldest.path().exists();
        drop(reading);
        in_time.expect("the writer goes on while somebody reads");
        assert!(still_there, "and nothing is taken away from under them");
    });
    settle(&journal);
    assert!(!oldest.path().exists(), "once they are done, it goes");
}

#[test]
fn a_reader_outlives_its_journal_without_holding_the_files() {
    let folder = tempfile::tempdir().unwrap();
    let mut journal = open(folder.path());
    journal.append(&[started(1)]).unwrap();
    let reader = journal.reader();
    Box::new(journal).close().unwrap();
    let error = reader.entries(0, 1).unwrap_err();
    assert!(error.to_string().contains("closed"), "{error}");
    assert_eq!(open(folder.path()).reader().last_seq(), 1);
}

#[test]
fn a_snapshot_of_another_program_is_passed_over_but_proves() {
    let all: Vec<Entry> = (1..=20).map(started).collect();
    let folder = tempfile::tempdir().unwrap();
    let mut journal = open(folder.path());
    journal.append(&all[..10]).unwrap();
    journal.snapshot(&fold(&all[..10])).unwrap();
    journal.append(&all[10..]).unwrap();
    drop(journal);
    let snapshots = folder.path().join("snapshots");
    snapshots::write_as(&snapshots, &fold(&all), SNAPSHOT_VERSION + 1).unwrap();
    let opened = SledJournal::open(folder.path(), &SledOptions::new(Uuid::nil())).unwrap();
    assert_eq!(opened.recovery.from_snapshot, Some(10));
    let passed_over = &opened.recovery.snapshots_passed_over;
    assert!(
        passed_over.len() == 1 && passed_over[0].contains("version"),
        "{passed_over:?}"
    );
    drop(opened);

    let ahead: Vec<Entry> = (1..=30).map(started).collect();
    snapshots::write_as(&snapshots, &fold(&ahead), SNAPSHOT_VERSION + 1).unwrap();
    let error = SledJournal::open(folder.path(), &SledOptions::new(Uuid::nil())).unwrap_err();
    assert!(
        matches!(
            error,
            JournalError::LostRecords {
                proven: 30,
                found: 20
            }
        ),
        "{error}"
    );
}

#[test]
fn a_record_checks_out_only_under_its_own_number_and_whole() {
    let value = record_value(&started(7)).unwrap();
    assert_eq!(read_record(7, &value), Ok(started(7)));
    assert!(matches!(read_record(8, &value), Err(BadRecord::Damaged(_))));
    for cut in 0..value.len() {
        assert!(
            matches!(read_record(7, &value[..cut]), Err(BadRecord::Damaged(_))),
            "{cut}"
        );
    }
    for place in 0..value.len() {
        for bit in 0..8 {
            let mut hurt = value.clone();
            hurt[place] ^= 1 << bit;
            assert!(
                matches!(read_record(7, &hurt), Err(BadRecord::Damaged(_))),
                "{place}.{bit}"
            );
        }
    }
    // Whole, of this version, and not a record: a fault of the program that wrote it, never skipped either.
    let odd = sealed(7, RECORD_VERSION, &[0xc0]);
    assert!(matches!(read_record(7, &odd), Err(BadRecord::Damaged(_))));
    let newer = sealed(7, RECORD_VERSION + 1, &[]);
    assert_eq!(
        read_record(7, &newer),
        Err(BadRecord::Future(RECORD_VERSION + 1))
    );
}

#[test]
fn the_largest_block_stays_under_the_bound() {
    let point = |seq: u64| HistoryPoint {
        observed: Millis(if seq.is_multiple_of(2) {
            i64::MIN
        } else {
            i64::MAX
        }),
        mode: Some(Mode::Recording),
        battery: Some(99.9),
        external: true,
        // As many slots as a report may have.
        cards: vec![99.9; 8],
    };
    let points: Vec<(u64, HistoryPoint)> = (1..=BLOCK_POINTS as u64)
        .map(|seq| (seq, point(seq)))
        .collect();
    let value = block_value(&points).unwrap();
    assert!(value.len() <= PIECE_BYTES, "{} bytes", value.len());
    let back = read_block(1, &value).unwrap();
    assert!(
        back.iter()
            .zip(&points)
            .all(|(back, (_, point))| back == point)
    );
    // sled puts a page of more than a quarter of a 512 KiB segment into a file of its own; a page holds 17 at most.
    let longest_key = 1 + 4 * Callsign::LONGEST + 1 + 8;
    assert!(17 * (PIECE_BYTES + longest_key + 16) < 512 * 1024 / 4 - 32 - 20);
}

#[test]
fn a_block_of_a_newer_program_is_refused() {
    let value =
        crate::encoding::encode(&(2_u8, 0_i64, Vec::<(i64, u8, Option<f32>, Vec<f32>)>::new()));
    let error = read_block(5, &value.unwrap()).unwrap_err();
    assert!(
        matches!(
            error,
            JournalError::FutureVersion {
                seq: 5,
                version: 2,
                known: 1
            }
        ),
        "{error}"
    );
    assert!(matches!(
        read_block(5, b"?"),
        Err(JournalError::Corrupt { seq: 5, .. })
    ));
}

fn any_point() -> impl Strategy<Value = HistoryPoint> {
    let mode = prop_oneof![
        Just(None),
        Just(Some(Mode::Off)),
        Just(Some(Mode::Standby)),
        Just(Some(Mode::Recording)),
    ];
    let percent = || 0.0..=100.0_f32;
    let cards = prop::collection::vec(percent(), 0..8);
    let parts = (
        any::<i64>(),
        mode,
        prop::option::of(percent()),
        any::<bool>(),
        cards,
    );
    parts.prop_map(|(observed, mode, battery, external, cards)| HistoryPoint {
        observed: Millis(observed),
        mode,
        battery,
        external,
        cards,
    })
}

proptest! {
    #[test]
    fn points_come_back_as_they_were(points in prop::collection::vec(any_point(), 1..=BLOCK_POINTS)) {
        let numbered: Vec<(u64, HistoryPoint)> = (1..).zip(points.clone()).collect();
        prop_assert_eq!(read_block(0, &block_value(&numbered).unwrap()).unwrap(), points);
    }

    #[test]
    fn bounds_and_their_keys_come_back(min: i64, max: i64, last_seq: u64, number in 0..usize::MAX, points in 1..=64_usize) {
        let bounds = Bounds { min: Millis(min), max: Millis(max), last_seq };
        prop_assert_eq!(Bounds::read(&bounds.value(points)), Some((bounds, points)));
        let unit = Callsign::new("Bø.W-2_é").unwrap();
        prop_assert_eq!(parse_bounds_key(&bounds_key(&unit, number)), Some((unit.clone(), number)));
        prop_assert_eq!(parse_bounds_key(&block_key(&unit, number)), None);
    }

    /// Garbage in a value, as a wrong or older program could leave it, is an error and nothing else.
    #[test]
    fn no_garbage_makes_reading_panic(garbage in prop::collection::vec(any::<u8>(), 0..200)) {
        prop_assert!(read_record(1, &garbage).is_err());
        let _ = read_block(1, &garbage);
        let _ = Bounds::read(&garbage);
        let _ = parse_bounds_key(&garbage);
        let _ = read_record(1, &sealed(1, RECORD_VERSION, &garbage));
    }
}

#[test]
fn a_missing_block_is_found_at_the_start_or_when_it_is_read() {
    let folder = tempfile::tempdir().unwrap();
    let unit = Callsign::new("BOW2").unwrap();
    let mut journal = open(folder.path());
    let entries: Vec<Entry> = (1..=200).map(|seq| reading(seq, &unit)).collect();
    journal.append(&entries).unwrap();
    let mut batch = sled::Batch::default();
    batch.remove(blocks::block_key(&unit, 1));
    journal.break_store(batch);
    let reader = journal.reader();
    assert!(matches!(
        reader.history(&unit, Millis(0), Millis(i64::MAX)),
        Err(JournalError::Corrupt { .. })
    ));
    assert!(journal.verify().is_err());
    let mut batch = sled::Batch::default();
    batch.remove(blocks::bounds_key(&unit, 1));
    journal.break_store(batch);
    drop(journal);
    let error = SledJournal::open(folder.path(), &SledOptions::new(Uuid::nil())).unwrap_err();
    assert!(
        error.to_string().contains("block of history is missing"),
        "{error}"
    );
}

#[test]
fn only_blocks_that_can_hold_something_are_touched() {
    let unit = Callsign::new("BOW2").unwrap();
    let mut index = Index::default();
    let entries: Vec<Entry> = (1..=640).map(|seq| reading(seq, &unit)).collect();
    let staged = index.stage(&entries, &mut sled::Batch::default()).unwrap();
    assert!(staged.fills_blocks());
    index.publish(staged);
    let blocks = &index.unit(&unit).unwrap().blocks;
    assert_eq!(blocks.len(), 10);
    let touched = |from, to| {
        blocks
            .iter()
            .filter(|bounds| bounds.touch(Millis(from), Millis(to)))
            .count()
    };
    assert_eq!(touched(0, 1_000_000), 10);
    assert_eq!(touched(100, 110), 1);
    assert_eq!(touched(64, 65), 1);
    assert_eq!(touched(64, 66), 2);
    assert_eq!(touched(641, 1_000_000), 0);
    assert_eq!(touched(0, 1), 0);
    // What is in the history already does not come in twice.
    let again = index.stage(&entries, &mut sled::Batch::default()).unwrap();
    index.publish(again);
    assert_eq!(index.unit(&unit).unwrap().blocks.len(), 10);
}

fn reading(seq: u64, unit: &Callsign) -> Entry {
    let reading = swapcall_crew::Reading {
        unit: unit.clone(),
        id: Uuid::from_u128(u128::from(seq)),
        observed: Millis(i64::try_from(seq).unwrap()),
        clock_offset: None,
        mode: Some(Mode::Standby),
        battery: None,
        cards: None,
        typed: false,
    };
    Entry {
        seq,
        at: Millis(1_000_000),
        record: Record::Reading(Box::new(reading)),
    }
}
