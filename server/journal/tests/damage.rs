//! What a disk can do to the journal's files: cut them short, flip their bits, lose their end, lose them.
//!
//! After each the journal must either refuse with a sentence that says what to do, or come back with a prefix of what was
//! appended. It must never panic, and never show something that was not appended.

#![allow(
    clippy::unwrap_used,
    clippy::cast_possible_wrap,
    reason = "a test that cannot go on fails here, and its numbers are small"
)]

mod common;

use std::fs;
use std::path::Path;

use common::stores::{assert_says_what_to_do, build, copy, open, refuses_or_shows_a_prefix};
use common::{EPOCH, OTHER_EPOCH, assert_shows, entries, fold};
use proptest::prelude::*;
use swapcall_crew::Entry;
use swapcall_journal::{Journal, JournalError, SledJournal, SledOptions};

#[test]
fn a_file_cut_anywhere_refuses_or_shows_a_prefix_of_whole_commits() {
    let all = entries(1, 1500);
    let folder = build(&all, &[]);
    let length = fs::metadata(folder.path().join("store/db")).unwrap().len();
    let mut came_back = Vec::new();
    for step in 0..40 {
        let hurt = copy(folder.path());
        let file = fs::File::options()
            .write(true)
            .open(hurt.path().join("store/db"))
            .unwrap();
        // Uneven steps, so that cuts fall inside messages as well as between segments.
        file.set_len(length * step / 40 + step * 13 % 101).unwrap();
        if let Some(count) = refuses_or_shows_a_prefix(hurt.path(), &all) {
            assert_eq!(count % 25, 0, "a commit is there whole or not at all");
            came_back.push(count);
        }
    }
    assert!(
        came_back.is_sorted(),
        "a longer file shows no less: {came_back:?}"
    );
    assert!(
        came_back.iter().any(|count| (1..1500).contains(count)),
        "{came_back:?}"
    );
}

#[test]
fn a_cut_behind_a_snapshot_is_told_as_loss() {
    let all = entries(1, 1500);
    let folder = build(&all, &[40]);
    let length = fs::metadata(folder.path().join("store/db")).unwrap().len();
    let mut lost = 0;
    for step in 1..20 {
        let hurt = copy(folder.path());
        let file = fs::File::options()
            .write(true)
            .open(hurt.path().join("store/db"))
            .unwrap();
        file.set_len(length * step / 20).unwrap();
        match open(hurt.path()) {
            Ok(opened) => assert!(opened.fleet.seq() >= 1025),
            Err(JournalError::LostRecords { proven, found }) => {
                assert!(proven == 1025 && found < 1025);
                lost += 1;
            }
            Err(error) => assert_says_what_to_do(&error),
        }
    }
    assert!(lost > 0, "the snapshot proves what the cut took");
}

/// How many cases: more with `PROPTEST_CASES` set.
fn cases() -> u32 {
    let asked = std::env::var("PROPTEST_CASES").ok();
    asked.and_then(|cases| cases.parse().ok()).unwrap_or(60)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: cases(), failure_persistence: None, max_shrink_iters: 0, ..ProptestConfig::default() })]

    #[test]
    fn flipped_bits_refuse_or_show_a_prefix(
        flips in prop::collection::vec((0.0..1.0_f64, 0..8_u8), 1..4),
        with_snapshot: bool,
        opened_before: bool,
    ) {
        let all = entries(1, 1000);
        let folder = build(&all, if with_snapshot { &[30] } else { &[] });
        if opened_before {
            // The store then knows its pages by heart, and reads them only when they are asked for.
            drop(open(folder.path()).unwrap());
        }
        let path = folder.path().join("store/db");
        let mut bytes = fs::read(&path).unwrap();
        let used = bytes.iter().rposition(|byte| *byte != 0).unwrap() + 1;
        for (place, bit) in flips {
            bytes[(used as f64 * place) as usize] ^= 1 << bit;
        }
        fs::write(&path, bytes).unwrap();
        refuses_or_shows_a_prefix(folder.path(), &all);
    }

    #[test]
    fn overwritten_pages_refuse_or_show_a_prefix(place in 0.0..1.0_f64, garbage in prop::collection::vec(any::<u8>(), 4096)) {
        let all = entries(1, 1000);
        let folder = build(&all, &[]);
        let path = folder.path().join("store/db");
        let mut bytes = fs::read(&path).unwrap();
        let used = bytes.iter().rposition(|byte| *byte != 0).unwrap() + 1;
        // Whole pages of 4096 bytes, as a disk writes them.
        let at = (used as f64 * place) as usize / 4096 * 4096;
        let end = (at + 4096).min(bytes.len());
        bytes[at..end].copy_from_slice(&garbage[..end - at]);
        fs::write(&path, bytes).unwrap();
        refuses_or_shows_a_prefix(folder.path(), &all);
    }
}

