//! Single records that are damaged, missing, torn or from the future.
//!
//! They are changed from outside, with the layout of a record written down a second time in `common::stores`.

#![allow(
    clippy::unwrap_used,
    clippy::cast_possible_wrap,
    reason = "a test that cannot go on fails here, and its numbers are small"
)]

mod common;

use common::stores::{build, key, open, sealed, tamper};
use common::{START, assert_shows, entries, fold, reading};
use swapcall_crew::Entry;
use swapcall_journal::{Journal, JournalError};

#[test]
fn a_record_lies_as_it_is_written_down() {
    let all = entries(1, 60);
    let folder = build(&all, &[]);
    tamper(folder.path(), |db| {
        for entry in &all {
            let payload = rmp_serde::to_vec(&(entry.at, &entry.record)).unwrap();
            let stored = db.get(key(entry.seq)).unwrap().unwrap();
            assert_eq!(stored, sealed(entry.seq, 1, &payload));
        }
    });
}

#[test]
fn a_record_of_a_newer_program_is_refused_not_skipped() {
    for followed in [false, true] {
        let folder = build(&entries(1, if followed { 60 } else { 50 }), &[]);
        let newer = if followed { 51 } else { 50 };
        tamper(folder.path(), |db| {
            db.insert(
                key(newer),
                sealed(newer, 2, b"what this program cannot know"),
            )
            .unwrap();
        });
        let error = open(folder.path()).unwrap_err();
        assert!(
            matches!(error, JournalError::FutureVersion { seq, version: 2, known: 1 } if seq == newer),
            "{error}"
        );
        assert!(
            error.to_string().contains("start the newer program"),
            "{error}"
        );
    }
}

#[test]
fn a_store_of_a_newer_format_is_refused() {
    let folder = build(&entries(1, 10), &[]);
    tamper(folder.path(), |db| {
        db.insert("mformat", &3_u64.to_be_bytes()).unwrap();
    });
    let error = open(folder.path()).unwrap_err();
    assert!(
        matches!(
            error,
            JournalError::FutureVersion {
                seq: 0,
                version: 3,
                known: 2
            }
        ),
        "{error}"
    );
}

#[test]
fn a_torn_tail_is_cut_and_told_and_the_history_follows() {
    // All readings of one unit, so that the cut records fill blocks of history that must go as well.
    let all: Vec<Entry> = entries(1, 400)
        .into_iter()
        .map(|entry| match entry.seq {
            1..=4 => entry,
            seq => Entry {
                record: reading(seq, 0, START + seq as i64),
                ..entry
            },
        })
        .collect();
    for (first_bad, snapshot) in [
        (398, &[][..]),
        (380, &[]),
        (300, &[]),
        (300, &[7]),
        (2, &[]),
    ] {
        let folder = build(&all, snapshot);
        tamper(folder.path(), |db| {
            for seq in first_bad..=400 {
                let mut value = db.get(key(seq)).unwrap().unwrap().to_vec();
                *value.last_mut().unwrap() ^= 1;
                db.insert(key(seq), value).unwrap();
            }
        });
        let mut opened = open(folder.path()).unwrap();
        let cut = opened.recovery.cut.clone().unwrap();
        assert_eq!(
            (cut.after_seq, cut.records),
            (first_bad - 1, 401 - first_bad)
        );
        assert!(cut.why.contains("checksum"), "{}", cut.why);
        let kept = &all[..first_bad as usize - 1];
        assert_eq!(opened.fleet, fold(kept));
        assert_shows(opened.journal.reader().as_ref(), kept);
        // What is appended in its place is all that is there the next time.
        opened.journal.append(&all[kept.len()..]).unwrap();
        opened.journal.verify().unwrap();
        drop(opened);
        let opened = open(folder.path()).unwrap();
        assert_eq!(opened.recovery.cut, None, "it is cut once");
        assert_shows(opened.journal.reader().as_ref(), &all);
        assert_eq!(opened.fleet, fold(&all));
    }
}

#[test]
fn a_bad_or_missing_record_with_whole_ones_after_it_is_refused() {
    for missing in [false, true] {
        let folder = build(&entries(1, 100), &[]);
        tamper(folder.path(), |db| {
            if missing {
                db.remove(key(60)).unwrap();
            } else {
                // A whole record under another's number does not check out either.
                let other = db.get(key(61)).unwrap().unwrap();
                db.insert(key(60), other).unwrap();
            }
        });
        let error = open(folder.path()).unwrap_err();
        assert!(
            matches!(error, JournalError::Corrupt { seq: 60, .. }),
            "{error}"
        );
        // Nothing was changed by looking.
        let again = open(folder.path()).unwrap_err();
        assert_eq!(again.to_string(), error.to_string());
    }
}

#[test]
fn damage_behind_the_snapshot_is_found_by_verify() {
    let all = entries(1, 200);
    let folder = build(&all, &[7]);
    tamper(folder.path(), |db| {
        db.insert(key(20), b"not a record").unwrap();
    });
    let opened = open(folder.path()).unwrap();
    assert_eq!(opened.fleet, fold(&all), "the snapshot carries the start");
    let found = opened.journal.verify();
    assert!(
        matches!(found, Err(JournalError::Corrupt { seq: 20, .. })),
        "{found:?}"
    );
    assert!(opened.journal.reader().entries(10, 20).is_err());
    assert_eq!(
        opened.journal.reader().entries(20, 30).unwrap(),
        all[20..50]
    );
}
