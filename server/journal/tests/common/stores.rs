//! Stores to damage, and what must hold afterwards.

use std::fs;
use std::path::Path;

use sha2::{Digest, Sha256};
use swapcall_crew::{Entry, Millis};
use swapcall_journal::{Journal, JournalError, Opened, SledJournal, SledOptions};
use tempfile::TempDir;

use super::{EPOCH, OTHER_EPOCH, UNITS, callsign, entries, fold, plain_history};

pub(crate) fn open(folder: &Path) -> Result<Opened<SledJournal>, JournalError> {
    SledJournal::open(folder, &SledOptions::new(OTHER_EPOCH))
}

/// A store with `all` in commits of 25, snapshots after the given commits.
pub(crate) fn build(all: &[Entry], snapshots_after: &[usize]) -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    let mut journal = SledJournal::open(folder.path(), &SledOptions::new(EPOCH))
        .unwrap()
        .journal;
    for (number, commit) in all.chunks(25).enumerate() {
        journal.append(commit).unwrap();
        if snapshots_after.contains(&number) {
            journal
                .snapshot(&fold(&all[..number * 25 + commit.len()]))
                .unwrap();
        }
    }
    folder
}

pub(crate) fn copy(from: &Path) -> TempDir {
    fn copy_into(from: &Path, to: &Path) {
        for item in fs::read_dir(from).unwrap() {
            let item = item.unwrap();
            let target = to.join(item.file_name());
            if item.file_type().unwrap().is_dir() {
                fs::create_dir(&target).unwrap();
                copy_into(&item.path(), &target);
            } else {
                fs::copy(item.path(), target).unwrap();
            }
        }
    }
    let copied = tempfile::tempdir().unwrap();
    copy_into(from, copied.path());
    copied
}

/// Opens a damaged store and checks that it refuses or shows a prefix of `all`, down to the histories. Answers how many
/// records came back, or nothing when it refused.
pub(crate) fn refuses_or_shows_a_prefix(folder: &Path, all: &[Entry]) -> Option<usize> {
    let opened = match open(folder) {
        Ok(opened) => opened,
        Err(error) => {
            assert_says_what_to_do(&error);
            return None;
        }
    };
    let reader = opened.journal.reader();
    let count = reader.last_seq() as usize;
    assert!(count <= all.len(), "{count} records out of {}", all.len());
    assert_eq!(
        opened.fleet,
        fold(&all[..count]),
        "the fleet is the fold of {count} records"
    );
    match reader.entries(0, usize::MAX) {
        Ok(found) => assert_eq!(found, all[..count]),
        Err(error) => assert_says_what_to_do(&error),
    }
    match opened.journal.verify() {
        Ok(_) => {
            for unit in 0..UNITS {
                assert_eq!(
                    reader
                        .history(&callsign(unit), Millis(i64::MIN), Millis(i64::MAX))
                        .unwrap(),
                    plain_history(&all[..count], unit, i64::MIN, i64::MAX)
                );
            }
        }
        Err(error) => assert_says_what_to_do(&error),
    }
    // Going on either works or says that it does not.
    let mut journal = opened.journal;
    let next: Vec<Entry> = entries(count as u64 + 1, count as u64 + 5);
    if let Err(error) = journal.append(&next) {
        assert_says_what_to_do(&error);
        let refused = journal.append(&next).unwrap_err();
        assert!(
            matches!(refused, JournalError::ReadOnlyAfterFault { .. }),
            "{refused}"
        );
    }
    Some(count)
}

pub(crate) fn assert_says_what_to_do(error: &JournalError) {
    let text = error.to_string();
    let advice = ["restore", "Restore", "Check", "start the", "stop it"];
    assert!(
        advice.iter().any(|word| text.contains(word)),
        "no advice in: {text}"
    );
}

/// The stored form of a record, written down independently of the journal's own code.
pub(crate) fn sealed(seq: u64, version: u8, payload: &[u8]) -> Vec<u8> {
    let sum = Sha256::digest([&seq.to_be_bytes()[..], &[version], payload].concat());
    [&[version], &sum[..8], payload].concat()
}

pub(crate) fn key(seq: u64) -> Vec<u8> {
    [b"r", &seq.to_be_bytes()[..]].concat()
}

/// Changes values in a closed store behind the journal's back.
pub(crate) fn tamper(folder: &Path, change: impl FnOnce(&sled::Db)) {
    let config = sled::Config::new()
        .path(folder.join("store"))
        .flush_every_ms(None);
    // The journal that was just dropped may still be held by the store's own threads for a moment.
    let db = (0..500)
        .find_map(|_| {
            std::thread::sleep(std::time::Duration::from_millis(10));
            config.open().ok()
        })
        .expect("the store can be opened");
    change(&db);
    db.flush().unwrap();
}