#[test]
fn records_lost_from_the_end_are_told() {
    let all = entries(1, 400);
    for proof in ["snapshot", "clean end"] {
        let folder = build(&all[..200], &[]);
        let older = copy(folder.path());
        let mut journal = open(folder.path()).unwrap().journal;
        journal.append(&all[200..]).unwrap();
        if proof == "snapshot" {
            journal.snapshot(&fold(&all)).unwrap();
            drop(journal);
        } else {
            Box::new(journal).close().unwrap();
        }
        // The disk forgets what it had said was safe: yesterday's store beside today's proof.
        fs::remove_dir_all(folder.path().join("store")).unwrap();
        fs::rename(older.path().join("store"), folder.path().join("store")).unwrap();
        let error = open(folder.path()).unwrap_err();
        assert!(
            matches!(
                error,
                JournalError::LostRecords {
                    proven: 400,
                    found: 200
                }
            ),
            "{error}"
        );
        // The sentence names the way out, and it works.
        assert!(
            error
                .to_string()
                .contains("move the folder's snapshots away"),
            "{error}"
        );
        fs::rename(folder.path().join("snapshots"), folder.path().join("away")).unwrap();
        let opened = open(folder.path()).unwrap();
        assert_shows(opened.journal.reader().as_ref(), &all[..200]);
    }
}

#[test]
fn an_emptied_or_exchanged_store_is_refused() {
    let folder = build(&entries(1, 50), &[]);
    let other = tempfile::tempdir().unwrap();
    drop(SledJournal::open(other.path(), &SledOptions::new(OTHER_EPOCH)).unwrap());
    fs::remove_dir_all(folder.path().join("store")).unwrap();
    let error = open(folder.path()).unwrap_err();
    assert!(error.to_string().contains("empty or gone"), "{error}");

    fs::create_dir(folder.path().join("store")).unwrap();
    fs::write(folder.path().join("store/db"), b"").unwrap();
    let error = open(folder.path()).unwrap_err();
    assert!(error.to_string().contains("empty or gone"), "{error}");

    fs::remove_dir_all(folder.path().join("store")).unwrap();
    fs::rename(other.path().join("store"), folder.path().join("store")).unwrap();
    let error = open(folder.path()).unwrap_err();
    assert!(
        error.to_string().contains("two different stores"),
        "{error}"
    );
}

fn snapshot_names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(folder.join("snapshots"))
        .unwrap()
        .map(|item| item.unwrap().file_name().into_string().unwrap())
        .filter(|name| {
            Path::new(name)
                .extension()
                .is_some_and(|ending| ending == "snap")
        })
        .collect();
    names.sort();
    names
}

#[test]
fn a_damaged_snapshot_gives_way_to_the_older_and_then_to_all_records() {
    let all = entries(1, 500);
    let folder = build(&all, &[3, 7, 11]);
    let names = snapshot_names(folder.path());
    assert_eq!(names.len(), 2, "the newest two are kept: {names:?}");
    let mut expected_start = Some(300);
    for (hurt_before, name) in [(0, None), (1, Some(&names[1])), (2, Some(&names[0]))] {
        if let Some(name) = name {
            let path = folder.path().join("snapshots").join(name);
            let mut bytes = fs::read(&path).unwrap();
            let middle = bytes.len() / 2;
            bytes[middle] ^= 0x10;
            fs::write(&path, bytes).unwrap();
            expected_start = (hurt_before == 1).then_some(200);
        }
        let opened = open(folder.path()).unwrap();
        assert_eq!(opened.recovery.from_snapshot, expected_start);
        assert_eq!(opened.recovery.snapshots_passed_over.len(), hurt_before);
        assert_eq!(
            opened.recovery.records_replayed,
            500 - expected_start.unwrap_or(0)
        );
        assert_eq!(opened.fleet, fold(&all));
        assert_shows(opened.journal.reader().as_ref(), &all);
    }
}

#[test]
fn a_half_written_snapshot_is_passed_over() {
    let all = entries(1, 100);
    let folder = build(&all, &[1]);
    let snapshots = folder.path().join("snapshots");
    let whole = fs::read(snapshots.join(&snapshot_names(folder.path())[0])).unwrap();
    for cut in [0, 7, 20, whole.len() - 1] {
        fs::write(
            snapshots.join(format!("fleet-{:020}.snap", 100)),
            &whole[..cut],
        )
        .unwrap();
        fs::write(snapshots.join("fleet.draft"), &whole[..cut]).unwrap();
        let opened = open(folder.path()).unwrap();
        assert_eq!(opened.recovery.from_snapshot, Some(50));
        assert_eq!(opened.fleet, fold(&all));
    }
}

#[test]
fn the_stores_own_small_files_can_be_lost_in_a_power_cut() {
    let all = entries(1, 600);
    let folder = build(&all, &[5]);
    // Opened once more, so that the store's own start-up file covers what was written.
    drop(open(folder.path()).unwrap());
    let store = folder.path().join("store");
    let mut removed = 0;
    for item in fs::read_dir(&store).unwrap() {
        let path = item.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        if name.starts_with("snap.") || name == "conf" {
            fs::remove_file(path).unwrap();
            removed += 1;
        }
    }
    assert_eq!(removed, 2, "both were there");
    let opened = open(folder.path()).unwrap();
    assert_shows(opened.journal.reader().as_ref(), &all);
    opened.journal.verify().unwrap();
}

#[test]
fn no_value_gets_a_file_of_its_own() {
    let folder = tempfile::tempdir().unwrap();
    let mut journal = SledJournal::open(folder.path(), &SledOptions::new(EPOCH))
        .unwrap()
        .journal;
    for seq in 1..=40 {
        let record = if seq % 2 == 0 {
            swapcall_crew::Record::LimitsSet(Box::new(common::limits(4000)))
        } else {
            common::record(seq)
        };
        journal
            .append(&[Entry {
                record,
                ..common::entry(seq)
            }])
            .unwrap();
    }
    assert_eq!(
        fs::read_dir(folder.path().join("store/blobs"))
            .unwrap()
            .count(),
        0
    );
}
